//! One plane, without phase: amplitudes with the trial weight at several angles, by the law of cosines.

use std::f64::consts::PI;

use super::super::OutOfRange;
use super::{Vector, above_zero, useless};

/// Consistency of runs without phase within which a correction may be fitted (common practice).
pub const CONSISTENT: std::ops::RangeInclusive<f64> = 0.9..=1.1;

/// Correction from runs without phase: amplitudes with the trial weight at three or more angles in degrees, even or uneven. The
/// trial weight is in g or g·mm, the amplitudes in any one unit. Gives the correction in the unit of the trial weight, and the
/// consistency, a ratio that is 1 for true readings. Inside [`CONSISTENT`] the correction may be fitted.
///
/// `T² − O² = W² + 2·W·(Ox·cos θ + Oy·sin θ)` is linear in W², W·Ox and W·Oy; W is the reading that the trial weight alone would
/// make, and `hypot(W·Ox, W·Oy)/(W·O)` the consistency.
///
/// # Errors
/// [`OutOfRange`] for fewer than three angles, a trial weight or first reading that is not above zero, and where the readings
/// contradict each other (consistency outside 0.5 to 2).
///
/// ```
/// use runtrue::mechanics::balance::no_phase;
/// let (c, k) = no_phase(10.0, 5.58, &[(0.0, 3.0646), (120.0, 6.615258), (240.0, 8.311786)])?; // made from 18 at 25°
/// assert!((c.magnitude() - 18.0).abs() < 1e-3 && (c.degrees() - 25.0).abs() < 1e-3 && (k - 1.0).abs() < 1e-4);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn no_phase(trial: f64, initial: f64, runs: &[(f64, f64)]) -> Result<(Vector, f64), OutOfRange> {
    above_zero("trial weight", trial, "g")?;
    above_zero("reading at first", initial, "")?;
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

/// The two corrections that two opposite runs leave open, mirrored at the line of the trial weights. A third run at any other angle
/// decides: give all three to [`no_phase`]. Trial weight in g, readings in any one unit, angles in degrees; corrections in g.
///
/// `W² = (T1² + T2² − 2·O²)/2`, `cos φ = (T1² − T2²)/(4·O·W)`, φ from the first trial angle to the unbalance.
///
/// # Errors
/// [`OutOfRange`] for angles that are not opposite, a trial weight or first reading that is not above zero, and readings that
/// contradict each other: W² not above zero, or |cos φ| above 1.05.
///
/// ```
/// use runtrue::mechanics::balance::two_runs;
/// // 3 at first; with 20 at 0° 5, at 180° 4.
/// let [a, b] = two_runs(20.0, 3.0, [(0.0, 5.0), (180.0, 4.0)])?;
/// assert!((a.magnitude() - 17.693).abs() < 0.001 && (a.degrees() - 257.22).abs() < 0.01 && (b.degrees() - 102.78).abs() < 0.01);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn two_runs(trial: f64, initial: f64, runs: [(f64, f64); 2]) -> Result<[Vector; 2], OutOfRange> {
    above_zero("trial weight", trial, "g")?;
    above_zero("reading at first", initial, "")?;
    let [(first, t1), (second, t2)] = runs;
    let apart = (second - first).rem_euclid(360.0);
    if !((apart - 180.0).abs() < 0.5 && t1.is_finite() && t2.is_finite()) {
        return Err(useless(
            "angle between the two runs",
            format!("{apart}°"),
            "it is 180°; three runs may stand anywhere",
        ));
    }
    let w2 = (t1 * t1 + t2 * t2 - 2.0 * initial * initial) / 2.0;
    let cos = (t1 * t1 - t2 * t2) / (4.0 * initial * w2.max(0.0).sqrt());
    // Rounded readings may pass 1 a little where the trial weight stands in line with the unbalance.
    if cos.is_nan() || cos.abs() > 1.05 {
        return Err(useless(
            "cosine of the angle to the unbalance",
            format!("{cos:.2}"),
            "it lies from -1 to 1; the readings contradict each other, measure again",
        ));
    }
    let phi = cos.clamp(-1.0, 1.0).acos().to_degrees();
    let mass = trial * initial / w2.sqrt();
    Ok([phi, -phi].map(|p| Vector::polar(mass, first + p + 180.0)))
}

