//! Every command's help ends with examples, and each of them does what it says, in a home that has the builds they name.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::path::Path;
use std::process::{Command, Output};

use runtrue::traveler::{StepState, Store};

mod common;

use common::{words_of, work_until};

/// Commands that open the guide, sign with a key of the user's, or end with "no" because nothing is ticked off yet.
fn code_of(words: &[String]) -> i32 {
    let has = |word: &str| words.iter().any(|w| w == word);
    match words[0].as_str() {
        "resume" | "sign" => 2,
        "build" if !has("--no-open") => 2,
        "kit" if !has("--sheet") && !has("--sheets") => 1,
        _ => 0,
    }
}

fn run(home: &Path, words: &[String]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_runtrue"));
    command
        .env_clear()
        .env("RUNTRUE_HOME", home.join("home"))
        .env("HOME", home)
        .current_dir(home)
        .args(words)
        .output()
        .unwrap()
}

/// Words of an example up to what goes to a file or on to another program.
fn example(line: &str) -> Vec<String> {
    words_of(line.split(" > ").next().unwrap().split(" | ").next().unwrap())
}

#[test]
fn every_command_ends_its_help_with_examples_that_work() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path();
    let store = Store::locate(Some(&home.join("home"))).unwrap();
    let on_bench = |serial: &str| common::begun(&store, "flywheel", serial);
    for whole in ["013", "014", "015"] {
        work_until(&mut on_bench(whole), |_, _| false);
    }
    work_until(&mut on_bench("016"), |id, state| id == "prove-slip" && state == StepState::Held);
    work_until(&mut on_bench("017"), |id, _| id == "inspect-shaft");
    std::fs::write(home.join("certificate.pdf"), "a certificate").unwrap();
    std::fs::create_dir_all(home.join("procedures/modules")).unwrap();
    std::fs::create_dir_all(home.join(".local/share/man/man1")).unwrap();
    let family = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures/modules/family.yaml");
    std::fs::copy(family, home.join("procedures/modules/family.yaml")).unwrap();

    let help = String::from_utf8(run(home, &["--help".into()]).stdout).unwrap();
    let list = help.split_once("Commands:\n").unwrap().1;
    let names = list.lines().take_while(|l| l.starts_with("  ")).filter(|l| !l.starts_with("   "));
    // The calculator's topics have a test of their own.
    let names: Vec<&str> =
        names.filter_map(|l| l.split_whitespace().next()).filter(|n| !["help", "calc"].contains(n)).collect();
    assert!(names.len() >= 24, "{names:?}");
    for name in names {
        let help = String::from_utf8(run(home, &[name.into(), "--help".into()]).stdout).unwrap();
        assert!(
            help.trim_end().rsplit("\n\n").take(2).any(|end| end.contains("Example")),
            "{name} ends without examples:\n{help}"
        );
        // Unwrapped where the command is used wrongly.
        let said = String::from_utf8(run(home, &[name.into(), "--no-such-flag".into()]).stderr).unwrap();
        let lines = said.lines().filter_map(|l| l.split_once("runtrue ")).map(|(before, rest)| (before.trim(), rest));
        let examples = lines
            .filter(|(before, rest)| matches!(*before, "" | "Example:" | "Examples:") && !rest.contains(['<', '…']));
        let examples: Vec<Vec<String>> = examples.map(|(_, rest)| example(rest)).collect();
        assert!(!examples.is_empty(), "{name}: {said}");
        for mut words in examples {
            words.iter_mut().for_each(|w| *w = w.replace('~', &home.to_string_lossy()));
            let output = run(home, &words);
            let stderr = String::from_utf8_lossy(&output.stderr).into_owned();
            assert_eq!(output.status.code(), Some(code_of(&words)), "{words:?}: {stderr}");
            assert!(!stderr.contains("Usage:"), "{words:?}: {stderr}");
        }
    }
}
