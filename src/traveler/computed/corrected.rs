//! `washers` and `drilling`: how a correction is put on.
//!
//! Readings of both: mass in grams at the radius of the rods, its angle; `washers` then the mass of one washer. `washers` gives
//! the count for each hole; `drilling` gives number of holes, depth, angle of the first, angle between them.

use crate::mechanics::balance::{Vector, drill_depth_mm, drilled_mass_g, fewest_washers};

use super::{Found, Given};

/// Share of what is permitted that may be left for the sake of fewer washers (common practice).
const ENOUGH: f64 = 0.1;

/// Whole washers, hole by hole: the fewest that leave little enough.
pub(super) fn counts(given: &Given<'_>) -> Result<Found, String> {
    let (mass, angle, one) = (given.value(0)?, given.value(1)?, given.value(2)?);
    let (holes, radius, most) = (given.figure("holes")? as u32, given.figure("radius")?, given.figure("most")? as u32);
    // Plans of washers that are only wanted where too much is left say how much may stay.
    if given.word("spare").is_ok() && mass * radius <= given.figure("spare")? {
        let words = format!("{:.0} g·mm are left, within what is permitted: none is added", mass * radius);
        return Ok(Found::each(vec![0.0; holes as usize], words));
    }
    let heavy = Vector::polar(mass * radius, angle).opposite();
    let enough = given.figure("permitted")? * ENOUGH;
    let (counts, left) = fewest_washers(heavy, holes, radius, one, most, enough).map_err(|e| e.to_string())?;
    let on: Vec<String> =
        (1..).zip(&counts).filter(|(_, n)| **n > 0).map(|(hole, n): (u32, _)| format!("{n} at hole {hole}")).collect();
    let on = if on.is_empty() { "none".to_owned() } else { on.join(", ") };
    let words = format!(
        "{on}; for {mass:.2} g at {angle:.0}°, whole washers of {one} g leave {:.0} g·mm at {:.0}°",
        left.magnitude(),
        left.degrees()
    );
    Ok(Found::each(counts.into_iter().map(f64::from).collect(), words))
}

/// Most holes drilled side by side for one correction (common practice).
const MOST: u32 = 5;

/// Holes side by side, each as deep as the others, two diameters apart: a web of one diameter stays between them.
pub(super) fn holes(given: &Given<'_>) -> Result<Found, String> {
    let (mass, angle) = (given.value(0)?, given.value(1)?);
    let (radius, on) = (given.figure("radius")?, given.figure("on")? / 2.0);
    let (diameter, deepest) = (given.figure("diameter")?, given.figure("deepest")?);
    let (density, point) = (given.figure("density")?, Some(given.figure("point")?));
    let at = Vector::polar(1.0, angle).opposite().degrees();
    if mass * radius <= given.figure("enough")? {
        let words = format!("{:.0} g·mm are left, within what is permitted: nothing is drilled", mass * radius);
        return Ok(Found::each(vec![0.0; 4], words));
    }
    let away = mass * radius / on;
    let apart = (2.0 * diameter / on).to_degrees();
    for n in 1..=MOST {
        // Holes beside the middle one work with the cosine of their angle.
        let shares = (0..n).map(|k| ((f64::from(k) - f64::from(n - 1) / 2.0) * apart).to_radians().cos());
        let each = away / shares.sum::<f64>();
        let depth = drill_depth_mm(each, diameter, density, point).map_err(|e| e.to_string())?;
        if depth <= deepest {
            let first = (at - apart * f64::from(n - 1) / 2.0).rem_euclid(360.0);
            let words = format!(
                "{away:.2} g away at {at:.0}° on the circle of the drill: {n} of {depth:.1} mm depth to the full diameter, {:.2} g each",
                drilled_mass_g(depth, diameter, density, point).map_err(|e| e.to_string())?
            );
            return Ok(Found::each(vec![f64::from(n), depth, first, if n > 1 { apart } else { 0.0 }], words));
        }
    }
    Err(format!(
        "{away:.1} g are more than {MOST} holes of {diameter} mm take at {deepest} mm depth; add washers first, or take a larger drill"
    ))
}
