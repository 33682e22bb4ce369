use std::collections::{BTreeMap, HashMap};

use crate::module::{Module, Setup, Source, demo_with, embedded, read};

use super::plan::{CheckKind, Plan};
use super::{Figures, make_plan};

fn demo() -> Module {
    read(&embedded("flywheel").unwrap()).unwrap()
}

fn with(from: &str, to: &str) -> Module {
    demo_with("flywheel", &[(from, to)])
}

fn first(module: &Module) -> Plan {
    let setup = Setup::choose(module, &BTreeMap::new()).unwrap();
    make_plan(module, &setup).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn every_setup_of_the_demo_has_a_plan() {
    let module = demo();
    for setup in Setup::all(&module) {
        let plan = make_plan(&module, &setup).unwrap_or_else(|e| panic!("{}: {e}", setup.words()));
        assert!(plan.steps.len() > 60, "{}", plan.steps.len());
    }
}

#[test]
fn every_after_comes_before_and_ids_are_unique() {
    let plan = first(&demo());
    let mut seen: HashMap<&str, u32> = HashMap::new();
    for step in &plan.steps {
        assert!(!step.checks.is_empty(), "{} asks nothing", step.id);
        for before in &step.after {
            assert!(seen.contains_key(before.as_str()), "{} comes before {before}", step.id);
        }
        assert_eq!(step.after.is_empty(), step.why_now.iter().all(|w| w.starts_with("Before")), "{}", step.id);
        assert!(seen.insert(&step.id, step.number).is_none(), "{} twice", step.id);
        let mut ids: Vec<&str> = step.checks.iter().map(|c| c.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), step.checks.len(), "{}", step.id);
    }
}

/// A helper is told which joint is loose by what it is called, not by its id.
#[test]
fn every_joint_has_one_name_that_its_titles_hold() {
    let plan = first(&demo());
    let mut names: HashMap<&str, &str> = HashMap::new();
    for step in plan.steps.iter().filter(|s| s.group.is_some()) {
        let (group, name) = (step.group.as_deref().unwrap(), step.joint.as_deref().unwrap());
        assert_eq!(*names.entry(group).or_insert(name), name, "{}", step.id);
        assert!(step.title.contains(name) || step.title.starts_with("Turn the nuts on by hand"), "{}", step.title);
    }
    assert_eq!((names["rods"], names["hub"]), ("rod nuts", "set screws of the pulley hub"));
    assert!(plan.steps.iter().all(|s| s.group.is_some() == s.joint.is_some()));
}

#[test]
fn the_same_spec_gives_the_same_plan() {
    let (a, b) = (first(&demo()), first(&demo()));
    assert_eq!(serde_json::to_string(&a).unwrap(), serde_json::to_string(&b).unwrap());
}

#[test]
fn every_limit_has_a_basis_and_every_kind_of_check_occurs() {
    let plan = first(&demo());
    let checks: Vec<_> = plan.steps.iter().flat_map(|s| &s.checks).collect();
    assert!(checks.iter().all(|c| !c.basis.is_empty() && !c.prompt.is_empty()));
    use CheckKind as K;
    for kind in [K::Measure, K::Series, K::Gauge, K::Torque, K::Confirm, K::Count, K::Text, K::Wait, K::Derived] {
        assert!(checks.iter().any(|c| c.kind == kind), "{kind:?}");
    }
    for step in &plan.steps {
        for text in step.actions.iter().chain(&step.why_now).chain([&step.title]) {
            assert!(!text.contains(['{', '}']), "{}: {text}", step.id);
        }
    }
}

#[test]
fn a_derived_value_rests_on_a_check_of_an_earlier_or_the_same_step() {
    let plan = first(&demo());
    for (k, step) in plan.steps.iter().enumerate() {
        for (at, derive) in step.checks.iter().enumerate().filter_map(|(at, c)| Some((at, c.derive.as_ref()?))) {
            for of in derive.rests_on() {
                let (id, check) = of.split_once('/').unwrap();
                let source = plan.steps[..=k].iter().find(|s| s.id == id);
                let place = source.and_then(|s| s.checks.iter().position(|c| c.id == check));
                assert!(place.is_some_and(|p| id != step.id || p < at), "{of}");
            }
        }
    }
}

fn limits_of(plan: &Plan, step: &str, check: &str) -> String {
    let step = plan.steps.iter().find(|s| s.id == step).unwrap_or_else(|| panic!("no step {step}"));
    let check = step.checks.iter().find(|c| c.id == check).unwrap_or_else(|| panic!("no check {check}"));
    format!("{:?} {:?} {:?} {:?}", check.lower, check.nominal, check.upper, step.torque_nm)
}

