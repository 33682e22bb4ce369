//! Changes begun in the middle of others, and rework at any moment: what is undone stays undone, and each way is replayed on
//! a machine that knows nothing of the planner.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::collections::BTreeSet;

use common::machine::Machine;
use runtrue::module::{Module, Setup, embedded, read};
use runtrue::procedure::change::{Built, Change, Round, change};
use runtrue::procedure::plan::Step;
use runtrue::procedure::{Words, make_plan};

struct Dice(u64);

impl Dice {
    fn roll(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n
    }
}

/// One round of work.
struct Worked {
    setup: Setup,
    done: Vec<Step>,
    begun: Vec<Step>,
    failed: BTreeSet<String>,
}

/// What was done to one machine, round by round.
struct Build<'a> {
    module: &'a Module,
    rounds: Vec<Worked>,
    machine: Machine<'a>,
}

impl<'a> Build<'a> {
    /// The first `k` steps of a build.
    fn begun(module: &'a Module, setup: &Setup, k: usize) -> Self {
        let mut build = Self { module, rounds: Vec::new(), machine: Machine::new(module) };
        let mut steps = make_plan(module, setup).unwrap().steps;
        steps.truncate(k);
        build.work(setup, steps, BTreeSet::new());
        build
    }

    fn work(&mut self, setup: &Setup, steps: Vec<Step>, failed: BTreeSet<String>) {
        steps.iter().for_each(|s| self.machine.take(s));
        self.rounds.push(Worked { setup: setup.clone(), done: steps, begun: Vec::new(), failed });
    }

    fn way(&self, to: &Setup, failed: &BTreeSet<String>) -> Change {
        let rounds = self.rounds.iter().map(|w| Round {
            module: self.module,
            setup: &w.setup,
            done: &w.done,
            begun: &w.begun,
            failed: &w.failed,
            visit: None,
        });
        let rounds: Vec<Round<'_>> = rounds.collect();
        change(&Built { rounds: &rounds, failed }, self.module, to, Words::built_in().unwrap()).unwrap()
    }

    /// A step is done anew, and the way left behind it: then there is left what was not reached. Gives back both parts.
    fn left_behind(&mut self, setup: &Setup, again: &str) -> (Vec<Step>, Vec<Step>) {
        let failed = BTreeSet::from([again.to_owned()]);
        let mut first = self.way(setup, &failed).plan.steps;
        let done = 1 + first.iter().position(|s| s.id == again).expect("it is done anew");
        println!("{again}: left after {done} of {} steps", first.len());
        let left = first.split_off(done);
        self.work(setup, first.clone(), failed);
        assert_eq!(names(&self.way(setup, &none()).plan.steps), names(&left), "{again}");
        (first, left)
    }

    /// The way is walked to its end, which is that of a build from nothing.
    fn walks(&mut self, to: &Setup, failed: BTreeSet<String>) -> Change {
        let way = self.way(to, &failed);
        let mut seen = BTreeSet::new();
        for step in &way.plan.steps {
            assert!(step.after.iter().all(|id| seen.contains(id)), "{} comes too early", step.id);
            assert!(seen.insert(step.id.clone()), "{} twice", step.id);
        }
        self.work(to, way.plan.steps.clone(), failed);
        let new = Self::begun(self.module, to, usize::MAX);
        assert_eq!(self.machine.parts, new.machine.parts);
        assert_eq!((&self.machine.stages, self.machine.guard), (&new.machine.stages, true));
        let whole: BTreeSet<String> = make_plan(self.module, to).unwrap().steps.into_iter().map(|s| s.id).collect();
        let stands: BTreeSet<String> = seen.union(&way.standing).cloned().collect();
        assert!(whole.is_subset(&stands), "missing: {:?}", whole.difference(&stands).collect::<Vec<_>>());
        assert!(way.stale.iter().all(|t| !way.standing.contains(&t.step) && !t.because.is_empty()));
        way
    }
}

fn demo(name: &str) -> Module {
    read(&embedded(name).unwrap()).unwrap()
}

fn names(steps: &[Step]) -> BTreeSet<&str> {
    steps.iter().map(|s| s.id.as_str()).collect()
}

fn none() -> BTreeSet<String> {
    BTreeSet::new()
}

#[test]
fn from_the_middle_of_a_change_every_goal_is_reached() {
    let seed = 812;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    for name in ["flywheel", "testwheel", "countershaft"] {
        let module = demo(name);
        let all = Setup::all(&module);
        for _ in 0..5 {
            let [a, b, c] = [(); 3].map(|()| &all[dice.roll(all.len())]);
            let mut build = Build::begun(&module, a, usize::MAX);
            let first = build.way(b, &none()).plan.steps;
            let k = dice.roll(first.len() + 1);
            println!("{name}: {} to {}, {k} of {} steps, then to {}", a.words(), b.words(), first.len(), c.words());
            build.work(b, first[..k].to_vec(), none());
            build.walks(if dice.roll(2) == 0 { a } else { c }, none());
        }
    }
}

#[test]
fn a_change_not_touched_yet_costs_nothing_to_leave_and_one_gone_on_with_costs_what_is_left() {
    let seed = 77;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    let module = demo("flywheel");
    let all = Setup::all(&module);
    for _ in 0..4 {
        let (a, b) = (&all[dice.roll(all.len())], &all[dice.roll(all.len())]);
        let mut build = Build::begun(&module, a, usize::MAX);
        let first = build.way(b, &none()).plan.steps;
        let k = dice.roll(first.len() + 1);
        println!("{} to {}, {k} of {} steps", a.words(), b.words(), first.len());
        build.work(b, Vec::new(), none());
        let back = build.way(a, &none());
        assert!(back.plan.steps.is_empty() && back.stale.is_empty(), "{:?}", names(&back.plan.steps));
        build.work(b, first[..k].to_vec(), none());
        let on = build.way(b, &none());
        assert_eq!(names(&on.plan.steps), names(&first[k..]));
    }
}

