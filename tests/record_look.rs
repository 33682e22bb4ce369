//! Looking at records from the command line: filters, forms, comparison, parts, instruments, many builds.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::Path;
use std::process::Command;

use common::rehash::rehashed;
use common::{begun, built, json, runtrue};
use runtrue::traveler::{Entry, Session, Store};
use serde_json::Value;

const B: &str = "flywheel-1";

fn start(home: &Path, serial: &str) -> Session {
    begun(&Store::locate(Some(home)).unwrap(), "flywheel", serial)
}

fn enter(session: &mut Session, step: &str, check: &str, values: &[&str], by: &str) {
    let entry = Entry {
        step: step.into(),
        check: check.into(),
        values: values.iter().map(|v| (*v).to_owned()).collect(),
        by: by.into(),
        ..Entry::default()
    };
    session.enter(&entry).unwrap();
}

fn page(home: &Path, arguments: &[&str]) -> String {
    String::from_utf8(runtrue(home, arguments).stdout).unwrap()
}

#[test]
fn a_record_is_exported_in_every_form_and_filtered() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let mut session = start(home, "1");
    enter(&mut session, "inspect-instruments", "room", &["9 °C"], "ak");
    enter(&mut session, "inspect-instruments", "room", &["21 °C"], "jo");
    enter(&mut session, "receive-bolts", "lot", &["<b>=1+1</b>"], "ak");
    drop(session);
    let export = |more: &[&str]| page(home, &[&["export", B], more].concat());
    assert!(export(&["--format", "text"]).contains("was 9 °C (superseded:"));
    let html = export(&["--format", "html"]);
    assert!(
        html.starts_with("<!DOCTYPE html>") && html.contains("<s>9 °C</s><br><small>superseded: measured again"),
        "{html}"
    );
    assert!(html.contains("&lt;b&gt;=1+1&lt;/b&gt;") && html.contains("<svg"));
    assert_eq!(export(&["--format", "csv"]).lines().count(), 1 + 3);
    assert_eq!(export(&["--format", "csv", "--by", "jo"]).lines().count(), 1 + 1);
    assert_eq!(export(&["--format", "csv", "--verdict", "outside"]).lines().count(), 1 + 1);
    let review = json(home, &["review", B, "--operation", "receive"]).1;
    let steps: Vec<&str> = review["steps"].as_array().unwrap().iter().map(|s| s["id"].as_str().unwrap()).collect();
    assert!(steps.contains(&"receive-bolts") && steps.iter().all(|s| s.starts_with("receive")), "{steps:?}");
    assert_eq!(review["filtered"], true);
    let blank = page(home, &["blank", "flywheel", "--serial", "7", "--format", "text"]);
    assert!(blank.contains("traveler to fill by hand"));
    // Speed trials stand in no order of work, and are written by hand all the same: a column a run, their cautions before them.
    let trials = blank.split("Speed trial, never above").nth(1).unwrap();
    for words in ["DANGER", "Speed of the rotor reached", "at most 320 rpm", "Measured by, second person", "Decided"] {
        assert!(trials.contains(words), "{words} is missing\n{trials}");
    }
    let card = page(home, &["plan", "flywheel", "--parcel", "trial"]);
    for words in ["## Speed trial, never above", "> **DANGER**", "(`run-down`)", "runtrue trial BUILD"] {
        assert!(card.contains(words), "{words} is missing\n{card}");
    }
    assert!(!card.contains("## 0."), "it has no number in the order of work: {card}");
}

