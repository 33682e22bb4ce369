//! Stress of a thin disc that turns, and the speed that a yield strength allows.
//!
//! Uniform thickness, plane stress, Poisson's ratio 0.3 (steel, EN 1993-1-1 3.2.6). Sources of the formulas: Shigley, Mechanical
//! Engineering Design, rotating rings; Hearn, Mechanics of Materials 2, section 4.3. Web pages often print the solid disc's
//! formula for a bored one, which is half of the truth, or the mean hoop stress `ρω²r²/3`, which is less still.

use crate::quantity::{Density, Length, Speed, Stress};

use super::OutOfRange;
use super::rotor::Ring;

/// Poisson's ratio of steel (EN 1993-1-1 3.2.6).
const POISSON: f64 = 0.3;

/// A hole in a plate under tension raises the stress beside it so many times (from memory: Peterson, Stress Concentration
/// Factors, small hole in a wide plate). Here a cautious bound: the disc pulls the hole in both directions, which is less.
pub const HOLE_FACTOR: f64 = 3.0;

/// Refuses a disc for which plane stress does not hold.
///
/// # Errors
/// [`OutOfRange`] unless the outer radius is at least ten times the thickness (Shigley). Stricter sources ask for 25 times.
///
/// ```
/// use runtrue::{mechanics::{disc_stress::thin, rotor::Ring}, quantity::Length};
/// let mm = Length::from_mm;
/// assert!(thin(&Ring::plain(mm(300.0), mm(30.0), mm(15.0))).is_ok());
/// assert!(thin(&Ring::plain(mm(300.0), mm(30.0), mm(15.1))).is_err());
/// ```
pub fn thin(ring: &Ring) -> Result<(), OutOfRange> {
    let radius = ring.outer.mm() / 2.0;
    if radius >= 10.0 * ring.thickness.mm() {
        return Ok(());
    }
    Err(OutOfRange::new(
        "outer radius",
        format!("{radius:.0} mm"),
        format!("a thin disc has at least {:.0} mm, ten times its thickness", ring.thickness.mm() * 10.0),
        "Shigley, rotating rings",
    ))
}

/// Hoop and radial stress at a radius:
/// `σt = ρω²·(3+ν)/8·(a² + b² + a²b²/r² − (1+3ν)/(3+ν)·r²)`, `σr = ρω²·(3+ν)/8·(a² + b² − a²b²/r² − r²)`;
/// a bore radius, b outer radius, ν 0.3. For a solid disc the terms with a fall out.
///
/// # Errors
/// [`OutOfRange`] for a radius outside the disc, or a disc that is not [`thin`].
///
/// ```
/// use runtrue::{mechanics::{disc_stress::at, rotor::Ring}, quantity::{Density, Length, Speed}};
/// let mm = Length::from_mm;
/// let disc = Ring::plain(mm(300.0), mm(30.0), mm(10.0));
/// let (hoop, radial) = at(&disc, Density::from_kg_m3(7850.0), Speed::from_rpm(1500.0), mm(15.0))?;
/// assert!((hoop.mpa() - 3.603).abs() < 0.001 && radial.mpa().abs() < 1e-12); // the bore is free
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn at(ring: &Ring, density: Density, speed: Speed, radius: Length) -> Result<(Stress, Stress), OutOfRange> {
    thin(ring)?;
    let (a, b, r) = (ring.bore.m() / 2.0, ring.outer.m() / 2.0, radius.m());
    if !(r >= a && r <= b) {
        return Err(OutOfRange::new(
            "radius",
            format!("{} mm", radius.mm()),
            format!("the disc reaches from {} to {} mm", a * 1000.0, b * 1000.0),
            "geometry of the disc",
        ));
    }
    let scale = density.kg_m3() * speed.rad_s().powi(2) * (3.0 + POISSON) / 8.0;
    let (both, across) = if a > 0.0 { (a * a + b * b, (a * b / r).powi(2)) } else { (b * b, 0.0) };
    let hoop = both + across - (1.0 + 3.0 * POISSON) / (3.0 + POISSON) * r * r;
    let stress = |square: f64| Stress::from_mpa(scale * square / 1e6);
    Ok((stress(hoop), stress(both - across - r * r)))
}

/// Largest hoop stress. Bored: at the bore, `ρω²·(3+ν)/4·(b² + (1−ν)/(3+ν)·a²)`; solid: at the centre, `ρω²·(3+ν)/8·b²`.
/// The smallest bore doubles it.
///
/// # Errors
/// [`OutOfRange`] unless the disc is [`thin`].
///
/// ```
/// use runtrue::{mechanics::{disc_stress::hoop_stress, rotor::Ring}, quantity::{Density, Length, Speed}};
/// let mm = Length::from_mm;
/// let of = |bore| hoop_stress(&Ring::plain(mm(300.0), mm(bore), mm(10.0)), Density::from_kg_m3(7850.0), Speed::from_rpm(1500.0));
/// assert!((of(30.0)?.mpa() - 3.603).abs() < 0.001);
/// assert!((of(1e-6)? / of(0.0)? - 2.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn hoop_stress(ring: &Ring, density: Density, speed: Speed) -> Result<Stress, OutOfRange> {
    Ok(at(ring, density, speed, ring.bore / 2.0)?.0)
}

