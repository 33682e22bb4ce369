//! Rating life of ball bearings, and growth between two of them.

use crate::quantity::{Force, Length, Speed, Time};
use crate::standards::bench;

use super::OutOfRange;

/// Rating life in hours: `L10h = 10⁶/(60 n)·(C/P)³` (ISO 281, ball bearings).
///
/// # Errors
/// [`OutOfRange`] for a load or speed of zero, and for a load above half the dynamic rating (ISO 281).
///
/// ```
/// use runtrue::{mechanics::bearing::life, quantity::{Force, Speed}};
/// let l = life(Force::from_kn(14.0), Force::from_kn(1.4), Speed::from_rpm(1000.0))?;
/// assert!((l.h() - 16_666.67).abs() < 0.01); // 1000 million turns at 1000 rpm
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn life(dynamic: Force, load: Force, speed: Speed) -> Result<Time, OutOfRange> {
    let zero = Force::from_n(0.0);
    if !(load > zero && load <= dynamic / 2.0) {
        return Err(OutOfRange::new(
            "bearing load",
            format!("{:.2} kN", load.kn()),
            format!("it lies above 0 and at most {:.2} kN, half the dynamic rating", dynamic.kn() / 2.0),
            "ISO 281",
        ));
    }
    if speed.rpm().is_nan() || speed.rpm() <= 0.0 {
        return Err(OutOfRange::new("speed", format!("{} rpm", speed.rpm()), "it is above 0", "ISO 281"));
    }
    Ok(Time::from_h(1e6 / (60.0 * speed.rpm()) * (dynamic / load).powi(3)))
}

/// Growth of a steel shaft between two bearings for a difference of temperature in kelvin.
#[must_use]
pub fn growth(between: Length, kelvin: f64) -> Length {
    between * (bench::expansion_per_k().0 * kelvin)
}

/// Reactions of two bearings at `a` and `b` to loads at places along the shaft; signs as the loads'.
#[must_use]
pub fn reactions(a: Length, b: Length, loads: &[(Length, Force)]) -> (Force, Force) {
    let span = b - a;
    let at_b: Force = loads.iter().map(|(x, f)| *f * ((*x - a) / span)).sum();
    let all: Force = loads.iter().map(|(_, f)| *f).sum();
    (all - at_b, at_b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_in_the_middle_is_shared() {
        let mm = Length::from_mm;
        let (a, b) = reactions(mm(100.0), mm(500.0), &[(mm(300.0), Force::from_n(400.0))]);
        assert_eq!((a.n(), b.n()), (200.0, 200.0));
    }

    #[test]
    fn a_load_beyond_the_bearing_lifts_the_other() {
        let mm = Length::from_mm;
        let (a, b) = reactions(mm(0.0), mm(400.0), &[(mm(500.0), Force::from_n(400.0))]);
        assert_eq!((a.n(), b.n()), (-100.0, 500.0));
    }
}
