//! From needs to edges.

use std::collections::HashMap;

use super::model::{Edge, Group, Id, Need, Refusal, Stage, What, Work};

/// Turns every need into edges, and chains the stages of each group.
///
/// # Errors
/// [`Refusal::NothingBrings`] where a part, fact or held freedom is needed that no operation provides.
pub fn derive(works: &[Work], groups: &[Group]) -> Result<Vec<Edge>, Refusal> {
    let index = Index::new(works, groups);
    let mut edges = index.stage_chains();
    for (at, work) in works.iter().enumerate() {
        for need in &work.needs {
            index.edges_of(at, work, need, &mut edges)?;
        }
    }
    edges.retain(|e| e.from != e.to);
    edges.sort_by(|a, b| (a.to, a.from, &a.why).cmp(&(b.to, b.from, &b.why)));
    edges.dedup_by(|a, b| (a.to, a.from, &a.why) == (b.to, b.from, &b.why));
    Ok(edges)
}

struct Index<'a> {
    groups: &'a [Group],
    adders: HashMap<&'a str, Vec<usize>>,
    makers: HashMap<&'a str, Vec<usize>>,
    /// Raises of each group, lowest stage first.
    raises: HashMap<&'a str, Vec<(Stage, usize)>>,
}

impl<'a> Index<'a> {
    fn new(works: &'a [Work], groups: &'a [Group]) -> Self {
        let mut index = Self { groups, adders: HashMap::new(), makers: HashMap::new(), raises: HashMap::new() };
        for (at, work) in works.iter().enumerate() {
            for part in &work.adds {
                index.adders.entry(part).or_default().push(at);
            }
            for fact in &work.makes {
                index.makers.entry(fact).or_default().push(at);
            }
            if let Some((group, stage)) = &work.raises {
                index.raises.entry(group).or_default().push((*stage, at));
            }
        }
        for list in index.raises.values_mut() {
            list.sort_unstable();
        }
        index
    }

    fn stage_chains(&self) -> Vec<Edge> {
        let mut edges = Vec::new();
        for (group, list) in &self.raises {
            for pair in list.windows(2) {
                edges.push(Edge {
                    from: pair[0].1,
                    to: pair[1].1,
                    why: format!("the stages of {group} rise, {} before {}", pair[0].0, pair[1].0),
                    line: None,
                    hard: true,
                });
            }
        }
        edges
    }

    fn edges_of(&self, at: usize, work: &Work, need: &Need, out: &mut Vec<Edge>) -> Result<(), Refusal> {
        let before = |from: usize| Edge { from, to: at, why: need.why.clone(), line: need.line, hard: true };
        let after = |to: usize| Edge { to, ..Edge { from: at, ..before(at) } };
        match &need.what {
            What::Present(part) => out.extend(found(&self.adders, part, work, need)?.iter().copied().map(before)),
            What::Fact(fact) => out.extend(found(&self.makers, fact, work, need)?.iter().copied().map(before)),
            What::Absent(part) => {
                out.extend(self.adders.get(part.as_str()).into_iter().flatten().copied().map(after));
            }
            What::Open(freedom) => out.extend(self.closers(freedom).into_iter().map(after)),
            What::Closed(freedom) => {
                let closers = self.closers(freedom);
                if closers.is_empty() {
                    return Err(nothing(freedom, work, need));
                }
                out.extend(closers.into_iter().map(before));
            }
        }
        Ok(())
    }

    /// For each group that holds the freedom, the first raise that closes it.
    fn closers(&self, freedom: &str) -> Vec<usize> {
        self.groups
            .iter()
            .flat_map(|g| g.holds.iter().map(move |h| (g, h)))
            .filter(|(_, (held, _))| held == freedom)
            .filter_map(|(g, (_, from))| {
                let list = self.raises.get(g.id.as_str())?;
                list.iter().find(|(stage, _)| stage >= from).map(|(_, at)| *at)
            })
            .collect()
    }
}

fn found<'m>(map: &'m HashMap<&str, Vec<usize>>, key: &Id, work: &Work, need: &Need) -> Result<&'m [usize], Refusal> {
    map.get(key.as_str()).map(Vec::as_slice).ok_or_else(|| nothing(key, work, need))
}

fn nothing(needed: &str, work: &Work, need: &Need) -> Refusal {
    Refusal::NothingBrings {
        operation: work.id.clone(),
        needed: needed.to_owned(),
        why: need.why.clone(),
        line: need.line,
    }
}
