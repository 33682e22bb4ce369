//! Measuring: what instruments are good for, and what things grow by.

use serde::Deserialize;

use super::NotInTable;
use super::bench::TABLE;

/// What an instrument is laid on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Measures {
    /// A shaft, a thickness.
    Outside,
    /// A bore, a depth.
    Inside,
    /// A run-out, a gap, a play.
    Difference,
}

/// Usual expanded uncertainty of an instrument.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Instrument {
    /// Kind.
    pub kind: String,
    /// U, mm.
    pub u: f64,
    /// What it measures.
    pub measures: Measures,
    /// Sizes over this, mm.
    pub over: f64,
    /// Sizes up to this, mm.
    pub up_to: f64,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct ExpansionRow {
    pub(super) material: String,
    pub(super) per_k: f64,
    pub(super) source: String,
}

/// Usual instruments, those for outside sizes first.
///
/// ```
/// let all = runtrue::standards::measuring::instruments();
/// assert!(all.iter().any(|i| i.kind == "bore gauge" && i.u == 0.005));
/// ```
#[must_use]
pub fn instruments() -> &'static [Instrument] {
    &TABLE.instruments
}

/// Expansion per kelvin of a material, and the source.
///
/// # Errors
/// [`NotInTable`] for a material that is not in it; the error names those that are.
///
/// ```
/// let (per_k, source) = runtrue::standards::measuring::expansion("gauge steel")?;
/// assert!(per_k == 11.5e-6 && source.contains("NPL"));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn expansion(material: &str) -> Result<(f64, &'static str), NotInTable> {
    let row = TABLE.expansion.iter().find(|r| r.material == material);
    row.map(|r| (r.per_k, r.source.as_str())).ok_or_else(|| {
        let names: Vec<&str> = TABLE.expansion.iter().map(|r| r.material.as_str()).collect();
        NotInTable::new(format!("expansion of \"{material}\""), names.join(", "), "measuring practice")
    })
}

/// Expansion of steel per kelvin, the row of [`expansion`] that most rests on.
///
/// ```
/// assert_eq!(runtrue::standards::measuring::expansion_per_k().0, 11.7e-6);
/// ```
#[must_use]
pub fn expansion_per_k() -> (f64, &'static str) {
    expansion("steel").unwrap_or((f64::NAN, ""))
}
