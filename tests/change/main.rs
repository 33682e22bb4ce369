//! Changeover, service, rework and substitution of a finished build, through the library and the command line.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod begun;
#[path = "../common/mod.rs"]
mod common;
mod recorded;

use common::rehash::rehashed;
use common::{good, json};
use runtrue::module::{Module, Setup, embedded, read};
use runtrue::procedure::change::{Built, Change, Round, change};
use runtrue::procedure::plan::{CheckKind, Step};
use runtrue::procedure::{Words, make_plan};
use runtrue::traveler::{EndedEarly, Entry, Release, Session, Start, StepState, Store};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn demo() -> Module {
    read(&embedded("flywheel").unwrap()).unwrap()
}

fn setup(module: &Module, discs: &str, pulley: &str) -> Setup {
    let values = [("discs".to_owned(), discs.to_owned()), ("pulley".to_owned(), pulley.to_owned())];
    Setup::choose(module, &values.into()).unwrap()
}

fn ids(module: &Module, setup: &Setup) -> BTreeSet<String> {
    make_plan(module, setup).unwrap().steps.into_iter().map(|s| s.id).collect()
}

/// The way from a whole build in one setup to another setup, with what turned out wrong.
fn from_whole(module: &Module, from: &Setup, to: &Setup, failed: &[&str]) -> Change {
    let plan = make_plan(module, from).unwrap();
    let none = BTreeSet::new();
    let round = Round { module, setup: from, done: &plan.steps, begun: &[], failed: &none, visit: None };
    let failed = failed.iter().map(|f| (*f).to_owned()).collect();
    change(&Built { rounds: &[round], failed: &failed }, module, to, Words::built_in().unwrap()).unwrap()
}

fn way(from: (&str, &str), to: (&str, &str), failed: &[&str]) -> Change {
    let module = demo();
    from_whole(&module, &setup(&module, from.0, from.1), &setup(&module, to.0, to.1), failed)
}

fn steps(change: &Change) -> Vec<&str> {
    change.plan.steps.iter().map(|s| s.id.as_str()).collect()
}

fn before(order: &[&str], early: &str, late: &str) {
    let at = |id| order.iter().position(|o| *o == id).unwrap_or_else(|| panic!("no {id} in {order:?}"));
    assert!(at(early) < at(late), "{early} must come before {late}");
}

#[test]
fn to_where_it_is_there_is_no_way_to_go() {
    let change = way(("5", "slow"), ("5", "slow"), &[]);
    assert!(change.plan.steps.is_empty() && change.stale.is_empty() && change.undone.is_empty());
    assert!(change.kept > 200, "{}", change.kept);
}

#[test]
fn another_pulley_step_leaves_the_rotor_alone() {
    let change = way(("5", "slow"), ("5", "fast"), &[]);
    let order = steps(&change);
    assert_eq!(order[0], "remove-guard-for-change");
    before(&order, "remove-belt-in-grooves", "release-hub-to-loose");
    before(&order, "release-hub-to-loose", "adjust-pulley-plane");
    before(&order, "tighten-hub-final", "fit-belt");
    before(&order, "guard-guard", "spin-first");
    for kept in ["tighten-rods-final", "fit-disc-1", "tighten-hold-downs-final", "fit-bearing-far", "ream-disc-1"] {
        assert!(!order.contains(&kept), "{kept} has nothing to do with the pulley");
        assert!(change.standing.contains(kept));
    }
}

/// Discs that stay on the shaft keep their readings and are turned where they hang.
#[test]
fn fewer_discs_are_brought_to_a_new_index_on_the_shaft() {
    let module = read(&embedded("testwheel").unwrap()).unwrap();
    let with = |discs: &str| Setup::choose(&module, &[("discs".to_owned(), discs.to_owned())].into()).unwrap();
    let change = from_whole(&module, &with("3"), &with("2"), &[]);
    let order = steps(&change);
    before(&order, "balance-index", "align-index");
    before(&order, "remove-disc-3", "align-index");
    before(&order, "align-index", "fit-rods");
    for kept in ["balance-disc-1", "balance-disc-2", "fit-disc-1", "fit-disc-2"] {
        assert!(change.standing.contains(kept) && !order.contains(&kept), "{kept}: {order:?}");
    }
    let more = from_whole(&module, &with("2"), &with("3"), &[]);
    let order = steps(&more);
    before(&order, "balance-disc-3", "balance-index");
    before(&order, "fit-disc-3", "align-index");
    assert!(!order.contains(&"balance-disc-1") && !order.contains(&"fit-disc-2"), "{order:?}");
}

