//! The rules of the record on a small plan written by hand, with every kind of check, a hold, a guard and a spin.

use std::path::Path;

use super::*;
use crate::procedure::plan::Plan;

pub(super) fn step(number: u32, id: &str, operation: &str, after: &str, more: &str, checks: &str) -> String {
    format!(
        "- {{ number: {number}, id: {id}, operation: {operation}, title: t, parts: [], place: bench, minutes: 1, why_now: [], \
         after: [{after}], cautions: [], tools: [], instruments: [], do: [], removes: [], picture: section, \
         torque_nm: null, sequence: null, wait_h: null, {more}, checks: [{checks}] }}\n"
    )
}

pub(super) fn check(id: &str, kind: &str, unit: &str, limits: (&str, &str), more: &str) -> String {
    let (lower, upper) = limits;
    format!(
        "{{ id: {id}, kind: {kind}, prompt: p, unit: {unit}, nominal: null, lower: {lower}, upper: {upper}, acceptance: guarded, \
         critical: false, basis: common practice, rule: null, count: null, derive: null, {more} }}"
    )
    .replace("rule: null, count: null, derive: null, rule", "derive: null, rule")
    .replace("count: null, derive: null, count", "derive: null, count")
    .replace("derive: null, derive", "derive")
    .replace(",  }", " }")
}

const NONE: (&str, &str) = ("null", "null");

pub(super) fn plan() -> Plan {
    let bare = "group: null, stage: null, hold: null, adds: []";
    let rods = |stage: &str| format!("group: rods, stage: {stage}, hold: null, adds: []");
    let stock =
        "derive: { of: inspect-disc/bore, take: smallest, scale: '-0.5', offset: '12.5', decimals: 3, words: w }";
    let steps = [
        step(
            1,
            "inspect-disc",
            "inspect",
            "",
            bare,
            &[
                check("bore", "series", "mm", ("'24.55'", "'24.65'"), "rule: each, count: 2"),
                check("lot", "text", "null", NONE, ""),
                check("holes", "count", "null", ("'6'", "'6'"), ""),
            ]
            .join(", "),
        ),
        step(
            2,
            "ream-disc",
            "ream",
            "inspect-disc",
            "group: null, stage: null, hold: null, adds: [disc-1]",
            &[check("stock", "derived", "mm", ("'0.15'", "'0.25'"), stock), check("plug", "gauge", "null", NONE, "")]
                .join(", "),
        ),
        step(
            3,
            "tighten-rods-final",
            "tighten",
            "ream-disc",
            &rods("final"),
            &check("torque", "torque", "N·m", ("'23'", "'25'"), "count: 3"),
        ),
        step(
            4,
            "tighten-rods-circular",
            "tighten",
            "tighten-rods-final",
            &rods("circular"),
            &check("round", "torque", "null", ("'0'", "'0'"), "count: 3"),
        ),
        step(
            5,
            "prove-slip",
            "prove",
            "tighten-rods-circular",
            "group: null, stage: null, hold: design, adds: []",
            &check("line", "confirm", "null", NONE, ""),
        ),
        step(6, "wait-cure", "wait", "", bare, &check("cure", "wait", "h", ("'24'", "null"), "")),
        step(7, "wait-settle", "wait", "", bare, &check("settle", "wait", "h", ("'0'", "null"), "")),
        step(8, "guard-drum", "guard", "", bare, &check("closed", "confirm", "null", NONE, "")),
        step(9, "spin-first", "spin", "prove-slip", bare, &check("room", "measure", "°C", ("'10'", "'35'"), "")),
    ]
    .concat();
    let head = "{ module: small, title: Small, revision: A, setup: {}, spec_sha256: x, templates: [], people: { design: [mh, ed], fitter: [ak, jo] }, \
                drawing: { shaft_length_mm: 0.0, shaft_diameter_mm: 0.0, parts: [], circles: [], belt: null }";
    let steps: serde_yaml::Value = serde_yaml::from_str(&steps).unwrap();
    let mut plan: serde_yaml::Value = serde_yaml::from_str(&format!("{head}, steps: [] }}")).unwrap();
    plan["steps"] = steps;
    serde_yaml::from_value(plan).unwrap()
}

