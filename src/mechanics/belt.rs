//! V-ribbed belt on two pulleys: lengths, centre, span, wrap, ratio. Tension stands in [`super::belt_tension`], room for
//! the sled in [`super::belt_travel`], grooves in [`super::groove`].
//!
//! Two diameters are kept apart. The effective one (ISO 9982) goes with the length printed on the belt; the pitch diameter,
//! effective + 2·hb, goes with speed and ratio. The outside diameter of the pulley is neither.

use std::f64::consts::PI;

use crate::quantity::{Angle, Force, Length, Torque};
use crate::standards::ribs;

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

    /// From diameters and centre distance.
    ///
    /// # Errors
    /// [`OutOfRange`] for a diameter that is not above zero, and for a centre at which the pulleys touch.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(200.0), mm(50.0), mm(180.0))?;
    /// assert!((drive.span().mm() - 163.63).abs() < 0.01); // sqrt(180² − 75²)
    /// assert!(Drive::from_centre(mm(200.0), mm(50.0), mm(120.0)).is_err()); // radii of 100 and 25 mm touch at 125
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn from_centre(a: Length, b: Length, centre: Length) -> Result<Self, OutOfRange> {
        let (small, large) = if a < b { (a, b) } else { (b, a) };
        let apart = (small + large) / 2.0;
        if small > Length::from_mm(0.0) && centre > apart {
            return Ok(Self { small, large, centre });
        }
        Err(OutOfRange::new(
            "centre distance",
            format!("{} mm", centre.mm()),
            format!("it must be above {} mm for pulleys of {} and {} mm", apart.mm(), small.mm(), large.mm()),
            "geometry",
        ))
    }

    /// Angle between a span and the line of centres: `γ = asin((D−d)/(2C))`.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(20.0), mm(220.0), mm(200.0))?;
    /// assert!((drive.slope().deg() - 30.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn slope(&self) -> Angle {
        let sine = (self.large - self.small) / (self.centre * 2.0);
        Angle::from_deg(sine.clamp(-1.0, 1.0).asin().to_degrees())
    }

    /// Effective belt length: `2C·cos γ + π/2·(D+d) + γ·(D−d)`, exact. The closed form `2C + π/2·(D+d) + (D−d)²/(4C)` of
    /// many handbooks is always short of it.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(100.0), mm(100.0), mm(400.0))?;
    /// assert!((drive.length().mm() - (800.0 + 100.0 * std::f64::consts::PI)).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn length(&self) -> Length {
        let slope = self.slope().rad();
        self.centre * (2.0 * slope.cos()) + (self.large + self.small) * (PI / 2.0) + (self.large - self.small) * slope
    }

    /// Length along the cord: effective length + 2π·hb, whatever the layout (hb: [`ribs::line_difference`]).
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_length(mm(63.0), mm(160.0), mm(981.0))?;
    /// let longer = drive.pitch_length(mm(1.2)) - drive.length();
    /// assert!((longer.mm() - 7.54).abs() < 0.005); // PK of one maker
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn pitch_length(&self, hb: Length) -> Length {
        self.length() + hb * (2.0 * PI)
    }

    /// Free span: `sqrt(C² − ((D−d)/2)²)`, here `C·cos γ`.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// assert!((Drive::from_centre(mm(20.0), mm(100.0), mm(104.4))?.span().mm() - 96.434).abs() < 1e-3);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn span(&self) -> Length {
        self.centre * self.slope().rad().cos()
    }

    /// Two pulleys whose free span was measured: `C = sqrt(span² + ((D−d)/2)²)`, the same triangle as [`Drive::span`].
    ///
    /// # Errors
    /// [`OutOfRange`] where the span is not above zero.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_span(mm(20.0), mm(100.0), mm(96.434))?;
    /// assert!((drive.centre.mm() - 104.4).abs() < 1e-3);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn from_span(a: Length, b: Length, span: Length) -> Result<Self, OutOfRange> {
        if !(span.mm() > 0.0 && span.mm().is_finite()) {
            return Err(OutOfRange::new("span", format!("{} mm", span.mm()), "above zero", "geometry"));
        }
        let (small, large) = if a < b { (a, b) } else { (b, a) };
        Self::from_centre(small, large, Length::from_mm(span.mm().hypot((large - small).mm() / 2.0)))
    }

    /// Wrap on the smaller pulley: `180° − 2γ`.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(20.0), mm(220.0), mm(200.0))?;
    /// assert!((drive.wrap_small().deg() - 120.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn wrap_small(&self) -> Angle {
        Angle::from_deg(180.0) - self.slope() * 2.0
    }

    /// Wrap on the larger pulley: `180° + 2γ`; both together are a full turn.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(20.0), mm(220.0), mm(200.0))?;
    /// assert!((drive.wrap_large().deg() - 240.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn wrap_large(&self) -> Angle {
        Angle::from_deg(180.0) + self.slope() * 2.0
    }

    /// Turns of the smaller pulley for one of the larger: `(D + 2·hb)/(d + 2·hb)`, by pitch diameters; slip not counted.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_length(mm(63.0), mm(160.0), mm(981.0))?;
    /// assert!((drive.ratio(mm(1.2)) - 2.483).abs() < 5e-4); // by effective diameters it would be 2.540
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn ratio(&self, hb: Length) -> f64 {
        pitch_ratio(self.large, self.small, hb)
    }

    /// How far the centre must move for a change of the belt's length: `ΔL/(2·cos γ)`, for small changes.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(100.0), mm(100.0), mm(400.0))?;
    /// assert_eq!(drive.centre_for(mm(10.0)).mm(), 5.0);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn centre_for(&self, change: Length) -> Length {
        change / (2.0 * self.slope().rad().cos())
    }

    /// Pull on the shafts at rest for a static strand tension: `2·T0·cos γ`, along the line of centres. The sled, the bearings
    /// and the driver feel the same.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::{Force, Length}};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(20.0), mm(220.0), mm(200.0))?;
    /// assert!((drive.shaft_pull(Force::from_n(100.0)).n() - 173.205).abs() < 1e-3); // 2·100·cos 30°
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn shaft_pull(&self, strand: Force) -> Force {
        strand * (2.0 * self.slope().rad().cos())
    }

    /// Tension ratio of the two strands at which the belt slips on the smaller pulley: `R180^(wrap/180°)`
    /// ([`ribs::tension_ratio`]).
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::Length};
    /// let mm = Length::from_mm;
    /// let half_a_turn = Drive::from_centre(mm(100.0), mm(100.0), mm(400.0))?;
    /// assert!((half_a_turn.slip_ratio() - 4.0).abs() < 1e-12);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn slip_ratio(&self) -> f64 {
        ribs::tension_ratio().0.powf(self.wrap_small().deg() / 180.0)
    }

    /// Largest torque the belt carries at a pulley of diameter `d` before it slips: `2·T0·(r−1)/(r+1)·d/2`, r the
    /// [`Drive::slip_ratio`]; centrifugal force not counted.
    ///
    /// ```
    /// use runtrue::{mechanics::belt::Drive, quantity::{Force, Length}};
    /// let mm = Length::from_mm;
    /// let drive = Drive::from_centre(mm(100.0), mm(100.0), mm(400.0))?;
    /// let holds = drive.slip_torque(Force::from_n(100.0), mm(100.0));
    /// assert!((holds.nm() - 6.0).abs() < 1e-9); // ratio 4: 160 N against 40 N on 50 mm
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn slip_torque(&self, strand: Force, d: Length) -> Torque {
        let ratio = self.slip_ratio();
        strand * (2.0 * (ratio - 1.0) / (ratio + 1.0)) * (d / 2.0)
    }
}

