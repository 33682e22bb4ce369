//! Whole washers under the nuts, opposite an unbalance.

use std::f64::consts::PI;

use num_complex::Complex64;

use super::super::OutOfRange;
use super::{Vector, useless};

/// Holes that washers are put on: those nearest to the light side; further ones help little.
const NEAREST: usize = 4;

/// What full stacks on the four holes nearest to a light side take away where it stands worst, as a multiple of one stack.
///
/// Statics. What stacks can make up is a polygon, a side along each hole's direction; its smallest radius stands square to a side. Up to
/// eight holes that is at a hole (4, 8), half way between two (6), or a quarter of the pitch from one (3, 5, 7): `cot(π/n)` for even
/// and `cot(π/2n)/2` for odd numbers. From nine on it is at a hole, where it and its two neighbours carry: `1 + 2·cos(2π/n)`.
///
/// ```
/// use runtrue::mechanics::balance::worst_reach;
/// // Four holes: at a hole that one alone, between two 2·cos 45°. Six: 2·cos 30° between two, 1 + 2·cos 60° at one.
/// assert!((worst_reach(4) - 1.0).abs() < 1e-12 && (worst_reach(6) - 3f64.sqrt()).abs() < 1e-12);
/// ```
#[must_use]
pub fn worst_reach(holes: u32) -> f64 {
    let n = f64::from(holes);
    match holes {
        0..=2 => 0.0,
        3..=8 if holes.is_multiple_of(2) => 1.0 / (PI / n).tan(),
        3..=8 => 0.5 / (PI / (2.0 * n)).tan(),
        _ => 1.0 + 2.0 * (2.0 * PI / n).cos(),
    }
}

/// Whole washers under the nuts opposite an unbalance: counts for each hole, and what is left.
///
/// Up to `most` washers on each of the four holes nearest the light side are tried, every arrangement; of equal rests the one with fewer
/// washers. Weigh the washers at hand: a punched one is several per cent off its nominal mass.
///
/// # Errors
/// [`OutOfRange`] for fewer than three or more than 60 holes, more than 20 washers a hole, or a radius or mass that is not above zero.
///
/// ```
/// use runtrue::mechanics::balance::{Vector, washers};
/// // 70 mm × 3 g = 210 g·mm a washer; 420 g·mm at 0° of six holes is two at hole 4.
/// let (counts, left) = washers(Vector::polar(420.0, 0.0), 6, 70.0, 3.0, 6)?;
/// assert_eq!(counts, [0, 0, 0, 2, 0, 0]);
/// assert!(left.magnitude() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn washers(
    unbalance: Vector,
    holes: u32,
    radius_mm: f64,
    washer_g: f64,
    most: u32,
) -> Result<(Vec<u32>, Vector), OutOfRange> {
    fewest_washers(unbalance, holes, radius_mm, washer_g, most, 0.0)
}

/// As [`washers`], the fewest that leave no more than what is `enough`, g·mm; the least rest where none leaves so little. A hundredth of
/// the limit is not worth ten washers on the far side.
///
/// # Errors
/// As [`washers`].
///
/// ```
/// use runtrue::mechanics::balance::{Vector, fewest_washers};
/// // 421 g·mm heavy at 332° of five holes, 91.45 g·mm a washer: five washers near 152° leave little enough.
/// let (counts, left) = fewest_washers(Vector::polar(421.06, 332.324), 5, 50.0, 1.829, 4, 100.0)?;
/// assert!(counts.iter().sum::<u32>() <= 5 && left.magnitude() <= 100.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn fewest_washers(
    unbalance: Vector,
    holes: u32,
    radius_mm: f64,
    washer_g: f64,
    most: u32,
    enough: f64,
) -> Result<(Vec<u32>, Vector), OutOfRange> {
    if !(3..=60).contains(&holes) || most > 20 {
        return Err(useless("holes", holes.to_string(), "3 to 60 holes and at most 20 washers each"));
    }
    super::above_zero("radius", radius_mm, "mm")?;
    super::above_zero("mass of a washer", washer_g, "g")?;
    let at = |hole: u32| Complex64::from_polar(washer_g * radius_mm, 2.0 * PI * f64::from(hole) / f64::from(holes));
    // Only these can help with few washers.
    let light = (unbalance.degrees() + 180.0).rem_euclid(360.0);
    let mut near: Vec<u32> = (0..holes).collect();
    let away = |h: &u32| {
        let gap = (f64::from(*h) * 360.0 / f64::from(holes) - light).rem_euclid(360.0);
        gap.min(360.0 - gap)
    };
    near.sort_by(|a, b| away(a).total_cmp(&away(b)));
    near.truncate(NEAREST);
    let mut counts = vec![0u32; near.len()];
    let mut best = (vec![0u32; holes as usize], unbalance.0, 0u32);
    loop {
        let left = near.iter().zip(&counts).fold(unbalance.0, |sum, (h, n)| sum + at(*h) * f64::from(*n));
        let used: u32 = counts.iter().sum();
        // What is enough counts as equally good.
        let rest = |v: Complex64| v.norm().max(enough);
        let (now, before) = (rest(left), rest(best.1));
        let smaller = used == best.2 && left.norm() < best.1.norm() - 1e-9;
        if now < before - 1e-9 || (now < before + 1e-9 && (used < best.2 || smaller)) {
            let mut all = vec![0u32; holes as usize];
            near.iter().zip(&counts).for_each(|(h, n)| all[*h as usize] = *n);
            best = (all, left, used);
        }
        if !count_up(&mut counts, most) {
            return Ok((best.0, Vector(best.1)));
        }
    }
}

