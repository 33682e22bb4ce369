//! Speed trials and the adopted setup: what is refused, what is kept, what follows from the values.

use std::collections::BTreeMap;

use super::event::Paper;
use super::rounds::{Changed, Kind};
use super::rules_tests::{entry, plan, small};
use super::trial::setup_said;
use super::*;
use crate::procedure::plan::{Plan, Running};

/// What the flywheel's runs are held against.
fn running() -> Running {
    let module = crate::module::read(&crate::module::embedded("flywheel").unwrap()).unwrap();
    let setup = crate::module::Setup::choose(&module, &BTreeMap::new()).unwrap();
    *crate::procedure::make_plan(&module, &setup).unwrap().running.unwrap()
}

/// The small plan in a setup, with the figures of the flywheel.
pub(super) fn running_plan() -> Plan {
    let setup = BTreeMap::from([("discs".to_owned(), "5".to_owned()), ("pulley".to_owned(), "slow".to_owned())]);
    Plan { running: Some(Box::new(running())), setup, ..plan() }
}

pub(super) fn started(home: &std::path::Path) -> Session {
    let store = Store::locate(Some(home)).unwrap();
    store.start(Start { plan: running_plan(), ..small() }).unwrap()
}

pub(super) fn run(values: &[(&str, &[&str])]) -> TrialEntry {
    let values = values.iter().map(|(c, v)| ((*c).to_owned(), v.iter().map(|t| (*t).to_owned()).collect())).collect();
    TrialEntry { values, by: "ak".into(), ..TrialEntry::default() }
}

/// Every step of the small plan up to one, exclusive.
pub(super) fn work(s: &mut Session, until: &str) {
    while let Some(step) = s.record().open_steps().first().map(|s| (*s).clone()) {
        if step.id == until {
            return;
        }
        for check in &step.checks {
            let values: &[&str] = match check.id.as_str() {
                "bore" => &["24.60 mm", "24.59 mm"],
                "lot" => &["x"],
                "holes" => &["6"],
                "plug" => &["go=yes no-go=no"],
                "torque" => &["clicked=3/3"],
                "round" => &["moved=0"],
                "cure" | "settle" => &["started"],
                "room" => &["20 °C"],
                "stock" => continue,
                _ => &["yes"],
            };
            s.enter(&entry(&step.id, &check.id, values, "ak")).unwrap();
            if values == ["started"] {
                let end_early = Some(EndedEarly { role: "design".into(), reason: "warm".into() });
                s.enter(&Entry { end_early, ..entry(&step.id, &check.id, &["done"], "mh") }).unwrap();
            }
        }
        if s.record().step_state(&step.id) == StepState::Held {
            let release = Release { step: step.id, by: "mh".into(), role: "design".into(), ..Release::default() };
            s.release(&release).unwrap();
        }
    }
}

/// Runs with every field that a run can have: a full one, one mistyped, and the one that puts it right.
pub(super) fn every_field(s: &mut Session) {
    let full = run(&[
        ("speed", &["104 rpm"]),
        ("driver", &["60 rpm"]),
        ("held", &["15 min"]),
        ("run-down", &["48 s"]),
        ("bearing", &["41 °C", "38,5 °C"]),
        ("room", &["68 °F"]),
        ("before", &["20.5 N"]),
        ("after", &["19.8 N"]),
        ("vibration", &["1.8 mm/s at bearing-drive"]),
        ("noise", &["even"]),
        ("smell", &["none"]),
        ("result", &["quiet"]),
        ("changed", &["baseline"]),
        ("stop", &["planned"]),
    ]);
    let paper = Some(Paper { measured_by: "jo".into(), at: "14:30".into() });
    let instruments = vec!["BG-1".to_owned()];
    s.trial(&TrialEntry { paper, instruments, witness: Some("ed".into()), ..full }).unwrap();
    // The belt was read after it, so the guard was open.
    let fast = run(&[("speed", &["330 rpm"])]);
    assert!(s.trial(&fast).unwrap_err().to_string().contains("to read the belt force after run 1"));
    let again = Some("belt read after the run".to_owned());
    s.enter(&Entry { correct: again, ..entry("guard-drum", "closed", &["yes"], "ak") }).unwrap();
    let wrong = s.trial(&fast).unwrap();
    assert!(wrong.trial.verdict == Verdict::Outside && wrong.trial.doubt.is_some());
    let correct = Some((wrong.trial.number, "it was 33 rpm".to_owned()));
    let right = TrialEntry { correct, ..run(&[("speed", &["33 rpm"]), ("run-down", &["22 s"])]) };
    assert!(s.trial(&right).unwrap_err().to_string().contains("somebody else puts it right"));
    s.trial(&TrialEntry { by: "ed".into(), ..right }).unwrap();
}

