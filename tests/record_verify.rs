//! `verify`: code of the plate, signatures, copies that went different ways, the plan and the verdicts derived once more.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use common::rehash::rehashed;
use common::{begun, built, json, runtrue};
use runtrue::traveler::Store;
use serde_json::Value;

const B: &str = "flywheel-1";

fn keygen(arguments: &[&str], input: &[u8]) -> bool {
    use std::io::Write;
    let mut child = Command::new("ssh-keygen")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("ssh-keygen is needed for this test: install openssh-client");
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait().unwrap().success()
}

/// A key pair without passphrase, and a file of allowed signers that names it.
fn key(home: &Path, name: &str) -> (String, String) {
    let key = home.join(name).display().to_string();
    assert!(keygen(&["-q", "-t", "ed25519", "-N", "", "-C", name, "-f", &key], b""));
    let public = std::fs::read_to_string(format!("{key}.pub")).unwrap();
    let signers = format!("{key}.signers");
    std::fs::write(&signers, format!("{name}@bench {public}")).unwrap();
    (key, signers)
}

fn file(home: &Path) -> PathBuf {
    home.join("builds").join(B).join("traveler.yaml")
}

#[test]
fn a_closed_record_is_signed_and_checked_without_this_program() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let (key, signers) = key(home, "mh");
    let (other_key, other_signers) = self::key(home, "stranger");
    let mut session = built(home, "flywheel", "1");
    let (code, said) = json(home, &["sign", B, "--key", &key]);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("not closed"), "{said}");
    session.finish("ak").unwrap();
    drop(session);
    let (code, said) = json(home, &["sign", B, "--key", &format!("{key}.none")]);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("ssh-keygen says"), "{said}");
    let (code, said) = json(home, &["sign", B, "--key", &key]);
    assert_eq!(code, 0, "{said}");
    let signature = said["signature"].as_str().unwrap().to_owned();
    let record = std::fs::read(file(home)).unwrap();
    let by_hand = ["-Y", "verify", "-f", &signers, "-I", "mh@bench", "-n", "runtrue-record", "-s", &signature];
    assert!(keygen(&by_hand, &record));
    assert!(!keygen(&by_hand, &record[1..]), "the control: other bytes do not verify");
    let verified = |more: &[&str]| json(home, &[&["verify", B], more].concat());
    let (code, v) = verified(&["--signers", &signers]);
    assert_eq!((code, v["signatures"][0]["signer"].as_str()), (0, Some("mh@bench")), "{v}");
    assert_eq!(verified(&[]).1["signatures"][0]["good"], true);
    let (code, v) = verified(&["--signers", &other_signers]);
    assert_eq!((code, v["signatures"][0]["good"].as_bool()), (1, Some(false)), "not one of those: {v}");
    the_review_says_who_signed(home, &signers, &other_signers);
    // Work goes on: the signature stays good for what it was made of.
    assert_eq!(json(home, &["reopen", B, "--by", "mh", "--reason", "bearing replaced"]).0, 0);
    assert_eq!(verified(&["--signers", &signers]).1["signatures"][0]["good"], true);
    assert_eq!(json(home, &["finish", B, "--by", "ak"]).0, 0);
    assert_eq!(json(home, &["sign", B, "--key", &other_key]).0, 0);
    let v = verified(&[]).1;
    let events: Vec<u64> = v["signatures"].as_array().unwrap().iter().map(|s| s["event"].as_u64().unwrap()).collect();
    let closed: Vec<u64> = v["closeouts"].as_array().unwrap().iter().map(|c| c["event"].as_u64().unwrap()).collect();
    assert_eq!(events, closed);
    forged(home, &signature);
    no_private_key_in(&home.join("builds"), &key);
}

