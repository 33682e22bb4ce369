//! A small machine that knows shafts, collars, rings, belts and guards, and nothing of the planner's freedoms and needs: it
//! takes a step only where a person beside it could.

use std::collections::{BTreeMap, BTreeSet};

use runtrue::module::{Module, OnShaft, RingLock};
use runtrue::procedure::plan::Step;

/// The machine as a person beside it would describe it.
pub struct Machine<'a> {
    module: &'a Module,
    /// Parts along the shaft, by place in the order; discs share the place of the stack.
    pub on: BTreeSet<String>,
    /// Stage of each group, as a rank; a group that is loose is not there.
    pub stages: BTreeMap<String, u32>,
    pub guard: bool,
    /// Parts in place, by what the steps say they add and take off.
    pub parts: BTreeSet<String>,
    /// Of these, what was put there by a step that is not finished: it may be put there again.
    half: BTreeSet<String>,
}

fn rank(stage: &str) -> u32 {
    match stage.split_once(' ') {
        Some((_, n)) => 2 + n.parse::<u32>().unwrap(),
        None => ["loose", "hand", "snug"]
            .iter()
            .position(|s| *s == stage)
            .map_or(if stage == "final" { 90 } else { 91 }, |k| k as u32),
    }
}

impl<'a> Machine<'a> {
    pub fn new(module: &'a Module) -> Self {
        let (on, parts) = (BTreeSet::new(), BTreeSet::new());
        Self { module, on, stages: BTreeMap::new(), guard: false, parts, half: BTreeSet::new() }
    }

    fn place(&self, part: &str) -> Option<usize> {
        let disc = self.module.stack.as_ref().map_or("-", |s| s.discs.part.as_str());
        let word = if part.strip_prefix(disc).is_some_and(|n| n.starts_with('-')) { "discs" } else { part };
        self.module.on_shaft(word)
    }

    fn stage(&self, group: &str) -> u32 {
        self.stages.get(group).copied().unwrap_or(0)
    }

    /// No part stands between the place and one end of the shaft.
    fn reachable(&self, at: usize) -> bool {
        let taken: Vec<usize> = self.on.iter().filter_map(|p| self.place(p)).collect();
        taken.iter().all(|&t| t >= at) || taken.iter().all(|&t| t <= at)
    }

    fn ring(&self, bearing: &str) -> String {
        let set = matches!(self.module.bearings.lock, RingLock::SetScrews(_));
        format!("{}-{bearing}", if set { "set" } else { "sleeve" })
    }

    fn is_bearing(&self, part: &str) -> bool {
        self.module.bearings.each.iter().any(|b| b.value == part)
    }

    /// A step left before its end: what it puts in place is there, and in the way of everything else.
    #[allow(dead_code, reason = "not every test leaves a step")]
    pub fn leave(&mut self, step: &Step) {
        if !step.adds.is_empty() {
            self.take(step);
            self.half.extend(step.adds.iter().cloned());
        }
    }

    pub fn take(&mut self, step: &Step) {
        let id = &step.id;
        for part in &step.removes {
            assert!(self.parts.remove(part), "{id}: {part} is not there");
            self.half.remove(part);
        }
        for part in &step.adds {
            assert!(self.parts.insert(part.clone()) || self.half.remove(part), "{id}: {part} is there already");
        }
        match step.operation.as_str() {
            "spin" => {
                assert!(self.guard, "{id} without the guard");
                for bearing in &self.module.bearings.each {
                    assert!(self.stage(&self.ring(&bearing.value)) >= 90, "{id} with a loose ring");
                }
            }
            "fit" | "hang" | "tighten" | "adjust" | "align" | "tension" | "recheck" | "prove" => {
                assert!(!self.guard, "{id} inside a closed guard");
            }
            _ => {}
        }
        if step.operation == "hang" {
            self.belt_passes(id, &step.parts[0]);
        }
        if step.operation == "fit" {
            for part in &step.adds {
                self.fit(id, part);
            }
        }
        if step.operation == "tighten" {
            self.tighten(step);
        }
        if step.operation == "release" {
            self.release(step);
        }
        for part in &step.removes {
            self.take_off(id, part);
        }
        if step.operation == "guard" {
            self.guard = true;
        }
    }

