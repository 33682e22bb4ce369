//! What the words of the steps say to a fitter, held against the demos.

use std::collections::{BTreeMap, BTreeSet};

use crate::module::{Module, Setup, demo_with, embedded, embedded_names, read};

use super::make_plan;
use super::plan::{Plan, Step};

fn demo(name: &str) -> Module {
    read(&embedded(name).unwrap()).unwrap()
}

fn first(module: &Module) -> Plan {
    let setup = Setup::choose(module, &BTreeMap::new()).unwrap();
    make_plan(module, &setup).unwrap_or_else(|e| panic!("{e}"))
}

fn step<'a>(plan: &'a Plan, id: &str) -> &'a Step {
    plan.steps.iter().find(|s| s.id == id).unwrap_or_else(|| panic!("no {id}"))
}

fn told(step: &Step) -> String {
    let prompts = step.checks.iter().map(|c| c.prompt.as_str());
    let cautions = step.cautions.iter().map(|c| c.text.as_str());
    let actions = step.actions.iter().map(String::as_str);
    std::iter::once(step.title.as_str()).chain(actions).chain(cautions).chain(prompts).collect::<Vec<_>>().join(" ")
}

#[test]
fn numbers_of_discs_places_and_steps_are_not_mixed() {
    let plan = first(&demo("flywheel"));
    let inspect = step(&plan, "inspect-disc-1");
    assert_eq!(inspect.number, 2, "the step of disc 1 has another number than the disc");
    assert!(inspect.actions[0].contains("\"disc 1\"") && inspect.actions[0].contains("not of this step"));
    assert!(told(step(&plan, "mark-discs")).contains("\"place 1\" to \"place 5\""));
    for k in 1..=5 {
        let fit = step(&plan, &format!("fit-disc-{k}"));
        assert!(fit.title.contains(&format!("at place {k}")), "{}", fit.title);
        assert!(fit.checks.iter().any(|c| c.id == "number" && c.prompt.contains(&format!("at place {k}"))));
    }
}

#[test]
fn marks_outlast_the_degreaser() {
    for name in ["flywheel", "testwheel"] {
        let plan = first(&demo(name));
        assert!(told(step(&plan, "inspect-disc-1")).contains("tag \"disc 1\" through hole 1"));
        let clean = step(&plan, "clean-discs");
        assert!(clean.checks.iter().any(|c| c.id == "marks") && told(clean).contains("painted anew"), "{name}");
        assert!(told(step(&plan, "fit-disc-1")).contains("Take the tag off"));
        for other in ["clean-collars", "clean-shaft"] {
            assert!(!told(step(&plan, other)).contains("tag"), "only discs are marked");
        }
    }
    let plan = first(&demo("testwheel"));
    let index = step(&plan, "balance-index");
    assert!(
        index.after.contains(&"clean-discs".to_owned()),
        "the index is painted on what is clean: {:?}",
        index.after
    );
}

#[test]
fn threads_are_brought_to_the_state_that_the_friction_counts_on() {
    let plan = first(&demo("flywheel"));
    for id in ["fit-rods", "tighten-hold-downs-hand", "tighten-lock-hand", "tighten-pinch-collar-far-snug"] {
        let step = step(&plan, id);
        let words = told(step);
        assert!(words.contains("clean oil on every thread") && words.contains("stay dry"), "{id}: {words}");
        assert!(words.contains("friction 0.12 to 0.16") && step.tools.contains(&"Clean oil".to_owned()), "{id}");
    }
    assert!(!told(step(&plan, "tighten-pinch-collar-far-final")).contains("clean oil"), "once, before it is tight");
    assert!(step(&plan, "fit-rods").actions[0].contains("dry through"), "what passes between the faces is dry");
    assert!(told(step(&plan, "secure-pinch-collar-far")).contains("locker does not bond on oil"));
    let dry = demo_with("flywheel", &[("friction: 0.12 to 0.16\n  use: 60", "friction: 0.24 to 0.30\n  use: 60")]);
    let plan = first(&dry);
    let rods = step(&plan, "fit-rods");
    assert!(told(rods).contains("Keep threads") && !rods.tools.contains(&"Clean oil".to_owned()), "{:?}", rods.actions);
    assert!(told(step(&plan, "tighten-rods-final")).contains("threads dry, 0.24 to 0.30"));
}

/// By hand, flywheel of 5 discs: stack 78.8 to 81.2 mm; washer 1.6 and nut 6.8 mm at both ends; second nut 6.8 mm and a pitch of 1.25 mm
/// at least; the longest rod received is 116.7 mm, which leaves (116.7 − 78.8 − 16.8) / 2, and a pitch.
#[test]
fn thread_out_of_the_nuts_has_a_least_and_a_most() {
    let plan = first(&demo("flywheel"));
    let out = step(&plan, "tighten-rods-hand").checks.iter().find(|c| c.id == "out").unwrap();
    let value = |t: &Option<String>| t.as_ref().unwrap().parse::<f64>().unwrap();
    assert!((value(&out.lower) - 8.05).abs() < 1e-9, "{:?}", out.lower);
    assert!((value(&out.upper) - 11.8).abs() < 1e-9, "{:?}", out.upper);
    assert!(out.basis.contains("second nut") && out.basis.contains("longest rod"), "{}", out.basis);
    for name in embedded_names() {
        let module = demo(&name);
        for setup in Setup::all(&module) {
            let plan = make_plan(&module, &setup).unwrap();
            let limits = plan.steps.iter().flat_map(|s| &s.checks).filter(|c| c.id.starts_with("out"));
            for check in limits {
                assert!(value(&check.lower) < value(&check.upper), "{name} {}: {check:?}", setup.words());
            }
        }
    }
}