#[test]
fn a_replacement_asked_for_stays_asked_for_when_the_goal_changes() {
    let module = demo("flywheel");
    let all = Setup::all(&module);
    let (from, to) = (&all[0], &all[1]);
    let mut build = Build::begun(&module, from, usize::MAX);
    let failed = BTreeSet::from(["belt".to_owned()]);
    let first = build.way(from, &failed).plan.steps;
    let off = first.iter().position(|s| s.id == "remove-belt").unwrap();
    build.work(from, first[..2].to_vec(), failed);
    let way = build.walks(to, none());
    assert!(off > 2 && names(&way.plan.steps).contains("remove-belt"), "{:?}", names(&way.plan.steps));
    let last = build.way(from, &none()).plan.steps;
    assert!(!names(&last).contains("remove-belt"), "the new belt is in: {:?}", names(&last));
}

#[test]
fn rework_is_found_at_any_moment_of_an_unfinished_build() {
    let seed = 4_096;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    for name in ["flywheel", "testwheel", "countershaft"] {
        let module = demo(name);
        let all = Setup::all(&module);
        let setup = &all[dice.roll(all.len())];
        let whole = make_plan(&module, setup).unwrap().steps;
        for _ in 0..7 {
            let k = 1 + dice.roll(whole.len());
            let again = &whole[dice.roll(k)].id;
            let begun = dice.roll(2) == 0;
            println!("{name}: after {k} of {} steps {again} is done anew", whole.len());
            let mut build = Build::begun(&module, setup, k);
            if let Some(next) = whole.get(k).filter(|_| begun) {
                build.machine.leave(next);
                build.rounds[0].begun.push(next.clone());
            }
            let way = build.walks(setup, BTreeSet::from([again.clone()]));
            assert!(names(&way.plan.steps).contains(again.as_str()), "{again} is not done anew");
        }
    }
}

/// Rework left in the middle: what rests on the step that was done anew, and was not reached any more, is still to be done.
#[test]
fn rework_gone_on_with_costs_what_is_left() {
    let seed = 2_718;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    let module = demo("flywheel");
    let setup = &Setup::all(&module)[0];
    let whole = make_plan(&module, setup).unwrap().steps;
    let mut resting = 0;
    for again in ["tension-belt-final", "align-belt-line", "measure-run-out", "adjust-pulley-plane"]
        .into_iter()
        .chain((0..4).map(|_| whole[dice.roll(whole.len())].id.as_str()))
    {
        let (_, left) = Build::begun(&module, setup, usize::MAX).left_behind(setup, again);
        resting += left.len();
    }
    assert!(resting > 40, "hardly anything rested on what was done anew: {resting}");
}

/// Of an unfinished build often nothing is undone first: then what falls hangs on the step alone that was done anew.
#[test]
fn rework_of_an_unfinished_build_gone_on_with_costs_what_is_left() {
    let seed = 2_719;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    let module = demo("flywheel");
    let setup = &Setup::all(&module)[0];
    let whole = make_plan(&module, setup).unwrap().steps;
    let until = |id: &str| 1 + whole.iter().position(|s| s.id == id).unwrap();
    let mut cases = vec![
        (until("fit-bearing-drive"), "recheck-rods"),
        (until("secure-pinch-collar-drive"), "measure-rotor"),
        (until("secure-pinch-collar-drive"), "recheck-pinch-collar-far-after-run"),
        (until("wait-settle"), "spin-first"),
    ];
    cases.extend((0..12).map(|_| {
        let k = 12 + dice.roll(whole.len() - 12);
        (k, whole[dice.roll(k)].id.as_str())
    }));
    let mut falls = 0;
    for (k, again) in cases {
        println!("{again} after {k}");
        let (done, left) = Build::begun(&module, setup, k).left_behind(setup, again);
        let undone = done.iter().any(|s| !whole.iter().any(|w| w.id == s.id));
        let before = whole[..k].iter().filter(|w| left.iter().any(|s| s.id == w.id)).count();
        falls += usize::from(!undone && before > 0);
    }
    assert!(falls > 3, "hardly anything that was done fell with a step alone: {falls}");
}

/// The guard is closed before the rotor is spun anew, also where it is off; and what is taken off anew is on before.
#[test]
fn a_run_done_anew_has_its_guard_closed_first() {
    for name in ["flywheel", "testwheel", "countershaft"] {
        let module = demo(name);
        let setup = &Setup::all(&module)[0];
        let whole = make_plan(&module, setup).unwrap().steps;
        for until in ["remove-guard", "wait-settle", "close-out-module"] {
            let k = 1 + whole.iter().position(|s| s.id == until).unwrap();
            for again in ["spin-first", "remove-guard", "tighten-hold-downs-final"] {
                let way = Build::begun(&module, setup, k).walks(setup, BTreeSet::from([again.to_owned()]));
                let at = |id: &str| way.plan.steps.iter().position(|s| s.id == id);
                assert!(
                    at("guard-guard").is_some() && at("guard-guard") < at("spin-first"),
                    "{name}, {again}, {until}"
                );
                assert!(at("spin-first") < at("remove-guard"), "{name}, {again}, {until}");
            }
        }
    }
}
