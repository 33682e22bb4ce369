//! A program that writes entries, killed at any instant, again and again: nothing it said to be kept is lost.
//!
//! 20 kills in the normal run. The longer one: `RUNTRUE_KILLS=500 cargo test --test record_kills`. The seed is printed;
//! `RUNTRUE_SEED=N` repeats the same choices (the instants of the machine are its own).
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use runtrue::traveler::event::Body;
use runtrue::traveler::{Record, Store};

const BUILD: &str = "flywheel-1";
/// Folder of the records, for the program that is killed.
const HOME: &str = "RUNTRUE_KILL_HOME";

fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

/// A small generator (xorshift, Marsaglia 2003), so that a seed repeats a run.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

#[test]
fn of_many_kills_none_loses_an_entry_that_was_said_to_be_kept() {
    let kills = number("RUNTRUE_KILLS").unwrap_or(20);
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap();
    let seed = number("RUNTRUE_SEED").unwrap_or(now.as_nanos() as u64).max(1);
    let mut chance = Chance(seed);
    let mut home = tempfile::tempdir().unwrap();
    let (mut entries, mut torn, mut starts) = (0, 0, 0);
    for k in 0..kills {
        if k % 5 == 0 {
            home = tempfile::tempdir().unwrap();
        }
        let before = kept_on_disk(home.path());
        // The first of each five is killed near the start of the build, where folder and first event are made.
        let lines = if k % 5 == 0 { 0 } else { chance.below(25) };
        let acknowledged = run_and_kill(home.path(), lines, chance.below(3_000_000)).max(before);
        let what = format!("seed {seed}, kill {k}, {acknowledged} acknowledged");
        let on_disk = kept_on_disk(home.path());
        assert!(on_disk >= acknowledged, "{what}: {on_disk} are there");
        torn += usize::from(tail(home.path()) > 0);
        starts += usize::from(on_disk == 0);
        entries += acknowledged.saturating_sub(before);
        assert!(on_disk <= acknowledged + 1, "{what}: {on_disk} are there");
    }
    let line = format!(
        "{kills} kills, seed {seed}: {entries} entries acknowledged, none lost; {torn} torn ends, {starts} stopped starts\n"
    );
    // A writer that never wrote would have lost nothing either.
    assert!(kills < 20 || entries >= kills, "{line}");
    // Straight to the descriptor: the seed is shown also when the test passes.
    std::io::stderr().write_all(line.as_bytes()).unwrap();
}

/// Starts the writer, reads `lines` acknowledgements, lets it run on for a while, kills it. The last acknowledged number.
fn run_and_kill(home: &Path, lines: u64, turns: u64) -> u64 {
    let mut writer = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "the_writer", "--ignored", "--nocapture", "--test-threads=1"])
        .env(HOME, home)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut said = BufReader::new(writer.stdout.take().unwrap());
    let mut last = 0;
    let mut read = 0;
    let mut line = String::new();
    while read < lines && said.read_line(&mut line).unwrap() > 0 {
        if let Some(n) = acknowledged(&line) {
            (last, read) = (n, read + 1);
        }
        line.clear();
    }
    for _ in 0..turns {
        std::hint::spin_loop();
    }
    writer.kill().unwrap();
    writer.wait().unwrap();
    said.lines().map_while(Result::ok).filter_map(|l| acknowledged(&l)).last().unwrap_or(last)
}

fn acknowledged(line: &str) -> Option<u64> {
    line.split("kept ").nth(1)?.split_whitespace().next()?.strip_suffix('.')?.parse().ok()
}

fn record(home: &Path) -> Option<Record> {
    Store::locate(Some(home)).unwrap().read(BUILD).ok()
}

/// Notes on the disk; they are numbered without a gap, and every event is as it was written.
fn kept_on_disk(home: &Path) -> u64 {
    let Some(record) = record(home) else {
        return 0;
    };
    assert!(record.integrity.whole(), "{:?}", record.integrity);
    let texts = record.events.iter().filter_map(|e| match &e.body {
        Body::Note(n) => n.text.strip_prefix("note ").map(|n| n.parse::<u64>().unwrap()),
        _ => None,
    });
    let numbers: Vec<u64> = texts.collect();
    assert!(numbers.iter().copied().eq(1..=numbers.len() as u64), "{numbers:?}");
    numbers.len() as u64
}

fn tail(home: &Path) -> usize {
    record(home).map_or(0, |r| r.integrity.torn_tail)
}

/// The program that is killed: goes on with the build, or starts it, and writes notes for as long as it lives.
#[test]
#[ignore = "started and killed by the test above"]
fn the_writer() {
    let Some(home) = std::env::var_os(HOME) else {
        return;
    };
    let store = Store::locate(Some(Path::new(&home))).unwrap();
    let mut session =
        if store.read(BUILD).is_ok() { store.resume(BUILD).unwrap() } else { common::begun(&store, "flywheel", "1") };
    let mut n = kept_on_disk(Path::new(&home));
    loop {
        n += 1;
        session.note("receive-bolts", &format!("note {n}"), "ak").unwrap();
        // The full stop shows that the line is whole.
        println!("\nkept {n}.");
    }
}
