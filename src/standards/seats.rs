//! Seats of insert bearings: bore, internal clearance, class of the shaft by load, largest speed by the class. The data file is that of
//! [`super::bearings`].

use rust_decimal::Decimal;
use serde::Deserialize;

use crate::quantity::{Length, Speed};

use super::bearings::TABLE;
use super::bench::Range;
use super::{NotInTable, iso286};

#[derive(Debug, Deserialize)]
pub(super) struct BoreRow {
    over: f64,
    up_to: f64,
    high: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct ClearanceRow {
    over: f64,
    up_to: f64,
    low: f64,
    high: f64,
}

#[derive(Debug, Deserialize)]
pub(super) struct SpeedRow {
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
pub(super) struct ClassRow {
    class: String,
    source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct ShaftRow {
    over: f64,
    up_to: f64,
    class: String,
}

/// Largest deviation of the bore of an insert over its nominal, µm (the least is nought), and the source.
///
/// # Errors
/// [`NotInTable`] outside 10 to 50 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::seats::bore_um};
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
/// use runtrue::{quantity::Length, standards::seats::clearance_um};
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
/// assert_eq!(runtrue::standards::seats::sleeve_shaft().0, "h9");
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
/// let worth = |um: i64| runtrue::standards::seats::worth(Decimal::from(um), Decimal::from(25));
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
/// let (speed, source) = runtrue::standards::seats::limiting_speed("UC205", "h9")?;
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

/// Tolerance class of the shaft for a unit with set screws, by load over dynamic rating, and the source.
///
/// # Errors
/// [`NotInTable`] for a ratio that is not above 0 and at most 1.
///
/// ```
/// assert_eq!(runtrue::standards::seats::shaft_class(0.06)?.0, "h6");
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn shaft_class(load_over_rating: f64) -> Result<(&'static str, &'static str), NotInTable> {
    let row = TABLE.shaft.iter().find(|r| load_over_rating > r.over && load_over_rating <= r.up_to);
    row.map(|r| (r.class.as_str(), TABLE.shaft_source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("shaft class at P/C {load_over_rating}"), "above 0 up to 1", &TABLE.shaft_source)
    })
}

#[cfg(test)]
mod tests {
    use super::super::bearings::{askew, rows, static_factors};
    use super::*;

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
