//! Families: what a spec states replaces what its family states, mistakes are told with their own file, and a record needs no family.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::path::{Path, PathBuf};

use runtrue::module::{self, Setup};
use runtrue::procedure::design_check::{self, Severity};
use runtrue::procedure::make_plan;

mod common;
use common::{json, runtrue};

const MODULES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/procedures/modules");

/// The family's modules: no disc wheel outside the bearings, a keyed heavy one between them, and a plain shaft.
const OF_FAMILY: [&str; 3] = ["winnower", "chaff-cutter", "jackshaft"];

fn read(name: &str) -> String {
    std::fs::read_to_string(format!("{MODULES}/{name}.yaml")).unwrap()
}

/// Family and winnower in a folder of their own, each with words of it changed.
fn pair(folder: &Path, family: &[(&str, &str)], spec: &[(&str, &str)]) -> PathBuf {
    for (name, changes) in [("family", family), ("winnower", spec)] {
        let mut text = read(name);
        for (from, to) in changes {
            assert!(text.contains(from), "{from}");
            text = text.replacen(from, to, 1);
        }
        std::fs::write(folder.join(format!("{name}.yaml")), text).unwrap();
    }
    folder.join("winnower.yaml")
}

fn refused(spec: &Path) -> String {
    module::open(&spec.to_string_lossy()).unwrap_err().report()
}

/// As the report wraps its lines, words are compared without their breaks.
fn says(report: &str, words: &str) -> bool {
    let flat = |t: &str| t.replace('│', " ").split_whitespace().collect::<Vec<_>>().join(" ");
    flat(report).contains(&flat(words))
}

fn line_of(text: &str, words: &str) -> usize {
    text.lines().position(|l| l.contains(words)).unwrap() + 1
}

#[test]
fn the_modules_of_the_family_check_clean_and_have_a_whole_plan_in_every_setup() {
    for name in OF_FAMILY {
        let module = module::open(name).unwrap_or_else(|p| panic!("{}", p.report()));
        let checked = design_check::check(&module);
        let weigh: Vec<_> = checked.findings.iter().filter(|f| f.severity != Severity::Note).collect();
        assert!(weigh.is_empty(), "{name}: {weigh:?}");
        for setup in Setup::all(&module) {
            let plan = make_plan(&module, &setup).unwrap_or_else(|e| panic!("{name} {}: {e}", setup.words()));
            let operations: Vec<&str> = plan.steps.iter().map(|s| s.operation.as_str()).collect();
            for needed in ["receive", "tighten", "tension", "guard", "spin", "close-out"] {
                assert!(operations.contains(&needed), "{name} {}: {needed}", setup.words());
            }
        }
    }
}

/// What a limit rests on is told with the file and line where somebody finds it, and can change it.
#[test]
fn a_plan_names_the_lines_of_its_own_files_and_a_record_those_of_the_text_it_keeps() {
    let home = tempfile::tempdir().unwrap();
    let plan = json(home.path(), &["plan", "winnower"]).1;
    let of = |plan: &serde_json::Value, step: &str, check: &str| {
        let step = plan["steps"].as_array().unwrap().iter().find(|s| s["id"] == step).unwrap().clone();
        let check = step["checks"].as_array().unwrap().iter().find(|c| c["id"] == check).unwrap().clone();
        check["basis"].as_str().unwrap().to_owned()
    };
    let room = of(&plan, "inspect-instruments", "room");
    let there = line_of(&read("family"), "temperature at the bench");
    assert!(room.contains(&format!("family.yaml (built in), line {there}")), "{room}");
    let length = of(&plan, "inspect-belt", "marking");
    let there = line_of(&read("winnower"), "length: 1397 mm");
    assert!(length.contains(&format!("winnower (built in), line {there}")), "{length}");
    assert!(!plan.to_string().contains("spec, line"), "no line of a text that nobody sees");
    // The record keeps the text that was put together, and its lines.
    let build = json(home.path(), &["build", "winnower", "--serial", "1", "--by", "jo"]);
    assert_eq!(build.0, 0, "{}", build.1);
    let kept = std::fs::read_to_string(home.path().join("builds/winnower-1/traveler.yaml")).unwrap();
    assert!(kept.contains("spec, line "), "plan and recomputation name one line");
    // A module without a family has one file, and its lines are that file's.
    let own = of(&json(home.path(), &["plan", "flywheel"]).1, "inspect-instruments", "room");
    let there = line_of(&read("flywheel"), "temperature at the bench");
    assert!(own.contains(&format!("spec, line {there}")), "{own}");
}

