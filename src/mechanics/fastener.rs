//! Preload, torque and scatter of a bolted joint.

use crate::quantity::{Force, Length, Stress, Torque};
use crate::standards::threads::{Class, Thread};

use super::OutOfRange;

/// Preload at a share of the proof load: `F = x · Sp · As` (proof stress of ISO 898-1).
///
/// # Errors
/// [`OutOfRange`] unless the share lies above 0 and at most 0.9 (handbook rule: 0.75 reusable, 0.90 permanent joints).
///
/// ```
/// use runtrue::{mechanics::fastener::preload_by_proof, quantity::Length, standards::threads};
/// let m10 = threads::thread("M10")?;
/// let class = threads::class("8.8", Length::from_mm(10.0))?;
/// let full = preload_by_proof(m10, &class, 0.75)?;
/// assert!((full.kn() - 0.75 * 33.63).abs() < 0.01); // 33.63 kN: proof load of M10 8.8
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn preload_by_proof(thread: &Thread, class: &Class, share: f64) -> Result<Force, OutOfRange> {
    if !(share > 0.0 && share <= 0.9) {
        return Err(OutOfRange::new(
            "share of the proof load",
            format!("{:.0} %", share * 100.0),
            "it lies above 0 and at most 90 %",
            "bolting handbooks: 75 % reusable, 90 % permanent",
        ));
    }
    Ok(Force::from_n(share * class.proof.mpa() * thread.stress_area_mm2()))
}

/// Preload at a share of yield by the equivalent stress, with the fully plastic torsion section (factor 1.5) of
/// VDI 2230-1:2001 and later: `F = As·ν·Rp / sqrt(1 + 3·(1.5·d2/ds·(P/(π·d2) + 1.155·mu))²)`.
///
/// # Errors
/// [`OutOfRange`] for a share above 1 or friction outside 0.04 to 0.40.
pub fn preload_by_equivalent(
    thread: &Thread,
    yield_strength: Stress,
    share: f64,
    mu_thread: f64,
) -> Result<Force, OutOfRange> {
    friction_in_range(mu_thread)?;
    if !(share > 0.0 && share <= 1.0) {
        return Err(OutOfRange::new(
            "share of the yield strength",
            format!("{share}"),
            "it lies above 0 and at most 1",
            "VDI 2230-1",
        ));
    }
    let (d2, ds) = (thread.d2(), thread.ds());
    let torsion = 1.5 * d2 / ds * (thread.p / (std::f64::consts::PI * d2) + 1.155 * mu_thread);
    Ok(Force::from_n(
        thread.stress_area_mm2() * share * yield_strength.mpa() / 3.0_f64.mul_add(torsion * torsion, 1.0).sqrt(),
    ))
}

/// Torque for a preload, friction form of VDI 2230-1 (Kellermann and Klein):
/// `T = F·(0.159·P + 0.578·d2·muG + Dkm/2·muK)` with `Dkm = (dw + dh)/2`, dh the clearance hole of ISO 273.
///
/// # Errors
/// [`OutOfRange`] for friction outside 0.04 to 0.40 (classes A to E of VDI 2230-1).
pub fn torque(thread: &Thread, preload: Force, mu_thread: f64, mu_head: f64) -> Result<Torque, OutOfRange> {
    friction_in_range(mu_thread)?;
    friction_in_range(mu_head)?;
    let mean = f64::midpoint(thread.dw, thread.hole);
    let arm_mm = 0.159 * thread.p + 0.578 * thread.d2() * mu_thread + mean / 2.0 * mu_head;
    Ok(Torque::from_nm(preload.n() * arm_mm / 1000.0))
}

/// Torque by the short form `T = K·F·d`.
#[must_use]
pub fn torque_by_nut_factor(thread: &Thread, preload: Force, nut_factor: f64) -> Torque {
    Torque::from_nm(nut_factor * preload.n() * thread.d / 1000.0)
}

/// Nut factor that a torque and preload amount to: `K = T/(F·d)`.
#[must_use]
pub fn nut_factor(thread: &Thread, preload: Force, torque: Torque) -> f64 {
    torque.nm() * 1000.0 / (preload.n() * thread.d)
}

/// Least preload when the torque is set for the lowest friction: `F_min = F_max/α_A` (VDI 2230-1).
///
/// ```
/// use runtrue::{mechanics::fastener::least_preload, quantity::Force};
/// // VDI 2230:2015 worked example of a maker: M12, 41.9 kN, α_A 1.8 leaves 23.3 kN.
/// assert!((least_preload(Force::from_kn(41.9), 1.8).kn() - 23.3).abs() < 0.05);
/// ```
#[must_use]
pub fn least_preload(largest: Force, scatter: f64) -> Force {
    largest / scatter
}

/// Elongation of a fully threaded rod over its grip: `F·L/(E·As)`, E = 205 GPa (from memory: VDI 2230-1).
#[must_use]
pub fn elongation(thread: &Thread, preload: Force, grip: Length) -> Length {
    const STEEL_MPA: f64 = 205_000.0;
    Length::from_mm(preload.n() * grip.mm() / (STEEL_MPA * thread.stress_area_mm2()))
}

fn friction_in_range(mu: f64) -> Result<(), OutOfRange> {
    if (0.04..=0.40).contains(&mu) {
        Ok(())
    } else {
        Err(OutOfRange::new(
            "friction",
            format!("{mu}"),
            "it lies from 0.04 to 0.40",
            "VDI 2230-1, friction classes A to E",
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::threads::{class, thread};

    #[test]
    fn torque_grows_with_friction_and_preload() {
        let m8 = thread("M8").unwrap();
        let t = |f: f64, mu: f64| torque(m8, Force::from_kn(f), mu, mu).unwrap().nm();
        assert!(t(10.0, 0.14) > t(10.0, 0.10) && t(12.0, 0.10) > t(10.0, 0.10));
    }

    #[test]
    fn both_forms_of_torque_agree_through_the_nut_factor() {
        let m8 = thread("M8").unwrap();
        let f = Force::from_kn(12.0);
        let t = torque(m8, f, 0.12, 0.12).unwrap();
        assert!((torque_by_nut_factor(m8, f, nut_factor(m8, f, t)) - t).nm().abs() < 1e-12);
    }

    #[test]
    fn what_no_source_covers_is_refused() {
        let m8 = thread("M8").unwrap();
        let c = class("8.8", Length::from_mm(8.0)).unwrap();
        assert!(preload_by_proof(m8, &c, 1.0).is_err());
        assert!(preload_by_proof(m8, &c, f64::NAN).is_err());
        assert!(torque(m8, Force::from_kn(1.0), 0.5, 0.1).is_err());
    }
}
