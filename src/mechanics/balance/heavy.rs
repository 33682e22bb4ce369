//! The heavy side of a single disc, found by letting it roll to rest on level edges or rollers.

use num_complex::Complex64;

use crate::quantity::{Density, Length, Mass, Unbalance};

use super::super::OutOfRange;
use super::{Vector, above_zero, useless};

/// Where a disc comes to rest, seen several times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// Mean direction, from 0 up to 360 degrees.
    pub degrees: f64,
    /// The smallest arc that holds all of them, degrees: what drag leaves open.
    pub spread: f64,
}

/// Mean and spread of directions. They are directions, not numbers: 350° and 10° lie 20° apart, about 0°.
///
/// # Errors
/// [`OutOfRange`] without an angle, or where they point all round and have no mean.
///
/// ```
/// use runtrue::mechanics::balance::rest;
/// let r = rest(&[350.0, 10.0, 355.0, 5.0])?;
/// assert!((r.degrees < 1e-6 || r.degrees > 360.0 - 1e-6) && (r.spread - 20.0).abs() < 1e-9);
/// assert!(rest(&[0.0, 90.0, 180.0, 270.0]).is_err());
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn rest(degrees: &[f64]) -> Result<Rest, OutOfRange> {
    let sum: Complex64 = degrees.iter().map(|d| Complex64::from_polar(1.0, d.to_radians())).sum();
    let share = sum.norm() / degrees.len().max(1) as f64;
    // Below this the mean direction is that of the rounding.
    if !(share > 1e-6 && share.is_finite()) {
        return Err(useless("rest positions", format!("{degrees:?}"), "directions that have a mean"));
    }
    Ok(Rest { degrees: Vector(sum).degrees(), spread: spread(degrees) })
}

/// The whole circle less the widest gap between neighbours.
fn spread(degrees: &[f64]) -> f64 {
    let mut sorted: Vec<f64> = degrees.iter().map(|d| d.rem_euclid(360.0)).collect();
    sorted.sort_by(f64::total_cmp);
    let round = sorted.first().zip(sorted.last()).map_or(360.0, |(first, last)| first + 360.0 - last);
    let widest = sorted.windows(2).map(|pair| pair[1] - pair[0]).fold(round, f64::max);
    360.0 - widest
}

/// What was read of one disc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rolled<'a> {
    /// Where its lowest point stood each time it came to rest, degrees from hole 1.
    pub rests: &'a [f64],
    /// Test mass, opposite to the heavy side, with which it stays at any angle.
    pub balances: Mass,
    /// Smallest mass, level with the axis, that starts the balanced disc.
    pub starts: Mass,
    /// Radius of both masses.
    pub radius: Length,
    /// What the play of its bore leaves open, on the mandrel and on the shaft.
    pub play: Unbalance,
}

/// What the readings of one disc say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeavySide {
    /// Unbalance by the test mass, whatever can be found.
    pub size: Unbalance,
    /// Drag hides what is less than this.
    pub floor: Unbalance,
    /// Unbalance at its angle; zero where it is not above the floor.
    pub found: Vector,
    /// What `found` is known within: floor and play, as squares.
    pub within: Unbalance,
}

impl HeavySide {
    /// True where drag does not hide it.
    ///
    /// ```
    /// use runtrue::mechanics::balance::{Rolled, heavy_side};
    /// use runtrue::quantity::{Length, Mass, Unbalance};
    /// // 2 g that balance and 3 g that start: what was found is less than drag.
    /// let read = Rolled {
    ///     rests: &[10.0; 4],
    ///     balances: Mass::from_g(2.0),
    ///     starts: Mass::from_g(3.0),
    ///     radius: Length::from_mm(100.0),
    ///     play: Unbalance::from_gmm(0.0),
    /// };
    /// assert!(!heavy_side(&read)?.findable());
    /// assert!(heavy_side(&Rolled { balances: Mass::from_g(4.0), ..read })?.findable());
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn findable(&self) -> bool {
        self.size.gmm() > self.floor.gmm()
    }
}

/// Heavy side of a disc: `U = m·r` at the mean rest position. A disc stops once `U·sin α` is no more than drag, α from its lowest
/// point, so drag is at least `U·sin(spread/2)`, and at least what the starting mass makes; the larger is the floor. An unbalance
/// that is not above the floor counts as zero, known within the floor.
///
/// # Errors
/// [`OutOfRange`] for a radius or starting mass that is not above zero, a test mass below zero, or no rest position at all.
///
/// ```
/// use runtrue::mechanics::balance::{Rolled, heavy_side};
/// use runtrue::quantity::{Length, Mass, Unbalance};
/// // 12 g at 140 mm; started by 1 g; it came to rest at 38° to 42°.
/// let read = Rolled {
///     rests: &[38.0, 42.0, 40.0, 40.0],
///     balances: Mass::from_g(12.0),
///     starts: Mass::from_g(1.0),
///     radius: Length::from_mm(140.0),
///     play: Unbalance::from_gmm(105.0),
/// };
/// let disc = heavy_side(&read)?;
/// assert!((disc.found.magnitude() - 1680.0).abs() < 1e-9 && (disc.found.degrees() - 40.0).abs() < 1e-9);
/// assert!((disc.floor.gmm() - 140.0).abs() < 1e-9); // 1680·sin 2° is only 59
/// assert!((disc.within.gmm() - 175.0).abs() < 1e-9); // 140² + 105² = 175²
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn heavy_side(read: &Rolled<'_>) -> Result<HeavySide, OutOfRange> {
    let radius = above_zero("radius of the test mass", read.radius.mm(), "mm")?;
    let starts = above_zero("starting mass", read.starts.g(), "g")?;
    let size = read.balances.g() * radius;
    if read.rests.is_empty() || !(size >= 0.0 && size.is_finite()) {
        return Err(useless("test mass", format!("{} g", read.balances.g()), "0 or more, with rest positions"));
    }
    let half = (spread(read.rests) / 2.0).min(90.0).to_radians();
    let floor = (starts * radius).max(size * half.sin());
    let found = if size > floor { Vector::polar(size, rest(read.rests)?.degrees) } else { Vector(Complex64::ZERO) };
    let within = Unbalance::from_gmm(floor.hypot(read.play.gmm()));
    Ok(HeavySide { size: Unbalance::from_gmm(size), floor: Unbalance::from_gmm(floor), found, within })
}

