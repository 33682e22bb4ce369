//! Turning discs on their circle of holes so that their unbalances cancel.

use std::f64::consts::PI;

use num_complex::Complex64;

use crate::quantity::Unbalance;

use super::super::OutOfRange;
use super::{Vector, useless};

/// The best index of discs on a circle of holes.
#[derive(Debug, Clone, PartialEq)]
pub struct Indexed {
    /// Holes each disc is turned by; the first stays.
    pub turns: Vec<u32>,
    /// What is left, statically.
    pub residual: Vector,
    /// Couple about the middle of the places, g·mm².
    pub couple: f64,
    /// The worst that could be assembled.
    pub worst: f64,
}

/// Turns each disc by whole holes so that the static sum is least, the couple second. Every arrangement is tried; the first disc
/// stays. Unbalances in g·mm as received, counted from hole 1; places in mm along the shaft, or none, which leaves the couple out.
///
/// # Errors
/// [`OutOfRange`] over a million arrangements, without discs, or where places and discs differ in number.
///
/// ```
/// use runtrue::mechanics::balance::{Vector, index};
/// // Three alike: turned by 0, 120 and 240 degrees they cancel.
/// let found = index(6, &[Vector::polar(9.0, 20.0); 3], &[])?;
/// assert!(found.residual.magnitude() < 1e-9 && (found.worst - 27.0).abs() < 1e-9);
/// assert!(found.turns == [0, 2, 4] || found.turns == [0, 4, 2]);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn index(holes: u32, discs: &[Vector], places_mm: &[f64]) -> Result<Indexed, OutOfRange> {
    let count = f64::from(holes).powi(i32::try_from(discs.len()).unwrap_or(i32::MAX) - 1);
    if discs.is_empty() || holes == 0 || count > 1e6 || !(places_mm.is_empty() || places_mm.len() == discs.len()) {
        return Err(useless(
            "arrangements",
            format!("{count:.0}"),
            "one place for each disc, and at most a million arrangements",
        ));
    }
    let middle = places_mm.iter().sum::<f64>() / places_mm.len().max(1) as f64;
    let mut turns = vec![0u32; discs.len()];
    let mut best: Option<Indexed> = None;
    let mut worst = 0.0_f64;
    loop {
        let (sum, couple) = sums(holes, discs, places_mm, middle, &turns);
        worst = worst.max(sum.norm());
        // A thousandth of a g·mm is nothing: within it the couple decides.
        let better = best.as_ref().is_none_or(|b| {
            sum.norm() < b.residual.magnitude() - 1e-3
                || (sum.norm() < b.residual.magnitude() + 1e-3 && couple < b.couple - 1e-3)
        });
        if better {
            best = Some(Indexed { turns: turns.clone(), residual: Vector(sum), couple, worst: 0.0 });
        }
        if !advance(&mut turns, holes) {
            break;
        }
    }
    best.map(|b| Indexed { worst, ..b }).ok_or_else(|| useless("discs", "0".into(), "at least one"))
}

/// Uncertainty of the residual after [`index`]: each disc's unbalance was known within `each`, and the errors add up as squares.
/// A disc whose unbalance is not above `each` tells nothing about its light side, and its index is a guess.
///
/// ```
/// use runtrue::{mechanics::balance::index_uncertainty, quantity::Unbalance};
/// assert!((index_uncertainty(Unbalance::from_gmm(108.0), 4).gmm() - 216.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn index_uncertainty(each: Unbalance, discs: usize) -> Unbalance {
    each * (discs as f64).sqrt()
}

fn sums(holes: u32, discs: &[Vector], places: &[f64], middle: f64, turns: &[u32]) -> (Complex64, f64) {
    let pitch = 2.0 * PI / f64::from(holes);
    let mut sum = Complex64::ZERO;
    let mut couple = Complex64::ZERO;
    for (k, (disc, turn)) in discs.iter().zip(turns).enumerate() {
        let turned = disc.0 * Complex64::from_polar(1.0, pitch * f64::from(*turn));
        sum += turned;
        couple += turned * (places.get(k).copied().unwrap_or(middle) - middle);
    }
    (sum, couple.norm())
}

/// The next arrangement; the first disc stays.
fn advance(turns: &mut [u32], holes: u32) -> bool {
    for turn in turns.iter_mut().skip(1) {
        *turn += 1;
        if *turn < holes {
            return true;
        }
        *turn = 0;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(magnitude: f64, degrees: f64) -> Vector {
        Vector::polar(magnitude, degrees)
    }

    #[test]
    fn index_finds_the_least_of_all_arrangements() {
        let discs = [v(8.0, 20.0), v(11.0, 75.0), v(9.0, 300.0), v(10.0, 140.0)];
        let found = index(6, &discs, &[0.0, 8.0, 16.0, 24.0]).unwrap();
        let mut least = f64::MAX;
        for a in 0..6 {
            for b in 0..6 {
                for c in 0..6 {
                    let turned = |k: usize, t: u32| v(discs[k].magnitude(), discs[k].degrees() + 60.0 * f64::from(t)).0;
                    least = least.min((discs[0].0 + turned(1, a) + turned(2, b) + turned(3, c)).norm());
                }
            }
        }
        assert!((found.residual.magnitude() - least).abs() < 1e-3 && found.worst > least);
    }

    #[test]
    fn of_equal_sums_the_smaller_couple_wins_and_too_many_are_refused() {
        // Four alike: neighbours may cancel, or the outer pair the inner; the couple tells which.
        let found = index(2, &[v(5.0, 0.0); 4], &[0.0, 10.0, 20.0, 30.0]).unwrap();
        assert!(found.residual.magnitude() < 1e-9 && found.couple < 1e-9, "{found:?}");
        assert_eq!(found.turns, [0, 1, 1, 0]);
        assert!(index(12, &[v(1.0, 0.0); 8], &[]).is_err());
        assert!(index(6, &[], &[]).is_err() && index(6, &[v(1.0, 0.0)], &[1.0, 2.0]).is_err());
    }
}
