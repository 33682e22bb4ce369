//! What a hold waits for, and what takes its release back.

use super::rules_tests::{accept, check, enter, entry, plan, release, small, start, to_the_hold, to_the_rods};
use super::*;

fn decided(kind: DispositionKind) -> Disposition {
    Disposition { kind, ..accept("design") }
}

#[test]
fn nothing_is_released_while_a_part_of_it_is_out() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    to_the_rods(&mut s);
    enter(&mut s, "tighten-rods-final", "torque", &["1=24", "2=24.0", "3=23"]);
    enter(&mut s, "tighten-rods-circular", "round", &["moved=0"]);
    enter(&mut s, "prove-slip", "line", &["no"]);
    s.dispose("prove-slip", "line", decided(DispositionKind::Scrap), "ed").unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Held);
    let refused = s.release(&release("prove-slip", "mh")).unwrap_err().to_string();
    assert!(refused.contains("not ready for release: a part of it is out"), "{refused}");
    let barred = s.enter(&entry("spin-first", "room", &["20 °C"], "ak")).unwrap_err().to_string();
    assert!(barred.contains("a part of prove-slip was given up") && !barred.contains("released"), "{barred}");
    // Let be after all: now the release alone is missing, and one from before would not do.
    s.dispose("prove-slip", "line", accept("design"), "ed").unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Held);
    s.release(&release("prove-slip", "mh")).unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Done);
}

#[test]
fn a_reading_after_a_release_takes_the_release_back() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    to_the_hold(&mut s);
    s.release(&release("prove-slip", "mh")).unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Done);
    let correct = Some("looked at the other collar".to_owned());
    s.enter(&Entry { correct, ..entry("prove-slip", "line", &["yes"], "ak") }).unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Held);
    assert!(s.record().release("prove-slip").is_none());
    let barred = s.enter(&entry("spin-first", "room", &["20 °C"], "ak")).unwrap_err().to_string();
    assert!(barred.contains("prove-slip is held until it is released"), "{barred}");
    s.release(&release("prove-slip", "mh")).unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Done);
}

/// Reworked is what was computed; what is measured for it is measured once more, and nothing is corrected for that.
#[test]
fn what_is_reworked_after_a_computed_value_is_measured_again() {
    let home = tempfile::tempdir().unwrap();
    let mut plan = plan();
    let checks = [
        check("pull", "measure", "N", ("null", "null"), ""),
        check(
            "torque",
            "derived",
            "N·m",
            ("'20'", "null"),
            "derive: { of: prove-slip/pull, take: mean, scale: '0.25', offset: '0', decimals: 2, words: w }",
        ),
    ];
    let checks: Vec<crate::procedure::plan::Check> = checks.iter().map(|c| serde_yaml::from_str(c).unwrap()).collect();
    plan.steps.iter_mut().find(|s| s.id == "prove-slip").unwrap().checks.extend(checks);
    let mut s = Store::locate(Some(home.path())).unwrap().start(Start { plan, ..small() }).unwrap();
    to_the_hold(&mut s);
    let pull = |s: &mut Session, value: &str| s.enter(&entry("prove-slip", "pull", &[value], "ak"));
    // 60 N at 0.25 m is 15 N·m, under 20.
    pull(&mut s, "60 N").unwrap();
    assert_eq!(s.record().reading("prove-slip", "torque").unwrap().reading.verdict, Verdict::Outside);
    s.dispose("prove-slip", "torque", decided(DispositionKind::Rework), "ed").unwrap();
    pull(&mut s, "88 N").unwrap();
    let torque = s.record().reading("prove-slip", "torque").unwrap();
    assert_eq!((torque.reading.verdict, torque.reading.values[0].as_str()), (Verdict::Within, "22.00"));
    // Within now: another one would be a correction.
    assert!(pull(&mut s, "90 N").is_err());
}

/// Nobody was at the machine for a correction: not a round more was gone, and no step was the last one worked on.
#[test]
fn a_correction_is_no_round_and_no_work() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    to_the_rods(&mut s);
    enter(&mut s, "tighten-rods-final", "torque", &["1=24", "2=24.0", "3=23"]);
    let gone = |s: &Session| s.record().rounds_gone("tighten-rods-circular", "round").len();
    let last = |s: &Session| s.record().last_done(1)[0].id.clone();
    let again = |values: &[&str]| Entry {
        correct: Some("misread".into()),
        ..entry("tighten-rods-circular", "round", values, "ak")
    };
    enter(&mut s, "tighten-rods-circular", "round", &["moved=1"]);
    assert_eq!(s.enter(&again(&["moved=2"])).unwrap().verdict, Verdict::Undecided, "still the first round");
    assert_eq!(gone(&s), 1);
    enter(&mut s, "tighten-rods-circular", "round", &["moved=0"]);
    assert_eq!((gone(&s), last(&s).as_str()), (2, "tighten-rods-circular"));
    let lot = Entry { correct: Some("misread".into()), ..entry("inspect-disc", "lot", &["4712"], "ak") };
    s.enter(&lot).unwrap();
    assert_eq!(last(&s), "tighten-rods-circular");
}
