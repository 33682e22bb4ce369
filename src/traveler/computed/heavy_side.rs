//! `heavy side`: what one disc's rest positions, test mass and starting mass say.
//!
//! Inputs: rest positions (degrees), test mass (g), starting mass (g). With: `radius` (mm), `play` (g·mm), and `part`: which of
//! `spread`, `floor`, `unbalance`, `angle` is wanted.

use crate::mechanics::balance::{HeavySide, Rolled, heavy_side, rest};
use crate::quantity::{Length, Mass, Unbalance, rounded};
use crate::traveler::event::Verdict;

use super::{Found, Given};

/// What the three readings from number `first` on say of a disc.
pub(super) fn of_disc(given: &Given<'_>, first: usize) -> Result<HeavySide, String> {
    let read = Rolled {
        rests: given.values(first)?,
        balances: Mass::from_g(given.value(first + 1)?),
        starts: Mass::from_g(given.value(first + 2)?),
        radius: Length::from_mm(given.figure("radius")?),
        play: Unbalance::from_gmm(given.figure("play")?),
    };
    heavy_side(&read).map_err(|e| e.to_string())
}

/// One of the values of a disc.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let disc = of_disc(given, 0)?;
    let rests = given.values(0)?;
    let hidden = || {
        let why = format!("not findable: drag hides {} g·mm; it counts as zero", rounded(disc.floor.gmm(), 0));
        Some((Verdict::NotJudged, why))
    };
    let found = match given.word("part")? {
        // Directions that point all round have no mean, and spread over the whole circle.
        "spread" => Found::one(rest(rests).map_or(360.0, |r| r.spread), "smallest arc that holds the rest positions"),
        "floor" => Found::one(disc.floor.gmm(), "the larger of starting mass × radius and unbalance × sin(spread / 2)"),
        "unbalance" => Found {
            verdict: hidden().filter(|_| !disc.findable()),
            ..Found::one(disc.size.gmm(), "test mass × radius")
        },
        "angle" => Found {
            verdict: hidden().filter(|_| !disc.findable()),
            ..Found::one(if disc.findable() { disc.found.degrees() } else { 0.0 }, "mean of the rest positions")
        },
        other => return Err(format!("the plan asks for \"{other}\", which a heavy side has not")),
    };
    Ok(found)
}
