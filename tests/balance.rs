//! Balancing in the guide: the readings of published examples, entered step by step, give the corrections that the examples print.
//!
//! The plan is that of a fan wheel; only its steps that balance are worked, since what comes before them changes nothing of it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::collections::BTreeMap;

use runtrue::module::{Module, Setup, Source, embedded, read};
use runtrue::procedure::plan::{Plan, Step};
use runtrue::procedure::{Words, make_plan};
use runtrue::traveler::{
    Entry, EntryError, Goal, Outcome, Release, Session, Start, StepState, Store, Verdict, prospect,
};

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

/// A field report (ozgurbobinaj.com.tr): 4.81 at 16.8°, with 103.25 g at 0° 4.7628 at 299.9°; published 83.5 g at 308.87°. Its angle
/// arithmetic is off by 0.06° (308.81 by its own numbers).
#[test]
fn one_plane_gives_the_correction_of_a_field_report() {
    let mut bench = Bench::at(&module(ONE, &[]));
    bench.work(&[
        ("balance-run-1/reading", "4.81@16.8"),
        ("balance-trial-1/trial", "103.25 at 0°"),
        ("balance-run-2/reading", "4.7628|299.9"),
        ("balance-washers/fitted", "stop"),
    ]);
    bench.near("balance-run-2", "correction", 83.5, 0.1);
    bench.near("balance-run-2", "correction-angle", 308.87, 0.1);
    assert_eq!(bench.verdict("balance-run-2", "response").0, Verdict::Within);
}

/// 6.2 at 40°, with 12 g at 90° 8.1 at 115°: 8.4212 g at 152.324°, by an independent program. A weight that takes it away leaves nothing,
/// one of half the size leaves half: 8.4212/2 g at 50 mm.
#[test]
fn what_is_left_is_told_in_gram_millimetres_and_trimmed_by_the_same_influence() {
    let mut bench = Bench::at(&module(ONE, &[]));
    bench.work(&[
        ("balance-run-1/reading", "6.2∠40"),
        ("balance-trial-1/trial", "12@90"),
        ("balance-run-2/reading", "8.1@115"),
        ("balance-run-3/reading", "3.1@40"),
    ]);
    bench.near("balance-run-2", "correction", 8.4212, 0.005);
    bench.near("balance-run-2", "correction-angle", 152.324, 0.05);
    bench.near("balance-run-3", "residual", 8.4212 / 2.0 * 50.0, 0.5);
    bench.near("balance-run-3", "trim", 8.4212 / 2.0, 0.005);
    bench.near("balance-run-3", "trim-angle", 152.324, 0.05);
    // 27.0 kg at 950 rpm: G = U·ω/m (ISO 21940-11) is 210.5e-3·99.48/27.0.
    bench.near("balance-run-3", "grade", 0.776, 0.011);
    assert_eq!(bench.verdict("balance-run-3", "residual").0, Verdict::Within);
    assert_eq!(bench.value("balance-run-3", "more-washers"), [0.0; 5], "within what is permitted none is added");
    assert!(bench.session.record().open_steps().is_empty());
}

/// The same readings from a meter that counts the other way: every phase is 360° less what it was, and nothing else changes.
#[test]
fn a_meter_that_counts_against_the_sense_is_turned_round_once() {
    let against = ONE.replace("reads: mm/s", "reads: mm/s\n  phase: against the sense");
    let mut bench = Bench::at(&module(&against, &[]));
    bench.work(&[
        ("balance-run-1/reading", "6.2@320"),
        ("balance-trial-1/trial", "12@90"),
        ("balance-run-2/reading", "8.1@245"),
        ("balance-washers/fitted", "stop"),
    ]);
    bench.near("balance-run-2", "correction", 8.4212, 0.005);
    bench.near("balance-run-2", "correction-angle", 152.324, 0.05);
    assert_eq!(bench.value("balance-run-1", "reading"), [6.2, 320.0], "the record keeps what the meter showed");
}