/// A changed field changes the steps and limits that rest on it: field, where it must show.
#[test]
fn a_changed_field_changes_what_rests_on_it() {
    let base = first(&demo());
    let rows = [
        ("diameter: 25 mm h6", "diameter: 25 mm h7", "inspect-shaft", "diameter"),
        ("run-out: at most 0.05 mm", "run-out: at most 0.04 mm", "measure-rotor", "run-out"),
        ("thickness: 8 mm ±0.2", "thickness: 8 mm ±0.1", "measure-stack", "length"),
        ("width: 20 mm ±0.1", "width: 22 mm ±0.1", "measure-stack", "length"),
        ("size: 24.6 mm ±0.05", "size: 24.6 mm ±0.04", "inspect-disc-1", "bore"),
        ("finish: ream 25 mm H7", "finish: ream 25 mm H8", "ream-disc-2", "bore"),
        ("flatness: at most 0.4 mm", "flatness: at most 0.3 mm", "inspect-disc-3", "flatness"),
        ("face at: 210 mm", "face at: 220 mm", "fit-collar-drive", "face"),
        ("use: 60 % of proof\n  passes", "use: 50 % of proof\n  passes", "tighten-rods-final", "torque"),
        ("friction: 0.12 to 0.16\n  use: 60", "friction: 0.10 to 0.16\n  use: 60", "tighten-rods-pass-1", "torque"),
        ("use: 70 % of proof", "use: 65 % of proof", "tighten-pinch-collar-far-final", "torque"),
        ("torque: 4.8 N·m", "torque: 4.6 N·m", "tighten-set-bearing-far-final", "torque"),
        ("length: 1600 mm ", "length: 1610 mm ", "tension-belt-final", "span"),
        ("slow: 140 mm", "slow: 138 mm", "tension-belt-final", "span"),
        ("new: 55 N per rib", "new: 50 N per rib", "measure-belt", "force"),
        ("used: 44 N per rib", "used: 42 N per rib", "measure-belt-after-run", "force"),
        ("speed: 60 rpm", "speed: 66 rpm", "spin-first", "speed"),
        ("torque: 15 N·m ", "torque: 14 N·m ", "prove-slip", "torque"),
        ("slip safety: 1.5", "slip safety: 1.4", "prove-slip", "torque"),
        ("clearance: at least 10 mm", "clearance: at least 12 mm", "guard-guard", "gap"),
        ("travel: 90 mm", "travel: 95 mm", "fit-sled", "travel"),
        ("10 °C to 35 °C", "12 °C to 35 °C", "inspect-instruments", "room"),
        ("effective: 250 mm", "effective: 230 mm", "prove-ratio", "turns"),
        ("5: 116 mm", "5: 120 mm", "receive-rods", "length"),
        ("at: 50 mm", "at: 60 mm", "adjust-axial", "place"),
    ];
    for (from, to, step, check) in rows {
        let changed = first(&with(from, to));
        assert_ne!(limits_of(&base, step, check), limits_of(&changed, step, check), "{from} -> {to}");
    }
}

/// The same of the section `balance`, where much of what rests on a field is words and what is computed from readings.
#[test]
fn a_changed_field_of_balance_changes_what_rests_on_it() {
    let drill = "drilling: { diameter: 8 mm, on: 260 mm, deepest: 7 mm, point: 118° }";
    let washers = "washers: { size: M8, most: 4 }";
    let both = format!("{washers}\n  {drill}");
    let balanced = |from: &'static str, to: &'static str| {
        demo_with("blower", &[("[washers]", "[washers, drilling]"), (washers, &both), (from, to)])
    };
    let said = |module: &Module, step: &str, check: &str| {
        let plan = first(module);
        let step = plan.steps.iter().find(|s| s.id == step).unwrap_or_else(|| panic!("no step {step}"));
        let check = step.checks.iter().find(|c| c.id == check).unwrap_or_else(|| panic!("no check {check}"));
        format!("{:?} {:?} {:?} {check:?}", step.title, step.actions, step.tools)
    };
    let rows = [
        ("balance grade: G 6.3", "balance grade: G 2.5", "balance-residual", "residual"),
        ("most: 4", "most: 3", "balance-washers", "counts"),
        ("diameter: 8 mm, on", "diameter: 10 mm, on", "balance-drilling", "holes"),
        ("on: 260 mm", "on: 250 mm", "balance-drilling", "holes"),
        ("deepest: 7 mm", "deepest: 6 mm", "balance-drilling", "drilled"),
        ("point: 118°", "point: 120°", "balance-drilling", "holes"),
    ];
    let base = balanced("G 6.3", "G 6.3");
    for (from, to, step, check) in rows {
        assert_ne!(said(&base, step, check), said(&balanced(from, to), step, check), "{from} -> {to}");
    }
    assert_ne!(
        limits_of(&first(&base), "balance-drilling", "drilled"),
        limits_of(&first(&balanced("deepest: 7 mm", "deepest: 6 mm")), "balance-drilling", "drilled")
    );
}

