//! One engine for the order of work. It knows parts, freedoms, stages and needs, and no kind of part or operation.

mod circle;
mod edges;
mod merge;
mod model;
mod order;
#[cfg(test)]
mod tests;

pub use merge::{Coupling, Score};
pub use model::{CircleLink, Edge, Group, Id, Need, Refusal, Stage, What, Work};

/// An order of work and the reasons for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Path {
    /// Indices of the operations, in order.
    pub order: Vec<usize>,
    /// Every edge, with its reason.
    pub edges: Vec<Edge>,
}

/// Two groups that share a contact, and what an order of their stages is worth.
pub type Coupled<'a> = (Id, Id, &'a dyn Fn(&[(Id, Stage)]) -> Score);

/// Finds the order of work from nothing to everything in place.
///
/// # Errors
/// [`Refusal`] with the smallest set of reasons where no order exists.
pub fn path(works: &[Work], groups: &[Group], couplings: &[Coupled<'_>]) -> Result<Path, Refusal> {
    let mut edges = edges::derive(works, groups)?;
    circle::refuse_circles(works, &edges)?;
    for (first, second, score) in couplings {
        let coupling = Coupling {
            first: chain(works, first),
            second: chain(works, second),
            score: Box::new(move |order: &[usize]| score(&stages(works, order))),
        };
        let fixed = merge::choose(works, &edges, &coupling)?;
        edges.extend(fixed);
    }
    circle::refuse_circles(works, &edges)?;
    let order = order::sort(works, &edges);
    Ok(Path { order, edges })
}

fn chain(works: &[Work], group: &str) -> Vec<usize> {
    let mut list: Vec<(Stage, usize)> = works
        .iter()
        .enumerate()
        .filter_map(|(at, w)| w.raises.as_ref().filter(|(g, _)| g == group).map(|(_, s)| (*s, at)))
        .collect();
    list.sort_unstable();
    list.into_iter().map(|(_, at)| at).collect()
}

fn stages(works: &[Work], order: &[usize]) -> Vec<(Id, Stage)> {
    order.iter().filter_map(|&at| works[at].raises.clone()).collect()
}
