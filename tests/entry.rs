//! What is typed: a caliper at full speed and pastes on every screen, values that a kill interrupts, and what the command
//! line asks before it records.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::Path;

use common::terminal::Terminal;
use common::{good, json, runtrue};

const BUILD: &str = "flywheel-1";

fn begun(home: &Path) -> Terminal {
    json(home, &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    json(home, &["enter", BUILD, "inspect-instruments", "zero", "yes", "--by", "ak"]);
    json(home, &["enter", BUILD, "inspect-instruments", "room", "21 °C", "--by", "ak"]);
    resumed(home)
}

/// The guide, with the step done last looked at.
fn resumed(home: &Path) -> Terminal {
    let mut terminal = Terminal::start(&["resume", BUILD, "--by", "ak"], 80, 24, home);
    terminal.wait_for("look at these again");
    terminal.send("w");
    terminal.wait_until("the step", |s| s.contains("step 2 of") && !s.contains("look at these again"));
    terminal
}

fn record(home: &Path) -> Vec<u8> {
    std::fs::read(home.join("builds").join(BUILD).join("traveler.yaml")).unwrap()
}

/// Fifty values as a caliper sends them, in one go.
fn caliper() -> String {
    (0..50).map(|n| format!("25.0{n:02}\r")).collect()
}

/// To a step whose turn has not come.
const FAR_AHEAD: &str = "\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C\x1b[C";

/// Screens of the guide: keys that lead there from the step, words that stand there, keys that lead back.
const SCREENS: [(&str, &str, &str); 10] = [
    ("", "Hole 1 marked", ""),
    ("p", "step 2 of", "p"),
    ("z", "z  back", "z"),
    ("l", "All steps", "\x1b"),
    ("r", "Record of flywheel", "\x1b"),
    ("mh", "Hand-over of", "\x1b"),
    ("?", "Esc closes", "\x1b"),
    ("s", "step 2 of", ""),
    (FAR_AHEAD, "LOOKING ONLY", "w"),
    ("q", "runtrue: the bench", ""),
];

/// Does something on every screen; a capital letter that means nothing shows when all of it has been read.
fn on_every_screen(terminal: &mut Terminal, keys: &str) {
    for (n, (there, words, back)) in (b'A'..).zip(SCREENS) {
        terminal.send(there);
        terminal.wait_for(words);
        terminal.send(keys);
        terminal.send(back);
        if back == "\x1b" {
            // An Esc with a letter at its heels would be another key.
            terminal.wait_until("the step again", |s| s.contains("Hole 1 marked") && !s.contains(words));
        }
        let mark = char::from(n);
        terminal.send(&mark.to_string());
        terminal.wait_for(&format!("{mark} does nothing here"));
    }
    terminal.wait_for("runtrue: the bench");
}

#[test]
fn fifty_caliper_values_at_full_speed_change_nothing_but_an_open_entry() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let mut terminal = begun(home);
    let before = record(home);
    on_every_screen(&mut terminal, &caliper());
    assert!(record(home) == before, "a value has reached the record");
    assert_eq!(std::fs::read_dir(home.join("builds")).unwrap().count(), 1, "no build was started");
    drop(terminal);
    // While the steps done last are looked at, a caliper looks at none of them.
    let mut terminal = Terminal::start(&["resume", BUILD, "--by", "ak"], 80, 24, home);
    terminal.wait_for("look at these again");
    terminal.send(&format!("{}J", caliper()));
    terminal.wait_for("seen. q: back");
    assert!(terminal.screen().contains("1 to go"), "{}", terminal.screen());
    terminal.send("w");
    // In an open series they are values, and these can hardly be: the first of them waits for its answer.
    terminal.wait_for("Hole 1 marked");
    terminal.send("y");
    terminal.wait_for("hole 1 (1 of 3)");
    terminal.send(&caliper());
    terminal.wait_until("the last of them", |s| s.contains("25.049 mm? Hardly"));
    let text = String::from_utf8(record(home)).unwrap();
    assert_eq!(text.matches("what: reading").count(), 3, "the two of step 1 and the yes");
    // What fits goes into this one entry, as a whole.
    terminal.send(&"8.01\r".repeat(3));
    terminal.wait_for("numbered face x (1 of 4)");
    let text = String::from_utf8(record(home)).unwrap();
    assert_eq!(text.matches("what: reading").count(), 4);
}

#[test]
fn a_paste_fires_no_key_on_any_screen() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let mut terminal = begun(home);
    let before = record(home);
    on_every_screen(&mut terminal, "\x1b[200~yq\r\nx25.01\r\nw\x1b[201~");
    assert!(record(home) == before, "a pasted letter has done something");
}

