//! Commands of the record that the long build does not need: decisions, reopening, words that begin with a hyphen, CSV.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::Path;

use common::{json, runtrue};
use serde_json::Value;

const B: &str = "flywheel-1";

fn begun(home: &Path) {
    json(home, &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    for (check, value) in [("zero", "yes"), ("room", "20 °C")] {
        assert_eq!(json(home, &["enter", B, "inspect-instruments", check, value, "--by", "ak"]).0, 0);
    }
}

fn step(home: &Path, id: &str) -> Value {
    let review = json(home, &["review", B]).1;
    review["steps"].as_array().unwrap().iter().find(|s| s["id"] == id).unwrap().clone()
}

#[test]
fn a_decision_needs_no_value_and_only_an_acceptance_answers_yes() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let width = ["enter", B, "inspect-collar-far", "width"];
    assert_eq!(json(home, &[&width[..], &["20.2 mm", "--by", "ak"]].concat()).0, 1);
    let decide = |kind: &str| {
        json(home, &[&width[..], &["--by", "mh", "--disposition", kind, "--reason", "r", "--role", "design"]].concat())
    };
    let (code, said) = decide("rework");
    assert_eq!((code, said["verdict"].as_str()), (1, Some("outside")));
    assert_eq!(decide("scrap").0, 1);
    assert_eq!(step(home, "inspect-collar-far")["state"], "held");
    let (code, said) = decide("use-as-is");
    assert_eq!((code, said["recorded"].as_bool()), (0, Some(true)), "{said}");
    let reading = step(home, "inspect-collar-far")["readings"][0].clone();
    assert_eq!((reading["decided_by"].as_str(), reading["by"].as_str()), (Some("mh"), Some("ak")));
    assert_eq!(runtrue(home, &[&width[..], &["--by", "ak"]].concat()).status.code(), Some(2), "a value or a decision");
}

#[test]
fn words_that_begin_with_a_hyphen_are_kept_as_typed() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    for lot in ["-A7", "-5", "\u{2212}5"] {
        let correct: &[&str] = if lot == "-A7" { &[] } else { &["--correct", "--reason", "-1 misread"] };
        let (code, said) = json(home, &[&["enter", B, "receive-bolts", "lot", lot, "--by", "ak"], correct].concat());
        assert_eq!(code, 0, "{said}");
    }
    json(home, &["note", B, "receive-bolts", "-5 °C in the shop", "--by", "ak"]);
    let readings = step(home, "receive-bolts")["readings"].clone();
    let of = |key: &str| -> Vec<String> {
        readings.as_array().unwrap().iter().map(|r| r[key].as_str().unwrap_or_default().to_owned()).collect()
    };
    assert_eq!(of("entered"), ["-A7", "-5", "\u{2212}5"]);
    assert_eq!(of("reason"), ["", "-1 misread", "-1 misread"]);
    assert_eq!(json(home, &["review", B]).1["notes"][0]["text"], "-5 °C in the shop");
}

#[test]
fn next_says_how_each_step_is_taken_on() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let text = String::from_utf8(runtrue(home, &["next", B]).stdout).unwrap();
    assert!(text.contains("runtrue enter flywheel-1 inspect-disc-1 hole-1 yes --by INITIALS"), "{text}");
    assert!(text.contains("Why now:"));
    json(home, &["enter", B, "inspect-disc-1", "hole-1", "yes", "--by", "ak"]);
    let text = String::from_utf8(runtrue(home, &["next", B]).stdout).unwrap();
    assert!(text.contains("inspect-disc-1 thickness \"… mm\" \"… mm\" \"… mm\" --by INITIALS"), "{text}");
}

#[test]
fn csv_holds_every_reading_once() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    json(home, &["enter", B, "receive-bolts", "lot", "=1+1, \"x\"", "--by", "ak"]);
    json(home, &["enter", B, "inspect-instruments", "room", "-5 °C", "--by", "ak", "--correct", "--reason", "cold"]);
    let text = String::from_utf8(runtrue(home, &["export", B, "--format", "csv"]).stdout).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 1 + 4, "{text}");
    let columns = lines[0].split(',').count();
    assert!(lines[1..].iter().filter(|l| !l.contains('"')).all(|l| l.split(',').count() == columns), "{text}");
    assert!(text.contains("\"'=1+1, \"\"x\"\"\""), "{text}");
    assert!(text.contains(",-5 °C,-5,°C,10,35,outside,"), "{text}");
}

