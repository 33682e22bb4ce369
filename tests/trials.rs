//! Speed trials over two setups of a whole build, by the command line: refused, kept, set side by side, one adopted.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::f64::consts::PI;
use std::path::Path;

use common::{built, json, runtrue, work_until};
use runtrue::traveler::{Entry, Store};
use serde_json::Value;

const B: &str = "flywheel-1";

fn page(home: &Path, arguments: &[&str]) -> String {
    String::from_utf8(runtrue(home, arguments).stdout).unwrap()
}

fn trial(home: &Path, more: &[&str]) -> (i32, Value) {
    json(home, &[&["trial", B, "--by", "ak"], more].concat())
}

/// The last value of a check of the first build.
fn value(review: &Value, step: &str, check: &str) -> f64 {
    let step = review["steps"].as_array().unwrap().iter().find(|s| s["id"] == step).unwrap();
    let readings = step["readings"].as_array().unwrap();
    readings.iter().rfind(|r| r["check"] == check).unwrap()["value"].as_str().unwrap().parse().unwrap()
}

#[test]
fn setups_are_tried_set_side_by_side_and_one_is_adopted() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    drop(built(home, "flywheel", "1"));
    the_first_run_reckons_drag_and_rise(home);
    runs_are_judged_and_kept(home);
    one_is_adopted_and_left_for_a_reason(home);
    the_other_setup_runs_behind_its_own_guard(home);
    every_form_tells_them(home);
    builds_are_compared(home);
}

/// Plan figures of one setup, as numbers.
fn figure(home: &Path, name: &str) -> f64 {
    let plan = json(home, &["trials", B]).1["plan"].clone();
    plan[name].as_str().unwrap_or_else(|| panic!("{name}: {plan}")).parse().unwrap()
}

fn the_first_run_reckons_drag_and_rise(home: &Path) {
    let review = json(home, &["review", B]).1;
    let (speed, down) = (value(&review, "spin-first", "speed"), value(&review, "spin-first", "run-down"));
    let drag = figure(home, "inertia_kgm2") * speed * PI / 30.0 / down;
    // Kept to a thousandth of a newton metre.
    assert!((value(&review, "spin-first", "drag") - drag).abs() < 6e-4, "{drag}");
    let step = review["steps"].as_array().unwrap().iter().find(|s| s["id"] == "spin-first").unwrap().clone();
    let bearing =
        step["readings"].as_array().unwrap().iter().find(|r| r["check"] == "bearing").unwrap()["value"].clone();
    let warmer = bearing.as_str().unwrap().split(' ').map(|v| v.parse::<f64>().unwrap()).fold(f64::MIN, f64::max);
    let rise = warmer - value(&review, "spin-first", "room");
    assert!((value(&review, "spin-first", "rise") - rise).abs() < 0.06, "{rise}");
}

