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
pub mod normal;
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

/// The value, if it is a number above 0: NaN, infinity, nought and what lies below it are refused.
fn above_zero(what: &'static str, value: f64, unit: &str, source: &'static str) -> Result<f64, OutOfRange> {
    if value > 0.0 && value.is_finite() {
        return Ok(value);
    }
    Err(OutOfRange::new(what, with_unit(value, unit), "it is above 0 and finite", source))
}

/// The value, if it is a number of at least 0.
fn not_negative(what: &'static str, value: f64, unit: &str, source: &'static str) -> Result<f64, OutOfRange> {
    if value >= 0.0 && value.is_finite() {
        return Ok(value);
    }
    Err(OutOfRange::new(what, with_unit(value, unit), "it is at least 0 and finite", source))
}

fn with_unit(value: f64, unit: &str) -> String {
    format!("{value} {unit}").trim_end().to_owned()
}
