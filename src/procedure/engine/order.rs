//! The one order: the walk with the fewest changes of place, tool and instrument among all that obey the edges.
//!
//! The search keeps, for each set of operations done and each last operation, the cheapest walk. Where there are more
//! of these than it may keep, the dearer ones fall out; up to some ten free operations nothing falls out and the walk is the
//! cheapest there is. Ties are fixed, so the same operations always give the same order.

use std::collections::HashMap;

use super::model::{Edge, Stage, Work};

/// What a walk costs, compared from left to right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Walk {
    /// Changes of place.
    pub places: u32,
    /// Changes to another tool; a step without one changes nothing.
    pub tools: u32,
    /// Changes to another instrument.
    pub instruments: u32,
    /// Groups left half tightened for another group.
    pub left_open: u32,
}

impl Walk {
    /// Cost of an order of work.
    #[must_use]
    pub fn of(works: &[Work], order: &[usize]) -> Self {
        let mut names = HashMap::new();
        let stops: Vec<Stop> = order.iter().map(|&at| Stop::of(&works[at], &mut names)).collect();
        stops.windows(2).fold(Self::default(), |walk, w| walk.and(&w[0], &w[1]))
    }

    fn and(self, last: &Stop, next: &Stop) -> Self {
        let changed = |a: u32, b: u32| u32::from(a != b && b != 0);
        Self {
            places: self.places + changed(last.place, next.place),
            tools: self.tools + changed(last.tool, next.tool),
            instruments: self.instruments + changed(last.instrument, next.instrument),
            left_open: self.left_open + u32::from(last.half && last.group != next.group),
        }
    }
}

/// What counts of an operation on a walk, names as numbers; nought is none.
#[derive(Clone, Copy)]
struct Stop {
    place: u32,
    tool: u32,
    instrument: u32,
    group: u32,
    /// It leaves its group half tightened.
    half: bool,
}

impl Stop {
    fn of<'a>(work: &'a Work, names: &mut HashMap<&'a str, u32>) -> Self {
        let mut number = |name: &'a str| {
            let next = names.len() as u32 + 1;
            if name.is_empty() { 0 } else { *names.entry(name).or_insert(next) }
        };
        Self {
            place: number(&work.place),
            tool: number(&work.tool),
            instrument: number(&work.instrument),
            group: work.raises.as_ref().map_or(0, |(group, _)| number(group)),
            half: work.raises.as_ref().is_some_and(|(_, stage)| (Stage::Snug..Stage::Final).contains(stage)),
        }
    }
}

/// Up to this many operations every walk is kept.
const FEW: usize = 12;

/// Walks kept at each step with more operations: so many for all operations together.
const KEPT: usize = 3_000;

/// One walk so far; operations are numbered in the order of their ids.
#[derive(Clone)]
struct Way {
    cost: Walk,
    /// Cost with the changes that are still to come at least: one for each place, tool and instrument not yet in hand.
    bound: Walk,
    done: Vec<u64>,
    order: Vec<u32>,
}

/// Sorts the operations along the edges at the least cost that is found.
///
/// The graph must be free of circles; what a circle holds back is left out.
#[must_use]
pub fn sort(works: &[Work], edges: &[Edge]) -> Vec<usize> {
    let mut by_id: Vec<usize> = (0..works.len()).collect();
    by_id.sort_by_cached_key(|&at| natural(&works[at].id));
    let mut names = HashMap::new();
    let stops: Vec<Stop> = by_id.iter().map(|&at| Stop::of(&works[at], &mut names)).collect();
    let waits = waits(&by_id, edges);
    let width = if works.len() <= FEW { usize::MAX } else { (KEPT / works.len()).max(1) };
    let none = Walk::default();
    let mut front = vec![Way { cost: none, bound: none, done: vec![0; works.len().div_ceil(64)], order: Vec::new() }];
    loop {
        let mut next: HashMap<(Vec<u64>, u32), Way> = HashMap::new();
        for way in &front {
            // A clock is started as soon as it may be.
            let clock = ready(&waits, &way.done).find(|&at| works[by_id[at]].waits);
            match clock {
                Some(at) => offer(&mut next, &stops, way, at),
                None => ready(&waits, &way.done).for_each(|at| offer(&mut next, &stops, way, at)),
            }
        }
        if next.is_empty() {
            break;
        }
        front = next.into_values().collect();
        for way in &mut front {
            way.bound = bound(&stops, way);
        }
        front.sort_unstable_by(|a, b| (a.bound, &a.order).cmp(&(b.bound, &b.order)));
        front.truncate(width);
    }
    front.first().map_or_else(Vec::new, |way| way.order.iter().map(|&at| by_id[at as usize]).collect())
}

/// Keeps the cheaper of two walks that did the same and end at the same operation; of equal ones that of the lower ids.
fn offer(next: &mut HashMap<(Vec<u64>, u32), Way>, stops: &[Stop], way: &Way, at: usize) {
    let cost = way.order.last().map_or(way.cost, |&last| way.cost.and(&stops[last as usize], &stops[at]));
    let mut done = way.done.clone();
    done[at / 64] |= 1 << (at % 64);
    let key = (done, at as u32);
    if next.get(&key).is_some_and(|old| (old.cost, &old.order[..way.order.len()]) <= (cost, &way.order[..])) {
        return;
    }
    let mut order = way.order.clone();
    order.push(at as u32);
    let done = key.0.clone();
    next.insert(key, Way { cost, bound: cost, done, order });
}

/// What the walk costs at least when all is done.
fn bound(stops: &[Stop], way: &Way) -> Walk {
    let last = way.order.last().map(|&at| stops[at as usize]);
    let left = || (0..stops.len()).filter(|at| way.done[at / 64] >> (at % 64) & 1 == 0);
    let kinds = |name: fn(&Stop) -> u32| {
        let here = last.map_or(0, |stop| name(&stop));
        let mut seen = vec![0u64; stops.len() * 4 / 64 + 1];
        left()
            .map(|at| name(&stops[at]))
            .filter(|&n| n != 0 && n != here)
            .for_each(|n| seen[n as usize / 64] |= 1 << (n % 64));
        seen.iter().map(|word| word.count_ones()).sum::<u32>()
    };
    Walk {
        places: way.cost.places + kinds(|s| s.place),
        tools: way.cost.tools + kinds(|s| s.tool),
        instruments: way.cost.instruments + kinds(|s| s.instrument),
        left_open: way.cost.left_open,
    }
}

/// Sort key in which "part-2" comes before "part-10".
pub fn natural(id: &str) -> Vec<(u64, String)> {
    id.split('-').map(|word| (word.parse().unwrap_or(u64::MAX), word.to_owned())).collect()
}

/// What each operation waits for, as bits.
fn waits(by_id: &[usize], edges: &[Edge]) -> Vec<Vec<u64>> {
    let count = by_id.len();
    let mut number = vec![0; count];
    for (k, &at) in by_id.iter().enumerate() {
        number[at] = k;
    }
    let mut waits = vec![vec![0u64; count.div_ceil(64)]; count];
    for edge in edges {
        waits[number[edge.to]][number[edge.from] / 64] |= 1 << (number[edge.from] % 64);
    }
    waits
}

/// Operations not done whose predecessors are.
fn ready<'a>(waits: &'a [Vec<u64>], done: &'a [u64]) -> impl Iterator<Item = usize> + 'a {
    let open = move |at: &usize| done[at / 64] >> (at % 64) & 1 == 0;
    let free = move |at: &usize| waits[*at].iter().zip(done).all(|(b, d)| b & !d == 0);
    (0..waits.len()).filter(move |at| open(at) && free(at))
}