fn count_up(counts: &mut [u32], most: u32) -> bool {
    for n in counts {
        *n += 1;
        if *n <= most {
            return true;
        }
        *n = 0;
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Most that shares of 0 to 1 of a stack on the four nearest holes make towards `light` alone, nothing across it: at the best at
    /// most one of them is neither nothing nor whole.
    fn at(light: f64, holes: u32) -> f64 {
        let mut angles: Vec<f64> = (0..holes).map(|k| 2.0 * PI * f64::from(k) / f64::from(holes) - light).collect();
        angles.sort_by(|a, b| b.cos().total_cmp(&a.cos()));
        angles.truncate(4);
        let mut best = 0.0_f64;
        for part in 0..angles.len() {
            for whole in 0..1u32 << angles.len() {
                let on = |k: usize| k != part && whole >> k & 1 == 1;
                let sum = |of: fn(f64) -> f64| (0..angles.len()).filter(|k| on(*k)).map(|k| of(angles[k])).sum::<f64>();
                let (along, across) = (sum(f64::cos), sum(f64::sin));
                let share = if across.abs() < 1e-12 { 0.0 } else { -across / angles[part].sin() };
                if (0.0..=1.0 + 1e-9).contains(&share) {
                    best = best.max(along + share * angles[part].cos());
                }
            }
        }
        best
    }

    #[test]
    fn the_worst_place_of_a_light_side_is_found_by_looking_everywhere() {
        for holes in 3..=12 {
            let pitch = 2.0 * PI / f64::from(holes);
            // Steps that meet the hole, the half and the quarter of the pitch.
            let worst = (0..=240).map(|n| at(pitch * f64::from(n) / 240.0, holes)).fold(f64::INFINITY, f64::min);
            assert!((worst_reach(holes) - worst).abs() < 1e-6, "{holes}: {} {worst}", worst_reach(holes));
        }
    }

    #[test]
    fn washers_never_make_it_worse_and_turning_by_a_hole_turns_the_counts() {
        for degrees in [0.0, 25.0, 40.0, 90.0, 333.0] {
            let of = |turn: f64| washers(Vector::polar(900.0, degrees + turn), 6, 70.0, 3.1, 6).unwrap();
            let ((counts, left), (turned, same)) = (of(0.0), of(60.0));
            assert!(left.magnitude() < 200.0 && counts.iter().all(|n| *n <= 6), "{counts:?} {}", left.magnitude());
            assert!((left.magnitude() - same.magnitude()).abs() < 1e-6);
            let mut rotated = counts.clone();
            rotated.rotate_right(1);
            // A light side half way between two holes has two arrangements of one rest.
            assert!(rotated == turned || (degrees / 30.0).fract() == 0.0, "{counts:?} {turned:?}");
        }
        assert!(washers(Vector::polar(900.0, 0.0), 2, 70.0, 3.1, 6).is_err());
        assert!(washers(Vector::polar(900.0, 0.0), 6, 0.0, 3.1, 6).is_err());
    }
}