#[test]
fn fewer_discs_open_only_the_side_they_come_off() {
    let change = way(("5", "slow"), ("3", "slow"), &[]);
    let order = steps(&change);
    before(&order, "remove-bearing-far", "remove-rods");
    before(&order, "remove-collar-far", "remove-disc-5");
    before(&order, "remove-disc-5", "remove-disc-4");
    before(&order, "remove-disc-4", "fit-collar-far");
    before(&order, "receive-rods", "remove-guard-for-change");
    for kept in
        ["fit-disc-3", "fit-collar-drive", "fit-pulley", "ream-disc-1", "clean-discs", "fit-module", "mark-discs"]
    {
        assert!(!order.contains(&kept), "{kept}: {order:?}");
    }
    assert!(order.contains(&"prove-slip") && order.contains(&"wait-settle"));
}

/// Nothing may be opened out of turn, also by somebody who picks steps from the list: each waits for the one before.
#[test]
fn what_comes_off_comes_off_in_its_turn() {
    let change = way(("5", "slow"), ("3", "slow"), &[]);
    let opens = |s: &&Step| ["remove", "release"].contains(&s.operation.as_str());
    let first = change.plan.steps.iter().position(|s| s.id == "remove-guard-for-change").unwrap();
    let off: Vec<&Step> = change.plan.steps[first..].iter().take_while(opens).collect();
    assert!(off.len() > 8, "{:?}", off.iter().map(|s| &s.id).collect::<Vec<_>>());
    for pair in off.windows(2) {
        assert!(pair[1].after.contains(&pair[0].id), "{} does not wait for {}", pair[1].id, pair[0].id);
    }
}

#[test]
fn more_discs_are_made_ready_before_the_machine_is_opened() {
    let change = way(("3", "slow"), ("5", "slow"), &[]);
    let order = steps(&change);
    for ready in ["inspect-disc-4", "ream-disc-5", "mark-discs", "clean-discs"] {
        before(&order, ready, "remove-guard-for-change");
    }
    assert!(!order.contains(&"ream-disc-1"));
    let mark = change.plan.steps.iter().find(|s| s.id == "mark-discs").unwrap();
    assert_eq!(mark.parts, ["disc-4", "disc-5"]);
    before(&order, "fit-disc-4", "fit-disc-5");
}

/// After the way there every step of the goal stands, and the way back ends where it began.
#[test]
fn there_and_back_ends_in_the_first_state() {
    let module = demo();
    for (a, b) in [(("5", "slow"), ("2", "fast")), (("1", "middle"), ("4", "middle"))] {
        let (from, to) = (setup(&module, a.0, a.1), setup(&module, b.0, b.1));
        let there = from_whole(&module, &from, &to, &[]);
        let after = after(&there);
        for id in ids(&module, &to) {
            assert!(after.contains(&id), "{id} is missing after the change");
        }
        let (first, none) = (make_plan(&module, &from).unwrap(), BTreeSet::new());
        let round = |setup, steps: &'static [Step]| Round {
            module: &module,
            setup,
            done: steps,
            begun: &[],
            failed: &none,
            visit: None,
        };
        let rounds = [round(&from, first.steps.leak()), round(&to, there.plan.steps.leak())];
        let back =
            change(&Built { rounds: &rounds, failed: &none }, &module, &from, Words::built_in().unwrap()).unwrap();
        let end = self::after(&back);
        assert!(ids(&module, &from).is_subset(&end));
        // What was looked at before the discs came off is not looked at again.
        assert!(!steps(&back).iter().any(|id| id.starts_with("inspect-disc")), "{:?}", steps(&back));
    }
}

