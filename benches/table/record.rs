//! How long the record takes, on a disk: one durable entry against the bare write and sync of the same bytes, opening a
//! record of 5,000 events with every hash checked, listing 10,000 builds. `RUNTRUE_BENCH_BUILDS` names another number.

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

use runtrue::traveler::{FILE, Store};

use super::common::{self, rehash::rehashed};
use super::{Table, Times, place, timed};

const PAIRS: usize = 400;
const EVENTS: usize = 5_000;
const BUILDS: usize = 10_000;
const BUILD: &str = "flywheel-1";

pub fn measure(table: &mut Table) {
    let kind = file_system(&place());
    if ["tmpfs", "ramfs", "devtmpfs"].contains(&kind.as_str()) {
        let why = format!(
            "not measured: on {kind}, a memory file system, syncing costs nothing; RUNTRUE_BENCH_DIR names a folder on a disk"
        );
        table.without("one durable entry / the bare write and sync of its bytes", &why, "1.3 times");
        return;
    }
    let home = tempfile::tempdir_in(place()).unwrap();
    durable_entry(table, home.path());
    open(table, home.path());
    drop(home);
    let home = tempfile::tempdir_in(place()).unwrap();
    list(table, home.path());
}

/// Kind of the file system of a folder, by the mounts of Linux; "unknown" elsewhere.
pub fn file_system(folder: &Path) -> String {
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

/// Alternating pairs, so that both see the same disk: an entry through the session, then its bytes written and synced bare.
fn durable_entry(table: &mut Table, home: &Path) {
    let mut session = common::begun(&Store::locate(Some(home)).unwrap(), "flywheel", "1");
    let file = home.join("builds").join(BUILD).join(FILE);
    let mut bare = File::create_new(home.join("bare")).unwrap();
    bare.write_all(&fs::read(&file).unwrap()).unwrap();
    bare.sync_all().unwrap();
    let (mut entries, mut plain) = (Vec::new(), Vec::new());
    for k in 0..PAIRS {
        let before = fs::metadata(&file).unwrap().len() as usize;
        entries.push(timed(|| {
            session.note("receive-bolts", &format!("bag {k} counted"), "ak").unwrap();
        }));
        let bytes = fs::read(&file).unwrap()[before..].to_vec();
        plain.push(timed(|| {
            bare.write_all(&bytes).unwrap();
            bare.sync_data().unwrap();
        }));
    }
    let (entries, plain) = (Times::new(entries), Times::new(plain));
    let met = entries.median() / plain.median() < 1.3;
    table.ratio("one durable entry / the bare write and sync of its bytes", (&entries, &plain), ("1.3 times", met));
    table.ms("one durable entry", &entries, None);
}

fn open(table: &mut Table, home: &Path) {
    let store = Store::locate(Some(home)).unwrap();
    let mut session = store.resume(BUILD).unwrap();
    while session.record().events.len() < EVENTS {
        session.note("receive-bolts", "bag counted, none missing", "ak").unwrap();
    }
    drop(session);
    let times = Times::of(|| assert_eq!(store.read(BUILD).unwrap().events.len(), EVENTS));
    table.ms("a record of 5,000 events opened, every hash checked", &times, Some((0.5, 150.0)));
}

/// Builds of one module, each with its own serial and chain of hashes.
pub fn many(home: &Path) -> usize {
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
    builds
}

fn list(table: &mut Table, home: &Path) {
    let builds = many(home);
    let store = Store::locate(Some(home)).unwrap();
    let listed = || {
        let list = store.list().unwrap();
        assert_eq!(list.len(), builds);
        assert!(list.iter().all(|l| l.problem.is_none()));
    };
    let first = Times::new(vec![timed(listed)]);
    table.ms(&format!("{builds} builds listed, nothing remembered"), &first, None);
    table.ms(&format!("{builds} builds listed again"), &Times::of(listed), Some((0.5, 300.0)));
    store.resume("flywheel-1").unwrap().note("receive-bolts", "one more", "ak").unwrap();
    table.ms("listed after one of them changed", &Times::new(vec![timed(listed)]), None);
}