#[test]
fn only_a_closed_record_is_reopened() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let (code, said) = json(home, &["reopen", B, "--by", "mh", "--reason", "x"]);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("only a closed record"), "{said}");
}

#[test]
fn a_file_is_kept_with_its_hash_and_a_change_to_the_copy_is_found() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let photo = home.join("Bild 1.png");
    std::fs::write(&photo, b"not really a picture").unwrap();
    let attach = |file: &Path| {
        json(
            home,
            &["note", B, "inspect-shaft", "dent at the far seat", "--by", "ak", "--attach", file.to_str().unwrap()],
        )
    };
    let (code, said) = attach(&photo);
    assert_eq!((code, said["recorded"].as_bool()), (0, Some(true)), "{said}");
    std::fs::remove_file(&photo).unwrap();
    let (code, found) = json(home, &["verify", B]);
    assert_eq!(code, 0, "{found}");
    let kept = &found["attachments"][0];
    assert_eq!((kept["step"].as_str(), kept["state"].as_str()), (Some("inspect-shaft"), Some("unchanged")));
    let copy = home.join("builds").join(B).join(kept["file"].as_str().unwrap());
    assert_eq!(std::fs::read(&copy).unwrap(), b"not really a picture");
    // The hash is the one that sha256sum prints.
    let sum = std::process::Command::new("sha256sum").arg(&copy).output().unwrap();
    assert!(String::from_utf8_lossy(&sum.stdout).starts_with(kept["sha256"].as_str().unwrap()));
    for (act, state) in [("change", "changed"), ("remove", "missing")] {
        if act == "change" {
            std::fs::write(&copy, b"Not really a picture").unwrap()
        } else {
            std::fs::remove_file(&copy).unwrap()
        }
        let (code, found) = json(home, &["verify", B]);
        assert_eq!((code, found["attachments"][0]["state"].as_str()), (1, Some(state)), "{found}");
    }
    let events = json(home, &["verify", B]).1["events"].clone();
    std::fs::write(home.join("empty"), b"").unwrap();
    for file in [photo.clone(), home.to_owned(), home.join("empty")] {
        let (code, said) = attach(&file);
        assert_eq!(code, 2, "{said}");
    }
    assert_eq!(json(home, &["verify", B]).1["events"], events, "nothing was recorded");
}

#[test]
fn a_part_sent_back_is_asked_about_anew_and_its_old_readings_stay() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let enter = |check: &str, values: &[&str]| {
        json(home, &[&["enter", B, "inspect-collar-far", check, "--by", "ak"], values].concat())
    };
    assert_eq!(enter("bore", &["25.010 mm", "25.010 mm"]).0, 0);
    assert_eq!(enter("width", &["20.2 mm"]).0, 1);
    let decide = |more: &[&str]| {
        let all = ["enter", B, "inspect-collar-far", "width", "--by", "mh", "--disposition", "return"];
        json(home, &[&all[..], &["--reason", "too wide", "--role", "design"], more].concat())
    };
    let (code, said) = decide(&["--part", "disc-1"]);
    assert_eq!(code, 2, "{said}");
    assert!(said["reason"].as_str().unwrap().contains("is not about a part \"disc-1\""), "{said}");
    assert_eq!(decide(&["--part", "collar-far"]).0, 1);
    assert_eq!(step(home, "inspect-collar-far")["state"], "held");
    let next = String::from_utf8(runtrue(home, &["next", B]).stdout).unwrap();
    assert!(next.contains("another part, measure again (collar-far: return at inspect-collar-far, width)"), "{next}");
    assert_eq!(enter("width", &["20.0 mm"]).0, 0);
    let now = step(home, "inspect-collar-far");
    assert_eq!(now["state"], "in hand", "the bore and the face of the next one are not known: {now}");
    let old = &now["readings"][0];
    assert_eq!((old["value"].as_str(), old["former_part"].as_bool()), (Some("25.010 25.010"), Some(true)), "{now}");
    assert_eq!(enter("bore", &["25.008 mm", "25.009 mm"]).0, 0);
    assert_eq!(enter("face", &["yes"]).0, 0);
    assert_eq!(step(home, "inspect-collar-far")["state"], "done");
    assert_eq!(json(home, &["verify", B, "--recompute"]).0, 0);
    let page = String::from_utf8(runtrue(home, &["export", B, "--format", "markdown"]).stdout).unwrap();
    assert!(page.contains("of the part that was given up"), "{page}");
}

