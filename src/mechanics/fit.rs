//! A hole and a shaft together, and sizes away from 20 °C.

use std::fmt;

use rust_decimal::Decimal;

use crate::quantity::{Length, Temperature};
use crate::standards::NotInTable;
use crate::standards::iso286::{self, Deviations};

/// How a hole and a shaft go together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Always loose.
    Clearance,
    /// Loose or pressed, as the parts come.
    Transition,
    /// Always pressed.
    Interference,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Clearance => "clearance",
            Self::Transition => "transition",
            Self::Interference => "interference",
        })
    }
}

/// A hole and a shaft of one nominal size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fit {
    /// Hole.
    pub hole: Deviations,
    /// Shaft.
    pub shaft: Deviations,
}

impl Fit {
    /// The fit of two classes, such as "H7" and "g6".
    ///
    /// # Errors
    /// [`NotInTable`] as [`iso286::class`], and where the hole's letters are small or the shaft's capital.
    ///
    /// ```
    /// use runtrue::mechanics::fit::Fit;
    /// use rust_decimal::Decimal;
    /// let fit = Fit::new("H7", "g6", Decimal::from(25))?;
    /// assert_eq!((fit.least_um(), fit.most_um()), (Decimal::from(7), Decimal::from(41)));
    /// assert!(Fit::new("g6", "H7", Decimal::from(25)).is_err());
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    pub fn new(hole: &str, shaft: &str, nominal_mm: Decimal) -> Result<Self, NotInTable> {
        if !hole.starts_with(char::is_uppercase) || !shaft.starts_with(char::is_lowercase) {
            return Err(iso286::wrong_way_round(hole, shaft));
        }
        Ok(Self { hole: iso286::class(hole, nominal_mm)?, shaft: iso286::class(shaft, nominal_mm)? })
    }

    /// Least clearance `EI − es`, µm; below zero it is interference.
    ///
    /// ```
    /// use runtrue::mechanics::fit::Fit;
    /// use rust_decimal::Decimal;
    /// assert_eq!(Fit::new("H7", "p6", Decimal::from(25))?.least_um(), Decimal::from(-35));
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn least_um(&self) -> Decimal {
        self.hole.lower_um - self.shaft.upper_um
    }

    /// Largest clearance `ES − ei`, µm.
    ///
    /// ```
    /// use runtrue::mechanics::fit::Fit;
    /// use rust_decimal::Decimal;
    /// assert_eq!(Fit::new("H7", "h6", Decimal::from(25))?.most_um(), Decimal::from(34));
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn most_um(&self) -> Decimal {
        self.hole.upper_um - self.shaft.lower_um
    }

    /// Whether the parts are always loose, always pressed, or either.
    ///
    /// ```
    /// use runtrue::mechanics::fit::{Fit, Kind};
    /// use rust_decimal::Decimal;
    /// assert_eq!(Fit::new("H7", "k6", Decimal::from(25))?.kind(), Kind::Transition);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn kind(&self) -> Kind {
        match (self.least_um() >= Decimal::ZERO, self.most_um() <= Decimal::ZERO) {
            (true, _) => Kind::Clearance,
            (_, true) => Kind::Interference,
            _ => Kind::Transition,
        }
    }
}

/// Something of a material at a temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warm {
    /// Expansion per kelvin.
    pub per_k: f64,
    /// Temperature.
    pub at: Temperature,
}

impl Warm {
    /// Growth of a size since 20 °C: `L·α·(t − 20)` (ISO 1: sizes hold at 20 °C).
    ///
    /// ```
    /// use runtrue::{mechanics::fit::Warm, quantity::{Length, Temperature}};
    /// let aluminium = Warm { per_k: 23e-6, at: Temperature::from_c(30.0) };
    /// assert!((aluminium.growth(Length::from_mm(100.0)).mm() - 0.023).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn growth(&self, size: Length) -> Length {
        size * (self.per_k * (self.at.c() - 20.0))
    }
}

