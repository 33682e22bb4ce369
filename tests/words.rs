//! Every visible label is in the list of words of `DEVELOPERS.md`, with where it comes from.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use runtrue::traveler::DispositionKind;
use runtrue::tui::keys;

/// The heading under which the list stands.
const HEADING: &str = "## Words and where they come from";

/// What an origin may be; a program that somebody has seen is none.
const ORIGINS: [&str; 4] = ["Trade", "Standards", "Plain English", "Keyboard and terminal"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") && !path.to_string_lossy().contains("tests") {
            out.push(path);
        }
    }
}

/// The code of a room without its tests and its comments, file by file.
fn code(room: &str) -> Vec<String> {
    let mut files = Vec::new();
    sources(&root().join("src").join(room), &mut files);
    let plain = |text: String| {
        let code = text.split("#[cfg(test)]").next().unwrap().to_owned();
        code.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
    };
    files.into_iter().map(|f| plain(std::fs::read_to_string(f).unwrap())).collect()
}

/// The texts in quotation marks of a piece of code.
fn texts(code: &str) -> impl Iterator<Item = &str> {
    code.split('"').skip(1).step_by(2)
}

/// The first text in quotation marks that stands behind each `before`, within the same call.
fn behind<'a>(code: &'a str, before: &str) -> Vec<&'a str> {
    let calls = code.split(before).skip(1).map(|rest| rest.split([';', ')']).next().unwrap());
    calls.filter_map(|call| texts(call).next()).filter(|t| !t.contains('{')).collect()
}

/// The label that a text begins with: up to three words before a colon.
fn label(text: &str) -> Option<&str> {
    let text = text.trim_start_matches("\\n").trim_start();
    let (label, rest) = text.split_once(':')?;
    let words = label.chars().all(|c| c.is_alphabetic() || " '-".contains(c)) && label.split(' ').count() <= 3;
    (words && label.len() > 1 && (rest.is_empty() || rest.starts_with([' ', '\\']))).then_some(label)
}

/// The names in a list of names and values: `("Name", value)`.
fn pairs(code: &str) -> Vec<&str> {
    let mut found = Vec::new();
    for (at, _) in code.match_indices("(\"") {
        let call = code[..at].chars().next_back().is_some_and(|c| c.is_alphanumeric() || "_!".contains(c));
        let Some((name, rest)) = code[at + 2..].split_once('"').filter(|_| !call) else { continue };
        let named = name.starts_with(|c: char| c.is_ascii_uppercase())
            && name.chars().all(|c| c.is_alphabetic() || " '".contains(c));
        found.extend((named && rest.starts_with(',')).then_some(name));
    }
    found
}

/// The texts of lists that hold nothing but texts: heads of tables.
fn lists(code: &str) -> Vec<&str> {
    let bodies = code.split('[').skip(1).filter_map(|rest| rest.split_once(']')).map(|(body, _)| body);
    let only_texts = |body: &&str| {
        body.contains('"') && body.split('"').step_by(2).all(|between| between.chars().all(|c| ", \n".contains(c)))
    };
    let word =
        |t: &&str| t.starts_with(char::is_alphabetic) && t.chars().all(|c| c.is_alphabetic() || " ,'/-".contains(c));
    bodies.filter(only_texts).flat_map(texts).filter(word).collect()
}

/// Runs of words in capitals: what a state shouts.
fn capitals(text: &str) -> Vec<String> {
    let shouted = |w: &str| {
        w.chars().filter(char::is_ascii_uppercase).count() > 2 && !w.contains(|c: char| c.is_ascii_lowercase())
    };
    let loud = |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_uppercase());
    let mut runs: Vec<Vec<&str>> = vec![Vec::new()];
    for word in text.split(|c: char| !c.is_alphanumeric()) {
        if loud(word) {
            runs.last_mut().unwrap().push(word);
        } else if !word.is_empty() || !runs.last().unwrap().is_empty() {
            runs.push(Vec::new());
        }
    }
    runs.into_iter().map(|r| r.join(" ")).filter(|r| shouted(r)).collect()
}

/// A text without what is put into it.
fn without_slots(text: &str) -> String {
    let slots = text.split('{').map(|part| part.split_once('}').map_or(part, |(_, rest)| rest));
    slots.collect::<Vec<_>>().join(" x ")
}

