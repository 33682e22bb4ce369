//! `procedures/walkthrough.md` is true: every command in it is run, in order, in one fresh home, and prints what stands there.
//!
//! - A fenced block `text` holds commands, `$ runtrue …`, each with its standard output, then its messages. A last line
//!   `[exit code 1]` stands where the code is not 0. `> FILE` keeps the standard output in a file beside the home.
//! - A line `…` stands for any lines, none as well.
//! - What is not the same twice is held by its form: `<date>` 2026-01-31, `<time>` a date with hours and minutes, and seconds and
//!   offset if they are there, `<clock>` that without its date, `<code>` the code for the plate, `<hash>` a SHA-256, `<days>`
//!   a whole number of days.
//! - In a command `<code>` is the last code that was printed.
//! - A remark `<!-- BUILD: steps before STEP -->`, `<!-- BUILD: steps until STEP is held -->`, `<!-- BUILD: all steps -->` enters
//!   good values and releases holds by the library; `<!-- FILE: a copy of PATH -->` lays a file of this project into the folder.
//!
//! `RUNTRUE_WALKTHROUGH=write cargo test --test walkthrough` writes the outputs anew; cuts stay where their neighbours are found.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use runtrue::traveler::{StepState, Store};

mod common;

use common::{words_of, work_until};

const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures/walkthrough.md");
const CUT: &str = "…";
const CODED: &str = "[exit code ";

