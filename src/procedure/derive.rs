//! Values computed from readings: how, as the plan states it.

use serde::{Deserialize, Serialize};

/// A value computed from readings of other checks: `scale × (reading − minus) / over + offset`, rounded half to even; what is not
/// named drops out.
///
/// The form is kept this plain so that a record can be checked with a pocket calculator.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Derive {
    /// `STEP/CHECK` of the reading it rests on.
    pub of: String,
    /// Which of a series is taken.
    pub take: Take,
    /// Factor, an exact decimal.
    pub scale: String,
    /// Added after the factor, an exact decimal in the unit of the result.
    pub offset: String,
    /// `STEP/CHECK` of a reading that is taken off first, in the same unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minus: Option<String>,
    /// `STEP/CHECK` of a reading that it is divided by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over: Option<String>,
    /// Decimal places of the result.
    pub decimals: u32,
    /// The formula in words, as shown.
    pub words: String,
}

impl Derive {
    /// Every `STEP/CHECK` it rests on.
    pub fn rests_on(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.of.as_str()).chain(self.minus.as_deref()).chain(self.over.as_deref())
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
