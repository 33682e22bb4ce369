//! Values that rest on several readings. One file a computation; each says in which order it takes its readings and what
//! else it needs. The numbers come from `mechanics`, the readings from the record, the figures from the plan.

mod at_rest;
mod corrected;
mod difference;
mod heavy_side;
pub mod index;
mod indexed;
mod judged;
mod no_phase;
mod one_plane;
mod predicted;
mod ratio;
mod run_down;
mod sum;
mod two_planes;
mod vector;

pub(super) use run_down::judged as run_down_judged;

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::Computation;

use super::event::Verdict;

/// What a computation came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// One value, or one for each place of the check.
    pub values: Vec<f64>,
    /// How it came about, in words.
    pub words: String,
    /// A verdict in place of the one by the limits, and why.
    pub verdict: Option<(Verdict, String)>,
    /// Why the readings are hard to believe together: they are looked at again before they count, and kept all the same.
    pub doubt: Option<String>,
}

impl Found {
    /// One value.
    #[must_use]
    pub fn one(value: f64, words: impl Into<String>) -> Self {
        Self { values: vec![value], words: words.into(), verdict: None, doubt: None }
    }

    /// One value a place.
    #[must_use]
    pub fn each(values: Vec<f64>, words: impl Into<String>) -> Self {
        Self { values, words: words.into(), verdict: None, doubt: None }
    }

    /// The values as kept; none where one is no number.
    #[must_use]
    pub fn rounded(&self, decimals: u32) -> Option<Vec<Decimal>> {
        self.values.iter().map(|v| Decimal::from_f64_retain(*v).map(|d| d.round_dp(decimals).normalize())).collect()
    }
}

/// What a computation works on: its readings in the order of its inputs, and what the plan gives it.
#[derive(Debug, Clone, PartialEq)]
pub struct Given<'a> {
    /// Values of each reading, in the unit of its check.
    pub readings: Vec<Vec<f64>>,
    /// The inputs' names, for words.
    pub names: &'a [String],
    with: &'a BTreeMap<String, String>,
}

impl Given<'_> {
    /// A figure the plan gives.
    ///
    /// # Errors
    /// Words where it is missing or no number.
    pub fn figure(&self, key: &str) -> Result<f64, String> {
        let text = self.word(key)?;
        text.parse()
            .ok()
            .filter(|v: &f64| v.is_finite())
            .ok_or_else(|| format!("the plan's {key} is no number: {text}"))
    }

    /// Several figures, set apart by spaces.
    ///
    /// # Errors
    /// As [`Given::figure`].
    pub fn figures(&self, key: &str) -> Result<Vec<f64>, String> {
        let text = self.word(key)?;
        let all: Option<Vec<f64>> = text.split_whitespace().map(|t| t.parse().ok()).collect();
        all.ok_or_else(|| format!("the plan's {key} holds what is no number: {text}"))
    }

    /// A word the plan gives.
    ///
    /// # Errors
    /// Words where it is missing.
    pub fn word(&self, key: &str) -> Result<&str, String> {
        self.with.get(key).map(String::as_str).ok_or_else(|| format!("the plan gives no {key}"))
    }

    /// The one value of a reading, by its place among the inputs.
    ///
    /// # Errors
    /// Words where there is none or more than one.
    pub fn value(&self, input: usize) -> Result<f64, String> {
        match self.readings.get(input).map(Vec::as_slice) {
            Some([one]) => Ok(*one),
            Some([]) => Err(format!("{} has no value", self.name(input))),
            _ => Err(format!("{} is not one value", self.name(input))),
        }
    }

    /// All values of a reading.
    ///
    /// # Errors
    /// Words where there is none.
    pub fn values(&self, input: usize) -> Result<&[f64], String> {
        let values = self.readings.get(input).map(Vec::as_slice).filter(|v| !v.is_empty());
        values.ok_or_else(|| format!("{} has no value", self.name(input)))
    }

    /// The first value that another computation finds from some of the readings; `change` is laid over what the plan gives.
    ///
    /// # Errors
    /// Words where there are not so many readings, and as the computation has it.
    fn asked(&self, inputs: std::ops::Range<usize>, change: &[(&str, &str)], compute: Compute) -> Result<f64, String> {
        let none = || "the plan names more readings than there are".to_owned();
        let mut with = self.with.clone();
        with.extend(change.iter().map(|(key, text)| ((*key).to_owned(), (*text).to_owned())));
        let readings = self.readings.get(inputs.clone()).ok_or_else(none)?.to_vec();
        let found = compute(&Given { readings, names: self.names.get(inputs).ok_or_else(none)?, with: &with })?;
        found.values.first().copied().ok_or_else(|| format!("no value comes of it: {}", found.words))
    }

    fn name(&self, input: usize) -> &str {
        self.names.get(input).map_or("a reading", String::as_str)
    }
}