pub(super) fn start(home: &Path) -> (Store, Session) {
    let store = Store::locate(Some(home)).unwrap();
    let session = store.start(small()).unwrap();
    (store, session)
}

/// What starts a build of the small plan.
pub(super) fn small() -> Start {
    Start {
        plan: plan(),
        spec_text: "x\n".into(),
        spec_name: "small".into(),
        serial: "1".into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    }
}

pub(super) fn entry(step: &str, check: &str, values: &[&str], by: &str) -> Entry {
    Entry {
        step: step.into(),
        check: check.into(),
        values: values.iter().map(|v| (*v).to_owned()).collect(),
        by: by.into(),
        ..Entry::default()
    }
}

pub(super) fn enter(s: &mut Session, step: &str, check: &str, values: &[&str]) -> Verdict {
    s.enter(&entry(step, check, values, "ak")).unwrap().verdict
}

fn why(result: Result<Outcome, EntryError>) -> String {
    result.unwrap_err().to_string()
}

pub(super) fn accept(role: &str) -> Disposition {
    Disposition { kind: DispositionKind::UseAsIs, reason: "spare".into(), role: role.into() }
}

pub(super) fn release(step: &str, by: &str) -> Release {
    Release { step: step.into(), by: by.into(), role: "design".into(), ..Release::default() }
}

pub(super) fn to_the_rods(s: &mut Session) {
    enter(s, "inspect-disc", "bore", &["24.60 mm", "24.59 mm"]);
    enter(s, "inspect-disc", "lot", &["4711"]);
    enter(s, "inspect-disc", "holes", &["6"]);
    enter(s, "ream-disc", "plug", &["go=yes no-go=no"]);
}

pub(super) fn to_the_hold(s: &mut Session) {
    to_the_rods(s);
    enter(s, "tighten-rods-final", "torque", &["1=24", "2=24.0", "3=23"]);
    enter(s, "tighten-rods-circular", "round", &["moved=0"]);
    enter(s, "prove-slip", "line", &["yes"]);
}

#[test]
fn a_build_goes_from_the_first_step_to_the_close_out_and_on() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut s) = start(home.path());
    assert_eq!(s.record().current_step().unwrap().id, "inspect-disc");
    to_the_hold(&mut s);
    assert_eq!(s.record().step_state("prove-slip"), StepState::Held);
    assert_eq!(s.record().current_step().unwrap().id, "wait-cure", "a hold stops only what depends on it");
    assert_eq!((s.record().fitted(), s.record().stages()["rods"]), (vec!["disc-1"], "circular"));
    s.release(&release("prove-slip", "mh")).unwrap();
    enter(&mut s, "guard-drum", "closed", &["yes"]);
    enter(&mut s, "spin-first", "room", &["20 °C"]);
    for wait in [("wait-settle", "settle"), ("wait-cure", "cure")] {
        enter(&mut s, wait.0, wait.1, &["started"]);
    }
    assert_eq!(enter(&mut s, "wait-settle", "settle", &["done"]), Verdict::Within);
    assert!(s.finish("ak").unwrap_err().to_string().contains("wait-cure"));
    let early = EndedEarly { role: "design".into(), reason: "warm room".into() };
    s.enter(&Entry { end_early: Some(early), ..entry("wait-cure", "cure", &["done"], "mh") }).unwrap();
    let event = s.finish("ak").unwrap();
    let closed = s.record().closeouts()[0].1.clone();
    assert_eq!((s.record().build_state(), closed.len()), (BuildState::Complete, 19));
    assert!(why(s.enter(&entry("inspect-disc", "lot", &["x"], "ak"))).contains("reopen"));
    s.reopen("mh", "bearing replaced").unwrap();
    assert_eq!(s.record().build_state(), BuildState::Reopened);
    s.finish("ak").unwrap();
    drop(s);
    let record = store.read("small-1").unwrap();
    assert_eq!(
        (record.closeouts().len(), record.closeouts()[0].0, record.closeouts()[0].1.clone()),
        (2, event, closed)
    );
}

