//! Mounted ball bearings: load, rating life, seat on the shaft, and growth between two of them.

use rust_decimal::Decimal;

use crate::quantity::{Force, Length, Speed, Temperature, Time, Torque};
use crate::standards::{NotInTable, bearings, iso286, measuring};

use super::{OutOfRange, above_zero, not_negative};

/// Friction torque of a ball bearing in stable running, without its seals: `M = μ·P·d/2`, d its bore (JTEKT/Koyo, bearing
/// knowledge 8-4000). The coefficient comes from [`crate::standards::drag::ball`].
///
/// # Errors
/// [`OutOfRange`] for a load below zero, and a bore or coefficient that is not above zero.
///
/// ```
/// use runtrue::{mechanics::bearing::friction_torque, quantity::{Force, Length}};
/// let m = friction_torque(Force::from_n(1000.0), Length::from_mm(25.0), 0.0015)?;
/// assert!((m.nm() - 0.01875).abs() < 1e-9); // 0.0015 × 1000 N × 12.5 mm
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn friction_torque(load: Force, bore: Length, coefficient: f64) -> Result<Torque, OutOfRange> {
    const SOURCE: &str = "JTEKT/Koyo bearing knowledge 8-4000";
    not_negative("bearing load", load.n(), "N", SOURCE)?;
    above_zero("bore", bore.mm(), "mm", SOURCE)?;
    above_zero("friction coefficient", coefficient, "", SOURCE)?;
    Ok(Torque::from_nm(coefficient * load.n() * bore.mm() / 2000.0))
}

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
/// [`OutOfRange`] for a ratio above the table, a radial load below 0, a rating or f0 that is not above 0, and what is no number,
/// whether an axial load is there or not. The sign of the axial load does not count.
///
/// ```
/// use runtrue::{mechanics::bearing::equivalent_load, quantity::Force};
/// let kn = Force::from_kn;
/// // f0·Fa/C0 = 0.689: e 0.26, Y 1.71. Fa/Fr = 0.5 lies above e: 0.56·2 + 1.71·1 = 2.83 kN.
/// let p = equivalent_load(kn(2.0), kn(1.0), kn(13.8 / 0.689), 13.8)?;
/// assert!((p.kn() - 2.83).abs() < 1e-9);
/// assert_eq!(equivalent_load(kn(2.0), kn(0.0), kn(7.8), 14.0)?.kn(), 2.0);
/// assert!(equivalent_load(kn(f64::NAN), kn(0.0), kn(7.8), 14.0).is_err());
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn equivalent_load(radial: Force, axial: Force, static_rating: Force, f0: f64) -> Result<Force, OutOfRange> {
    not_negative("radial load", radial.n(), "N", "ISO 281")?;
    above_zero("static rating", static_rating.n(), "N", "ISO 281")?;
    above_zero("factor f0", f0, "", "ISO 281")?;
    let axial = Force::from_n(not_negative("axial load", axial.n().abs(), "N", "ISO 281")?);
    if axial.n() == 0.0 {
        return Ok(radial);
    }
    let least = static_rating * (bearings::axial_least_ratio() / f0);
    let counted = if axial < least { least } else { axial };
    let ratio = if axial < least { bearings::axial_least_ratio() } else { f0 * (counted / static_rating) };
    let factors = bearings::axial_factors(ratio)
        .map_err(|e| OutOfRange::new("axial load", format!("{} kN, {}", axial.kn(), e.what), e.range, "ISO 281"))?;
    let both = radial * factors.x + counted * factors.y;
    let alone = radial.n() > 0.0 && axial / radial <= factors.e;
    Ok(if alone || both < radial { radial } else { both })
}

/// Dynamic rating that a life asks for: `C = P·(L10h·60·n/10⁶)^(1/3)` (ISO 281, ball bearings); the inverse of [`life`].
///
/// ```
/// use runtrue::{mechanics::bearing::rating_needed, quantity::{Force, Speed, Time}};
/// // 10 000 h at 600 rpm are 360 million turns, and the cube root of 360 is 7.114.
/// let c = rating_needed(Force::from_kn(1.0), Time::from_h(10_000.0), Speed::from_rpm(600.0));
/// assert!((c.kn() - 7.114).abs() < 5e-4);
/// ```
#[must_use]
pub fn rating_needed(load: Force, life: Time, speed: Speed) -> Force {
    load * (life.h() * 60.0 * speed.rpm() / 1e6).cbrt()
}

