//! Undoing and doing joined into one way: what is made ready first, then what comes off, then what goes on again.

use std::collections::{HashMap, HashSet};

use super::model::{Edge, What, Work};
use super::order::{self, Walk};
use super::undo::{Cause, RENEWED, State};
use super::{Candidate, Item, Path};

const REVERSE: &str = "things come off in the reverse of the order in which they hold each other";
const CLEAR: &str = "what is in the way comes off before anything goes on";

const TAKEN_OFF: &str = "it was taken off since, and is on again before it is taken off once more";

/// The whole way.
pub fn path(state: &State, state_edges: &[Edge], best: Candidate, works: Vec<Work>) -> Path {
    let todo: Vec<usize> = (0..works.len()).filter(|&at| best.fallen.todo[at]).collect();
    let (ready, rest): (Vec<usize>, Vec<usize>) = if best.undoing.is_empty() {
        (Vec::new(), todo)
    } else {
        let first = ready_first(state, &best, &works);
        todo.into_iter().partition(|&at| first[at])
    };
    let mut items: Vec<Item> = sorted(&best, &works, &ready).into_iter().map(Item::Do).collect();
    let before = items.len();
    for (undoing, by) in &best.undoing {
        let why =
            best.fallen.causes[*by].map_or_else(String::new, |cause| because(state, *by, cause, state_edges, &best));
        items.push(Item::Undo(undoing.clone(), why));
    }
    let after = items.len();
    items.extend(sorted(&best, &works, &rest).into_iter().map(Item::Do));
    let edges = edges(&best, &items, before, after);
    let order: Vec<usize> = items.iter().filter_map(|i| if let Item::Do(at) = i { Some(*at) } else { None }).collect();
    let undone = best.fallen.causes.iter().enumerate();
    let undone =
        undone.filter_map(|(at, cause)| cause.map(|c| (at, because(state, at, c, state_edges, &best)))).collect();
    Path { walk: Walk::of(&works, &order), items, edges, undone, works }
}

fn because(state: &State, at: usize, cause: Cause, state_edges: &[Edge], best: &Candidate) -> String {
    match cause {
        Cause::Failed => RENEWED.into(),
        Cause::Before => state.fallen.get(&at).cloned().unwrap_or_default(),
        Cause::NotWanted => "it is no longer wanted".into(),
        Cause::Otherwise => "it is wanted otherwise now".into(),
        Cause::ByGoal(k) => best.edges[k].why.clone(),
        Cause::ByState(k) => state_edges[k].why.clone(),
        Cause::TakenOff => TAKEN_OFF.into(),
    }
}

/// Operations on parts that are not in the machine, or are about to be exchanged: they need facts of their like only. What is done
/// anew on a part that stays waits until the machine is open.
fn ready_first(state: &State, best: &Candidate, works: &[Work]) -> Vec<bool> {
    let present = state.present();
    let exchanged = |by: &usize| matches!(best.fallen.causes[*by], Some(Cause::Failed | Cause::Otherwise));
    let loose = |work: &Work| {
        let facts_only = work.needs.iter().all(|n| matches!(n.what, What::Fact(_)));
        let off = work.adds.iter().all(|p| !present.contains_key(p.as_str()));
        facts_only
            && work.raises.is_none()
            && off
            && work.parts.iter().all(|p| present.get(p.as_str()).is_none_or(exchanged))
    };
    let mut first: Vec<bool> = works.iter().map(loose).collect();
    // Nothing is made ready that waits for something at the machine.
    let mut waits = vec![Vec::new(); works.len()];
    for edge in &best.edges {
        waits[edge.to].push(edge);
    }
    loop {
        let held = |at: &usize| waits[*at].iter().any(|e| e.physical || (best.fallen.todo[e.from] && !first[e.from]));
        let fall: Vec<usize> = (0..first.len()).filter(|at| first[*at] && held(at)).collect();
        if fall.is_empty() {
            return first;
        }
        for at in fall {
            first[at] = false;
        }
    }
}

/// The cheapest walk through some of the operations.
fn sorted(best: &Candidate, works: &[Work], some: &[usize]) -> Vec<usize> {
    let place: HashMap<usize, usize> = some.iter().enumerate().map(|(k, &at)| (at, k)).collect();
    let works: Vec<&Work> = some.iter().map(|&at| &works[at]).collect();
    let own = best.edges.iter().filter_map(|e| Some((*place.get(&e.from)?, *place.get(&e.to)?)));
    order::sort(&works, &own.collect::<Vec<_>>()).into_iter().map(|k| some[k]).collect()
}

/// Edges between the items: those of the goal, the undoing one after the other, and what waits for it.
fn edges(best: &Candidate, items: &[Item], before: usize, after: usize) -> Vec<Edge> {
    let place: HashMap<usize, usize> = items
        .iter()
        .enumerate()
        .filter_map(|(k, item)| if let Item::Do(at) = item { Some((*at, k)) } else { None })
        .collect();
    let moved = |e: &Edge| Some(Edge { from: *place.get(&e.from)?, to: *place.get(&e.to)?, ..e.clone() });
    let mut edges: Vec<Edge> = best.edges.iter().filter_map(moved).collect();
    let plain = |from, to, why: &str| Edge {
        from,
        to,
        why: why.to_owned(),
        line: None,
        hard: true,
        lasting: true,
        physical: true,
    };
    edges.extend((before + 1..after).map(|k| plain(k - 1, k, REVERSE)));
    if after > before {
        let waits: HashSet<usize> = edges.iter().filter(|e| e.from >= after).map(|e| e.to).collect();
        let roots = (after..items.len()).filter(|k| !waits.contains(k));
        edges.extend(roots.map(|k| plain(after - 1, k, CLEAR)));
    }
    edges
}
