//! What stands of a build after its rounds of work: operations that are done and were not taken back since, and those begun that
//! put parts in place.
//!
//! A round may have been left half done for another one. Each counts as far as it went: what came off is off, what was eased
//! is eased, and what rests on it, or on something done later than itself, does not stand.

use std::collections::{BTreeMap, BTreeSet};

use crate::module::{Module, Setup};

use super::draft::Draft;
use super::engine::{Edge, Group, Stage, State, Work, edges_of_done};
use super::joints::settling::is_of_visit;
use super::plan::{Step, Visit};
use super::steps::Prepared;

const AGAIN: &str = "it was begun anew and is not finished";
const BEGUN: &str = "it is begun and not finished";
/// Why a step of a visit is done once more.
const DUE_AGAIN: &str = "it is due again";
const TAKEN_BACK: &str = "a change before this one took it back";

/// One round of work on a build, as far as it went.
#[derive(Clone, Copy)]
pub struct Round<'a> {
    /// The module it was worked by.
    pub module: &'a Module,
    /// Its setup.
    pub setup: &'a Setup,
    /// Steps done, in the order of the round's plan.
    pub done: &'a [Step],
    /// Steps begun and not finished.
    pub begun: &'a [Step],
    /// Steps and parts of earlier rounds that were wrong when it began, by id.
    pub failed: &'a BTreeSet<String>,
    /// What it looked at, where it was a visit.
    pub visit: Option<&'a Visit>,
}

/// Operations that stand or are still in the way, oldest first.
#[derive(Default, Clone)]
pub struct Standing {
    /// As the engine sees them.
    pub state: State,
    /// Their drafts, in the same order.
    pub drafts: Vec<Draft>,
    /// Steps done once that do not stand any more and hold nothing: why, as a clause.
    pub before: BTreeMap<String, String>,
    /// Round in which each was done.
    rounds: Vec<usize>,
    /// What puts parts in place, begun and not finished since.
    begun: Vec<Begun>,
}

/// Work that puts parts in place and is not finished: they are on already, or are not yet.
#[derive(Clone)]
struct Begun {
    work: Work,
    draft: Draft,
    /// Round it was begun in.
    round: usize,
    /// It turned out wrong.
    failed: bool,
}

impl Standing {
    /// Follows the rounds, each with its operations put down.
    pub fn of(rounds: &[Round<'_>], prepared: &[Prepared<'_>]) -> Self {
        let mut standing = Self::default();
        for (n, (round, own)) in rounds.iter().zip(prepared).enumerate() {
            standing.fail(round.failed);
            standing.know(&own.sheet.groups);
            standing.take_back(round, own);
            standing.add(n, round, own);
        }
        standing
    }

    /// Marks operations as wrong, by their id or that of a part; also those that are only begun.
    pub fn fail(&mut self, failed: &BTreeSet<String>) {
        let is_wrong = |work: &Work| failed.contains(&work.id) || work.parts.iter().any(|p| failed.contains(p));
        self.begun.iter_mut().for_each(|begun| begun.failed |= is_wrong(&begun.work));
        let new: Vec<usize> = (0..self.state.done.len()).filter(|at| is_wrong(&self.state.done[*at])).collect();
        self.state.failed.extend(new);
    }

    /// Ids of what is begun and puts parts in place.
    pub fn begun(&self) -> BTreeSet<String> {
        self.begun.iter().map(|begun| begun.work.id.clone()).collect()
    }

    /// The same with the parts in place that some of the steps begun put there; as things done that stand, or that fell.
    pub fn with(&self, some: &BTreeSet<String>, fell: bool) -> Self {
        let mut on = self.clone();
        let done = |id: &str| self.state.done.iter().any(|done| done.id == id);
        for begun in self.begun.iter().filter(|b| some.contains(&b.work.id) && !done(&b.work.id)) {
            let at = on.state.done.len();
            on.state.done.push(begun.work.clone());
            on.drafts.push(begun.draft.clone());
            on.rounds.push(begun.round);
            on.state.failed.extend(begun.failed.then_some(at));
            on.state.fallen.extend(fell.then(|| (at, BEGUN.to_owned())));
        }
        on
    }

