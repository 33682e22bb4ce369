//! V-ribbed belt on two pulleys: lengths, centre, span, wrap, deflection force. Diameters are effective ones (ISO 9982).

use std::f64::consts::PI;

use crate::quantity::{Angle, Force, Length, Torque};

use super::OutOfRange;

/// Two pulleys and a belt, solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// Smaller effective diameter.
    pub small: Length,
    /// Larger effective diameter.
    pub large: Length,
    /// Centre distance.
    pub centre: Length,
}

impl Drive {
    /// From diameters and effective belt length, exact, by bisection of [`Drive::length`], which grows with the centre.
    ///
    /// # Errors
    /// [`OutOfRange`] where the belt is too short for the pulleys to stand apart.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_length(mm(63.0), mm(160.0), mm(981.0))?;
    /// assert!((drive.length() - mm(981.0)).mm().abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn from_length(a: Length, b: Length, length: Length) -> Result<Self, OutOfRange> {
        let (small, large) = if a < b { (a, b) } else { (b, a) };
        let at = |centre: Length| Self { small, large, centre };
        let mut low = (small + large) / 2.0;
        let mut high = length;
        if !(at(low).length() < length && small > Length::from_mm(0.0)) {
            return Err(OutOfRange::new(
                "belt length",
                format!("{:.1} mm", length.mm()),
                format!("it must be above {:.1} mm for these pulleys to stand apart", at(low).length().mm()),
                "geometry",
            ));
        }
        for _ in 0..100 {
            let middle = (low + high) / 2.0;
            if at(middle).length() < length {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(at((low + high) / 2.0))
    }

    /// Angle between a span and the line of centres.
    #[must_use]
    pub fn slope(&self) -> Angle {
        let sine = (self.large - self.small) / (self.centre * 2.0);
        Angle::from_deg(sine.clamp(-1.0, 1.0).asin().to_degrees())
    }

    /// Effective belt length: `2C·cos γ + π/2·(D+d) + γ·(D−d)`.
    #[must_use]
    pub fn length(&self) -> Length {
        let slope = self.slope().rad();
        self.centre * (2.0 * slope.cos()) + (self.large + self.small) * (PI / 2.0) + (self.large - self.small) * slope
    }

    /// Free span: `sqrt(C² − ((D−d)/2)²)`.
    #[must_use]
    pub fn span(&self) -> Length {
        self.centre * self.slope().rad().cos()
    }

    /// Wrap on the smaller pulley: `180° − 2γ`.
    #[must_use]
    pub fn wrap_small(&self) -> Angle {
        Angle::from_deg(180.0) - self.slope() * 2.0
    }

    /// Pull on the shafts at rest for a static strand tension: `2·T0·cos γ`.
    #[must_use]
    pub fn shaft_pull(&self, strand: Force) -> Force {
        strand * (2.0 * self.slope().rad().cos())
    }

    /// Largest torque the belt carries at a pulley of diameter `d` before it slips: `2·T0·(R−1)/(R+1)·d/2`,
    /// `R = 4^(wrap/180°)` (from memory: RMA IP-26, V-ribbed belts, tension ratio 4 at 180°).
    #[must_use]
    pub fn slip_torque(&self, strand: Force, d: Length) -> Torque {
        let ratio = 4.0_f64.powf(self.wrap_small().deg() / 180.0);
        strand * (2.0 * (ratio - 1.0) / (ratio + 1.0)) * (d / 2.0)
    }
}

/// Deflection for the tension reading: a 64th of the span (ContiTech/Goodyear manual; Leeson manual p. 33).
#[must_use]
pub fn deflection(span: Length) -> Length {
    span / 64.0
}

/// Force at mid span for that deflection: `4·T0·δ/span`, so T0/16, the belt taken as a string.
///
/// ```
/// use runtrue::{mechanics::belt::deflection_force, quantity::Force};
/// assert_eq!(deflection_force(Force::from_n(160.0)).n(), 10.0);
/// ```
#[must_use]
pub fn deflection_force(strand: Force) -> Force {
    strand / 16.0
}

/// Frequency of the plucked span: `f = sqrt(T/(4·m·L²))`, m the mass of the whole belt, kg/m (belt makers' manuals).
#[must_use]
pub fn frequency_hz(strand: Force, mass_kg_m: f64, span: Length) -> f64 {
    (strand.n() / (4.0 * mass_kg_m * span.m().powi(2))).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_pulleys_have_half_a_turn_of_wrap_and_the_span_is_the_centre() {
        let mm = Length::from_mm;
        let drive = Drive::from_length(mm(100.0), mm(100.0), mm(1000.0)).unwrap();
        assert!((drive.wrap_small().deg() - 180.0).abs() < 1e-9);
        assert!((drive.centre - drive.span()).mm().abs() < 1e-9);
        assert!((drive.centre.mm() - (1000.0 - PI * 100.0) / 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_longer_belt_has_a_longer_centre() {
        let mm = Length::from_mm;
        let centre = |l: f64| Drive::from_length(mm(80.0), mm(250.0), mm(l)).unwrap().centre;
        assert!(centre(1601.0) > centre(1600.0));
        assert!(Drive::from_length(mm(80.0), mm(250.0), mm(500.0)).is_err());
    }
}