#[test]
fn what_the_spec_states_replaces_what_the_family_states_field_by_field() {
    let of = |name: &str| module::open(name).unwrap();
    let (chaff, jack) = (of("chaff-cutter"), of("jackshaft"));
    let stack = chaff.stack.as_ref().unwrap();
    // Its own size on the family's class, friction, share and securing.
    assert_eq!((stack.collars.pinch.thread.value.as_str(), stack.collars.pinch.class.value.as_str()), ("M12", "10.9"));
    assert_eq!(chaff.bearings.base_bolts.share.written, "50 % of proof");
    assert_eq!(chaff.people["fitter"], ["ak", "jo"]);
    // Taken away by an empty value.
    assert!(jack.stack.is_none() && jack.critical.is_empty());
    assert!(!chaff.critical.is_empty());
}

/// Steps of a pulley name things, so a spec's replace all of the family's; of two ways of one statement the spec's own stands.
#[test]
fn named_things_are_replaced_whole_and_either_drops_the_other() {
    let folder = tempfile::tempdir().unwrap();
    let family = [
        ("  run-out: at most 0.25 mm\n", "  run-out: at most 0.25 mm\n  steps: { slow: 200 mm, fast: 100 mm }\n"),
        ("  part: rods\n", "  part: rods\n  length: 200 mm\n"),
    ];
    let module = module::open(&pair(folder.path(), &family, &[]).to_string_lossy()).unwrap();
    assert_eq!(module.drives[0].pulley.steps.keys().collect::<Vec<_>>(), ["only"]);
    let lengths = &module.stack.as_ref().unwrap().rods.lengths;
    assert_eq!(lengths.values().map(|l| l.written.as_str()).collect::<Vec<_>>(), ["88 mm", "94 mm"]);
}

#[test]
fn a_mistake_is_told_with_the_file_line_and_column_it_stands_in() {
    let folder = tempfile::tempdir().unwrap();
    let spec = pair(folder.path(), &[("class: 10.9", "class: 10.9, clas: 1")], &[]);
    let report = refused(&spec);
    let line = line_of(&read("family"), "class: 10.9");
    assert!(says(&report, &format!("family.yaml, line {line}, column ")) && report.contains("clas"), "{report}");
    assert!(says(&report, "Did you mean \"class\"?"), "{report}");

    // One in each: both are told, each with its own file.
    let spec = pair(folder.path(), &[("hardness: 210 HV", "hardness: 210 kg")], &[("outer: 300 mm", "outer: 300 kg")]);
    let report = refused(&spec);
    let (own, shared) = (line_of(&read("winnower"), "outer: 300"), line_of(&read("family"), "210 HV"));
    assert!(says(&report, &format!("winnower.yaml, line {own}, column 10")), "{report}");
    assert!(says(&report, &format!("family.yaml, line {shared}, column 13")), "{report}");

    // What is missing is missing in the spec.
    let report = refused(&pair(folder.path(), &[("  steel: C45\n", "")], &[]));
    assert!(report.contains("winnower.yaml") && report.contains("steel"), "{report}");
    // No YAML any more, in either.
    let report = refused(&pair(folder.path(), &[("each: [collar-far", "each: [[collar-far")], &[]));
    assert!(report.contains("family.yaml"), "{report}");
    let report = refused(&pair(folder.path(), &[], &[("discs: { allowed: [2, 3]", "discs: { allowed: [2, 3")]));
    assert!(report.contains("winnower.yaml, line"), "{report}");
}

#[test]
fn a_family_that_cannot_be_built_on_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let on = |to: &str| refused(&pair(folder.path(), &[], &[("builds on: family.yaml", &format!("builds on: {to}"))]));
    let at = "winnower.yaml, line 2, column 12";
    for (to, words) in [
        ("none.yaml", "cannot be read"),
        ("winnower.yaml", "this file itself"),
        ("/etc/hosts", "another machine"),
        ("~/family.yaml", "another machine"),
        (".", "folder"),
        ("[family.yaml]", "names one file"),
    ] {
        let report = on(to);
        assert!(says(&report, at) && says(&report, words), "{to}: {report}");
    }
    std::fs::write(folder.path().join("other.yaml"), read("flywheel")).unwrap();
    assert!(says(&on("other.yaml"), "is a spec, and a spec builds on a family"));
    let chain = refused(&pair(folder.path(), &[("revision: A", "builds on: other.yaml\nrevision: A")], &[]));
    assert!(says(&chain, "family.yaml") && says(&chain, "one level"), "{chain}");
    let named = refused(&pair(folder.path(), &[("revision: A", "module: x\nrevision: A")], &[]));
    assert!(says(&named, "has no \"module\""), "{named}");
}

