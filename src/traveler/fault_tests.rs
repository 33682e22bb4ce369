//! Every act on the disk made to fail, one after the other, in every way a disk fails; then the record is opened again.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use chrono::{DateTime, Duration, FixedOffset, Local};

use super::failing::{FAULTS, Failing, Fault};
use super::machine::Machine;
use super::rules_tests::{entry, small, start};
use super::*;

const NOTES: [&str; 4] = ["one", "two", "three", "four"];

/// Starts a build and writes notes; gives back what was acknowledged, and what was said about the rest.
fn work(store: &Store) -> (Vec<&'static str>, Vec<String>) {
    let mut said = Vec::new();
    let mut kept = Vec::new();
    match store.start(small()) {
        Err(e) => said.push(format!("start: {e}")),
        Ok(mut session) => {
            for text in NOTES {
                match session.note("inspect-disc", text, "ak") {
                    Ok(_) => kept.push(text),
                    Err(e) => said.push(e.to_string()),
                }
            }
        }
    }
    (kept, said)
}

fn notes(record: &Record) -> Vec<String> {
    let text = |e: &event::Event| match &e.body {
        event::Body::Note(n) => Some(n.text.clone()),
        _ => None,
    };
    record.events.iter().filter_map(text).collect()
}

fn file(store: &Store) -> PathBuf {
    store.folder("small-1").join(FILE)
}

#[test]
fn whatever_act_fails_nothing_acknowledged_is_lost_and_nothing_else_is_kept() {
    let acts = {
        let home = tempfile::tempdir().unwrap();
        let machine = Failing::new(usize::MAX, Fault::Refused);
        let (kept, said) = work(&Store::locate(Some(home.path())).unwrap().on(machine.clone()));
        assert_eq!((kept, said), (NOTES.to_vec(), vec![]));
        machine.acts()
    };
    assert!(acts > 14, "{acts}");
    for fault in FAULTS {
        for at in 0..acts {
            let home = tempfile::tempdir().unwrap();
            let store = Store::locate(Some(home.path())).unwrap();
            let machine = Failing::new(at, fault);
            let (kept, said) = work(&store.on(machine.clone()));
            let what = format!("{fault:?} at act {at} ({})", machine.seen.lock().unwrap().names[at]);
            assert!(!said.is_empty() && kept.len() < NOTES.len(), "{what}: nothing was said");
            for words in &said {
                let parts: Vec<&str> = words.splitn(3, "; ").collect();
                let start = words.starts_with("start: ");
                let kept = if start { "no entry of it is kept" } else { "is the last one kept" };
                assert!(parts.len() == 3 && parts[1].contains(kept), "{what}: {words}");
                let place = if start { store.root().display().to_string() } else { "traveler.yaml".into() };
                assert!(parts[0].contains(&place), "{what}: {words}");
            }
            machine.power_cut(&file(&store));
            reopened(&store, &kept, fault, &what);
        }
    }
}

/// The build goes on, or is started again; what was acknowledged is there, in order.
fn reopened(store: &Store, kept: &[&str], fault: Fault, what: &str) {
    let mut session = match store.resume("small-1") {
        Ok(session) => session,
        Err(e) => {
            assert!(kept.is_empty(), "{what}: {e}");
            store.start(small()).unwrap_or_else(|e| panic!("{what}: {e}"))
        }
    };
    let found = notes(session.record());
    assert_eq!(&found[..kept.len().min(found.len())], kept, "{what}");
    // A program that is gone could not take back an entry that was whole already; any other leaves only what it acknowledged.
    let more = usize::from(matches!(fault, Fault::Gone | Fault::PowerCut));
    assert!(found.len() <= kept.len() + more, "{what}: {found:?}");
    session.note("inspect-disc", "goes on", "ak").unwrap_or_else(|e| panic!("{what}: {e}"));
    drop(session);
    let record = store.read("small-1").unwrap();
    assert!(record.integrity.whole() && record.integrity.torn_tail == 0, "{what}: {:?}", record.integrity);
    told(store, &record, what);
}

/// Every file that was set aside is told in one event.
fn told(store: &Store, record: &Record, what: &str) {
    let folder = store.folder("small-1").join("set-aside");
    let there = fs::read_dir(folder).map_or(0, Iterator::count);
    let told = record.events.iter().filter(|e| matches!(e.body, event::Body::SetAside(_))).count();
    assert_eq!(told, there, "{what}");
}

