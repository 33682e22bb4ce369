//! `no-phase`: balance in one plane by amplitudes alone.
//!
//! Readings: at first, then with the same trial weight at each of three angles or more (`angles`), then the trial weight in
//! grams, then, where one is asked for, the reading of now. Gives, by `give`: `consistency`, `mass`, `angle`, `residual`,
//! `grade`.

use crate::mechanics::balance::{CONSISTENT, no_phase};
use crate::traveler::event::Verdict;

use super::judged::{grade, residual};
use super::{Found, Given};

/// See the head of the file.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let angles = given.figures("angles")?;
    let n = angles.len();
    let runs: Vec<(f64, f64)> =
        angles.into_iter().enumerate().map(|(k, a)| Ok((a, given.value(k + 1)?))).collect::<Result<_, String>>()?;
    let (initial, trial) = (given.value(0)?, given.value(n + 1)?);
    let again = "the readings contradict each other; look at speed, fixing and zero, and take all runs again";
    let (add, k) = no_phase(trial, initial, &runs).map_err(|e| format!("{e}; {again}"))?;
    let give = given.word("give")?;
    if give == "consistency" {
        let mut found =
            Found::one(k, "what the runs say of the first reading, over the first reading: 1 for true readings");
        if !CONSISTENT.contains(&k) {
            found.verdict = Some((Verdict::Outside, format!("outside 0.9 to 1.1: {again}")));
        }
        return Ok(found);
    }
    if !CONSISTENT.contains(&k) {
        return Err(format!("consistency {k:.2} is outside 0.9 to 1.1: {again}"));
    }
    let now = if given.readings.len() > n + 2 { given.value(n + 2)? } else { initial };
    // A reading stands for as many grams as the first one does, in proportion.
    let grams = |reading: f64| add.magnitude() * reading / initial;
    let radius = given.figure("radius")?;
    let words = format!("{:.2} g at {:.1}°, by the law of cosines, consistency {k:.2}", add.magnitude(), add.degrees());
    match give {
        "mass" => Ok(Found::one(add.magnitude(), words)),
        "angle" => Ok(Found::one(add.degrees(), words)),
        "grade" => grade(given, grams(now) * radius),
        "hides" => {
            Ok(Found::one(grams(given.figure("floor")?) * radius, "smallest reading in proportion to the first"))
        }
        "residual" => {
            let floor = grams(given.figure("floor")?) * radius;
            let words = "in proportion to the first reading, at the radius of the rods";
            Ok(residual(grams(now) * radius, floor, given.figure("permitted")?, words.into()))
        }
        other => Err(format!("no-phase gives no {other}")),
    }
}
