//! The search for the order against the same search written plainly: every walk whole, everything reckoned anew at each step.

use std::collections::HashMap;

use super::model::{Stage, Work};
use super::order::{Walk, natural, sort};
use super::random::Dice;

/// Every walk kept at each step up to twelve operations, with more of them 3,000 for all operations together.
fn plainly(works: &[Work], edges: &[(usize, usize)]) -> Vec<usize> {
    let mut by_id: Vec<usize> = (0..works.len()).collect();
    by_id.sort_by_cached_key(|&at| natural(&works[at].id));
    let number: HashMap<usize, usize> = by_id.iter().enumerate().map(|(k, &at)| (at, k)).collect();
    let width = if works.len() <= 12 { usize::MAX } else { (3_000 / works.len()).max(1) };
    let walk = |order: &[usize]| Walk::of(works, &order.iter().map(|&k| by_id[k]).collect::<Vec<_>>());
    let mut front: Vec<Vec<usize>> = vec![Vec::new()];
    loop {
        // Walks that did the same and end at the same operation: the cheapest, of equal ones that of the lower ids.
        let mut next: HashMap<(Vec<usize>, usize), (Walk, Vec<usize>)> = HashMap::new();
        for order in &front {
            let waits = |k: usize| edges.iter().any(|(from, to)| number[to] == k && !order.contains(&number[from]));
            let free: Vec<usize> = (0..works.len()).filter(|k| !order.contains(k) && !waits(*k)).collect();
            let clock = free.iter().copied().find(|&k| works[by_id[k]].waits);
            for at in clock.map_or(free, |at| vec![at]) {
                let mut order = order.clone();
                order.push(at);
                let mut done = order.clone();
                done.sort_unstable();
                let new = (walk(&order), order);
                let kept = next.entry((done, at)).or_insert_with(|| new.clone());
                if new < *kept {
                    *kept = new;
                }
            }
        }
        if next.is_empty() {
            return front.first().map_or_else(Vec::new, |order| order.iter().map(|&k| by_id[k]).collect());
        }
        let mut bounded: Vec<(Walk, Vec<usize>)> =
            next.into_values().map(|(cost, order)| (bound(works, &by_id, cost, &order), order)).collect();
        bounded.sort();
        bounded.truncate(width);
        front = bounded.into_iter().map(|(_, order)| order).collect();
    }
}

/// The cost, and one change for each place, tool and instrument that is still needed and not in hand.
fn bound(works: &[Work], by_id: &[usize], cost: Walk, order: &[usize]) -> Walk {
    let names = |name: fn(&Work) -> &String| {
        let here = order.last().map_or("", |&k| name(&works[by_id[k]]));
        let left = (0..works.len()).filter(|k| !order.contains(k)).map(|k| name(&works[by_id[k]]).as_str());
        let mut left: Vec<&str> = left.filter(|n| !n.is_empty() && *n != here).collect();
        left.sort_unstable();
        left.dedup();
        left.len() as u32
    };
    Walk {
        places: cost.places + names(|w| &w.place),
        tools: cost.tools + names(|w| &w.tool),
        instruments: cost.instruments + names(|w| &w.instrument),
        left_open: cost.left_open,
    }
}

/// Operations in no order of their ids, at places with tools and instruments; some start a clock, some edges are told twice.
fn module(dice: &mut Dice, n: usize) -> (Vec<Work>, Vec<(usize, usize)>) {
    let stages = [Stage::Hand, Stage::Snug, Stage::Final];
    let work = |dice: &mut Dice| Work {
        id: format!("{}-{}", ["a", "part", "10"][dice.roll(3)], dice.roll(900)),
        place: ["", "bench", "frame", "base", "key"][dice.roll(5)].into(),
        tool: ["", "", "key", "wrench"][dice.roll(4)].into(),
        instrument: ["", "rule", "gauge"][dice.roll(3)].into(),
        raises: (dice.roll(3) == 0).then(|| (format!("g{}", dice.roll(3)), stages[dice.roll(3)])),
        waits: dice.roll(15) == 0,
        ..Work::default()
    };
    let works = (0..n).map(|_| work(dice)).collect();
    let mut edges = Vec::new();
    for _ in 0..n * (1 + dice.roll(2)) {
        let (a, b) = (dice.roll(n as u64), dice.roll(n as u64));
        if a != b {
            edges.extend(vec![(a.min(b), a.max(b)); 1 + dice.roll(2)]);
        }
    }
    // Now and then a circle, which holds back what it can.
    if n > 3 && dice.roll(20) == 0 {
        edges.extend([(n - 1, n - 2), (n - 2, n - 1)]);
    }
    (works, edges)
}

