//! Permissible residual unbalance and its shares for two planes (ISO 21940-11).

use crate::quantity::{Length, Mass, Speed, Unbalance};

use super::super::OutOfRange;
use super::above_zero;

const SOURCE: &str = "ISO 21940-11";

/// Permissible residual unbalance: `1000·G·m/ω` g·mm, G the grade in mm/s, ω at the highest speed in service.
///
/// # Errors
/// [`OutOfRange`] for a grade outside 0.4 to 4000 mm/s (ISO 21940-11, table 1), and unless mass and speed are above zero.
///
/// ```
/// use runtrue::{mechanics::balance::permissible_unbalance, quantity::{Mass, Speed}};
/// // G 6.3, 24 kg, 300 rpm: 9549·6.3·24/300.
/// let u = permissible_unbalance(6.3, Mass::from_kg(24.0), Speed::from_rpm(300.0))?;
/// assert!((u.gmm() - 4812.7).abs() < 0.5);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn permissible_unbalance(grade: f64, mass: Mass, speed: Speed) -> Result<Unbalance, OutOfRange> {
    Ok(Unbalance::from_gmm(specific_um(grade, speed)? * above_zero("mass of the rotor", mass.kg(), "kg")?))
}

/// Permissible specific unbalance, which is the permitted distance of the mass centre from the axis: `1000·G/ω` µm.
///
/// # Errors
/// [`OutOfRange`] for a grade outside 0.4 to 4000 mm/s (ISO 21940-11, table 1), and unless the speed is above zero.
///
/// ```
/// use runtrue::{mechanics::balance::specific_um, quantity::Speed};
/// assert!((specific_um(6.3, Speed::from_rpm(300.0))? - 200.5).abs() < 0.05); // 6300/31.416
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn specific_um(grade: f64, speed: Speed) -> Result<f64, OutOfRange> {
    if !(0.4..=4000.0).contains(&grade) {
        return Err(OutOfRange::new("balance grade", format!("G {grade}"), "G 0.4 to G 4000", "ISO 21940-11, table 1"));
    }
    above_zero("speed in service", speed.rpm(), "rpm")?;
    Ok(1000.0 * grade / speed.rad_s())
}

/// The grade in mm/s that a residual unbalance meets: `G = U/1000·ω/m`, the inverse of [`permissible_unbalance`].
///
/// # Errors
/// [`OutOfRange`] unless mass and speed are above zero.
///
/// ```
/// use runtrue::{mechanics::balance::achieved_grade, quantity::{Mass, Speed, Unbalance}};
/// let g = achieved_grade(Unbalance::from_gmm(4812.8), Mass::from_kg(24.0), Speed::from_rpm(300.0))?;
/// assert!((g - 6.3).abs() < 0.001);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn achieved_grade(unbalance: Unbalance, mass: Mass, speed: Speed) -> Result<f64, OutOfRange> {
    above_zero("speed in service", speed.rpm(), "rpm")?;
    Ok(unbalance.gmm() / 1000.0 * speed.rad_s() / above_zero("mass of the rotor", mass.kg(), "kg")?)
}

/// Shares of two tolerance planes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaneShares {
    /// For each plane, in the order given.
    pub each: [Unbalance; 2],
    /// A share was moved to its limit.
    pub limited: bool,
    /// The mass centre lies outside the planes.
    pub overhung: bool,
}

