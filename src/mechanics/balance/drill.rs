//! Taking mass away with a drill.

use std::f64::consts::PI;

use super::super::OutOfRange;
use super::useless;

/// Height of the cone that a drill's point leaves: `(d/2)/tan(point/2)`, mm; 0.3004 of the diameter at 118°.
///
/// # Errors
/// [`OutOfRange`] for a point outside 30 to 180 degrees or a diameter that is not above zero.
///
/// ```
/// use runtrue::mechanics::balance::cone_height_mm;
/// assert!((cone_height_mm(12.7, 118.0)? - 3.82).abs() < 0.005); // 6.35/1.6643
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn cone_height_mm(diameter_mm: f64, point_deg: f64) -> Result<f64, OutOfRange> {
    if !(30.0..180.0).contains(&point_deg) {
        return Err(useless("point of the drill", format!("{point_deg}°"), "it lies from 30 to below 180 degrees"));
    }
    super::above_zero("diameter of the drill", diameter_mm, "mm")?;
    Ok(diameter_mm / 2.0 / (point_deg / 2.0).to_radians().tan())
}

/// Area in mm² times density: grams for each millimetre of depth.
fn grams_a_mm(diameter_mm: f64, density_kg_m3: f64) -> f64 {
    density_kg_m3 * 1e-6 * PI * diameter_mm.powi(2) / 4.0
}

/// Full-diameter depth, mm, of a drilled hole that takes a mass away; the cone of the point counts too: `h = m/(ρ·π·d²/4)` less
/// a third of the cone's height.
///
/// # Errors
/// [`OutOfRange`] where the cone alone takes more, and for sizes that are not above zero.
///
/// ```
/// use runtrue::mechanics::balance::drill_depth_mm;
/// // 12/(0.00785·50.265) flat; a point of 118° saves (4/tan 59°)/3 = 0.801.
/// assert!((drill_depth_mm(12.0, 8.0, 7850.0, None)? - 30.412).abs() < 1e-3);
/// assert!((drill_depth_mm(12.0, 8.0, 7850.0, Some(118.0))? - 29.611).abs() < 1e-3);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn drill_depth_mm(
    mass_g: f64,
    diameter_mm: f64,
    density_kg_m3: f64,
    point_deg: Option<f64>,
) -> Result<f64, OutOfRange> {
    let cone = cone_as_depth_mm(diameter_mm, point_deg)?;
    let depth = mass_g / grams_a_mm(diameter_mm, density_kg_m3) - cone;
    if !(depth >= 0.0 && depth.is_finite()) {
        return Err(useless("drilled depth", format!("{depth:.2} mm"), "it is at least 0; take a smaller drill"));
    }
    Ok(depth)
}

/// Mass in grams that a hole of a full-diameter depth takes away; the inverse of [`drill_depth_mm`].
///
/// # Errors
/// As [`cone_height_mm`].
///
/// ```
/// use runtrue::mechanics::balance::drilled_mass_g;
/// assert!((drilled_mass_g(29.611, 8.0, 7850.0, Some(118.0))? - 12.0).abs() < 1e-3);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn drilled_mass_g(
    depth_mm: f64,
    diameter_mm: f64,
    density_kg_m3: f64,
    point_deg: Option<f64>,
) -> Result<f64, OutOfRange> {
    let cone = cone_as_depth_mm(diameter_mm, point_deg)?;
    Ok((depth_mm + cone) * grams_a_mm(diameter_mm, density_kg_m3))
}

/// Mass in grams that a hole right through a thickness takes away: `ρ·π·d²/4·t`.
///
/// ```
/// use runtrue::mechanics::balance::through_hole_mass_g;
/// assert!((through_hole_mass_g(8.0, 8.0, 7850.0) - 3.157).abs() < 0.001); // 8 mm through 8 mm of steel
/// ```
#[must_use]
pub fn through_hole_mass_g(diameter_mm: f64, thickness_mm: f64, density_kg_m3: f64) -> f64 {
    grams_a_mm(diameter_mm, density_kg_m3) * thickness_mm
}

/// Full-diameter depth that takes away as much as the cone of the point: a third of its height.
fn cone_as_depth_mm(diameter_mm: f64, point_deg: Option<f64>) -> Result<f64, OutOfRange> {
    point_deg.map_or(Ok(0.0), |point| cone_height_mm(diameter_mm, point).map(|height| height / 3.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_deeper_hole_takes_more_and_the_depth_comes_back() {
        for point in [None, Some(118.0), Some(135.0)] {
            for mass in [3.0, 8.0, 20.0] {
                let depth = drill_depth_mm(mass, 8.0, 7850.0, point).unwrap();
                assert!((drilled_mass_g(depth, 8.0, 7850.0, point).unwrap() - mass).abs() < 1e-12);
                assert!(drill_depth_mm(mass + 0.1, 8.0, 7850.0, point).unwrap() > depth);
            }
        }
        assert!(drill_depth_mm(0.01, 8.0, 7850.0, Some(118.0)).is_err());
        assert!(drill_depth_mm(1.0, 0.0, 7850.0, None).is_err());
        assert!(drill_depth_mm(1.0, 8.0, 7850.0, Some(180.0)).is_err());
    }
}
