//! Static balance: what can be found at all, and finding it by the weight that just starts the rotor.
//!
//! Static methods find the resultant only; the couple of spaced discs stays.

use crate::quantity::{Length, Mass, Torque, Unbalance};

use super::super::OutOfRange;
use super::super::rotor::GRAVITY;
use super::no_phase::three_unknowns;
use super::{Vector, above_zero, useless};

/// Smallest unbalance that still turns a rotor against its breakaway torque: `U = T/g`. Less than this stays where it stands.
///
/// ```
/// use runtrue::{mechanics::balance::smallest_findable, quantity::Torque};
/// // 0.02 N·m of bearing drag hides 0.02/9.80665 kg·m.
/// assert!((smallest_findable(Torque::from_nm(0.02)).gmm() - 2039.4).abs() < 0.05);
/// ```
#[must_use]
pub fn smallest_findable(breakaway: Torque) -> Unbalance {
    Unbalance::from_gmm(breakaway.nm() / GRAVITY * 1e6)
}

/// Smallest unbalance found on level edges or rollers: mass times the arm of rolling resistance. The arm of hardened edges is about
/// 0.01 mm (an estimate: try it with a small known weight).
///
/// ```
/// use runtrue::{mechanics::balance::rolling_floor, quantity::{Length, Mass}};
/// assert!((rolling_floor(Mass::from_kg(28.0), Length::from_mm(0.01)).gmm() - 280.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn rolling_floor(rotor: Mass, arm: Length) -> Unbalance {
    Unbalance::from_gmm(rotor.g() * arm.mm())
}

/// Unbalance that the play of a bore leaves open: a disc balanced on an arbor may sit differently on its shaft by the clearance, so
/// `U = m·clearance`.
///
/// ```
/// use runtrue::{mechanics::balance::play_floor, quantity::{Length, Mass}};
/// assert!((play_floor(Mass::from_kg(6.35), Length::from_mm(0.017)).gmm() - 107.95).abs() < 1e-9);
/// ```
#[must_use]
pub fn play_floor(disc: Mass, clearance: Length) -> Unbalance {
    Unbalance::from_gmm(disc.g() * clearance.mm())
}

/// Whether a method decides on a limit: what it cannot find is at most half of it (common practice).
///
/// ```
/// use runtrue::{mechanics::balance::decides, quantity::Unbalance};
/// assert!(decides(Unbalance::from_gmm(2039.0), Unbalance::from_gmm(6380.0)));
/// assert!(!decides(Unbalance::from_gmm(10_197.0), Unbalance::from_gmm(6380.0)));
/// ```
#[must_use]
pub fn decides(floor: Unbalance, permitted: Unbalance) -> bool {
    floor.gmm() * 2.0 <= permitted.gmm()
}

/// What starting weights told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weighed {
    /// Unbalance, g·mm at its angle.
    pub unbalance: Vector,
    /// Breakaway torque.
    pub breakaway: Torque,
    /// Root mean square of what the readings miss the law by, g·mm; an estimate of the uncertainty.
    pub scatter: f64,
}

/// Unbalance and breakaway torque from the mass that just starts the rotor, hung at one radius on the hole that stands level with the
/// axis, hole after hole, always on the same side: the heavy side needs least.
/// `m·r = T/g − U·cos(φ − θ)` is linear in T/g and the two parts of U; least squares over the holes. So friction that hides an unbalance
/// from the rolling test is measured and taken out.
///
/// # Errors
/// [`OutOfRange`] for fewer than four holes, angles that do not decide, or a radius or mass that is not above zero.
///
/// ```
/// use runtrue::{mechanics::balance::weigh, quantity::Length};
/// // 1000 g·mm at 90° against a friction of 3000 g·mm, at 100 mm: 30 g ∓ 10 g.
/// let w = weigh(Length::from_mm(100.0), &[(0.0, 30.0), (90.0, 20.0), (180.0, 30.0), (270.0, 40.0)])?;
/// assert!((w.unbalance.magnitude() - 1000.0).abs() < 1e-6 && (w.unbalance.degrees() - 90.0).abs() < 1e-6);
/// assert!((w.breakaway.nm() - 0.02942).abs() < 1e-6 && w.scatter < 1e-6);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn weigh(radius: Length, starts: &[(f64, f64)]) -> Result<Weighed, OutOfRange> {
    above_zero("radius", radius.mm(), "mm")?;
    if starts.len() < 4 {
        return Err(useless("number of holes weighed", starts.len().to_string(), "at least four are needed"));
    }
    for (_, mass) in starts {
        above_zero("starting mass", *mass, "g")?;
    }
    let rows = starts.iter().map(|(degrees, mass)| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        ([1.0, -cos, -sin], mass * radius.mm())
    });
    let [friction, x, y] = three_unknowns(rows.clone())
        .ok_or_else(|| useless("angles of the holes", format!("{starts:?}"), "three different ones at least"))?;
    let missed: f64 = rows.map(|(row, value)| (row[0] * friction + row[1] * x + row[2] * y - value).powi(2)).sum();
    Ok(Weighed {
        unbalance: Vector(num_complex::Complex64::new(x, y)),
        breakaway: Torque::from_nm(friction * 1e-6 * GRAVITY),
        scatter: (missed / (starts.len() - 3) as f64).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn starting_weights_give_back_the_unbalance_they_were_made_from() {
        for (u, phi, friction) in [(800.0, 200.0, 2500.0), (50.0, 10.0, 9000.0)] {
            let starts: Vec<(f64, f64)> = (0..6)
                .map(|k| {
                    let hole = f64::from(k) * 60.0;
                    (hole, (friction - u * (phi - hole).to_radians().cos()) / 40.0)
                })
                .collect();
            let found = weigh(Length::from_mm(40.0), &starts).unwrap();
            assert!((found.unbalance.magnitude() - u).abs() < 1e-6 && (found.unbalance.degrees() - phi).abs() < 1e-6);
            assert!((smallest_findable(found.breakaway).gmm() - friction).abs() < 1e-6);
            // One reading a gram off shows in the scatter.
            let mut wrong = starts.clone();
            wrong[2].1 += 1.0;
            assert!(weigh(Length::from_mm(40.0), &wrong).unwrap().scatter > 10.0);
        }
    }

    #[test]
    fn too_few_holes_and_empty_readings_are_refused() {
        let r = Length::from_mm(40.0);
        assert!(weigh(r, &[(0.0, 1.0), (120.0, 1.0), (240.0, 1.0)]).is_err());
        assert!(weigh(r, &[(0.0, 1.0), (0.0, 1.0), (360.0, 1.0), (180.0, 1.0)]).is_err());
        assert!(weigh(r, &[(0.0, 1.0), (90.0, 0.0), (180.0, 1.0), (270.0, 1.0)]).is_err());
    }
}
