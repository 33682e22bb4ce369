//! How long the record takes, on a disk: one durable entry against the bare write and sync of the same bytes, opening a
//! record of 5,000 events with every hash checked, listing 10,000 builds.
//!
//! `cargo bench --bench record`. A memory file system is refused: it has nothing to wait for. `RUNTRUE_BENCH_DIR` names
//! another folder than `target/`, `RUNTRUE_BENCH_BUILDS` another number of builds.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a bench that fails has no answer to give")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use common::rehash::rehashed;
use runtrue::traveler::{FILE, Store};

const PAIRS: usize = 400;
const EVENTS: usize = 5_000;
const BUILDS: usize = 10_000;
const BUILD: &str = "flywheel-1";

fn main() {
    let place = std::env::var_os("RUNTRUE_BENCH_DIR")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target"), PathBuf::from);
    fs::create_dir_all(&place).unwrap();
    let kind = file_system(&place);
    if ["tmpfs", "ramfs", "devtmpfs"].contains(&kind.as_str()) {
        eprintln!(
            "{} is on {kind}, a memory file system: syncing costs nothing there. Name a folder on a disk with RUNTRUE_BENCH_DIR.",
            place.display()
        );
        std::process::exit(2);
    }
    println!("on {kind}, {}", place.display());
    let home = tempfile::tempdir_in(&place).unwrap();
    durable_entry(home.path());
    open(home.path());
    drop(home);
    let home = tempfile::tempdir_in(&place).unwrap();
    list(home.path());
}

/// Kind of the file system of a folder, by the mounts of Linux; "unknown" elsewhere.
fn file_system(folder: &Path) -> String {
    let folder = folder.canonicalize().unwrap();
    let mounts = fs::read_to_string("/proc/self/mountinfo").unwrap_or_default();
    let row = |line: &str| {
        let (mount, kind) = line.split_once(" - ")?;
        let at = PathBuf::from(mount.split(' ').nth(4)?);
        Some((at, kind.split(' ').next()?.to_owned()))
    };
    let fitting = mounts.lines().filter_map(row).filter(|(at, _)| folder.starts_with(at));
    fitting.max_by_key(|(at, _)| at.components().count()).map_or_else(|| "unknown".into(), |(_, kind)| kind)
}

fn figures(name: &str, mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
    println!("{name}: median {:.3?}, 99th percentile {:.3?}, n = {}", at(0.5), at(0.99), times.len());
    at(0.5)
}

/// Alternating pairs, so that both see the same disk: an entry through the session, then its bytes written and synced bare.
fn durable_entry(home: &Path) {
    let mut session = common::begun(&Store::locate(Some(home)).unwrap(), "flywheel", "1");
    let file = home.join("builds").join(BUILD).join(FILE);
    let mut bare = File::create_new(home.join("bare")).unwrap();
    bare.write_all(&fs::read(&file).unwrap()).unwrap();
    bare.sync_all().unwrap();
    let (mut entries, mut plain) = (Vec::new(), Vec::new());
    for k in 0..PAIRS {
        let before = fs::metadata(&file).unwrap().len() as usize;
        let begun = Instant::now();
        session.note("receive-bolts", &format!("bag {k} counted"), "ak").unwrap();
        entries.push(begun.elapsed());
        let bytes = fs::read(&file).unwrap()[before..].to_vec();
        let begun = Instant::now();
        bare.write_all(&bytes).unwrap();
        bare.sync_data().unwrap();
        plain.push(begun.elapsed());
    }
    let entry = figures("one durable entry", entries);
    let plain = figures("bare write and sync of the same bytes", plain);
    println!("entry / bare, medians: {:.2}", entry.as_secs_f64() / plain.as_secs_f64());
}

fn open(home: &Path) {
    let store = Store::locate(Some(home)).unwrap();
    let mut session = store.resume(BUILD).unwrap();
    while session.record().events.len() < EVENTS {
        session.note("receive-bolts", "bag counted, none missing", "ak").unwrap();
    }
    drop(session);
    let times = (0..15).map(|_| {
        let begun = Instant::now();
        assert_eq!(store.read(BUILD).unwrap().events.len(), EVENTS);
        begun.elapsed()
    });
    figures("a record of 5,000 events opened, hashes checked", times.collect());
}

/// Builds of one module, each with its own serial and chain of hashes.
fn list(home: &Path) {
    let builds = std::env::var("RUNTRUE_BENCH_BUILDS").ok().and_then(|n| n.parse().ok()).unwrap_or(BUILDS);
    let store = Store::locate(Some(home)).unwrap();
    let mut session = common::begun(&store, "flywheel", "pattern");
    for k in 0..20 {
        session.note("receive-bolts", &format!("bag {k} counted"), "ak").unwrap();
    }
    drop(session);
    let pattern = fs::read_to_string(home.join("builds/flywheel-pattern").join(FILE)).unwrap();
    for k in 1..builds {
        let folder = home.join("builds").join(format!("flywheel-{k}"));
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join(FILE), rehashed(&pattern.replacen("serial: pattern", &format!("serial: n-{k}"), 1)))
            .unwrap();
    }
    let listed = || {
        let begun = Instant::now();
        let list = store.list().unwrap();
        assert_eq!(list.len(), builds);
        assert!(list.iter().all(|l| l.problem.is_none()));
        begun.elapsed()
    };
    println!("{builds} builds of {} kB listed, nothing remembered: {:.3?}", pattern.len() / 1000, listed());
    figures("listed again", (0..9).map(|_| listed()).collect());
    store.resume("flywheel-1").unwrap().note("receive-bolts", "one more", "ak").unwrap();
    println!("listed after one of them changed: {:.3?}", listed());
}