/// Least squares of `T² − O² = w² + 2·wx·cos θ + 2·wy·sin θ` for its three unknowns.
fn fit(initial: f64, runs: &[(f64, f64)]) -> Option<[f64; 3]> {
    let rows = runs.iter().map(|(degrees, reading)| {
        let (sin, cos) = (degrees * PI / 180.0).sin_cos();
        ([1.0, 2.0 * cos, 2.0 * sin], reading * reading - initial * initial)
    });
    three_unknowns(rows)
}

/// Least squares for three unknowns, by the normal equations and Cramer's rule; none where they do not decide.
pub(super) fn three_unknowns(rows: impl Iterator<Item = ([f64; 3], f64)>) -> Option<[f64; 3]> {
    let mut a = [[0.0; 3]; 3];
    let mut b = [0.0; 3];
    for (row, value) in rows {
        for i in 0..3 {
            b[i] += row[i] * value;
            for j in 0..3 {
                a[i][j] += row[i] * row[j];
            }
        }
    }
    let det = determinant(&a);
    if det.is_nan() || det.abs() < 1e-9 {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Reading with a trial weight at an angle, for an unbalance opposite the correction, one unit a gram.
    fn reading(correction: (f64, f64), trial: f64, degrees: f64) -> f64 {
        (Vector::polar(correction.0, correction.1 + 180.0).0 + Vector::polar(trial, degrees).0).norm()
    }

    #[test]
    fn readings_that_contradict_each_other_are_refused() {
        let error = no_phase(10.0, 5.6, &[(0.0, 5.0), (120.0, 3.2), (240.0, 8.0)]).unwrap_err().to_string();
        assert!(error.contains("contradict"), "{error}");
        assert!(no_phase(10.0, 5.6, &[(0.0, 5.0), (120.0, 3.2)]).is_err());
        assert!(no_phase(10.0, 5.6, &[(0.0, 5.0), (0.0, 5.0), (360.0, 5.0)]).is_err());
        assert!(no_phase(0.0, 5.6, &[(0.0, 5.0), (120.0, 5.0), (240.0, 5.0)]).is_err());
        assert!(two_runs(10.0, 5.0, [(0.0, 3.0), (180.0, 4.0)]).unwrap_err().to_string().contains("contradict"));
        assert!(two_runs(10.0, 5.0, [(0.0, 9.0), (90.0, 4.0)]).unwrap_err().to_string().contains("180°"));
    }

    #[test]
    fn even_and_uneven_angles_find_the_correction_and_turning_them_turns_it() {
        for angles in [&[0.0, 120.0, 240.0][..], &[0.0, 90.0, 210.0], &[10.0, 40.0, 100.0, 300.0]] {
            for turn in [0.0, 57.0] {
                let truth = (18.0, 25.0 + turn);
                let runs: Vec<(f64, f64)> = angles.iter().map(|a| (a + turn, reading(truth, 10.0, a + turn))).collect();
                let (found, k) = no_phase(10.0, 18.0, &runs).unwrap();
                assert!((found.0 - Vector::polar(truth.0, truth.1).0).norm() < 1e-9, "{angles:?} {found:?}");
                assert!((k - 1.0).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn two_opposite_runs_leave_two_answers_and_a_third_decides() {
        let truth = (8.0, 200.0);
        let runs = [30.0, 210.0].map(|a| (a, reading(truth, 5.0, a)));
        let both = two_runs(5.0, 8.0, runs).unwrap();
        let near = |v: &Vector| (v.0 - Vector::polar(truth.0, truth.1).0).norm() < 1e-9;
        assert_eq!(both.iter().filter(|v| near(v)).count(), 1, "{both:?}");
        let third = (120.0, reading(truth, 5.0, 120.0));
        assert!(near(&no_phase(5.0, 8.0, &[runs[0], runs[1], third]).unwrap().0));
    }
}
