//! Balancing: influence vectors, runs without phase, two planes, splitting, washers, drilling, index of discs.
//!
//! One angle sense throughout, that of the rotor's marks. Formulas: the influence coefficient method as in Brüel & Kjær's
//! application notes; the runs without phase by the law of cosines; statics for the rest.

use std::f64::consts::PI;

use num_complex::Complex64;

use super::OutOfRange;

/// A length at an angle: vibration, mass or unbalance with its place on the rotor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector(Complex64);

impl Vector {
    /// From magnitude and degrees.
    #[must_use]
    pub fn polar(magnitude: f64, degrees: f64) -> Self {
        Self(Complex64::from_polar(magnitude, degrees.to_radians()))
    }

    /// Magnitude.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.0.norm()
    }

    /// Angle from 0 up to 360 degrees.
    #[must_use]
    pub fn degrees(self) -> f64 {
        let angle = self.0.arg().to_degrees().rem_euclid(360.0);
        if angle >= 360.0 { 0.0 } else { angle }
    }
}

/// Consistency of runs without phase within which a correction may be fitted (common practice).
pub const CONSISTENT: std::ops::RangeInclusive<f64> = 0.9..=1.1;

fn useless(what: &'static str, value: String, range: &str) -> OutOfRange {
    OutOfRange::new(what, value, range, "common practice")
}

/// Mass to add in one plane, trial weight off: `−O/α` with `α = (T − O)/m_trial`.
///
/// # Errors
/// [`OutOfRange`] where the trial weight changed nothing.
///
/// ```
/// use runtrue::mechanics::balance::{Vector, single_plane};
/// // A field report: 4.81 at 16.8°, with 103.25 at 0° 4.7628 at 299.9°; published 83.5 at 308.87°.
/// let c = single_plane(Vector::polar(4.81, 16.8), Vector::polar(103.25, 0.0), Vector::polar(4.7628, 299.9))?;
/// assert!((c.magnitude() - 83.429).abs() < 0.001 && (c.degrees() - 308.806).abs() < 0.001);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn single_plane(initial: Vector, trial: Vector, with_trial: Vector) -> Result<Vector, OutOfRange> {
    let change = with_trial.0 - initial.0;
    if change.norm() < 1e-9 * (initial.0.norm() + 1e-300) || trial.0.norm() == 0.0 {
        return Err(useless(
            "change by the trial weight",
            format!("{}", change.norm()),
            "it must be above zero; take a larger trial weight",
        ));
    }
    Ok(Vector(-initial.0 * trial.0 / change))
}

/// Correction from runs without phase: amplitudes with the trial weight at three or more angles. Gives the correction
/// and the consistency, which is 1 for true readings. Inside [`CONSISTENT`] the correction may be fitted.
///
/// # Errors
/// [`OutOfRange`] for fewer than three angles, and where the readings contradict each other.
///
/// ```
/// use runtrue::mechanics::balance::no_phase;
/// let (c, k) = no_phase(10.0, 5.58, &[(0.0, 3.0646), (120.0, 6.615258), (240.0, 8.311786)])?; // made from 18 at 25°
/// assert!((c.magnitude() - 18.0).abs() < 1e-3 && (c.degrees() - 25.0).abs() < 1e-3 && (k - 1.0).abs() < 1e-4);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn no_phase(trial: f64, initial: f64, runs: &[(f64, f64)]) -> Result<(Vector, f64), OutOfRange> {
    if runs.len() < 3 {
        return Err(useless("number of trial runs", runs.len().to_string(), "at least three angles are needed"));
    }
    let [w2, wx, wy] = fit(initial, runs)
        .ok_or_else(|| useless("trial angles", format!("{runs:?}"), "three different angles are needed"))?;
    let w = w2.max(0.0).sqrt();
    let k = wx.hypot(wy) / (w * initial);
    if !(0.5..=2.0).contains(&k) {
        return Err(useless(
            "consistency of the readings",
            format!("{k:.2}"),
            "it lies from 0.5 to 2 at the very least; the readings contradict each other, measure again",
        ));
    }
    let angle = wy.atan2(wx).to_degrees() + 180.0;
    Ok((Vector::polar(trial * initial / w, angle), k))
}

