//! `weigh` and `at-rest`: unbalance of a rotor that stands still.
//!
//! `weigh`, in the bearings: the mass that just starts the rotor at each hole (`angles`), hung level with the axis at
//! `radius`. The drag of bearings is measured along. `at-rest`, on edges or rollers: places where the heavy side came to rest,
//! then the test mass opposite that keeps the rotor at any angle, at `radius`; what rolling resistance hides is mass times `arm`.
//! Both give `unbalance`, `mass` with `angle` of the correction, `residual`, `grade`; `weigh` gives the `drag` too.

use crate::mechanics::balance::{Vector, resultant, rolling_floor, smallest_findable, weigh};
use crate::quantity::{Length, Mass};

use super::judged::{grade, residual};
use super::{Found, Given};

/// In the bearings.
pub(super) fn weighed(given: &Given<'_>) -> Result<Found, String> {
    let (angles, masses) = (given.figures("angles")?, given.values(0)?);
    if angles.len() != masses.len() {
        return Err(format!("{} holds {} masses, there are {} holes", given.name(0), masses.len(), angles.len()));
    }
    let starts: Vec<(f64, f64)> = angles.iter().copied().zip(masses.iter().copied()).collect();
    let found = weigh(Length::from_mm(given.figure("radius")?), &starts).map_err(|e| e.to_string())?;
    if given.word("give")? == "drag" {
        let hides = smallest_findable(found.breakaway).gmm();
        let words =
            format!("T = m·r·g, heavy side taken out; it hides {hides:.0} g·mm from a rotor that is left to roll");
        return Ok(Found::one(found.breakaway.nm(), words));
    }
    // Twice the scatter of the readings, as their uncertainty.
    told(given, found.unbalance, 2.0 * found.scatter, "least squares of the starting masses, scatter twice")
}

/// On edges or rollers.
pub(super) fn at_rest(given: &Given<'_>) -> Result<Found, String> {
    let rests: Vec<Vector> = given.values(0)?.iter().map(|a| Vector::polar(1.0, *a)).collect();
    let mean = resultant(&rests);
    let agree = mean.magnitude() / rests.len() as f64;
    if agree < 0.5 {
        return Err(
            "the heavy side came to rest at places that do not agree: less is out of balance than this can find, or the edges are not level"
                .into(),
        );
    }
    let gmm = given.value(1)? * given.figure("radius")?;
    let floor = rolling_floor(Mass::from_kg(given.figure("mass_kg")?), Length::from_mm(given.figure("arm")?)).gmm();
    told(given, Vector::polar(gmm, mean.degrees()), floor, "test mass times its radius; rolling arm times mass")
}

fn told(given: &Given<'_>, unbalance: Vector, floor: f64, how: &str) -> Result<Found, String> {
    let (gmm, add) = (unbalance.magnitude(), unbalance.opposite());
    let words = format!("{gmm:.0} g·mm heavy at {:.0}°: {how}", unbalance.degrees());
    match given.word("give")? {
        "unbalance" => Ok(Found::one(gmm, words)),
        "heavy" => Ok(Found::one(unbalance.degrees(), words)),
        "mass" => Ok(Found::one(gmm / given.figure("rods_radius")?, words)),
        "angle" => Ok(Found::one(add.degrees(), words)),
        "grade" => grade(given, gmm),
        "residual" => Ok(residual(gmm, floor, given.figure("permitted")?, words)),
        other => Err(format!("a rotor at rest gives no {other}")),
    }
}