/// A plan of an older program has no words of its own: ids and units are those of the plans of today, the prompts those of the words.
#[test]
fn what_a_run_asks_for_stands_in_one_place() {
    let home = tempfile::tempdir().unwrap();
    let store = Store::locate(Some(home.path())).unwrap();
    let plain = store.start(Start { plan: Plan { running: None, ..running_plan() }, ..small() }).unwrap();
    let (plain, today) = (plain.record().trial_checks(), running().trial.checks);
    let of = |list: &[crate::procedure::plan::Check]| -> Vec<(String, Option<String>)> {
        list.iter().map(|c| (c.id.clone(), c.unit.clone())).collect()
    };
    assert_eq!(of(&plain), of(&today));
    for (old, new) in plain.iter().zip(&today) {
        let same = new.prompt.starts_with(&old.prompt) || (old.id == "bearing" && old.prompt.starts_with(&new.prompt));
        assert!(same && !old.prompt.contains('{'), "{} / {}", old.prompt, new.prompt);
    }
}

/// A run over the limit stops trials, adoption and the end of the record until the design side has decided.
#[test]
fn a_run_over_the_limit_waits_for_a_decision() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    work(&mut s, "nothing");
    s.trial(&run(&[("speed", &["330 rpm"])])).unwrap();
    let slow = run(&[("speed", &["100 rpm"])]);
    for why in [
        s.trial(&slow).unwrap_err().to_string(),
        s.adopt("quiet", "mh", "design").unwrap_err().to_string(),
        s.finish("ak").unwrap_err().to_string(),
    ] {
        assert!(why.contains("run 1 went to 330 rpm, over 320 rpm; the design side decides first"), "{why}");
    }
    let decide = |s: &mut Session, run, kind, reason: &str, by: &str, role: &str| {
        s.decide_run(run, Disposition { kind, reason: reason.into(), role: role.into() }, by).map_err(|e| e.to_string())
    };
    use DispositionKind::{Rework, Scrap, UseAsIs};
    for (n, reason, by, role, words) in [
        (7, "why", "mh", "design", "no run 7"),
        (1, " ", "mh", "design", "its reason"),
        (1, "why", "ak", "design", "does not stand"),
        (1, "why", "ak", "fitter", "design side"),
    ] {
        assert!(decide(&mut s, n, UseAsIs, reason, by, role).unwrap_err().contains(words), "{words}");
    }
    for kind in [Rework, Scrap] {
        decide(&mut s, 1, kind, "looked at", "mh", "design").unwrap();
        assert!(s.trial(&slow).unwrap_err().to_string().contains("a round of work for it comes first"));
    }
    decide(&mut s, 1, UseAsIs, "discs measured, none has grown", "mh", "design").unwrap();
    assert_eq!(s.trial(&slow).unwrap().trial.number, 2);
    assert!(decide(&mut s, 2, UseAsIs, "why", "mh", "design").unwrap_err().contains("not over its limit"));
    s.adopt("quiet", "mh", "design").unwrap();
    s.finish("ak").unwrap();
    let review = report::text(&report::trials(s.record()));
    assert!(review.contains("over 320 rpm") && review.contains("none has grown"), "{review}");
}

/// A proving run with an answer outside and no decision bars trials and adoption, as the first run does.
#[test]
fn every_run_of_the_plan_is_answered_before_a_trial() {
    let home = tempfile::tempdir().unwrap();
    let store = Store::locate(Some(home.path())).unwrap();
    let mut plan = running_plan();
    let mut proving = plan.steps.iter().find(|s| s.id == "spin-first").unwrap().clone();
    (proving.id, proving.after) = ("spin-proving".into(), vec!["spin-first".into()]);
    proving.number = plan.steps.len() as u32 + 1;
    proving.checks.retain(|c| c.id == "room");
    proving.checks[0].upper = Some("30".into());
    plan.steps.push(proving);
    let mut s = store.start(Start { plan, ..small() }).unwrap();
    work(&mut s, "spin-proving");
    s.enter(&entry("spin-proving", "room", &["40 °C"], "ak")).unwrap();
    let slow = run(&[("speed", &["100 rpm"])]);
    assert!(s.trial(&slow).unwrap_err().to_string().contains("spin-proving is not done"));
    assert!(s.adopt("quiet", "mh", "design").unwrap_err().to_string().contains("spin-proving is not done"));
    let d = Disposition { kind: DispositionKind::UseAsIs, reason: "warm day".into(), role: "design".into() };
    s.dispose("spin-proving", "room", d, "mh").unwrap();
    s.trial(&slow).unwrap();
}

