//! The trial weight: how large, and whether it told anything.

use crate::quantity::{Length, Mass, Speed};

use super::super::OutOfRange;
use super::super::rotor::weight;
use super::{Vector, above_zero, useless};

/// Trial weight whose force at speed is a share of the rotor's weight: `m = share·M·g/(ω²·r)`. A tenth is usual, a twentieth at first
/// on a rotor not known (public condition-monitoring notes).
///
/// # Errors
/// [`OutOfRange`] for a share outside 0.01 to 0.1, and unless mass, speed and radius are above zero.
///
/// ```
/// use runtrue::{mechanics::balance::trial_weight, quantity::{Length, Mass, Speed}};
/// // 300 lb, 18 in, 1200 rpm: 0.65 oz published.
/// let m = trial_weight(Mass::from_kg(136.077_711), Speed::from_rpm(1200.0), Length::from_mm(457.2), 0.1)?;
/// assert!((m.g() / 28.349_523_125 - 0.65).abs() < 0.005);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn trial_weight(rotor: Mass, speed: Speed, radius: Length, share: f64) -> Result<Mass, OutOfRange> {
    if !(0.01..=0.1).contains(&share) {
        return Err(useless("share of the rotor's weight", format!("{share}"), "it lies from 0.01 to 0.1"));
    }
    above_zero("mass of the rotor", rotor.kg(), "kg")?;
    above_zero("speed", speed.rpm(), "rpm")?;
    above_zero("radius", radius.mm(), "mm")?;
    Ok(Mass::from_kg(share * weight(rotor).n() / (speed.rad_s().powi(2) * radius.m())))
}

/// What a trial weight did to a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Response {
    /// Enough to reckon with.
    Enough,
    /// Less than 30 % and less than 30°: take a larger one.
    TooLittle,
    /// The vibration has doubled: stop, and move the weight or take a smaller one.
    Stop,
}

/// Judges a trial run: enough where the amplitude changed by 30 % or the phase by 30°, stop where it doubled (condition-monitoring
/// how-to; one source prints the phase change as 30 per cent, degrees are meant).
///
/// # Errors
/// [`OutOfRange`] for a first reading of zero.
///
/// ```
/// use runtrue::mechanics::balance::{Response, Vector, response};
/// assert_eq!(response(Vector::polar(7.0, 160.0), Vector::polar(5.0, 70.0))?, Response::Enough);
/// assert_eq!(response(Vector::polar(5.0, 0.0), Vector::polar(5.5, 350.0))?, Response::TooLittle);
/// assert_eq!(response(Vector::polar(5.0, 0.0), Vector::polar(10.5, 350.0))?, Response::Stop);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn response(initial: Vector, with_trial: Vector) -> Result<Response, OutOfRange> {
    let ratio = with_trial.magnitude() / above_zero("reading at first", initial.magnitude(), "")?;
    let turned = (with_trial.degrees() - initial.degrees()).rem_euclid(360.0);
    let phase = turned.min(360.0 - turned);
    Ok(if ratio >= 2.0 {
        Response::Stop
    } else if (ratio - 1.0).abs() >= 0.3 || phase >= 30.0 {
        Response::Enough
    } else {
        Response::TooLittle
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slower_or_heavier_rotor_takes_a_larger_trial_weight() {
        let of = |m, n, r, share| {
            trial_weight(Mass::from_kg(m), Speed::from_rpm(n), Length::from_mm(r), share).map(|m| m.g())
        };
        assert!((of(35.0, 150.0, 40.0, 0.1).unwrap() / of(35.0, 300.0, 40.0, 0.1).unwrap() - 4.0).abs() < 1e-9);
        assert!(of(40.0, 300.0, 40.0, 0.1).unwrap() > of(35.0, 300.0, 40.0, 0.1).unwrap());
        assert!(of(35.0, 300.0, 40.0, 0.2).is_err() && of(35.0, 0.0, 40.0, 0.1).is_err());
    }

    #[test]
    fn the_phase_goes_the_short_way_round() {
        let v = Vector::polar;
        assert_eq!(response(v(5.0, 350.0), v(5.0, 10.0)).unwrap(), Response::TooLittle);
        assert_eq!(response(v(5.0, 350.0), v(5.0, 21.0)).unwrap(), Response::Enough);
        assert!(response(v(0.0, 0.0), v(5.0, 0.0)).is_err());
    }
}
