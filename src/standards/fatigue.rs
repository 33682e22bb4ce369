//! What a rotating shaft bears for ever: endurance in rotating bending and what takes from it.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Length, Stress};

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    source: String,
    specimen: Specimen,
    surface: Vec<Surface>,
    size: Vec<Size>,
    reliability: Reliability,
    notch: Notch,
    safety: Safety,
}

#[derive(Debug, Default, Deserialize)]
struct Specimen {
    share: f64,
    up_to: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
struct Surface {
    finish: String,
    a: f64,
    b: f64,
}

#[derive(Debug, Deserialize)]
struct Size {
    over: f64,
    up_to: f64,
    a: f64,
    b: f64,
}

#[derive(Debug, Default, Deserialize)]
struct Reliability {
    factor: f64,
}

#[derive(Debug, Default, Deserialize)]
struct Notch {
    a: f64,
    b: f64,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct Safety {
    least: f64,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("fatigue.yaml", include_str!("data/fatigue.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// Endurance limit of a polished specimen in rotating bending: half the tensile strength (Shigley, equation 6-8).
///
/// # Errors
/// [`NotInTable`] for a tensile strength that is not above 0 and at most 1400 MPa.
///
/// ```
/// use runtrue::{quantity::Stress, standards::fatigue::specimen};
/// assert_eq!(specimen(Stress::from_mpa(580.0))?.mpa(), 290.0);
/// assert!(specimen(Stress::from_mpa(1500.0)).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn specimen(tensile: Stress) -> Result<Stress, NotInTable> {
    let row = &TABLE.specimen;
    if tensile.mpa() > 0.0 && tensile.mpa() <= row.up_to {
        return Ok(tensile * row.share);
    }
    let what = format!("endurance at {} MPa tensile strength", tensile.mpa());
    Err(NotInTable::new(what, format!("above 0 up to {} MPa", row.up_to), &row.source))
}

/// Factor of the surface, `a·Rm^b` (Shigley, table 6-2), at most 1: "ground" or "machined".
///
/// # Errors
/// [`NotInTable`] for another finish.
///
/// ```
/// use runtrue::{quantity::Stress, standards::fatigue::surface};
/// // 4.51·580^−0.265, by logarithms: 1.5063 − 0.265·6.3630 = −0.1799.
/// assert!((surface("machined", Stress::from_mpa(580.0))? - 0.8354).abs() < 5e-4);
/// assert!(surface("polished", Stress::from_mpa(580.0)).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn surface(finish: &str, tensile: Stress) -> Result<f64, NotInTable> {
    let row = TABLE.surface.iter().find(|r| r.finish == finish);
    row.map(|r| (r.a * tensile.mpa().powf(r.b)).min(1.0))
        .ok_or_else(|| NotInTable::new(format!("surface \"{finish}\""), "ground, machined", &TABLE.source))
}

/// Factor of the size, `a·d^b` (Shigley, equation 6-20).
///
/// # Errors
/// [`NotInTable`] outside 2.79 to 254 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::fatigue::size};
/// // 1.24·25^−0.107, by logarithms: 0.2151 − 0.107·3.2189 = −0.1293.
/// assert!((size(Length::from_mm(25.0))? - 0.8787).abs() < 5e-4);
/// assert!(size(Length::from_mm(300.0)).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn size(diameter: Length) -> Result<f64, NotInTable> {
    let row = TABLE.size.iter().find(|r| diameter.mm() > r.over && diameter.mm() <= r.up_to);
    row.map(|r| r.a * diameter.mm().powf(r.b)).ok_or_else(|| {
        NotInTable::new(format!("size factor at {} mm", diameter.mm()), "over 2.79 up to 254 mm", &TABLE.source)
    })
}

/// Factor for 99 of 100 shafts to last (Shigley, table 6-5).
///
/// ```
/// assert_eq!(runtrue::standards::fatigue::reliability(), 0.814);
/// ```
#[must_use]
pub fn reliability() -> f64 {
    TABLE.reliability.factor
}

/// Factor by which the dent of a set screw or the edge of a clamped hub divides the endurance, taken as a hub with a key:
/// `3·(Rm/1000)^0.38`, Rm in MPa (DIN 743-2, from memory).
///
/// ```
/// use runtrue::{quantity::Stress, standards::fatigue::notch};
/// // 3·0.58^0.38, by logarithms: 1.0986 − 0.38·0.5447 = 0.8916.
/// assert!((notch(Stress::from_mpa(580.0)) - 2.439).abs() < 2e-3);
/// ```
#[must_use]
pub fn notch(tensile: Stress) -> f64 {
    TABLE.notch.a * (tensile.mpa() / 1000.0).powf(TABLE.notch.b)
}

/// Least safety against breaking in the long run.
///
/// ```
/// assert_eq!(runtrue::standards::fatigue::safety(), 1.2);
/// ```
#[must_use]
pub fn safety() -> f64 {
    TABLE.safety.least
}

/// Where the values come from: the endurance, then the notch.
///
/// ```
/// let (endurance, notch) = runtrue::standards::fatigue::sources();
/// assert!(endurance.contains("Shigley") && notch.contains("from memory"));
/// ```
#[must_use]
pub fn sources() -> (&'static str, &'static str) {
    (&TABLE.source, &TABLE.notch.source)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stronger_steel_is_more_sensitive_and_thicker_shafts_bear_less() {
        let s = Stress::from_mpa;
        for rm in (400..1400).step_by(100) {
            let (now, next) = (s(f64::from(rm)), s(f64::from(rm + 100)));
            assert!(surface("machined", next).unwrap() < surface("machined", now).unwrap());
            assert!(surface("ground", now).unwrap() > surface("machined", now).unwrap());
            assert!(notch(next) > notch(now));
        }
        let at = |mm: f64| size(Length::from_mm(mm)).unwrap();
        assert!(at(10.0) > at(25.0) && at(25.0) > at(51.0) && at(51.0) > at(60.0));
        // The two formulas meet within two percent.
        assert!((at(51.0) / at(51.001) - 1.0).abs() < 0.02);
    }
}
