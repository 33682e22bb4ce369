//! The whole build from the command line alone: `next` and `enter`, to the close-out.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use common::{good, json, runtrue};
use serde_json::Value;

fn enter(
    home: &std::path::Path,
    build: &str,
    step: &str,
    check: &str,
    values: &[String],
    more: &[&str],
) -> (i32, Value) {
    let values: Vec<&str> = values.iter().map(String::as_str).collect();
    json(home, &[&["enter", build, step, check], values.as_slice(), &["--by", "ak"], more].concat())
}

#[test]
fn the_demo_is_built_by_next_and_enter_alone() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let (code, made) = json(home, &["build", "flywheel", "--serial", "017", "--by", "ak", "--no-open"]);
    assert_eq!((code, made["build"].as_str()), (0, Some("flywheel-017")));
    let mut entered = 0;
    loop {
        let (_, next) = json(home, &["next", "flywheel-017"]);
        let Some(step) = next["steps"].as_array().unwrap().first().cloned() else {
            break;
        };
        let id = step["id"].as_str().unwrap();
        if step["state"] == "held" {
            let (code, said) = json(home, &["release", "flywheel-017", id, "--by", "ak", "--role", "design"]);
            assert_eq!(code, 2, "the doer must not release: {said}");
            assert_eq!(json(home, &["release", "flywheel-017", id, "--by", "mh", "--role", "design"]).0, 0);
            continue;
        }
        for check in step["checks"].as_array().unwrap() {
            let check_id = check["id"].as_str().unwrap();
            if check["kind"] == "derived" || !step["open_checks"].as_array().unwrap().iter().any(|c| c == check_id) {
                continue;
            }
            let (code, said) = enter(home, "flywheel-017", id, check_id, &good(check), &[]);
            assert_eq!(code, 0, "{id} {check_id}: {said}");
            assert_eq!(said["recorded"], true);
            entered += 1;
            if check["kind"] == "wait" {
                let (code, said) = enter(home, "flywheel-017", id, check_id, &["done".into()], &[]);
                assert_eq!(code, 2, "a wait cannot be over at once: {said}");
                let early = json(
                    home,
                    &[
                        "enter",
                        "flywheel-017",
                        id,
                        check_id,
                        "done",
                        "--by",
                        "mh",
                        "--role",
                        "design",
                        "--reason",
                        "trial of the guide",
                    ],
                );
                assert_eq!(early.0, 0, "{}", early.1);
            }
        }
    }
    assert!(entered > 200, "{entered}");
    let (code, closed) = json(home, &["finish", "flywheel-017", "--by", "ak"]);
    assert_eq!(code, 0, "{closed}");
    let (code, verified) = json(home, &["verify", "flywheel-017"]);
    assert_eq!(code, 0);
    assert_eq!(verified["code"], closed["code"]);
    let (_, review) = json(home, &["review", "flywheel-017"]);
    assert_eq!(review["state"], "complete");
    assert!(review["steps"].as_array().unwrap().iter().all(|s| s["state"] == "done"));
    assert_eq!(
        json(home, &["enter", "flywheel-017", "inspect-instruments", "zero", "yes", "--by", "ak"]).0,
        2,
        "closed"
    );
    let markdown = runtrue(home, &["export", "flywheel-017", "--format", "markdown"]);
    assert!(String::from_utf8(markdown.stdout).unwrap().contains(closed["code"].as_str().unwrap()));
    let builds = json(home, &["builds"]).1;
    assert_eq!(builds["builds"][0]["state"], "complete");
}

