//! Where no choice leaves an order: the fewest reasons that block them all.
//!
//! A set of reasons blocks a choice when it holds something the choice lacks, or closes a circle in it. The search takes the
//! first choice that is not blocked yet and tries every way to block it, so the smallest set is among what it sees; sets that
//! grow as large as the best one found are not followed further.

use std::collections::{BTreeMap, BTreeSet};

use super::choice::Choices;
use super::circle;
use super::edges;
use super::model::{Edge, Group, Reason, Refusal, Work};

/// Operations that the search may pass through before it settles for reasons none of which can be left out.
const PATIENCE: u32 = 400_000;

/// One refusal for all choices, with the fewest reasons.
pub fn refusal(choices: &Choices<'_>, groups: &[Group], mut refusals: Vec<Refusal>) -> Refusal {
    if let Some(at) = refusals.iter().position(|r| matches!(r, Refusal::TooManyMerges(_))) {
        return refusals.swap_remove(at);
    }
    if refusals.len() == 1 {
        return refusals.swap_remove(0);
    }
    let works = choices.works(0);
    let mut names: BTreeMap<Reason, usize> = BTreeMap::new();
    let blocked = (0..).zip(refusals).map(|(n, told)| blocked(&choices.works(n), groups, told, &mut names));
    let mut blocked: Vec<Blocked> = blocked.collect();
    drop_covered(&mut blocked);
    let mut names: Vec<(usize, Reason)> = names.into_iter().map(|(reason, k)| (k, reason)).collect();
    names.sort_unstable_by_key(|(k, _)| *k);
    let mut search = Search { choices: &blocked, taken: vec![false; names.len()], best: None, patience: PATIENCE };
    search.first();
    search.widen(0);
    let (set, fewest) = match (search.best.take(), search.patience > 0) {
        (Some(best), true) => (best, true),
        (best, _) => (search.irreducible(best), false),
    };
    let reasons = set.into_iter().map(|k| names[k].1.clone()).collect();
    in_words(&works, reasons, fewest)
}

/// One reason alone and a plain circle are told as such.
fn in_words(works: &[Work], mut reasons: Vec<Reason>, fewest: bool) -> Refusal {
    if reasons.len() == 1 {
        return reasons.swap_remove(0).alone();
    }
    let at: BTreeMap<&str, usize> = works.iter().enumerate().map(|(k, w)| (w.id.as_str(), k)).collect();
    let mut links = Vec::new();
    for reason in &reasons {
        if let Reason::Before(link) = reason {
            links.push(Edge {
                from: at[link.first.as_str()],
                to: at[link.then.as_str()],
                why: link.why.clone(),
                line: link.line,
                hard: true,
                lasting: true,
                physical: true,
            });
        }
    }
    match circle::refuse_circles(works, &links) {
        Err(Refusal::Circle(round)) if round.len() == reasons.len() => Refusal::Circle(round),
        _ => {
            reasons.sort();
            Refusal::EveryChoice { reasons, fewest }
        }
    }
}

/// One choice that leaves no order; reasons by their number.
struct Blocked {
    /// What blocks it alone.
    alone: BTreeSet<usize>,
    /// Edges: earlier, later, reason.
    edges: BTreeSet<(usize, usize, usize)>,
}

fn blocked(works: &[Work], groups: &[Group], told: Refusal, names: &mut BTreeMap<Reason, usize>) -> Blocked {
    let mut number = |reason: Reason| {
        let next = names.len();
        *names.entry(reason).or_insert(next)
    };
    let mut alone: BTreeSet<usize> =
        edges::missing(works, groups).into_iter().filter_map(reason).map(&mut number).collect();
    alone.extend(reason(told).map(&mut number));
    let edges = on_circles(edges::derive_done(works, groups));
    let edges = edges.iter().map(|e| (e.from, e.to, number(Reason::Before(circle::link(works, e))))).collect();
    Blocked { alone, edges }
}