#[test]
fn builds_of_one_module_are_compared_check_by_check() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    for (serial, room) in [("10", "20 °C"), ("9", "18,5 °C"), ("11", "9 °C")] {
        enter(&mut start(home, serial), "inspect-instruments", "room", &[room], "ak");
    }
    let all = ["compare", "flywheel-10", "flywheel-9", "flywheel-11"];
    let (code, v) = json(home, &[&all[..], &["--check", "room"]].concat());
    let room = &v["checks"][0];
    assert_eq!((code, room["check"].as_str(), room["unit"].as_str()), (0, Some("room"), Some("°C")), "{v}");
    let serials: Vec<&str> = room["values"].as_array().unwrap().iter().map(|v| v["serial"].as_str().unwrap()).collect();
    assert_eq!(serials, ["9", "10", "11"], "in the order of the serials");
    // By hand: (18.5 + 20 + 9) / 3 = 15.8333, 20 - 9 = 11; slope of 18.5, 20, 9 over 1, 2, 3: (9 - 18.5) / 2 = -4.75.
    assert_eq!((room["mean"].as_str(), room["range"].as_str()), (Some("15.833"), Some("11")));
    assert_eq!(room["drift_per_serial"].as_f64(), Some(-4.75));
    assert!(room["performance"].is_null(), "three values are too few");
    assert_eq!(room["values"][2]["verdict"], "outside");
    let chart = page(home, &[&all[..], &["--step", "inspect-instruments"]].concat());
    let lines: Vec<&str> = chart.lines().filter(|l| l.contains('[') && l.contains('|')).collect();
    assert!(lines.len() == 3 && lines[2].contains('x') && lines[0].contains('o'), "{chart}");
    assert!(page(home, &[&all[..], &["--format", "html"]].concat()).contains("<svg"));
    let refused = |arguments: &[&str], words: &str| {
        let (code, v) = json(home, arguments);
        assert!(code == 2 && v["reason"].as_str().unwrap().contains(words), "{v}");
    };
    refused(&["compare", "flywheel-9"], "two builds at least");
    refused(&["compare", "flywheel-9", "flywheel-9"], "stands twice");
    refused(&["compare", "flywheel-9", "flywheel-12"], "no build \"flywheel-12\"");
}

#[test]
fn a_capability_figure_is_told_from_thirty_values_on_with_its_formula() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let names: Vec<String> = (1..=8).map(|n| format!("flywheel-{n}")).collect();
    for (n, name) in (1..).zip(&names) {
        let mut session = start(home, name.strip_prefix("flywheel-").unwrap());
        enter(&mut session, "inspect-instruments", "zero", &["yes"], "ak");
        enter(&mut session, "inspect-instruments", "room", &["20 °C"], "ak");
        let values: Vec<String> = (0..4).map(|k| format!("24.{} mm", 595 + (n + k) % 5 * 2)).collect();
        enter(&mut session, "inspect-disc-1", "bore", &values.iter().map(String::as_str).collect::<Vec<_>>(), "ak");
    }
    let bore = |names: &[String]| {
        let mut arguments = vec!["compare"];
        arguments.extend(names.iter().map(String::as_str));
        arguments.extend(["--step", "inspect-disc-1", "--check", "bore"]);
        json(home, &arguments).1["checks"][0]["performance"].clone()
    };
    assert!(bore(&names[..7]).is_null(), "28 values");
    let found = bore(&names);
    assert_eq!(found["n"], 32);
    assert!(found["ppk"].as_f64().unwrap() > 0.0 && found["formula"].as_str().unwrap().contains("6s"), "{found}");
    assert!(found["basis"].as_str().unwrap().contains("common practice"));
}

#[test]
fn a_faulty_instrument_lists_every_reading_in_every_build_and_is_used_no_more() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let add = ["instruments", "add", "T-1", "--kind", "thermometer", "--uncertainty", "1 K", "--due", "2999-01-01"];
    assert_eq!(json(home, &add).0, 0);
    for serial in ["1", "2"] {
        drop(start(home, serial));
        let build = format!("flywheel-{serial}");
        let enter = ["enter", &build, "inspect-instruments", "room", "21 °C", "--by", "ak", "--instrument", "T-1"];
        let (code, v) = json(home, &enter);
        assert_eq!(code, 0, "{v}");
    }
    std::fs::create_dir_all(home.join("builds/broken")).unwrap();
    std::fs::write(home.join("builds/broken/traveler.yaml"), "x").unwrap();
    let (code, v) = json(home, &["instruments", "faulty", "T-1", "--reason", "reads 3 K high", "--by", "mh"]);
    assert_eq!((code, v["readings"].as_array().unwrap().len()), (0, 2), "{v}");
    assert!(v["readings"].as_array().unwrap().iter().all(|r| r["in_doubt"] == true));
    assert_eq!(v["unread"][0]["build"], "broken", "a record that cannot be read is named");
    let again = ["enter", B, "inspect-instruments", "room", "20 °C", "--by", "ak", "--instrument", "T-1"];
    let (code, v) = json(home, &[&again[..], &["--correct", "--reason", "x"]].concat());
    assert!(code == 2 && v["reason"].as_str().unwrap().contains("found faulty"), "{v}");
    let text = page(home, &["review", B]);
    assert!(text.contains("Readings in doubt") && text.contains("reads 3 K high"), "{text}");
    assert_eq!(json(home, &["review", B]).1["steps"][0]["readings"][0]["in_doubt"], true);
    assert_eq!(json(home, &["instruments", "faulty", "T-9", "--reason", "x", "--by", "mh"]).0, 2);
}