/// Static load of a single-row deep groove ball: `P0 = 0.6·Fr + 0.5·Fa`, never below Fr (ISO 76, [`bearings::static_factors`]).
///
/// ```
/// use runtrue::{mechanics::bearing::static_load, quantity::Force};
/// let kn = Force::from_kn;
/// assert!((static_load(kn(1.0), kn(2.0)).kn() - 1.6).abs() < 1e-12);
/// assert_eq!(static_load(kn(1.0), kn(0.5)).kn(), 1.0);
/// ```
#[must_use]
pub fn static_load(radial: Force, axial: Force) -> Force {
    let factors = bearings::static_factors();
    let axial = if axial.n() < 0.0 { -axial } else { axial };
    let both = radial * factors.x + axial * factors.y;
    if both < radial { radial } else { both }
}

/// Static safety `C0/P0`, against overloading at rest, in lifting and in transport (ISO 76).
///
/// # Errors
/// [`OutOfRange`] for a load that is not above zero.
///
/// ```
/// use runtrue::{mechanics::bearing::static_safety, quantity::Force};
/// let kn = Force::from_kn;
/// assert_eq!(static_safety(kn(7.8), kn(1.5), kn(0.0))?, 5.2);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn static_safety(static_rating: Force, radial: Force, axial: Force) -> Result<f64, OutOfRange> {
    let load = static_load(radial, axial);
    if load.n() > 0.0 {
        return Ok(static_rating / load);
    }
    Err(OutOfRange::new("bearing load", format!("{:.2} kN", load.kn()), "it is above 0", "ISO 76"))
}

/// Share `P/C` of the rating that a load is, from life and speed: `(10⁶/(60·n·L10h))^(1/3)`; the shaft's class goes by it.
///
/// ```
/// use runtrue::{mechanics::bearing::load_share, quantity::{Speed, Time}};
/// let share = load_share(Time::from_h(16_666.67), Speed::from_rpm(1000.0));
/// assert!((share - 0.1).abs() < 1e-6); // 1000 million turns
/// ```
#[must_use]
pub fn load_share(life: Time, speed: Speed) -> f64 {
    (1e6 / (60.0 * speed.rpm() * life.h())).cbrt()
}

/// Play of an insert on its shaft before the set screws draw it aside, least and most, µm; below zero it has to be pressed.
///
/// # Errors
/// [`NotInTable`] for a bore outside 10 to 50 mm, and for a class that ISO 286's table does not hold.
///
/// ```
/// use runtrue::mechanics::bearing::seat_um;
/// use rust_decimal::Decimal;
/// // Bore +21/0, shaft 25 h6 0/-13.
/// assert_eq!(seat_um("h6", Decimal::from(25))?, (Decimal::from(0), Decimal::from(34)));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn seat_um(shaft_class: &str, bore_mm: Decimal) -> Result<(Decimal, Decimal), NotInTable> {
    let shaft = iso286::class(shaft_class, bore_mm)?;
    let bore = Length::from_mm(rust_decimal::prelude::ToPrimitive::to_f64(&bore_mm).unwrap_or(f64::NAN));
    let high = Decimal::from_f64_retain(bearings::bore_um(bore)?.0).unwrap_or_default();
    Ok((Decimal::ZERO - shaft.upper_um, high - shaft.lower_um))
}

/// Kelvin of difference between shaft and frame at which two fixed units have used up the play between them:
/// `play/(L·α)`.
///
/// # Errors
/// [`OutOfRange`] for a distance that is not above zero or a negative play.
///
/// ```
/// use runtrue::{mechanics::bearing::kelvin_to_bind, quantity::Length};
/// let mm = Length::from_mm;
/// let kelvin = kelvin_to_bind(mm(600.0), mm(0.207))?;
/// assert!((kelvin - 29.5).abs() < 0.05); // 600 mm of steel, 11.7e-6/K
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn kelvin_to_bind(between: Length, play: Length) -> Result<f64, OutOfRange> {
    if !(between.mm() > 0.0 && play.mm() >= 0.0) {
        return Err(OutOfRange::new(
            "distance or play",
            format!("{} mm and {} mm", between.mm(), play.mm()),
            "the distance is above 0, the play not below",
            "geometry",
        ));
    }
    Ok(play / (between * measuring::expansion_per_k().0))
}