/// Edges that something leads to and that lead on: no other one is part of a circle.
fn on_circles(mut edges: Vec<Edge>) -> Vec<Edge> {
    loop {
        let before = edges.len();
        let (from, to): (BTreeSet<usize>, BTreeSet<usize>) = edges.iter().map(|e| (e.from, e.to)).unzip();
        edges.retain(|e| to.contains(&e.from) && from.contains(&e.to));
        if edges.len() == before {
            return edges;
        }
    }
}

/// The reason that blocks a choice alone; a circle takes several.
fn reason(refusal: Refusal) -> Option<Reason> {
    match refusal {
        Refusal::NothingBrings { operation, needed, why, line } => {
            Some(Reason::Missing { operation, needed, why, line })
        }
        Refusal::NoMergeHolds { groups, why } => Some(Reason::Merge { groups, why }),
        _ => None,
    }
}

/// What blocks a choice also blocks one that has the same and more; and of two reasons between the same operations, one that
/// counts in fewer choices helps no set to be smaller.
fn drop_covered(blocked: &mut Vec<Blocked>) {
    let covers = |a: &Blocked, b: &Blocked| a.alone.is_subset(&b.alone) && a.edges.is_subset(&b.edges);
    let mut at = 0;
    while at < blocked.len() {
        let other = |k: usize| k != at && covers(&blocked[k], &blocked[at]);
        if (0..blocked.len()).any(other) {
            blocked.remove(at);
        } else {
            at += 1;
        }
    }
    let mut counts: BTreeMap<(usize, usize), BTreeMap<usize, u64>> = BTreeMap::new();
    for (n, choice) in blocked.iter().enumerate() {
        for &(from, to, reason) in &choice.edges {
            *counts.entry((from, to)).or_default().entry(reason).or_default() |= 1 << n;
        }
    }
    for choice in blocked {
        choice.edges.retain(|(from, to, own)| {
            let beside = &counts[&(*from, *to)];
            let mask = beside[own];
            beside.iter().all(|(k, m)| k == own || mask & !m != 0 || (mask == *m && own < k))
        });
    }
}

impl Blocked {
    /// True where the reasons taken leave no order.
    fn by(&self, taken: &[bool]) -> bool {
        self.alone.iter().any(|k| taken[*k]) || {
            let mut left: Vec<(usize, usize)> =
                self.edges.iter().filter(|(.., k)| taken[*k]).map(|(a, b, _)| (*a, *b)).collect();
            loop {
                let ends: BTreeSet<usize> = left.iter().map(|(_, to)| *to).collect();
                let before = left.len();
                left.retain(|(from, _)| ends.contains(from));
                if left.len() == before {
                    break !left.is_empty();
                }
            }
        }
    }
}

struct Search<'a> {
    choices: &'a [Blocked],
    taken: Vec<bool>,
    best: Option<Vec<usize>>,
    patience: u32,
}

