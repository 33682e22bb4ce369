//! The record under faults: damaged starts, converted line ends, a full disk, several writers, entries too large.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use common::json;

const B: &str = "flywheel-1";

fn build(home: &Path) -> PathBuf {
    assert_eq!(json(home, &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]).0, 0);
    home.join("builds").join(B).join("traveler.yaml")
}

fn note(home: &Path, text: &str) -> i32 {
    json(home, &["note", B, "receive-bolts", text, "--by", "ak"]).0
}

/// Exit code, `whole`, first bad event, torn tail.
fn verify(home: &Path) -> (i32, Option<bool>, Option<u64>, Option<bool>) {
    let (code, v) = json(home, &["verify", B]);
    (code, v["whole"].as_bool(), v["first_bad_event"].as_u64(), v["torn_tail"].as_bool())
}

#[test]
fn verify_answers_for_a_damaged_start() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let file = build(home);
    let good = std::fs::read_to_string(&file).unwrap();
    assert_eq!(verify(home), (0, Some(true), None, Some(false)));
    let altered = good.replacen("revision: A", "revision: Z", 1);
    let converted = good.replace('\n', "\r\n");
    let torn = good[..good.len() / 2].to_owned();
    for (text, expected) in [
        (altered.as_str(), (1, Some(false), Some(1), Some(false))),
        (converted.as_str(), (1, Some(false), Some(1), Some(false))),
        (torn.as_str(), (1, Some(true), None, Some(true))),
        ("", (1, Some(false), Some(1), Some(false))),
    ] {
        std::fs::write(&file, text).unwrap();
        assert_eq!(verify(home), expected);
        assert_eq!(note(home, "x"), 2, "nothing is written after a damaged start");
        assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
    }
    std::fs::write(&file, &converted).unwrap();
    let said = json(home, &["verify", B]).1["reason"].as_str().unwrap().to_owned();
    assert!(said.contains("line ends were converted"), "{said}");
}

/// Every byte of the last event, and bytes all over the file, changed one at a time.
#[test]
fn a_byte_changed_anywhere_is_found() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let file = build(home);
    assert_eq!(note(home, "x"), 0);
    let good = std::fs::read(&file).unwrap();
    let whole = |bytes: &[u8]| {
        let i = runtrue::traveler::Record::integrity_of(bytes);
        i.whole() && i.torn_tail == 0
    };
    assert!(whole(&good));
    let second = good.len() - 400;
    for at in (0..second).step_by(997).chain(second..good.len()) {
        let mut bytes = good.clone();
        bytes[at] ^= 1;
        assert!(!whole(&bytes), "byte {at}");
    }
}

#[test]
fn an_entry_too_large_is_refused_and_the_record_stays_whole() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let file = build(home);
    let before = std::fs::read(&file).unwrap();
    let words = vec!["x".repeat(100_000); 11];
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let (code, said) = json(home, &[&["enter", B, "receive-bolts", "lot"], words.as_slice(), &["--by", "ak"]].concat());
    assert_eq!((code, said["recorded"].as_bool()), (2, Some(false)));
    assert!(said["reason"].as_str().unwrap().contains("1048576 are the most"), "{said}");
    assert!(std::fs::read(&file).unwrap() == before);
    assert_eq!(note(home, "goes on"), 0);
}

/// A limit on the size of files stands for a full disk: the write comes short, in the middle of the event.
#[cfg(target_os = "linux")]
#[test]
fn a_write_cut_short_is_not_acknowledged_and_leaves_no_trace() {
    const BLOCK: usize = 512;
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let file = build(home);
    // Notes bring the end of the file to a place from which no event fits into the rest of its block.
    let left = |file: &Path| BLOCK - std::fs::metadata(file).unwrap().len() as usize % BLOCK;
    let mut notes = 0;
    while !(20..200).contains(&left(&file)) {
        assert_eq!(note(home, &"x".repeat(97 + notes)), 0);
        notes += 1;
        assert!(notes < 60, "no such place was found");
    }
    let before = std::fs::read(&file).unwrap();
    let limited = |blocks: usize| {
        Command::new("sh")
            .args(["-c", "trap '' XFSZ; ulimit -f \"$1\"; shift; exec \"$@\"", "sh", &blocks.to_string()])
            .args([env!("CARGO_BIN_EXE_runtrue"), "note", B, "receive-bolts", "lost", "--by", "ak", "--json"])
            .env_clear()
            .env("RUNTRUE_HOME", home)
            .output()
            .unwrap()
    };
    let output = limited(before.len().div_ceil(BLOCK));
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said} {}", String::from_utf8_lossy(&output.stderr));
    assert!(said.contains("was not saved") && said.contains("is the last one kept"), "{said}");
    assert!(std::fs::read(&file).unwrap() == before, "the half event is cut off");
    assert_eq!(verify(home).0, 0);
    assert!(limited(before.len().div_ceil(BLOCK) + 2).status.success(), "with room it goes on");
    assert_eq!(verify(home).0, 0);
}

#[test]
fn of_many_writers_at_once_each_entry_is_kept_whole_or_refused() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    build(home);
    let writers: Vec<_> = (0..12)
        .map(|n| {
            Command::new(env!("CARGO_BIN_EXE_runtrue"))
                .env_clear()
                .env("RUNTRUE_HOME", home)
                .args(["note", B, "receive-bolts", &format!("note {n}"), "--by", "ak"])
                .stdout(Stdio::null())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    let mut kept = 0;
    for writer in writers {
        let output = writer.wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        match output.status.code() {
            Some(0) => kept += 1,
            Some(2) => assert!(said.contains("open in another program"), "{said}"),
            other => panic!("{other:?}: {said}"),
        }
    }
    let (code, v) = json(home, &["verify", B]);
    assert_eq!((code, v["events"].as_u64()), (0, Some(1 + kept)));
    assert!(kept >= 1);
}

#[test]
fn a_start_that_fails_leaves_nothing_in_the_way() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    // The place of the builds is a file: no folder can be made in it.
    std::fs::write(home.join("builds"), "x").unwrap();
    let (code, said) = json(home, &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("builds"), "{said}");
    std::fs::remove_file(home.join("builds")).unwrap();
    build(home);
    assert_eq!(verify(home).0, 0);
}
