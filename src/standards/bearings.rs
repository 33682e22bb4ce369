//! Mounted ball bearings: inserts UC204 to UC210 in pillow blocks.

use std::sync::LazyLock;

use rust_decimal::Decimal;
use serde::Deserialize;

use crate::quantity::{Force, Length, Speed};

use super::bench::Range;
use super::{NotInTable, iso286, sleeves, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    source: String,
    f0_source: String,
    rows: Vec<Unit>,
    axial_source: String,
    axial_x: f64,
    axial: Vec<AxialRow>,
    shaft_source: String,
    shaft: Vec<ShaftRow>,
    askew: Askew,
    static_load: StaticFactors,
    bore_source: String,
    bore: Vec<BoreRow>,
    clearance_source: String,
    clearance: Vec<ClearanceRow>,
    sleeve_shaft: ClassRow,
    speed_source: String,
    speed: Vec<SpeedRow>,
}

#[derive(Debug, Deserialize)]
struct BoreRow {
    over: f64,
    up_to: f64,
    high: f64,
}

#[derive(Debug, Deserialize)]
struct ClearanceRow {
    over: f64,
    up_to: f64,
    low: f64,
    high: f64,
}

#[derive(Debug, Deserialize)]
struct SpeedRow {
    insert: String,
    h6: f64,
    h7: f64,
    h8: f64,
    h9: f64,
    h11: f64,
    source: String,
}

/// Classes that makers name for shafts under inserts with set screws, tightest first.
pub const SHAFT_CLASSES: [&str; 5] = ["h6", "h7", "h8", "h9", "h11"];

impl SpeedRow {
    fn at(&self, class: &str) -> Option<f64> {
        let speeds = [self.h6, self.h7, self.h8, self.h9, self.h11];
        SHAFT_CLASSES.iter().zip(speeds).find(|(c, _)| **c == class).map(|(_, rpm)| rpm)
    }
}

#[derive(Debug, Default, Deserialize)]
struct ClassRow {
    class: String,
    source: String,
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

static TABLE: LazyLock<Table> = LazyLock::new(|| table("bearings.yaml", include_str!("data/bearings.yaml")));

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
    TABLE
        .rows
        .iter()
        .find(|u| u.insert == like)
        .ok_or_else(|| NotInTable::new(format!("insert bearing \"{name}\""), "UC204 to UC210", &TABLE.source))
}

/// Largest deviation of the bore of an insert over its nominal, µm (the least is nought), and the source.
///
/// # Errors
/// [`NotInTable`] outside 10 to 50 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::bearings::bore_um};
/// assert_eq!(bore_um(Length::from_mm(25.0))?.0, 21.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn bore_um(bore: Length) -> Result<(f64, &'static str), NotInTable> {
    let row = TABLE.bore.iter().find(|r| bore.mm() > r.over && bore.mm() <= r.up_to);
    row.map(|r| (r.high, TABLE.bore_source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("insert of {} mm bore", bore.mm()), "over 10 up to 50 mm", &TABLE.bore_source)
    })
}

/// Radial clearance of an insert as it comes, µm, normal group.
///
/// # Errors
/// [`NotInTable`] outside 10 to 50 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::bearings::clearance_um};
/// let c = clearance_um(Length::from_mm(25.0))?;
/// assert_eq!((c.low, c.high), (12.0, 28.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn clearance_um(bore: Length) -> Result<Range, NotInTable> {
    let source = &TABLE.clearance_source;
    let row = TABLE.clearance.iter().find(|r| bore.mm() > r.over && bore.mm() <= r.up_to);
    row.map(|r| Range { low: r.low, high: r.high, source: source.clone() })
        .ok_or_else(|| NotInTable::new(format!("insert of {} mm bore", bore.mm()), "over 10 up to 50 mm", source))
}

/// The loosest class of shaft that an adapter sleeve takes, and the source.
///
/// ```
/// assert_eq!(runtrue::standards::bearings::sleeve_shaft().0, "h9");
/// ```
#[must_use]
pub fn sleeve_shaft() -> (&'static str, &'static str) {
    (&TABLE.sleeve_shaft.class, &TABLE.sleeve_shaft.source)
}

/// The class of h that a shaft is worth as a seat, by its lower deviation: the tightest of [`SHAFT_CLASSES`] that it lies in.
/// A g6 of 25 mm, 7 to 20 µm under, seats no better than an h7. None for a shaft looser than all of them.
///
/// ```
/// use rust_decimal::Decimal;
/// let worth = |um: i64| runtrue::standards::bearings::worth(Decimal::from(um), Decimal::from(25));
/// assert_eq!((worth(-13), worth(-20), worth(-41), worth(-200)), (Some("h6"), Some("h7"), Some("h9"), None));
/// ```
#[must_use]
pub fn worth(lower_um: Decimal, nominal_mm: Decimal) -> Option<&'static str> {
    let holds = |class: &&str| iso286::class(class, nominal_mm).is_ok_and(|d| d.lower_um <= lower_um);
    SHAFT_CLASSES.into_iter().find(holds)
}

/// Limiting speed of a unit with set screws on a shaft of that class, and the source; the looser classes of UC207 and all of UC208 to
/// UC210 are from memory and say so.
///
/// # Errors
/// [`NotInTable`] for another unit, and for other classes than h6, h7, h8, h9, h11.
///
/// ```
/// let (speed, source) = runtrue::standards::bearings::limiting_speed("UC205", "h9")?;
/// assert!(speed.rpm() == 1000.0 && source.contains("PTI"));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn limiting_speed(name: &str, class: &str) -> Result<(Speed, &'static str), NotInTable> {
    let row = TABLE.speed.iter().find(|r| r.insert == name);
    let found = row.and_then(|r| r.at(class).map(|rpm| (Speed::from_rpm(rpm), r.source.as_str())));
    found.ok_or_else(|| {
        let what = format!("speed of {name} on a shaft {class}");
        NotInTable::new(what, "UC204 to UC210 on h6, h7, h8, h9, h11", &TABLE.speed_source)
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

    #[test]
    fn a_looser_shaft_runs_slower_and_a_larger_unit_too() {
        let rpm = |name: &str, class: &str| limiting_speed(name, class).unwrap().0.rpm();
        for unit in rows() {
            let by_class: Vec<f64> = SHAFT_CLASSES.iter().map(|c| rpm(&unit.insert, c)).collect();
            assert!(by_class.windows(2).all(|w| w[0] > w[1]), "{}: {by_class:?}", unit.insert);
            assert!((12.0..15.0).contains(&unit.f0) && unit.c > unit.c0);
            let bore = Length::from_mm(unit.bore);
            assert!(bore_um(bore).is_ok() && clearance_um(bore).unwrap().low > 0.0);
        }
        assert!(rpm("UC204", "h6") > rpm("UC210", "h6"));
        assert!(limiting_speed("UC205", "h10").is_err() && bore_um(Length::from_mm(55.0)).is_err());
        assert!(static_factors().source.contains("ISO 76"));
    }

    #[test]
    fn a_heavier_load_asks_for_a_tighter_shaft() {
        let class = |r: f64| shaft_class(r).unwrap().0;
        assert_eq!((class(0.02), class(0.035), class(0.05), class(0.051)), ("h9", "h8", "h7", "h6"));
        assert!(shaft_class(0.0).is_err() && shaft_class(1.1).is_err());
        assert!(askew().service_deg < askew().fitting_deg && !askew().source.is_empty());
    }
}