/// Whoever reads JSON gets the build's name; who only lacks a terminal is told before anything is started.
#[test]
fn a_build_is_started_whole_or_not_at_all_where_no_guide_can_open() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let refused = runtrue(home, &["build", "flywheel", "--serial", "1", "--by", "ak"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(said.contains("nothing was started") && said.contains("--no-open"), "{said}");
    assert!(json(home, &["builds"]).1["builds"].as_array().unwrap().is_empty());
    let (code, said) = json(home, &["build", "flywheel", "--serial", "1", "--by", "ak"]);
    assert_eq!((code, said["build"].as_str()), (0, Some("flywheel-1")), "{said}");
    assert_eq!(json(home, &["next", "flywheel-1"]).0, 0);
}

#[test]
fn what_may_not_be_entered_is_refused_with_the_reason() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    json(home, &["build", "flywheel", "--serial", "a-1", "--by", "ak", "--no-open"]);
    let b = "flywheel-a-1";
    let refused = |arguments: &[&str], reason: &str| {
        let (code, said) = json(home, arguments);
        assert_eq!(code, 2, "{arguments:?}");
        assert!(said["reason"].as_str().unwrap().contains(reason), "{arguments:?}: {said}");
    };
    refused(&["enter", b, "spin-first", "speed", "100 rpm", "--by", "ak"], "(guard-guard)");
    refused(&["enter", b, "fit-disc-1", "number", "1", "--by", "ak"], "comes after");
    refused(
        &["enter", b, "inspect-instruments", "room", "21", "--by", "ak"],
        "\"21\" has no unit; a temperature is needed, write \"21 °C\". Type: runtrue enter flywheel-a-1 inspect-instruments room \"21 °C\" --by ak",
    );
    refused(
        &[
            "enter",
            b,
            "inspect-instruments",
            "room",
            "21",
            "--by",
            "ak",
            "--disposition",
            "use-as-is",
            "--reason",
            "it's \"cold\"",
            "--role",
            "design",
        ],
        "room \"21 °C\" --by ak --disposition use-as-is --reason 'it'\\''s \"cold\"' --role design",
    );
    refused(&["enter", b, "inspect-instruments", "room", "21 kg", "--by", "ak"], "a temperature is needed");
    refused(&["enter", b, "inspect-instruments", "rom", "21 °C", "--by", "ak"], "it asks for zero, room");
    refused(&["enter", b, "no-such-step", "x", "1", "--by", "ak"], "no step");
    refused(
        &["enter", b, "inspect-instruments", "room", "21 °C", "--by", "ak", "--instrument", "T-9"],
        "no instrument \"T-9\"",
    );
    refused(&["enter", b, "inspect-instruments", "room", "21 °C", "--by", "../x"], "cannot be initials");
    refused(&["release", b, "inspect-instruments", "--by", "mh", "--role", "design"], "no hold point");
    refused(&["release", b, "prove-slip", "--by", "mh", "--role", "design"], "(prove-slip) is not ready");
    refused(&["finish", b, "--by", "ak"], "steps are open");
    let (_, said) = json(home, &["enter", b, "fit-disc-1", "number", "1", "--by", "ak"]);
    let (step, plan) = ("clean-discs", json(home, &["plan", "flywheel"]).1);
    let title = plan["steps"].as_array().unwrap().iter().find(|s| s["id"] == step).unwrap()["title"].clone();
    let named = format!("{} ({step})", title.as_str().unwrap());
    assert!(said["reason"].as_str().unwrap().contains(&named), "{named}: {said}");
    refused(&["build", "flywheel", "--serial", "A-1", "--by", "ak", "--no-open"], "exists");
    refused(&["build", "flywheel", "--serial", "../a", "--by", "ak", "--no-open"], "serial number");
    refused(&["next", "../../etc"], "no build");
    refused(&["plan", "flywheel", "--discs", "9"], "allowed are: 1, 2, 3, 4, 5");
    // Negative values are values: read, judged, and recorded as outside.
    let (code, said) = json(home, &["enter", b, "inspect-instruments", "room", "-5 °C", "--by", "ak"]);
    assert_eq!((code, said["verdict"].as_str()), (1, Some("outside")));
    let (code, said) = json(home, &["enter", b, "inspect-instruments", "room", "21,5 °C", "--by", "ak"]);
    assert_eq!((code, said["verdict"].as_str()), (0, Some("within")));
    refused(&["enter", b, "inspect-instruments", "room", "22 °C", "--by", "ak"], "correction");
    let (code, _) = json(
        home,
        &["enter", b, "inspect-instruments", "room", "22 °C", "--by", "ak", "--correct", "--reason", "misread"],
    );
    assert_eq!(code, 0);
    let readings = json(home, &["review", b]).1["steps"][0]["readings"].clone();
    let superseded: Vec<bool> = readings
        .as_array()
        .unwrap()
        .iter()
        .filter(|r| r["check"] == "room")
        .map(|r| r["superseded"].as_bool().unwrap())
        .collect();
    assert_eq!(superseded, [true, true, false]);
}

