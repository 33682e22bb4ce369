//! What must be undone so that the goal can be reached from what stands: the least set that is closed under "what rests
//! on something undone is undone". For fixed choices the closure is a fixed point, so nothing smaller would do.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use super::model::{Edge, Group, Id, Stage, Work};

/// What stands: the operations done, in the order in which they were done.
#[derive(Debug, Clone, Default)]
pub struct State {
    /// Operations done.
    pub done: Vec<Work>,
    /// Groups of the plan they were done by.
    pub groups: Vec<Group>,
    /// Operations that turned out wrong, or whose part is replaced, by index.
    pub failed: BTreeSet<usize>,
    /// Operations that something before has made untrue, by index, and why: they still hold what they hold.
    pub fallen: BTreeMap<usize, String>,
}

impl State {
    /// Parts in place, each with the operation that put it there last.
    #[must_use]
    pub fn present(&self) -> BTreeMap<&str, usize> {
        self.followed().0
    }

    /// Parts in place; and the operations that took a part off, each with the one that had put it there.
    fn followed(&self) -> (BTreeMap<&str, usize>, Vec<(usize, usize)>) {
        let (mut present, mut taken_off) = (BTreeMap::new(), Vec::new());
        for (at, work) in self.done.iter().enumerate() {
            taken_off.extend(work.removes.iter().filter_map(|part| Some((at, present.remove(part.as_str())?))));
            present.extend(work.adds.iter().map(|part| (part.as_str(), at)));
        }
        (present, taken_off)
    }
}

/// Why an operation was undone that failed or whose part is replaced, in words; a record of a change is read by them.
pub const RENEWED: &str = "it is replaced or has to be done anew";

/// Why an operation that was done does not stand any more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// It failed, or its part is replaced.
    Failed,
    /// Something before made it untrue.
    Before,
    /// The goal does not have what it put there.
    NotWanted,
    /// The goal wants it otherwise: another torque, length or place.
    Otherwise,
    /// The goal has an operation to do that it is in the way of, or that it rests on: edge of the goal.
    ByGoal(usize),
    /// What it rests on has been undone: edge of the state.
    ByState(usize),
    /// What it put there was taken off since by an operation that falls, and must be there for it.
    TakenOff,
}

/// What falls, and what has to be done.
pub struct Fallen {
    /// For each operation done, why it falls; none where it stands.
    pub causes: Vec<Option<Cause>>,
    /// Operations of the goal still to be done, by index.
    pub todo: Vec<bool>,
}

/// Finds what falls.
pub fn fall(state: &State, state_edges: &[Edge], goal: &[Work], groups: &[Group], goal_edges: &[Edge]) -> Fallen {
    let done_by_id: HashMap<&str, usize> = state.done.iter().enumerate().map(|(at, w)| (w.id.as_str(), at)).collect();
    let in_goal: Vec<Option<usize>> = goal.iter().map(|w| done_by_id.get(w.id.as_str()).copied()).collect();
    let mut causes = wrong(state, goal, groups);
    let (_, taken_off) = state.followed();
    loop {
        let todo = to_do(state, goal, &in_goal, &causes);
        let mut changed = false;
        for (k, edge) in goal_edges.iter().enumerate().filter(|(_, e)| e.lasting && todo[e.from]) {
            if let Some(at) = in_goal[edge.to].filter(|&at| causes[at].is_none()) {
                causes[at] = Some(Cause::ByGoal(k));
                changed = true;
            }
        }
        for (k, edge) in state_edges.iter().enumerate().filter(|(_, e)| e.lasting) {
            if causes[edge.from].is_some() && causes[edge.to].is_none() {
                causes[edge.to] = Some(Cause::ByState(k));
                changed = true;
            }
        }
        // To be taken off once more it must be on.
        for &(off, on) in &taken_off {
            if causes[off].is_some() && causes[on].is_none() {
                causes[on] = Some(Cause::TakenOff);
                changed = true;
            }
        }
        if !changed {
            return Fallen { causes, todo };
        }
    }
}

fn wrong(state: &State, goal: &[Work], groups: &[Group]) -> Vec<Option<Cause>> {
    let wanted: HashMap<&str, &Work> = goal.iter().map(|w| (w.id.as_str(), w)).collect();
    let adds: HashSet<&str> = goal.iter().flat_map(|w| &w.adds).map(String::as_str).collect();
    let held: HashSet<&str> = groups.iter().map(|g| g.id.as_str()).collect();
    let cause = |(at, work): (usize, &Work)| {
        if state.failed.contains(&at) {
            return Some(Cause::Failed);
        }
        if state.fallen.contains_key(&at) {
            return Some(Cause::Before);
        }
        if wanted.get(work.id.as_str()).is_some_and(|w| w.key != work.key) {
            return Some(Cause::Otherwise);
        }
        let lost = work.adds.iter().any(|p| !adds.contains(p.as_str()))
            || work.raises.as_ref().is_some_and(|(g, _)| !held.contains(g.as_str()));
        lost.then_some(Cause::NotWanted)
    };
    state.done.iter().enumerate().map(cause).collect()
}

