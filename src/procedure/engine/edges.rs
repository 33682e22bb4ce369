//! From needs to edges.

use std::collections::HashMap;

use super::model::{Edge, Group, Id, Need, Refusal, Stage, What, Work};

/// As [`Index::derive`], for operations that are done: what they needed is there or has been overtaken.
pub fn derive_done(works: &[Work], groups: &[Group]) -> Vec<Edge> {
    let index = Index::new(works, groups);
    let mut edges = index.stage_chains();
    for (at, work) in works.iter().enumerate() {
        for need in &work.needs {
            // What is missing leaves no edge.
            let _ = index.edges_of(at, work, need, &mut edges);
        }
    }
    tidy(edges)
}

/// Every need that no operation meets.
pub fn missing(works: &[Work], groups: &[Group]) -> Vec<Refusal> {
    let index = Index::new(works, groups);
    let each = works.iter().enumerate().flat_map(|(at, work)| work.needs.iter().map(move |need| (at, work, need)));
    each.filter_map(|(at, work, need)| index.edges_of(at, work, need, &mut Vec::new()).err()).collect()
}

fn tidy(mut edges: Vec<Edge>) -> Vec<Edge> {
    edges.retain(|e| e.from != e.to);
    edges.sort_by(|a, b| {
        (a.to, a.from).cmp(&(b.to, b.from)).then_with(|| a.why.cmp(&b.why)).then(b.lasting.cmp(&a.lasting))
    });
    edges.dedup_by(|a, b| (a.to, a.from, &a.why) == (b.to, b.from, &b.why));
    edges
}

/// What operations add, make and raise, and what the groups hold, by name.
pub struct Index<'a> {
    groups: HashMap<&'a str, Vec<&'a Group>>,
    adders: HashMap<&'a str, Vec<usize>>,
    makers: HashMap<&'a str, Vec<usize>>,
    /// Raises of each group, lowest stage first.
    raises: HashMap<&'a str, Vec<(Stage, usize)>>,
}

impl<'a> Index<'a> {
    /// Of these operations, whatever they need.
    pub fn new(works: &'a [Work], groups: &'a [Group]) -> Self {
        let mut index =
            Self { groups: HashMap::new(), adders: HashMap::new(), makers: HashMap::new(), raises: HashMap::new() };
        for group in groups {
            for (freedom, _) in &group.holds {
                index.groups.entry(freedom).or_default().push(group);
            }
        }
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

    /// Turns every need into edges, and chains the stages of each group. Choices must have been made before, among the
    /// operations that the index is of.
    ///
    /// # Errors
    /// [`Refusal::NothingBrings`] where a part, fact or held freedom is needed that no operation provides.
    pub fn derive(&self, works: &[Work]) -> Result<Vec<Edge>, Refusal> {
        let mut edges = self.stage_chains();
        for (at, work) in works.iter().enumerate() {
            for need in &work.needs {
                self.edges_of(at, work, need, &mut edges)?;
            }
        }
        Ok(tidy(edges))
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
                    lasting: true,
                    physical: true,
                });
            }
        }
        edges
    }

    /// Puts down the edges of one need; none where nothing meets it.
    fn edges_of(&self, at: usize, work: &Work, need: &Need, edges: &mut Vec<Edge>) -> Result<(), Refusal> {
        let physical = !matches!(need.what, What::Fact(_));
        let (why, line) = (&need.why, need.line);
        let edge = |from, to, lasting| Edge { from, to, why: why.clone(), line, hard: true, lasting, physical };
        let before = |from: &usize| edge(*from, at, need.lasting);
        // What must still be open or absent is opened again, whatever closed it: that always lasts.
        let after = |to: &usize| edge(at, *to, true);
        match &need.what {
            What::Present(part) => edges.extend(found(&self.adders, part, work, need)?.iter().map(before)),
            What::Fact(fact) => edges.extend(found(&self.makers, fact, work, need)?.iter().map(before)),
            What::Absent(part) => edges.extend(self.adders.get(part.as_str()).into_iter().flatten().map(after)),
            What::Open(freedom) => edges.extend(self.closers(freedom).iter().map(after)),
            What::Closed(freedom) => match self.closers(freedom) {
                closers if closers.is_empty() => return Err(nothing(freedom, work, need)),
                closers => edges.extend(closers.iter().map(before)),
            },
            What::AtLeast(..) => {}
        }
        Ok(())
    }

    /// For each group that holds the freedom, the first raise that closes it.
    fn closers(&self, freedom: &str) -> Vec<usize> {
        let holding = self.groups.get(freedom).into_iter().flatten();
        let closes = |group: &&&Group| {
            let (_, from) = group.holds.iter().find(|(held, _)| held == freedom)?;
            let list = self.raises.get(group.id.as_str())?;
            list.iter().find(|(stage, _)| stage >= from).map(|(_, at)| *at)
        };
        holding.filter_map(|group| closes(&group)).collect()
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