#[test]
fn next_names_the_instruments_that_can_decide_and_says_when_none_can() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let mut session = start(home, "1");
    enter(&mut session, "inspect-instruments", "zero", &["yes"], "ak");
    enter(&mut session, "inspect-instruments", "room", &["20 °C"], "ak");
    drop(session);
    let add = |id: &str, u: &str, due: &str| {
        json(home, &["instruments", "add", id, "--kind", "gauge", "--uncertainty", u, "--due", due]);
    };
    add("CAL", "0.2 mm", "2999-01-01");
    let text = page(home, &["next", B]);
    assert!(text.contains("NO instrument of the register can decide (CAL: too coarse to decide)"), "{text}");
    add("BG-1", "0.002 mm", "2001-01-01");
    assert!(page(home, &["next", B]).contains("measure with: BG-1 (OVERDUE)"));
    let next = json(home, &["next", B]).1;
    let disc = next["steps"].as_array().unwrap().iter().find(|s| s["id"] == "inspect-disc-1").unwrap().clone();
    let bore = disc["offers"].as_array().unwrap().iter().find(|o| o["check"] == "bore").unwrap().clone();
    let ids: Vec<(&str, bool)> = bore["instruments"]
        .as_array()
        .unwrap()
        .iter()
        .map(|i| (i["id"].as_str().unwrap(), i["decides"].as_bool().unwrap()))
        .collect();
    assert_eq!(ids, [("BG-1", true), ("CAL", false)]);
}

#[test]
fn parts_keep_lot_serial_and_marks_and_where_they_sat() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    drop(start(home, "1"));
    let part = |more: &[&str]| json(home, &[&["part", B, "disc-3", "--by", "ak"], more].concat());
    assert_eq!(part(&["--serial", "-L42", "--mark", "two dots"]).0, 0);
    assert_eq!(part(&["--mark", "three dots"]).0, 0);
    assert_eq!(part(&[]).0, 2);
    let v = json(home, &["parts", B, "disc-3"]).1;
    let facts = &v["parts"][0]["facts"];
    assert_eq!((facts["serial"].as_str(), facts["mark"].as_str()), (Some("-L42"), Some("three dots")), "{v}");
    assert!(page(home, &["parts", B, "disc-3"]).contains("mark two dots (superseded)"));
    assert_eq!(json(home, &["parts", B, "disc-9"]).0, 2);
}

