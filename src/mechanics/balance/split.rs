//! A mass at an angle on two places beside it.

use super::super::OutOfRange;
use super::useless;

/// Splits a mass at an angle on two angles beside it: `m1 = m·sin(a2 − a)/sin(a2 − a1)`, `m2 = m·sin(a − a1)/sin(a2 − a1)`
/// (resolution of a vector on two directions).
///
/// # Errors
/// [`OutOfRange`] unless the angle lies between the two, and they are less than 180° apart.
///
/// ```
/// use runtrue::mechanics::balance::split_between;
/// let (a, b) = split_between(10.0, 30.0, 0.0, 60.0)?;
/// assert!((a - b).abs() < 1e-9 && (a - 10.0 * 0.5 / 0.75_f64.sqrt()).abs() < 1e-9); // half way: sin 30°/sin 60°
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn split_between(mass: f64, degrees: f64, first: f64, second: f64) -> Result<(f64, f64), OutOfRange> {
    let whole = (second - first).rem_euclid(360.0);
    let beyond = (degrees - first).rem_euclid(360.0);
    if !(whole > 0.0 && whole < 180.0 && beyond <= whole) {
        return Err(useless(
            "angle of the mass",
            format!("{degrees}°"),
            "it lies between the two places, and these are less than 180° apart",
        ));
    }
    let share = |angle: f64| mass * angle.to_radians().sin() / whole.to_radians().sin();
    Ok((share(whole - beyond), share(beyond)))
}

/// Splits a mass at an angle on the two holes beside it. Holes are numbered from 1, hole 1 at `first` degrees.
///
/// # Errors
/// [`OutOfRange`] for fewer than three holes, or an angle that is no number.
///
/// ```
/// use runtrue::mechanics::balance::split;
/// // 12 at 40° on six holes: holes 1 (0°) and 2 (60°).
/// let [(a, ma), (b, mb)] = split(12.0, 40.0, 6, 0.0)?;
/// assert_eq!((a, b), (1, 2));
/// assert!((ma - 12.0 * 20f64.to_radians().sin() / 60f64.to_radians().sin()).abs() < 1e-9 && mb > ma);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn split(mass: f64, degrees: f64, holes: u32, first: f64) -> Result<[(u32, f64); 2], OutOfRange> {
    if holes < 3 || !(degrees - first).is_finite() {
        return Err(useless(
            "number of holes",
            holes.to_string(),
            "at least three are needed, and the angles are numbers",
        ));
    }
    let pitch = 360.0 / f64::from(holes);
    let turned = (degrees - first).rem_euclid(360.0);
    let k = ((turned / pitch).floor() as u32).min(holes - 1);
    // Measured from the hole itself, so that a whole turn never rounds past the next one.
    let beyond = (turned - f64::from(k) * pitch).clamp(0.0, pitch);
    let (a, b) = split_between(mass, beyond, 0.0, pitch)?;
    Ok([(k + 1, a), ((k + 1) % holes + 1, b)])
}

#[cfg(test)]
mod tests {
    use num_complex::Complex64;

    use super::super::Vector;
    use super::*;

    #[test]
    fn shares_add_up_to_the_mass_at_its_angle() {
        for holes in [3, 6, 7, 16] {
            let pitch = 360.0 / f64::from(holes);
            for degrees in [0.0, 10.0, 59.9, 60.0, 190.0, 359.0, -1e-15, 720.5] {
                let parts = split(12.0, degrees, holes, 5.0).unwrap();
                let sum: Complex64 =
                    parts.iter().map(|(h, m)| Vector::polar(*m, 5.0 + f64::from(h - 1) * pitch).0).sum();
                assert!((sum - Vector::polar(12.0, degrees).0).norm() < 1e-9, "{degrees}: {parts:?}");
                assert!(parts.iter().all(|(_, m)| *m > -1e-9));
            }
        }
        assert!(split(12.0, 10.0, 2, 0.0).is_err() && split(12.0, f64::NAN, 6, 0.0).is_err());
    }

    #[test]
    fn an_angle_outside_the_two_places_is_refused() {
        assert!(split_between(10.0, 70.0, 0.0, 60.0).is_err());
        assert!(split_between(10.0, 90.0, 0.0, 180.0).is_err());
        assert!(split_between(10.0, 350.0, 340.0, 20.0).is_ok());
    }
}
