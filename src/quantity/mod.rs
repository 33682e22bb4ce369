//! Units, what people write, exact decimals, and the newtypes that the mechanics reckons with.
//!
//! [`Amount`] keeps what was written and converts exactly; a newtype such as [`Length`] is for reckoning, in `f64`.

mod amount;
mod band;
mod newtypes;
mod unit;

pub use amount::{Amount, QuantityError, parse_decimal};
pub use band::Band;
pub use newtypes::{
    Angle, Density, Energy, Force, Frequency, Inertia, Length, LineMass, Mass, Power, Speed, Stiffness, Stress,
    Temperature, Time, Torque, Unbalance, Velocity,
};
pub use unit::{Kind, Unit, unit};

use rust_decimal::{Decimal, RoundingStrategy};

/// Rounds a value of any unit for display, half away from zero, and keeps the places (`24.10` stays `24.10`).
///
/// ```
/// assert_eq!(runtrue::quantity::rounded(24.1, 2), "24.10");
/// ```
#[must_use]
pub fn rounded(value: f64, places: u32) -> String {
    match Decimal::from_f64_retain(value) {
        Some(exact) => {
            let mut shown = exact.round_dp_with_strategy(places, RoundingStrategy::MidpointAwayFromZero);
            shown.rescale(places);
            shown.to_string()
        }
        None => format!("{value:.prec$}", prec = places as usize),
    }
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    fn rounding_keeps_the_places() {
        assert_eq!(rounded(24.1, 2), "24.10");
        assert_eq!(rounded(-0.05, 1), "-0.1");
        assert_eq!(rounded(490.649, 1), "490.6");
    }
}
