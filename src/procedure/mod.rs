//! From a module to the steps of its build: figures, operations by kind of joint, their order, their words.

pub mod change;
pub mod design_check;
mod draft;
mod drawing;
mod drawn;
pub mod engine;
pub mod figures;
mod joints;
pub mod kit;
pub mod meaning;
pub mod naming;
mod places;
pub mod plan;
pub mod remaining;
pub mod schedule;
mod score;
pub mod shaft_line;
mod standing;
mod steps;
#[cfg(test)]
mod tests;
mod words;

pub use figures::{Figures, NoFigure};
pub use steps::{PlanError, plan as make_plan, plan_with};
pub use words::{Words, WordsError};