/// The list is remembered from 64 builds on; what is remembered is believed only for a file that is the same.
#[test]
fn a_long_list_is_remembered_and_never_believed_for_a_file_that_changed() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    drop(start(home, "1"));
    let text = std::fs::read(home.join("builds").join(B).join("traveler.yaml")).unwrap();
    for n in 0..70 {
        let folder = home.join(format!("builds/broken-{n:02}"));
        std::fs::create_dir(&folder).unwrap();
        std::fs::write(folder.join("traveler.yaml"), if n == 0 { &text[..text.len() - 9] } else { &b"x\n"[..] })
            .unwrap();
    }
    let cache = home.join("cache");
    let listed = || -> Value {
        let output = Command::new(env!("CARGO_BIN_EXE_runtrue"))
            .env_clear()
            .env("RUNTRUE_HOME", home)
            .env("RUNTRUE_CACHE", &cache)
            .args(["builds", "--json"])
            .output()
            .unwrap();
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let first = listed();
    assert_eq!(first["builds"].as_array().unwrap().len(), 71);
    let file = std::fs::read_dir(&cache).unwrap().next().unwrap().unwrap().path();
    let of = |list: &Value, build: &str| -> Value {
        list["builds"].as_array().unwrap().iter().find(|b| b["build"] == build).unwrap().clone()
    };
    assert!(of(&first, "broken-01")["state"].is_null() && !of(&first, "broken-01")["problem"].is_null());
    // What is remembered is used: a word bent in it shows.
    let bent = std::fs::read_to_string(&file).unwrap().replace("\"serial\":\"1\"", "\"serial\":\"bent\"");
    std::fs::write(&file, bent).unwrap();
    assert_eq!(of(&listed(), B)["serial"], "bent");
    assert_eq!(json(home, &["verify", B]).0, 0, "verify reads the file");
    // One entry more, and the file is read again.
    assert_eq!(json(home, &["note", B, "receive-bolts", "x", "--by", "ak"]).0, 0);
    assert_eq!(of(&listed(), B)["serial"], "1");
    let whole = std::fs::read(&file).unwrap();
    for broken in [&b"no list at all"[..], &whole[..whole.len() - 9], &whole[..whole.len() / 2], b"\"another program\""]
    {
        std::fs::write(&file, broken).unwrap();
        let list = listed();
        let builds = list["builds"].as_array().unwrap();
        assert!(builds.iter().all(|b| b["remembered"] == false), "{}", String::from_utf8_lossy(broken));
        assert_eq!((builds.len(), &of(&list, B)["serial"]), (71, &Value::from("1")));
    }
    // A list remembered is believed as a whole, and without the build that is gone.
    assert!(listed()["builds"].as_array().unwrap().iter().all(|b| b["remembered"] == true));
    std::fs::remove_dir_all(home.join("builds/broken-42")).unwrap();
    let fewer = listed();
    let names: Vec<&str> = fewer["builds"].as_array().unwrap().iter().map(|b| b["build"].as_str().unwrap()).collect();
    assert!(names.len() == 70 && names.is_sorted() && !names.contains(&"broken-42"), "{names:?}");
    std::fs::remove_dir_all(&cache).unwrap();
    assert_eq!(of(&listed(), B)["serial"], "1");
}

/// Of many records a closed one can be listed from its ends; what was not verified is said, and the whole look finds it.
#[test]
fn a_quick_list_reads_the_ends_and_says_that_it_verified_nothing() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let mut session = built(home, "flywheel", "1");
    session.finish("ak").unwrap();
    drop(session);
    let text = std::fs::read_to_string(home.join("builds").join(B).join("traveler.yaml")).unwrap();
    let put = |n: usize, text: &str| {
        let folder = home.join(format!("builds/flywheel-x{n}"));
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join("traveler.yaml"), text).unwrap();
    };
    let of = |n: usize| rehashed(&text.replacen("serial: '1'", &format!("serial: x{n}"), 1));
    for n in 0..3 {
        put(n, &of(n));
    }
    // A byte in the middle, a mark at the end, and one in work again.
    put(3, &of(3).replacen("revision: A", "revision: Z", 1));
    put(4, &(of(4) + "---\nevent: 99"));
    put(5, &of(5));
    assert_eq!(json(home, &["reopen", "flywheel-x5", "--by", "mh", "--reason", "bearing"]).0, 0);
    let list = |more: &[&str]| -> Vec<Value> {
        json(home, &[&["builds"], more].concat()).1["builds"].as_array().unwrap().clone()
    };
    let row = |b: &Value| {
        let text = |k: &str| b[k].as_str().unwrap_or_default().to_owned();
        (text("serial"), text("state"), text("checked"), b["problem"].is_null())
    };
    let line = |serial: &str, state: &str, checked: &str, good: bool| {
        (serial.to_owned(), state.to_owned(), checked.to_owned(), good)
    };
    let quick: Vec<_> = list(&["--quick"]).iter().map(row).collect();
    let expected = [
        line("1", "complete", "ends", true),
        line("x0", "complete", "ends", true),
        line("x1", "complete", "ends", true),
        line("x2", "complete", "ends", true),
        line("x3", "complete", "ends", true),
        line("x4", "complete", "whole", false),
        line("x5", "reopened", "whole", true),
    ];
    assert_eq!(quick, expected);
    let said = page(home, &["builds", "--quick"]);
    assert!(said.contains("5 of 7") && said.contains("NOT VERIFIED"), "{said}");
    let same = |a: &Value, b: &Value| {
        ["build", "module", "serial", "state", "last_at", "steps_done", "steps_total", "practice"]
            .iter()
            .all(|k| a[k] == b[k])
    };
    let whole = list(&[]);
    assert!(whole.iter().zip(list(&["--quick"])).all(|(a, b)| a["build"] == "flywheel-x3" || same(a, &b)));
    let altered = whole.iter().find(|b| b["build"] == "flywheel-x3").unwrap();
    assert!(altered["problem"].as_str().unwrap().contains("altered at entry 1"), "{altered}");
    let said = page(home, &["builds"]);
    assert!(said.contains(" need a look: 2 altered, torn or unreadable"), "{said}");
}