#[test]
fn nothing_is_tried_without_its_guard_nor_before_the_first_run() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    let speed = run(&[("speed", &["100 rpm"])]);
    let why = |s: &mut Session| s.trial(&speed).unwrap_err().to_string();
    let mut said = Vec::new();
    for until in ["inspect-disc", "prove-slip", "guard-drum", "spin-first"] {
        work(&mut s, until);
        said.push(why(&mut s));
    }
    assert!(said[..3].iter().all(|w| w.contains("without its guard") && w.contains("guard-drum")), "{said:?}");
    assert!(said[3].contains("spin-first is not done"), "{said:?}");
    let asked = [
        TrialEntry { witness: Some("ed".into()), ..speed.clone() },
        TrialEntry { paper: Some(Paper { measured_by: "jo".into(), at: "now".into() }), ..speed.clone() },
        TrialEntry { correct: Some((1, "why".into())), ..speed.clone() },
    ];
    for (entry, reason) in asked.iter().zip(["spin-first is not done", "spin-first is not done", "no run 1"]) {
        let said = s.trial(entry).unwrap_err().to_string();
        assert!(said.contains(reason), "{said}");
    }
    work(&mut s, "nothing");
    assert_eq!(s.trial(&speed).unwrap().trial.number, 1);
    // A correction that takes the guard back takes the trials back.
    s.enter(&Entry { correct: Some("it stood open".into()), ..entry("guard-drum", "closed", &["no"], "ak") }).unwrap();
    assert!(why(&mut s).contains("guard-drum"));
    s.enter(&entry("guard-drum", "closed", &["yes"], "ak")).unwrap();
    s.finish("ak").unwrap();
    assert!(why(&mut s).contains("closed"));
    s.reopen("mh", "more trials").unwrap();
    assert_eq!(s.trial(&speed).unwrap().trial.number, 2);
    assert_eq!(s.record().trials().len(), 2);
}

/// The force that a correction brings was read with the guard open as well, whichever run it is told for.
#[test]
fn a_belt_force_told_later_still_opened_the_guard() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    work(&mut s, "");
    let slow = run(&[("speed", &["100 rpm"]), ("run-down", &["48 s"])]);
    let first = s.trial(&slow).unwrap();
    let correct = Some((first.trial.number, "the belt was read as well".to_owned()));
    let told = run(&[("speed", &["100 rpm"]), ("run-down", &["48 s"]), ("after", &["19.8 N"])]);
    s.trial(&TrialEntry { by: "ed".into(), correct, ..told }).unwrap();
    let refused = s.trial(&slow).unwrap_err().to_string();
    assert!(refused.contains("to read the belt force after run 2"), "{refused}");
    let again = Some("belt read after the run".to_owned());
    s.enter(&Entry { correct: again, ..entry("guard-drum", "closed", &["yes"], "ak") }).unwrap();
    let third = s.trial(&slow).unwrap();
    // The same force typed again for the same run opened nothing anew.
    let mistyped = run(&[("speed", &["101 rpm"]), ("run-down", &["48 s"]), ("after", &["19.8 N"])]);
    let correct = Some((2, "101 rpm it was".to_owned()));
    s.trial(&TrialEntry { by: "ak".into(), correct, ..mistyped }).unwrap();
    assert!(s.trial(&slow).is_ok(), "run {} was the last that anything was read after", third.trial.number);
}

