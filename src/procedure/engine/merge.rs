//! Groups that share a contact form a cluster: every way to merge their stages is scored, the best becomes edges.

use super::model::{Edge, Id, Refusal, Stage, Work};
use super::reach::Reach;

/// Most merges that are compared.
const MOST: usize = 5_000;

/// What one merge is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The smallest slip safety left of any joint on the torque path, low and high friction taken each for the worse.
    pub safety: f64,
    /// The same with every friction low, and with every friction high.
    pub by_friction: [f64; 2],
    /// Why the merge is refused outright, if it is.
    pub refused: Option<String>,
    /// The figures, as a clause.
    pub words: String,
}

impl Score {
    /// Of a joint that is not there: nothing speaks for one order or the other.
    #[must_use]
    pub fn none() -> Self {
        Self { safety: 0.0, by_friction: [0.0; 2], refused: None, words: String::new() }
    }
}

/// Two groups that share a contact, and what an order of their stages is worth.
pub type Coupled<'a> = (Id, Id, Judge<'a>);

/// Scores one order of the stages of two groups.
pub type Judge<'a> = &'a dyn Fn(&[(Id, Stage)]) -> Score;

/// One way to merge the stages of a cluster.
struct Merge {
    order: Vec<usize>,
    score: Score,
    changes: usize,
}

