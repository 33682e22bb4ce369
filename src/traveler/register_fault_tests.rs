//! The register of instruments and the signatures beside a record, with every act on the disk made to fail.

use std::fs;
use std::path::Path;

use super::failing::{FAULTS, Failing, Fault};
use super::instruments::Register;
use super::instruments::tests::gauge;
use super::rules_tests::start;
use super::*;

fn ids(home: &Path) -> Vec<String> {
    let register = Register::load(home).unwrap_or_else(|e| panic!("half written: {e}"));
    register.instruments.into_iter().map(|i| i.id).collect()
}

fn three_parts(said: &str, what: &str) {
    let parts: Vec<&str> = said.splitn(3, "; ").collect();
    assert!(parts.len() == 3 && parts.iter().all(|p| p.len() > 10), "{what}: {said}");
}

#[test]
fn whatever_act_fails_the_register_is_the_old_one_or_the_new_one() {
    let first = |home: &Path| {
        let store = Store::locate(Some(home)).unwrap();
        store.change_register(|r| r.add(gauge("BG-1"))).unwrap();
        store
    };
    let acts = {
        let home = tempfile::tempdir().unwrap();
        let machine = Failing::new(usize::MAX, Fault::Refused);
        first(home.path()).on(machine.clone()).change_register(|r| r.add(gauge("BG-2"))).unwrap();
        machine.acts()
    };
    assert_eq!(acts, 7, "folder, rest of a stop, file, bytes, sync, rename, folder");
    for fault in FAULTS {
        for at in 0..acts {
            let home = tempfile::tempdir().unwrap();
            let store = first(home.path());
            let machine = Failing::new(at, fault);
            let changed = store.on(machine.clone()).change_register(|r| r.add(gauge("BG-2")));
            let what = format!("{fault:?} at act {at}");
            machine.lose_what_was_not_synced();
            let now = ids(home.path());
            match changed {
                // There was no rest of a stop to be removed: that act fails whatever happens.
                Ok(_) => assert!(at == 1 && now == ["BG-1", "BG-2"], "{what}"),
                Err(e) => {
                    let said = e.to_string();
                    three_parts(&said, &what);
                    assert!(said.contains(&home.path().display().to_string()), "{what}: {said}");
                    assert!(now == ["BG-1"] || now == ["BG-1", "BG-2"], "{what}: {now:?}");
                    let is_new = now.len() == 2;
                    assert_eq!(is_new, said.contains("it holds the change"), "{what}: {said}");
                }
            }
            store.change_register(|r| r.add(gauge("BG-3"))).unwrap_or_else(|e| panic!("{what}: {e}"));
            assert_eq!(ids(home.path()).last().map(String::as_str), Some("BG-3"), "{what}");
        }
    }
}

#[test]
fn whatever_act_fails_a_signature_is_whole_or_not_there() {
    const BYTES: &[u8] = b"-----BEGIN SSH SIGNATURE-----\nnot really one\n-----END SSH SIGNATURE-----\n";
    let keep = |store: &Store, machine: &std::sync::Arc<Failing>| {
        let (record, folder) = (store.read("small-1").unwrap(), store.folder("small-1"));
        store.on(machine.clone()).keep_signature(&record, &folder, 1, BYTES)
    };
    let begun = |home: &Path| start(home).0;
    let acts = {
        let home = tempfile::tempdir().unwrap();
        let machine = Failing::new(usize::MAX, Fault::Refused);
        keep(&begun(home.path()), &machine).unwrap();
        machine.acts()
    };
    assert_eq!(acts, 8);
    for fault in FAULTS {
        for at in 0..acts {
            let home = tempfile::tempdir().unwrap();
            let store = begun(home.path());
            let record = fs::read(store.folder("small-1").join(FILE)).unwrap();
            let machine = Failing::new(at, fault);
            let what = format!("{fault:?} at act {at}");
            match keep(&store, &machine) {
                Ok(_) => assert_eq!(at, 1, "{what}"),
                Err(e) => {
                    three_parts(&e.to_string(), &what);
                    assert!(e.to_string().contains("entry 1 is the last one kept"), "{what}: {e}");
                }
            }
            machine.lose_what_was_not_synced();
            let again =
                keep(&store, &Failing::new(usize::MAX, Fault::Refused)).unwrap_or_else(|e| panic!("{what}: {e}"));
            for file in fs::read_dir(again.parent().unwrap()).unwrap().map(|f| f.unwrap().path()) {
                let is_signature = file.extension().is_some_and(|e| e == "sig");
                assert!(!is_signature || fs::read(&file).unwrap() == BYTES, "{what}: {}", file.display());
            }
            assert_eq!(fs::read(store.folder("small-1").join(FILE)).unwrap(), record, "{what}");
        }
    }
}
