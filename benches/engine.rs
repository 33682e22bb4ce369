//! How long the engine takes: 200 groups with 1,000 bolts and five alternatives, growth from 250 to 4,000 bolts, and a
//! changeover of the same. `cargo bench` prints the times; nothing is asserted.

use std::time::Instant;

use runtrue::procedure::engine::{Goal, Group, Item, Need, Stage, State, What, Work, path};

fn need(what: What, why: &str) -> Need {
    Need { what, why: why.to_owned(), line: None, lasting: true }
}

/// Groups in a row: each joins a part to the one before, is raised in three stages, and is measured when it holds.
fn machine(groups: usize, bolts_each: u32, alternatives: usize, changed: usize) -> (Vec<Work>, Vec<Group>) {
    let mut works = Vec::new();
    let mut list = Vec::new();
    for k in 0..groups {
        let group = format!("g{k}");
        let freedom = format!("slide:{k}");
        list.push(Group { id: group.clone(), holds: vec![(freedom.clone(), Stage::Snug)] });
        let place = format!("place {}", k / 20);
        let tool = format!("key {}", k % 4);
        let mut fit = Work {
            id: format!("fit-{k}"),
            parts: vec![format!("p{k}")],
            adds: vec![format!("p{k}")],
            key: if k >= groups - changed { "other".into() } else { String::new() },
            place: place.clone(),
            needs: vec![need(What::Open(freedom.clone()), "it slides on")],
            ..Work::default()
        };
        if k > 0 {
            fit.needs.push(need(What::Present(format!("p{}", k - 1)), "it stands on its neighbour"));
        }
        works.push(fit);
        for stage in [Stage::Hand, Stage::Snug, Stage::Final] {
            works.push(Work {
                id: format!("tighten-{k}-{stage}"),
                parts: vec![format!("p{k}")],
                raises: Some((group.clone(), stage)),
                bolts: bolts_each,
                readings: 1,
                place: place.clone(),
                tool: tool.clone(),
                needs: vec![need(What::Present(format!("p{k}")), "its bolts sit in it")],
                ..Work::default()
            });
        }
        let mut measure = Work {
            id: format!("measure-{k}"),
            parts: vec![format!("p{k}")],
            readings: 1,
            place,
            instrument: "gauge".into(),
            needs: vec![need(What::Closed(freedom.clone()), "it is measured when it holds")],
            ..Work::default()
        };
        if k < alternatives {
            let ways = vec![vec![What::Absent(format!("p{}", groups - 1))], vec![What::Closed(freedom)]];
            measure.needs.push(need(What::AtLeast(1, ways), "either way tells"));
        }
        works.push(measure);
    }
    (works, list)
}

fn timed(name: &str, run: impl FnOnce() -> usize) {
    let start = Instant::now();
    let steps = run();
    println!("{name:<52} {steps:>6} steps {:>9.1} ms", start.elapsed().as_secs_f64() * 1000.0);
}

fn build(groups: usize, bolts_each: u32, alternatives: usize) -> usize {
    let (works, list) = machine(groups, bolts_each, alternatives, 0);
    let goal = Goal { works: &works, groups: &list, couplings: &[] };
    path(&State::default(), &goal).map_or(0, |p| p.items.len())
}

fn changeover(groups: usize, bolts_each: u32, alternatives: usize, changed: usize) -> usize {
    let (before, list) = machine(groups, bolts_each, alternatives, 0);
    let (after, _) = machine(groups, bolts_each, alternatives, changed);
    let first = path(&State::default(), &Goal { works: &before, groups: &list, couplings: &[] });
    let Ok(first) = first else { return 0 };
    let done =
        first.items.iter().filter_map(|i| if let Item::Do(at) = i { Some(first.works[*at].clone()) } else { None });
    let state = State { done: done.collect(), groups: list.clone(), ..State::default() };
    path(&state, &Goal { works: &after, groups: &list, couplings: &[] }).map_or(0, |p| p.items.len())
}

fn main() {
    timed("build: 200 groups, 1000 bolts, 5 alternatives", || build(200, 5, 5));
    for groups in [50, 100, 200, 400, 800] {
        timed(&format!("build: {groups} groups, {} bolts", groups * 5), || build(groups, 5, 0));
    }
    timed("build and changeover of 200 groups, 5 alternatives", || changeover(200, 5, 5, 20));
    timed("build and changeover of 800 groups", || changeover(800, 5, 0, 20));
}