/// Turns of the pulley `driven` for one of `driver`, effective diameters given: `(D + 2·hb)/(d + 2·hb)`, by pitch diameters; slip
/// not counted.
///
/// ```
/// use runtrue::{mechanics::belt::pitch_ratio, quantity::Length};
/// let mm = Length::from_mm;
/// let up = pitch_ratio(mm(160.0), mm(63.0), mm(1.2));
/// assert!((up - 2.483).abs() < 5e-4 && (up * pitch_ratio(mm(63.0), mm(160.0), mm(1.2)) - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn pitch_ratio(driver: Length, driven: Length, hb: Length) -> f64 {
    (driver + hb * 2.0) / (driven + hb * 2.0)
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
        assert!(Drive::from_length(mm(80.0), mm(250.0), mm(f64::NAN)).is_err());
    }

    #[test]
    fn centre_and_length_are_inverse_and_the_order_of_the_pulleys_does_not_matter() {
        let mm = Length::from_mm;
        for (d, big) in [(20.0, 20.0), (20.0, 400.0), (63.0, 160.0), (180.0, 500.0)] {
            for step in 1..30 {
                let centre = (d + big) / 2.0 + f64::from(step * step);
                let drive = Drive::from_centre(mm(d), mm(big), mm(centre)).unwrap();
                let back = Drive::from_length(mm(big), mm(d), drive.length()).unwrap();
                assert!((back.centre.mm() - centre).abs() < 1e-7, "{d} {big} {centre}");
                assert!((drive.wrap_small() + drive.wrap_large() - Angle::from_deg(360.0)).deg().abs() < 1e-9);
                assert!(drive.ratio(mm(1.2)) <= big / d && drive.ratio(mm(1.2)) >= 1.0);
            }
        }
    }

    #[test]
    fn the_move_of_the_centre_for_a_small_change_is_the_slope_of_the_length() {
        let mm = Length::from_mm;
        let drive = Drive::from_length(mm(80.0), mm(250.0), mm(1600.0)).unwrap();
        let longer = Drive::from_length(mm(80.0), mm(250.0), mm(1600.5)).unwrap();
        assert!((drive.centre_for(mm(0.5)) - (longer.centre - drive.centre)).mm().abs() < 1e-4);
    }
}