/// Readings and trials of both planes, corrections and how near they have to be.
type TwoPlanes = ([&'static str; 5], [(f64, f64); 2], f64);

/// Brüel & Kjær's application note on static and dynamic balancing, inputs as in the test file of hsbalance (its 189, 185 or 186 for one
/// reading leave 1.2 % and 1.3° open): 1.96 g at 238°, 1.06 g at 121° stated. Their note 17-227, inputs from memory. And readings made from
/// 14 g at 70° and 9 g at 310°.
#[test]
fn two_planes_give_the_corrections_of_published_examples() {
    let cases: [TwoPlanes; 3] = [
        (
            ["170@112|53@78", "1.15@0", "235@94|58@68", "1.15@0", "185@115|77@104"],
            [(1.979, 236.17), (1.071, 121.84)],
            0.01,
        ),
        (
            ["7.2@238|13.5@296", "2.5@0", "4.9@114|9.2@347", "2.5@0", "4.0@79|12.0@292"],
            [(2.9514, 50.189), (2.8441, 278.116)],
            0.01,
        ),
        (
            [
                "6.71145@112.7121|4.54892@338.4124",
                "6@45",
                "8.89941@103.4327|4.44246@330.1033",
                "8@270",
                "7.90322@113.8158|8.41421@328.8685",
            ],
            [(14.0, 250.0), (9.0, 130.0)],
            0.01,
        ),
    ];
    for (readings, corrections, by) in cases {
        two_planes("", readings, corrections, by);
    }
}

/// As the made one above, the first trial weight still on in the last run: the readings cannot show it, the spec says it.
#[test]
fn a_trial_weight_that_stays_on_is_said_in_the_spec() {
    let readings = [
        "6.71145@112.7121|4.54892@338.4124",
        "6@45",
        "8.89941@103.4327|4.44246@330.1033",
        "8@270",
        "10.05542@105.3828|8.39554@324.3700",
    ];
    two_planes("\n  first trial weight: stays on", readings, [(14.0, 250.0), (9.0, 130.0)], 0.01);
}

fn two_planes(more: &str, readings: [&str; 5], corrections: [(f64, f64); 2], by: f64) {
    let two = ONE.replace("single plane", "two planes").replace("[far end]", "[far end, drive end]") + more;
    // Balance washers at both ends take longer rods.
    let mut bench = Bench::at(&module(&two, &[]));
    bench.work(&[
        ("balance-run-1/reading", readings[0]),
        ("balance-trial-1/trial", readings[1]),
        ("balance-run-2/reading", readings[2]),
        ("balance-trial-2/trial", readings[3]),
        ("balance-run-3/reading", readings[4]),
        ("balance-washers/fitted-far", "stop"),
    ]);
    for (end, (mass, angle)) in ["far", "drive"].into_iter().zip(corrections) {
        bench.near("balance-run-3", &format!("correction-{end}"), mass, by);
        bench.near("balance-run-3", &format!("correction-{end}-angle"), angle, 0.06);
    }
    assert_eq!(bench.verdict("balance-run-3", "condition").0, Verdict::Within);
}

fn without_phase() -> Module {
    let text = ONE.replace("single plane", "single plane without phase");
    module(&text, &[("count: 5, on: 100 mm", "count: 6, on: 100 mm"), ("  count: 5\n", "  count: 6\n")])
}

/// Made from 18 g at 25°: 5.58 at first; with 10 g at 0°, 120°, 240° 3.0646, 6.615258 and 8.311786.
#[test]
fn amplitudes_alone_find_the_correction() {
    let mut bench = Bench::at(&without_phase());
    bench.work(&[
        ("balance-run-1/reading", "5.58 mm/s"),
        ("balance-trial-1/trial-mass", "10 g"),
        ("balance-run-2/reading", "3.0646 mm/s"),
        ("balance-run-3/reading", "6.615258 mm/s"),
        ("balance-run-4/reading", "8.311786 mm/s"),
        ("balance-run-5/reading", "0.2 mm/s"),
    ]);
    bench.near("balance-run-4", "correction", 18.0, 0.005);
    bench.near("balance-run-4", "correction-angle", 25.0, 0.05);
    bench.near("balance-run-4", "consistency", 1.0, 0.001);
    // In proportion: 18 g · 0.2/5.58 at 50 mm.
    bench.near("balance-run-5", "residual", 18.0 * 0.2 / 5.58 * 50.0, 0.5);
}

/// 5.6 at first and 5.0, 3.2, 8.0 with 10 g cannot be together: consistency 2.18.
#[test]
fn amplitudes_that_contradict_each_other_give_no_correction() {
    let mut bench = Bench::at(&without_phase());
    bench.work(&[
        ("balance-run-1/reading", "5.6 mm/s"),
        ("balance-trial-1/trial-mass", "10 g"),
        ("balance-run-2/reading", "5.0 mm/s"),
        ("balance-run-3/reading", "3.2 mm/s"),
        ("balance-run-4/reading", "stop"),
    ]);
    let said = bench.enter("balance-run-4", "reading", "8.0 mm/s").message;
    assert!(said.contains("contradict each other"), "{said}");
    let (verdict, why) = bench.verdict("balance-run-4", "correction");
    assert!(verdict == Verdict::Undecided && why.contains("take all runs again"), "{why}");
    assert!(bench.value("balance-run-4", "correction").is_empty());
    let why = bench.try_enter("balance-washers", "lines", "yes").unwrap_err().to_string();
    assert!(why.contains("comes after"), "{why}");
    assert!(bench.try_enter("balance-run-4", "reading", "8.0 mm/s").is_err(), "the guard was open since");
}

#[test]
fn a_trial_weight_that_tells_nothing_is_said_and_one_that_doubles_the_vibration_stops() {
    let run = |with: &str| {
        let mut bench = Bench::at(&module(ONE, &[]));
        bench.work(&[
            ("balance-run-1/reading", "5@0"),
            ("balance-trial-1/trial", "2@0"),
            ("balance-run-2/reading", with),
            ("balance-washers/fitted", "stop"),
            ("guard-guard-balance-3/tools", "stop"),
            ("remove-guard-balance-2/still", "stop"),
        ]);
        bench.verdict("balance-run-2", "response")
    };
    let (verdict, why) = run("5.5@10");
    assert!(verdict == Verdict::Undecided && why.contains("larger trial weight"), "{why}");
    let (verdict, why) = run("11@10");
    assert!(verdict == Verdict::Outside && why.contains("doubled"), "{why}");
}

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
fn drilling_takes_away_what_washers_leave_or_nothing() {
    let both = ONE.replace("[washers]", "[washers, drilling]")
        + "\n  drilling: { diameter: 8 mm, on: 260 mm, deepest: 7 mm, point: 118° }";
    let drilled = |left: &str| {
        let mut bench = Bench::at(&module(&both, &[("balance grade: G 6.3", "balance grade: G 0.4")]));
        bench.work(&[
            ("balance-run-1/reading", "6.2@40"),
            ("balance-trial-1/trial", "12@90"),
            ("balance-run-2/reading", "8.1@115"),
            ("balance-run-3/reading", left),
            ("balance-drilling/drilled", "stop"),
        ]);
        bench.value("balance-drilling", "holes")
    };
    // 3.1 at 40° is 4.2106 g at 50 mm, so 1.6195 g at 130 mm: drilled 8 mm with a point of 118° that is 1.6195/(0.00785·50.265) − 0.801
    // = 3.303 mm, on the heavy side at 332.3°.
    let holes = drilled("3.1@40");
    assert_eq!((holes[0], holes[3]), (1.0, 0.0));
    assert!((holes[1] - 3.3).abs() < 0.051 && (holes[2] - 332.3).abs() < 0.11, "{holes:?}");
    // 6.2 at 40° is 8.4212 g at 50 mm, 3.239 g at 130: one hole of 7 mm takes 3.078, so two, their middles two diameters apart:
    // 16 mm on 130 mm are 7.05°.
    let holes = drilled("6.2@40");
    assert!(holes[0] == 2.0 && (holes[3] - 7.05).abs() < 0.06, "{holes:?}");
    let mut bench = Bench::at(&module(&both, &[("balance grade: G 6.3", "balance grade: G 0.4")]));
    bench.work(&[
        ("balance-run-1/reading", "6.2@40"),
        ("balance-trial-1/trial", "12@90"),
        ("balance-run-2/reading", "8.1@115"),
        ("balance-run-3/reading", "3.1@40"),
        ("balance-drilling/drilled", "stop"),
    ]);
    assert!(bench.enter("balance-drilling", "drilled", "5 mm").doubt.is_some_and(|d| d.contains("3.3 mm deep")));
    // 0.1 is 6.8 g·mm, under the 108 that G 0.4 permits.
    assert_eq!(drilled("0.1@40"), [0.0; 4]);
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

/// Four washers of 1.6, a nut of 6.8 and a pitch of 1.25 stand over the tightened nut at the far end alone (ISO 7089, ISO 4032, ISO 261).
#[test]
fn the_rods_stand_out_where_the_washers_go_and_retaining_nuts_are_looked_after() {
    let demo = read(&embedded("blower").unwrap()).unwrap();
    let plan = plan(&demo);
    let step = |id: &str| plan.steps.iter().find(|s| s.id == id).unwrap_or_else(|| panic!("there is no step {id}"));
    let all = |id: &str| step(id).actions.join(" ");
    let hand = plan.steps.iter().find(|s| s.checks.iter().any(|c| c.id == "out-washers")).unwrap();
    let least = hand.checks.iter().find(|c| c.id == "out-washers").unwrap().lower.clone();
    assert_eq!(least.as_deref(), Some("14.45"));
    assert!(hand.actions.join(" ").contains("13.2 mm further at the far end than at the drive end"));
    // The tightened nut stands under the washers by then: these come off, counted, before a wrench is at it.
    let settled = all("recheck-rods-settled");
    assert!(settled.contains("take the retaining nut and its washers off and count them"), "{settled}");
    assert!(step("recheck-rods-settled").checks.iter().any(|c| c.id == "back"));
    assert!(all("balance-prepare").contains("1 to 5") && all("balance-prepare").contains("retaining nut on every rod"));
    for step in plan.steps.iter().filter(|s| s.operation == "balance") {
        assert!(step.actions.join(" ").contains("clockwise, seen from the drive end"), "{}", step.id);
    }
    assert!(plan.follow_up.iter().any(|f| f.id == "retaining-nuts" && f.step == "recheck-retaining-nuts-visit"));
}

/// A complex number, as plain arithmetic beside the program's.
type Plain = (f64, f64);

fn at(size: f64, degrees: f64) -> Plain {
    (size * degrees.to_radians().cos(), size * degrees.to_radians().sin())
}

fn added(a: Plain, b: Plain, times: f64) -> Plain {
    (a.0 + b.0 * times, a.1 + b.1 * times)
}

fn product(a: Plain, b: Plain) -> Plain {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

/// What a meter shows of a rotor with these washers of 1.8 g on five holes: 6.2 at 40° without any, 8.1 at 115° with 12 g at 90°.
fn shown(washers: &[f64]) -> String {
    let (first, with_trial) = (at(6.2, 40.0), at(8.1, 115.0));
    let change = added(with_trial, first, -1.0);
    // Divided by 12 g at 90°: turned back by it.
    let a_gram = product(change, at(1.0 / 12.0, -90.0));
    let on = (0..5).zip(washers).fold((0.0, 0.0), |sum, (k, n)| added(sum, at(1.8, 72.0 * f64::from(k)), *n));
    let now = added(first, product(a_gram, on), 1.0);
    format!("{:.4}@{:.3}", now.0.hypot(now.1), now.1.atan2(now.0).to_degrees().rem_euclid(360.0))
}

/// A bench whose fitter put these on; the third run is the next entry.
fn corrected(fitted: &[f64]) -> Bench {
    let mut bench = Bench::at(&module(ONE, &[("balance grade: G 6.3", "balance grade: G 1")]));
    let fitted = fitted.iter().map(f64::to_string).collect::<Vec<_>>().join("|");
    bench.work(&[
        ("balance-prepare/washer", "1.8 g"),
        ("balance-run-1/reading", "6.2@40"),
        ("balance-trial-1/trial", "12@90"),
        ("balance-run-2/reading", "8.1@115"),
        ("balance-washers/fitted", &fitted),
        ("balance-run-3/reading", "stop"),
    ]);
    bench
}

/// Too few washers, the count of those to add, the guard closed anew, the run once more: as often as it takes, each time as predicted.
#[test]
fn washers_are_added_by_their_count_until_what_is_left_is_permitted() {
    let mut on = vec![0.0, 0.0, 1.0, 0.0, 0.0];
    let mut bench = corrected(&on);
    let said = bench.enter("balance-run-3", "reading", &shown(&on));
    assert!(said.doubt.is_none(), "{:?}", said.doubt);
    assert_eq!(bench.verdict("balance-run-3", "residual").0, Verdict::Outside);
    let (verdict, why) = bench.verdict("balance-run-3", "against");
    assert!(verdict == Verdict::NotJudged && why.starts_with("as predicted"), "{why}");
    let more = bench.value("balance-run-3", "more-washers");
    assert!(more.iter().sum::<f64>() >= 1.0, "{more:?}");
    on.iter_mut().zip(&more).for_each(|(on, more)| *on += more);
    let correction = |step: &str, check: &str, values: Vec<String>| Entry {
        step: step.into(),
        check: check.into(),
        values,
        by: "ak".into(),
        correct: Some("more washers".into()),
        ..Entry::default()
    };
    let all = on.iter().map(f64::to_string).collect();
    bench.session.enter(&correction("balance-washers", "fitted", all)).unwrap();
    for check in ["tools", "closed"] {
        bench.session.enter(&correction("guard-guard-balance-3", check, vec!["yes".into()])).unwrap();
    }
    bench.release("guard-guard-balance-3");
    let said = bench.enter("balance-run-3", "reading", &shown(&on));
    assert!(said.doubt.is_none(), "{:?}", said.doubt);
    assert_eq!(bench.verdict("balance-run-3", "residual").0, Verdict::Within);
    assert_eq!(bench.value("balance-run-3", "more-washers"), [0.0; 5]);
    // By hand: what is left of 8.4212 g at 152.324° after the washers that are on, at 50 mm.
    let left = (0..5).zip(&on).fold(at(8.4212, 152.324), |sum, (k, n)| added(sum, at(1.8, 72.0 * f64::from(k)), -n));
    bench.near("balance-run-3", "residual", left.0.hypot(left.1) * 50.0, 1.0);
}

/// The washers were entered as counted and stand one hole on, or were never put on: said with the value, which is kept.
#[test]
fn what_was_found_is_held_against_what_was_predicted() {
    let told = |stand: &[f64]| {
        let mut bench = corrected(&[0.0, 0.0, 3.0, 1.0, 0.0]);
        bench.enter("balance-run-3", "reading", &shown(stand)).doubt
    };
    assert_eq!(told(&[0.0, 0.0, 3.0, 1.0, 0.0]), None);
    assert!(told(&[0.0, 0.0, 0.0, 3.0, 1.0]).is_some_and(|d| d.contains("1 hole further on than entered")));
    assert!(told(&[0.0, 3.0, 1.0, 0.0, 0.0]).is_some_and(|d| d.contains("1 hole further back than entered")));
    assert!(told(&[0.0; 5]).is_some_and(|d| d.contains("washers that are not on")));
    let mut bench = corrected(&[0.0, 0.0, 3.0, 1.0, 0.0]);
    let doubt = bench.enter("balance-run-3", "reading", "20@200").doubt;
    assert!(doubt.is_some_and(|d| d.contains("loose parts")));
    let kept = bench.session.record().reading("balance-run-3", "reading").unwrap();
    assert!(kept.reading.doubt.is_some(), "it is kept with its doubt");
    assert_eq!(bench.verdict("balance-run-3", "against").0, Verdict::NotJudged, "a comparison asks for no decision");
}

/// A screw, or here a nut, holds `m·r·ω²`: four washers of 1.829 g (ISO 7089) and a nut of 5.129 g at 50 mm.
#[test]
fn the_force_on_the_nut_of_a_trial_weight_is_that_of_weight_and_nut() {
    let module = module(ONE, &[]);
    let setup = Setup::choose(&module, &BTreeMap::new()).unwrap();
    let f = runtrue::procedure::Figures::of(&module, &setup).unwrap();
    let step = plan(&module).steps.into_iter().find(|s| s.id == "balance-trial-1").unwrap();
    let omega = f.speed.rpm() * std::f64::consts::PI / 30.0;
    let force = |grams: f64| grams / 1000.0 * 0.050 * omega * omega;
    // A tenth of 27 kg would be 32 washers: the four that a rod carries go on.
    assert!(step.actions.iter().any(|a| a.contains("Take 4 washers, 7.3 g")), "{:?}", step.actions);
    let told = format!("its force at {:.0} rpm is {:.1} N", f.speed.rpm(), force(4.0 * 1.829));
    assert!(step.actions.iter().any(|a| a.contains(&told)), "{told}: {:?}", step.actions);
    let pull = format!("pull with {:.1} N", force(4.0 * 1.829 + 5.129));
    assert!(step.cautions.iter().any(|c| c.text.contains(&pull)), "{pull}: {:?}", step.cautions);
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
