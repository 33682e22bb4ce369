//! Words of people, whatever they are, stay words in every form in which a record leaves the program.

use proptest::prelude::*;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use serde_json::Value;

use crate::traveler::hostile::record_of;
use crate::traveler::instruments::Register;
use crate::traveler::report::{self, Beside, Filter};
use crate::traveler::{Record, compare};

use super::{csv, escaped, review};

/// What does harm somewhere: in a terminal, a spreadsheet, a browser, a reader of Markdown, a line of this program.
const NASTY: [&str; 34] = [
    "=1+1",
    "+1",
    "-1+x()",
    "@x",
    "\u{ff1d}1",
    " =1",
    "\t=1",
    "\"",
    "'",
    ",",
    ";",
    "\r",
    "\n",
    "\r\n",
    "\u{85}",
    "\u{2028}",
    "\u{2029}",
    "\u{1b}[2J",
    "\u{9b}2J",
    "\u{7}",
    "\u{0}",
    "\u{7f}",
    "\u{202e}",
    "\u{feff}",
    "<script>alert(1)</script>",
    "</td>",
    "<!--",
    "&lt;",
    "&#60;",
    "\" onload=\"x",
    "|",
    "`",
    "~~ ** __ [a](b)",
    "\n# x\n---\n- y\n````\n",
];

/// Begins with a letter, so that it is never empty and never taken for a number.
fn words() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        4 => prop::sample::select(NASTY.to_vec()).prop_map(str::to_owned),
        1 => any::<String>(),
        1 => Just("lot 4711".to_owned()),
    ];
    prop::collection::vec(piece, 1..5).prop_map(|pieces| pieces.concat())
}

fn document(record: &Record) -> report::Document {
    let beside = Beside { register: &Register::default(), signatures: Some(&[]) };
    report::review(record, &beside, &Filter::default())
}

/// No code that a terminal obeys, no sign that turns the order of letters.
fn harmless(text: &str) -> bool {
    let bad = |c: char| {
        (c.is_control() && c != '\n')
            || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
    };
    !text.chars().any(bad)
}

/// All tags with the names of their attributes; a class tells only how a cell looks.
fn tags(page: &str) -> Vec<(String, Vec<String>)> {
    let inside = page.split('<').skip(1).map(|rest| rest.split('>').next().unwrap_or_default());
    let name = |tag: &str| tag.chars().take_while(|c| !c.is_whitespace()).collect();
    let attributes = |tag: &str| {
        let outside = tag.split('"').step_by(2).flat_map(str::split_whitespace);
        outside.filter(|w| w.contains('=') && *w != "class=").map(str::to_owned).collect()
    };
    inside.map(|tag| (name(tag), attributes(tag))).collect()
}

/// What Markdown would read as markup, line by line: what is left when escaped signs are taken out.
fn marks(page: &str) -> Vec<String> {
    let line = |line: &str| {
        let mut escaped = false;
        let bare = line.chars().filter(|c| {
            let keep = !escaped && *c != '\\';
            escaped = !escaped && *c == '\\';
            keep
        });
        bare.filter(|c| "|`*_<>[]~".contains(*c)).collect::<String>()
    };
    page.lines().map(line).collect()
}

/// Rows and cells by RFC 4180.
fn cells(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut cell, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match (c, quoted) {
            ('"', true) if chars.peek() == Some(&'"') => cell.extend(chars.next()),
            ('"', _) => quoted = !quoted,
            (',', false) => row.push(std::mem::take(&mut cell)),
            ('\n', false) => {
                row.push(std::mem::take(&mut cell));
                rows.push(std::mem::take(&mut row));
            }
            (c, _) => cell.push(c),
        }
    }
    rows
}

/// What a spreadsheet would run: it begins with a sign and is no number, alone or with a unit.
fn formula(cell: &str) -> bool {
    let (number, symbol) = cell.split_once(' ').unwrap_or((cell, ""));
    let known = symbol.is_empty() || crate::quantity::unit(symbol).is_some();
    if known && number.replace(',', ".").parse::<f64>().is_ok() {
        return false;
    }
    let signs = ['=', '+', '@', '-', '\u{ff1d}', '\u{ff0b}', '\u{ff20}', '\u{ff0d}', '\t', '\r'];
    cell.trim_start().starts_with(signs)
}