/// A placeholder and the length of what fits it at the start of a text.
type Form = (&'static str, fn(&str) -> Option<usize>);

/// The longer forms first: that is the order in which they are written.
const FORMS: [Form; 6] =
    [("<hash>", hash), ("<code>", code), ("<time>", time), ("<date>", date), ("<clock>", clock), ("<days>", days)];

/// Length of the longest start of `text` that fits a shape: `0` a digit, `x` a lower hex digit, else the character itself.
fn shaped(text: &str, shape: &str) -> Option<usize> {
    let mut chars = text.chars();
    let fits = shape.chars().all(|s| {
        chars.next().is_some_and(|c| match s {
            '0' => c.is_ascii_digit(),
            'x' => c.is_ascii_digit() || ('a'..='f').contains(&c),
            s => c == s,
        })
    });
    fits.then_some(shape.len())
}

fn hash(text: &str) -> Option<usize> {
    shaped(text, &"x".repeat(64))
}

fn code(text: &str) -> Option<usize> {
    shaped(text, "xxxx-xxxx-xxxx-xxxx")
}

fn date(text: &str) -> Option<usize> {
    shaped(text, "0000-00-00")
}

fn clock(text: &str) -> Option<usize> {
    let at = shaped(text, "00:00")?;
    let at = at + shaped(&text[at..], ":00").unwrap_or(0);
    let at = at + shaped(&text[at..], ".000").unwrap_or(0);
    Some(at + offset(&text[at..]))
}

/// Length of an offset from UTC, written close or with a space before it.
fn offset(text: &str) -> usize {
    ["+00:00", " +00:00", "-00:00", " -00:00"].iter().find_map(|s| shaped(text, s)).unwrap_or(0)
}

fn time(text: &str) -> Option<usize> {
    let at = shaped(text, "0000-00-00T").or_else(|| shaped(text, "0000-00-00 "))?;
    Some(at + clock(&text[at..])?)
}

fn days(text: &str) -> Option<usize> {
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    (digits > 0).then_some(digits)
}

/// A printed line fits a line of the file.
fn line_fits(wanted: &str, said: &str) -> bool {
    let first = FORMS.iter().filter_map(|f| wanted.find(f.0).map(|at| (at, f))).min_by_key(|(at, _)| *at);
    let Some((at, (name, form))) = first else { return wanted == said };
    said.strip_prefix(&wanted[..at])
        .and_then(|rest| form(rest).map(|n| &rest[n..]))
        .is_some_and(|rest| line_fits(&wanted[at + name.len()..], rest))
}

/// The first line of the file that does not fit, as (place in `wanted`, place in `said`).
fn differs(wanted: &[String], said: &[String]) -> Option<(usize, usize)> {
    let mut far = (0, 0);
    let coded = |list: &[String]| list.last().filter(|l| l.starts_with(CODED)).cloned();
    if coded(wanted) != coded(said) {
        let last = |list: &[String]| list.len() - usize::from(coded(list).is_some());
        return Some((last(wanted), last(said)));
    }
    if fits_from(wanted, said, (0, 0), &mut far) { None } else { Some(far) }
}

fn fits_from(wanted: &[String], said: &[String], at: (usize, usize), far: &mut (usize, usize)) -> bool {
    *far = (*far).max(at);
    match (wanted.get(at.0), said.get(at.1)) {
        (None, None) => true,
        (Some(w), _) if w == CUT => (at.1..=said.len()).any(|k| fits_from(wanted, said, (at.0 + 1, k), far)),
        (Some(w), Some(s)) if line_fits(w, s) => fits_from(wanted, said, (at.0 + 1, at.1 + 1), far),
        _ => false,
    }
}

/// A printed line with its forms in place of what changes, for writing the file anew.
fn with_forms(said: &str) -> String {
    let mut out = String::new();
    let mut rest = said;
    while let Some(c) = rest.chars().next() {
        let inside = out.chars().last().is_some_and(|l| l.is_ascii_alphanumeric());
        // A bare number of days has no form to be known by: where one changes, a person writes it.
        let found = FORMS.iter().filter(|f| !inside && f.0 != "<days>");
        if let Some((name, n)) = found.filter_map(|(name, form)| form(rest).map(|n| (name, n))).next() {
            out.push_str(name);
            rest = &rest[n..];
        } else {
            out.push(c);
            rest = &rest[c.len_utf8()..];
        }
    }
    out
}

/// The line that a cut leads to: the same one, or the one that has other numbers only. A new step moves the numbers of those after it.
fn after_cut(wanted: &str, said: &[String], from: usize) -> Option<usize> {
    let numberless =
        |line: &str| line.split(|c: char| c.is_ascii_digit()).filter(|p| !p.is_empty()).collect::<String>();
    let find = |fits: &dyn Fn(&str) -> bool| (from..said.len()).find(|k| fits(&said[*k]));
    find(&|line| line_fits(wanted, line)).or_else(|| find(&|line| numberless(line) == numberless(wanted)))
}

/// What is written for a command anew: the old lines where they fit, cuts where the lines after them are found.
fn anew(wanted: &[String], said: &[String]) -> Vec<String> {
    if !wanted.is_empty() && differs(wanted, said).is_none() {
        return wanted.to_vec();
    }
    let mut out: Vec<String> = Vec::new();
    let mut at = 0;
    let mut parts = wanted.split(|w| w == CUT);
    let head = parts.next().map_or(said.len(), <[String]>::len);
    let whole = !wanted.iter().any(|w| w == CUT);
    let take =
        |from: usize, n: usize| said[from.min(said.len())..(from + n).min(said.len())].iter().map(|l| with_forms(l));
    out.extend(take(0, if whole { said.len() } else { head }));
    at += head;
    for part in parts {
        out.push(CUT.to_owned());
        let found = part.first().map(|w| after_cut(w, said, at));
        match found {
            None => {}
            Some(Some(k)) => {
                out.extend(take(k, part.len()));
                at = k + part.len();
            }
            Some(None) => {
                out.extend(take(at, said.len()));
                return out;
            }
        }
    }
    out
}

/// What a command prints, line by line, with its exit code where that is not 0.
fn run(folder: &Path, line: &str) -> Vec<String> {
    let (line, file) = line.split_once(" > ").map_or((line, None), |(l, f)| (l, Some(f)));
    let output = Command::new(env!("CARGO_BIN_EXE_runtrue"))
        .env_clear()
        .env("RUNTRUE_HOME", folder.join("home"))
        .env("RUNTRUE_CACHE", folder.join("cache"))
        .env("HOME", folder)
        .env("TZ", "UTC")
        .current_dir(folder)
        .args(words_of(line))
        .output()
        .unwrap();
    let mut said = String::from_utf8(output.stdout).unwrap();
    if let Some(file) = file {
        std::fs::write(folder.join(file), &said).unwrap();
        said.clear();
    }
    said.push_str(&String::from_utf8(output.stderr).unwrap());
    let code = output.status.code().unwrap();
    if code != 0 {
        writeln!(said, "{CODED}{code}]").unwrap();
    }
    said.lines().map(|l| l.trim_end().to_owned()).collect()
}

/// What a remark of the file asks for between two commands.
fn between(folder: &Path, remark: &str) {
    let (whose, what) = remark.split_once(": ").unwrap_or_else(|| panic!("no such remark: {remark}"));
    if let Some(path) = what.strip_prefix("a copy of ") {
        std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join(path), folder.join(whose)).unwrap();
        return;
    }
    let store = Store::locate(Some(&folder.join("home"))).unwrap();
    let mut session = store.resume(whose).unwrap();
    let has = |id: &str| assert!(session.record().step(id).is_some(), "{whose} has no step {id}");
    if what == "all steps" {
        work_until(&mut session, |_, _| false);
        assert!(session.record().open_steps().is_empty(), "{whose} has open steps");
    } else if let Some(step) = what.strip_prefix("steps before ") {
        has(step);
        work_until(&mut session, |id, _| id == step);
        assert_eq!(session.record().open_steps().first().map(|s| s.id.as_str()), Some(step));
    } else if let Some(step) = what.strip_prefix("steps until ").and_then(|s| s.strip_suffix(" is held")) {
        has(step);
        work_until(&mut session, |id, state| id == step && state == StepState::Held);
        assert_eq!(session.record().step_state(step), StepState::Held);
    } else {
        panic!("no such remark: {remark}");
    }
}

