//! V-ribbed belts in detail: grooves, belts as makers print them, force for the tension reading.

use serde::Deserialize;

use crate::quantity::{Angle, Force, Length};

use super::NotInTable;
use super::belts::TABLE;
use super::bench::Range;

/// A groove of ISO 9982; lengths in mm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Groove {
    /// Profile.
    pub profile: String,
    /// Tolerance of the pitch, plus and minus.
    pub e_tol: f64,
    /// Tip radius, nominal.
    pub rt: f64,
    /// Its tolerance, plus and minus.
    pub rt_tol: f64,
    /// Root radius, largest.
    pub rb_max: f64,
    /// Size over balls less outside diameter (2N), largest.
    pub two_n: f64,
    /// From the middle of the last groove to the edge of the pulley, least.
    pub f_min: f64,
}

/// A belt as a maker prints it, one rib.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Make {
    profile: String,
    /// Effective line difference, mm: pitch diameter is effective diameter + 2·hb.
    pub hb: f64,
    /// Mass, kg/m.
    pub mass: f64,
    /// Thickness, mm.
    pub thickness: f64,
    /// Largest speed, m/s.
    pub speed: f64,
    /// Spring rate EA, N, where known.
    pub ea: Option<f64>,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct ForceRow {
    profile: String,
    from: f64,
    to: f64,
    n: f64,
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct Ratio {
    value: f64,
    source: String,
}

/// Quality of a grooved pulley, mm.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Quality {
    /// Profile it is printed for.
    pub profile: String,
    /// Difference of effective diameter between the grooves of one pulley, largest.
    pub between_grooves: f64,
    /// Run-out of the rim, radially and axially, each, full indicator movement.
    pub run_out: f64,
    /// Tolerance of the size over balls, plus and minus.
    pub over_balls: f64,
    /// Deviations of the pitch summed from first to last groove, plus and minus; this one for all profiles.
    pub pitch_sum: f64,
    /// Source.
    pub source: String,
}

/// The groove of a profile and its flank angle.
///
/// # Errors
/// [`NotInTable`] for others than PH, PJ, PK, PL, PM.
///
/// ```
/// let (pj, angle) = runtrue::standards::ribs::groove("PJ")?;
/// assert_eq!((pj.rt, pj.f_min, angle.deg()), (0.30, 1.80, 40.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn groove(profile: &str) -> Result<(&'static Groove, Angle), NotInTable> {
    let found = TABLE.grooves.iter().find(|g| g.profile == profile);
    found
        .map(|g| (g, Angle::from_deg(TABLE.groove_angle_deg)))
        .ok_or_else(|| NotInTable::new(format!("groove \"{profile}\""), "PH, PJ, PK, PL, PM", &TABLE.groove_source))
}

/// The belts of a profile as their makers print them; empty for an unknown profile.
///
/// ```
/// let gates = runtrue::standards::ribs::makes("PK").find(|m| m.ea.is_some());
/// assert_eq!(gates.and_then(|m| m.ea), Some(11_000.0)); // the only spring rate known
/// ```
pub fn makes(profile: &str) -> impl Iterator<Item = &'static Make> {
    TABLE.makes.iter().filter(move |m| m.profile == profile)
}

/// Range over the makers of one figure of a belt.
fn range(profile: &str, what: &str, figure: impl Fn(&Make) -> f64) -> Result<Range, NotInTable> {
    let values: Vec<f64> = makes(profile).map(&figure).collect();
    if values.is_empty() {
        let what = format!("{what} of \"{profile}\"");
        return Err(NotInTable::new(what, "PH, PJ, PK, PL, PM", "belt makers' catalogues"));
    }
    Ok(Range {
        low: values.iter().copied().fold(f64::INFINITY, f64::min),
        high: values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        source: makes(profile).map(|m| m.source.as_str()).collect::<Vec<_>>().join("; "),
    })
}

