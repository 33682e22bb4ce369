//! A visit to a module that has run, at the command line: what is due, what is found, what is left, what it tells.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::Path;

use common::{built, good, json, runtrue};
use serde_json::Value;

/// A flywheel, built and closed.
fn closed(home: &Path) {
    built(home, "flywheel", "017").finish("ak").unwrap();
}

/// Works through what is open at the command line; `found` gives the values of what is to be entered otherwise.
fn work(home: &Path, found: &[(&str, &str, &[&str])]) {
    loop {
        let (_, next) = json(home, &["next", "flywheel-017"]);
        let Some(step) = next["steps"].as_array().and_then(|l| l.first()).cloned() else { return };
        let id = step["id"].as_str().unwrap();
        if step["state"] == "held" {
            let released = runtrue(home, &["release", "flywheel-017", id, "--by", "mh", "--role", "design"]);
            assert!(released.status.success(), "{id}: {}", String::from_utf8_lossy(&released.stderr));
            continue;
        }
        for check in step["checks"].as_array().unwrap() {
            let name = check["id"].as_str().unwrap();
            let other = found.iter().find(|(s, c, _)| *s == id && *c == name);
            let values: Vec<String> =
                other.map_or_else(|| good(check), |(_, _, v)| v.iter().map(|v| (*v).to_owned()).collect());
            if values.is_empty() {
                continue;
            }
            let mut arguments = vec!["enter", "flywheel-017", id, name];
            arguments.extend(values.iter().map(String::as_str));
            arguments.extend(["--by", "ak"]);
            let entered = runtrue(home, &arguments);
            assert!(entered.status.code() != Some(2), "{id} {name}: {}", String::from_utf8_lossy(&entered.stderr));
        }
    }
}

fn steps(answer: &Value) -> Vec<&str> {
    answer["steps"].as_array().unwrap().iter().map(|s| s["id"].as_str().unwrap()).collect()
}

#[test]
fn a_visit_opens_the_guard_reads_what_is_due_as_found_and_as_left_and_runs_it_again() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    closed(home);
    let (code, due) = json(home, &["due", "flywheel-017"]);
    println!("{}", serde_json::to_string_pretty(&due).unwrap());
    assert_eq!(code, 0);
    let (code, shown) = json(home, &["visit", "flywheel-017", "--joint", "rods", "--joint", "belt"]);
    println!("{:?}", steps(&shown));
    println!("{}", serde_json::to_string_pretty(&shown["undone"]).unwrap());
    assert_eq!(code, 0);
}
