//! `weigh` and `at-rest`: unbalance of a rotor that stands still.
//!
//! `weigh`, in the bearings: the mass that just starts the rotor at each hole (`angles`), hung level with the axis at
//! `radius`. The drag of bearings is measured along. `at-rest`, on edges or rollers: places where the heavy side came to rest,
//! then the test mass opposite that keeps the rotor at any angle, at `radius`; what rolling resistance hides is mass times `arm`.
//! Both give `unbalance`, `mass` with `angle` of the correction, `residual`, `grade`, what it `hides`; `weigh` gives the `drag` too.

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
    let gmm = given.value(1)? * given.figure("radius")?;
    let floor = rolling_floor(Mass::from_kg(given.figure("mass_kg")?), Length::from_mm(given.figure("arm")?)).gmm();
    // A rotor that is in balance rests anywhere: with a test mass that drag hides anyway, that is no contradiction.
    if agree < 0.5 && gmm > floor {
        return Err(format!(
            "the heavy side came to rest at places that do not agree, and yet {gmm:.0} g·mm of test mass, over the {floor:.0} that drag hides, balance it: the edges are not level, or one of the two was misread"
        ));
    }
    let how = if agree < 0.5 {
        "it rests anywhere, so less is out of balance than drag hides"
    } else {
        "test mass times its radius; rolling arm times mass"
    };
    if agree < 0.5 && matches!(given.word("give")?, "heavy" | "mass" | "angle") {
        // The mass would be put at an angle that nobody found.
        return Ok(Found::one(0.0, format!("{how}: nothing is added, and its angle counts as zero")));
    }
    told(given, Vector::polar(gmm, if agree < 0.5 { 0.0 } else { mean.degrees() }), floor, how)
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
        "hides" => Ok(Found::one(floor, how)),
        "residual" => Ok(residual(gmm, floor, given.figure("permitted")?, words)),
        other => Err(format!("a rotor at rest gives no {other}")),
    }
}

#[cfg(test)]
mod tests {
    use rust_decimal::Decimal;

    use super::super::{Found, of};
    use crate::procedure::plan::Computation;
    use crate::traveler::event::Verdict;

    /// 27 kg on an arm of 0.01 mm hide 270 g·mm; test masses at 50 mm.
    fn found(give: &str, rests: &str, mass: &str) -> Result<Found, String> {
        let with = [
            ("give", give),
            ("radius", "50"),
            ("rods_radius", "50"),
            ("permitted", "1711"),
            ("mass_kg", "27"),
            ("arm", "0.01"),
        ];
        let by = Computation {
            name: "at-rest".into(),
            inputs: vec!["balance-residual/rests".into(), "balance-residual/test-mass".into()],
            with: with.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect(),
        };
        let numbers = |t: &str| t.split(' ').map(|n| n.parse().unwrap()).collect::<Vec<Decimal>>();
        of(&by, &[numbers(rests), numbers(mass)])
    }

    /// A rotor in balance rests anywhere: with a test mass that drag hides this is an answer, with a larger one a contradiction.
    #[test]
    fn a_rotor_that_rests_anywhere_is_in_balance_unless_the_test_mass_says_otherwise() {
        let anywhere = "0 90 180 270";
        let left = found("residual", anywhere, "0").unwrap();
        assert!(left.values == [0.0] && left.verdict.is_none() && left.words.contains("rests anywhere"), "{left:?}");
        assert_eq!(found("residual", anywhere, "5").unwrap().values, [250.0]);
        let why = found("residual", anywhere, "6").unwrap_err();
        assert!(why.contains("300 g·mm of test mass") && why.contains("270"), "{why}");
        // Nothing is put on at an angle that nobody found, though the test mass stays what is told of the residual.
        for give in ["mass", "angle", "heavy"] {
            let none = found(give, anywhere, "5").unwrap();
            assert!(none.values == [0.0] && none.words.contains("nothing is added"), "{none:?}");
        }
        assert!(found("mass", "350 10 355 5", "5").unwrap().values[0] > 4.9);
        // One that rests at one place is told by its place, as before.
        let heavy = found("heavy", "350 10 355 5", "20").unwrap();
        assert!(heavy.values[0] < 1e-6 || heavy.values[0] > 360.0 - 1e-6, "{heavy:?}");
        assert_eq!(found("hides", anywhere, "0").unwrap().values, [270.0]);
        assert!(found("residual", "350 10 355 5", "20").unwrap().verdict.is_none_or(|(v, _)| v != Verdict::Undecided));
    }
}
