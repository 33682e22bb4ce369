//! Mounted ball bearings: inserts UC204 to UC210 in pillow blocks.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    source: String,
    rows: Vec<Unit>,
    set_screws: Vec<SetScrewRow>,
    axial_source: String,
    axial_x: f64,
    axial: Vec<AxialRow>,
    shaft_source: String,
    shaft: Vec<ShaftRow>,
    askew: Askew,
}

#[derive(Debug, Deserialize)]
struct SetScrewRow {
    bores: Vec<f64>,
    #[serde(flatten)]
    torque: SetScrewTorque,
}

/// Torque of the set screws of a unit as one source prints it, N·m.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct SetScrewTorque {
    /// Screw.
    pub screw: String,
    /// Least.
    pub low: f64,
    /// Largest.
    pub high: f64,
    /// What the figure is: largest, recommended, recommended largest.
    pub kind: String,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct AxialRow {
    ratio: f64,
    e: f64,
    y: f64,
}

#[derive(Debug, Deserialize)]
struct ShaftRow {
    over: f64,
    up_to: f64,
    class: String,
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

static TABLE: LazyLock<Table> = LazyLock::new(|| table(include_str!("data/bearings.yaml")));

/// The unit of that insert.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210.
pub fn insert(name: &str) -> Result<&'static Unit, NotInTable> {
    TABLE
        .rows
        .iter()
        .find(|u| u.insert == name)
        .ok_or_else(|| NotInTable::new(format!("insert bearing \"{name}\""), "UC204 to UC210", &TABLE.source))
}

/// Torques of the set screws of a unit, every published figure: sources differ by two. The maker's own comes first; the
/// lowest is not the safe side, for a loose ring walks.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210.
///
/// ```
/// let torques = runtrue::standards::bearings::set_screw_torques("UC205")?;
/// let low = torques.iter().map(|t| t.low).fold(f64::INFINITY, f64::min);
/// let high = torques.iter().map(|t| t.high).fold(0.0, f64::max);
/// assert_eq!((low, high), (3.95, 9.6));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_torques(name: &str) -> Result<Vec<&'static SetScrewTorque>, NotInTable> {
    let bore = insert(name)?.bore;
    Ok(TABLE.set_screws.iter().filter(|r| r.bores.contains(&bore)).map(|r| &r.torque).collect())
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
#[must_use]
pub fn axial_least_ratio() -> f64 {
    TABLE.axial.first().map_or(f64::NAN, |r| r.ratio)
}

/// Factors by `f0·Fa/C0`, linear between the printed rows.
///
/// # Errors
/// [`NotInTable`] for a ratio below 0.172 or above 6.89.
pub fn axial_factors(ratio: f64) -> Result<AxialFactors, NotInTable> {
    let outside = || NotInTable::new(format!("f0·Fa/C0 of {ratio:.3}"), "0.172 to 6.89", &TABLE.axial_source);
    let factors = |e: f64, y: f64| AxialFactors { e, x: TABLE.axial_x, y, source: &TABLE.axial_source };
    let pair = TABLE.axial.windows(2).find(|w| w[0].ratio <= ratio && ratio <= w[1].ratio).ok_or_else(outside)?;
    let part = (ratio - pair[0].ratio) / (pair[1].ratio - pair[0].ratio);
    let between = |a: f64, b: f64| a + (b - a) * part;
    Ok(factors(between(pair[0].e, pair[1].e), between(pair[0].y, pair[1].y)))
}

/// Tolerance class of the shaft for a unit with set screws, by load over dynamic rating, and the source.
///
/// # Errors
/// [`NotInTable`] for a ratio that is not above 0 and at most 1.
///
/// ```
/// assert_eq!(runtrue::standards::bearings::shaft_class(0.06)?.0, "h6");
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn shaft_class(load_over_rating: f64) -> Result<(&'static str, &'static str), NotInTable> {
    let row = TABLE.shaft.iter().find(|r| load_over_rating > r.over && load_over_rating <= r.up_to);
    row.map(|r| (r.class.as_str(), TABLE.shaft_source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("shaft class at P/C {load_over_rating}"), "above 0 up to 1", &TABLE.shaft_source)
    })
}

/// How far an insert may stand askew.
#[must_use]
pub fn askew() -> &'static Askew {
    &TABLE.askew
}

/// Every row.
#[must_use]
pub fn rows() -> &'static [Unit] {
    &TABLE.rows
}

/// Source of the table.
#[must_use]
pub fn source() -> &'static str {
    &TABLE.source
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_has_torques_with_sources_and_they_grow_with_the_screw() {
        for unit in rows() {
            let torques = set_screw_torques(&unit.insert).unwrap();
            assert_eq!(torques.len(), 4, "{}", unit.insert);
            assert!(torques.iter().all(|t| t.low <= t.high && t.source.len() > 10 && t.kind.len() > 5));
        }
        let low = |name: &str| set_screw_torques(name).unwrap()[0].low;
        assert!(low("UC204") < low("UC207") && low("UC209") < low("UC210"));
        assert!(set_screw_torques("UC211").is_err());
    }

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

    #[test]
    fn a_heavier_load_asks_for_a_tighter_shaft() {
        let class = |r: f64| shaft_class(r).unwrap().0;
        assert_eq!((class(0.02), class(0.035), class(0.05), class(0.051)), ("h9", "h8", "h7", "h6"));
        assert!(shaft_class(0.0).is_err() && shaft_class(1.1).is_err());
        assert!(askew().service_deg < askew().fitting_deg && !askew().source.is_empty());
    }
}
