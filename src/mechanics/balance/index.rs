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
    let best = indices(holes, discs, places_mm, 1)?;
    best.into_iter().next().ok_or_else(|| useless("discs", "0".into(), "at least one"))
}

/// The best arrangements as [`index`] ranks them, the best first, `most` of them at most: what a fitter may choose from where the
/// best one cannot be had.
///
/// # Errors
/// As [`index`].
///
/// ```
/// use runtrue::mechanics::balance::{Vector, indices};
/// // Two alike on two holes: opposite they cancel, side by side they add up.
/// let found = indices(2, &[Vector::polar(9.0, 0.0); 2], &[], 5)?;
/// assert_eq!(found.len(), 2);
/// assert!(found[0].turns == [0, 1] && (found[1].residual.magnitude() - 18.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn indices(holes: u32, discs: &[Vector], places_mm: &[f64], most: usize) -> Result<Vec<Indexed>, OutOfRange> {
    let count = arrangements(holes, discs.len());
    if discs.is_empty() || holes == 0 || count > MOST || !(places_mm.is_empty() || places_mm.len() == discs.len()) {
        return Err(useless(
            "arrangements",
            format!("{count:.0}"),
            "one place for each disc, and at most a million arrangements",
        ));
    }
    let middle = places_mm.iter().sum::<f64>() / places_mm.len().max(1) as f64;
    let mut turns = vec![0u32; discs.len()];
    let mut best: Vec<Indexed> = Vec::new();
    let mut worst = 0.0_f64;
    loop {
        let (sum, couple) = sums(holes, discs, places_mm, middle, &turns);
        worst = worst.max(sum.norm());
        let at = best.iter().position(|b| better(sum.norm(), couple, b)).unwrap_or(best.len());
        if at < most {
            best.insert(at, Indexed { turns: turns.clone(), residual: Vector(sum), couple, worst: 0.0 });
            best.truncate(most);
        }
        if !advance(&mut turns, holes) {
            break;
        }
    }
    best.iter_mut().for_each(|b| b.worst = worst);
    Ok(best)
}

/// Sum and couple of discs as they stand: hole of each, from 1, at hole position 1. Angles from hole position 1; places as in [`index`].
///
/// # Errors
/// [`OutOfRange`] without holes, or where discs, places and holes differ in number.
///
/// ```
/// use runtrue::mechanics::balance::{Vector, indexed_as};
/// // 9 at 20° from hole 1, whose hole 3 of six stands on top: hole 1 stands at position 5, so 240° + 20°.
/// let (sum, _) = indexed_as(6, &[Vector::polar(9.0, 20.0)], &[], &[3])?;
/// assert!((sum.magnitude() - 9.0).abs() < 1e-9 && (sum.degrees() - 260.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn indexed_as(holes: u32, discs: &[Vector], places_mm: &[f64], at_1: &[u32]) -> Result<(Vector, f64), OutOfRange> {
    let places_fit = places_mm.is_empty() || places_mm.len() == discs.len();
    if holes == 0 || at_1.len() != discs.len() || !places_fit {
        return Err(useless("holes at position 1", format!("{at_1:?}"), "one for each disc"));
    }
    let middle = places_mm.iter().sum::<f64>() / places_mm.len().max(1) as f64;
    // The inverse of `hole_at_position_1`.
    let turns: Vec<u32> = at_1.iter().map(|hole| (holes + 1 - hole.clamp(&1, &holes)) % holes).collect();
    let (sum, couple) = sums(holes, discs, places_mm, middle, &turns);
    Ok((Vector(sum), couple))
}

/// Most arrangements that are tried.
const MOST: f64 = 1e6;

/// How many arrangements there are: the first disc stays.
fn arrangements(holes: u32, discs: usize) -> f64 {
    f64::from(holes).powi(i32::try_from(discs).unwrap_or(i32::MAX) - 1)
}

/// Whether every arrangement of so many discs can be tried.
///
/// ```
/// use runtrue::mechanics::balance::index_can_be_tried;
/// assert!(index_can_be_tried(6, 5) && !index_can_be_tried(12, 8));
/// ```
#[must_use]
pub fn index_can_be_tried(holes: u32, discs: usize) -> bool {
    holes > 0 && discs > 0 && arrangements(holes, discs) <= MOST
}

/// A thousandth of a g·mm is nothing: within it the couple decides.
fn better(sum: f64, couple: f64, than: &Indexed) -> bool {
    let least = than.residual.magnitude();
    sum < least - 1e-3 || (sum < least + 1e-3 && couple < than.couple - 1e-3)
}

/// Number of the hole, from 1, that stands at hole position 1 when a disc is turned by whole holes in the sense that its holes and
/// angles are counted.
///
/// ```
/// use runtrue::mechanics::balance::hole_at_position_1;
/// // Six holes, turned by two: hole 1 stands at position 3, and hole 5 comes to position 1.
/// assert_eq!([0, 1, 2, 5].map(|turns| hole_at_position_1(6, turns)), [1, 6, 5, 2]);
/// ```
#[must_use]
pub const fn hole_at_position_1(holes: u32, turns: u32) -> u32 {
    if holes == 0 { 1 } else { (holes - turns % holes) % holes + 1 }
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

/// As [`index_uncertainty`], for discs that are not known alike.
///
/// ```
/// use runtrue::{mechanics::balance::index_uncertainty_of, quantity::Unbalance};
/// let u = index_uncertainty_of(&[Unbalance::from_gmm(30.0), Unbalance::from_gmm(40.0)]);
/// assert!((u.gmm() - 50.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn index_uncertainty_of(each: &[Unbalance]) -> Unbalance {
    Unbalance::from_gmm(each.iter().map(|u| u.gmm().powi(2)).sum::<f64>().sqrt())
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

    /// Each arrangement is worked out by turning the discs one by one, and sorted by sum and couple.
    #[test]
    fn the_best_five_are_the_first_five_of_all() {
        let discs = [v(80.0, 20.0), v(110.0, 75.0), v(90.0, 300.0)];
        let places = [4.0, 12.0, 20.0];
        let mut all: Vec<(f64, f64, Vec<u32>)> = Vec::new();
        for b in 0..6 {
            for c in 0..6 {
                let turned = |k: usize, t: u32| v(discs[k].magnitude(), discs[k].degrees() + 60.0 * f64::from(t)).0;
                let each = [turned(0, 0), turned(1, b), turned(2, c)];
                let couple: Complex64 = each.iter().zip(places).map(|(u, at)| u * (at - 12.0)).sum();
                all.push((each.iter().sum::<Complex64>().norm(), couple.norm(), vec![0, b, c]));
            }
        }
        all.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.total_cmp(&y.1)));
        let found = indices(6, &discs, &places, 5).unwrap();
        assert_eq!(found.len(), 5);
        for (found, hand) in found.iter().zip(&all) {
            assert_eq!(found.turns, hand.2);
            assert!((found.residual.magnitude() - hand.0).abs() < 1e-9 && (found.couple - hand.1).abs() < 1e-6);
        }
        assert_eq!(found[0], index(6, &discs, &places).unwrap());
    }

    /// A disc turned by its index has the hole that was named at position 1, and its heavy side where the sum has it.
    #[test]
    fn the_hole_at_position_1_agrees_with_the_turn() {
        for holes in [2, 5, 6, 8] {
            for turn in 0..holes {
                let hole = hole_at_position_1(holes, turn);
                // Hole h stands (h - 1) pitches on from hole 1, which was turned on by `turn` pitches.
                assert_eq!((hole - 1 + turn) % holes, 0, "{holes} holes, {turn}");
            }
        }
    }
}