/// Least squares of `T² − O² = w² + 2·wx·cos θ + 2·wy·sin θ` for its three unknowns, by Cramer's rule.
fn fit(initial: f64, runs: &[(f64, f64)]) -> Option<[f64; 3]> {
    let mut a = [[0.0; 3]; 3];
    let mut b = [0.0; 3];
    for (degrees, reading) in runs {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let row = [1.0, 2.0 * cos, 2.0 * sin];
        for i in 0..3 {
            b[i] += row[i] * (reading * reading - initial * initial);
            for j in 0..3 {
                a[i][j] += row[i] * row[j];
            }
        }
    }
    let det = determinant(&a);
    if det.abs() < 1e-9 {
        return None;
    }
    let solved = |column: usize| {
        let mut m = a;
        for (row, value) in m.iter_mut().zip(b) {
            row[column] = value;
        }
        determinant(&m) / det
    };
    Some([solved(0), solved(1), solved(2)])
}

fn determinant(m: &[[f64; 3]; 3]) -> f64 {
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
}

/// A two-plane balance: readings of both sensors at first, and with each trial weight.
#[derive(Debug, Clone, Copy)]
pub struct TwoPlane {
    /// At first, sensors A and B.
    pub initial: [Vector; 2],
    /// Trial weights in planes 1 and 2.
    pub trials: [Vector; 2],
    /// With the trial weight in plane 1.
    pub with_1: [Vector; 2],
    /// With the trial weight in plane 2.
    pub with_2: [Vector; 2],
    /// The first trial weight was still on in the second trial run.
    pub trial_1_kept: bool,
}

/// Masses to add in both planes, all trial weights off: `w = −H⁻¹·V0`.
///
/// # Errors
/// [`OutOfRange`] where the two planes cannot be told apart.
pub fn two_plane(run: &TwoPlane) -> Result<[Vector; 2], OutOfRange> {
    let base = if run.trial_1_kept { run.with_1 } else { run.initial };
    let influence = |sensor: usize| {
        [
            (run.with_1[sensor].0 - run.initial[sensor].0) / run.trials[0].0,
            (run.with_2[sensor].0 - base[sensor].0) / run.trials[1].0,
        ]
    };
    let ([h11, h12], [h21, h22]) = (influence(0), influence(1));
    let det = h11 * h22 - h12 * h21;
    let size = (h11.norm() + h12.norm()) * (h21.norm() + h22.norm());
    if !det.is_finite() || det.norm() < 1e-6 * size {
        return Err(useless(
            "difference of the planes",
            format!("{:.1e}", det.norm()),
            "the planes must act differently on the sensors",
        ));
    }
    let [a, b] = [run.initial[0].0, run.initial[1].0];
    Ok([Vector(-(h22 * a - h12 * b) / det), Vector(-(h11 * b - h21 * a) / det)])
}

/// Splits a mass at an angle on the two holes beside it: `m1 = m·sin(a2−a)/sin(a2−a1)`. Holes are numbered from 1.
///
/// # Errors
/// [`OutOfRange`] for fewer than three holes.
pub fn split(mass: f64, degrees: f64, holes: u32, first: f64) -> Result<[(u32, f64); 2], OutOfRange> {
    if holes < 3 {
        return Err(useless("number of holes", holes.to_string(), "at least three are needed"));
    }
    let pitch = 360.0 / f64::from(holes);
    let turned = (degrees - first).rem_euclid(360.0);
    let k = ((turned / pitch).floor() as u32).min(holes - 1);
    let beyond = (turned - f64::from(k) * pitch).to_radians();
    let whole = pitch.to_radians();
    let share = |angle: f64| mass * angle.sin() / whole.sin();
    Ok([(k + 1, share(whole - beyond)), ((k + 1) % holes + 1, share(beyond))])
}

/// Full-diameter depth of a drilled hole that takes a mass away; the cone of the point counts too.
///
/// # Errors
/// [`OutOfRange`] where the cone alone takes more.
pub fn drill_depth_mm(
    mass_g: f64,
    diameter_mm: f64,
    density_kg_m3: f64,
    point_deg: Option<f64>,
) -> Result<f64, OutOfRange> {
    let flat = mass_g / (density_kg_m3 * 1e-6) / (PI * diameter_mm.powi(2) / 4.0);
    let cone = point_deg.map_or(0.0, |p| diameter_mm / 2.0 / (p / 2.0).to_radians().tan() / 3.0);
    let depth = flat - cone;
    if depth.is_nan() || depth < 0.0 {
        return Err(useless("drilled depth", format!("{depth:.2} mm"), "it is at least 0; take a smaller drill"));
    }
    Ok(depth)
}

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

/// Turns each disc by whole holes so that the static sum is least, the couple second.
///
/// # Errors
/// [`OutOfRange`] over a million arrangements, without discs, or where places and discs differ in number.
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