type Compute = fn(&Given<'_>) -> Result<Found, String>;

/// Every computation there is, by name.
const ALL: &[(&str, Compute)] = &[
    ("sum", sum::of),
    ("difference", difference::of),
    ("ratio", ratio::of),
    ("weigh", at_rest::weighed),
    ("at-rest", at_rest::at_rest),
    ("one-plane", one_plane::of),
    ("no-phase", no_phase::of),
    ("two-planes", two_planes::of),
    ("washers", corrected::counts),
    ("drilling", corrected::holes),
    ("heavy side", heavy_side::of),
    ("index", index::of),
    ("run-down", run_down::of),
    ("as-predicted", predicted::of),
    ("as-indexed", indexed::of),
];

/// Computations that only compare: where they can tell nothing, nothing waits for a decision.
const COMPARE: [&str; 3] = ["run-down", "as-predicted", "as-indexed"];

/// True for a computation that only compares what was found with what was expected.
#[must_use]
pub fn compares(by: &Computation) -> bool {
    COMPARE.contains(&by.name.as_str())
}

/// Runs a computation on the values of its readings.
///
/// # Errors
/// Words: why there is no value.
pub fn of(by: &Computation, readings: &[Vec<Decimal>]) -> Result<Found, String> {
    let (_, compute) = ALL
        .iter()
        .find(|(name, _)| *name == by.name)
        .ok_or_else(|| format!("this program does not know the computation \"{}\"", by.name))?;
    compute(&given(by, readings))
}

/// What a computation works on.
#[must_use]
pub fn given<'a>(by: &'a Computation, readings: &[Vec<Decimal>]) -> Given<'a> {
    let numbers = |values: &Vec<Decimal>| values.iter().filter_map(Decimal::to_f64).collect();
    Given { readings: readings.iter().map(numbers).collect(), names: &by.inputs, with: &by.with }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_or_missing_is_said() {
        let by = |name: &str| Computation { name: name.into(), inputs: vec!["a/b".into()], with: BTreeMap::new() };
        assert!(of(&by("alchemy"), &[]).unwrap_err().contains("alchemy"));
        assert!(of(&by("sum"), &[vec![]]).unwrap_err().contains("a/b has no value"));
        let found = of(&by("sum"), &[vec![Decimal::ONE, Decimal::TWO]]).unwrap();
        assert_eq!(found.rounded(1).unwrap(), [Decimal::from(3)]);
        let two = |name: &str, scale: &str| Computation {
            name: name.into(),
            inputs: vec!["a/b".into(), "c/d".into()],
            with: BTreeMap::from([("scale".to_owned(), scale.to_owned())]),
        };
        let number = |text: &str| text.parse::<Decimal>().unwrap();
        // By hand: 41.3 − 20 = 21.3; 0.0685 × 104 / 48 = 0.1484.
        let rise = of(&two("difference", ""), &[vec![number("38.5"), number("41.3")], vec![number("20")]]).unwrap();
        assert_eq!(rise.rounded(1).unwrap(), [number("21.3")]);
        let drag = of(&two("ratio", "0.0685"), &[vec![number("104")], vec![number("48")]]).unwrap();
        assert_eq!(drag.rounded(3).unwrap(), [number("0.148")]);
        assert!(
            of(&two("ratio", "1"), &[vec![Decimal::ONE], vec![Decimal::ZERO]]).unwrap_err().contains("c/d is nought")
        );
    }
}
