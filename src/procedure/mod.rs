//! From a module to the steps of its build: figures, operations by kind of joint, their order, their words.

pub mod change;
mod derive;
pub mod design_check;
mod draft;
mod drawing;
mod drawn;
pub mod engine;
pub mod figures;
pub mod follow_up;
mod joints;
pub mod kit;
pub mod lay_out;
pub mod meaning;
pub mod naming;
mod places;
pub mod plan;
mod range;
pub mod remaining;
mod running;
pub mod schedule;
mod score;
pub mod shaft_line;
mod standing;
mod steps;
#[cfg(test)]
mod tests;
mod words;
#[cfg(test)]
mod words_tests;

pub use figures::{Figures, NoFigure};
pub use range::range_words;
pub use steps::{PlanError, plan as make_plan, plan_with};
pub use words::{Words, WordsError};
