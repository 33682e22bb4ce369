//! Guide for building a rotating module: from a module spec to the order of work, through every step, to the record.
//!
//! The rooms, from the top down. A room may use those below it and never one above it:
//!
//! - [`cli`]: the commands, text and JSON
//! - [`tui`]: the guide in the terminal
//! - [`traveler`]: the record: events, state, store, verdicts
//! - [`procedure`]: freedoms, operations, their order, the steps and their words
//! - [`module`]: the spec: read, understood, checked, every mistake with its place
//! - [`mechanics`]: fasteners, fits, belts, bearings, rotor: pure functions
//! - [`standards`]: tables of published values, each with its source
//! - [`quantity`]: units, what people write, decimal readings, rounding for display

pub mod cli;
pub mod mechanics;
pub mod module;
pub mod procedure;
pub mod quantity;
pub mod standards;
pub mod traveler;
pub mod tui;