/// An operation of the goal stands where it was done, still stands, and every fact it makes is there.
fn to_do(state: &State, goal: &[Work], in_goal: &[Option<usize>], causes: &[Option<Cause>]) -> Vec<bool> {
    let standing = state.done.iter().zip(causes).filter(|(_, cause)| cause.is_none());
    let facts: HashSet<&str> = standing.flat_map(|(work, _)| &work.makes).map(String::as_str).collect();
    let stands = |(work, at): (&Work, &Option<usize>)| {
        at.is_some_and(|at| causes[at].is_none()) && work.makes.iter().all(|fact| facts.contains(fact.as_str()))
    };
    goal.iter().zip(in_goal).map(|pair| !stands(pair)).collect()
}

/// One piece of undoing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Undoing {
    /// A group is eased from one stage to a lower one; none where it comes off.
    Release {
        /// Group.
        group: Id,
        /// Stage it had.
        from: Stage,
        /// Stage it is left at.
        to: Option<Stage>,
    },
    /// A part comes off; the operation that put it there.
    TakeOff {
        /// Part.
        part: Id,
        /// Index of the operation done.
        by: usize,
    },
}

/// The undoing in the order in which it goes: the reverse of the order in which one thing held or blocked the other.
pub fn order(state: &State, state_edges: &[Edge], causes: &[Option<Cause>]) -> Vec<(Undoing, usize)> {
    let present = state.present();
    let on = |at: usize| state.done[at].adds.iter().any(|p| present.get(p.as_str()) == Some(&at));
    // The last round only turns until none moves; there is nothing to ease from it.
    let eased = |at: usize| state.done[at].raises.as_ref().is_some_and(|(_, s)| *s != Stage::Circular);
    let mut left: BTreeSet<usize> =
        (0..state.done.len()).filter(|&at| causes[at].is_some() && (on(at) || eased(at))).collect();
    // For each operation, what is left that it holds or blocks; and what holds or blocks each.
    let mut holds = vec![0u32; state.done.len()];
    let mut held_by = vec![Vec::new(); state.done.len()];
    for edge in state_edges.iter().filter(|e| e.physical && left.contains(&e.to)) {
        holds[edge.from] += 1;
        held_by[edge.to].push(edge.from);
    }
    let mut list: Vec<(Undoing, usize)> = Vec::new();
    while let Some(at) = next(state, &holds, &left, list.last()) {
        left.remove(&at);
        held_by[at].iter().for_each(|&by| holds[by] -= 1);
        let work = &state.done[at];
        for part in work.adds.iter().filter(|p| present.get(p.as_str()) == Some(&at)) {
            list.push((Undoing::TakeOff { part: part.clone(), by: at }, at));
        }
        if let Some((group, stage)) = &work.raises {
            release(state, group, *stage, at, &mut list);
        }
    }
    list
}

/// Among what nothing left rests on: the group just eased, else what was done last.
fn next(state: &State, holds: &[u32], left: &BTreeSet<usize>, last: Option<&(Undoing, usize)>) -> Option<usize> {
    let same = |at: &usize| match (last, &state.done[*at].raises) {
        (Some((Undoing::Release { group, .. }, _)), Some((g, _))) => g == group,
        _ => false,
    };
    let free = left.iter().copied().filter(|&at| holds[at] == 0);
    free.max_by_key(|at| (same(at), *at)).or_else(|| left.last().copied())
}

fn release(state: &State, group: &str, stage: Stage, at: usize, list: &mut Vec<(Undoing, usize)>) {
    let raises = state.done.iter().filter_map(|w| w.raises.as_ref());
    let to = raises.filter(|(g, s)| g == group && *s < stage).map(|(_, s)| *s).max();
    if let Some((Undoing::Release { group: g, to: reached, .. }, _)) = list.last_mut()
        && g == group
    {
        *reached = to;
        return;
    }
    list.push((Undoing::Release { group: group.to_owned(), from: stage, to }, at));
}

/// What undoing costs: parts off, groups eased, fasteners turned, readings lost; compared from left to right.
pub fn cost(state: &State, causes: &[Option<Cause>], undoing: &[(Undoing, usize)]) -> [u32; 4] {
    let parts = undoing.iter().filter(|(u, _)| matches!(u, Undoing::TakeOff { .. })).count();
    let groups = undoing.len() - parts;
    let fallen = state.done.iter().zip(causes).filter(|(_, c)| c.is_some()).map(|(w, _)| w);
    let (bolts, readings) = fallen.fold((0, 0), |(b, r), w| (b + w.bolts, r + w.readings));
    [u32::try_from(parts).unwrap_or(u32::MAX), u32::try_from(groups).unwrap_or(u32::MAX), bolts, readings]
}