#[test]
fn nothing_spins_without_its_guard_whatever_stands_in_after() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    to_the_hold(&mut s);
    s.release(&release("prove-slip", "mh")).unwrap();
    let spin = Entry {
        end_early: Some(EndedEarly { role: "design".into(), reason: "r".into() }),
        ..entry("spin-first", "room", &["20 °C"], "mh")
    };
    for attempt in [
        spin.clone(),
        Entry { disposition: Some(accept("design")), ..spin.clone() },
        Entry { disposition: Some(accept("design")), values: vec![], ..spin.clone() },
        Entry { correct: Some("r".into()), ..spin.clone() },
    ] {
        assert!(why(s.enter(&attempt)).contains("guard-drum is not done"));
    }
    enter(&mut s, "guard-drum", "closed", &["no"]);
    assert!(why(s.enter(&spin)).contains("guard-drum"), "a guard that is not closed is none");
    enter(&mut s, "guard-drum", "closed", &["yes"]);
    assert_eq!(s.enter(&spin).unwrap().verdict, Verdict::Within);
    assert_eq!(s.record().step_state("spin-first"), StepState::Done);
}

#[test]
fn who_made_a_reading_neither_releases_nor_accepts_it() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    to_the_rods(&mut s);
    enter(&mut s, "tighten-rods-final", "torque", &["clicked=3/3"]);
    enter(&mut s, "tighten-rods-circular", "round", &["moved=0"]);
    s.enter(&entry("prove-slip", "line", &["no"], "mh")).unwrap();
    assert!(
        why(s.enter(&Entry { disposition: Some(accept("design")), ..entry("prove-slip", "line", &["no"], "mh") }))
            .contains("somebody else")
    );
    assert!(s.dispose("prove-slip", "line", accept("design"), "mh").unwrap_err().to_string().contains("somebody else"));
    // The paper of another does not help the one who measured.
    let paper = Some(Paper { measured_by: "ed".into(), at: "9:30".into() });
    s.enter(&Entry { paper, ..entry("prove-slip", "line", &["yes"], "ak") }).unwrap();
    for by in ["mh", "ed"] {
        let refused = s.release(&release("prove-slip", by)).unwrap_err().to_string();
        assert!(refused.contains("does not release his own"), "{by}: {refused}");
    }
    let fitter = Release { role: "fitter".into(), ..release("prove-slip", "jo") };
    assert!(s.release(&fitter).unwrap_err().to_string().contains("released by the role \"design\""));
    assert_eq!(s.record().step_state("prove-slip"), StepState::Held);
}

#[test]
fn a_computed_value_outside_is_decided_by_one_who_did_not_measure() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    let said = s.enter(&entry("inspect-disc", "bore", &["24.60 mm", "24.45 mm"], "mh")).unwrap();
    // By hand: 12.5 - 24.45 / 2 = 0.275, beyond 0.25.
    assert!(said.message.contains("stock of ream-disc is 0.275 mm, outside"), "{}", said.message);
    let decide = |by: &str| Entry { disposition: Some(accept("design")), ..entry("ream-disc", "stock", &[], by) };
    assert!(why(s.enter(&decide("ed"))).contains("comes after"), "the step is not open yet");
    s.dispose("inspect-disc", "bore", accept("design"), "ed").unwrap();
    enter(&mut s, "inspect-disc", "lot", &["x"]);
    enter(&mut s, "inspect-disc", "holes", &["6"]);
    enter(&mut s, "ream-disc", "plug", &["go=yes", "no-go=no"]);
    assert!(why(s.enter(&decide("mh"))).contains("somebody else"));
    s.enter(&decide("ed")).unwrap();
    assert_eq!(s.record().step_state("ream-disc"), StepState::Done);
}

#[test]
fn a_correction_stays_in_its_round_and_the_third_round_stops() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    to_the_rods(&mut s);
    enter(&mut s, "tighten-rods-final", "torque", &["clicked=3/3"]);
    let mut round = |nuts: &str, correct: bool| {
        let correct = correct.then(|| "misheard".to_owned());
        s.enter(&Entry { correct, ..entry("tighten-rods-circular", "round", &[nuts], "ak") }).unwrap().verdict
    };
    assert_eq!(round("moved=1,2", false), Verdict::Undecided);
    assert_eq!(round("moved=1", false), Verdict::Undecided);
    assert_eq!(round("moved=2", true), Verdict::Undecided, "the second round, put right");
    assert_eq!(round("moved=2", false), Verdict::Outside);
    for bad in ["moved=1,1", "moved=0,2", "moved=", "moved=4"] {
        assert!(s.enter(&entry("tighten-rods-circular", "round", &[bad], "ak")).is_err(), "{bad}");
    }
}