#[test]
fn a_bearing_that_closes_a_belt_in_asks_for_the_belt_and_no_other_does() {
    for name in embedded_names() {
        let plan = first(&demo(&name));
        let hung: Vec<&Step> = plan.steps.iter().filter(|s| s.operation == "hang").collect();
        let asks: Vec<&Step> =
            plan.steps.iter().filter(|s| s.operation == "fit" && s.checks.iter().any(|c| c.id == "belt")).collect();
        assert_eq!(asks.is_empty(), hung.is_empty(), "{name}");
        for belt in hung.iter().flat_map(|s| &s.parts) {
            assert!(asks.iter().any(|s| told(s).contains(belt.as_str())), "{name}: {belt}");
        }
        for step in plan.steps.iter().filter(|s| s.id.starts_with("fit-bearing")) {
            assert!(step.checks.iter().any(|c| c.id == "belt") || !told(step).contains("hang"), "{}", step.id);
        }
    }
}

#[test]
fn a_collar_is_asked_for_what_it_can_do_when_the_rods_hold_it() {
    let plan = first(&demo("flywheel"));
    let (fit, look) = (step(&plan, "fit-collar-far"), step(&plan, "measure-seating"));
    assert!(told(fit).contains("slides and turns") && told(fit).contains("can turn no more"));
    assert!(told(look).contains("pinch bolts of collar-far are still loose") && told(look).contains("both collars"));
    assert!(!told(look).to_lowercase().contains("slide"), "rods go through it: it neither slides nor turns");
    assert!(told(step(&plan, "tighten-pinch-collar-far-snug")).contains("from here it is closed"));
    assert!(!told(step(&plan, "tighten-pinch-collar-drive-snug")).contains("from here it is closed"));
    let plan = first(&demo("testwheel"));
    let (fit, look) = (step(&plan, "fit-collar-far"), step(&plan, "measure-seating"));
    assert!(told(fit).contains("dowel pins") && !told(fit).contains("against its neighbour"));
    assert!(told(look).contains("both end plates"), "the collar stands off its plate by then");
    assert!(told(step(&plan, "fit-rods")).contains("end plates and discs"));
}

#[test]
fn what_is_said_of_a_cut_edge_is_said_of_that_edge_only() {
    let cut = ["inspect-disc-1", "deburr-disc-1", "ream-disc-1"];
    let plan = first(&demo("flywheel"));
    for id in cut {
        let words = told(step(&plan, id));
        assert!(!["dross", "apered", "laser", "skin"].iter().any(|w| words.contains(w)), "{id}: {words}");
    }
    assert!(told(step(&plan, "ream-disc-1")).contains("not bored as the spec says"));
    for edge in ["laser", "plasma"] {
        let plan = first(&demo_with("flywheel", &[("edge: bored", &format!("edge: {edge}"))]));
        for id in cut {
            assert!(told(step(&plan, id)).contains(edge), "{id}: {edge}");
        }
    }
}

#[test]
fn balancing_says_what_is_taken_first_and_why() {
    let plan = first(&demo("blower"));
    let words = told(step(&plan, "balance-prepare"));
    assert!(words.contains("In this order: the index of the discs, then washers"), "{words}");
    assert!(words.contains("turning discs adds no mass"), "{words}");
}

/// Each head stands once, so that a step is named once with all its reasons; each tool too.
#[test]
fn reasons_of_one_step_stand_together_and_no_tool_twice() {
    for name in embedded_names() {
        let plan = first(&demo(&name));
        for step in &plan.steps {
            let heads: Vec<&str> =
                step.why_now.iter().filter_map(|w| w.split_once(": ")).map(|(head, _)| head).collect();
            let once: BTreeSet<&&str> = heads.iter().collect();
            assert_eq!(once.len(), heads.len(), "{name} {}: {:?}", step.id, step.why_now);
            let tools: BTreeSet<&String> = step.tools.iter().collect();
            assert_eq!(tools.len(), step.tools.len(), "{name} {}: {:?}", step.id, step.tools);
            assert!(step.actions.iter().all(|a| !a.trim().is_empty()), "{name} {}", step.id);
        }
    }
}

#[test]
fn what_moved_is_asked_for_by_number_wherever_a_wrench_goes_round() {
    let plan = first(&demo("flywheel"));
    let rounds: Vec<&Step> = plan.steps.iter().filter(|s| s.checks.iter().any(|c| c.id == "moved")).collect();
    assert!(rounds.len() > 5);
    for step in rounds {
        let asked = &step.checks.iter().find(|c| c.id == "moved").unwrap().prompt;
        assert!(asked.contains("Their numbers, a space between; 0 for none"), "{}: {asked}", step.id);
        assert!(
            !told(step).to_lowercase().contains("how many") && !asked.to_lowercase().contains("how many"),
            "{}",
            step.id
        );
    }
}
