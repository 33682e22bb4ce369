//! One plane, with phase: the influence of a trial weight, as in Brüel & Kjær's application notes.

use num_complex::Complex64;

use super::super::OutOfRange;
use super::{Vector, useless};

/// What one gram does to the reading: `α = (T − O)/m_trial`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Influence(Complex64);

impl Influence {
    /// From the reading at first, the trial weight and the reading with it.
    ///
    /// # Errors
    /// [`OutOfRange`] where the trial weight is zero or changed nothing.
    ///
    /// ```
    /// use runtrue::mechanics::balance::{Influence, Vector};
    /// let v = Vector::polar;
    /// let alpha = Influence::of(v(6.2, 40.0), v(12.0, 90.0), v(8.1, 115.0))?;
    /// // Any reading has the weight that takes it away; after a first correction the same α serves again.
    /// assert!((alpha.correction(v(6.2, 40.0)).magnitude() - 8.4212).abs() < 1e-4);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn of(initial: Vector, trial: Vector, with_trial: Vector) -> Result<Self, OutOfRange> {
        let change = with_trial.0 - initial.0;
        if change.norm() < 1e-9 * (initial.0.norm() + 1e-300) || trial.0.norm() == 0.0 || !change.is_finite() {
            return Err(useless(
                "change by the trial weight",
                format!("{}", change.norm()),
                "it must be above zero; take a larger trial weight",
            ));
        }
        Ok(Self(change / trial.0))
    }

    /// Reading that one gram makes, in the unit of the readings: `|α|`.
    ///
    /// ```
    /// use runtrue::mechanics::balance::{Influence, Vector};
    /// let alpha = Influence::of(Vector::polar(2.0, 0.0), Vector::polar(10.0, 90.0), Vector::polar(5.0, 0.0))?;
    /// assert!((alpha.of_one_gram() - 0.3).abs() < 1e-12);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn of_one_gram(self) -> f64 {
        self.0.norm()
    }

    /// Mass to add for a reading: `−R/α`. On top of what is fitted, with the trial weight off.
    ///
    /// ```
    /// use runtrue::mechanics::balance::{Influence, Vector};
    /// let v = Vector::polar;
    /// let alpha = Influence::of(v(6.2, 40.0), v(12.0, 90.0), v(8.1, 115.0))?;
    /// // By an independent program: 8.4212 at 152.324.
    /// let add = alpha.correction(v(6.2, 40.0));
    /// assert!((add.magnitude() - 8.4212).abs() < 5e-5 && (add.degrees() - 152.324).abs() < 5e-4);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn correction(self, reading: Vector) -> Vector {
        Vector(-reading.0 / self.0)
    }

    /// Reading to expect once a mass is fitted: `R + α·m`.
    ///
    /// ```
    /// use runtrue::mechanics::balance::{Influence, Vector};
    /// let v = Vector::polar;
    /// let alpha = Influence::of(v(6.2, 40.0), v(12.0, 90.0), v(8.1, 115.0))?;
    /// assert!((alpha.expected(v(6.2, 40.0), v(12.0, 90.0)).magnitude() - 8.1).abs() < 1e-12);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn expected(self, reading: Vector, fitted: Vector) -> Vector {
        Vector(reading.0 + self.0 * fitted.0)
    }
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
    Ok(Influence::of(initial, trial, with_trial)?.correction(initial))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turning_all_angles_turns_the_answer_and_the_mass_leaves_nothing() {
        let v = Vector::polar;
        let at = |turn: f64| single_plane(v(6.2, 40.0 + turn), v(12.0, 90.0 + turn), v(8.1, 115.0 + turn)).unwrap();
        let (a, b) = (at(0.0), at(77.0));
        assert!((a.magnitude() - b.magnitude()).abs() < 1e-9);
        assert!(((b.degrees() - a.degrees()).rem_euclid(360.0) - 77.0).abs() < 1e-9);
        let alpha = Influence::of(v(6.2, 40.0), v(12.0, 90.0), v(8.1, 115.0)).unwrap();
        assert!(alpha.expected(v(6.2, 40.0), a).magnitude() < 1e-12);
        assert!(single_plane(v(6.2, 40.0), v(12.0, 90.0), v(6.2, 40.0)).is_err());
        assert!(single_plane(v(6.2, 40.0), v(0.0, 90.0), v(8.1, 40.0)).is_err());
    }
}
