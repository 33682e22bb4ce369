//! Set screws: torques, holding by published tests, points, hardness, safety.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::Torque;

use super::bench::{Range, TABLE};
use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct SetScrews {
    point: Vec<PointRow>,
    too_hard: TooHard,
    safety: Vec<SafetyRow>,
}

#[derive(Debug, Deserialize)]
pub(super) struct SetScrewRow {
    size: String,
    torque: f64,
    stainless: f64,
    test: f64,
    holding: Option<f64>,
    holding_low: Option<f64>,
    source: String,
}

#[derive(Debug, Deserialize)]
struct PointRow {
    point: String,
    factor: f64,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct TooHard {
    loss: f64,
    source: String,
}

/// Kind of load on a joint held by set screws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Load {
    /// A weight that hangs still.
    Steady,
    /// Anything that turns, starts, stops, pulses or shakes: the severe side, taken where nothing is said.
    Shaking,
}

impl Load {
    /// Every kind, by the word of spec and command line.
    pub const WORDS: [(&'static str, Self); 2] = [("steady", Self::Steady), ("shaking", Self::Shaking)];

    /// The word.
    ///
    /// ```
    /// assert_eq!(runtrue::standards::set_screws::Load::Shaking.word(), "shaking");
    /// ```
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Steady => "steady",
            Self::Shaking => "shaking",
        }
    }
}

#[derive(Debug, Deserialize)]
struct SafetyRow {
    load: Load,
    low: f64,
    high: f64,
    source: String,
}

static SET_SCREWS: LazyLock<SetScrews> =
    LazyLock::new(|| table("set_screws.yaml", include_str!("data/set_screws.yaml")));

pub(super) fn read() {
    LazyLock::force(&SET_SCREWS);
}

fn set_screw(size: &str) -> Option<&'static SetScrewRow> {
    TABLE.set_screw.iter().find(|r| r.size == size)
}

/// Seating torque of a cup-point set screw and its source, alloy steel or stainless. The maker's figure comes first.
///
/// # Errors
/// [`NotInTable`] for other sizes than M3 to M10.
///
/// ```
/// let (torque, _) = runtrue::standards::set_screws::set_screw_torque("M8", false)?;
/// assert_eq!(torque.nm(), 17.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_torque(size: &str, stainless: bool) -> Result<(Torque, &'static str), NotInTable> {
    let row = set_screw(size).ok_or_else(|| {
        NotInTable::new(format!("torque of a set screw \"{size}\""), "M3 to M10", "set screw torque charts")
    })?;
    Ok((Torque::from_nm(if stainless { row.stainless } else { row.torque }), &row.source))
}

/// Test torque of a set screw 45H (ISO 898-5 as printed by a screw maker): a limit, never a target.
///
/// # Errors
/// [`NotInTable`] for other sizes than M3 to M10.
///
/// ```
/// assert_eq!(runtrue::standards::set_screws::set_screw_test_torque("M8")?.nm(), 20.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_test_torque(size: &str) -> Result<Torque, NotInTable> {
    let row = set_screw(size)
        .ok_or_else(|| NotInTable::new(format!("test torque of a set screw \"{size}\""), "M3 to M10", "ISO 898-5"))?;
    Ok(Torque::from_nm(row.test))
}

fn no_holding(size: &str) -> NotInTable {
    NotInTable::new(format!("holding force of a set screw \"{size}\""), "M6, M8, M10", "SPS cup-point tests")
}

/// Axial holding force of one cup-point set screw on a soft shaft, N: published series differ by two and more. The low
/// end is the one for a limit.
///
/// # Errors
/// [`NotInTable`] where no test figure is known.
///
/// ```
/// let m10 = runtrue::standards::set_screws::set_screw_holding_range("M10")?;
/// assert_eq!((m10.low, m10.high), (4450.0, 8900.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_holding_range(size: &str) -> Result<Range, NotInTable> {
    let row = set_screw(size).ok_or_else(|| no_holding(size))?;
    match (row.holding_low, row.holding) {
        (Some(low), Some(high)) => Ok(Range { low, high, source: row.source.clone() }),
        _ => Err(no_holding(size)),
    }
}