/// The commands whose help asks for initials: those that write. Without `review` and `export`, where they pick readings out, and the
/// guide, which asks on its screen.
fn commands_that_write(home: &Path) -> Vec<String> {
    let help = |of: &[&str]| String::from_utf8(runtrue(home, &[of, &["--help"]].concat()).stdout).unwrap();
    let all = help(&[]);
    let list = all.split_once("Commands:\n").unwrap().1.lines().take_while(|l| l.starts_with("  "));
    let names = list.filter(|l| !l.starts_with("   ")).filter_map(|l| l.split_whitespace().next());
    let asks = |name: &&str| help(&[*name]).contains("--by <INITIALS>");
    let mut names: Vec<String> = names.filter(asks).map(str::to_owned).collect();
    names.retain(|n| !["review", "export", "resume"].contains(&n.as_str()));
    names.sort();
    names
}

#[test]
fn every_command_that_writes_says_that_initials_stand_under_no_role() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let said = |args: &[&str]| String::from_utf8(runtrue(home, args).stderr).unwrap();
    let note = |by: &str| said(&["note", B, "inspect-shaft", "seen", "--by", by]);
    assert!(note("n1").contains("n1 is not among the people of the spec"));
    assert_eq!(note("n1"), "", "said once");
    assert_eq!(note("jo"), "");
    let (_, entered) = json(home, &["enter", B, "inspect-shaft", "run-out", "0.01 mm", "--by", "e1"]);
    assert!(entered["doubt"].as_str().unwrap().contains("e1 is not among the people"), "{entered}");
    assert!(step(home, "inspect-shaft").to_string().contains("e1 is not among the people"), "kept with the reading");
    let mut tried: Vec<&[&str]> = vec![
        &["adopt", B, "--role", "design", "--reason", "r"],
        &["build", "flywheel", "--serial", "2", "--no-open"],
        &["change", B, "--redo", "inspect-instruments", "--reason", "r", "--begin"],
        &["enter", B, "inspect-shaft", "run-out", "0.01 mm"],
        &["finish", B],
        &["hours", B, "2 h"],
        &["note", B, "inspect-shaft", "seen"],
        &["part", B, "disc-1", "--lot", "7"],
        &["release", B, "prove-slip", "--role", "design"],
        &["reopen", B, "--reason", "r"],
        &["trial", B, "--speed", "100 rpm"],
        &["visit", B],
    ];
    assert_eq!(commands_that_write(home), tried.iter().map(|t| t[0].to_owned()).collect::<Vec<_>>());
    // What begins a change comes last: another plan is in hand then.
    tried.sort_by_key(|t| t[0] == "change");
    for (k, command) in tried.iter().enumerate() {
        let by = format!("x{k}");
        let said = said(&[command, &["--by", &by][..]].concat());
        assert!(said.contains(&format!("{by} is not among the people of the spec")), "{command:?}: {said}");
    }
}

#[test]
fn what_begins_with_a_hyphen_is_kept_as_typed_beside_the_record_too() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let range = "-10 to 50 °C";
    json(home, &["instruments", "add", "T-1", "--kind", "-thermometer", "--range", range, "--uncertainty", "0.5 K"]);
    let list = json(home, &["instruments"]).1.to_string();
    assert!(list.contains(range) && list.contains("\"-thermometer\""), "{list}");
    begun(home);
    json(home, &["change", B, "--replace", "belt", "--begin", "--by", "ak", "--reason", "-5 °C cracked it"]);
    let record = std::fs::read_to_string(home.join("builds").join(B).join("traveler.yaml")).unwrap();
    assert!(!record.contains('\u{2060}') && record.contains("-5 °C cracked it"));
}

/// A reading is of who measured it or of who typed it; it is never left open which.
#[test]
fn who_measured_is_told_with_paper_only() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let enter = ["enter", B, "receive-bolts", "lot", "A7", "--by", "ak", "--measured-by", "jo", "--at", "9:30"];
    let output = runtrue(home, &enter);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("--from-paper"));
    assert_eq!(json(home, &[&enter[..], &["--from-paper"]].concat()).0, 0);
    let trial = ["trial", B, "--speed", "100 rpm", "--by", "ak", "--measured-by", "jo"];
    assert!(String::from_utf8_lossy(&runtrue(home, &trial).stderr).contains("--from-paper"));
}

#[test]
fn a_step_that_never_was_is_no_empty_document() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    begun(home);
    let output = runtrue(home, &["export", B, "--step", "receive-bolt"]);
    assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("there is no step \"receive-bolt\"") && said.contains("receive-bolts"), "{said}");
}
