//! A record of more than twenty events, every byte of it changed once, and cut at every byte.

use std::fs;

use super::rules_tests::small;
use super::*;

/// A small plan, one of each simple kind of entry, and notes: short, so that every byte can have its turn.
fn bytes() -> Vec<u8> {
    let home = tempfile::tempdir().unwrap();
    let store = Store::locate(Some(home.path())).unwrap();
    let mut start = small();
    start.plan.steps.truncate(1);
    let mut session = store.start(start).unwrap();
    let entry = |check: &str, value: &[&str]| super::rules_tests::entry("inspect-disc", check, value, "ak");
    session.enter(&entry("lot", &["47: #11"])).unwrap();
    session.enter(&entry("holes", &["5"])).unwrap();
    session.enter(&entry("holes", &["6"])).unwrap();
    session.enter(&entry("bore", &["24.60 mm", "24.59 mm"])).unwrap();
    for n in 0..16 {
        session.note("inspect-disc", &format!("n {n}"), "ak").unwrap();
    }
    session.finish("ak").unwrap();
    session.reopen("mh", "bearing replaced").unwrap();
    session.finish("ak").unwrap();
    drop(session);
    fs::read(store.folder("small-1").join(FILE)).unwrap()
}

#[test]
fn every_changed_byte_is_found_and_every_cut_leaves_whole_events() {
    let good = bytes();
    let whole = Record::integrity_of(&good);
    assert!(whole.whole() && whole.torn_tail == 0 && whole.events > 20, "{whole:?}");
    let ends: Vec<usize> = super::frame::cut(&good).frames.iter().map(|f| f.bytes.end).collect();
    for at in 0..good.len() {
        let mut changed = good.clone();
        changed[at] ^= 1;
        let found = Record::integrity_of(&changed);
        assert!(!found.whole() || found.torn_tail > 0, "byte {at}");
        let bad = ends.iter().position(|end| at < *end).unwrap() as u64 + 1;
        // A broken hash line joins its event to the next: the fault is at that event or, for the last, in the tail.
        let named = found.first_bad.as_ref().map_or(found.events + 1, |(n, _)| *n);
        assert_eq!(named, bad, "byte {at}");
    }
    for end in 0..good.len() {
        let found = Record::integrity_of(&good[..end]);
        let events = ends.iter().filter(|e| **e <= end).count() as u64;
        assert_eq!(found.events, events, "cut at {end}");
        assert_eq!(found.torn_tail > 0, end > 0 && !ends.contains(&end), "cut at {end}");
    }
}

#[test]
fn removed_repeated_and_reordered_events_are_found_and_named() {
    let good = bytes();
    let frames: Vec<&[u8]> = super::frame::cut(&good).frames.iter().map(|f| &good[f.bytes.clone()]).collect();
    let found = |order: &[usize]| {
        let bytes: Vec<u8> = order.iter().flat_map(|k| frames[*k].to_vec()).collect();
        Record::integrity_of(&bytes).first_bad.map(|(n, _)| n)
    };
    let all: Vec<usize> = (0..frames.len()).collect();
    assert_eq!(found(&all), None);
    for k in 0..frames.len() - 1 {
        let removed: Vec<usize> = all.iter().copied().filter(|n| *n != k).collect();
        assert_eq!(found(&removed), Some(k as u64 + 1), "event {} removed", k + 1);
        let mut swapped = all.clone();
        swapped.swap(k, k + 1);
        assert_eq!(found(&swapped), Some(k as u64 + 1), "event {} after the next", k + 1);
        let mut repeated = all.clone();
        repeated.insert(k, k);
        assert_eq!(found(&repeated), Some(k as u64 + 2), "event {} twice", k + 1);
    }
}