#[test]
fn a_reading_outside_is_answered_by_the_design_side_only() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    json(home, &["build", "flywheel", "--serial", "2", "--by", "ak", "--no-open"]);
    let b = "flywheel-2";
    enter(home, b, "inspect-instruments", "zero", &["yes".into()], &[]);
    enter(home, b, "inspect-instruments", "room", &["20 °C".into()], &[]);
    let width = |by: &str, role: &str| {
        json(
            home,
            &[
                "enter",
                b,
                "inspect-collar-far",
                "width",
                "20.20 mm",
                "--by",
                by,
                "--disposition",
                "use-as-is",
                "--reason",
                "spare length in the rods",
                "--role",
                role,
            ],
        )
    };
    // Nobody accepts what he measured himself, the design side neither.
    let (code, said) = width("mh", "design");
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("somebody else decides"), "{said}");
    let (code, _) = enter(home, b, "inspect-collar-far", "width", &["20.2 mm".into()], &[]);
    assert_eq!(code, 1);
    assert_eq!(width("ak", "design").0, 2);
    assert_eq!(width("ak", "fitter").0, 2);
    let (code, said) = width("mh", "design");
    assert_eq!((code, said["verdict"].as_str()), (0, Some("outside")));
    let review = json(home, &["review", b]).1;
    let step = review["steps"].as_array().unwrap().iter().find(|s| s["id"] == "inspect-collar-far").unwrap().clone();
    let readings: Vec<_> =
        step["readings"].as_array().unwrap().iter().filter(|r| r["check"] == "width").cloned().collect();
    assert_eq!(readings.len(), 1, "the value repeated to be decided on is no second reading");
    assert_eq!((readings[0]["by"].as_str(), readings[0]["disposition"].as_str()), (Some("ak"), Some("use-as-is")));
}

#[test]
fn plan_and_check_print_the_same_bytes_twice() {
    let home = tempfile::tempdir().unwrap();
    for arguments in [
        &["plan", "flywheel", "--format", "json"][..],
        &["plan", "flywheel", "--format", "markdown", "--discs", "2"],
        &["check", "flywheel", "--json"],
    ] {
        let (a, b) = (runtrue(home.path(), arguments), runtrue(home.path(), arguments));
        assert!(a.status.success() && a.stdout == b.stdout && !a.stdout.is_empty());
    }
}

#[test]
fn unusable_specs_end_with_a_clear_error_and_exit_2() {
    let home = tempfile::tempdir().unwrap();
    let at = |name: &str| home.path().join(name);
    let head = "runtrue: spec 1\n";
    let bomb: String = std::iter::once("a0: &a0 [x]\n".to_owned())
        .chain((1..9).map(|n| format!("a{n}: &a{n} [{}]\n", vec![format!("*a{}", n - 1); 9].join(", "))))
        .collect();
    std::fs::write(at("empty.yaml"), "").unwrap();
    std::fs::write(at("large.yaml"), "x".repeat(5 << 20)).unwrap();
    std::fs::write(at("bomb.yaml"), format!("{head}{bomb}")).unwrap();
    std::fs::write(at("brackets.yaml"), format!("{head}{}", "[".repeat(20_000))).unwrap();
    std::fs::write(at("binary.yaml"), [0u8, 159, 146, 150, 255]).unwrap();
    std::fs::write(at("control.yaml"), format!("{head}title: a\u{1b}[2Jb\n")).unwrap();
    std::fs::create_dir(at("folder")).unwrap();
    for name in [
        "empty.yaml",
        "large.yaml",
        "bomb.yaml",
        "brackets.yaml",
        "binary.yaml",
        "control.yaml",
        "folder",
        "missing.yaml",
    ] {
        let path = at(name).display().to_string();
        for command in ["plan", "check"] {
            let output = runtrue(home.path(), &[command, &path]);
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{name}: {said}");
            assert!(said.contains(name) && said.contains("help:") && !said.contains("panicked"), "{name}: {said}");
            assert!(!said.chars().any(|c| c.is_control() && c != '\n'), "{name}: {said:?}");
        }
    }
}