/// Whole washers under the nuts opposite an unbalance: counts for each hole, and what is left.
///
/// # Errors
/// [`OutOfRange`] for fewer than three or more than 60 holes, or more than 20 washers a hole.
pub fn washers(
    unbalance: Vector,
    holes: u32,
    radius_mm: f64,
    washer_g: f64,
    most: u32,
) -> Result<(Vec<u32>, Vector), OutOfRange> {
    if !(3..=60).contains(&holes) || most > 20 {
        return Err(useless("holes", holes.to_string(), "3 to 60 holes and at most 20 washers each"));
    }
    let at = |hole: u32| Complex64::from_polar(washer_g * radius_mm, 2.0 * PI * f64::from(hole) / f64::from(holes));
    // Only the four holes nearest to the light side can help with few washers.
    let light = (unbalance.degrees() + 180.0).rem_euclid(360.0);
    let mut near: Vec<u32> = (0..holes).collect();
    let away = |h: &u32| {
        let gap = (f64::from(*h) * 360.0 / f64::from(holes) - light).rem_euclid(360.0);
        gap.min(360.0 - gap)
    };
    near.sort_by(|a, b| away(a).total_cmp(&away(b)));
    near.truncate(4);
    let mut counts = vec![0u32; near.len()];
    let mut best = (vec![0u32; holes as usize], unbalance.0, 0u32);
    loop {
        let left = near.iter().zip(&counts).fold(unbalance.0, |sum, (h, n)| sum + at(*h) * f64::from(*n));
        let used: u32 = counts.iter().sum();
        if left.norm() < best.1.norm() - 1e-9 || (left.norm() < best.1.norm() + 1e-9 && used < best.2) {
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

    fn v(magnitude: f64, degrees: f64) -> Vector {
        Vector::polar(magnitude, degrees)
    }

    #[test]
    fn turning_all_angles_turns_the_answer() {
        let at = |turn: f64| single_plane(v(6.2, 40.0 + turn), v(12.0, 90.0 + turn), v(8.1, 115.0 + turn)).unwrap();
        let (a, b) = (at(0.0), at(77.0));
        assert!(
            (a.magnitude() - b.magnitude()).abs() < 1e-9
                && ((b.degrees() - a.degrees()).rem_euclid(360.0) - 77.0).abs() < 1e-9
        );
        // Computed reference of the same case: 8.4212 at 152.324.
        assert!((a.magnitude() - 8.4212).abs() < 1e-4 && (a.degrees() - 152.324).abs() < 1e-3);
    }

    #[test]
    fn readings_that_contradict_each_other_are_refused() {
        let error = no_phase(10.0, 5.6, &[(0.0, 5.0), (120.0, 3.2), (240.0, 8.0)]).unwrap_err().to_string();
        assert!(error.contains("contradict"), "{error}");
        assert!(no_phase(10.0, 5.6, &[(0.0, 5.0), (120.0, 3.2)]).is_err());
        assert!(no_phase(10.0, 5.6, &[(0.0, 5.0), (0.0, 5.0), (360.0, 5.0)]).is_err());
    }

    #[test]
    fn shares_add_up_to_the_mass_at_its_angle() {
        for degrees in [0.0, 10.0, 59.9, 60.0, 190.0, 359.0] {
            let parts = split(12.0, degrees, 6, 0.0).unwrap();
            let sum: Complex64 = parts.iter().map(|(h, m)| v(*m, f64::from(h - 1) * 60.0).0).sum();
            assert!((sum - v(12.0, degrees).0).norm() < 1e-9, "{degrees}: {parts:?}");
            assert!(parts.iter().all(|(_, m)| *m > -1e-9));
        }
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
    fn washers_never_make_it_worse_and_a_point_takes_its_cone() {
        let (counts, left) = washers(v(900.0, 40.0), 6, 70.0, 3.1, 6).unwrap();
        assert!(left.magnitude() < 200.0 && counts.iter().all(|n| *n <= 6), "{counts:?} {}", left.magnitude());
        let flat = drill_depth_mm(12.0, 8.0, 7850.0, None).unwrap();
        let pointed = drill_depth_mm(12.0, 8.0, 7850.0, Some(118.0)).unwrap();
        // (d/2)/tan(59°)/3 by hand: 4/1.6643/3 = 0.8011.
        assert!((flat - pointed - 0.8011).abs() < 1e-4);
        assert!(drill_depth_mm(0.01, 8.0, 7850.0, Some(118.0)).is_err());
    }
}
