//! The kept inputs of the fuzzer, run over the same functions on any toolchain: every file in `fuzz/corpus/TARGET`, and
//! every crash that was found, `fuzz/crashes/TARGET`. How new ones are found: DEVELOPERS.md, "Fuzzing".

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

#[path = "../fuzz/src/lib.rs"]
mod targets;

use std::path::Path;

fn replay(target: &str, run: fn(&[u8])) {
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz");
    let mut count = 0;
    for kept in ["corpus", "crashes"] {
        let Ok(files) = std::fs::read_dir(base.join(kept).join(target)) else { continue };
        let mut paths: Vec<_> = files.map(|f| f.unwrap().path()).collect();
        paths.sort();
        for path in paths {
            eprintln!("{}", path.display());
            run(&std::fs::read(&path).unwrap());
            count += 1;
        }
    }
    assert!(count >= 3, "{target}: only {count} inputs are kept");
    println!("{target}: {count} inputs");
}

#[test]
fn specs() {
    replay("spec", targets::spec);
}

#[test]
fn quantities() {
    replay("quantity", targets::quantity);
}

#[test]
fn travelers() {
    replay("traveler", targets::traveler);
}

#[test]
fn words() {
    replay("words", targets::words);
}

#[test]
fn hashes_are_made_true() {
    let sample = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/samples/format-1.yaml")).unwrap();
    assert_eq!(targets::with_true_hashes(&sample), sample, "a true record is left as it is");
    let text = String::from_utf8(sample).unwrap();
    let changed = text.replacen("what: reading", "what: reading ", 1);
    assert_ne!(changed, text);
    let mended = targets::with_true_hashes(changed.as_bytes());
    assert_ne!(mended, changed.as_bytes());
    assert!(runtrue::traveler::Record::integrity_of(&mended).first_bad.is_none());
}
