//! How a computed value comes about: from one reading by a factor, or from several by a computation with a name.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A value computed from readings of other checks: `scale × reading + offset`, rounded half to even.
///
/// The form is kept this plain so that a record can be checked with a pocket calculator. Where it is not enough, `by` names a
/// computation over several readings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Derive {
    /// `STEP/CHECK` of the reading it rests on; empty where `by` names several.
    pub of: String,
    /// Which of a series is taken.
    pub take: Take,
    /// Factor, an exact decimal.
    pub scale: String,
    /// Added after the factor, an exact decimal in the unit of the result.
    pub offset: String,
    /// Decimal places of the result.
    pub decimals: u32,
    /// The formula in words, as shown.
    pub words: String,
    /// A computation over several readings, in place of factor and offset.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Computation>,
}

/// A computation over several readings, by name. It gives one value, or one for each of the check's places.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Computation {
    /// Name, as `traveler::computed` knows it.
    pub name: String,
    /// `STEP/CHECK` of each reading it rests on, in the order the computation states; measured or computed ones.
    pub inputs: Vec<String>,
    /// What else it takes: figures of the plan as decimals, choices as words.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub with: BTreeMap<String, String>,
}

impl Derive {
    /// `STEP/CHECK` of every reading it rests on.
    #[must_use]
    pub fn rests_on(&self) -> Vec<&str> {
        match &self.by {
            Some(by) => by.inputs.iter().map(String::as_str).collect(),
            None => vec![&self.of],
        }
    }
}

/// Which value of a reading a derived value rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Take {
    /// The smallest (the value itself where there is one).
    Smallest,
    /// The largest.
    Largest,
    /// The mean.
    Mean,
    /// The largest less the smallest.
    Range,
}

/// How a derived value comes about: `scale × reading + offset`.
#[must_use]
pub fn derive(of: String, take: Take, scale: Decimal, offset: Decimal, decimals: u32, words: &str) -> Derive {
    Derive {
        of,
        take,
        scale: scale.to_string(),
        offset: offset.to_string(),
        decimals,
        words: words.to_owned(),
        by: None,
    }
}

/// A value computed from several readings: name of the computation, its inputs `STEP/CHECK` and what else it takes.
#[must_use]
pub fn computed<S: Into<String>>(
    name: &str,
    inputs: impl IntoIterator<Item = S>,
    with: &[(&str, String)],
    decimals: u32,
    words: &str,
) -> Derive {
    let with = with.iter().map(|(key, text)| ((*key).to_owned(), text.clone())).collect();
    let by = Computation { name: name.to_owned(), inputs: inputs.into_iter().map(Into::into).collect(), with };
    Derive { by: Some(by), ..derive(String::new(), Take::Smallest, Decimal::ONE, Decimal::ZERO, decimals, words) }
}

/// The largest less the smallest of a series, so that nobody types it twice.
#[must_use]
pub fn spread(of: &str, decimals: u32) -> Derive {
    derive(of.to_owned(), Take::Range, Decimal::ONE, Decimal::ZERO, decimals, "largest less smallest")
}
