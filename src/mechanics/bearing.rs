//! Rating life of ball bearings, and growth between two of them.

use crate::quantity::{Force, Length, Speed, Time};
use crate::standards::{NotInTable, bearings, bench};

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

/// Equivalent load of a single-row deep groove ball under radial and axial load (ISO 281): `P = Fr` while `Fa/Fr ≤ e`, else
/// `P = X·Fr + Y·Fa`, factors by `f0·Fa/C0` ([`bearings::axial_factors`]). `f0` is the maker's factor of the bearing.
///
/// Below the first row of the table the axial load is taken as that row's, which is the cautious side. Never less than Fr.
///
/// # Errors
/// [`NotInTable`] for a ratio above the table, and for a load or rating that is no number.
///
/// ```
/// use runtrue::{mechanics::bearing::equivalent_load, quantity::Force};
/// let kn = Force::from_kn;
/// // f0·Fa/C0 = 0.689: e 0.26, Y 1.71. Fa/Fr = 0.5 lies above e: 0.56·2 + 1.71·1 = 2.83 kN.
/// let p = equivalent_load(kn(2.0), kn(1.0), kn(13.8 / 0.689), 13.8)?;
/// assert!((p.kn() - 2.83).abs() < 1e-9);
/// assert_eq!(equivalent_load(kn(2.0), kn(0.0), kn(7.8), 14.0)?.kn(), 2.0);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn equivalent_load(radial: Force, axial: Force, static_rating: Force, f0: f64) -> Result<Force, NotInTable> {
    let axial = if axial.n() < 0.0 { -axial } else { axial };
    if axial.n() == 0.0 {
        return Ok(radial);
    }
    let least = static_rating * (bearings::axial_least_ratio() / f0);
    let counted = if axial < least { least } else { axial };
    let factors = if axial < least {
        bearings::axial_factors(bearings::axial_least_ratio())?
    } else {
        bearings::axial_factors(f0 * (counted / static_rating))?
    };
    let both = radial * factors.x + counted * factors.y;
    let alone = radial.n() > 0.0 && axial / radial <= factors.e;
    Ok(if alone || both < radial { radial } else { both })
}

/// Dynamic rating that a life asks for: `C = P·(L10h·60·n/10⁶)^(1/3)` (ISO 281, ball bearings); the inverse of [`life`].
#[must_use]
pub fn rating_needed(load: Force, life: Time, speed: Speed) -> Force {
    load * (life.h() * 60.0 * speed.rpm() / 1e6).cbrt()
}

/// Kelvin of difference between shaft and frame at which two fixed units have used up the play between them.
///
/// # Errors
/// [`OutOfRange`] for a distance that is not above zero or a negative play.
pub fn kelvin_to_bind(between: Length, play: Length) -> Result<f64, OutOfRange> {
    if !(between.mm() > 0.0 && play.mm() >= 0.0) {
        return Err(OutOfRange::new(
            "distance or play",
            format!("{} mm and {} mm", between.mm(), play.mm()),
            "the distance is above 0, the play not below",
            "geometry",
        ));
    }
    Ok(play / (between * bench::expansion_per_k().0))
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
    fn the_equivalent_load_never_falls_below_the_radial_and_grows_with_the_axial() {
        let kn = Force::from_kn;
        for radial in [0.0, 0.2, 1.0, 3.0] {
            let mut last = kn(0.0);
            for step in 0..=40 {
                let p = equivalent_load(kn(radial), kn(f64::from(step) * 0.05), kn(7.8), 14.0).unwrap();
                assert!(p >= kn(radial) && p >= last, "{radial} {step}: {p:?}");
                last = p;
            }
        }
        assert!(equivalent_load(kn(1.0), kn(9.0), kn(7.8), 14.0).is_err());
        assert!(equivalent_load(kn(1.0), kn(f64::NAN), kn(7.8), 14.0).is_err());
        let sign = |a: f64| equivalent_load(kn(0.5), kn(a), kn(7.8), 14.0).unwrap();
        assert_eq!(sign(0.4), sign(-0.4));
    }

    #[test]
    fn rating_and_life_are_inverse() {
        let (load, speed) = (Force::from_kn(1.2), Speed::from_rpm(300.0));
        let hours = life(Force::from_kn(14.0), load, speed).unwrap();
        assert!((rating_needed(load, hours, speed).kn() - 14.0).abs() < 1e-9);
    }

    #[test]
    fn two_fixed_units_bind_when_growth_eats_the_play() {
        let (between, play) = (Length::from_mm(460.0), Length::from_mm(0.1));
        let kelvin = kelvin_to_bind(between, play).unwrap();
        assert!((growth(between, kelvin) - play).mm().abs() < 1e-12);
        assert!(kelvin_to_bind(Length::from_mm(0.0), play).is_err());
    }

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
