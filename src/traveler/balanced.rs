//! What a record tells of balancing: readings, corrections with their place, what is left, by which method.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::{Check, CheckKind, Step};

use super::kept::Kept;
use super::record::Record;

/// One value of balancing, in force.
#[derive(Debug, Clone)]
pub struct BalanceValue<'r> {
    /// Its step.
    pub step: &'r Step,
    /// Its check.
    pub check: &'r Check,
    /// The reading.
    pub kept: Kept<'r>,
}

impl BalanceValue<'_> {
    /// Its numbers; none where a computation told none.
    #[must_use]
    pub fn numbers(&self) -> Vec<f64> {
        let number = |v: &String| v.parse::<Decimal>().ok()?.to_f64();
        self.kept.reading.values.iter().filter_map(number).collect()
    }

    /// What counts of it for a reader: with its places and unit.
    #[must_use]
    pub fn words(&self) -> String {
        let values = &self.kept.reading.values;
        if values.is_empty() {
            return self.kept.reading.because.clone();
        }
        let unit = self.check.unit.as_deref().unwrap_or_default();
        let one = |(k, v): (usize, &String)| match self.check.place(k) {
            Some(place) => format!("{place} {v} {unit}").trim_end().to_owned(),
            None => format!("{v} {unit}").trim_end().to_owned(),
        };
        values.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
    }
}

impl Record {
    /// Values of the steps that balance, in the order of the plan; confirmations left out.
    #[must_use]
    pub fn balance_values(&self) -> Vec<BalanceValue<'_>> {
        let steps = self.plan().steps.iter().filter(|s| s.operation == "balance");
        let all = steps.flat_map(|step| step.checks.iter().map(move |check| (step, check)));
        all.filter(|(_, check)| check.kind != CheckKind::Confirm)
            .filter_map(|(step, check)| Some(BalanceValue { step, check, kept: self.reading(&step.id, &check.id)? }))
            .collect()
    }

    /// How the rotor is balanced, in words, where the plan has steps for it.
    #[must_use]
    pub fn balance_method(&self) -> Option<&'static str> {
        let checks = self.plan().steps.iter().filter(|s| s.operation == "balance").flat_map(|s| &s.checks);
        let names = checks.filter_map(|c| Some(c.derive.as_ref()?.by.as_ref()?.name.as_str()));
        names.filter_map(method).next()
    }
}

/// A method by the name of its computation.
fn method(name: &str) -> Option<&'static str> {
    match name {
        "weigh" => Some("at rest in its bearings, by the masses that start it"),
        "at-rest" => Some("at rest on edges or rollers"),
        "one-plane" => Some("at speed in one plane, amplitude and phase"),
        "no-phase" => Some("at speed in one plane, amplitudes alone"),
        "two-planes" => Some("at speed in two planes, amplitude and phase"),
        _ => None,
    }
}