/// Unbalance of a round disc that is thicker on one side by `wedge` than on the other, its thickness changing evenly across:
/// `U = ρ·wedge·π·R³/8`, the first moment of the wedge about the middle. Bore and holes are left out: they are small and near.
///
/// ```
/// use runtrue::{mechanics::balance::wedge_unbalance, quantity::{Density, Length}};
/// // 0.1 mm across 300 mm of steel: 7.85e-3 g/mm³ · 0.1 · π · 150³ / 8.
/// let u = wedge_unbalance(Length::from_mm(300.0), Length::from_mm(0.1), Density::from_kg_m3(7850.0));
/// assert!((u.gmm() - 1040.4).abs() < 0.1);
/// ```
#[must_use]
pub fn wedge_unbalance(outer: Length, wedge: Length, density: Density) -> Unbalance {
    let radius = outer.mm() / 2.0;
    Unbalance::from_gmm(density.kg_m3() * 1e-6 * wedge.mm() * std::f64::consts::PI * radius.powi(3) / 8.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(rests: &[f64], balances: f64, starts: f64) -> Rolled<'_> {
        Rolled {
            rests,
            balances: Mass::from_g(balances),
            starts: Mass::from_g(starts),
            radius: Length::from_mm(100.0),
            play: Unbalance::from_gmm(0.0),
        }
    }

    /// A machine of its own: a disc of 1000 g·mm under a drag of 300 g·mm stops anywhere within asin(0.3) of its lowest place.
    #[test]
    fn drag_is_seen_in_the_spread_even_where_the_starting_mass_was_read_too_small() {
        let stop = 0.3_f64.asin().to_degrees();
        let rests = [77.0 - stop, 77.0 + stop, 77.0 - stop, 77.0 + stop];
        let disc = heavy_side(&read(&rests, 10.0, 1.0)).unwrap();
        assert!((disc.floor.gmm() - 300.0).abs() < 1e-6 && (disc.found.degrees() - 77.0).abs() < 1e-6);
        assert!(disc.findable());
    }

    #[test]
    fn what_drag_hides_is_zero_and_known_within_it() {
        // It stays where it is put: the rest positions say nothing, the test mass is what drag lets stand.
        for (rests, mass) in [([0.0, 90.0, 180.0, 270.0], 2.0), ([10.0, 12.0, 11.0, 9.0], 3.0), ([5.0; 4], 0.0)] {
            let disc = heavy_side(&read(&rests, mass, 3.0)).unwrap();
            assert!(!disc.findable() && disc.found.magnitude() == 0.0, "{disc:?}");
            assert!(disc.within.gmm() >= 300.0 - 1e-9);
        }
        assert!(heavy_side(&read(&[1.0; 4], 1.0, 0.0)).is_err() && heavy_side(&read(&[], 1.0, 1.0)).is_err());
        assert!(heavy_side(&read(&[1.0; 4], -1.0, 1.0)).is_err());
    }

    #[test]
    fn directions_have_no_seam() {
        for turn in [0.0, 45.0, 179.0, 275.5] {
            let r = rest(&[turn - 6.0, turn + 6.0, turn, turn]).unwrap();
            let off = (r.degrees - turn + 540.0).rem_euclid(360.0) - 180.0;
            assert!(off.abs() < 1e-6 && (r.spread - 12.0).abs() < 1e-6, "{turn}: {r:?}");
        }
        assert!((rest(&[33.0]).unwrap().spread).abs() < 1e-9 && rest(&[]).is_err());
    }

    /// By small squares: thickness `wedge·x/(2R)` more at x, each square's moment added up.
    #[test]
    fn a_wedge_is_as_heavy_as_its_pieces() {
        let (radius, wedge, density) = (150.0_f64, 0.4_f64, 7.85e-3_f64);
        let steps = 600;
        let width = 2.0 * radius / f64::from(steps);
        let mut moment = 0.0;
        for i in 0..steps {
            for j in 0..steps {
                let at = |k: i32| -radius + (f64::from(k) + 0.5) * width;
                if at(i).hypot(at(j)) < radius {
                    moment += density * wedge * at(i) / (2.0 * radius) * at(i) * width * width;
                }
            }
        }
        let whole = wedge_unbalance(Length::from_mm(300.0), Length::from_mm(0.4), Density::from_kg_m3(7850.0)).gmm();
        assert!((whole - moment).abs() < whole * 1e-3, "{whole} {moment}");
    }
}
