//! Two planes, with phase: influence coefficients, two sensors or more.

use num_complex::Complex64;

use super::super::OutOfRange;
use super::{Vector, useless};

/// A balance in two planes: readings of every sensor at first, and with each trial weight.
#[derive(Debug, Clone, PartialEq)]
pub struct TwoPlane {
    /// At first, one reading a sensor; at least two.
    pub initial: Vec<Vector>,
    /// Trial weights in planes 1 and 2.
    pub trials: [Vector; 2],
    /// With the trial weight in plane 1.
    pub with_1: Vec<Vector>,
    /// With the trial weight in plane 2.
    pub with_2: Vec<Vector>,
    /// The first trial weight was still on in the second trial run. The readings cannot show it: what is left over comes out the
    /// same either way, so it has to be said.
    pub trial_1_kept: bool,
}

/// What two planes ask for.
#[derive(Debug, Clone, PartialEq)]
pub struct TwoPlaneFound {
    /// Masses to add in planes 1 and 2, all trial weights off.
    pub corrections: [Vector; 2],
    /// How many times larger an error of the readings may be in the masses: condition number of the influence matrix, at least 1.
    pub condition: f64,
    /// Root mean square of what is left at the sensors; zero with two sensors.
    pub left: f64,
}

/// A condition up to this is good enough (common practice): above it, a reading 1 % wrong may move the masses by 10 %.
pub const WELL_CONDITIONED: f64 = 10.0;

type Pair = [Complex64; 2];

/// Masses to add: `w = −H⁻¹·V0`, by least squares where there are more than two sensors. A column of H is
/// `(V_j − V0)/m_j`; with trial weight 1 kept on in run 2 the second is `(V_2 − V_1)/m_2`.
///
/// # Errors
/// [`OutOfRange`] for fewer than two sensors, lists of different length, a trial weight of zero, and where the planes cannot be told
/// apart.
///
/// ```
/// use runtrue::mechanics::balance::{TwoPlane, Vector, two_plane};
/// let v = Vector::polar;
/// // Inputs of Brüel & Kjær application note 17-227 (from memory).
/// let run = TwoPlane {
///     initial: vec![v(7.2, 238.0), v(13.5, 296.0)], trials: [v(2.5, 0.0), v(2.5, 0.0)], trial_1_kept: false,
///     with_1: vec![v(4.9, 114.0), v(9.2, 347.0)], with_2: vec![v(4.0, 79.0), v(12.0, 292.0)],
/// };
/// let found = two_plane(&run)?;
/// assert!((found.corrections[0].magnitude() - 2.9514).abs() < 1e-4 && (found.corrections[1].degrees() - 278.116).abs() < 1e-3);
/// assert!(found.condition < 10.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn two_plane(run: &TwoPlane) -> Result<TwoPlaneFound, OutOfRange> {
    two_plane_for(run, &run.initial)
}

/// Masses to add for a later reading with the influences of a run, which stay the same: a trim after the first correction.
///
/// # Errors
/// As [`two_plane`], and where the reading has not as many sensors as the run.
///
/// ```
/// use runtrue::mechanics::balance::{TwoPlane, Vector, two_plane, two_plane_for};
/// let v = Vector::polar;
/// let run = TwoPlane {
///     initial: vec![v(7.2, 238.0), v(13.5, 296.0)], trials: [v(2.5, 0.0), v(2.5, 0.0)], trial_1_kept: false,
///     with_1: vec![v(4.9, 114.0), v(9.2, 347.0)], with_2: vec![v(4.0, 79.0), v(12.0, 292.0)],
/// };
/// // Half of the first reading left wants half of the first masses.
/// let (first, trim) = (two_plane(&run)?, two_plane_for(&run, &[v(3.6, 238.0), v(6.75, 296.0)])?);
/// assert!((trim.corrections[0].magnitude() * 2.0 - first.corrections[0].magnitude()).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn two_plane_for(run: &TwoPlane, reading: &[Vector]) -> Result<TwoPlaneFound, OutOfRange> {
    refuse(run)?;
    if reading.len() != run.initial.len() {
        return Err(useless("sensors of the reading", reading.len().to_string(), "as many as in the trial runs"));
    }
    let base = if run.trial_1_kept { &run.with_1 } else { &run.initial };
    let influence = |k: usize| -> Pair {
        [(run.with_1[k].0 - run.initial[k].0) / run.trials[0].0, (run.with_2[k].0 - base[k].0) / run.trials[1].0]
    };
    let rows: Vec<(Pair, Complex64)> = reading.iter().enumerate().map(|(k, now)| (influence(k), now.0)).collect();
    solve(&rows)
}

fn refuse(run: &TwoPlane) -> Result<(), OutOfRange> {
    let sensors = run.initial.len();
    if sensors < 2 || run.with_1.len() != sensors || run.with_2.len() != sensors {
        return Err(useless(
            "readings of a run",
            format!("{}, {} and {}", sensors, run.with_1.len(), run.with_2.len()),
            "at least two sensors are needed, and every run has a reading of each",
        ));
    }
    if run.trials.iter().any(|t| t.0.norm() == 0.0) {
        return Err(useless("trial weight", "0".into(), "it is above 0"));
    }
    Ok(())
}