fn after(change: &Change) -> BTreeSet<String> {
    let undoing: BTreeSet<&String> = change.undone.iter().filter_map(|u| u.by.as_ref()).collect();
    let done = change.plan.steps.iter().map(|s| &s.id).filter(|id| !undoing.contains(id));
    done.chain(&change.standing).cloned().collect()
}

#[test]
fn every_setup_reaches_every_other_and_nothing_kept_rests_on_something_undone() {
    let module = demo();
    let all = Setup::all(&module);
    for (k, from) in all.iter().enumerate() {
        let to = &all[(k * 7 + 4) % all.len()];
        let done = ids(&module, from);
        let change = from_whole(&module, from, to, &[]);
        let mut seen = BTreeSet::new();
        for step in &change.plan.steps {
            assert!(step.after.iter().all(|id| seen.contains(id)), "{}", step.id);
            assert!(seen.insert(step.id.clone()), "{} twice", step.id);
        }
        let stale: BTreeSet<&String> = change.stale.iter().map(|t| &t.step).collect();
        assert!(stale.iter().all(|s| !change.standing.contains(*s)));
        // What is done again was done before only where it fell.
        for id in seen.iter().filter(|id| done.contains(*id)) {
            let partly = ["mark-discs", "clean-discs"].contains(&id.as_str());
            assert!(partly || stale.contains(id), "{id} is done again, and nothing disturbed it");
        }
    }
}

#[test]
fn a_replaced_belt_costs_the_bearing_that_traps_it() {
    let change = way(("5", "slow"), ("5", "slow"), &["belt"]);
    let order = steps(&change);
    before(&order, "remove-bearing-drive", "remove-belt");
    before(&order, "remove-belt", "hang-belt");
    assert!(order.contains(&"inspect-belt") && !order.contains(&"remove-disc-5"), "{order:?}");
}

#[test]
fn a_reworked_pinch_is_eased_and_everything_proved_over_it_again() {
    let change = way(("5", "slow"), ("5", "slow"), &["tighten-pinch-collar-drive-final"]);
    let order = steps(&change);
    before(&order, "release-pinch-collar-drive-to-snug", "tighten-pinch-collar-drive-final");
    before(&order, "tighten-pinch-collar-drive-final", "recheck-pinch-collar-drive");
    before(&order, "recheck-pinch-collar-drive", "prove-slip");
    assert!(!order.iter().any(|id| id.starts_with("remove-disc")), "{order:?}");
}

// The record.

fn enter_all(session: &mut Session, until: Option<&str>) {
    while let Some(step) = session.record().current_step().cloned() {
        if until == Some(step.id.as_str()) {
            return;
        }
        for check in step.checks.iter().filter(|c| c.kind != CheckKind::Derived) {
            let mut values = vec![good(&serde_json::json!(check))];
            if check.kind == CheckKind::Wait {
                values.push(vec!["done".into()]);
            }
            for values in values {
                let early = EndedEarly { role: "design".into(), reason: "test".into() };
                let end_early = (values == ["done"]).then_some(early);
                let by = if end_early.is_some() { "mh" } else { "ak" }.to_owned();
                let entry =
                    Entry { step: step.id.clone(), check: check.id.clone(), values, by, end_early, ..Entry::default() };
                session.enter(&entry).unwrap_or_else(|e| panic!("{} {}: {e}", step.id, check.id));
            }
        }
        if let Some(role) = &step.hold {
            let release = Release { step: step.id.clone(), by: "mh".into(), role: role.clone(), ..Release::default() };
            session.release(&release).unwrap();
        }
    }
}

fn started(home: &Path, serial: &str) -> Session {
    let module = demo();
    let plan = make_plan(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
    let start = Start {
        plan,
        spec_text: module.text.clone(),
        spec_name: "flywheel".into(),
        serial: serial.into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    Store::locate(Some(home)).unwrap().start(start).unwrap()
}

fn built(home: &Path, until: Option<&str>) {
    let mut session = started(home, "1");
    enter_all(&mut session, until);
    if until.is_none() {
        session.finish("ak").unwrap();
    }
}

fn bytes(home: &Path) -> Vec<u8> {
    std::fs::read(home.join("builds/flywheel-1/traveler.yaml")).unwrap()
}
