//! How long the engine takes: 200 groups with 1,000 bolts and five alternatives, growth from 250 to 4,000 bolts, and a
//! changeover of the same.

use std::hint::black_box;

use runtrue::procedure::engine::{Goal, Group, Item, Need, Stage, State, What, Work, path};

use super::{Table, Times};

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

pub fn measure(table: &mut Table) {
    let five = Times::of(|| {
        black_box(build(200, 5, 5));
    });
    table.ms("order of 1,000 bolts in 200 groups, 5 alternatives", &five, Some((0.5, 50.0)));
    let mut each = Vec::new();
    for groups in [50, 100, 200, 400, 800] {
        let times = Times::of(|| {
            black_box(build(groups, 5, 0));
        });
        each.push(times.median());
        let bound = (groups == 200).then_some((0.5, 50.0));
        table.ms(&format!("order of {} bolts in {groups} groups", groups * 5), &times, bound);
    }
    // Near linear: four times the bolts take no more than six times as long.
    let growth = each[4] / each[2];
    table.add("4,000 bolts / 1,000 bolts", (format!("{growth:.2}"), String::new()), 30, ("6 times", growth < 6.0));
    for (groups, alternatives) in [(200, 5), (800, 0)] {
        let times = Times::of(|| {
            black_box(changeover(groups, 5, alternatives, 20));
        });
        table.ms(&format!("order and changeover of {} bolts, {alternatives} alternatives", groups * 5), &times, None);
    }
}
