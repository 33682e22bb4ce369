//! Guide for building a rotating module: from a module spec to the order of work, through every step, to the record.
//!
//! The rooms, from the top down. A room may use those below it and never one above it:
//!
//! - [`procedure`]: freedoms, operations, their order, the steps and their words
//! - [`module`]: the spec: read, understood, checked, every mistake with its place
//! - [`quantity`]: units, what people write, decimal readings, rounding for display

pub mod module;
pub mod procedure;
pub mod quantity;
