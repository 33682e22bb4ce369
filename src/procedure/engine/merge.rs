//! Two groups that share a contact: every way to merge their stages is scored, the best becomes edges.

use super::model::{Edge, Refusal, Work};

/// Most merges that are compared.
const MOST: usize = 5_000;

/// What one merge is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The smallest slip safety left of any joint on the torque path, at the worse friction.
    pub safety: f64,
    /// Why the merge is refused outright, if it is.
    pub refused: Option<String>,
    /// The figures, as a clause.
    pub words: String,
}

/// Scores one merge, given as operations in order.
type Judge<'a> = Box<dyn Fn(&[usize]) -> Score + 'a>;

/// Two chains of operations and what a merge of them is worth.
pub struct Coupling<'a> {
    /// Stages of the first group, in order.
    pub first: Vec<usize>,
    /// Stages of the second group, in order.
    pub second: Vec<usize>,
    /// Scores a merge of both.
    pub score: Judge<'a>,
}

/// Chooses the best merge that obeys the edges, and returns the edges that fix it.
///
/// Order of choice: largest safety left, then fewest changes between the two groups, then the first group earlier.
///
/// # Errors
/// [`Refusal::TooManyMerges`] over 5,000 merges; [`Refusal::NoMergeHolds`] where each one is refused.
pub fn choose(works: &[Work], edges: &[Edge], coupling: &Coupling<'_>) -> Result<Vec<Edge>, Refusal> {
    let names = || (name(works, &coupling.first), name(works, &coupling.second));
    let merges = merges(&coupling.first, &coupling.second);
    if merges.len() > MOST {
        let (a, b) = names();
        return Err(Refusal::TooManyMerges(a, b));
    }
    let reach = Reach::new(works.len(), edges);
    let scored: Vec<(Vec<usize>, Score)> = merges
        .into_iter()
        .filter(|order| reach.allows(order))
        .map(|order| {
            let score = (coupling.score)(&order);
            (order, score)
        })
        .collect();
    let best = scored.iter().filter(|(_, s)| s.refused.is_none()).min_by(|(a, s), (b, t)| {
        t.safety
            .total_cmp(&s.safety)
            .then_with(|| changes(a, coupling).cmp(&changes(b, coupling)))
            .then_with(|| a.cmp(b))
    });
    let Some((order, score)) = best else {
        let why = scored.iter().find_map(|(_, s)| s.refused.clone());
        let (a, b) = names();
        return Err(Refusal::NoMergeHolds(a, b, why.unwrap_or_else(|| "the needs leave no order".into())));
    };
    let worst = scored.iter().map(|(_, s)| s).min_by(|s, t| s.safety.total_cmp(&t.safety));
    let why = match worst {
        Some(w) if w.words != score.words => {
            format!("{}; the worst order: {}", score.words, w.words)
        }
        _ => score.words.clone(),
    };
    Ok(fix(order, coupling, &why))
}

fn name(works: &[Work], chain: &[usize]) -> String {
    let group = chain.first().and_then(|&at| works[at].raises.as_ref());
    group.map_or_else(String::new, |(group, _)| group.clone())
}

/// All merges of two chains, each chain in its own order.
fn merges(a: &[usize], b: &[usize]) -> Vec<Vec<usize>> {
    let mut out = Vec::new();
    let mut line = Vec::with_capacity(a.len() + b.len());
    extend(a, b, &mut line, &mut out);
    out
}

fn extend(a: &[usize], b: &[usize], line: &mut Vec<usize>, out: &mut Vec<Vec<usize>>) {
    if out.len() > MOST {
        return;
    }
    if a.is_empty() && b.is_empty() {
        out.push(line.clone());
        return;
    }
    for (chain, other, first) in [(a, b, true), (b, a, false)] {
        let Some((head, rest)) = chain.split_first() else {
            continue;
        };
        line.push(*head);
        if first {
            extend(rest, other, line, out);
        } else {
            extend(other, rest, line, out);
        }
        line.pop();
    }
}

fn changes(order: &[usize], coupling: &Coupling<'_>) -> usize {
    order.windows(2).filter(|w| coupling.first.contains(&w[0]) != coupling.first.contains(&w[1])).count()
}

fn fix(order: &[usize], coupling: &Coupling<'_>, why: &str) -> Vec<Edge> {
    order
        .windows(2)
        .filter(|w| coupling.first.contains(&w[0]) != coupling.first.contains(&w[1]))
        .map(|w| Edge { from: w[0], to: w[1], why: why.to_owned(), line: None, hard: false })
        .collect()
}

/// Which operation is before which, over all edges.
struct Reach {
    later: Vec<Vec<usize>>,
}

impl Reach {
    fn new(count: usize, edges: &[Edge]) -> Self {
        let mut later = vec![Vec::new(); count];
        for edge in edges {
            later[edge.from].push(edge.to);
        }
        Self { later }
    }

    fn before(&self, from: usize, to: usize) -> bool {
        let mut seen = vec![false; self.later.len()];
        let mut stack = vec![from];
        while let Some(at) = stack.pop() {
            if at == to {
                return true;
            }
            if !std::mem::replace(&mut seen[at], true) {
                stack.extend(&self.later[at]);
            }
        }
        false
    }

    fn allows(&self, order: &[usize]) -> bool {
        order.iter().enumerate().all(|(k, &early)| order[k + 1..].iter().all(|&late| !self.before(late, early)))
    }
}