    /// Marks what an earlier visit looked at as due again.
    pub fn due_again(&mut self) {
        let visited = |at: &usize| is_of_visit(&self.state.done[*at].id);
        let again: Vec<usize> = (0..self.state.done.len()).filter(visited).collect();
        self.state.fallen.extend(again.into_iter().map(|at| (at, DUE_AGAIN.to_owned())));
    }

    /// Stage that each group has reached.
    pub fn stages(&self) -> BTreeMap<String, String> {
        let mut stages: BTreeMap<&str, Stage> = BTreeMap::new();
        for (group, stage) in self.state.done.iter().filter_map(|w| w.raises.as_ref()) {
            let reached = stages.entry(group).or_insert(*stage);
            *reached = (*reached).max(*stage);
        }
        stages.into_iter().map(|(g, s)| (g.to_owned(), s.to_string())).collect()
    }

    fn know(&mut self, groups: &[Group]) {
        for group in groups {
            match self.state.groups.iter_mut().find(|g| g.id == group.id) {
                Some(known) => known
                    .holds
                    .extend(group.holds.iter().filter(|h| !known.holds.contains(h)).cloned().collect::<Vec<_>>()),
                None => self.state.groups.push(group.clone()),
            }
        }
    }

    /// What the round undid by hand. A step of it that is begun counts where it eases: the cautious side of a bolt half eased is
    /// that it is. A part is off once that is done.
    fn take_back(&mut self, round: &Round<'_>, own: &Prepared<'_>) {
        let mut gone = BTreeSet::new();
        let undoing = |s: &&Step| own.works.iter().all(|w| w.id != s.id);
        for part in round.done.iter().filter(undoing).flat_map(|s| &s.removes) {
            self.take_off(part, &mut gone);
        }
        for step in round.done.iter().chain(round.begun).filter(undoing) {
            if let (true, Some(group), Some(stage)) = (step.removes.is_empty(), &step.group, &step.stage) {
                let left = Stage::named(stage).filter(|s| *s != Stage::Loose);
                let over = |(g, s): &(String, Stage)| g == group && Some(*s) > left;
                let list = self.state.done.iter().enumerate();
                gone.extend(list.filter(|(_, w)| w.raises.as_ref().is_some_and(over)).map(|(at, _)| at));
            }
        }
        if gone.is_empty() {
            return;
        }
        let edges = edges_of_done(&self.state);
        let first = edges.iter().filter(|e| gone.contains(&e.from));
        let first: Vec<(usize, String)> = first.map(|e| (e.to, e.why.clone())).collect();
        self.fall(&edges, first, |at| !gone.contains(&at));
        self.keep(|at| !gone.contains(&at));
    }

    fn take_off(&mut self, part: &str, gone: &mut BTreeSet<usize>) {
        let Some(at) = self.state.present().get(part).copied() else { return };
        let work = &mut self.state.done[at];
        work.adds.retain(|p| p != part);
        if work.adds.is_empty() {
            gone.insert(at);
        } else {
            self.state.fallen.insert(at, format!("{part} was taken off"));
        }
    }