/// Holding of a set screw's point against that of the cup point, and the source.
///
/// # Errors
/// [`NotInTable`] for another point than cup, cone, flat, dog or oval.
///
/// ```
/// assert_eq!(runtrue::standards::set_screws::point_factor("cone")?.0, 1.07);
/// assert!(runtrue::standards::set_screws::point_factor("blunt").is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn point_factor(point: &str) -> Result<(f64, &'static str), NotInTable> {
    let row = SET_SCREWS.point.iter().find(|r| r.point == point);
    row.map(|r| (r.factor, r.source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("point \"{point}\" of a set screw"), "cup, cone, flat, dog, oval", "SPS set screws")
    })
}

/// Share of the holding that a shaft too near the screw's hardness may cost, and the source.
///
/// ```
/// assert_eq!(runtrue::standards::set_screws::hardness_loss().0, 0.15);
/// ```
#[must_use]
pub fn hardness_loss() -> (f64, &'static str) {
    (SET_SCREWS.too_hard.loss, &SET_SCREWS.too_hard.source)
}

/// Safety to divide the holding of a set screw by, by the kind of load. The holding is that of the tests which the source prints.
///
/// # Errors
/// [`NotInTable`] if the table has lost its row.
///
/// ```
/// use runtrue::standards::set_screws::{Load, set_screw_safety};
/// let (steady, shaking) = (set_screw_safety(Load::Steady)?, set_screw_safety(Load::Shaking)?);
/// assert_eq!((steady.low, steady.high, shaking.low, shaking.high), (1.5, 2.0, 4.0, 8.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn set_screw_safety(load: Load) -> Result<Range, NotInTable> {
    let row = SET_SCREWS.safety.iter().find(|r| r.load == load);
    row.map(|r| Range { low: r.low, high: r.high, source: r.source.clone() }).ok_or_else(|| {
        let what = format!("safety of a set screw under {} load", load.word());
        NotInTable::new(what, "steady, shaking", "SPS set screws")
    })
}

/// Every row's name and source.
pub(super) fn sources() -> Vec<(String, &'static str)> {
    let s = &*SET_SCREWS;
    let screws = TABLE.set_screw.iter().map(|r| (format!("{} {}", r.size, r.torque), r.source.as_str()));
    let mut all: Vec<(String, &str)> = screws.collect();
    all.extend(s.point.iter().map(|r| (r.point.clone(), r.source.as_str())));
    all.extend(s.safety.iter().map(|r| (r.load.word().to_owned(), r.source.as_str())));
    all.push(("too hard".into(), &s.too_hard.source));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seating lies under the test torque, or the screw would break in the hand; a stainless one is seated less.
    #[test]
    fn every_screw_is_seated_below_its_test_torque() {
        for size in ["M3", "M4", "M5", "M6", "M8", "M10"] {
            let (alloy, stainless) =
                (set_screw_torque(size, false).unwrap().0, set_screw_torque(size, true).unwrap().0);
            assert!(stainless < alloy && alloy < set_screw_test_torque(size).unwrap(), "{size}");
        }
    }

    /// The low series never above, and never below a third of the high one: sources differ by 2 to 2.7.
    #[test]
    fn the_two_series_differ_as_their_sources_do() {
        for (size, share) in [("M6", 2.5), ("M8", 2.35), ("M10", 2.0)] {
            let range = set_screw_holding_range(size).unwrap();
            assert!((range.high / range.low - share).abs() < 0.05, "{size}");
        }
    }

    #[test]
    fn what_is_unknown_is_refused() {
        assert!(set_screw_torque("M12", false).is_err() && set_screw_holding_range("M4").is_err());
    }
}