#[test]
fn a_key_carries_in_place_of_the_set_screws_and_is_fitted_with_the_pulley() {
    let keyed = with("hub length: 60 mm\n", "hub length: 60 mm\n  key: 32 mm\n");
    let setup = Setup::choose(&keyed, &BTreeMap::new()).unwrap();
    let hub = |m: &Module| {
        Figures::of(m, &setup).unwrap().joints.into_iter().find(|j| j.name.contains("hub")).unwrap().holds.nm()
    };
    // By hand: 0.9 x 225 MPa (S235 over 16 mm) on (7 - 4) x (32 - 8) mm, 12.5 mm from the axis.
    assert!((hub(&keyed) - 0.9 * 225.0 * 3.0 * 24.0 * 0.0125).abs() < 0.01, "{}", hub(&keyed));
    assert!(hub(&keyed) > 1.5 * hub(&demo()), "{}", hub(&demo()));
    let fit = first(&keyed).steps.into_iter().find(|s| s.id == "fit-pulley").unwrap();
    assert!(fit.actions[0].contains("8 x 7 x 32") && fit.actions[0].contains("3 mm out"), "{:?}", fit.actions);
    assert!(fit.checks.iter().any(|c| c.id == "key" && c.basis.contains("DIN 6885-1")));
    let short = with("hub length: 60 mm\n", "hub length: 60 mm\n  key: 10 mm\n");
    assert!(Figures::of(&short, &setup).unwrap_err().to_string().contains("18 to 90 mm"));
}

/// Rods through the collars, six holes, no end plates: heavy sides fit in there as well, in every number of discs.
#[test]
fn heavy_sides_are_looked_for_where_the_spec_says_so_and_nowhere_else() {
    let way = "heavy side: { on: rollers, mandrel: 25 mm h6, mandrel mass: 1 kg, arm: 0.02 mm, radius: 170 mm }";
    let module = with("flatness: at most 0.4 mm", &format!("flatness: at most 0.4 mm\n  {way}"));
    for setup in Setup::all(&module).into_iter().filter(|s| s.words().contains("slow")) {
        let plan = make_plan(&module, &setup).unwrap_or_else(|e| panic!("{}: {e}", setup.words()));
        let at = |id: &str| plan.steps.iter().position(|s| s.id == id).unwrap_or_else(|| panic!("no {id}"));
        for k in 1..=setup.discs {
            let disc = format!("balance-disc-{k}");
            assert!(at(&format!("ream-disc-{k}")) < at(&disc) && at(&disc) < at("balance-index"), "{k}");
            let rolled = &plan.steps[at(&disc)];
            assert!(
                rolled.tools.iter().any(|t| t.starts_with("Balancing rollers"))
                    && rolled.actions[0].contains("free rollers")
            );
            let fit = &plan.steps[at(&format!("fit-disc-{k}"))];
            let number = fit.checks.iter().find(|c| c.id == "number").unwrap();
            let own = k.to_string();
            assert!(
                number.lower.as_ref() == Some(&own) && number.upper.as_ref() == Some(&own),
                "the index is that of its place"
            );
        }
        assert!(at("balance-index") < at("fit-disc-1") && at("align-index") < at("fit-rods"));
        let holes = plan.steps[at("align-index")].checks.iter().find(|c| c.id == "holes").unwrap();
        assert_eq!((holes.count, holes.upper.as_deref()), (Some(setup.discs), Some("6")));
    }
    assert!(first(&demo()).steps.iter().all(|s| s.operation != "balance" && s.id != "align-index"));
}

#[test]
fn another_rod_count_changes_sequence_counts_and_words() {
    let text = embedded("flywheel").unwrap().text.replacen("holes: { count: 6", "holes: { count: 8", 1);
    let text = text.replacen("join: through the collars\n  count: 6", "join: through the collars\n  count: 8", 1);
    let plan = first(&read(&Source { name: "x".into(), text }).unwrap());
    let pass = plan.steps.iter().find(|s| s.id == "tighten-rods-pass-1").unwrap();
    assert_eq!(pass.sequence.as_deref(), Some(&[1, 5, 3, 7, 2, 6, 4, 8][..]));
    assert!(limits_of(&plan, "receive-rods", "count").contains("\"8\""));
}

#[test]
fn a_laser_edge_leaves_no_stock_that_can_be_reamed_by_hand() {
    let plan = first(&with("edge: bored", "edge: laser"));
    let ream = plan.steps.iter().find(|s| s.id == "ream-disc-1").unwrap();
    let stock = &ream.checks[0];
    let value = |t: &Option<String>| t.as_ref().unwrap().parse::<f64>().unwrap();
    assert!(value(&stock.lower) > value(&stock.upper), "no reading can be within");
}