/// Largest stress with the rod holes counted: the bore's hoop stress, or [`HOLE_FACTOR`] times the hoop stress of the plain disc
/// where a hole comes nearest to the bore, whichever is more.
///
/// # Errors
/// [`OutOfRange`] unless the disc is [`thin`] and its holes lie inside it.
///
/// ```
/// use runtrue::{mechanics::{disc_stress::peak_stress, rotor::Ring}, quantity::{Density, Length, Speed}};
/// let mm = Length::from_mm;
/// let disc = Ring { holes: 6, hole: mm(9.0), circle: mm(80.0), ..Ring::plain(mm(380.0), mm(25.0), mm(8.0)) };
/// // By hand at 300 rpm: ρω²·(3+ν)/8 is 3.1959e6; (a² + b² + a²b²/r² − 0.57576·r²) at r = 35.5 mm, the inner edge of the holes, is
/// // 1.5625e-4 + 0.0361 + 4.4758e-3 − 7.2560e-4 = 0.040006 m²; 0.12786 MPa, three times that beside the hole.
/// let peak = peak_stress(&disc, Density::from_kg_m3(7850.0), Speed::from_rpm(300.0))?;
/// assert!((peak.mpa() - 0.38357).abs() < 5e-5);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn peak_stress(ring: &Ring, density: Density, speed: Speed) -> Result<Stress, OutOfRange> {
    let bore = hoop_stress(ring, density, speed)?;
    if ring.holes == 0 {
        return Ok(bore);
    }
    let nearest = (ring.circle - ring.hole) / 2.0;
    let hole = at(ring, density, speed, nearest)?.0 * HOLE_FACTOR;
    Ok(if hole > bore { hole } else { bore })
}

/// Speed at which [`peak_stress`] reaches the yield strength divided by a safety factor: `√(Re/S / σ(1 rad/s))`.
///
/// # Errors
/// [`OutOfRange`] unless the disc is [`thin`], yield strength and density are above zero and the factor is at least 1.
///
/// ```
/// use runtrue::{mechanics::{disc_stress::{peak_stress, speed_limit}, rotor::Ring}, quantity::{Density, Length, Stress}};
/// let mm = Length::from_mm;
/// let disc = Ring::plain(mm(300.0), mm(30.0), mm(10.0));
/// let (steel, re) = (Density::from_kg_m3(7850.0), Stress::from_mpa(355.0));
/// let most = speed_limit(&disc, steel, re, 2.0)?;
/// assert!((most.rpm() - 10_528.0).abs() < 2.0); // 3.603 MPa at 1500 rpm: 1500·√(177.5/3.603)
/// assert!((peak_stress(&disc, steel, most)?.mpa() - 177.5).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn speed_limit(ring: &Ring, density: Density, yield_strength: Stress, safety: f64) -> Result<Speed, OutOfRange> {
    let given = [yield_strength.mpa(), density.kg_m3()].iter().all(|v| *v > 0.0 && v.is_finite());
    if !(given && safety >= 1.0 && safety.is_finite()) {
        return Err(OutOfRange::new(
            "safety against yield",
            format!("{safety}"),
            "it is at least 1; yield strength and density are above 0",
            "common practice",
        ));
    }
    // One rpm is as good as any other: the stress goes with the square.
    let one = peak_stress(ring, density, Speed::from_rpm(1.0))?;
    Ok(Speed::from_rpm((yield_strength / safety / one).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn disc() -> Ring {
        let mm = Length::from_mm;
        Ring { holes: 6, hole: mm(9.0), circle: mm(80.0), ..Ring::plain(mm(300.0), mm(30.0), mm(10.0)) }
    }

    #[test]
    fn stress_goes_with_the_square_of_the_speed_and_thick_discs_are_refused() {
        let steel = Density::from_kg_m3(7850.0);
        let at = |n: f64| hoop_stress(&disc(), steel, Speed::from_rpm(n)).unwrap().mpa();
        assert!((at(600.0) / at(300.0) - 4.0).abs() < 1e-9);
        let thick = Ring { thickness: Length::from_mm(20.0), ..disc() };
        assert!(hoop_stress(&thick, steel, Speed::from_rpm(300.0)).is_err());
    }

    #[test]
    fn the_hoop_stress_falls_outwards_and_both_ends_are_free_of_radial_stress() {
        let (steel, speed) = (Density::from_kg_m3(7850.0), Speed::from_rpm(3000.0));
        let of = |r: f64| at(&disc(), steel, speed, Length::from_mm(r)).unwrap();
        for r in 16..=150 {
            let (inner, outer) = (of(f64::from(r) - 1.0), of(f64::from(r)));
            assert!(outer.0 < inner.0, "{r}");
        }
        assert!(of(15.0).1.mpa().abs() < 1e-12 && of(150.0).1.mpa().abs() < 1e-12);
        // The radial stress is largest at √(a·b), where it is ρω²·(3+ν)/8·(b − a)² (Hearn).
        let most = of((15.0_f64 * 150.0).sqrt()).1.mpa();
        assert!(most > of(46.0).1.mpa() && most > of(49.0).1.mpa());
        assert!(at(&disc(), steel, speed, Length::from_mm(14.9)).is_err());
    }

    #[test]
    fn a_stronger_disc_may_turn_faster_and_holes_slow_it() {
        let steel = Density::from_kg_m3(7850.0);
        let limit = |ring: &Ring, re: f64, s: f64| speed_limit(ring, steel, Stress::from_mpa(re), s).unwrap().rpm();
        assert!((limit(&disc(), 400.0, 1.0) / limit(&disc(), 100.0, 1.0) - 2.0).abs() < 1e-9);
        assert!((limit(&disc(), 355.0, 4.0) * 2.0 - limit(&disc(), 355.0, 1.0)).abs() < 1e-6);
        assert!(limit(&disc(), 355.0, 2.0) < limit(&Ring { holes: 0, ..disc() }, 355.0, 2.0));
        assert!(speed_limit(&disc(), steel, Stress::from_mpa(355.0), 0.9).is_err());
    }
}