#[test]
fn every_command_of_the_walk_through_prints_what_stands_there() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let write = std::env::var_os("RUNTRUE_WALKTHROUGH").is_some_and(|w| w == "write");
    let text = std::fs::read_to_string(FILE).unwrap();
    let lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (mut out, mut wrong, mut commands) = (Vec::new(), String::new(), 0);
    let (mut at, mut fenced, mut last_code) = (0, false, String::new());
    while at < lines.len() {
        let line = &lines[at];
        out.push(line.clone());
        at += 1;
        if line.starts_with("```") {
            fenced = !fenced;
        } else if let Some(remark) = line.strip_prefix("<!-- ").and_then(|l| l.strip_suffix(" -->")) {
            between(folder, remark);
        }
        let Some(command) = line.strip_prefix("$ runtrue ").filter(|_| fenced) else { continue };
        commands += 1;
        let said = run(folder, &command.replace("<code>", &last_code));
        let end = lines[at..].iter().position(|l| l.starts_with("$ ") || l == "```").unwrap();
        // An empty line between two commands is for the eye. No cut hides an exit code.
        let mut wanted = &lines[at..at + end];
        let gap = lines[at + end].starts_with("$ ") && wanted.last().is_some_and(String::is_empty);
        wanted = &wanted[..wanted.len() - usize::from(gap)];
        if write {
            out.extend(anew(wanted, &said));
            out.extend(gap.then(String::new));
        } else if let Some((w, s)) = differs(wanted, &said) {
            let of = |list: &[String], k: usize| list.get(k).cloned().unwrap_or_else(|| "(nothing more)".into());
            writeln!(
                wrong,
                "walkthrough.md:{}: $ runtrue {command}\n  stands:  {}\n  printed: {}",
                at + w + 1,
                of(wanted, w),
                of(&said, s)
            )
            .unwrap();
        }
        at += end;
        let mut codes = said.iter().flat_map(|l| l.split_whitespace()).filter(|w| code(w) == Some(w.len()));
        last_code = codes.next_back().map_or(last_code, str::to_owned);
    }
    if write {
        std::fs::write(FILE, out.join("\n") + "\n").unwrap();
        return;
    }
    assert!(commands >= 40, "{commands} commands");
    assert!(wrong.is_empty(), "{wrong}");
}

/// The reader of the file itself: a line too many, one missing, a form that is not kept.
#[test]
fn a_difference_is_found_where_it_is() {
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    let cut = lines("a\n…\nd <date>\nof <days> days");
    assert_eq!(differs(&cut, &lines("a\nb\nc\nd 2026-01-31\nof 12 days")), None);
    assert_eq!(differs(&cut, &lines("a\nd 2026-01-31\nof 12 days")), None);
    assert_eq!(differs(&cut, &lines("a\nb\nd 2026-01-31\nof 12 days\nmore")), Some((4, 4)));
    assert!(differs(&cut, &lines("a\nb\nd 31.01.2026\nof 12 days")).is_some());
    assert!(differs(&cut, &lines("a\nb\nd 2026-01-31")).is_some());
    assert_eq!(differs(&lines("a\nb"), &lines("a\nc")), Some((1, 1)));
    assert_eq!(differs(&lines("a\n…"), &lines("a\nb\n[exit code 1]")), Some((2, 2)));
    assert_eq!(differs(&lines("a\n…\n[exit code 1]"), &lines("a\nb\n[exit code 1]")), None);
    let moved = lines("1. a\n2. new\n3. b\n4. c");
    assert_eq!(anew(&lines("1. a\n…\n3. c"), &moved), lines("1. a\n…\n4. c"), "the cut stays where a step came in");
    assert_eq!(with_forms("at 2026-01-31T09:31:07.412+02:00, 1a2b-3c4d-5e6f-7a8b"), "at <time>, <code>");
    assert!(line_fits("at <time>, x", "at 2026-01-31 09:31, x") && !line_fits("<code>", "1a2b-3c4d-5e6f"));
}
