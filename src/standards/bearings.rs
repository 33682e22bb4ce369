//! Mounted ball bearings: inserts UC204 to UC210 in pillow blocks.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::Force;

use super::seats::{BoreRow, ClassRow, ClearanceRow, ShaftRow, SpeedRow};
pub use super::seats::{SHAFT_CLASSES, bore_um, clearance_um, limiting_speed, shaft_class, sleeve_shaft, worth};
use super::{NotInTable, sleeves, table};

#[derive(Debug, Default, Deserialize)]
pub(super) struct Table {
    source: String,
    f0_source: String,
    rows: Vec<Unit>,
    axial_source: String,
    axial_x: f64,
    axial: Vec<AxialRow>,
    pub(super) shaft_source: String,
    pub(super) shaft: Vec<ShaftRow>,
    askew: Askew,
    static_load: StaticFactors,
    pub(super) bore_source: String,
    pub(super) bore: Vec<BoreRow>,
    pub(super) clearance_source: String,
    pub(super) clearance: Vec<ClearanceRow>,
    pub(super) sleeve_shaft: ClassRow,
    pub(super) speed_source: String,
    pub(super) speed: Vec<SpeedRow>,
}

/// Factors of the static load `P0 = x·Fr + y·Fa`, and the least safety `C0/P0`.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct StaticFactors {
    /// Radial factor.
    pub x: f64,
    /// Axial factor.
    pub y: f64,
    /// Least safety.
    pub safety: f64,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct AxialRow {
    ratio: f64,
    e: f64,
    y: f64,
}

/// Angle that an insert may stand askew in its housing, degrees.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Askew {
    /// While it is swivelled in.
    pub fitting_deg: f64,
    /// In service; beyond it the way of the grease is shut.
    pub service_deg: f64,
    /// Source.
    pub source: String,
}

/// An insert with its pillow block; lengths in mm, ratings in kN.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Unit {
    /// Insert.
    pub insert: String,
    /// Housing.
    pub housing: String,
    /// Bore.
    pub bore: f64,
    /// Outer diameter.
    pub outer: f64,
    /// Width of the inner ring.
    pub b: f64,
    /// From the middle to the end without set screws.
    pub s: f64,
    /// Dynamic rating.
    pub c: f64,
    /// Static rating.
    pub c0: f64,
    /// Factor f0 of ISO 281.
    pub f0: f64,
    /// Height of the axis above the foot.
    pub h: f64,
    /// Distance of the bolts.
    pub j: f64,
    /// Width of the foot.
    pub a: f64,
    /// Length of the foot.
    pub l: f64,
    /// Bolt.
    pub bolt: String,
    /// Width of the bolt hole.
    pub hole: f64,
}

impl Unit {
    /// Dynamic rating.
    ///
    /// ```
    /// assert_eq!(runtrue::standards::bearings::insert("UC205").map(|u| u.dynamic().kn()), Ok(14.0));
    /// ```
    #[must_use]
    pub const fn dynamic(&self) -> Force {
        Force::from_kn(self.c)
    }

    /// Static rating.
    ///
    /// ```
    /// assert_eq!(runtrue::standards::bearings::insert("UC205").map(|u| u.static_rating().kn()), Ok(7.8));
    /// ```
    #[must_use]
    pub const fn static_rating(&self) -> Force {
        Force::from_kn(self.c0)
    }
}