#[test]
fn the_order_is_the_one_of_the_plain_search() {
    let mut dice = Dice(1212);
    let mut short = 0;
    for round in 0..150 {
        let n = match round {
            0..135 => 1 + dice.roll(7),
            135..148 => 13 + dice.roll(8),
            _ => 40,
        };
        let (works, edges) = module(&mut dice, n);
        let order = sort(&works.iter().collect::<Vec<_>>(), &edges);
        assert_eq!(order, plainly(&works, &edges), "round {round}: {works:#?}");
        short += usize::from(order.len() < n);
    }
    assert!(short > 2, "circles were among them");
}

#[test]
fn a_long_row_keeps_one_walk_alone() {
    // Over 3,000 operations one walk is left at each step: the cheapest next operation is taken.
    let n = 3_100;
    let work = |k: usize| Work { id: format!("w-{k}"), place: format!("place {}", k % 3), ..Work::default() };
    let works: Vec<Work> = (0..n).map(work).collect();
    let edges: Vec<(usize, usize)> = (0..n - 3).map(|k| (k, k + 3)).collect();
    let order = sort(&works.iter().collect::<Vec<_>>(), &edges);
    let expected: Vec<usize> = (0..3).flat_map(|first| (first..n).step_by(3)).collect();
    assert_eq!(order, expected);
}

/// Counted by hand, each kind of change alone and all together.
#[test]
fn a_walk_costs_its_changes_of_place_tool_and_instrument() {
    let work = |place: &str, tool: &str, instrument: &str| Work {
        place: place.into(),
        tool: tool.into(),
        instrument: instrument.into(),
        ..Work::default()
    };
    let cost = |works: &[Work]| {
        let walk = Walk::of(works, &(0..works.len()).collect::<Vec<_>>());
        [walk.places, walk.tools, walk.instruments, walk.left_open]
    };
    let bench = || work("bench", "key", "rule");
    assert_eq!(cost(&[bench(), bench()]), [0, 0, 0, 0]);
    assert_eq!(cost(&[bench(), work("frame", "key", "rule")]), [1, 0, 0, 0]);
    assert_eq!(cost(&[bench(), work("bench", "wrench", "rule")]), [0, 1, 0, 0]);
    assert_eq!(cost(&[bench(), work("bench", "key", "gauge")]), [0, 0, 1, 0]);
    // What needs no tool lays none down; taken up for the next step it is a change.
    assert_eq!(cost(&[bench(), work("bench", "", "")]), [0, 0, 0, 0]);
    assert_eq!(cost(&[bench(), work("", "", ""), bench()]), [1, 1, 1, 0]);
    let raised = |group: &str, stage| Work { raises: Some((group.into(), stage)), ..bench() };
    assert_eq!(cost(&[raised("rods", Stage::Snug), raised("rods", Stage::Final), bench()]), [0, 0, 0, 0]);
    assert_eq!(cost(&[raised("rods", Stage::Snug), raised("hub", Stage::Final)]), [0, 0, 0, 1]);
    // To the frame with another tool, back with the first, to the gauge; rods left snug for the frame.
    let walk =
        [raised("rods", Stage::Snug), work("frame", "wrench", "rule"), bench(), work("bench", "key", "gauge"), bench()];
    assert_eq!(cost(&walk), [2, 2, 2, 1]);
    // Fewer changes of place outweigh any number of the others.
    let (near, far) = ([bench(), work("bench", "wrench", "gauge")], [bench(), work("frame", "key", "rule")]);
    assert!(Walk::of(&near, &[0, 1]) < Walk::of(&far, &[0, 1]));
}
