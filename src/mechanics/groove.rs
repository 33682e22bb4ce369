//! Grooves of a V-ribbed pulley: size over balls, outside and root diameter, face width (ISO 9982).
//!
//! The effective diameter cannot be gauged by itself. It is the size over two balls in opposite grooves less `2x`; the outside
//! diameter lies under it by an amount that the tip radius decides, so a caliper on the rim measures something else.

use crate::quantity::{Angle, Length};
use crate::standards::NotInTable;
use crate::standards::belts::{self, Profile};
use crate::standards::ribs::{self, Groove};

/// A grooved pulley by its profile and effective diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulley {
    /// The profile.
    pub profile: Profile,
    /// Its groove.
    pub groove: &'static Groove,
    /// Effective diameter.
    pub effective: Length,
    half: Angle,
}

impl Pulley {
    /// The pulley of a profile and an effective diameter.
    ///
    /// # Errors
    /// [`NotInTable`] for an unknown profile, and for a diameter under the least of the profile (ISO 9982).
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// assert!(Pulley::new("PK", Length::from_mm(44.0)).is_err()); // 45 mm at least
    /// ```
    pub fn new(profile: &str, effective: Length) -> Result<Self, NotInTable> {
        let (groove, angle) = ribs::groove(profile)?;
        Ok(Self { profile: belts::pulley(profile, effective)?, groove, effective, half: angle / 2.0 })
    }

    /// The pulley whose size over balls was measured: effective diameter = K − 2x. The inverse of [`Pulley::over_balls`].
    ///
    /// # Errors
    /// As [`Pulley::new`].
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let pulley = Pulley::from_over_balls("PK", Length::from_mm(80.99))?;
    /// assert!((pulley.effective.mm() - 80.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    pub fn from_over_balls(profile: &str, measured: Length) -> Result<Self, NotInTable> {
        Self::new(profile, measured - belts::profile(profile)?.two_x)
    }

    /// Size over balls: K = effective diameter + 2x, with the balls of ISO 9982. Older inch tables use other balls.
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let k = Pulley::new("PJ", Length::from_mm(80.0))?.over_balls();
    /// assert!((k.mm() - 80.23).abs() < 1e-9);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn over_balls(&self) -> Length {
        self.effective + self.profile.two_x
    }

    /// Size over balls less outside diameter at the nominal tip radius:
    /// `2N = dB/sin θ + dB − e/tan θ + 2·rt·(1/sin θ − 1)`, θ half the groove's angle (geometry of ISO 9982's groove).
    ///
    /// The largest 2N of the table ([`Groove::two_n`]) is met at the largest tip radius within 0.01 mm for PH and PJ; for PK the
    /// formula gives 1.76 against 1.68 printed, for PM 5.68 against 5.92. The printed figure is the one to inspect by.
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let pulley = Pulley::new("PJ", Length::from_mm(80.0))?;
    /// assert!((pulley.two_n().mm() - 0.611).abs() < 5e-4);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn two_n(&self) -> Length {
        let (sin, tan) = (self.half.rad().sin(), self.half.rad().tan());
        let (ball, pitch) = (self.profile.ball, self.profile.pitch);
        ball / sin + ball - pitch / tan + Length::from_mm(2.0 * self.groove.rt) * self.rounding()
    }

    /// Outside diameter at the nominal tip radius: `K − 2N`. Not the effective diameter: PJ stands 0.38 mm under it.
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let pulley = Pulley::new("PJ", Length::from_mm(80.0))?;
    /// assert!((pulley.outside().mm() - 79.62).abs() < 0.005);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn outside(&self) -> Length {
        self.over_balls() - self.two_n()
    }

    /// Least outside diameter: `K − 2N` with the largest 2N of ISO 9982.
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let pulley = Pulley::new("PJ", Length::from_mm(80.0))?;
    /// assert!((pulley.outside_least().mm() - 79.42).abs() < 1e-9);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn outside_least(&self) -> Length {
        self.over_balls() - Length::from_mm(self.groove.two_n)
    }

    /// Depth of the groove: `e/(2·tan θ) − (rt + rb)·(1/sin θ − 1)`, at the nominal tip and the largest root radius: the least that
    /// a nominal tip leaves. A larger tip radius takes more off, so a measured groove may be shallower by `1/sin θ − 1` of it.
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let depth = Pulley::new("PJ", Length::from_mm(80.0))?.depth();
    /// assert!((depth.mm() - 1.868).abs() < 5e-4);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn depth(&self) -> Length {
        let radii = Length::from_mm(self.groove.rt + self.groove.rb_max);
        self.profile.pitch / (2.0 * self.half.rad().tan()) - radii * self.rounding()
    }

    /// Least face width for a number of ribs: `(z − 1)·e + 2·f`.
    ///
    /// ```
    /// use runtrue::{mechanics::groove::Pulley, quantity::Length};
    /// let width = Pulley::new("PJ", Length::from_mm(80.0))?.face_width(6);
    /// assert!((width.mm() - 15.3).abs() < 1e-9);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn face_width(&self, grooves: u32) -> Length {
        self.profile.pitch * f64::from(grooves.saturating_sub(1)) + Length::from_mm(2.0 * self.groove.f_min)
    }

    /// What a radius of one takes off the sharp corner of the groove.
    fn rounding(&self) -> f64 {
        1.0 / self.half.rad().sin() - 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PROFILES: [&str; 5] = ["PH", "PJ", "PK", "PL", "PM"];

    #[test]
    fn the_nominal_groove_keeps_the_largest_2n_of_the_table() {
        for name in PROFILES {
            let pulley = Pulley::new(name, Length::from_mm(200.0)).unwrap();
            let two_n = pulley.two_n().mm();
            assert!(two_n > 0.0 && two_n < pulley.groove.two_n, "{name}: {two_n}");
            assert!(pulley.outside() > pulley.outside_least() && pulley.outside() < pulley.effective, "{name}");
        }
    }

    #[test]
    fn a_ball_stands_out_of_a_groove_that_is_deeper_than_its_seat() {
        for name in PROFILES {
            let pulley = Pulley::new(name, Length::from_mm(200.0)).unwrap();
            // The ball touches the flanks, not the root: its lowest point lies above it.
            let lowest = pulley.over_balls() / 2.0 - pulley.profile.ball;
            assert!(lowest > pulley.outside() / 2.0 - pulley.depth(), "{name}");
        }
    }

    #[test]
    fn measuring_gives_the_diameter_back_and_small_ones_are_refused() {
        for name in PROFILES {
            let least = belts::profile(name).unwrap().smallest;
            let pulley = Pulley::new(name, least).unwrap();
            let back = Pulley::from_over_balls(name, pulley.over_balls() + Length::from_mm(1e-9)).unwrap();
            assert!((back.effective - least).mm().abs() < 1e-6);
            assert!(Pulley::new(name, least - Length::from_mm(0.1)).is_err());
        }
        assert!(Pulley::new("PJ", Length::from_mm(f64::NAN)).is_err());
    }
}
