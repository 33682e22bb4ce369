//! Balancing in the guide: the readings of published examples, entered step by step, give the corrections that the examples print.
//!
//! The plan is that of a fan wheel; only its steps that balance are worked, since what comes before them changes nothing of it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

#[path = "../common/mod.rs"]
mod common;
mod planes;
mod washers;

use runtrue::module::{Module, Setup, Source, embedded, read};
use runtrue::procedure::plan::{Plan, Step};
use runtrue::procedure::{Words, make_plan};
use runtrue::traveler::{
    Entry, EntryError, Goal, Outcome, Release, Session, Start, StepState, Store, Verdict, prospect,
};
use std::collections::BTreeMap;

const ONE: &str = "method: single plane\n  reads: mm/s\n  floor: 0.01 mm/s\n  planes: [far end]\n  correct by: [washers]\n  washers: { size: M8, most: 4 }";

/// The demo with another way of balancing, and perhaps other fields.
fn module(balance: &str, changes: &[(&str, &str)]) -> Module {
    let text = embedded("blower").unwrap().text;
    let (from, to) = (text.find("balance:  ").unwrap(), text.find("\npeople:").unwrap());
    let mut text = format!("{}balance:\n  {balance}\n{}", &text[..from], &text[to..]);
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    read(&Source { name: "x".into(), text }).unwrap_or_else(|p| panic!("{}", p.report()))
}

fn refused(balance: &str) -> String {
    let text = embedded("blower").unwrap().text;
    let (from, to) = (text.find("balance:  ").unwrap(), text.find("\npeople:").unwrap());
    let text = format!("{}balance:\n  {balance}\n{}", &text[..from], &text[to..]);
    read(&Source { name: "x".into(), text }).unwrap_err().report()
}

fn plan(module: &Module) -> Plan {
    make_plan(module, &Setup::choose(module, &BTreeMap::new()).unwrap()).unwrap_or_else(|e| panic!("{e}"))
}

/// A build of the steps that balance alone.
struct Bench {
    session: Session,
    _home: tempfile::TempDir,
}

impl Bench {
    fn at(module: &Module) -> Self {
        let mut plan = plan(module);
        plan.steps.retain(|s| s.operation == "balance" || s.id.contains("-balance-"));
        let ids: Vec<String> = plan.steps.iter().map(|s| s.id.clone()).collect();
        plan.steps.iter_mut().for_each(|s| s.after.retain(|a| ids.contains(a)));
        let home = tempfile::tempdir().unwrap();
        let start = Start {
            plan,
            spec_text: module.text.clone(),
            spec_name: "blower".into(),
            serial: "1".into(),
            by: "ak".into(),
            practice: true,
            alone: None,
        };
        Self { session: Store::locate(Some(home.path())).unwrap().start(start).unwrap(), _home: home }
    }

    fn steps(&self) -> Vec<Step> {
        self.session.record().plan().steps.clone()
    }

    fn try_enter(&mut self, step: &str, check: &str, value: &str) -> Result<Outcome, EntryError> {
        let values = value.split('|').map(|v| v.trim().to_owned()).collect();
        let entry = Entry { step: step.into(), check: check.into(), values, by: "ak".into(), ..Entry::default() };
        self.session.enter(&entry)
    }

    fn enter(&mut self, step: &str, check: &str, value: &str) -> Outcome {
        self.try_enter(step, check, value).unwrap_or_else(|e| panic!("{step}/{check} {value}: {e}"))
    }

    /// Works every step with plain answers until one of these is next; `said` are the answers that matter, each taken once.
    fn work(&mut self, said: &[(&str, &str)]) {
        let said: BTreeMap<&str, &str> = said.iter().copied().collect();
        for step in self.steps() {
            if self.session.record().step_state(&step.id) == StepState::Done {
                continue;
            }
            for check in &step.checks {
                let name = format!("{}/{}", step.id, check.id);
                let plain = common::good(&serde_json::json!(check)).join("|");
                let value = said.get(name.as_str()).copied().unwrap_or(&plain);
                if !plain.is_empty() && value != "stop" {
                    self.enter(&step.id, &check.id, value);
                }
                if value == "stop" {
                    return;
                }
            }
            if step.hold.is_some() {
                self.release(&step.id);
            }
        }
    }

    fn release(&mut self, step: &str) {
        let release = Release { step: step.into(), by: "mh".into(), role: "design".into(), ..Release::default() };
        self.session.release(&release).unwrap();
    }

    fn value(&self, step: &str, check: &str) -> Vec<f64> {
        let record = self.session.record();
        let kept = record.reading(step, check).unwrap_or_else(|| panic!("{step}/{check} has no value"));
        kept.reading.values.iter().map(|v| v.parse().unwrap()).collect()
    }

