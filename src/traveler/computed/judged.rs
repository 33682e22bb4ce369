//! What the methods of balancing share: how a residual is judged, whether a trial weight told anything, grades.

use crate::mechanics::balance::{Response, Vector, achieved_grade, decides, response};
use crate::quantity::{Mass, Speed, Unbalance};
use crate::traveler::event::Verdict;

use super::{Found, Given};

/// A residual with what the method cannot see: over half of what is permitted it decides nothing (common practice).
pub(super) fn residual(gmm: f64, floor_gmm: f64, permitted: f64, words: String) -> Found {
    let told = format!("{words}, floor of the method {floor_gmm:.0} g·mm");
    let mut found = Found::one(gmm, told);
    if !decides(Unbalance::from_gmm(floor_gmm), Unbalance::from_gmm(permitted)) {
        let why = format!(
            "the floor of {floor_gmm:.0} g·mm is over half of the {permitted:.0} permitted, so this method cannot decide; take a finer instrument, less drag, or another method"
        );
        found.verdict = Some((Verdict::Undecided, why));
    }
    found
}

/// The grade that a residual meets: `G = U·ω/m` (ISO 21940-11).
pub(super) fn grade(given: &Given<'_>, gmm: f64) -> Result<Found, String> {
    let (mass, speed) = (Mass::from_kg(given.figure("mass_kg")?), Speed::from_rpm(given.figure("rpm")?));
    let grade = achieved_grade(Unbalance::from_gmm(gmm), mass, speed).map_err(|e| e.to_string())?;
    Ok(Found::one(grade, format!("{gmm:.0} g·mm on {:.1} kg at {:.0} rpm, G = U·ω/m", mass.kg(), speed.rpm())))
}

/// How much the trial weight changed the readings, in per cent of the first, the sensor that tells most.
pub(super) fn told(initial: &[Vector], with_trial: &[Vector]) -> Result<Found, String> {
    let mut best = (0.0_f64, Response::TooLittle);
    for (first, then) in initial.iter().zip(with_trial) {
        let found = response(*first, *then).map_err(|e| e.to_string())?;
        let change =
            Vector::polar(then.magnitude(), then.degrees()).minus(*first).magnitude() / first.magnitude() * 100.0;
        let keep = match (found, best.1) {
            (Response::Stop, Response::Stop) | (Response::Enough, Response::Enough) => change > best.0,
            (Response::Stop, _) => true,
            (_, Response::Stop) => false,
            (Response::Enough, _) => true,
            (_, Response::Enough) => false,
            _ => change > best.0,
        };
        if keep {
            best = (change, found);
        }
    }
    let (verdict, why) = match best.1 {
        Response::Enough => (Verdict::Within, "amplitude changed by 30 % or phase by 30°"),
        Response::TooLittle => (
            Verdict::Undecided,
            "amplitude changed by less than 30 % and phase by less than 30°; take a larger trial weight, correct its entry, and run again",
        ),
        Response::Stop => (
            Verdict::Outside,
            "the vibration doubled; stop, move the trial weight to the other side or take a smaller one, correct its entry, and run again",
        ),
    };
    let mut found = Found::one(best.0, "length of the change of the reading, of the first reading");
    found.verdict = Some((verdict, why.to_owned()));
    Ok(found)
}
