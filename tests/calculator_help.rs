//! The help of the bench calculator: every topic has an example, and every example answers.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::process::{Command, Output};

use common::words_of;
use serde_json::Value;

fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_runtrue")).args(words).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// The topics under a command, as its help lists them.
fn topics(path: &[String]) -> Vec<String> {
    let words: Vec<&str> = path.iter().map(String::as_str).chain(["--help"]).collect();
    let help = text(&run(&words).stdout);
    let Some((_, list)) = help.split_once("Commands:\n") else {
        return Vec::new();
    };
    let name = |line: &str| line.split_whitespace().next().filter(|n| *n != "help").map(str::to_owned);
    // A description too long for its line goes on deeper in.
    let own = |l: &&str| !l.starts_with("   ");
    list.lines().take_while(|l| l.starts_with("  ")).filter(own).filter_map(name).collect()
}

/// Every command from here on that has none under it.
fn leaves(path: Vec<String>) -> Vec<Vec<String>> {
    let inner = topics(&path);
    if inner.is_empty() {
        return vec![path];
    }
    inner
        .into_iter()
        .flat_map(|topic| {
            let mut deeper = path.clone();
            deeper.push(topic);
            leaves(deeper)
        })
        .collect()
}

#[test]
fn every_example_answers_and_names_its_sources() {
    let leaves = leaves(vec!["calc".into()]);
    assert!(leaves.len() >= 27, "{leaves:?}");
    for path in leaves {
        // The examples stand on lines of their own where a command is used wrongly, unwrapped.
        let wrong: Vec<&str> = path.iter().map(String::as_str).chain(["--no-such-flag"]).collect();
        let said = run(&wrong);
        assert_eq!(said.status.code(), Some(2));
        let said = text(&said.stderr);
        let examples: Vec<Vec<String>> =
            said.lines().filter_map(|l| l.split_once("runtrue ")).map(|(_, rest)| words_of(rest)).collect();
        let examples: Vec<_> = examples.into_iter().filter(|e| e.starts_with(&path) && e.len() > path.len()).collect();
        let usable: Vec<_> = examples.iter().filter(|e| !e.iter().any(|w| w.starts_with(['<', '[']))).collect();
        assert!(!usable.is_empty(), "{path:?} has no example:\n{said}");
        for example in usable {
            let words: Vec<&str> = example.iter().map(String::as_str).chain(["--json"]).collect();
            let answer = run(&words);
            assert_eq!(answer.status.code(), Some(0), "{example:?}: {}", text(&answer.stderr));
            let json: Value = serde_json::from_slice(&answer.stdout).unwrap();
            let basis = json["basis"].as_array().unwrap_or_else(|| panic!("{example:?} names no basis"));
            assert!(!basis.is_empty(), "{example:?} names no basis");
            // People read words with units, none of the keys, and the same sources.
            let words: Vec<&str> = example.iter().map(String::as_str).collect();
            let plain = text(&run(&words).stdout);
            assert!(!plain.contains('_'), "{example:?}: {plain}");
            assert!(basis.iter().all(|b| plain.contains(b.as_str().unwrap())), "{example:?}: {plain}");
        }
    }
}

#[test]
fn no_topic_a_wrong_one_and_a_missing_flag_show_the_way() {
    for (words, said) in [
        (vec!["calc"], "over-balls"),
        (vec!["calc", "clutch"], "over-balls"),
        (vec!["calc", "balance"], "two-plane"),
        (vec!["calc", "balance", "clutch"], "two-plane"),
        (vec!["calc", "torque"], "--thread"),
        (vec!["calc", "fit", "--size", "25 mm"], "--hole"),
        (vec!["calc", "slip"], "faces"),
        (vec!["calc", "joint", "--thread", "M8"], "--grip"),
        (vec!["calc", "collars"], "--pinch-thread"),
    ] {
        let wrong = run(&words);
        let shown = text(&wrong.stderr);
        assert_eq!(wrong.status.code(), Some(2), "{words:?}");
        assert!(shown.contains(said) && shown.contains("Example"), "{words:?}: {shown}");
    }
    let json = run(&["calc", "clutch", "--json"]);
    let reason: Value = serde_json::from_slice(&json.stdout).unwrap();
    assert!(reason["reason"].as_str().unwrap().contains("clutch"));
}