#[test]
fn the_check_says_whether_a_bore_as_it_comes_must_be_reamed() {
    let text = embedded("flywheel").unwrap().text;
    let text = text.replacen("[1, 2, 3, 4, 5]", "[5]", 1).replacen("[slow, middle, fast]", "[slow]", 1);
    let note = |bore: &str| {
        let text = text.replacen("size: 24.6 mm ±0.05", &format!("size: {bore}"), 1);
        let module = read(&Source { name: "x".into(), text }).unwrap();
        let check = crate::procedure::design_check::check(&module);
        check.findings.into_iter().find(|f| f.id == "reaming-needed").unwrap().text
    };
    assert!(note("24.6 mm ±0.05").contains("does not go on"));
    assert!(note("25.1 mm ±0.05").contains("balance does not ask"), "{}", note("25.1 mm ±0.05"));
    assert!(note("29 mm ±0.05").contains("may be looser"));
}

#[test]
fn a_loose_seat_and_a_set_screw_beyond_what_is_published_are_told() {
    // One setup is enough, and the critical speeds of fifteen take a while.
    let one = |text: &str| text.replacen("[1, 2, 3, 4, 5]", "[5]", 1).replacen("[slow, middle, fast]", "[slow]", 1);
    let found = |from: &str, to: &str| {
        let text = one(&embedded("flywheel").unwrap().text);
        assert!(text.contains(from), "{from}");
        let module = read(&Source { name: "x".into(), text: text.replacen(from, to, 1) }).unwrap();
        let check = crate::procedure::design_check::check(&module);
        check.findings.into_iter().map(|f| f.id).collect::<Vec<_>>()
    };
    let same = found("revision: A", "revision: A");
    assert!(!same.iter().any(|id| id == "bearing-seat" || id == "ring-screws"), "{same:?}");
    assert!(found("diameter: 25 mm h6", "diameter: 25 mm h11").contains(&"bearing-seat".into()));
    for torque in ["3 N·m", "12 N·m"] {
        assert!(found("torque: 4.8 N·m", &format!("torque: {torque}")).contains(&"ring-screws".into()), "{torque}");
    }
}

#[test]
fn the_sliding_collar_closes_where_the_score_is_best_and_the_step_says_the_figures() {
    let plan = first(&demo());
    let at = |id: &str| plan.steps.iter().position(|s| s.id == id).unwrap_or_else(|| panic!("no {id}"));
    assert!(at("tighten-rods-pass-1") < at("tighten-pinch-collar-far-final"));
    assert!(at("tighten-pinch-collar-far-final") < at("tighten-rods-pass-2"));
    let told: Vec<&String> = plan.steps.iter().flat_map(|s| &s.why_now).filter(|w| w.contains("slip safety")).collect();
    assert!(told.iter().any(|w| w.contains("30 %") && w.contains("100 %")), "{told:?}");
}

#[test]
fn figures_do_not_depend_on_the_order_they_are_asked_in() {
    let module = demo();
    let setups = Setup::all(&module);
    let of = |setup: &Setup| {
        let figures = Figures::of(&module, setup).unwrap();
        (figures.mass, figures.joints)
    };
    let forward: Vec<_> = setups.iter().map(of).collect();
    let mut back: Vec<_> = setups.iter().rev().map(of).collect();
    back.reverse();
    assert_eq!(forward, back);
    assert!(forward.len() > 1 && forward.iter().any(|f| *f != forward[0]), "setups differ");
}

#[test]
fn a_check_marked_critical_in_the_spec_is_so_in_the_plan_and_a_wrong_name_is_refused() {
    let plan = first(&demo());
    let critical = |plan: &Plan| -> Vec<String> {
        let checks = plan.steps.iter().flat_map(|s| s.checks.iter().map(move |c| (s, c)));
        checks.filter(|(_, c)| c.critical).map(|(s, c)| format!("{}/{}", s.id, c.id)).collect()
    };
    assert_eq!(critical(&plan), ["fit-collar-drive/face"]);
    let plan = first(&with("[fit/face]", "[ream/bore]"));
    assert_eq!(critical(&plan).len(), 5, "of every disc");
    for wrong in ["ream/bor", "fit/moves"] {
        let module = with("[fit/face]", &format!("[{wrong}]"));
        let setup = Setup::choose(&module, &BTreeMap::new()).unwrap();
        let error = make_plan(&module, &setup).unwrap_err().to_string();
        assert!(error.contains(wrong) && error.contains("spec, line"), "{error}");
    }
    let text = embedded("flywheel").unwrap().text.replace("[fit/face]", "[face]");
    let refused = read(&Source { name: "x".into(), text }).unwrap_err().report();
    assert!(refused.contains("names no check"), "{refused}");
}