#[test]
fn an_altered_record_is_named_and_not_written() {
    let home = tempfile::tempdir().unwrap();
    json(home.path(), &["build", "flywheel", "--serial", "9", "--by", "ak", "--no-open"]);
    json(home.path(), &["enter", "flywheel-9", "inspect-instruments", "zero", "yes", "--by", "ak"]);
    let file = home.path().join("builds/flywheel-9/traveler.yaml");
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text.replacen("entered:\n- yes", "entered:\n- no", 1).replacen("- 'yes'", "- 'no'", 1))
        .unwrap();
    assert_ne!(std::fs::read_to_string(&file).unwrap(), text);
    let (code, verified) = json(home.path(), &["verify", "flywheel-9"]);
    assert_eq!((code, verified["first_bad_event"].as_u64(), verified["whole"].as_bool()), (1, Some(2), Some(false)));
    let (code, said) =
        json(home.path(), &["enter", "flywheel-9", "inspect-instruments", "room", "20 °C", "--by", "ak"]);
    assert_eq!(code, 2);
    assert!(said["reason"].as_str().unwrap().contains("altered at entry 2"), "{said}");
}

/// Remake with `tools/reprint.sh`.
#[test]
fn the_printed_procedures_are_those_the_program_derives() {
    let home = tempfile::tempdir().unwrap();
    for name in runtrue::module::embedded_names() {
        let made = runtrue(home.path(), &["plan", &name, "--format", "markdown"]);
        let printed = std::fs::read_to_string(format!("{}/procedures/printed/{name}.md", env!("CARGO_MANIFEST_DIR")));
        assert!(String::from_utf8(made.stdout).unwrap() == printed.unwrap(), "{name} is not up to date");
        let (code, checked) = json(home.path(), &["check", &name]);
        assert_eq!((code, checked["ok"].as_bool()), (0, Some(true)), "{name} does not add up");
    }
}

#[test]
fn words_of_people_come_back_exact_in_json_and_harmless_on_a_terminal() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    json(home, &["build", "flywheel", "--serial", "5", "--by", "ak", "--no-open"]);
    let lot = "a\u{1b}[2J b\u{9b}31m \u{202e}c | d";
    json(home, &["enter", "flywheel-5", "receive-bolts", "lot", lot, "--by", "ak"]);
    let raw = runtrue(home, &["review", "flywheel-5", "--json"]).stdout;
    let text = String::from_utf8(raw).unwrap();
    assert!(!text.chars().any(|c| c.is_control() && c != '\n') && !text.contains('\u{202e}'));
    assert!(text.contains("receive-bolts"));
    let review: Value = serde_json::from_str(&text).unwrap();
    let bolts = review["steps"].as_array().unwrap().iter().find(|s| s["id"] == "receive-bolts").unwrap().clone();
    assert_eq!(bolts["readings"][0]["value"], lot);
    let markdown = String::from_utf8(runtrue(home, &["export", "flywheel-5"]).stdout).unwrap();
    assert!(!markdown.chars().any(|c| c.is_control() && c != '\n'));
    assert!(markdown.contains("c \\| d"), "a bar does not break the table");
}