#[test]
fn a_round_of_work_bars_trials_until_its_own_guard_is_done() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    work(&mut s, "nothing");
    let mut plan = s.record().plan().clone();
    plan.steps.retain(|s| ["guard-drum", "spin-first"].contains(&s.id.as_str()));
    plan.steps.iter_mut().for_each(|s| s.after.clear());
    let changed = Changed {
        round: 1,
        kind: Kind::Rework,
        reason: "guard off".into(),
        role: "design".into(),
        received: BTreeMap::new(),
        visit: None,
        spec: s.record().spec().to_owned(),
        plan: plan.into(),
        undone: Vec::new(),
        stale: Vec::new(),
        rejudged: Vec::new(),
        standing: std::collections::BTreeSet::new(),
        parts: Vec::new(),
        stages: BTreeMap::new(),
        failed: std::collections::BTreeSet::new(),
    };
    s.begin(changed, "mh").unwrap();
    let speed = run(&[("speed", &["100 rpm"])]);
    assert!(s.trial(&speed).unwrap_err().to_string().contains("guard-drum"));
    work(&mut s, "nothing");
    assert_eq!(s.trial(&speed).unwrap().trial.round, 1);
}

#[test]
fn figures_follow_from_the_values_and_the_plan() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    work(&mut s, "nothing");
    let gauge = instruments::Instrument {
        id: "BG-1".into(),
        kind: "tachometer".into(),
        range: None,
        resolution: None,
        uncertainty: Some("1 rpm".into()),
        due: None,
        retired: false,
        faulty: None,
    };
    Store::locate(Some(home.path())).unwrap().change_register(|r| r.add(gauge)).unwrap();
    every_field(&mut s);
    let trials = s.record().trials();
    let first = trials[0].0;
    let of = |name: &str| first.figure_of(name).unwrap();
    // By hand: J = 0.653999 kg·m², 104 rpm = 10.8909 rad/s; J·ω²/2 = 38.79, J·ω/48 s = 0.1484.
    assert_eq!((of("energy"), of("drag")), (38.8, 0.148));
    assert_eq!(first.figure("rise").unwrap().value.parse::<f64>(), Ok(21.0), "41 °C less 68 °F");
    // 0.7 of 20.5 N; 60 rpm × 1.7722 = 106.33 rpm.
    assert_eq!((of("tension-lost"), of("slip")), (3.4, 2.2));
    assert!(first.doubt.is_none() && trials[1].0.doubt.as_ref().unwrap().contains("new top speed"));
    assert_eq!(trials[2].0.corrects.as_ref().map(|c| c.reason.as_str()), Some("it was 33 rpm"));
    let setups = s.record().setups_run();
    assert_eq!((setups.len(), setups[0].runs.len()), (1, 2), "the mistyped run does not count");
    assert_eq!(setups[0].most("speed"), Some(104.0));
    // Both parts of the drag give both times back.
    let parts = setups[0].parts.clone().unwrap().unwrap();
    let j = crate::quantity::Inertia::from_kgm2(0.653_999);
    for (rpm, seconds) in [(104.0, 48.0), (33.0, 22.0)] {
        let stop = crate::mechanics::run_down::stop(j, crate::quantity::Speed::from_rpm(rpm), parts).unwrap();
        assert!((stop.time.s() - seconds).abs() < 1e-6, "{rpm}: {stop:?}");
    }
    assert!(s.record().judged_again().is_empty(), "{:?}", s.record().judged_again());
}

#[test]
fn what_is_no_run_is_refused_and_what_can_hardly_be_is_kept_with_its_doubt() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    work(&mut s, "nothing");
    let before = s.record().events.len();
    for (wrong, words) in [
        (run(&[("run-down", &["48 s"])]), "needs the speed"),
        (run(&[("speed", &["104"])]), "has no unit"),
        (run(&[("speed", &["104 mm"])]), "speed"),
        (run(&[("speed", &["104 rpm"]), ("weather", &["fine"])]), "has no \"weather\""),
        (run(&[("speed", &["104 rpm"]), ("bearing", &["41 °C"])]), "2 values are needed"),
        (TrialEntry { by: String::new(), ..run(&[("speed", &["104 rpm"])]) }, "nitials"),
        (TrialEntry { witness: Some("ak".into()), ..run(&[("speed", &["104 rpm"])]) }, "somebody else"),
        (TrialEntry { instruments: vec!["X-9".into()], ..run(&[("speed", &["104 rpm"])]) }, "X-9"),
        (TrialEntry { correct: Some((7, "why".into())), ..run(&[("speed", &["104 rpm"])]) }, "no run 7"),
    ] {
        let said = s.trial(&wrong).unwrap_err().to_string();
        assert!(said.contains(words), "{words}: {said}");
    }
    assert_eq!(s.record().events.len(), before, "nothing of it was kept");
    let alone =
        s.trial(&TrialEntry { bare: true, ..run(&[("speed", &["104"]), ("run-down", &["-3"])]) }).unwrap().trial;
    assert!(alone.doubt.as_ref().unwrap().contains("less than nothing"), "{alone:?}");
    assert!(alone.doubt.as_ref().unwrap().contains("no second person"), "{alone:?}");
    assert_eq!(alone.figure("drag"), None, "a time below nothing tells no drag");
    // Not faster than before: one person is enough.
    assert_eq!(s.trial(&run(&[("speed", &["105 rpm"])])).unwrap().trial.doubt, None);
}