    fn verdict(&self, step: &str, check: &str) -> (Verdict, String) {
        let kept = self.session.record().reading(step, check).unwrap();
        (kept.reading.verdict, kept.reading.because.clone())
    }

    fn near(&self, step: &str, check: &str, wanted: f64, by: f64) {
        let found = self.value(step, check)[0];
        assert!((found - wanted).abs() <= by, "{step}/{check}: {found}, {wanted} is wanted");
    }
}

/// Readings and trials of both planes, corrections and how near they have to be.
type TwoPlanes = ([&'static str; 5], [(f64, f64); 2], f64);

/// A floor of 2 mm/s where 12 g make 8.6 mm/s stands for 2.8 g, at 50 mm; over half of 1 g·mm or so it decides nothing.
#[test]
fn an_instrument_too_coarse_for_the_limit_decides_nothing() {
    let coarse = ONE.replace("floor: 0.01", "floor: 12");
    let mut bench = Bench::at(&module(&coarse, &[("balance grade: G 6.3", "balance grade: G 2.5")]));
    bench.work(&[
        ("balance-run-1/reading", "6.2@40"),
        ("balance-trial-1/trial", "12@90"),
        ("balance-run-2/reading", "8.1@115"),
        ("balance-run-3/reading", "0.1@0"),
        ("remove-guard-balance-3/still", "stop"),
    ]);
    let (verdict, why) = bench.verdict("balance-run-3", "residual");
    assert!(verdict == Verdict::Undecided && why.contains("cannot decide"), "{why}");
}

/// By hand, from shop practice and 29 CFR 1910.147: everything rechecked and cured, then each run behind its guard, the guard open at
/// standstill before each weight is touched, and the proving run last.
#[test]
fn runs_at_speed_stand_between_guards_and_after_everything_that_is_rechecked() {
    let plan = plan(&module(ONE, &[]));
    let place =
        |id: &str| plan.steps.iter().position(|s| s.id == id).unwrap_or_else(|| panic!("there is no step {id}"));
    let order = [
        "spin-first",
        "remove-guard",
        "recheck-rods-settled",
        "balance-prepare",
        "guard-guard-balance-1",
        "balance-run-1",
        "remove-guard-balance-1",
        "balance-trial-1",
        "guard-guard-balance-2",
        "balance-run-2",
        "remove-guard-balance-2",
        "balance-washers",
        "guard-guard-balance-3",
        "balance-run-3",
        "remove-guard-balance-3",
        "guard-guard-again",
        "spin-proving",
    ];
    for pair in order.windows(2) {
        assert!(place(pair[0]) < place(pair[1]), "{} before {}", pair[0], pair[1]);
    }
    assert!(place("wait-cure") < place("balance-prepare"), "uncured locker holds nothing at speed");
    let guards: Vec<&Step> = plan.steps.iter().filter(|s| s.operation == "guard").collect();
    assert!(guards.iter().all(|s| s.hold.as_deref() == Some("design")), "each is released before the rotor runs");
}

#[test]
fn no_run_without_its_guard_and_none_again_before_the_guard_was_closed_anew() {
    let mut bench = Bench::at(&module(ONE, &[]));
    let why = bench.try_enter("balance-run-1", "reading", "6.2@40").unwrap_err().to_string();
    assert!(why.contains("guard-guard-balance-1"), "{why}");
    bench.work(&[
        ("balance-run-1/reading", "6.2@40"),
        ("balance-trial-1/trial", "12@90"),
        ("balance-run-2/reading", "8.1@115"),
        ("balance-run-3/reading", "stop"),
    ]);
    let outside = bench.enter("balance-run-3", "reading", "60@40");
    assert!(outside.message.contains("residual is") && outside.message.contains("outside"), "{}", outside.message);
    assert!(bench.value("balance-run-3", "more-washers").iter().sum::<f64>() > 0.0, "how many go where is told");
    let why = bench.try_enter("balance-run-3", "reading", "0.5@40").unwrap_err().to_string();
    assert!(why.contains("balance-washers") && why.contains("on now"), "{why}");
    let correction = |step: &str, check: &str, values: &[&str], by: &str| Entry {
        step: step.into(),
        check: check.into(),
        values: values.iter().map(|v| (*v).to_owned()).collect(),
        by: by.into(),
        correct: Some("opened for more washers".into()),
        ..Entry::default()
    };
    // The same person does not run again under the name of a correction.
    let disguised = correction("balance-run-3", "reading", &["0.5", "40"], "ak");
    assert!(bench.session.enter(&disguised).is_err());
    bench.session.enter(&correction("balance-washers", "fitted", &["1", "2", "0", "0", "0"], "ak")).unwrap();
    let why = bench.try_enter("balance-run-3", "reading", "0.5@40").unwrap_err().to_string();
    assert!(why.contains("guard-guard-balance-3") && why.contains("anew"), "{why}");
    assert!(bench.session.enter(&disguised).is_err(), "the guard is not closed yet");
    bench.session.enter(&correction("guard-guard-balance-3", "closed", &["yes"], "ak")).unwrap();
    let why = bench.try_enter("balance-run-3", "reading", "0.5@40").unwrap_err().to_string();
    assert!(why.contains("guard-guard-balance-3"), "closed, not yet released: {why}");
    bench.release("guard-guard-balance-3");
    bench.enter("balance-run-3", "reading", "0.5@40");
    assert_eq!(bench.verdict("balance-run-3", "residual").0, Verdict::Within);
}

/// 1000 g·mm at 72° against a drag of 3000 g·mm, weighed at a radius of 50 mm: 60 − 20·cos(72° − θ) g at each of five holes.
#[test]
fn the_starting_masses_in_the_bearings_tell_unbalance_and_drag() {
    let demo = read(&embedded("blower").unwrap()).unwrap();
    let mut bench = Bench::at(&demo);
    let starts: Vec<String> =
        (0..5).map(|k| format!("{:.4} g", 60.0 - 20.0 * (72.0 - 72.0 * f64::from(k)).to_radians().cos())).collect();
    bench.work(&[("balance-initial/starts", &starts.join("|")), ("balance-prepare/washer", "1.8 g")]);
    bench.near("balance-initial", "unbalance", 1000.0, 0.6);
    bench.near("balance-initial", "heavy", 72.0, 0.5);
    bench.near("balance-initial", "drag", 3000e-6 * 9.80665, 1e-4);
    bench.near("balance-initial", "correction", 20.0, 0.01);
    bench.near("balance-initial", "correction-angle", 252.0, 0.1);
    // 20 g want eleven washers at 252°, which lies half way between holes 4 (216°) and 5 (288°): four on each, no more.
    let counts = bench.value("balance-washers", "counts");
    assert_eq!((counts[3], counts[4]), (4.0, 4.0), "{counts:?}");
}

/// Energy-Tech's form for one plane in inch units: 6.015·G·W/n oz·in with W in pounds and n in rpm (their 1000 lb at 15 000 rpm, G 2.5, is
/// 1.0 oz·in). An ounce inch is 720.078 g·mm, a pound 0.453 592 37 kg.
#[test]
fn the_limit_of_the_residual_is_that_of_the_inch_formula() {
    let demo = read(&embedded("blower").unwrap()).unwrap();
    let setup = Setup::choose(&demo, &BTreeMap::new()).unwrap();
    let pounds = runtrue::procedure::Figures::of(&demo, &setup).unwrap().mass.kg() / 0.453_592_37;
    let wanted = 6.015 * 6.3 * pounds / 950.0 * 720.078;
    assert!((6.015 * 2.5 * 1000.0 / 15_000.0 - 1.0_f64).abs() < 0.003);
    let plan = plan(&demo);
    let residual = plan.steps.iter().find(|s| s.id == "balance-residual").unwrap();
    let limit = &residual.checks.iter().find(|c| c.id == "residual").unwrap().upper;
    let limit: f64 = limit.as_ref().unwrap().parse().unwrap();
    assert!((limit / wanted - 1.0).abs() < 0.001, "{limit} {wanted}");
}

#[test]
fn a_spec_that_cannot_be_balanced_is_refused_with_what_to_write() {
    let drill = "drilling: { diameter: 8 mm, on: 260 mm, deepest: 7 mm, point: 118° }";
    let drilled_only = ONE.replace("[washers]", "[drilling]").replace("washers: { size: M8, most: 4 }", drill);
    let unknown_angle =
        ONE.replace("[washers]", "[washers, drilling]").replace("single plane", "single plane without phase")
            + "\n  "
            + drill;
    let cases = [
        ("method: static\n  planes: [far end]\n  correct by: [washers]\n  washers: { size: M8, most: 4 }", "on: edges"),
        (
            "method: static\n  on: edges\n  planes: [far end]\n  correct by: [washers]\n  washers: { size: M8, most: 4 }",
            "rolling arm",
        ),
        (&ONE.replace("[far end]", "[far end, drive end]"), "wants 1 of the ends"),
        (&ONE.replace("size: M8", "size: M10"), "washers of M10 on rods of M8"),
        (&ONE.replace("[washers]", "[washers, drilling]"), "Name each in"),
        (&ONE.replace("  reads: mm/s\n", ""), "in what unit"),
        (&drilled_only, "at speed a trial weight stands on a rod"),
        (&unknown_angle, "amplitudes alone tell"),
    ];
    for (balance, wanted) in cases {
        let said = refused(balance);
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    // On edges the pulley has to be on, and here a bearing goes on before it: no order, and the reasons.
    let edges = module(
        "method: static\n  on: edges\n  rolling arm: 0.01 mm\n  planes: [far end]\n  correct by: [drilling]\n  drilling: { diameter: 8 mm, on: 260 mm, deepest: 7 mm, point: 118° }",
        &[],
    );
    let why = make_plan(&edges, &Setup::choose(&edges, &BTreeMap::new()).unwrap()).unwrap_err().to_string();
    assert!(why.contains("go round in a circle") && why.contains("the pulley is part of the rotor"), "{why}");
    assert!(why.contains("\"on: bearings\" (line 115 of the spec)"), "{why}");
}

/// By hand for the fan wheel: likely and worst couple over the 280 mm between the bearings, against half of what is permitted.
#[test]
fn a_balance_in_one_plane_says_what_couple_it_leaves() {
    let said = |module: &Module, id: &str| {
        let plan = plan(module);
        plan.steps.iter().find(|s| s.id == id).unwrap().actions.join(" ")
    };
    let demo = read(&embedded("blower").unwrap()).unwrap();
    let rest = said(&demo, "balance-residual");
    assert!(rest.contains("is not seen in one plane") && rest.contains("g·mm at each bearing"), "{rest}");
    assert!(!said(&demo, "balance-initial").contains("couple"), "only where something is judged");
    assert!(said(&module(ONE, &[]), "balance-run-3").contains("is not seen in one plane"));
    let two = ONE.replace("single plane", "two planes").replace("[far end]", "[far end, drive end]");
    let two = module(&two, &[]);
    let last =
        plan(&two).steps.iter().filter(|s| s.id.starts_with("balance-run-")).map(|s| s.id.clone()).max().unwrap();
    assert!(!said(&two, &last).contains("is not seen in one plane"));
}

/// Nominal of the formula by hand: `1000·G·m/ω` at the adopted setup's own speed is that at 950 rpm times 950 over it.
#[test]
fn after_an_adoption_balance_goes_by_the_speed_of_the_adopted_setup() {
    let home = tempfile::tempdir().unwrap();
    let mut session = common::built(home.path(), "blower", "1");
    let of = |plan: &Plan| -> (f64, String) {
        let check = plan.steps.iter().find(|s| s.id == "balance-residual").unwrap();
        let check = check.checks.iter().find(|c| c.id == "residual").unwrap().clone();
        (check.upper.unwrap().parse().unwrap(), check.basis)
    };
    let (never_passed, basis) = of(session.record().plan());
    assert!(basis.contains("at the 950 rpm that are never passed"), "{basis}");
    let redo = |session: &Session| {
        let goal = Goal { redo: vec!["balance-residual".into()], ..Goal::default() };
        prospect(session.record(), &goal, Words::built_in().unwrap()).unwrap()
    };
    assert_eq!(of(&redo(&session).way.plan).0, never_passed, "nothing is adopted yet");
    session.adopt("quiet", "mh", "design").unwrap();
    let speed: f64 = session.record().running().unwrap().speed_rpm.parse().unwrap();
    let way = redo(&session);
    let (own, basis) = of(&way.way.plan);
    assert!((own - never_passed * 950.0 / speed).abs() <= 1.0, "{own} {never_passed} {speed}");
    assert!(basis.contains(&format!("at the {speed:.0} rpm of the adopted setup")), "{basis}");
    // Another setup is held against what is never passed.
    let two = Goal { set: BTreeMap::from([("discs".to_owned(), "2".to_owned())]), ..Goal::default() };
    let two = prospect(session.record(), &two, Words::built_in().unwrap()).unwrap();
    assert!(of(&two.way.plan).1.contains("never passed"));
    session.begin_change(way, Some("once more"), "ak").unwrap();
    common::work_until(&mut session, |_, _| false);
    let record = session.record();
    let at = record.balance_at_adopted().unwrap();
    assert!(at.same_setup && at.grade <= at.wanted && (at.speed_rpm - speed).abs() < 1e-6, "{at:?}");
    let build = record.build.clone();
    drop(session);
    let text = String::from_utf8(common::runtrue(home.path(), &["review", &build]).stdout).unwrap();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("of the adopted setup") && text.contains("G 6.3 is wanted: it passes"), "{text}");
    let (code, verified) = common::json(home.path(), &["verify", &build, "--recompute"]);
    assert_eq!((code, &verified["recompute"]["same"]), (0, &serde_json::Value::Bool(true)), "{verified}");
}