#[test]
fn whatever_fails_while_a_torn_end_is_set_aside_its_bytes_are_kept_and_told() {
    let torn = |home: &Path| {
        let (store, mut session) = start(home);
        session.note("inspect-disc", "one", "ak").unwrap();
        drop(session);
        let mut bytes = fs::read(file(&store)).unwrap();
        bytes.extend(b"---\nevent: 3\nbefore: xyz\n");
        fs::write(file(&store), bytes).unwrap();
        store
    };
    let acts = {
        let home = tempfile::tempdir().unwrap();
        let machine = Failing::new(usize::MAX, Fault::Refused);
        torn(home.path()).on(machine.clone()).resume("small-1").unwrap();
        machine.acts()
    };
    assert!(acts >= 9, "{acts}");
    for fault in FAULTS {
        for at in 0..acts {
            let home = tempfile::tempdir().unwrap();
            let store = torn(home.path());
            let machine = Failing::new(at, fault);
            let what = format!("{fault:?} at act {at}");
            let said = store.on(machine).resume("small-1").unwrap_err().to_string();
            assert!(said.contains("is the last one kept; "), "{what}: {said}");
            let session = store.resume("small-1").unwrap_or_else(|e| panic!("{what}: {e}"));
            assert_eq!(notes(session.record()), ["one"], "{what}");
            told(&store, session.record(), &what);
            let folder = store.folder("small-1").join("set-aside");
            let kept = |e: io::Result<fs::DirEntry>| fs::read(e.unwrap().path()).unwrap();
            let copies: Vec<Vec<u8>> = fs::read_dir(folder).unwrap().map(kept).collect();
            assert!(copies.iter().any(|c| c.ends_with(b"event: 3\nbefore: xyz\n")), "{what}");
        }
    }
}

/// A torn end set aside again within the same millisecond, after a stop in between, takes no name that is taken.
#[test]
fn two_torn_ends_in_one_instant_are_both_kept() {
    let home = tempfile::tempdir().unwrap();
    let (store, session) = start(home.path());
    drop(session);
    let stopped: Arc<dyn Machine> = Arc::new(Clock(Mutex::new(Local::now().fixed_offset())));
    for n in 1..=3 {
        let bytes = fs::read(file(&store)).unwrap();
        let ends = super::frame::cut(&bytes).frames[0].bytes.end;
        fs::write(file(&store), [&bytes[..ends], b"---\nevent: 2"].concat()).unwrap();
        let session = store.on(stopped.clone()).resume("small-1").unwrap();
        told(&store, session.record(), "the same instant");
        assert_eq!(fs::read_dir(store.folder("small-1").join("set-aside")).unwrap().count(), n);
    }
}

#[test]
fn a_file_replaced_removed_or_changed_is_told_and_what_was_entered_is_not_acknowledged() {
    type Change = fn(&Path);
    let changes: [(&str, Change); 4] = [
        ("changed under this program before", |p| {
            fs::write(p, [fs::read(p).unwrap(), b"# x\n".to_vec()].concat()).unwrap()
        }),
        // Of the same length, as an editor does that writes a new file: only the entry itself shows it.
        ("changed under this program while", |p| {
            let copy = p.with_extension("new");
            fs::copy(p, &copy).unwrap();
            fs::rename(copy, p).unwrap();
        }),
        ("the file of the record is gone", |p| fs::remove_file(p).unwrap()),
        ("the file of the record is gone", |p| {
            fs::rename(p.parent().unwrap(), p.parent().unwrap().with_extension("away")).unwrap()
        }),
    ];
    for (words, change) in changes {
        let home = tempfile::tempdir().unwrap();
        let (store, mut session) = start(home.path());
        session.note("inspect-disc", "one", "ak").unwrap();
        change(&file(&store));
        for _ in 0..2 {
            let said = session.note("inspect-disc", "two", "ak").unwrap_err().to_string();
            assert!(said.contains(words) && said.contains("; entry 2 is the last one kept; "), "{said}");
        }
        assert_eq!(notes(session.record()), ["one"], "{words}");
    }
}