impl Search<'_> {
    /// A first set, so that larger ones are not followed: each choice in turn is blocked by the fewest reasons more.
    fn first(&mut self) {
        while let Some(open) = self.choices.iter().find(|choice| !choice.by(&self.taken)) {
            let ways = (1..=self.taken.len()).map(|room| self.ways(open, room)).find(|ways| !ways.is_empty());
            let Some(way) = ways.and_then(|ways| ways.into_iter().next()) else { break };
            way.into_iter().for_each(|k| self.taken[k] = true);
        }
        if self.choices.iter().all(|choice| choice.by(&self.taken)) {
            self.best = Some((0..self.taken.len()).filter(|k| self.taken[*k]).collect());
        }
        self.taken.fill(false);
    }

    /// Follows every way to block the first choice that is still open.
    fn widen(&mut self, size: usize) {
        let room = self.best.as_ref().map_or(self.taken.len(), |best| best.len().saturating_sub(1));
        if size > room {
            return;
        }
        let Some(open) = self.choices.iter().find(|choice| !choice.by(&self.taken)) else {
            self.best = Some((0..self.taken.len()).filter(|k| self.taken[*k]).collect());
            return;
        };
        for way in self.ways(open, room - size) {
            way.iter().for_each(|k| self.taken[*k] = true);
            self.widen(size + way.len());
            way.iter().for_each(|k| self.taken[*k] = false);
            if self.patience == 0 {
                return;
            }
        }
    }

    /// Every way to block a choice by at most `room` reasons more, the fewest first.
    fn ways(&mut self, choice: &Blocked, room: usize) -> Vec<Vec<usize>> {
        if room == 0 {
            return Vec::new();
        }
        let mut next: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
        for &(from, to, reason) in &choice.edges {
            next.entry(from).or_default().push((to, reason));
        }
        let mut found: BTreeSet<Vec<usize>> = choice.alone.iter().map(|k| vec![*k]).collect();
        // Each circle is walked from the first of its operations in the list, so that it is found once.
        for &start in next.keys() {
            let home = self.distances(choice, start);
            let mut round = Round { next: &next, home: &home, start, seen: BTreeSet::from([start]), new: Vec::new() };
            self.go_round(&mut round, start, room, &mut found);
        }
        let mut ways: Vec<Vec<usize>> = found.into_iter().collect();
        ways.sort_by_key(Vec::len);
        ways
    }

    /// Reasons still to be taken from each operation to `start`, over operations that come after it in the list alone.
    fn distances(&self, choice: &Blocked, start: usize) -> BTreeMap<usize, usize> {
        let mut home = BTreeMap::from([(start, 0)]);
        loop {
            let mut changed = false;
            for &(from, to, reason) in choice.edges.iter().filter(|(from, to, _)| *from >= start && *to >= start) {
                let Some(far) = home.get(&to).map(|far| far + usize::from(!self.taken[reason])) else { continue };
                if from != start && home.get(&from).is_none_or(|old| far < *old) {
                    home.insert(from, far);
                    changed = true;
                }
            }
            if !changed {
                return home;
            }
        }
    }

    fn go_round(&mut self, round: &mut Round<'_>, at: usize, room: usize, found: &mut BTreeSet<Vec<usize>>) {
        for &(to, reason) in round.next.get(&at).into_iter().flatten() {
            let Some(far) = round.home.get(&to) else { continue };
            let new = usize::from(!self.taken[reason]);
            if self.patience == 0 || new + far > room || (to != round.start && round.seen.contains(&to)) {
                continue;
            }
            self.patience -= 1;
            round.new.extend((new == 1).then_some(reason));
            if to == round.start {
                let mut set = round.new.clone();
                set.sort_unstable();
                found.insert(set);
            } else {
                round.seen.insert(to);
                self.go_round(round, to, room - new, found);
                round.seen.remove(&to);
            }
            if new == 1 {
                round.new.pop();
            }
        }
    }

    /// Reasons that block every choice, none of which can be left out: from a set that blocks, or from all there are.
    fn irreducible(&mut self, from: Option<Vec<usize>>) -> Vec<usize> {
        let mut set = from.unwrap_or_else(|| (0..self.taken.len()).collect());
        let mut at = 0;
        while at < set.len() {
            let left: Vec<usize> = set.iter().copied().filter(|k| *k != set[at]).collect();
            let mut taken = vec![false; self.taken.len()];
            left.iter().for_each(|k| taken[*k] = true);
            if self.choices.iter().all(|choice| choice.by(&taken)) {
                set = left;
            } else {
                at += 1;
            }
        }
        set
    }
}

/// One walk round, on its way back to where it began.
struct Round<'a> {
    next: &'a BTreeMap<usize, Vec<(usize, usize)>>,
    home: &'a BTreeMap<usize, usize>,
    start: usize,
    seen: BTreeSet<usize>,
    new: Vec<usize>,
}
