//! Parallel keys: pressure on the flanks, shear, and the torque that a key carries.

use crate::quantity::{Force, Length, Stress, Torque};
use crate::standards::keys::{self, Key};

use super::OutOfRange;

/// Keys between one shaft and one hub.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keyed<'a> {
    /// Diameter of the shaft.
    pub shaft: Length,
    /// Section of the key.
    pub key: &'a Key,
    /// Length that bears on both sides: for round ends the key's length less its width.
    pub bearing: Length,
    /// How many keys, 1 or 2.
    pub count: u32,
}

/// Bearing length of a key that counts, in shaft diameters (from memory: DIN 6892 methods B and C).
const LONGEST_BEARING: f64 = 1.3;

impl<'a> Keyed<'a> {
    /// Keys of DIN 6885-1 for a shaft, by their length. Round ends (form A) bear over the length less the width.
    ///
    /// # Errors
    /// [`OutOfRange`] for a shaft without a key, no key or more than two, or a length the standard does not stock.
    ///
    /// ```
    /// use runtrue::{mechanics::key::Keyed, quantity::Length};
    /// let hub = Keyed::standard(Length::from_mm(25.0), Length::from_mm(32.0), true, 1)?;
    /// assert_eq!(hub.bearing.mm(), 24.0); // 8 x 7, 32 long, round ends
    /// assert!(Keyed::standard(Length::from_mm(25.0), Length::from_mm(12.0), true, 1).is_err()); // 18 to 90 mm
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn standard(shaft: Length, length: Length, round_ends: bool, count: u32) -> Result<Keyed<'static>, OutOfRange> {
        let key = keys::key(shaft).map_err(|_| {
            let given = format!("{} mm", shaft.mm());
            OutOfRange::new("shaft of a parallel key", given, "above 6 up to 130 mm", "DIN 6885-1")
        })?;
        let [least, most] = key.l;
        if !(length.mm() >= least && length.mm() <= most) {
            let range = format!("{least} to {most} mm for {} x {}", key.b, key.h);
            return Err(OutOfRange::new("length of the key", format!("{} mm", length.mm()), range, "DIN 6885-1"));
        }
        let flat = if round_ends { length - Length::from_mm(key.b) } else { length };
        // A longer key bears at its driven end only: no more than 1.3 d counts (from memory: DIN 6892 methods B and C).
        let most = shaft * LONGEST_BEARING;
        let bearing = if flat > most { most } else { flat };
        Keyed { shaft, key, bearing, count }.checked()
    }

    /// In a hub of that length: what stands out of it bears on nothing.
    ///
    /// ```
    /// use runtrue::{mechanics::key::Keyed, quantity::Length};
    /// let mm = Length::from_mm;
    /// let keyed = Keyed::standard(mm(25.0), mm(32.0), true, 1)?; // bears over 24 mm
    /// assert_eq!((keyed.within(mm(20.0)).bearing.mm(), keyed.within(mm(60.0)).bearing.mm()), (20.0, 24.0));
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn within(self, hub: Length) -> Self {
        Self { bearing: if hub < self.bearing { hub } else { self.bearing }, ..self }
    }

    /// The same, refused where it cannot be reckoned with.
    fn checked(self) -> Result<Self, OutOfRange> {
        if !(self.bearing.mm() > 0.0 && self.shaft.mm() > 0.0) {
            let value = format!("{} mm on a shaft of {} mm", self.bearing.mm(), self.shaft.mm());
            return Err(OutOfRange::new("bearing length of the key", value, "both are above 0", "geometry"));
        }
        self.carrying().map(|_| self)
    }

    /// Keys that may be reckoned with: two carry as 1.5 (DIN 6892 method C).
    fn carrying(&self) -> Result<f64, OutOfRange> {
        let (share, _) = keys::sharing(self.count).map_err(|_| {
            OutOfRange::new("keys in one hub", self.count.to_string(), "1 or 2 are reckoned with", "DIN 6892 method C")
        })?;
        Ok(share * f64::from(self.count))
    }

    /// Force at the rim of the shaft: `2T/d`.
    fn rim(&self, torque: Torque) -> Force {
        Force::from_n(2.0 * torque.nm() / self.shaft.m())
    }

    /// Pressure of the key on the hub, the shallower flank: `p = 2T/(d·(h − t1)·l·i·φ)` (DIN 6892 method C; Roloff/Matek).
    ///
    /// Textbooks of the inch world take h/2 for `h − t1`, which is a little less cautious.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Keyed::standard`].
    ///
    /// ```
    /// use runtrue::{mechanics::key::Keyed, quantity::{Length, Torque}};
    /// let hub = Keyed::standard(Length::from_mm(25.0), Length::from_mm(32.0), true, 1)?;
    /// // By hand: 60 N·m on 12.5 mm are 4800 N, on 3 x 24 mm.
    /// assert!((hub.pressure(Torque::from_nm(60.0))?.mpa() - 66.67).abs() < 0.01);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn pressure(&self, torque: Torque) -> Result<Stress, OutOfRange> {
        let area = self.key.in_hub() * self.checked()?.bearing.mm() * self.carrying()?;
        Ok(Stress::from_mpa(self.rim(torque).n() / area))
    }

    /// Shear of the key at the rim of the shaft: `2T/(d·b·l·i·φ)`.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Keyed::standard`].
    ///
    /// ```
    /// use runtrue::{mechanics::key::Keyed, quantity::{Length, Torque}};
    /// let hub = Keyed::standard(Length::from_mm(25.0), Length::from_mm(32.0), true, 1)?;
    /// assert!((hub.shear(Torque::from_nm(60.0))?.mpa() - 25.0).abs() < 1e-9); // 4800 N on 8 x 24 mm
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn shear(&self, torque: Torque) -> Result<Stress, OutOfRange> {
        let area = self.key.b * self.checked()?.bearing.mm() * self.carrying()?;
        Ok(Stress::from_mpa(self.rim(torque).n() / area))
    }

    /// Torque at which the pressure reaches its permitted value, 0.9 of the least yield strength of key, shaft and hub
    /// (from memory: DIN 6892 method C).
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Keyed::standard`], and unless the yield strength is above 0.
    ///
    /// ```
    /// use runtrue::{mechanics::key::Keyed, quantity::{Length, Stress, Torque}};
    /// let hub = Keyed::standard(Length::from_mm(25.0), Length::from_mm(32.0), true, 1)?;
    /// let most = hub.capacity(Stress::from_mpa(235.0))?;
    /// assert!((hub.pressure(most)?.mpa() - 0.9 * 235.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn capacity(&self, weakest_yield: Stress) -> Result<Torque, OutOfRange> {
        if weakest_yield.mpa().is_nan() || weakest_yield.mpa() <= 0.0 {
            let value = format!("{} MPa", weakest_yield.mpa());
            return Err(OutOfRange::new("yield strength", value, "it is above 0", "DIN 6892"));
        }
        let one = self.pressure(Torque::from_nm(1.0))?;
        Ok(Torque::from_nm(weakest_yield * keys::permitted_share().0 / one))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: fn(f64) -> Length = Length::from_mm;

    #[test]
    fn more_keys_carry_more_but_not_their_whole_number() {
        let most = |n: u32| {
            let hub = Keyed::standard(MM(50.0), MM(63.0), true, n).unwrap();
            hub.capacity(Stress::from_mpa(300.0)).unwrap().nm()
        };
        assert!((most(2) / most(1) - 1.5).abs() < 1e-12);
        assert!(Keyed::standard(MM(50.0), MM(63.0), true, 0).is_err());
        assert!(Keyed::standard(MM(50.0), MM(63.0), true, 3).is_err());
    }

    #[test]
    fn round_ends_carry_less_and_odd_lengths_are_refused() {
        let at =
            |round: bool| Keyed::standard(MM(30.0), MM(40.0), round, 1).unwrap().shear(Torque::from_nm(1.0)).unwrap();
        assert!(at(true) > at(false));
        assert!(Keyed::standard(MM(30.0), MM(f64::NAN), true, 1).is_err());
        assert!(Keyed::standard(MM(200.0), MM(40.0), true, 1).unwrap_err().to_string().contains("DIN 6885-1"));
        let hub = Keyed::standard(MM(30.0), MM(40.0), true, 1).unwrap();
        assert!(hub.capacity(Stress::from_mpa(0.0)).is_err());
    }
}