#[test]
fn a_folder_that_may_not_be_written_says_so_and_is_still_read() {
    let home = tempfile::tempdir().unwrap();
    let (store, session) = start(home.path());
    drop(session);
    let lock = store.folder("small-1").join("writer.lock");
    // A folder in its place: the lock cannot be opened, whoever asks (a test may run as one who may write anything).
    fs::remove_file(&lock).unwrap();
    fs::create_dir(&lock).unwrap();
    let said = store.resume("small-1").unwrap_err().to_string();
    assert!(said.contains("writer.lock") && said.contains("; entry 1 is the last one kept; "), "{said}");
    assert_eq!(store.read("small-1").unwrap().events.len(), 1);
}

/// A machine whose clock the test sets.
#[derive(Debug)]
struct Clock(Mutex<DateTime<FixedOffset>>);

impl Machine for Clock {
    fn now(&self) -> DateTime<FixedOffset> {
        *self.0.lock().unwrap()
    }
}

#[test]
fn a_clock_that_jumps_is_told_and_ends_no_wait_by_going_back() {
    let home = tempfile::tempdir().unwrap();
    let (store, session) = start(home.path());
    drop(session);
    let noon = Local::now().fixed_offset() + Duration::days(1);
    let clock = Arc::new(Clock(Mutex::new(noon)));
    let mut session = store.on(clock.clone()).resume("small-1").unwrap();
    let wait = |word: &str| entry("wait-cure", "cure", &[word], "ak");
    session.enter(&wait("started")).unwrap();
    *clock.0.lock().unwrap() = noon - Duration::days(3);
    let said = session.enter(&wait("done")).unwrap_err().to_string();
    assert!(said.contains("before the wait was started"), "{said}");
    session.note("wait-cure", "the clock was wrong", "ak").unwrap();
    assert_eq!(session.record().clock_set_back(), [3]);
    *clock.0.lock().unwrap() = noon + Duration::hours(25);
    assert_eq!(session.enter(&wait("done")).unwrap().verdict, Verdict::Within);
    drop(session);
    assert_eq!(store.read("small-1").unwrap().clock_set_back(), [3]);
}

#[test]
fn whatever_fails_while_a_file_is_kept_the_record_speaks_only_of_a_copy_that_is_whole() {
    let begun = |home: &Path| {
        let (store, session) = start(home);
        drop(session);
        let picture = home.join("disc.jpg");
        fs::write(&picture, "all its bytes").unwrap();
        (store, picture)
    };
    let keep = |store: &Store, machine: Arc<Failing>, picture: &Path| {
        store.on(machine).resume("small-1").unwrap().attach("inspect-disc", picture, "disc 1", "ak")
    };
    let acts = {
        let home = tempfile::tempdir().unwrap();
        let (store, picture) = begun(home.path());
        let machine = Failing::new(usize::MAX, Fault::Refused);
        keep(&store, machine.clone(), &picture).unwrap();
        machine.acts()
    };
    assert!(acts >= 8, "{acts}");
    for fault in FAULTS {
        for at in 0..acts {
            let home = tempfile::tempdir().unwrap();
            let (store, picture) = begun(home.path());
            let what = format!("{fault:?} at act {at}");
            let failing = Failing::new(at, fault);
            let first = keep(&store, failing.clone(), &picture);
            // There is no rest of a stop to be removed; that it cannot be is no failure.
            let harmless = fault == Fault::DoneAndRefused && failing.seen.lock().unwrap().names[at] == "remove file";
            assert!(first.is_err() != harmless, "{what}");
            if let Err(e) = first {
                assert!(e.to_string().splitn(3, "; ").count() == 3, "{what}: {e}");
            }
            let machine = Failing::new(usize::MAX, Fault::Refused);
            keep(&store, machine, &picture).unwrap_or_else(|e| panic!("{what}: {e}"));
            let record = store.read("small-1").unwrap();
            let kept = record.attachments();
            // A program that is gone could not take back an entry that was whole already.
            assert!(
                (1..=2).contains(&kept.len())
                    && (kept.len() == 1 || harmless || matches!(fault, Fault::Gone | Fault::PowerCut)),
                "{what}"
            );
            for file in kept {
                assert_eq!(copy_state(&store.folder("small-1"), file), CopyState::Unchanged, "{what}");
            }
        }
    }
}
