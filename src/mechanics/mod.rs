//! Pure functions of the trade: no files, no clock, no screen. Each names its formula, units, range and source.

pub mod balance;
pub mod bearing;
pub mod belt;
pub mod belt_tension;
pub mod belt_travel;
pub mod bending;
pub mod closing;
pub mod disc_stress;
pub mod fastener;
pub mod fatigue;
pub mod fit;
pub mod groove;
pub mod interplay;
pub mod joint;
pub mod key;
pub mod pin;
pub mod ream;
pub mod rotor;
pub mod run_down;
pub mod securing;
pub mod set_screw;
pub mod slip;
pub mod stack_samples;
pub mod stack_up;
pub mod statistics;
pub mod tightening;
pub mod uncertainty;
pub mod whirl;

/// A value outside the range a formula or its source allows.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} is {value}; {range} ({source_named})")]
pub struct OutOfRange {
    /// What it is.
    pub what: &'static str,
    /// Its value, with unit.
    pub value: String,
    /// The range, in words.
    pub range: String,
    /// Source of the range.
    pub source_named: &'static str,
}

impl OutOfRange {
    pub(crate) fn new(
        what: &'static str,
        value: impl Into<String>,
        range: impl Into<String>,
        source: &'static str,
    ) -> Self {
        Self { what, value: value.into(), range: range.into(), source_named: source }
    }
}