fn runs_are_judged_and_kept(home: &Path) {
    let full = [
        "--speed",
        "104 rpm",
        "--driver",
        "60 rpm",
        "--held",
        "15 min",
        "--run-down",
        "48 s",
        "--bearing",
        "41 °C",
        "--bearing",
        "38 °C",
        "--room",
        "20 °C",
        "--before",
        "20.5 N",
        "--after",
        "19.8 N",
        "--vibration",
        "-",
        "--noise",
        "even",
        "--changed",
        "baseline",
        "--stop",
        "planned",
        "--witness",
        "jo",
    ];
    let (code, kept) = trial(home, &full);
    assert_eq!((code, kept["run"].as_u64(), kept["recorded"].as_bool()), (0, Some(1), Some(true)), "{kept}");
    assert_eq!((kept["verdict"].as_str(), kept["upper"].as_str()), (Some("within"), Some("320")), "{kept}");
    // The belt was read after it: the guard was open, and counts as open until it is closed by its checks.
    let (code, open) = trial(home, &["--speed", "50 rpm"]);
    assert!(code == 2 && open["reason"].as_str().unwrap().contains("guard-guard-again"), "{open}");
    let store = Store::locate(Some(home)).unwrap();
    let mut session = store.resume(B).unwrap();
    for check in session.record().step("guard-guard-again").unwrap().checks.clone() {
        let values = common::good(&serde_json::json!(check));
        let (step, check, by) = ("guard-guard-again".to_owned(), check.id, "ak".to_owned());
        let correct = Some("belt read after the run".to_owned());
        session.enter(&Entry { step, check, by, values, correct, ..Entry::default() }).unwrap();
    }
    work_until(&mut session, |_, _| false);
    drop(session);
    // Flags are optional but the speed.
    assert_eq!(runtrue(home, &["trial", B, "--by", "ak"]).status.code(), Some(2));
    assert_eq!(trial(home, &["--speed", "50 rpm", "--run-down", "27 s"]).0, 0);
    let (code, fast) = trial(home, &["--speed", "321 rpm"]);
    assert_eq!((code, fast["verdict"].as_str(), fast["recorded"].as_bool()), (1, Some("outside"), Some(true)));
    assert!(fast["doubt"].as_str().unwrap().contains("no second person"), "{fast}");
    let (code, barred) = trial(home, &["--speed", "100 rpm"]);
    assert!(code == 2 && barred["reason"].as_str().unwrap().contains("--decide 3"), "{barred}");
    let decide = ["trial", B, "--decide", "3", "--disposition", "use-as-is", "--reason", "discs measured"];
    assert_eq!(json(home, &[&decide[..], &["--by", "ak", "--role", "fitter"]].concat()).0, 2);
    assert_eq!(json(home, &[&decide[..], &["--by", "mh", "--role", "design"]].concat()).0, 0);
    let review = page(home, &["review", B]);
    assert!(review.contains("speed trial, run 3") && review.contains("use as is by mh"), "{review}");
    let (code, bare) = trial(home, &["--speed", "100"]);
    assert!(code == 2 && bare["reason"].as_str().unwrap().contains("no unit"), "{bare}");
    let line = format!("Type: runtrue trial {B} --speed \"100 rpm\" --by ak");
    assert!(bare["reason"].as_str().unwrap().ends_with(&line), "{bare}");
    let text = page(home, &["trials", B]);
    assert!(text.contains("WARNING: Run 3 went to 321 rpm, over 320 rpm. That stays"), "{text}");
}

fn one_is_adopted_and_left_for_a_reason(home: &Path) {
    let adopt = |by: &str| json(home, &["adopt", B, "--reason", "quiet", "--by", by, "--role", "design"]);
    assert_eq!(adopt("ak").0, 2);
    let (code, adopted) = adopt("mh");
    assert_eq!((code, adopted["said"].as_str()), (0, Some("5 discs, slow")), "{adopted}");
    // ISO 21940-11: U = 9549·G·m/n, g·mm; G 16 by the spec.
    let wanted = 9549.3 * 16.0 * figure(home, "mass_kg") / figure(home, "speed_rpm");
    let permissible: f64 = adopted["permissible_gmm"].as_str().unwrap().parse().unwrap();
    assert!((permissible / wanted - 1.0).abs() < 1e-4, "{permissible} {wanted}");
    let change = ["change", B, "--set", "pulley=middle"];
    let shown = json(home, &change).1;
    assert_eq!(shown["leaves_adopted"], true);
    let begin = [&change[..], &["--begin", "--by", "mh"]].concat();
    let (code, refused) = json(home, &begin);
    assert!(code == 2 && refused["reason"].as_str().unwrap().contains("adopted"), "{refused}");
    assert_eq!(json(home, &[&begin[..], &["--reason", "tried for speed"]].concat()).0, 0);
    let review = page(home, &["review", B]);
    assert!(review.contains("NOT the setup in hand") && review.contains("changeover: tried for speed"), "{review}");
}

