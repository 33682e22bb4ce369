//! `as-indexed`: the heavy side of the assembled rotor against what the index of its discs predicts.
//!
//! Readings: three of each disc as `index` takes them, the hole of each that was counted at position 1, then those of the method of
//! balancing. With: what `index` takes, each key behind `index-`; what the method takes; `method`; `mass` and `angle` (one name for
//! each plane); `hides`; `others`, what parts that no index knows may add, g·mm. Gives the distance of both, g·mm, and judges it by a doubt.

use crate::mechanics::balance::{Vector, resultant};

use super::index::{self, EACH};
use super::{Found, Given, predicted};

/// Share of what was found that readings leave open (common practice).
const OPEN: f64 = 0.1;

/// See the head of the file.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let own: Vec<(&str, &str)> =
        given.with.iter().filter_map(|(key, text)| Some((key.strip_prefix("index-")?, text.as_str()))).collect();
    let stand = given.word("index-discs")?.split_whitespace().count() * EACH;
    let of_discs = |part: &str| -> Result<f64, String> {
        given.asked(0..stand + 1, &[own.as_slice(), &[("part", part)]].concat(), index::of)
    };
    let sum = Vector::polar(of_discs("stands")?, of_discs("stands-angle")?);
    let within = of_discs("within")?;
    let method = predicted::method(given)?;
    let from = stand + 1..given.readings.len();
    let ask = |give: &str| given.asked(from.clone(), &[("give", give)], method);
    let radius = given.figure("radius")?;
    let names = |key: &str| given.word(key).map(|w| w.split_whitespace().map(str::to_owned).collect::<Vec<_>>());
    let missing: Vec<Vector> = names("mass")?
        .iter()
        .zip(names("angle")?)
        .map(|(mass, angle)| Ok(Vector::polar(ask(mass)? * radius, ask(&angle)?)))
        .collect::<Result<_, String>>()?;
    let found = resultant(&missing).opposite();
    let floor = ask(given.word("hides")?)?;
    let open = [within, floor, given.figure("others")?, OPEN * found.magnitude()];
    let open = open.iter().map(|o| o * o).sum::<f64>().sqrt();
    let apart = found.minus(sum).magnitude();
    let compared = format!(
        "the discs as they stand make {:.0} g·mm at {:.0}°, {:.0} at {:.0}° were found: {apart:.0} apart, {open:.0} are left open by drag, play, pulleys and readings",
        sum.magnitude(),
        sum.degrees(),
        found.magnitude(),
        found.degrees()
    );
    if apart <= open {
        return Ok(Found::one(apart, format!("as predicted: {compared}")));
    }
    let look = "a disc may stand in another hole or the other way round, or hole 1 is not hole position 1 of the discs";
    let doubt = format!(
        "the discs were to make {:.0} g·mm at {:.0}°, {:.0} at {:.0}° were found, {open:.0} are left open; {look}",
        sum.magnitude(),
        sum.degrees(),
        found.magnitude(),
        found.degrees()
    );
    Ok(Found { doubt: Some(doubt), ..Found::one(apart, format!("not as predicted: {compared}; {look}")) })
}