#[test]
fn a_setup_is_adopted_by_who_decides_for_a_reason_and_the_last_one_counts() {
    let home = tempfile::tempdir().unwrap();
    let mut s = started(home.path());
    work(&mut s, "spin-first");
    let why = |s: &mut Session, r: &str, by: &str, role: &str| s.adopt(r, by, role).unwrap_err().to_string();
    assert!(why(&mut s, "quiet", "mh", "design").contains("spin-first"), "what has not run is not adopted");
    work(&mut s, "nothing");
    assert!(why(&mut s, " ", "mh", "design").contains("reason"));
    assert!(why(&mut s, "quiet", "ak", "design").contains("does not stand"));
    assert!(why(&mut s, "quiet", "ak", "fitter").contains("design side"));
    assert_eq!(s.record().adopted(), None);
    s.adopt("quiet", "mh", "design").unwrap();
    assert!(s.record().adopted().unwrap().doubt.is_some(), "no trial of it yet");
    s.trial(&run(&[("speed", &["104 rpm"])])).unwrap();
    s.adopt("tried and quiet", "ed", "design").unwrap();
    let adopted = s.record().adopted().unwrap().clone();
    assert_eq!(
        (adopted.reason.as_str(), adopted.said().as_str(), adopted.doubt),
        ("tried and quiet", "5 discs, slow", None)
    );
    assert_eq!(adopted.speed_rpm, Some(running().speed_rpm));
    assert_eq!(s.record().adoptions().len(), 2, "both stay");
    assert!(s.record().leaves_adopted(&BTreeMap::from([("discs".to_owned(), "3".to_owned())])));
    s.finish("ak").unwrap();
    assert!(why(&mut s, "again", "mh", "design").contains("closed"));
    let listed = Store::locate(Some(home.path())).unwrap().list().unwrap();
    assert_eq!(listed[0].adopted.as_deref(), Some("5 discs, slow"));
}

#[test]
fn a_setup_is_said_as_people_say_it() {
    let map = |pairs: &[(&str, &str)]| pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect();
    assert_eq!(setup_said(&map(&[("discs", "5"), ("pulley", "slow")])), "5 discs, slow");
    assert_eq!(setup_said(&map(&[("discs", "1")])), "1 disc");
    assert_eq!(setup_said(&map(&[("chute", "wide")])), "chute wide");
}

#[test]
fn a_plan_of_an_older_program_takes_trials_by_the_limit_of_its_own_runs() {
    let home = tempfile::tempdir().unwrap();
    let store = Store::locate(Some(home.path())).unwrap();
    let mut old = plan();
    let speed = old.steps.iter().position(|s| s.id == "spin-first").unwrap();
    let mut check = running().trial.checks[0].clone();
    check.upper = Some("112".into());
    old.steps[speed].checks.push(check);
    let mut s = store.start(Start { plan: old, ..small() }).unwrap();
    work(&mut s, "spin-first");
    s.enter(&entry("spin-first", "room", &["20 °C"], "ak")).unwrap();
    s.enter(&entry("spin-first", "speed", &["100 rpm"], "ak")).unwrap();
    let kept = s.trial(&run(&[("speed", &["113 rpm"]), ("run-down", &["40 s"]), ("bearing", &["30 °C"])])).unwrap();
    assert_eq!(kept.trial.verdict, Verdict::Outside);
    assert_eq!(kept.trial.value("speed").and_then(|v| v.upper.as_deref()), Some("112"));
    assert_eq!(kept.trial.figure("drag"), None, "its plan has no inertia");
}
