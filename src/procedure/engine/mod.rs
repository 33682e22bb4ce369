//! One engine for every order of work: from nothing, from one setup to another, after a replaced part, out of the middle of a
//! build. It knows parts, freedoms, stages and needs, and no kind of part or operation.

mod choice;
mod circle;
mod edges;
mod fewest;
#[cfg(test)]
mod fewest_tests;
mod join;
mod merge;
mod model;
mod order;
#[cfg(test)]
mod order_tests;
#[cfg(test)]
#[path = "random_tests.rs"]
mod random;
mod reach;
#[cfg(test)]
mod tests;
mod undo;

pub use merge::{Coupled, Judge, Score};
pub use model::{CircleLink, Edge, Group, Id, Need, Reason, Refusal, Stage, What, Work};
pub use order::Walk;
pub use undo::{Cause, RENEWED, State, Undoing};

use undo::Fallen;

/// What is to be reached: every operation of a build from nothing, and what holds what.
#[derive(Clone, Copy)]
pub struct Goal<'a> {
    /// Operations.
    pub works: &'a [Work],
    /// Groups of fasteners.
    pub groups: &'a [Group],
    /// Groups that share a contact.
    pub couplings: &'a [Coupled<'a>],
}

/// One line of the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Item {
    /// Something is undone; because, as a clause.
    Undo(Undoing, String),
    /// An operation of the goal is done, by its index.
    Do(usize),
}

/// The way from a state to a goal, and the reasons for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Path {
    /// What is done, in order.
    pub items: Vec<Item>,
    /// Every edge between items, by their place in the list, with its reason.
    pub edges: Vec<Edge>,
    /// Operations done that do not stand any more, by their index in the state, with the reason as a clause.
    pub undone: Vec<(usize, String)>,
    /// The goal's operations with every choice made.
    pub works: Vec<Work>,
    /// What the walk costs.
    pub walk: Walk,
}

/// What rests on what, of operations that are done: the edges along which one falls with another.
#[must_use]
pub fn edges_of_done(state: &State) -> Vec<Edge> {
    let edges = edges::derive_done(&state.done, &state.groups);
    edges.into_iter().filter(|e| e.lasting).collect()
}

/// One combination of choices, looked at.
struct Candidate {
    /// Number of the combination.
    number: usize,
    edges: Vec<Edge>,
    fallen: Fallen,
    undoing: Vec<(Undoing, usize)>,
    cost: [u32; 4],
    safety: f64,
}

/// Finds the way from a state to a goal: the least undoing, then the order that leaves the most slip safety, then the
/// options as they are written; then the walk with the fewest changes.
///
/// # Errors
/// [`Refusal`] with the smallest set of reasons where no order exists.
pub fn path(state: &State, goal: &Goal<'_>) -> Result<Path, Refusal> {
    let choices = choice::Choices::of(goal.works)?;
    let done = edges::derive_done(&state.done, &state.groups);
    // What is added, made and raised hangs on no choice.
    let index = edges::Index::new(goal.works, goal.groups);
    let mut works = goal.works.to_vec();
    let mut best: Option<Candidate> = None;
    let mut refusals = Vec::new();
    for n in 0..choices.count {
        choices.take(n, &mut works);
        match index.derive(&works).and_then(|edges| candidate(state, &done, goal, n, &works, edges)) {
            Ok(new) if best.as_ref().is_none_or(|old| better(&new, old)) => best = Some(new),
            Ok(_) => {}
            Err(refusal) => refusals.push(refusal),
        }
    }
    let Some(best) = best else { return Err(fewest::refusal(&choices, goal.groups, refusals)) };
    choices.take(best.number, &mut works);
    Ok(join::path(state, &done, best, works))
}

fn better(new: &Candidate, old: &Candidate) -> bool {
    new.cost.cmp(&old.cost).then_with(|| old.safety.total_cmp(&new.safety)).is_lt()
}

fn candidate(
    state: &State,
    done: &[Edge],
    goal: &Goal<'_>,
    number: usize,
    works: &[Work],
    mut edges: Vec<Edge>,
) -> Result<Candidate, Refusal> {
    circle::refuse_circles(works, &edges)?;
    let (fixed, safety) = merge::choose(works, &edges, goal.couplings)?;
    if !fixed.is_empty() {
        edges.extend(fixed);
        circle::refuse_circles(works, &edges)?;
    }
    let fallen = undo::fall(state, done, works, goal.groups, &edges);
    let undoing = undo::order(state, done, &fallen.causes);
    let cost = undo::cost(state, &fallen.causes, &undoing);
    Ok(Candidate { number, edges, fallen, undoing, cost, safety })
}
