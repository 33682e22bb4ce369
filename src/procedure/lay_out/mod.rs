//! A new spec from a builder's answers: what is not asked follows from the mechanics, and is changed until the design check finds
//! nothing, or until it is clear which answer does not add up.
//!
//! Proportions that no standard fixes (stubs of the shaft, gaps, how far a collar's rim lies outside its bolts) are common practice,
//! and each says so.

mod answers;
mod drive;
mod instead;
mod settle;
mod sheet;
mod sizes;
mod spec;
mod stack;
#[cfg(test)]
mod tests;

pub use answers::{Answers, QUESTIONS, Question, question};
pub use settle::{Laid, lay_out};

/// Answers that do not add up.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("the answers do not add up: {why}")]
pub struct NotSo {
    /// Flag of the answer that is to blame, without its dashes: the first of `instead`, where any answer alone would mend it.
    pub answer: &'static str,
    /// What does not add up, and by how much.
    pub why: String,
    /// Answers that would do, each with its flag, tried before they are told.
    pub instead: Vec<(&'static str, String)>,
}

impl NotSo {
    fn new(answer: &'static str, why: impl Into<String>) -> Self {
        Self { answer, why: why.into(), instead: Vec::new() }
    }
}
