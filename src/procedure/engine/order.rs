//! The one order: a topological sort whose ties are fixed, so that the same spec always gives the same steps.

use std::cmp::Reverse;

use super::model::{Edge, Work};

/// Sorts the operations along the edges. Among those that may come next: same place, same tool, same instrument as
/// the one before, a joint not left half done, then the id (numbers in ids by value).
///
/// The graph must be free of circles; what a circle holds back is left out.
#[must_use]
pub fn sort(works: &[Work], edges: &[Edge]) -> Vec<usize> {
    let mut open = vec![0usize; works.len()];
    let mut later = vec![Vec::new(); works.len()];
    for edge in edges {
        open[edge.to] += 1;
        later[edge.from].push(edge.to);
    }
    let mut ready: Vec<usize> = (0..works.len()).filter(|&at| open[at] == 0).collect();
    let mut order = Vec::with_capacity(works.len());
    while let Some(pick) = next(works, &ready, order.last().copied()) {
        ready.retain(|&at| at != pick);
        order.push(pick);
        for &to in &later[pick] {
            open[to] -= 1;
            if open[to] == 0 {
                ready.push(to);
            }
        }
    }
    order
}

fn next(works: &[Work], ready: &[usize], last: Option<usize>) -> Option<usize> {
    let last = last.map(|at| &works[at]);
    ready.iter().copied().min_by_key(|&at| {
        let work = &works[at];
        let same = |get: fn(&Work) -> &str| last.is_some_and(|l| get(l) == get(work));
        (
            Reverse(same(|w| &w.place)),
            // A group once begun is carried on before another joint is opened.
            Reverse(carries_on(last, work)),
            Reverse(same(|w| &w.tool)),
            Reverse(same(|w| &w.instrument)),
            work.opens_joint,
            natural(&work.id),
        )
    })
}

fn carries_on(last: Option<&Work>, work: &Work) -> bool {
    match (last.and_then(|l| l.raises.as_ref()), &work.raises) {
        (Some((a, _)), Some((b, _))) => a == b,
        _ => false,
    }
}

/// Sort key in which "part-2" comes before "part-10".
fn natural(id: &str) -> Vec<(u64, String)> {
    id.split('-').map(|word| (word.parse().unwrap_or(u64::MAX), word.to_owned())).collect()
}