/// Least squares by the normal equations `HᴴH·w = −Hᴴ·V0`: two unknowns, so they stay in hand.
fn solve(rows: &[(Pair, Complex64)]) -> Result<TwoPlaneFound, OutOfRange> {
    let sum = |i: usize, j: usize| rows.iter().map(|(h, _)| h[i].conj() * h[j]).sum::<Complex64>();
    let (a, b, d) = (sum(0, 0).re, sum(0, 1), sum(1, 1).re);
    let det = a * d - b.norm_sqr();
    let condition = condition(a, d, det);
    if !condition.is_finite() || condition > 1e6 {
        return Err(useless(
            "difference of the planes",
            format!("{:.1e}", det.max(0.0).sqrt()),
            "the planes must act differently on the sensors",
        ));
    }
    let right = |i: usize| -rows.iter().map(|(h, v)| h[i].conj() * v).sum::<Complex64>();
    let (p, q) = (right(0), right(1));
    let w = [(p * d - b * q) / det, (q * a - b.conj() * p) / det];
    let left: f64 = rows.iter().map(|(h, v)| (v + h[0] * w[0] + h[1] * w[1]).norm_sqr()).sum();
    Ok(TwoPlaneFound { corrections: w.map(Vector), condition, left: (left / rows.len() as f64).sqrt() })
}

/// Ratio of the singular values of H from the trace and determinant of `HᴴH`.
fn condition(a: f64, d: f64, det: f64) -> f64 {
    let half = (a + d) / 2.0;
    let spread = (half * half - det).max(0.0).sqrt();
    let largest = half + spread;
    // The product of both is the determinant: so the small one is not lost in a difference.
    (largest * largest / det.max(0.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(magnitude: f64, degrees: f64) -> Vector {
        Vector::polar(magnitude, degrees)
    }

    /// Readings that an unbalance of 14 at 70° and 9 at 310° makes, with trials 6 at 45° and 8 at 270°.
    fn made(kept: bool, turn: f64) -> TwoPlane {
        let h =
            [[v(0.42, 33.0).0, v(0.15, 210.0).0], [v(0.11, 190.0).0, v(0.50, 48.0).0], [v(0.2, 5.0).0, v(0.3, 99.0).0]];
        let unbalance = [v(14.0, 70.0 + turn).0, v(9.0, 310.0 + turn).0];
        let trials = [v(6.0, 45.0 + turn), v(8.0, 270.0 + turn)];
        let run = |one: f64, two: f64| {
            let on = [unbalance[0] + trials[0].0 * one, unbalance[1] + trials[1].0 * two];
            h.iter().map(|row| Vector(row[0] * on[0] + row[1] * on[1])).collect::<Vec<_>>()
        };
        TwoPlane {
            initial: run(0.0, 0.0),
            trials,
            with_1: run(1.0, 0.0),
            with_2: run(if kept { 1.0 } else { 0.0 }, 1.0),
            trial_1_kept: kept,
        }
    }

    #[test]
    fn the_masses_stand_opposite_the_unbalance_whether_the_first_trial_was_kept_or_not() {
        for kept in [false, true] {
            for turn in [0.0, 123.0] {
                let found = two_plane(&made(kept, turn)).unwrap();
                for (mass, (m, deg)) in found.corrections.iter().zip([(14.0, 250.0), (9.0, 130.0)]) {
                    assert!((mass.0 - v(m, deg + turn).0).norm() < 1e-9, "{found:?}");
                }
                assert!(found.left < 1e-9);
            }
        }
    }

    #[test]
    fn a_kept_trial_that_is_not_said_gives_other_masses_and_the_same_rest() {
        let told = two_plane(&made(true, 0.0)).unwrap();
        let untold = two_plane(&TwoPlane { trial_1_kept: false, ..made(true, 0.0) }).unwrap();
        assert!((told.corrections[0].0 - untold.corrections[0].0).norm() > 1.0);
        assert!((told.left - untold.left).abs() < 1e-9);
    }

    #[test]
    fn planes_that_act_alike_are_badly_conditioned_and_at_last_refused() {
        let two = |apart: f64| TwoPlane {
            initial: vec![v(5.0, 10.0), v(6.0, 20.0)],
            trials: [v(1.0, 0.0), v(1.0, 0.0)],
            with_1: vec![v(6.0, 10.0), v(7.0, 20.0)],
            with_2: vec![v(6.0 + apart, 10.0), v(7.0 - apart, 20.0)],
            trial_1_kept: false,
        };
        let (near, far) = (two_plane(&two(0.1)).unwrap(), two_plane(&two(0.9)).unwrap());
        assert!(near.condition > WELL_CONDITIONED && near.condition > far.condition, "{near:?} {far:?}");
        assert!(two_plane(&two(0.0)).unwrap_err().to_string().contains("differently"));
        assert!(two_plane(&TwoPlane { with_2: vec![], ..two(0.5) }).is_err());
        assert!(two_plane(&TwoPlane { trials: [v(0.0, 0.0); 2], ..two(0.5) }).is_err());
    }
}