/// Effective line difference hb over the makers, mm. The ratio of a drive goes with the pitch diameters.
///
/// # Errors
/// [`NotInTable`] for an unknown profile.
///
/// ```
/// let pk = runtrue::standards::ribs::line_difference("PK")?;
/// assert_eq!((pk.low, pk.high), (1.2, 1.6)); // makers differ: ask for the belt's own
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn line_difference(profile: &str) -> Result<Range, NotInTable> {
    range(profile, "line difference", |m| m.hb)
}

/// Mass of one rib over the makers, kg/m. For PK they differ by half, and a weighed belt had more: weigh it.
///
/// # Errors
/// [`NotInTable`] for an unknown profile.
///
/// ```
/// let pk = runtrue::standards::ribs::rib_mass("PK")?;
/// assert_eq!((pk.low, pk.high), (0.0144, 0.021));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn rib_mass(profile: &str) -> Result<Range, NotInTable> {
    range(profile, "mass of a rib", |m| m.mass)
}

/// Force on one rib for the deflection of span/64, by the small pulley's diameter, and the source.
///
/// # Errors
/// [`NotInTable`] for PH and PK, and for a diameter between or beyond the printed bands.
///
/// ```
/// use runtrue::{quantity::Length, standards::ribs::deflection_force};
/// assert_eq!(deflection_force("PJ", Length::from_mm(63.0))?.0.n(), 2.67);
/// assert!(deflection_force("PJ", Length::from_mm(80.0)).is_err()); // the print ends at 75 mm
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn deflection_force(profile: &str, small: Length) -> Result<(Force, &'static str), NotInTable> {
    let row = TABLE.force.iter().find(|r| r.profile == profile && r.from <= small.mm() && small.mm() <= r.to);
    row.map(|r| (Force::from_n(r.n), TABLE.force_source.as_str())).ok_or_else(|| {
        let bands: Vec<String> =
            TABLE.force.iter().filter(|r| r.profile == profile).map(|r| format!("{} to {}", r.from, r.to)).collect();
        let range = if bands.is_empty() { "PJ, PL, PM".into() } else { format!("{} mm", bands.join(", ")) };
        NotInTable::new(format!("deflection force of {profile} at {} mm", small.mm()), range, &TABLE.force_source)
    })
}

/// Ratio of the strand tensions at 180 degrees of wrap before the belt slips, and its source.
///
/// ```
/// assert_eq!(runtrue::standards::ribs::tension_ratio().0, 4.0);
/// ```
#[must_use]
pub fn tension_ratio() -> (f64, &'static str) {
    (TABLE.ratio.value, &TABLE.ratio.source)
}

/// Quality of a pulley as ISO 9981 asks for PK; the figures of the other profiles depend on the diameter and were not to hand.
///
/// ```
/// let pk = runtrue::standards::ribs::quality();
/// assert_eq!((pk.between_grooves, pk.run_out), (0.15, 0.25));
/// ```
#[must_use]
pub fn quality() -> &'static Quality {
    &TABLE.quality
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_profile_has_groove_and_makers_with_a_source() {
        for profile in ["PH", "PJ", "PK", "PL", "PM"] {
            assert_eq!(groove(profile).unwrap().1.deg(), 40.0);
            assert!(makes(profile).count() >= 2 && makes(profile).all(|m| m.source.len() > 20), "{profile}");
            assert!(rib_mass(profile).unwrap().low > 0.0);
        }
        assert!(groove("PX").is_err() && line_difference("PX").is_err() && rib_mass("").is_err());
        assert!(tension_ratio().0 > 1.0 && !tension_ratio().1.is_empty());
        assert!(quality().source.contains("ISO 9981"));
    }

    #[test]
    fn between_the_bands_nothing_is_invented() {
        for mm in [30.0, 43.0, 58.0, 76.0] {
            assert!(deflection_force("PJ", Length::from_mm(mm)).is_err(), "{mm}");
        }
        assert!(deflection_force("PK", Length::from_mm(60.0)).unwrap_err().to_string().contains("PJ, PL, PM"));
    }
}