/// What is added to a reading to have the size at 20 °C: `−L·[α_part·(t_part − 20) − α_instrument·(t_instrument − 20)]`.
///
/// Steel part and steel instrument that have lain together need none; then only what is not known of their difference counts
/// ([`soak_uncertainty`]). An instrument that holds its length, set at 20 °C, has `per_k` 0.
///
/// ```
/// use runtrue::{mechanics::fit::{Warm, correction}, quantity::{Length, Temperature}};
/// let at = |per_k, c| Warm { per_k, at: Temperature::from_c(c) };
/// // NPL: a steel rod read as 500.035 mm at 23.7 °C is 500.013 mm at 20 °C.
/// let rod = Length::from_mm(500.035);
/// let by = correction(rod, at(11.7e-6, 23.7), at(0.0, 20.0));
/// assert!(((rod + by).mm() - 500.013).abs() < 5e-4);
/// assert_eq!(correction(rod, at(11.7e-6, 31.0), at(11.7e-6, 31.0)).mm(), 0.0);
/// ```
#[must_use]
pub fn correction(reading: Length, part: Warm, instrument: Warm) -> Length {
    instrument.growth(reading) - part.growth(reading)
}

/// Uncertainty of a size from a difference of temperature between part and instrument that is not known better than so many
/// kelvin: `L·α·ΔT`. After an hour on one plate count with 1 to 2 K (common practice).
///
/// ```
/// use runtrue::{mechanics::fit::soak_uncertainty, quantity::Length};
/// let u = soak_uncertainty(Length::from_mm(25.0), 11.7e-6, 2.0);
/// assert!((u.mm() * 1000.0 - 0.585).abs() < 1e-9); // under a micrometre on 25 mm
/// ```
#[must_use]
pub fn soak_uncertainty(size: Length, per_k: f64, kelvin: f64) -> Length {
    size * (per_k * kelvin.abs())
}

/// Change of the clearance away from 20 °C: growth of the hole less growth of the shaft.
///
/// ```
/// use runtrue::{mechanics::fit::{Warm, clearance_change}, quantity::{Length, Temperature}};
/// let at = |per_k, c| Warm { per_k, at: Temperature::from_c(c) };
/// // An aluminium hub on a steel shaft, both 30 K warm: 25 mm × 11.3e-6 × 30.
/// let change = clearance_change(Length::from_mm(25.0), at(23e-6, 50.0), at(11.7e-6, 50.0));
/// assert!((change.mm() - 0.008475).abs() < 1e-9);
/// ```
#[must_use]
pub fn clearance_change(size: Length, hole: Warm, shaft: Warm) -> Length {
    hole.growth(size) - shaft.growth(size)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_looser_letter_gives_more_clearance_at_every_size() {
        for size in [2, 5, 9, 15, 25, 45, 70, 100].map(Decimal::from) {
            let mut last = None;
            for shaft in ["d6", "e6", "f6", "g6", "h6", "k6", "m6", "n6", "p6"] {
                let fit = Fit::new("H7", shaft, size).unwrap();
                assert!(fit.most_um() > fit.least_um());
                assert!(last.is_none_or(|l| fit.most_um() <= l), "{shaft} at {size}");
                last = Some(fit.most_um());
            }
        }
    }

    #[test]
    fn part_and_instrument_change_places_with_the_sign() {
        let at = |per_k, c| Warm { per_k, at: Temperature::from_c(c) };
        let (a, b) = (at(11.7e-6, 31.0), at(23e-6, 12.0));
        let size = Length::from_mm(80.0);
        assert!((correction(size, a, b) + correction(size, b, a)).mm().abs() < 1e-15);
        assert_eq!(correction(size, at(11.7e-6, 20.0), at(23e-6, 20.0)).mm(), 0.0);
        assert_eq!(clearance_change(size, a, a).mm(), 0.0);
        assert_eq!(soak_uncertainty(size, 11.7e-6, -2.0), soak_uncertainty(size, 11.7e-6, 2.0));
    }

    #[test]
    fn letters_the_wrong_way_round_are_told() {
        let said = Fit::new("h7", "h6", Decimal::from(25)).unwrap_err().to_string();
        assert!(said.contains("capital"), "{said}");
    }
}