#[test]
fn values_typed_before_a_kill_are_offered_and_count_when_taken_up() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let mut terminal = begun(home);
    terminal.send("y");
    terminal.wait_for("hole 1 (1 of 3)");
    terminal.send("8.05\r8.04\r");
    terminal.wait_for("2 taken, not saved yet");
    terminal.kill();
    let before = record(home);
    let mut terminal = resumed(home);
    terminal.wait_for("2 of 3 typed by ak");
    assert!(record(home) == before, "an offer is no entry");
    terminal.send("\r8.03\r");
    terminal.wait_for("Say first");
    terminal.send("y");
    terminal.wait_for("hole 5 (3 of 3)");
    terminal.send("8.03\r");
    terminal.wait_for("Saved, entry 5");
    assert!(!home.join("builds").join(BUILD).join("not-complete.yaml").exists());
    drop(terminal);
    let review = json(home, &["review", BUILD, "--step", "inspect-disc-1"]).1;
    assert!(review.to_string().contains("8.05 8.04 8.03"), "{review}");
    assert_eq!(json(home, &["verify", BUILD]).0, 0);
}

#[test]
fn the_command_line_asks_about_gauges_words_and_initials() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let started = runtrue(home, &["build", "flywheel", "--serial", "1", "--by", "zz", "--no-open"]);
    assert_eq!((started.status.code(), started.stdout.as_slice()), (Some(0), &b"flywheel-1\n"[..]));
    let said = String::from_utf8(started.stderr).unwrap();
    assert!(said.contains("zz is not among the people of the spec (design: mh; fitter: ak, jo)"), "{said}");
    assert!(said.contains("counts as a helper"), "{said}");
    let known = runtrue(home, &["build", "flywheel", "--serial", "2", "--by", "ak", "--no-open"]);
    assert!(known.stderr.is_empty());
    for command in [
        &["trial", "flywheel-2", "--speed", "100 rpm"][..],
        &["adopt", "flywheel-2", "--role", "design", "--reason", "runs well"],
        &["hours", "flywheel-2", "2 h"],
    ] {
        let said = runtrue(home, &[command, &["--by", "qq"]].concat()).stderr;
        assert!(String::from_utf8(said).unwrap().contains("qq counts as a helper"), "{command:?}");
    }
    let enter = |step: &str, check: &str, values: &[&str], more: &[&str]| {
        json(home, &[&["enter", BUILD, step, check, "--by", "ak"], more, values].concat())
    };
    let plan = json(home, &["plan", "flywheel"]).1;
    let all_good = |id: &str, until: &str| {
        let step = plan["steps"].as_array().unwrap().iter().find(|s| s["id"] == id).unwrap();
        for check in step["checks"].as_array().unwrap().iter().take_while(|c| c["id"] != until) {
            let values = good(check);
            if !values.is_empty() {
                let values: Vec<&str> = values.iter().map(String::as_str).collect();
                let (code, said) = enter(id, check["id"].as_str().unwrap(), &values, &[]);
                assert_eq!(code, 0, "{id} {check}: {said}");
            }
        }
    };
    for (step, until) in
        [("inspect-instruments", ""), ("inspect-disc-1", ""), ("deburr-disc-1", ""), ("ream-disc-1", "plug")]
    {
        all_good(step, until);
    }
    let (code, said) = enter("ream-disc-1", "plug", &["go=no", "no-go=yes"], &[]);
    assert_eq!((code, &said["verdict"]), (1, &serde_json::json!("outside")), "{said}");
    assert!(said["doubt"].as_str().unwrap().contains("no hole is like that"), "{said}");
    let (code, said) = enter("inspect-bearing-far", "marking", &["UC206"], &[]);
    assert_eq!((code, &said["verdict"], &said["wanted"]), (1, &"outside".into(), &"UC205".into()), "{said}");
    assert_eq!(enter("inspect-bearing-far", "marking", &["UC 205"], &[]).0, 0);
    // A program may confirm what a person types.
    assert_eq!(enter("inspect-bearing-drive", "marking", &["yes"], &[]).0, 0);
    let (code, said) = enter("inspect-shaft", "diameter", &["25 mm"], &[]);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("12 values are needed: bearing-far x"), "{said}");
    // A number that can hardly be is recorded, as a reading outside, and the doubt is told and kept with it.
    let odd = runtrue(home, &["enter", BUILD, "inspect-shaft", "run-out", "0.9 mm", "--by", "ak"]);
    assert_eq!(odd.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&odd.stderr).contains("0.9 mm can hardly be"), "{odd:?}");
    let review = json(home, &["review", BUILD, "--step", "inspect-shaft"]).1.to_string();
    assert!(review.contains("0.9 mm can hardly be"), "{review}");
}
