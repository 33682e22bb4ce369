//! `two-planes`: balance in two planes by amplitude and phase at two sensors.
//!
//! Readings: at first, trial weight 1, with it, trial weight 2, with it; then, where one is asked for, the reading of now.
//! Gives, by `give`: `response-1`, `response-2`, `condition`; `mass-1`, `angle-1`, `mass-2`, `angle-2`; of the reading of now
//! `trim-1`, `trim-angle-1`, …, `residual-1`, `residual-2` at the bearings, and `grade`.
//!
//! The residual is told where the tolerance is: the masses still missing are turned into unbalances in the bearing planes by
//! statics, and each is held against its share of what is permitted (ISO 21940-11).

use crate::mechanics::balance::{At, TwoPlane, TwoPlaneFound, Vector, WELL_CONDITIONED, in_two_planes, two_plane_for};
use crate::quantity::Length;
use crate::traveler::event::Verdict;

use super::judged::{grade, residual, told};
use super::{Found, Given};

/// See the head of the file.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let give = given.word("give")?;
    let kept = given.word("first")? == "stays";
    let (initial, with_1) = (given.vectors(0)?, given.vectors(2)?);
    if give == "response-1" {
        return told(&initial, &with_1);
    }
    let with_2 = given.vectors(4)?;
    if give == "response-2" {
        return told(if kept { &with_1 } else { &initial }, &with_2);
    }
    let run = TwoPlane {
        initial: initial.clone(),
        trials: [given.weight(1)?, given.weight(3)?],
        with_1,
        with_2,
        trial_1_kept: kept,
    };
    let first = solved(&run, &initial)?;
    if give == "condition" {
        return Ok(condition(&first));
    }
    let add = if given.readings.len() > 5 { solved(&run, &given.vectors(5)?)?.corrections } else { first.corrections };
    let of = |plane: &str| if plane.ends_with('1') { add[0] } else { add[1] };
    let words = |v: Vector| format!("{:.2} g at {:.1}°: w = -H⁻¹·R over both planes", v.magnitude(), v.degrees());
    match give {
        "mass-1" | "mass-2" | "trim-1" | "trim-2" => Ok(Found::one(of(give).magnitude(), words(of(give)))),
        "angle-1" | "angle-2" | "trim-angle-1" | "trim-angle-2" => Ok(Found::one(of(give).degrees(), words(of(give)))),
        "residual-1" | "residual-2" | "grade" => at_the_bearings(given, give, add, &run),
        "hides" | "hides-1" | "hides-2" => {
            let both = least_readings(given, &run)?;
            let of = |k: usize| both.iter().map(|w| w[k].magnitude()).fold(0.0, f64::max);
            let grams = match give {
                "hides-1" => of(0),
                "hides-2" => of(1),
                _ => of(0).hypot(of(1)),
            };
            Ok(Found::one(
                grams * given.figure("radius")?,
                "smallest reading at both sensors, in one direction or against each other",
            ))
        }
        other => Err(format!("two-planes gives no {other}")),
    }
}

/// Masses that the smallest reading stands for, at both sensors in one direction or against each other.
fn least_readings(given: &Given<'_>, run: &TwoPlane) -> Result<Vec<[Vector; 2]>, String> {
    let floor = given.figure("floor")?;
    let one = |turn: f64| {
        let least: Vec<Vector> = (0..run.initial.len()).map(|n| Vector::polar(floor, turn * n as f64)).collect();
        solved(run, &least).map(|found| found.corrections)
    };
    [0.0, 180.0].into_iter().map(one).collect()
}

/// The influence of each plane is that of the trial runs, whatever reading is to be taken away.
fn solved(run: &TwoPlane, reading: &[Vector]) -> Result<TwoPlaneFound, String> {
    two_plane_for(run, reading).map_err(|e| format!("{e}; take the runs again, or move the planes apart"))
}

fn condition(found: &TwoPlaneFound) -> Found {
    let mut told = Found::one(
        found.condition,
        "condition of the influences: how much larger an error of a reading may be in the masses",
    );
    told.verdict = Some(if found.condition <= WELL_CONDITIONED {
        (Verdict::Within, "the planes are told apart well enough".into())
    } else {
        let why =
            "above 10 the two planes look alike to the sensors: move sensors or planes apart, or balance in one plane";
        (Verdict::Undecided, why.into())
    });
    told
}

fn at_the_bearings(given: &Given<'_>, give: &str, add: [Vector; 2], run: &TwoPlane) -> Result<Found, String> {
    let two = |key: &str| match given.figures(key)?.as_slice() {
        [a, b] => Ok([Length::from_mm(*a), Length::from_mm(*b)]),
        _ => Err(format!("the plan gives not two {key}")),
    };
    let (radius, places, bearings) = (given.figure("radius")?, two("planes")?, two("bearings")?);
    let spread = |masses: [Vector; 2]| {
        let each = [0, 1].map(|k: usize| At { at: places[k], unbalance: masses[k].opposite().scaled(radius) });
        in_two_planes(&each, bearings).map(|c| c.map(Vector::magnitude)).map_err(|e| e.to_string())
    };
    let left = spread(add)?;
    if give == "grade" {
        return grade(given, left[0] + left[1]);
    }
    let k = usize::from(give.ends_with('2'));
    let mut hidden = 0.0_f64;
    for masses in least_readings(given, run)? {
        hidden = hidden.max(spread(masses)?[k]);
    }
    Ok(residual(
        left[k],
        hidden,
        given.figure("permitted")?,
        "masses still missing, as unbalance at this bearing".into(),
    ))
}
