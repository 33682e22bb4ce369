//! From a module to the steps of its build.

pub mod engine;
pub mod plan;