/// Growth of a steel shaft between two bearings for a difference of temperature in kelvin: `L·α·ΔT`.
///
/// ```
/// use runtrue::{mechanics::bearing::growth, quantity::Length};
/// assert!((growth(Length::from_mm(600.0), 30.0).mm() - 0.211).abs() < 5e-4);
/// ```
#[must_use]
pub fn growth(between: Length, kelvin: f64) -> Length {
    between * (measuring::expansion_per_k().0 * kelvin)
}

/// What warming up does between two units that are both locked on the shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warming {
    /// The shaft grows that much more than the frame; below zero it shrinks.
    pub grows: Length,
    /// Difference of temperature at which the play is used up, kelvin.
    pub binds_at: f64,
    /// One of the two must be free to slide, or be locked last and warm.
    pub one_must_float: bool,
}

/// Compares the growth of a steel shaft over a steel frame with the axial play of two locked units.
///
/// # Errors
/// [`OutOfRange`] as for [`kelvin_to_bind`].
///
/// ```
/// use runtrue::{mechanics::bearing::warming, quantity::{Length, Temperature}};
/// let (mm, c) = (Length::from_mm, Temperature::from_c);
/// let w = warming(mm(460.0), c(45.0), c(20.0), mm(0.1))?;
/// assert!((w.grows.mm() - 0.135).abs() < 5e-4 && w.one_must_float); // 460 mm × 11.7e-6/K × 25 K
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn warming(between: Length, shaft: Temperature, frame: Temperature, play: Length) -> Result<Warming, OutOfRange> {
    let binds_at = kelvin_to_bind(between, play)?;
    let kelvin = (shaft - frame).c();
    Ok(Warming { grows: growth(between, kelvin), binds_at, one_must_float: kelvin.abs() > binds_at })
}

/// Reactions of two bearings at `a` and `b` to loads at places along the shaft; signs as the loads'.
///
/// ```
/// use runtrue::{mechanics::bearing::reactions, quantity::{Force, Length}};
/// let mm = Length::from_mm;
/// let (a, b) = reactions(mm(0.0), mm(400.0), &[(mm(100.0), Force::from_n(400.0))]);
/// assert_eq!((a.n(), b.n()), (300.0, 100.0));
/// ```
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
        for bad in [f64::NAN, f64::INFINITY] {
            for axial in [0.0, 0.5] {
                assert!(equivalent_load(kn(bad), kn(axial), kn(7.8), 14.0).is_err());
                assert!(equivalent_load(kn(1.0), kn(axial), kn(bad), 14.0).is_err());
                assert!(equivalent_load(kn(1.0), kn(axial), kn(7.8), bad).is_err());
            }
            assert!(equivalent_load(kn(1.0), kn(bad), kn(7.8), 14.0).is_err());
        }
        assert!(equivalent_load(kn(-1.0), kn(0.0), kn(7.8), 14.0).is_err());
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
    fn share_and_life_are_inverse_and_the_static_load_never_falls_below_the_radial() {
        let (c, speed) = (Force::from_kn(14.0), Speed::from_rpm(300.0));
        for share in [0.01, 0.05, 0.2, 0.5] {
            let hours = life(c, c * share, speed).unwrap();
            assert!((load_share(hours, speed) - share).abs() < 1e-12);
        }
        let kn = Force::from_kn;
        for axial in [-3.0, -0.5, 0.0, 0.5, 3.0] {
            let p0 = static_load(kn(1.0), kn(axial));
            assert!(p0 >= kn(1.0) && p0 == static_load(kn(1.0), kn(-axial)));
        }
        assert!(static_safety(c, kn(0.0), kn(0.0)).is_err());
    }

    #[test]
    fn a_looser_shaft_gives_more_play_and_cooling_binds_like_warming() {
        let most = |class: &str| seat_um(class, Decimal::from(30)).unwrap().1;
        assert!(most("h6") < most("h7") && most("h7") < most("h9") && most("h9") < most("h11"));
        assert!(seat_um("h6", Decimal::from(60)).is_err() && seat_um("h20", Decimal::from(30)).is_err());
        let at = |shaft: f64| {
            let (shaft, frame) = (Temperature::from_c(shaft), Temperature::from_c(20.0));
            warming(Length::from_mm(460.0), shaft, frame, Length::from_mm(0.1)).unwrap()
        };
        assert_eq!((at(45.0).one_must_float, at(-5.0).one_must_float, at(30.0).one_must_float), (true, true, false));
        assert!((at(45.0).grows + at(-5.0).grows).mm().abs() < 1e-12);
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