/// Who signed stands in the summary only where it was checked.
fn the_review_says_who_signed(home: &Path, signers: &str, other: &str) {
    let page = |more: &[&str]| String::from_utf8(runtrue(home, &[&["review", B], more].concat()).stdout).unwrap();
    let line = |page: &str| {
        let from = page.find("\nSigned ").unwrap_or_else(|| panic!("{page}"));
        page[from..].split("\nOpen points").next().unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let known = line(&page(&["--signers", signers]));
    assert!(known.starts_with("Signed by mh@bench: checked"), "{known}");
    let unknown = line(&page(&[]));
    assert!(unknown.contains("WHOSE KEY it is was NOT CHECKED") && !unknown.contains("mh@bench"), "{unknown}");
    let bad = page(&["--signers", other]);
    assert!(line(&bad).contains("BAD") && bad.contains("WARNING: The signature"), "{bad}");
    let export = |form: &str| {
        let arguments = ["export", B, "--format", form, "--signers", signers];
        String::from_utf8(runtrue(home, &arguments).stdout).unwrap()
    };
    assert!(export("html").contains("by mh@bench: checked") && export("markdown").contains("by mh@bench: checked"));
    assert_eq!(json(home, &["review", B, "--signers", signers]).1["signatures"][0]["signer"], "mh@bench");
    // On a machine without ssh-keygen nothing is claimed.
    let output = Command::new(env!("CARGO_BIN_EXE_runtrue"))
        .env_clear()
        .env("RUNTRUE_HOME", home)
        .env("PATH", home)
        .args(["review", B, "--signers", signers])
        .output()
        .unwrap();
    let said = line(&String::from_utf8(output.stdout).unwrap());
    assert!(said.starts_with("Signed NOT CHECKED: ssh-keygen cannot be run"), "{said}");
}

/// Everything written anew, hashes and all: the chain is whole, the signature and the plate show it.
fn forged(home: &Path, signature: &str) {
    let v = json(home, &["verify", B]).1;
    let code = v["closeouts"][0]["code"].as_str().unwrap().to_owned();
    let (exit, v) = json(home, &["verify", B, "--code", &code.to_uppercase().replace('-', "")]);
    assert_eq!((exit, v["code_at"].as_u64()), (0, v["closeouts"][0]["event"].as_u64()));
    let kept = std::fs::read(signature).unwrap();
    std::fs::remove_dir_all(home.join("builds").join(B)).unwrap();
    let mut session = built(home, "flywheel", "1");
    session.finish("ak").unwrap();
    let folder = home.join("builds").join(B).join("signatures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(Path::new(signature).file_name().unwrap()), kept).unwrap();
    let (exit, v) = json(home, &["verify", B]);
    assert_eq!((exit, v["whole"].as_bool(), v["signatures"][0]["good"].as_bool()), (1, Some(true), Some(false)), "{v}");
    let (exit, v) = json(home, &["verify", B, "--code", &code]);
    assert_eq!((exit, v["code_at"].as_u64()), (1, None));
}

fn no_private_key_in(folder: &Path, key: &str) {
    let secret = std::fs::read_to_string(key).unwrap();
    let line = secret.lines().nth(2).unwrap();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            no_private_key_in(&path, key);
        } else {
            assert!(!String::from_utf8_lossy(&std::fs::read(&path).unwrap()).contains(line), "{}", path.display());
        }
    }
}

#[test]
fn two_copies_that_went_different_ways_are_found_and_shown_side_by_side() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let store = Store::locate(Some(home)).unwrap();
    let mut session = begun(&store, "flywheel", "1");
    session.note("receive-bolts", "before the copy", "ak").unwrap();
    drop(session);
    let copy = |name: &str| {
        let to = home.join("builds").join(name);
        std::fs::create_dir_all(&to).unwrap();
        std::fs::copy(file(home), to.join("traveler.yaml")).unwrap();
    };
    copy("laptop-2");
    copy("old");
    let relation = |to: &str| {
        let (code, v) = json(home, &["verify", B, "--against", to]);
        (code, v["against"]["relation"].as_str().unwrap().to_owned(), v["against"].clone())
    };
    assert_eq!((relation("old").0, relation("old").1.as_str()), (0, "same"));
    store.resume(B).unwrap().note("receive-bolts", "on the first", "ak").unwrap();
    assert_eq!((relation("old").0, relation("old").1.as_str()), (0, "ahead"));
    store.resume("laptop-2").unwrap().note("receive-bolts", "on the second", "jo").unwrap();
    let path = home.join("builds/laptop-2").display().to_string();
    for named in ["laptop-2", path.as_str()] {
        let (code, word, v) = relation(named);
        assert_eq!((code, word.as_str(), v["common"].as_u64()), (1, "diverged", Some(2)), "{named}: {v}");
        assert!(v["here"][0]["what"].as_str().unwrap().contains("on the first"));
        assert!(v["there"][0]["what"].as_str().unwrap().contains("on the second"));
    }
    let builds = json(home, &["builds", "--problems"]).1;
    let of = |build: &str| -> String {
        let list = builds["builds"].as_array().unwrap();
        list.iter().find(|b| b["build"] == build).unwrap()["copies"].to_string()
    };
    assert!(of(B).contains("DIVERGED from laptop-2 after entry 2") && of(B).contains("ahead"), "{}", of(B));
    assert!(of("old").contains("an older copy of flywheel-1, 1 entries behind"), "{}", of("old"));
    drop(begun(&store, "flywheel", "2"));
    let (code, word, _) = relation("flywheel-2");
    assert_eq!((code, word.as_str()), (1, "unrelated"));
}

