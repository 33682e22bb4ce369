//! The one order: the walk with the fewest changes of place, tool and instrument among all that obey the edges.
//!
//! The search keeps, for each set of operations done and each last operation, the cheapest walk. Where there are more
//! of these than it may keep, the dearer ones fall out; up to some ten free operations nothing falls out and the walk is the
//! cheapest there is. Ties are fixed, so the same operations always give the same order.

use std::collections::HashMap;

use super::model::{Stage, Work};

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
        let mut names = Names::default();
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

/// What counts of an operation on a walk, names as numbers within their kind; nought is none.
#[derive(Clone, Copy)]
struct Stop {
    place: u32,
    tool: u32,
    instrument: u32,
    group: u32,
    /// It leaves its group half tightened.
    half: bool,
}

/// Numbers of the names met so far: places, tools, instruments, groups.
#[derive(Default)]
struct Names<'a>([HashMap<&'a str, u32>; 4]);

impl<'a> Names<'a> {
    fn number(&mut self, kind: usize, name: &'a str) -> u32 {
        let next = self.0[kind].len() as u32 + 1;
        if name.is_empty() { 0 } else { *self.0[kind].entry(name).or_insert(next) }
    }
}

impl Stop {
    fn of<'a>(work: &'a Work, names: &mut Names<'a>) -> Self {
        Self {
            place: names.number(0, &work.place),
            tool: names.number(1, &work.tool),
            instrument: names.number(2, &work.instrument),
            group: work.raises.as_ref().map_or(0, |(group, _)| names.number(3, group)),
            half: work.raises.as_ref().is_some_and(|(_, stage)| (Stage::Snug..Stage::Final).contains(stage)),
        }
    }

    /// What is changed between one operation and another.
    fn kinds(&self) -> [u32; 3] {
        [self.place, self.tool, self.instrument]
    }
}

/// Up to this many operations every walk is kept.
const FEW: usize = 12;

/// Walks kept at each step with more operations: so many for all operations together.
const KEPT: usize = 3_000;

/// The operations, numbered in the order of their ids.
struct Field {
    stops: Vec<Stop>,
    /// It starts a clock.
    clock: Vec<bool>,
    /// What waits for each operation.
    after: Vec<Vec<u32>>,
}

/// One walk so far. What was done is kept as what it leaves, so that a step costs what it changes.
#[derive(Clone)]
struct Way {
    cost: Walk,
    /// Its last line in the list of lines.
    line: Option<usize>,
    last: Option<u32>,
    /// Place of its order among those of the walks kept beside it, compared from the first operation on.
    rank: usize,
    done: Vec<u64>,
    /// Operations that may be next.
    free: Vec<u32>,
    /// How many operations each one still waits for.
    open: Vec<u32>,
    /// Operations left for each place, tool and instrument.
    left: [Vec<u32>; 3],
    /// How many places, tools and instruments have operations left.
    names: [u32; 3],
}

/// One more operation on one of the walks.
struct Next {
    /// Cost with the changes that are still to come at least: one for each place, tool and instrument not yet in hand.
    bound: Walk,
    cost: Walk,
    rank: usize,
    way: usize,
    at: u32,
}

/// Sorts the operations along the edges, each from an earlier to a later one, at the least cost that is found.
///
/// The graph must be free of circles; what a circle holds back is left out.
#[must_use]
pub fn sort(works: &[&Work], edges: &[(usize, usize)]) -> Vec<usize> {
    let mut by_id: Vec<usize> = (0..works.len()).collect();
    by_id.sort_by_cached_key(|&at| natural(&works[at].id));
    let (field, first) = Field::new(works, &by_id, edges);
    let width = if works.len() <= FEW { usize::MAX } else { (KEPT / works.len()).max(1) };
    let mut front = vec![first];
    // Each line: an operation, and the line before it.
    let mut lines: Vec<(u32, Option<usize>)> = Vec::new();
    loop {
        let mut nexts = nexts(&field, &front);
        if nexts.is_empty() {
            break;
        }
        let key = |next: &Next| (next.bound, next.rank, next.at);
        if nexts.len() > width {
            nexts.select_nth_unstable_by_key(width, key);
            nexts.truncate(width);
        }
        nexts.sort_unstable_by_key(key);
        front = taken(&field, front, &nexts, &mut lines);
    }
    let mut order = Vec::with_capacity(works.len());
    let mut line = front.first().and_then(|way| way.line);
    while let Some((at, before)) = line.map(|line| lines[line]) {
        order.push(by_id[at as usize]);
        line = before;
    }
    order.reverse();
    order
}

