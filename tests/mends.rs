//! Every mend that the design check tells is written into the spec, and the spec is checked again: the finding is gone.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::collections::BTreeSet;

use runtrue::module::{Module, Source, embedded, put, read};
use runtrue::procedure::design_check::{DesignCheck, Finding, Severity, check};

fn spec(text: &str) -> Module {
    read(&Source { name: "x".into(), text: text.to_owned() }).unwrap_or_else(|p| panic!("{}", p.report()))
}

/// A demo with one setup, so that its critical speeds are looked for once.
fn demo(name: &str) -> String {
    let text = embedded(name).unwrap().text;
    let text = text.replacen("[1, 2, 3, 4, 5]", "[5]", 1).replacen("[1, 2, 3]", "[3]", 1);
    text.replacen("[slow, middle, fast]", "[slow]", 1).replacen("[calm, brisk]", "[calm]", 1)
}

/// Findings that weigh, by what they are about.
fn weigh(checked: &DesignCheck) -> BTreeSet<(String, Option<String>)> {
    let weigh = checked.findings.iter().filter(|f| f.severity != Severity::Note);
    weigh.map(|f| (f.id.clone(), f.at.clone())).collect()
}

/// Puts a fault in, and tries every mend that is told for the finding it brings.
fn mended(name: &str, faults: &[(&str, &str)], id: &str, wanted: &[&str]) {
    let faulty = faults.iter().fold(demo(name), |text, (field, value)| put(&text, field, value).unwrap());
    mended_text(&faulty, id, wanted);
}

fn mended_text(faulty: &str, id: &str, wanted: &[&str]) {
    let before = check(&spec(faulty));
    let found: Vec<&Finding> = before.findings.iter().filter(|f| f.id == id).collect();
    assert!(!found.is_empty(), "no {id} in {:?}", weigh(&before));
    let told: Vec<&str> = found.iter().flat_map(|f| &f.mends).map(|m| m.text.as_str()).collect();
    println!("{id}: {}: {told:#?}", found[0].text);
    for words in wanted {
        assert!(told.iter().any(|t| t.contains(words)), "{id}: no \"{words}\" in {told:?}");
    }
    for finding in found {
        assert!(!finding.mends.is_empty(), "{id} has no mend");
        for mend in &finding.mends {
            assert!(finding.mend.as_ref().unwrap().contains(&mend.text));
            let text = mend.set.iter().fold(faulty.to_owned(), |text, (f, v)| put(&text, f, v).unwrap());
            let after = check(&spec(&text));
            let still =
                after.findings.iter().find(|f| f.id == id && f.at == finding.at && f.severity <= finding.severity);
            assert!(still.is_none(), "{}: {still:?}", mend.text);
            assert!(weigh(&after).is_subset(&weigh(&before)), "{} brings {:?}", mend.text, weigh(&after));
        }
    }
}

#[test]
fn joints_that_slip() {
    let wanted = ["pinch bolts M12", "class 12.9", "pinch bolts in collars", "Let no more than"];
    mended("flywheel", &[("limits.torque", "17.5 N·m")], "slip", &wanted);
    let small = [
        ("pulley.set screws.size", "M6"),
        ("pulley.set screws.torque", "7.2 N·m"),
        ("limits.torque", "20 N·m"),
        ("collars.pinch.class", "12.9"),
    ];
    mended("flywheel", &small, "slip", &["set screws M8", "parallel key 8 x 7 x 18", "Let no more than"]);
    mended("flywheel", &[("rods.use", "32 % of proof")], "slip", &["rods to 5", "rods of class 12.9"]);
}

#[test]
fn rods_holes_and_bores() {
    mended("flywheel", &[("rods.lengths.5", "100 mm")], "rod-length", &["116 mm long"]);
    mended("flywheel", &[("rods.lengths.5", "140 mm")], "rod-length", &["116 mm long"]);
    let one = demo("flywheel").replacen(
        "lengths: { 1: 84 mm, 2: 92 mm, 3: 100 mm, 4: 108 mm, 5: 116 mm }",
        "length: 90 mm",
        1,
    );
    mended_text(&one, "rod-length", &["116 mm long"]);
    mended("flywheel", &[("discs.holes.drill", "8.5 mm")], "rod-hole", &["9 mm"]);
    mended("flywheel", &[("discs.bore.size", "24.2 mm ±0.05")], "ream-stock", &["24.6 mm"]);
    mended("flywheel", &[("discs.bore.edge", "laser")], "ream-stock", &["machined"]);
    mended("flywheel", &[("collars.bore", "26 mm H7")], "bore-fit", &["25 mm H7"]);
    mended("flywheel", &[("pulley.bore", "24 mm H7")], "bore-fit", &["25 mm H7"]);
}

#[test]
fn belts_and_pulleys() {
    mended("flywheel", &[("belt.length", "1549 mm")], "belt-fitting", &["1600 mm", "sled travel"]);
    mended("flywheel", &[("belt.length", "1752 mm")], "belt-take-up", &["1663 mm", "sled travel"]);
    mended("flywheel", &[("belt.length", "1610 mm")], "belt-length", &["1600 mm"]);
    mended("countershaft", &[("second drive.belt.length", "1195 mm")], "belt-take-up", &["mm long", "sled travel"]);
    mended("flywheel", &[("pulley.steps.slow", "19 mm"), ("limits.speed", "2000 rpm")], "pulley-size", &["20 mm"]);
    mended("flywheel", &[("limits.speed", "103 rpm")], "speed", &["step slow", "driver at no more than 58 rpm"]);
}

#[test]
fn bolts_screws_bearings_and_shaft() {
    mended("flywheel", &[("shaft.hardness", "400 HV")], "shaft-hardness", &["270 HV"]);
    mended("flywheel", &[("bearings.housing", "P206")], "housing", &["P205"]);
    mended("flywheel", &[("frame.hold-downs.secure", "none")], "securing", &["spring washers"]);
    for field in ["sled.lock bolts", "second drive.sled.lock bolts"] {
        mended("countershaft", &[(&format!("{field}.secure"), "none")], "securing", &["spring washers"]);
        let rough = [(format!("{field}.friction"), "0.20 to 0.24"), (format!("{field}.use"), "90 % of proof")];
        let rough = rough.each_ref().map(|(field, value)| (field.as_str(), *value));
        mended("countershaft", &rough, "bolt-yield", &["% of proof"]);
    }
    let rough = [("collars.pinch.friction", "0.20 to 0.24"), ("collars.pinch.use", "90 % of proof")];
    mended("flywheel", &rough, "bolt-yield", &["% of proof"]);
    mended("flywheel", &[("bearings.set screws.torque", "12 N·m")], "ring-screws", &["N·m"]);
    mended("flywheel", &[("bearings.set screws.size", "M8")], "ring-screws", &["set screws as M6"]);
    mended("flywheel", &[("shaft.length", "525 mm")], "shaft-room", &["530 mm"]);
    mended("flywheel", &[("shaft.diameter", "25 mm h11")], "bearing-seat", &["Draw the shaft h"]);
    mended("flywheel", &[("limits.speed", "2500 rpm")], "critical-speed", &["never pass"]);
    mended("flywheel", &[("belt.tension.new", "90 N per rib")], "shaft-bending", &["30 mm"]);
    mended("testwheel", &[("limits.temperature at the bench", "0 °C to 40 °C")], "growth", &["float"]);
}
