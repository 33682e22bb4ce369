//! Steps that put a part in place, begun and not finished when a change begins: the part may be on.

use std::collections::BTreeSet;

use runtrue::procedure::change::{Built, Change, Round, change};
use runtrue::procedure::plan::Step;
use runtrue::procedure::{Words, make_plan};

use super::{before, demo, setup, steps};

/// Rounds of work in five discs and the slow step: what each did, by the first step that it did not finish, and whether that one
/// is begun. The first is the build; each other one is the way that the one before led to.
struct Told {
    rounds: Vec<(Vec<Step>, Vec<Step>)>,
}

impl Told {
    /// The build up to a step that is begun.
    fn up_to(step: &str) -> Self {
        let module = demo();
        let plan = make_plan(&module, &setup(&module, "5", "slow")).unwrap();
        Self { rounds: vec![cut(&plan.steps, step, true)] }
    }

    /// The way from there.
    fn way(&self, discs: &str, failed: &[&str]) -> Change {
        let module = demo();
        let (from, to) = (setup(&module, "5", "slow"), setup(&module, discs, "slow"));
        let none = BTreeSet::new();
        let round = |(done, begun)| Round { module: &module, setup: &from, done, begun, failed: &none, visit: None };
        let rounds: Vec<Round<'_>> = self.rounds.iter().map(|(done, begun)| round((done, begun))).collect();
        let failed = failed.iter().map(|f| (*f).to_owned()).collect();
        change(&Built { rounds: &rounds, failed: &failed }, &module, &to, Words::built_in().unwrap()).unwrap()
    }

    /// And a change after it, done up to a step.
    fn and(mut self, way: &Change, step: &str, begun: bool) -> Self {
        self.rounds.push(cut(&way.plan.steps, step, begun));
        self
    }
}

fn cut(steps: &[Step], step: &str, begun: bool) -> (Vec<Step>, Vec<Step>) {
    let at = steps.iter().position(|s| s.id == step).unwrap_or_else(|| panic!("no {step}"));
    (steps[..at].to_vec(), if begun { vec![steps[at].clone()] } else { Vec::new() })
}

/// Discs that come off.
fn removed(change: &Change) -> Vec<&str> {
    steps(change).into_iter().filter(|id| id.starts_with("remove-disc")).collect()
}

#[test]
fn a_part_that_failed_while_it_was_put_on_comes_off_and_one_in_front_of_it_too() {
    let build = Told::up_to("fit-disc-2");
    assert_eq!(removed(&build.way("5", &["disc-2"])), ["remove-disc-2"]);
    assert_eq!(removed(&build.way("5", &["disc-1"])), ["remove-disc-2", "remove-disc-1"]);
    // What stands in nobody's way stays where it is, and its step is gone on with.
    let other = build.way("5", &["pulley"]);
    assert!(removed(&other).is_empty() && steps(&other).contains(&"fit-disc-2"), "{:?}", steps(&other));
}

#[test]
fn what_the_new_setup_has_no_place_for_comes_off_though_it_was_only_begun() {
    assert_eq!(removed(&Told::up_to("fit-disc-4").way("3", &[])), ["remove-disc-4"]);
}

/// A guard that is on and waits for its release is opened like any other, with everything that is done before hands go in.
#[test]
fn a_guard_that_waits_for_its_release_is_opened_by_a_step_of_its_own() {
    let way = Told::up_to("guard-guard-again").way("5", &["tighten-hub-final"]);
    let order = steps(&way);
    let opened = order.iter().find(|id| id.starts_with("remove-guard")).unwrap_or_else(|| panic!("{order:?}"));
    before(&order, opened, "tighten-hub-final");
    let step = way.plan.steps.iter().find(|s| s.id == *opened).unwrap();
    assert!(step.cautions.iter().any(|c| c.signal.word() == "DANGER"), "{:?}", step.cautions);
}

#[test]
fn what_came_off_or_was_finished_in_a_later_round_is_not_taken_off_twice() {
    let build = Told::up_to("fit-disc-2");
    let way = build.way("5", &["disc-2"]);
    // Off, and the next one not on yet.
    let off = build.and(&way, "fit-disc-2", false);
    assert!(removed(&off.way("5", &["disc-2"])).is_empty());
    // Finished: the disc of the later round comes off, once.
    let build = Told::up_to("fit-disc-2");
    let done = build.and(&way, "fit-disc-3", false);
    assert_eq!(removed(&done.way("5", &["disc-2"])), ["remove-disc-2"]);
    // Whoever answered that it does not come off has it on still.
    let build = Told::up_to("fit-disc-2");
    let stuck = build.and(&way, "remove-disc-2", true);
    assert_eq!(removed(&stuck.way("5", &["disc-2"])), ["remove-disc-2"]);
}
