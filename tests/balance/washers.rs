//! Washers added by their count, what was found held against what was predicted, and the forces on what is added.

use super::*;

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