/// Every walk with every operation that may be next, only the cheaper of two that did the same and end at the same
/// operation; of equal ones that of the lower ids.
fn nexts(field: &Field, front: &[Way]) -> Vec<Next> {
    // Two walks did the same after an operation where they did the same before it.
    let mut same: HashMap<&[u64], usize> = HashMap::new();
    let mut place: Vec<Option<usize>> = Vec::new();
    let mut nexts: Vec<Next> = Vec::new();
    for (k, way) in front.iter().enumerate() {
        let count = same.len();
        let row = *same.entry(&way.done).or_insert(count) * field.stops.len();
        place.resize(same.len() * field.stops.len(), None);
        // A clock is started as soon as it may be.
        let clock = way.free.iter().filter(|&&at| field.clock[at as usize]).min();
        for &at in clock.map_or(way.free.as_slice(), std::slice::from_ref) {
            let next = field.next(way, k, at);
            match place[row + at as usize] {
                None => {
                    place[row + at as usize] = Some(nexts.len());
                    nexts.push(next);
                }
                Some(old) if (next.cost, next.rank) < (nexts[old].cost, nexts[old].rank) => nexts[old] = next,
                Some(_) => {}
            }
        }
    }
    nexts
}

/// The walks with those operations done.
fn taken(field: &Field, front: Vec<Way>, nexts: &[Next], lines: &mut Vec<(u32, Option<usize>)>) -> Vec<Way> {
    let mut uses = vec![0; front.len()];
    nexts.iter().for_each(|next| uses[next.way] += 1);
    let mut front: Vec<Option<Way>> = front.into_iter().map(Some).collect();
    let mut new = Vec::with_capacity(nexts.len());
    for next in nexts {
        uses[next.way] -= 1;
        // The last one that goes on from a walk takes it over.
        let way = if uses[next.way] == 0 { front[next.way].take() } else { front[next.way].clone() };
        let Some(mut way) = way else { continue };
        lines.push((next.at, way.line));
        way.line = Some(lines.len() - 1);
        way.cost = next.cost;
        field.step(&mut way, next.at);
        new.push(way);
    }
    let mut ranks: Vec<usize> = (0..new.len()).collect();
    ranks.sort_unstable_by_key(|&k| (nexts[k].rank, nexts[k].at));
    for (rank, k) in ranks.into_iter().enumerate() {
        new[k].rank = rank;
    }
    new
}

impl Field {
    /// The operations, and the walk that has done none.
    fn new(works: &[&Work], by_id: &[usize], edges: &[(usize, usize)]) -> (Self, Way) {
        let count = by_id.len();
        let mut names = Names::default();
        let stops: Vec<Stop> = by_id.iter().map(|&at| Stop::of(works[at], &mut names)).collect();
        let mut number = vec![0; count];
        for (k, &at) in by_id.iter().enumerate() {
            number[at] = k;
        }
        let mut after = vec![Vec::new(); count];
        for &(from, to) in edges {
            after[number[from]].push(number[to] as u32);
        }
        let mut open = vec![0; count];
        for list in &mut after {
            list.sort_unstable();
            list.dedup();
            list.iter().for_each(|&at| open[at as usize] += 1);
        }
        let mut left = [0, 1, 2].map(|kind| vec![0; names.0[kind].len() + 1]);
        for stop in &stops {
            for (left, name) in left.iter_mut().zip(stop.kinds()) {
                left[name as usize] += u32::from(name != 0);
            }
        }
        let first = Way {
            cost: Walk::default(),
            line: None,
            last: None,
            rank: 0,
            done: vec![0; count.div_ceil(64)],
            free: (0..count as u32).filter(|&at| open[at as usize] == 0).collect(),
            open,
            names: [0, 1, 2].map(|kind| names.0[kind].len() as u32),
            left,
        };
        let clock = by_id.iter().map(|&at| works[at].waits).collect();
        (Self { stops, clock, after }, first)
    }

    /// One walk with one operation more, and what it costs at least when all is done.
    fn next(&self, way: &Way, k: usize, at: u32) -> Next {
        let stop = &self.stops[at as usize];
        let cost = way.last.map_or(way.cost, |last| way.cost.and(&self.stops[last as usize], stop));
        // What is in hand then needs no change, whether operations are left for it or not.
        let [places, tools, instruments] = [0, 1, 2].map(|kind| way.names[kind] - u32::from(stop.kinds()[kind] != 0));
        let bound = Walk {
            places: cost.places + places,
            tools: cost.tools + tools,
            instruments: cost.instruments + instruments,
            left_open: cost.left_open,
        };
        Next { bound, cost, rank: way.rank, way: k, at }
    }

    /// Does an operation.
    fn step(&self, way: &mut Way, at: u32) {
        way.last = Some(at);
        way.done[at as usize / 64] |= 1 << (at % 64);
        way.free.retain(|&free| free != at);
        for &later in &self.after[at as usize] {
            way.open[later as usize] -= 1;
            if way.open[later as usize] == 0 {
                way.free.push(later);
            }
        }
        for (kind, name) in self.stops[at as usize].kinds().into_iter().enumerate().filter(|(_, name)| *name != 0) {
            way.left[kind][name as usize] -= 1;
            way.names[kind] -= u32::from(way.left[kind][name as usize] == 0);
        }
    }
}

/// Sort key in which "part-2" comes before "part-10".
pub fn natural(id: &str) -> Vec<(u64, String)> {
    id.split('-').map(|word| (word.parse().unwrap_or(u64::MAX), word.to_owned())).collect()
}