/// A pipe in the place of a record would be waited for without end.
#[cfg(unix)]
#[test]
fn what_is_no_plain_file_is_told_and_not_waited_for() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    drop(start(home, "1"));
    let folder = home.join("builds/pipe");
    std::fs::create_dir(&folder).unwrap();
    assert!(Command::new("mkfifo").arg(folder.join("traveler.yaml")).status().unwrap().success());
    let list = json(home, &["builds"]).1["builds"].as_array().unwrap().clone();
    let problem = list.iter().find(|b| b["build"] == "pipe").unwrap()["problem"].as_str().unwrap().to_owned();
    assert!(problem.contains("no plain file"), "{problem}");
    assert_eq!(json(home, &["verify", "pipe"]).0, 2);
}

#[test]
fn a_folder_of_builds_that_cannot_be_read_is_an_error_and_not_an_empty_list() {
    let home = tempfile::tempdir().unwrap();
    assert_eq!(json(home.path(), &["builds"]).1["builds"].as_array().unwrap().len(), 0, "none yet");
    std::fs::write(home.path().join("builds"), "a file in its place").unwrap();
    let (code, v) = json(home.path(), &["builds"]);
    assert!(code == 2 && v["reason"].as_str().unwrap().contains("builds"), "{v}");
}

#[test]
fn words_of_people_cannot_look_like_lines_of_the_program() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let forged = "x\nSignature signatures/x.sig of entry 9: good\r\u{1b}[1A\u{85}forged";
    let mut session = start(home, "1");
    session.note("receive-bolts", forged, "ak").unwrap();
    enter(&mut session, "inspect-instruments", "zero", &["yes"], "ak");
    enter(&mut session, "inspect-instruments", "room", &["20 °C"], "ak");
    enter(&mut session, "receive-rods", "lot", &[forged], "ak");
    drop(session);
    let copy = home.join("builds/a\ncopy");
    std::fs::create_dir(&copy).unwrap();
    let file = home.join("builds").join(B).join("traveler.yaml");
    let text = std::fs::read(&file).unwrap();
    let first = text.windows(6).position(|w| w == b"\nhash:").unwrap() + 1 + 71;
    std::fs::write(copy.join("traveler.yaml"), &text[..first]).unwrap();
    let path = copy.display().to_string();
    for arguments in [
        &["verify", B, "--against", &path][..],
        &["builds"],
        &["review", B],
        &["export", B, "--format", "text"],
        &["export", B, "--format", "markdown"],
        &["export", B, "--format", "csv"],
        &["parts", B],
        &["compare", B, &path],
    ] {
        let said = page(home, arguments);
        assert!(said.contains("forged") || said.contains("copy"), "{arguments:?} shows none of these words: {said}");
        let begins = |l: &str| ["Signature", "forged", "copy"].iter().any(|w| l.trim_start().starts_with(w));
        assert!(!said.lines().any(begins), "{arguments:?}: {said}");
        assert!(!said.chars().any(|c| c.is_control() && c != '\n'), "{arguments:?}: {said:?}");
    }
}
