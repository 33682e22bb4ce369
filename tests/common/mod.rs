//! What the whole-program tests share: a home folder, the program, and a fitter who knows a good value for every check.
#![allow(dead_code, reason = "each test crate uses its own part")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::path::Path;
use std::process::{Command, Output};

use runtrue::traveler::{CheckState, EndedEarly, Entry, Release, Session, StepState, Store};
use serde_json::Value;

pub mod machine;
pub mod rehash;
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

/// Words of a shell line, as far as examples need one: spaces, and double quotes round one word.
pub fn words_of(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words.into_iter().filter(|w| !w.is_empty()).collect()
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
        "text" => vec![text("wanted").unwrap_or_else(|| "lot 4711".into())],
        "wait" => vec!["started".into()],
        // Computed by the program, never typed.
        "derived" => Vec::new(),
        other => panic!("{other}"),
    }
}

/// A build of a demo worked to its last step by the library, in one process: every value good, holds released.
pub fn built(home: &Path, module: &str, serial: &str) -> Session {
    let mut session = begun(&Store::locate(Some(home)).unwrap(), module, serial);
    work_until(&mut session, |_, _| false);
    session
}

/// Every value good and every hold released, until a step is reached that is to be left as it is.
pub fn work_until(session: &mut Session, stop: impl Fn(&str, StepState) -> bool) {
    while let Some(step) = session.record().open_steps().first().map(|s| (*s).clone()) {
        let state = session.record().step_state(&step.id);
        if stop(&step.id, state) {
            return;
        }
        if state == StepState::Held {
            let release = Release { step: step.id, by: "mh".into(), role: "design".into(), ..Release::default() };
            session.release(&release).unwrap();
            continue;
        }
        for check in &step.checks {
            let values = good(&serde_json::json!(check));
            if values.is_empty() || session.record().check_state(&step, check) == CheckState::Answered {
                continue;
            }
            let entry = Entry {
                step: step.id.clone(),
                check: check.id.clone(),
                by: "ak".into(),
                values: values.clone(),
                ..Entry::default()
            };
            session.enter(&entry).unwrap_or_else(|e| panic!("{} {}: {e}", step.id, check.id));
            if values == ["started"] {
                let end_early = Some(EndedEarly { role: "design".into(), reason: "a test".into() });
                session.enter(&Entry { values: vec!["done".into()], by: "mh".into(), end_early, ..entry }).unwrap();
            }
        }
    }
}

/// A build of a demo in its first setup, just started.
pub fn begun(store: &Store, module: &str, serial: &str) -> Session {
    let module = runtrue::module::read(&runtrue::module::embedded(module).unwrap()).unwrap();
    let setup = runtrue::module::Setup::choose(&module, &std::collections::BTreeMap::new()).unwrap();
    let start = runtrue::traveler::Start {
        plan: runtrue::procedure::make_plan(&module, &setup).unwrap(),
        spec_text: module.text,
        spec_name: "flywheel".into(),
        serial: serial.into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    store.start(start).unwrap()
}