fn screen(record: &Record) -> String {
    let home = tempfile::tempdir().unwrap();
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap();
    let modules = super::guide::Embedded::default();
    let mut app = crate::tui::App::new(store, &modules, crate::tui::Theme::coloured());
    app.reading = Some(record.clone());
    app.shown = crate::tui::Shown::Record;
    app.size = (160, 60);
    let mut terminal = Terminal::new(TestBackend::new(160, 60)).unwrap();
    let mut all = String::new();
    for shown in [crate::tui::Shown::Record, crate::tui::Shown::Trials] {
        app.shown = shown;
        terminal.draw(|frame| crate::tui::draw(&app, frame)).unwrap();
        all.extend(terminal.backend().buffer().content.iter().map(|cell| cell.symbol()));
    }
    all
}

#[test]
fn the_places_are_all_that_people_write() {
    let (_, places) = record_of("x");
    assert!(places > 400, "{places}");
}

/// What draws on the terminal leaves out what it cannot draw; a sign that turns the order of letters is seen all the same.
#[test]
fn signs_that_do_harm_are_seen_for_what_they_are() {
    let seen = screen(&record_of("a\u{1b}[2J\u{202e}b\u{feff}c").0);
    assert!(seen.contains("a␛[2J\u{fffd}b\u{fffd}c"), "{seen}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_126), failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn words_stay_words_in_every_form(words in words()) {
        let ((record, _), (plain, _)) = (record_of(&words), record_of("lot 4711"));
        let (document, benign) = (document(&record), document(&plain));
        let page = report::html(&document);
        prop_assert!(harmless(&page));
        prop_assert_eq!(tags(&page), tags(&report::html(&benign)));
        let page = report::markdown(&document);
        prop_assert!(harmless(&page));
        prop_assert_eq!(marks(&page), marks(&report::markdown(&benign)));
        prop_assert!(harmless(&report::text(&document)));
        prop_assert!(harmless(&screen(&record)));
        let sheet = cells(&csv::readings(&record, &Filter::default()));
        prop_assert!(sheet.iter().all(|row| row.len() == sheet[0].len()));
        prop_assert_eq!(sheet.len(), cells(&csv::readings(&plain, &Filter::default())).len());
        prop_assert!(sheet.iter().flatten().all(|c| harmless(c) && !formula(c)), "{:?}", sheet);
        let beside = Beside { register: &Register::default(), signatures: None };
        let json = escaped(&review::as_json(&record, &beside, &Filter::default()).to_string());
        prop_assert!(harmless(&json));
        let back: Value = serde_json::from_str(&json).unwrap();
        prop_assert_eq!(back["build"].as_str(), Some(words.as_str()), "what a program reads is what was written");
        let (own, benign) = (report::trials(&record), report::trials(&plain));
        prop_assert!(harmless(&report::html(&own)) && harmless(&report::text(&own)));
        prop_assert_eq!(tags(&report::html(&own)), tags(&report::html(&benign)));
        prop_assert_eq!(marks(&report::markdown(&own)), marks(&report::markdown(&benign)));
        let sheet = cells(&csv::trials(&record));
        prop_assert!(sheet.len() > 10 && sheet.iter().all(|row| row.len() == sheet[0].len()));
        prop_assert!(sheet.iter().flatten().all(|c| harmless(c) && !formula(c)), "{:?}", sheet);
        compared(&record, &words)?;
    }
}

/// A comparison of two such records.
fn compared(record: &Record, words: &str) -> Result<(), TestCaseError> {
    let mut other = record.clone();
    other.build = format!("{words}2");
    let plain = record_of("lot 4711").0;
    let mut other_plain = plain.clone();
    other_plain.build = "lot 47112".into();
    let page = |a: Record, b: Record| report::compared(&compare(&[a, b]).unwrap(), true);
    let (document, benign) = (page(record.clone(), other), page(plain, other_plain));
    prop_assert_eq!(tags(&report::html(&document)), tags(&report::html(&benign)));
    prop_assert_eq!(marks(&report::markdown(&document)), marks(&report::markdown(&benign)));
    prop_assert!(harmless(&report::text(&document)));
    Ok(())
}