#[test]
fn only_a_role_that_releases_ends_a_wait_early() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    enter(&mut s, "wait-cure", "cure", &["started"]);
    let early = |role: &str, by: &str| Entry {
        end_early: Some(EndedEarly { role: role.into(), reason: "r".into() }),
        ..entry("wait-cure", "cure", &["done"], by)
    };
    assert!(why(s.enter(&early("fitter", "ak"))).contains("releases nothing"));
    assert!(why(s.enter(&early("design", "ak"))).contains("does not stand under"));
    assert!(why(s.enter(&entry("wait-cure", "cure", &["done"], "ak"))).contains("23 h 59 min are left"));
    assert_eq!(running_waits(s.record()).len(), 1);
    s.enter(&early("design", "ed")).unwrap();
    assert_eq!(s.record().step_state("wait-cure"), StepState::Done);
}

#[test]
fn what_was_not_computed_before_a_stop_is_computed_on_return() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut s) = start(home.path());
    enter(&mut s, "inspect-disc", "bore", &["24.60 mm", "24.59 mm"]);
    assert_eq!(s.record().events.len(), 3);
    drop(s);
    let file = store.folder("small-1").join(FILE);
    let text = std::fs::read_to_string(&file).unwrap();
    let last = text.rfind("---\nevent: 3\n").unwrap();
    std::fs::write(&file, &text[..last]).unwrap();
    assert!(store.read("small-1").unwrap().reading("ream-disc", "stock").is_none());
    let s = store.resume("small-1").unwrap();
    assert_eq!(s.record().reading("ream-disc", "stock").unwrap().reading.values, ["0.205"]);
    drop(s);
    assert_eq!(store.resume("small-1").unwrap().record().events.len(), 3, "and only once");
}

#[test]
fn an_instrument_of_another_kind_and_a_shifted_scale_are_met() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut s) = start(home.path());
    let mut register = instruments::Register::default();
    for (id, u) in [("caliper", "0.02 mm"), ("thermometer", "1.8 °F")] {
        let new = instruments::Instrument {
            id: id.into(),
            kind: id.into(),
            range: None,
            resolution: None,
            uncertainty: Some(u.into()),
            due: None,
            retired: false,
            faulty: None,
        };
        register.add(new).unwrap();
    }
    store
        .change_register(|r| {
            *r = register;
            Ok(())
        })
        .unwrap();
    to_the_hold(&mut s);
    s.release(&release("prove-slip", "mh")).unwrap();
    enter(&mut s, "guard-drum", "closed", &["yes"]);
    let with = |id: &str, t: &str| Entry { instrument: Some(id.into()), ..entry("spin-first", "room", &[t], "ak") };
    assert!(why(s.enter(&with("caliper", "20 °C"))).contains("states its uncertainty as 0.02 mm"));
    // A width of 1.8 °F is 1 °C, not -16.8 °C.
    assert_eq!(s.enter(&with("thermometer", "35.5 °C")).unwrap().verdict, Verdict::Undecided);
    assert_eq!(s.enter(&with("thermometer", "36 °C")).unwrap().verdict, Verdict::Outside);
    assert_eq!(s.enter(&with("thermometer", "34 °C")).unwrap().verdict, Verdict::Within);
}

#[test]
fn the_largest_numbers_are_judged_or_refused_and_never_stop_the_program() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    let most = "79228162514264337593543950335 mm";
    let enter = |s: &mut Session, a, b| s.enter(&entry("inspect-disc", "bore", &[a, b], "ak"));
    assert!(why(enter(&mut s, most, most)).contains("too large to be kept exactly"));
    // Two of half of it can be told apart from their mean, and lie outside.
    let half = "39614081257132168796771975167 mm";
    assert_eq!(enter(&mut s, half, half).unwrap().verdict, Verdict::Outside);
}

#[test]
fn a_clock_set_back_is_told() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    enter(&mut s, "inspect-disc", "lot", &["4711"]);
    let mut record = s.record().clone();
    assert!(record.clock_set_back().is_empty());
    record.events[0].header.at = "2999-01-01T00:00:00.000+00:00".into();
    assert_eq!(record.clock_set_back(), [2]);
}