fn commands(of: &[&str]) -> BTreeSet<String> {
    let output = Command::new(env!("CARGO_BIN_EXE_runtrue")).args(of).arg("--help").output().unwrap();
    let help = String::from_utf8(output.stdout).unwrap();
    let list = help.split_once("Commands:\n").unwrap().1;
    let names = list.lines().take_while(|l| l.starts_with("  ")).filter(|l| !l.starts_with("   "));
    names.filter_map(|l| l.split_whitespace().next()).map(str::to_owned).collect()
}

/// Every visible label, with the place it was found in.
fn labels() -> BTreeMap<String, &'static str> {
    let mut found = BTreeMap::new();
    let mut put = |word: &str, place| {
        if !word.trim().is_empty() {
            found.entry(word.trim().to_owned()).or_insert(place);
        }
    };
    keys::TABLE.iter().for_each(|row| {
        put(row.short, "the key bar");
        if row.name.chars().count() > 1 {
            put(row.name, "the names of keys");
        }
    });
    commands(&[]).iter().for_each(|c| put(c, "the commands"));
    commands(&["calc"]).iter().for_each(|c| put(c, "the topics of the calculator"));
    DispositionKind::ALL.iter().for_each(|(word, _)| put(word, "the dispositions"));
    for file in [code("traveler"), code("procedure")].concat() {
        for body in file.split("fn word(self) -> &'static str {").skip(1) {
            let body = body.split("\n    }").next().unwrap();
            texts(body).for_each(|t| put(t, "the words of states"));
        }
    }
    for file in code("traveler/report") {
        for before in ["section(", "Heading(2, "] {
            behind(&file, before).into_iter().for_each(|t| put(t, "headings of a review"));
        }
        lists(&file).into_iter().for_each(|t| put(t, "heads of tables"));
        pairs(&file).into_iter().for_each(|t| put(t, "facts of a review"));
    }
    for file in [code("tui"), code("cli"), code("traveler/report")].concat() {
        texts(&file).filter_map(label).for_each(|t| put(t, "labels before a colon"));
    }
    for file in code("tui") {
        pairs(&file).into_iter().for_each(|t| put(t, "names of values"));
        for before in ["bar(app, frame, head, ", "section(app, &mut lines, "] {
            behind(&file, before).into_iter().for_each(|t| put(t, "head lines and headings"));
        }
        for before in ["heading(app, ", "heading(app, lines, ", "Ask::new(", "title: "] {
            behind(&file, before).into_iter().for_each(|t| put(t, "headings and windows"));
        }
        texts(&file)
            .map(without_slots)
            .flat_map(|t| capitals(&t))
            .for_each(|run| put(&run, "what the screens print in capitals"));
    }
    found
}

/// The list: word to origin.
fn listed() -> BTreeMap<String, String> {
    let text = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let list = text.split_once(HEADING).unwrap().1.split("\n## ").next().unwrap();
    let mut words = BTreeMap::new();
    for entry in list.split("\n- **").skip(1) {
        let (origin, rest) = entry.split_once("**").unwrap();
        let origin = origin.split([':', ',']).next().unwrap();
        assert!(ORIGINS.contains(&origin), "{origin} is no origin");
        for word in rest.split("\n\n").next().unwrap().split('`').skip(1).step_by(2) {
            let word = word.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.insert(word.clone(), origin.to_owned()).is_none(), "`{word}` stands in the list twice");
        }
    }
    words
}

#[test]
fn every_visible_label_has_its_origin_and_every_origin_its_label() {
    let (labels, listed) = (labels(), listed());
    assert!(labels.len() > 150, "{}: the labels are not found any more", labels.len());
    let missing: Vec<_> = labels.iter().filter(|(word, _)| !listed.contains_key(*word)).collect();
    let unused: Vec<_> = listed.keys().filter(|word| !labels.contains_key(*word)).collect();
    assert!(missing.is_empty(), "not in the list of DEVELOPERS.md: {missing:#?}");
    assert!(unused.is_empty(), "in the list of DEVELOPERS.md and nowhere on a screen: {unused:#?}");
}