    /// What the round did. The same operation done before is overtaken, and so is what rests on it.
    fn add(&mut self, n: usize, round: &Round<'_>, own: &Prepared<'_>) {
        let begun: BTreeSet<&str> = round.begun.iter().map(|s| s.id.as_str()).collect();
        let again = (0..self.state.done.len()).filter(|&at| begun.contains(self.state.done[at].id.as_str()));
        let again: Vec<(usize, String)> = again.map(|at| (at, AGAIN.to_owned())).collect();
        let done: BTreeSet<&str> = round.done.iter().map(|s| s.id.as_str()).collect();
        let edges = edges_of_done(&self.state);
        self.fall(&edges, again, |_| true);
        let over: BTreeSet<usize> =
            (0..self.state.done.len()).filter(|&at| done.contains(self.state.done[at].id.as_str())).collect();
        self.keep(|at| !over.contains(&at));
        for step in round.done {
            if let Some(at) = own.works.iter().position(|w| w.id == step.id) {
                self.before.remove(&step.id);
                self.state.done.push(own.works[at].clone());
                self.drafts.push(own.sheet.drafts[at].clone());
                self.rounds.push(n);
            }
        }
        self.note_begun(n, round, own);
        let edges = edges_of_done(&self.state);
        let rounds = self.rounds.clone();
        let late = edges.iter().filter(|e| rounds[e.from] == n && rounds[e.to] < n);
        let late: Vec<(usize, String)> = late.map(|e| (e.to, e.why.clone())).collect();
        self.fall(&edges, late, |at| rounds[at] < n);
        self.keep(|_| true);
    }

    /// Keeps in mind what the round began to put in place; what it finished or took off is forgotten.
    fn note_begun(&mut self, n: usize, round: &Round<'_>, own: &Prepared<'_>) {
        let taken_off = |work: &Work| round.done.iter().any(|s| s.removes.iter().any(|part| work.adds.contains(part)));
        let anew = |id: &str| round.done.iter().chain(round.begun).any(|s| s.id == id);
        self.begun.retain(|begun| !anew(&begun.work.id) && !taken_off(&begun.work));
        for step in round.begun {
            if let Some(at) = own.works.iter().position(|w| w.id == step.id && !w.adds.is_empty()) {
                let (work, draft) = (own.works[at].clone(), own.sheet.drafts[at].clone());
                self.begun.push(Begun { work, draft, round: n, failed: false });
            }
        }
    }

    /// Marks what falls first, and what rests on it, among those that may fall.
    fn fall(&mut self, edges: &[Edge], mut first: Vec<(usize, String)>, may: impl Fn(usize) -> bool) {
        while let Some((at, why)) = first.pop() {
            if may(at) && !self.state.fallen.contains_key(&at) {
                self.state.fallen.insert(at, why);
                first.extend(edges.iter().filter(|e| e.from == at).map(|e| (e.to, e.why.clone())));
            }
        }
    }

    /// Keeps some; and of those that fell only what still holds something in the machine.
    fn keep(&mut self, some: impl Fn(usize) -> bool) {
        let on: BTreeSet<usize> = self.state.present().into_values().collect();
        let mut place: BTreeMap<usize, usize> = BTreeMap::new();
        for at in (0..self.state.done.len()).filter(|&at| some(at)) {
            let work = &self.state.done[at];
            let holds = on.contains(&at) || work.raises.is_some() || !work.removes.is_empty();
            match self.state.fallen.get(&at) {
                Some(why) if !holds => {
                    self.before.insert(work.id.clone(), why.clone());
                }
                _ => {
                    place.insert(at, place.len());
                }
            }
        }
        let gone = (0..self.state.done.len()).filter(|&at| !some(at)).map(|at| self.state.done[at].id.clone());
        self.before.extend(gone.map(|id| (id, TAKEN_BACK.to_owned())).collect::<Vec<_>>());
        let mut at = 0;
        let mut stays = || {
            at += 1;
            place.contains_key(&(at - 1))
        };
        self.state.done.retain(|_| stays());
        self.drafts = kept(&self.drafts, &place);
        self.rounds = kept(&self.rounds, &place);
        self.state.failed = self.state.failed.iter().filter_map(|at| place.get(at).copied()).collect();
        let fallen = std::mem::take(&mut self.state.fallen);
        self.state.fallen = fallen.into_iter().filter_map(|(at, why)| Some((*place.get(&at)?, why))).collect();
    }
}

fn kept<T: Clone>(list: &[T], place: &BTreeMap<usize, usize>) -> Vec<T> {
    place.keys().filter_map(|&at| list.get(at).cloned()).collect()
}
