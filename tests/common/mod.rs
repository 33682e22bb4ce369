//! What the whole-program tests share: a home folder, the program, and a fitter who knows a good value for every check.
#![allow(dead_code, reason = "each test crate uses its own part")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

pub mod terminal;

/// The program with its own home and a clean environment.
pub fn runtrue(home: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_runtrue"))
        .env_clear()
        .env("RUNTRUE_HOME", home)
        .args(arguments)
        .output()
        .expect("the program starts")
}

/// Exit code and JSON of a command.
pub fn json(home: &Path, arguments: &[&str]) -> (i32, Value) {
    let output = runtrue(home, &[arguments, &["--json"]].concat());
    let text = String::from_utf8(output.stdout).unwrap();
    let value = serde_json::from_str(&text)
        .unwrap_or_else(|e| panic!("{arguments:?}: {e}: {text} {}", String::from_utf8_lossy(&output.stderr)));
    (output.status.code().unwrap(), value)
}

/// A value that is within the limits of a check of a plan, as typed on the command line.
pub fn good(check: &Value) -> Vec<String> {
    let text = |key: &str| check[key].as_str().map(str::to_owned);
    let number = |key: &str| text(key).and_then(|t| t.parse::<f64>().ok());
    let unit = text("unit").unwrap_or_default();
    let middle = match (number("lower"), number("upper")) {
        (Some(a), Some(b)) => f64::midpoint(a, b),
        (Some(a), None) => number("nominal").unwrap_or(a).max(a),
        (None, Some(b)) => number("nominal").unwrap_or(b / 2.0).min(b),
        (None, None) => number("nominal").unwrap_or(1.0),
    };
    let count = check["count"].as_u64().unwrap_or(1);
    let value = format!("{middle:.4} {unit}");
    match check["kind"].as_str().unwrap() {
        "measure" => vec![value],
        "series" if check["rule"] == "range" => vec!["80.00 mm".into(); count as usize],
        "series" => vec![value; count as usize],
        "gauge" => vec!["go=yes".into(), "no-go=no".into()],
        "torque" if check["unit"].is_null() => vec!["moved=0".into()],
        "torque" => vec![format!("clicked={count}/{count}")],
        "confirm" => vec!["yes".into()],
        "count" => vec![text("lower").unwrap_or_else(|| "1".into())],
        "text" => vec!["lot 4711".into()],
        "wait" => vec!["started".into()],
        // Computed by the program, never typed.
        "derived" => Vec::new(),
        other => panic!("{other}"),
    }
}
