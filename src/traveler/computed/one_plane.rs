//! `one-plane`: balance in one plane by amplitude and phase.
//!
//! Readings: at first, trial weight, with the trial weight; then, where one is asked for, the reading of now. Gives, by
//! `give`: `response` of the trial weight, `mass` and `angle` that take away the first reading, or, of the reading of now,
//! `residual`, `trim` with `trim-angle`, and `grade`.

use crate::mechanics::balance::Influence;

use super::judged::{grade, residual, told};
use super::{Found, Given};

/// See the head of the file.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let (initial, trial, with_trial) = (given.vector(0)?, given.weight(1)?, given.vector(2)?);
    let give = given.word("give")?;
    if give == "response" {
        return told(&[initial], &[with_trial]);
    }
    let alpha = Influence::of(initial, trial, with_trial).map_err(|e| e.to_string())?;
    let now = if given.readings.len() > 3 { given.vector(3)? } else { initial };
    let add = alpha.correction(now);
    let words = format!("{:.2} g at {:.1}° take the reading away: -R/α, α = (T - O)/m", add.magnitude(), add.degrees());
    let gmm = |grams: f64| given.figure("radius").map(|r| grams * r);
    match give {
        "mass" | "trim" => Ok(Found::one(add.magnitude(), words)),
        "angle" | "trim-angle" => Ok(Found::one(add.degrees(), words)),
        "grade" => grade(given, gmm(add.magnitude())?),
        // What the smallest reading of the instrument stands for.
        "hides" => Ok(Found::one(gmm(given.figure("floor")? / alpha.of_one_gram())?, "smallest reading over |α|")),
        "residual" => {
            let floor = gmm(given.figure("floor")? / alpha.of_one_gram())?;
            Ok(residual(
                gmm(add.magnitude())?,
                floor,
                given.figure("permitted")?,
                "|R/α| at the radius of the rods".into(),
            ))
        }
        other => Err(format!("one-plane gives no {other}")),
    }
}