/// Splits a permissible unbalance to two tolerance planes, by rule the bearing planes: `U_A = U·L_B/L`, `U_B = U·L_A/L`, L_A and
/// L_B from the mass centre to the planes, so that the nearer plane gets more. Each share is kept within 0.3 to 0.7 of the whole
/// with the mass centre between the planes (ISO 21940-11), within 0.3 to 1.3 outside them (from memory: ISO 21940-11, clause 7).
///
/// # Errors
/// [`OutOfRange`] for planes at one place.
///
/// ```
/// use runtrue::{mechanics::balance::split_to_planes, quantity::{Length, Unbalance}};
/// let mm = Length::from_mm;
/// let s = split_to_planes(Unbalance::from_gmm(1000.0), mm(150.0), [mm(0.0), mm(240.0)])?;
/// assert!((s.each[0].gmm() - 375.0).abs() < 1e-9 && (s.each[1].gmm() - 625.0).abs() < 1e-9 && !s.limited);
/// // A mass centre 24 mm from plane A would leave plane B a tenth: it gets three.
/// let near = split_to_planes(Unbalance::from_gmm(1000.0), mm(24.0), [mm(0.0), mm(240.0)])?;
/// assert!((near.each[1].gmm() - 300.0).abs() < 1e-9 && (near.each[0].gmm() - 700.0).abs() < 1e-9 && near.limited);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn split_to_planes(whole: Unbalance, centre: Length, planes: [Length; 2]) -> Result<PlaneShares, OutOfRange> {
    let apart = (planes[1] - planes[0]).mm();
    if !(apart.abs() > 0.0 && apart.is_finite() && centre.mm().is_finite()) {
        return Err(OutOfRange::new("distance of the planes", format!("{apart} mm"), "it is not 0", SOURCE));
    }
    let to = [0, 1].map(|k: usize| (centre - planes[k]).mm().abs() / apart.abs());
    let overhung = to[0].max(to[1]) > 1.0;
    let most = if overhung { 1.3 } else { 0.7 };
    let kept = [to[1], to[0]].map(|share: f64| share.clamp(0.3, most));
    Ok(PlaneShares { each: kept.map(|share| whole * share), limited: kept != [to[1], to[0]], overhung })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_faster_or_lighter_rotor_is_permitted_less() {
        let of = |g, m, n| permissible_unbalance(g, Mass::from_kg(m), Speed::from_rpm(n)).map(|u| u.gmm());
        assert!((of(6.3, 24.0, 600.0).unwrap() * 2.0 - of(6.3, 24.0, 300.0).unwrap()).abs() < 1e-9);
        assert!((of(6.3, 12.0, 300.0).unwrap() * 2.0 - of(6.3, 24.0, 300.0).unwrap()).abs() < 1e-9);
        let error = of(0.3, 24.0, 300.0).unwrap_err().to_string();
        assert!(error.contains("G 0.4 to G 4000") && error.contains("ISO 21940-11"), "{error}");
        assert!(of(6.3, 24.0, 0.0).is_err() && of(6.3, f64::NAN, 300.0).is_err());
    }

    #[test]
    fn shares_add_up_unless_limited_and_swap_with_the_planes() {
        let (whole, mm) = (Unbalance::from_gmm(1000.0), Length::from_mm);
        for centre in [80.0, 100.0, 120.0, 160.0] {
            let s = split_to_planes(whole, mm(centre), [mm(0.0), mm(240.0)]).unwrap();
            let sum = s.each[0].gmm() + s.each[1].gmm();
            assert!((sum - 1000.0).abs() < 1e-9 && !s.overhung && !s.limited, "{centre}: {s:?}");
            let swapped = split_to_planes(whole, mm(centre), [mm(240.0), mm(0.0)]).unwrap();
            assert_eq!(swapped.each, [s.each[1], s.each[0]]);
        }
        let out = split_to_planes(whole, mm(300.0), [mm(0.0), mm(240.0)]).unwrap();
        assert!(out.overhung && out.limited);
        assert_eq!(out.each.map(|u| u.gmm()), [300.0, 1250.0]);
        let far = split_to_planes(whole, mm(480.0), [mm(0.0), mm(240.0)]).unwrap();
        assert_eq!(far.each.map(|u| u.gmm()), [1000.0, 1300.0]);
        assert!(split_to_planes(whole, mm(10.0), [mm(5.0), mm(5.0)]).is_err());
    }
}