#[test]
fn a_moved_folder_is_read_where_it_lies() {
    let home = tempfile::tempdir().unwrap();
    drop(begun(&Store::locate(Some(home.path())).unwrap(), "flywheel", "1"));
    let elsewhere = tempfile::tempdir().unwrap();
    let moved = elsewhere.path().join("from the mail");
    std::fs::rename(home.path().join("builds").join(B), &moved).unwrap();
    for path in [moved.display().to_string(), moved.join("traveler.yaml").display().to_string()] {
        let (code, v) = json(home.path(), &["verify", &path]);
        assert_eq!((code, v["events"].as_u64()), (0, Some(1)), "{path}: {v}");
        assert_eq!(json(home.path(), &["review", &path]).1["serial"], "1");
        assert_eq!(json(home.path(), &["note", &path, "receive-bolts", "x", "--by", "ak"]).0, 2, "read, not written");
    }
}

#[test]
fn recomputing_tells_no_difference_in_a_good_record_and_names_every_one_in_a_changed_one() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let store = Store::locate(Some(home)).unwrap();
    let mut session = begun(&store, "flywheel", "1");
    for (check, value) in [("zero", "yes"), ("room", "9 °C"), ("room", "21,5 °C")] {
        let entry = runtrue::traveler::Entry {
            step: "inspect-instruments".into(),
            check: check.into(),
            values: vec![value.into()],
            by: "ak".into(),
            ..Default::default()
        };
        session.enter(&entry).unwrap();
    }
    drop(session);
    let again = |home: &Path| json(home, &["verify", B, "--recompute"]);
    let (code, v) = again(home);
    assert_eq!((code, v["recompute"]["same"].as_bool()), (0, Some(true)), "{}", v["recompute"]);
    // A record whose limits and verdict somebody bent, with all hashes made anew: whole, but not what comes out.
    let text = std::fs::read_to_string(file(home)).unwrap();
    let bent =
        rehashed(&text.replacen("verdict: outside", "verdict: within", 1).replacen("minutes: 5", "minutes: 50", 1));
    std::fs::write(file(home), bent).unwrap();
    let (code, v) = again(home);
    assert_eq!((code, v["whole"].as_bool(), v["recompute"]["same"].as_bool()), (0, Some(true), Some(false)));
    let list: Vec<(String, String)> = v["recompute"]["differences"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| (d["field"].as_str().unwrap().to_owned(), d["recorded"].as_str().unwrap().to_owned()))
        .collect();
    assert!(list.contains(&("verdict".into(), "within".into())), "{list:?}");
    assert!(list.iter().any(|(field, was)| field == "minutes" && was.starts_with("50")), "{list:?}");
    let review = json(home, &["review", B]).1;
    assert_eq!(review["steps"][0]["readings"][1]["verdict"], "within", "no verdict is changed");
}

#[test]
fn a_record_reads_the_same_with_its_spec_gone_and_the_words_changed() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let spec = home.join("mine.yaml");
    std::fs::write(&spec, runtrue::module::embedded("flywheel").unwrap().text).unwrap();
    let path = spec.display().to_string();
    assert_eq!(json(home, &["build", &path, "--serial", "1", "--by", "ak", "--no-open"]).0, 0);
    assert_eq!(json(home, &["enter", B, "inspect-instruments", "room", "9 °C", "--by", "ak"]).0, 1);
    let read = || {
        let all = ["review", "next", "export"].map(|command| runtrue(home, &[command, B]).stdout);
        (all, json(home, &["verify", B]).1)
    };
    let before = read();
    std::fs::remove_file(&spec).unwrap();
    assert!(read() == before);
    let v: Value = json(home, &["verify", B, "--recompute"]).1;
    assert_eq!(v["recompute"]["same"], true, "the spec stands in the record");
    // Limits that the program would set otherwise today: the record keeps its own, whatever is entered later.
    let text = std::fs::read_to_string(file(home)).unwrap();
    std::fs::write(file(home), rehashed(&text.replacen("lower: '10'", "lower: '5'", 1))).unwrap();
    let (code, said) = json(home, &["enter", B, "inspect-instruments", "room", "9 °C", "--by", "ak"]);
    assert_eq!((code, said["lower"].as_str()), (0, Some("5")), "{said}");
}