/// Chooses the best merge of every cluster and returns the edges that fix it.
///
/// Order of choice: largest safety left, then fewest tool changes, then the order of the spec.
///
/// # Errors
/// [`Refusal::TooManyMerges`] over 5,000 merges; [`Refusal::NoMergeHolds`] where each one is refused.
pub fn choose(works: &[Work], edges: &[Edge], couplings: &[Coupled<'_>]) -> Result<(Vec<Edge>, f64), Refusal> {
    let mut fixed = Vec::new();
    let mut least = f64::INFINITY;
    if couplings.is_empty() {
        return Ok((fixed, least));
    }
    let reach = Reach::new(works.len(), edges);
    for groups in clusters(couplings) {
        let chains: Vec<Vec<usize>> = groups.iter().map(|g| chain(works, g)).collect();
        let orders = merges(&chains, &reach).ok_or_else(|| Refusal::TooManyMerges(groups.clone()))?;
        let (edges, safety) = best(works, &groups, orders, couplings)?;
        fixed.extend(edges);
        least = least.min(safety);
    }
    Ok((fixed, least))
}

/// Groups that hang together, each list in the order of the couplings.
fn clusters(couplings: &[Coupled<'_>]) -> Vec<Vec<Id>> {
    let mut all: Vec<Vec<Id>> = Vec::new();
    for (a, b, _) in couplings {
        let (mut with, without): (Vec<_>, Vec<_>) = all.into_iter().partition(|c| c.contains(a) || c.contains(b));
        let mut one: Vec<Id> = with.drain(..).flatten().collect();
        one.extend([a.clone(), b.clone()].into_iter().filter(|id| !one.contains(id)).collect::<Vec<_>>());
        all = without;
        all.push(one);
    }
    all
}

fn chain(works: &[Work], group: &str) -> Vec<usize> {
    let raises = works.iter().enumerate().filter_map(|(at, w)| w.raises.as_ref().map(|(g, s)| (g, *s, at)));
    let mut list: Vec<(Stage, usize)> = raises.filter(|(g, ..)| *g == group).map(|(_, s, at)| (s, at)).collect();
    list.sort_unstable();
    list.into_iter().map(|(_, at)| at).collect()
}

fn best(
    works: &[Work],
    groups: &[Id],
    orders: Vec<Vec<usize>>,
    couplings: &[Coupled<'_>],
) -> Result<(Vec<Edge>, f64), Refusal> {
    let judge = |order: Vec<usize>| {
        let stages: Vec<(Id, Stage)> = order.iter().filter_map(|&at| works[at].raises.clone()).collect();
        let changes = order.windows(2).filter(|w| works[w[0]].tool != works[w[1]].tool).count();
        Merge { score: score(&stages, groups, couplings), order, changes }
    };
    let merges: Vec<Merge> = orders.into_iter().map(judge).collect();
    let holds = merges.iter().filter(|m| m.score.refused.is_none());
    let winner = holds.min_by(|a, b| {
        b.score.safety.total_cmp(&a.score.safety).then(a.changes.cmp(&b.changes)).then_with(|| a.order.cmp(&b.order))
    });
    let Some(winner) = winner else {
        let why = merges.iter().find_map(|m| m.score.refused.clone());
        let why = why.unwrap_or_else(|| "the needs leave no order".into());
        return Err(Refusal::NoMergeHolds { groups: groups.to_vec(), why });
    };
    let why = words(&merges, winner);
    Ok((fix(works, &winner.order, &why), winner.score.safety))
}

/// The least of all couplings inside the cluster, with the words of each.
fn score(stages: &[(Id, Stage)], groups: &[Id], couplings: &[Coupled<'_>]) -> Score {
    let inside = couplings.iter().filter(|(a, ..)| groups.contains(a));
    let scores = inside.map(|(a, b, judge)| {
        let own: Vec<(Id, Stage)> = stages.iter().filter(|(g, _)| g == a || g == b).cloned().collect();
        judge(&own)
    });
    let both = |a: Score, b: Score| Score {
        safety: a.safety.min(b.safety),
        by_friction: [0, 1].map(|k| a.by_friction[k].min(b.by_friction[k])),
        refused: a.refused.or(b.refused),
        words: if a.words == b.words { a.words } else { format!("{}; {}", a.words, b.words) },
    };
    scores.reduce(both).unwrap_or_else(Score::none)
}

/// The winner's figures, those of the worst order, and at which friction another order would win.
fn words(merges: &[Merge], winner: &Merge) -> String {
    let mut words = winner.score.words.clone();
    let worst = merges.iter().map(|m| &m.score).min_by(|s, t| s.safety.total_cmp(&t.safety));
    if let Some(worst) = worst.filter(|w| w.words != winner.score.words) {
        words.push_str(&format!("; the worst order: {}", worst.words));
    }
    for (k, name) in ["low", "high"].into_iter().enumerate() {
        let other = merges.iter().max_by(|s, t| s.score.by_friction[k].total_cmp(&t.score.by_friction[k]));
        let wins = |m: &&Merge| m.score.by_friction[k] > winner.score.by_friction[k] * 1.005;
        if let Some(other) = other.filter(wins).filter(|m| m.score.words != winner.score.words) {
            words.push_str(&format!(
                "; were friction {name} everywhere, another order would keep {:.1} against {:.1}: {}",
                other.score.by_friction[k], winner.score.by_friction[k], other.score.words
            ));
        }
    }
    words
}

/// All merges that keep each chain and obey the edges; none where there are too many.
fn merges(chains: &[Vec<usize>], reach: &Reach) -> Option<Vec<Vec<usize>>> {
    let mut out = Vec::new();
    let mut heads = vec![0; chains.len()];
    let mut line = Vec::new();
    extend(chains, &mut heads, &mut line, reach, &mut out);
    (out.len() <= MOST).then_some(out)
}

fn extend(chains: &[Vec<usize>], heads: &mut [usize], line: &mut Vec<usize>, reach: &Reach, out: &mut Vec<Vec<usize>>) {
    if out.len() > MOST {
        return;
    }
    let left = |heads: &[usize]| -> Vec<usize> {
        chains.iter().zip(heads).flat_map(|(chain, &head)| chain[head..].iter().copied()).collect()
    };
    let rest = left(heads);
    if rest.is_empty() {
        out.push(line.clone());
        return;
    }
    for k in 0..chains.len() {
        let Some(&next) = chains[k].get(heads[k]) else { continue };
        if rest.iter().any(|&other| other != next && reach.before(other, next)) {
            continue;
        }
        heads[k] += 1;
        line.push(next);
        extend(chains, heads, line, reach, out);
        line.pop();
        heads[k] -= 1;
    }
}

fn fix(works: &[Work], order: &[usize], why: &str) -> Vec<Edge> {
    let group = |at: usize| works[at].raises.as_ref().map(|(g, _)| g);
    order
        .windows(2)
        .filter(|w| group(w[0]) != group(w[1]))
        .map(|w| Edge {
            from: w[0],
            to: w[1],
            why: why.to_owned(),
            line: None,
            hard: false,
            lasting: true,
            physical: true,
        })
        .collect()
}