fn the_other_setup_runs_behind_its_own_guard(home: &Path) {
    let refused = trial(home, &["--speed", "100 rpm", "--run-down", "40 s"]);
    assert!(refused.0 == 2 && refused.1["reason"].as_str().unwrap().contains("without its guard"), "{}", refused.1);
    assert!(refused.1["reason"].as_str().unwrap().contains(" (guard-"), "title and id: {}", refused.1);
    let mut session = Store::locate(Some(home)).unwrap().resume(B).unwrap();
    work_until(&mut session, |_, _| false);
    session.finish("ak").unwrap();
    drop(session);
    let closed = trial(home, &["--speed", "130 rpm"]);
    assert!(closed.0 == 2 && closed.1["reason"].as_str().unwrap().contains("closed"), "{}", closed.1);
    assert_eq!(json(home, &["reopen", B, "--by", "mh", "--reason", "trials"]).0, 0);
    assert_eq!(trial(home, &["--speed", "130 rpm", "--run-down", "45 s", "--witness", "jo"]).0, 0);
    let all = json(home, &["trials", B]).1;
    let setups: Vec<&str> = all["setups"].as_array().unwrap().iter().map(|s| s["said"].as_str().unwrap()).collect();
    assert_eq!(setups, ["5 discs, slow", "5 discs, middle"]);
    assert!(all["setups"][0]["drag_why_not"].is_null() && all["setups"][0]["drag_constant_nm"].is_number(), "{all}");
    assert_eq!(all["runs"].as_array().unwrap().iter().map(|r| r["run"].as_u64().unwrap()).max(), Some(4));
    // Adopted again replaces it; both stay.
    let again = ["adopt", B, "--reason", "faster, and quiet too", "--by", "mh", "--role", "design"];
    assert_eq!(json(home, &again).1["said"], "5 discs, middle");
    let all = json(home, &["trials", B]).1;
    assert_eq!(
        (all["adopted"]["said"].as_str(), all["adoptions"].as_array().unwrap().len()),
        (Some("5 discs, middle"), 2)
    );
}

fn every_form_tells_them(home: &Path) {
    for form in ["text", "markdown", "html"] {
        for arguments in [["export", B, "--format", form], ["trials", B, "--format", form]] {
            let page = page(home, &arguments);
            for words in ["5 discs, middle", "Adopted setup", "faster, and quiet too", "0.148"] {
                assert!(page.contains(words), "{words} is missing in {arguments:?}");
            }
        }
    }
    assert!(page(home, &["trials", B, "--format", "html"]).contains("<svg"));
    let sheet = page(home, &["export", B, "--format", "csv"]);
    assert!(sheet.lines().any(|l| l.contains(",trial-1,drag,,0.148,N·m,")), "{sheet}");
    let own = page(home, &["trials", B, "--format", "csv"]);
    assert!(
        own.starts_with("build,serial,event,at,run,round,setup,check") && own.contains("run-down,48 s,48,s,1,"),
        "{own}"
    );
    let builds = json(home, &["builds"]).1;
    assert_eq!(builds["builds"][0]["adopted"], "5 discs, middle");
    let verified = json(home, &["verify", B, "--recompute"]).1;
    assert_eq!(verified["recompute"]["same"], true, "{verified}");
}

fn builds_are_compared(home: &Path) {
    drop(built(home, "flywheel", "2"));
    let other = ["trial", "flywheel-2", "--by", "ak", "--speed", "104 rpm", "--run-down", "52 s", "--witness", "jo"];
    assert_eq!(json(home, &other).0, 0);
    let compared = json(home, &["compare", B, "flywheel-2"]).1;
    assert_eq!(
        (&compared["builds"][0]["adopted"], &compared["builds"][1]["adopted"]),
        (&"5 discs, middle".into(), &Value::Null)
    );
    let drag = compared["checks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|c| c["step"] == "trial, 5 discs, slow" && c["check"] == "run-down");
    let values = drag.unwrap()["values"].as_array().unwrap();
    assert_eq!(values.iter().map(|v| v["value"].as_str().unwrap()).collect::<Vec<_>>(), ["27", "52"]);
    assert!(page(home, &["compare", B, "flywheel-2"]).contains("1: 5 discs, middle; 2: none"));
}
