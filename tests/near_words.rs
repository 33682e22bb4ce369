//! A mistyped word is answered with the nearest that is known, and with how to list them all.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;
use common::json;

#[test]
fn every_kind_of_mistyped_word_is_answered_with_the_nearest() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    for line in [
        &["build", "flywheel", "--serial", "017", "--by", "ak", "--no-open"][..],
        &["instruments", "add", "BG-1", "--kind", "bore gauge", "--uncertainty", "0.005 mm"][..],
    ] {
        assert_eq!(json(home, line).0, 0, "{line:?}");
    }
    let value = "0.01 mm";
    let cases: [(&[&str], &str, &str); 23] = [
        (&["check", "flywhel"], "flywheel", "Name a YAML file"),
        (&["plan", "testwheel", "--set", "disks=2"], "discs", "open are"),
        (&["plan", "flywheel", "--pulley", "midle"], "middle", "allowed are"),
        (&["plan", "flywheel", "--parcel", "dics"], "disc", "name one of"),
        (&["kit", "flywheel", "--sheet", "pully"], "pulley", "name one of"),
        (&["kit", "flywheel", "--have", "nut-m8-rod=3"], "nut-m8-rods", "nut-m8-rods"),
        (&["next", "flywhel-017"], "flywheel-017", "the builds are"),
        (&["review", "flywheel-071"], "flywheel-017", "the builds are"),
        (&["review", "flywheel-017", "--step", "inspect-shfat"], "inspect-shaft", "lists them"),
        (&["review", "flywheel-017", "--part", "shfat"], "shaft", "lists them"),
        (&["enter", "flywheel-017", "inspect-shfat", "run-out", value, "--by", "ak"], "inspect-shaft", "runtrue next"),
        (&["enter", "flywheel-017", "inspect-instruments", "zreo", "0 mm", "--by", "ak"], "zero", "it asks for"),
        (
            &["enter", "flywheel-017", "inspect-instruments", "room", "20 °C", "--by", "ak", "--instrument", "GB-1"],
            "BG-1",
            "runtrue instruments",
        ),
        (&["note", "flywheel-017", "inspect-shfat", "x", "--by", "ak"], "inspect-shaft", "runtrue next"),
        (&["release", "flywheel-017", "prove-slp", "--by", "mh", "--role", "design"], "prove-slip", "runtrue next"),
        (&["part", "flywheel-017", "dics-3", "--serial", "4", "--by", "ak"], "disc-3", "its parts are"),
        (&["parts", "flywheel-017", "shfat"], "shaft", "runtrue parts"),
        (&["change", "flywheel-017", "--replace", "bearing-fra"], "bearing-far", "its parts are"),
        (&["instruments", "retire", "BG-2"], "BG-1", "runtrue instruments"),
        (&["calc", "torqe"], "torque", "torqe"),
        (&["chekc", "flywheel"], "check", "chekc"),
        (&["check", "flywheel", "--jsno"], "--json", "--jsno"),
        (&["calc", "torque", "--preload-by", "prof"], "proof", "prof"),
    ];
    for (words, near, list) in cases {
        let (code, said) = json(home, words);
        let output = common::runtrue(home, words);
        let reason = format!("{} {}", said["reason"].as_str().unwrap(), String::from_utf8_lossy(&output.stderr));
        assert_eq!(code, 2, "{words:?}: {reason}");
        assert!(reason.contains(near) && reason.contains(list), "{words:?}: {reason}");
        let meant = [format!("Did you mean \"{near}\""), format!("near it are {near}")];
        assert!(meant.iter().any(|words| reason.contains(words)), "{words:?}: {reason}");
    }
    // What is like nothing is not guessed at.
    let (_, said) = json(home, &["check", "qqqqqqqq"]);
    assert!(!said["reason"].as_str().unwrap().contains("Did you mean"), "{said}");
}
