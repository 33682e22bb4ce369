//! What a correction should have left, held against what was found after it.

use num_complex::Complex64;

use super::Vector;

/// Share of the correction that readings, radius and angle of the weights leave open: 5 % and 5° on each of three readings and on the
/// weights come to about a fifth (common practice).
const OPEN: f64 = 0.2;

/// How what was found fits what was predicted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fits {
    /// Within what is left open.
    Predicted,
    /// The weights are less than what the method tells: nothing can be said.
    Hidden,
    /// It fits weights that stand so many degrees further on, in the sense of the marks.
    Turned(f64),
    /// It fits weights whose angles were counted the other way round.
    OtherWay,
    /// It fits weights that are not there.
    NotThere,
    /// None of these.
    Nothing,
}

/// Prediction and finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// What should still be missing, g·mm at its angle.
    pub predicted: Vector,
    /// Distance from what was found, g·mm.
    pub apart: f64,
    /// What is left open, g·mm: the floor of the method in both measurements, and a fifth of the correction, as squares.
    pub within: f64,
    /// What fits.
    pub fits: Fits,
}

/// Holds what is missing after a correction against what was missing before it less what was put on. All in g·mm of weight to be
/// added. `floor` is what the method cannot see; `turns` are the angles by which the weights may have been put wrong, degrees.
///
/// ```
/// use runtrue::mechanics::balance::{Fits, Vector, as_predicted};
/// let v = Vector::polar;
/// // 400 missing at 0°, 400 put on at 0°, nothing missing: as predicted.
/// let put = [v(400.0, 0.0)];
/// assert_eq!(as_predicted(v(400.0, 0.0), &put, v(10.0, 90.0), 20.0, &[72.0, 144.0]).fits, Fits::Predicted);
/// // Put on at 72° in truth: 400 at 0° less 400 at 72° are missing.
/// let missing = v(400.0, 0.0).minus(v(400.0, 72.0));
/// assert_eq!(as_predicted(v(400.0, 0.0), &put, missing, 20.0, &[72.0, 144.0]).fits, Fits::Turned(72.0));
/// ```
#[must_use]
pub fn as_predicted(needed: Vector, put: &[Vector], found: Vector, floor: f64, turns: &[f64]) -> Compared {
    let sum = |change: &dyn Fn(Complex64) -> Complex64| put.iter().map(|w| change(w.0)).sum::<Complex64>();
    let off = |on: Complex64| (found.0 - (needed.0 - on)).norm();
    let whole = sum(&|w| w);
    let apart = off(whole);
    let within = (floor * std::f64::consts::SQRT_2).hypot(OPEN * whole.norm());
    let fits = if whole.norm() < floor * std::f64::consts::SQRT_2 {
        Fits::Hidden
    } else if apart <= within {
        Fits::Predicted
    } else {
        let mut others = vec![(Fits::NotThere, off(Complex64::ZERO)), (Fits::OtherWay, off(sum(&|w| w.conj())))];
        others.extend(turns.iter().map(|degrees| {
            let turn = Complex64::from_polar(1.0, degrees.to_radians());
            (Fits::Turned(*degrees), off(sum(&|w| w * turn)))
        }));
        // Named only where it explains what the prediction does not.
        let near = others.into_iter().filter(|(_, other)| *other <= within && *other <= apart / 2.0);
        near.min_by(|a, b| a.1.total_cmp(&b.1)).map_or(Fits::Nothing, |(fits, _)| fits)
    };
    Compared { predicted: Vector(needed.0 - whole), apart, within, fits }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(magnitude: f64, degrees: f64) -> Vector {
        Vector::polar(magnitude, degrees)
    }

    const TURNS: [f64; 4] = [72.0, 144.0, 216.0, 288.0];

    /// 421 g·mm missing at 152.3°; two washers of 91.45 at 144° and two at 216°: every way of putting them wrong is told by its name.
    #[test]
    fn the_way_weights_were_put_wrong_is_told() {
        let needed = v(421.0, 152.3);
        let put = [v(182.9, 144.0), v(182.9, 216.0)];
        let left = |on: &[(f64, f64)]| on.iter().fold(needed, |sum, (m, d)| sum.minus(v(*m, *d)));
        let fits = |found: Vector| as_predicted(needed, &put, found, 5.0, &TURNS).fits;
        assert_eq!(fits(left(&[(182.9, 144.0), (182.9, 216.0)])), Fits::Predicted);
        assert_eq!(fits(left(&[(182.9, 216.0), (182.9, 288.0)])), Fits::Turned(72.0));
        assert_eq!(fits(left(&[(182.9, 72.0), (182.9, 144.0)])), Fits::Turned(288.0));
        assert_eq!(fits(needed), Fits::NotThere);
        assert_eq!(fits(v(900.0, 10.0)), Fits::Nothing);
        let one = [v(182.9, 72.0)];
        let other = as_predicted(v(200.0, 72.0), &one, v(200.0, 72.0).minus(v(182.9, -72.0)), 5.0, &[180.0]);
        assert_eq!(other.fits, Fits::OtherWay);
    }

    /// By hand: floor 30 twice are 42.4, a fifth of 400 is 80: 90.6 as squares. 90 apart is as predicted, 91 is not.
    #[test]
    fn what_is_left_open_is_the_floor_twice_and_a_fifth_of_the_correction() {
        let at = |apart: f64| as_predicted(v(400.0, 0.0), &[v(400.0, 0.0)], v(apart, 45.0), 30.0, &[]);
        assert!((at(0.0).within - (1800.0_f64 + 6400.0).sqrt()).abs() < 1e-9);
        assert_eq!((at(90.0).fits, at(91.0).fits), (Fits::Predicted, Fits::Nothing));
        assert!(at(50.0).predicted.magnitude() < 1e-9 && (at(50.0).apart - 50.0).abs() < 1e-9);
        // A correction of 400 under a floor of 300 is hidden.
        assert_eq!(as_predicted(v(400.0, 0.0), &[v(400.0, 0.0)], v(500.0, 45.0), 300.0, &[]).fits, Fits::Hidden);
    }
}