#[test]
fn a_family_alone_is_not_built_and_says_what_is_built_on_it() {
    let home = tempfile::tempdir().unwrap();
    let (code, said) = json(home.path(), &["check", &format!("{MODULES}/family.yaml")]);
    let reason = said["reason"].as_str().unwrap();
    assert!(code == 2 && reason.contains("nothing can be built from it alone"), "{reason}");
    assert!(OF_FAMILY.iter().all(|name| reason.contains(name)), "{reason}");
    let (code, said) = json(home.path(), &["check", "family"]);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("winnower"), "{said}");
    // Its own mistakes come first.
    let folder = tempfile::tempdir().unwrap();
    pair(folder.path(), &[("  slip safety: 1.5", "  slip safty: 1.5")], &[]);
    let (_, said) = json(home.path(), &["check", &folder.path().join("family.yaml").to_string_lossy()]);
    let (reason, line) = (said["reason"].as_str().unwrap(), line_of(&read("family"), "slip safety"));
    assert!(
        reason.contains(&format!("line {line}, column 3")) && reason.contains("Did you mean \"slip safety\"?"),
        "{reason}"
    );
}

/// Findings name the line of the file a person has, and a mend says which of its fields are the family's.
#[test]
fn findings_and_mends_say_which_file() {
    let folder = tempfile::tempdir().unwrap();
    let spec = pair(folder.path(), &[], &[("torque: 6 N·m", "torque: 19 N·m")]);
    let checked = design_check::check(&module::open(&spec.to_string_lossy()).unwrap());
    let slip = checked.findings.iter().find(|f| f.id == "slip").unwrap();
    let line = line_of(&read("family"), "slip safety");
    assert!(
        slip.file.as_ref().is_some_and(|f| f.ends_with("family.yaml")) && slip.line == Some(line as u32),
        "{slip:?}"
    );
    let of_family: Vec<_> = slip.mends.iter().flat_map(|m| &m.family).collect();
    assert!(of_family.iter().any(|s| s.field.starts_with("collars.pinch") || s.field == "collars.width"), "{slip:?}");
    assert!(slip.mend.as_ref().unwrap().contains("in the spec for this one"), "{:?}", slip.mend);
    // Written into the spec, as it says, the mend helps this module and leaves the family as it was.
    let mend = slip.mends.iter().find(|m| m.set.len() == 1 && m.set[0].0.starts_with("collars.pinch.")).unwrap();
    let (field, value) = (mend.set[0].0.trim_start_matches("collars.pinch."), &mend.set[0].1);
    let text = std::fs::read_to_string(&spec).unwrap();
    let text = text.replacen("collars:\n", &format!("collars:\n  pinch: {{ {field}: {value} }}\n"), 1);
    std::fs::write(&spec, text).unwrap();
    let checked = design_check::check(&module::open(&spec.to_string_lossy()).unwrap());
    assert!(checked.findings.iter().all(|f| f.id != "slip"), "{:?}", checked.findings);
}

/// What event 1 keeps is the whole spec: the family may be gone, and the record is still read, recomputed and changed.
#[test]
fn a_record_needs_no_family() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home");
    let spec = pair(folder.path(), &[], &[]);
    let (code, built) = json(&home, &["build", &spec.to_string_lossy(), "--serial", "7", "--by", "ak", "--no-open"]);
    assert_eq!(code, 0, "{built}");
    std::fs::remove_file(folder.path().join("family.yaml")).unwrap();
    std::fs::remove_file(&spec).unwrap();
    let (code, verified) = json(&home, &["verify", "winnower-7", "--recompute"]);
    assert_eq!((code, verified["whole"].as_bool()), (0, Some(true)), "{verified}");
    let (code, changed) = json(&home, &["change", "winnower-7", "--set", "discs=2"]);
    assert_eq!(code, 0, "{changed}");
    let (code, changed) = json(&home, &["change", "winnower-7", "--as-received", "rods.friction=0.12 to 0.18"]);
    assert_eq!(code, 0, "{changed}");
    let kept = std::fs::read_to_string(home.join("builds/winnower-7/traveler.yaml")).unwrap();
    assert!(kept.contains("# family.yaml, line "), "the origin of each line is kept");
    let verified = runtrue(&home, &["verify", "winnower-7"]);
    let said = String::from_utf8_lossy(&verified.stdout).into_owned();
    assert!(verified.status.success() && said.contains("whole"), "{said}{}", String::from_utf8_lossy(&verified.stderr));
}