pub(super) static TABLE: LazyLock<Table> = LazyLock::new(|| table("bearings.yaml", include_str!("data/bearings.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// The unit of that insert.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210, or UK205 to UK210, which share their outside and ratings.
///
/// ```
/// let unit = runtrue::standards::bearings::insert("UC206")?;
/// assert_eq!((unit.bore, unit.outer, unit.h, unit.bolt.as_str()), (30.0, 62.0, 42.9, "M14"));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn insert(name: &str) -> Result<&'static Unit, NotInTable> {
    let like = sleeves::like(name).unwrap_or(name);
    TABLE.rows.iter().find(|u| u.insert == like).ok_or_else(|| {
        NotInTable::new(format!("insert bearing \"{name}\""), "UC204 to UC210, UK205 to UK210", &TABLE.source)
    })
}

/// Factors of the static load of a deep groove ball bearing.
///
/// ```
/// let factors = runtrue::standards::bearings::static_factors();
/// assert_eq!((factors.x, factors.y), (0.6, 0.5));
/// ```
#[must_use]
pub fn static_factors() -> &'static StaticFactors {
    &TABLE.static_load
}

/// Where f0 comes from.
///
/// ```
/// assert!(runtrue::standards::bearings::f0_source().contains("from memory"));
/// ```
#[must_use]
pub fn f0_source() -> &'static str {
    &TABLE.f0_source
}

/// Where the factors for axial load come from.
///
/// ```
/// assert!(runtrue::standards::bearings::axial_source().contains("FYH"));
/// ```
#[must_use]
pub fn axial_source() -> &'static str {
    &TABLE.axial_source
}

/// Factors of a deep groove ball bearing under radial and axial load (ISO 281).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxialFactors {
    /// Up to this Fa/Fr the axial load does not count.
    pub e: f64,
    /// Radial factor beyond it.
    pub x: f64,
    /// Axial factor beyond it.
    pub y: f64,
    /// Source.
    pub source: &'static str,
}

/// Least ratio `f0·Fa/C0` of the table.
///
/// ```
/// assert_eq!(runtrue::standards::bearings::axial_least_ratio(), 0.172);
/// ```
#[must_use]
pub fn axial_least_ratio() -> f64 {
    TABLE.axial.first().map_or(f64::NAN, |r| r.ratio)
}

/// Factors by `f0·Fa/C0`, linear between the printed rows.
///
/// # Errors
/// [`NotInTable`] for a ratio below 0.172 or above 6.89.
///
/// ```
/// let f = runtrue::standards::bearings::axial_factors(1.38)?;
/// assert_eq!((f.e, f.x, f.y), (0.30, 0.56, 1.45));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn axial_factors(ratio: f64) -> Result<AxialFactors, NotInTable> {
    let outside = || NotInTable::new(format!("f0·Fa/C0 of {ratio:.3}"), "0.172 to 6.89", &TABLE.axial_source);
    let factors = |e: f64, y: f64| AxialFactors { e, x: TABLE.axial_x, y, source: &TABLE.axial_source };
    let pair = TABLE.axial.windows(2).find(|w| w[0].ratio <= ratio && ratio <= w[1].ratio).ok_or_else(outside)?;
    let part = (ratio - pair[0].ratio) / (pair[1].ratio - pair[0].ratio);
    let between = |a: f64, b: f64| a + (b - a) * part;
    Ok(factors(between(pair[0].e, pair[1].e), between(pair[0].y, pair[1].y)))
}

/// How far an insert may stand askew.
///
/// ```
/// assert_eq!(runtrue::standards::bearings::askew().service_deg, 2.0);
/// ```
#[must_use]
pub fn askew() -> &'static Askew {
    &TABLE.askew
}

/// Every row.
///
/// ```
/// assert_eq!(runtrue::standards::bearings::rows().len(), 7);
/// ```
#[must_use]
pub fn rows() -> &'static [Unit] {
    &TABLE.rows
}

/// Source of the dimensions and ratings.
///
/// ```
/// assert!(runtrue::standards::bearings::source().contains("Koyo"));
/// ```
#[must_use]
pub fn source() -> &'static str {
    &TABLE.source
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn factors_fall_steadily_and_end_with_the_table() {
        let mut last = axial_factors(axial_least_ratio()).unwrap();
        assert_eq!((last.e, last.y), (0.19, 2.30));
        for step in 173..=6890 {
            let now = axial_factors(f64::from(step) / 1000.0).unwrap();
            assert!(now.e >= last.e && now.y <= last.y && now.x == 0.56);
            last = now;
        }
        assert!(axial_factors(6.9).is_err() && axial_factors(0.171).is_err() && axial_factors(f64::NAN).is_err());
    }
}