    fn fit(&mut self, id: &str, part: &str) {
        if let Some(at) = self.place(part) {
            let stacked = self.module.stack.as_ref().is_some_and(|s| {
                s.collars.each.iter().chain(s.plates.iter().flat_map(|p| &p.each)).any(|c| c.value == part)
            });
            assert!(self.reachable(at), "{id}: the way of {part} is blocked by {:?}", self.on);
            if stacked || self.is_bearing(part) {
                let group = if self.is_bearing(part) { self.ring(part) } else { format!("pinch-{part}") };
                assert_eq!(self.stage(&group), 0, "{id}: {part} is closed and does not slide on");
            }
            self.on.insert(part.to_owned());
        }
        if part.starts_with("belt-in-grooves") {
            let drive = self.module.drives.iter().enumerate().find(|(k, d)| {
                part == if *k == 0 {
                    "belt-in-grooves".to_owned()
                } else {
                    format!("belt-in-grooves-{}", d.pulley.part)
                }
            });
            let (k, drive) = drive.unwrap();
            let hub = if k == 0 { "hub".to_owned() } else { format!("hub-{}", drive.pulley.part) };
            let lock = if k == 0 { "lock".to_owned() } else { format!("lock-{}", drive.pulley.part) };
            assert_eq!(self.stage(&hub), 90, "{id}: the belt would pull on a loose pulley");
            assert!(self.stage(&lock) < 90, "{id}: the sled is locked");
            if !self.on.contains(&drive.belt.part) {
                self.belt_passes(id, &drive.belt.part.clone());
            }
        }
    }

    /// What comes off has its way free, and nothing holds it.
    fn take_off(&mut self, id: &str, part: &str) {
        if *part == self.module.guard.part {
            self.guard = false;
            return;
        }
        assert!(!self.guard, "{id} inside a closed guard");
        if let Some(at) = self.place(part) {
            self.on.remove(part);
            assert!(self.reachable(at), "{id}: the way of {part} is blocked by {:?}", self.on);
            for group in [self.ring(part), format!("pinch-{part}")] {
                assert!(self.stage(&group) < 2, "{id}: {group} holds {part}");
            }
        }
        if let Some(stack) = &self.module.stack
            && *part == stack.rods.part
        {
            assert!(self.stage(part) < 2, "{id}: the rods are tight");
        }
    }

    fn release(&mut self, step: &Step) {
        let (id, group) = (&step.id, step.group.clone().unwrap());
        assert!(!self.guard, "{id} inside a closed guard");
        let stage = rank(step.stage.as_ref().unwrap());
        assert!(stage < self.stage(&group), "{id}: {group} is not tight");
        if stage == 0 {
            self.stages.remove(&group)
        } else {
            self.stages.insert(group, stage)
        };
    }

    /// An endless belt comes over an end of the shaft that no bearing closes.
    fn belt_passes(&mut self, id: &str, belt: &str) {
        let drive = self.module.drives.iter().find(|d| d.belt.part == belt).unwrap();
        let at = self.module.on_shaft(&drive.pulley.part).unwrap();
        let closed = |range: &[OnShaft]| {
            range.iter().any(|on| self.on.contains(&on.part.value) && self.is_bearing(&on.part.value))
        };
        let order = &self.module.shaft.order;
        assert!(!closed(&order[..at]) || !closed(&order[at + 1..]), "{id}: {belt} is shut out");
        self.on.insert(belt.to_owned());
    }

    fn tighten(&mut self, step: &Step) {
        let (id, group) = (&step.id, step.group.clone().unwrap());
        let stage = rank(step.stage.as_ref().unwrap());
        // The last round only turns until none moves; it may be gone again.
        assert!(stage > self.stage(&group) || stage == rank("circular"), "{id}: {group} does not rise");
        if let Some(order) = &step.sequence {
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert!(sorted.iter().copied().eq(1..=order.len() as u32), "{id}: {order:?}");
        }
        if let Some(stack) = &self.module.stack {
            let datum = &self.module.datum_collar().unwrap().part.value;
            let sliding = &stack.collars.each.iter().find(|c| c.value != *datum).unwrap().value;
            let seats = if *stack.rods.passes > 1 { 3 } else { 90 };
            let outside = stack.plates.is_some();
            if group == stack.rods.part && stage > 1 && (stage <= seats || outside) {
                assert!(self.stage(&format!("pinch-{sliding}")) == 0, "{id}: {sliding} cannot follow the discs");
            }
            if group == format!("pinch-{sliding}") {
                let least = if outside { 91 } else { seats };
                assert!(self.stage(&stack.rods.part) >= least, "{id}: the discs are not together yet");
            }
        }
        for bearing in &self.module.bearings.each {
            let (ring, base) = (self.ring(&bearing.value), format!("base-{}", bearing.value));
            let sleeve = ring.starts_with("sleeve");
            if group == ring {
                assert!(sleeve != (self.stage(&base) >= 90), "{id}: housing and ring in the wrong order");
            }
            if group == base && stage >= 90 && sleeve {
                assert!(self.stage(&ring) >= 90, "{id}: the sleeve is not drawn up");
            }
        }
        self.stages.insert(group, stage);
    }
}
