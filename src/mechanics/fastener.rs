//! Preload, torque and scatter of a bolted joint.

use crate::quantity::{Force, Length, Stress, Torque};
use crate::standards::threads::{Class, Thread};

use super::{OutOfRange, above_zero, not_negative};

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
/// Older tables (VDI 2230 of 1986 and before) count torsion elastically, factor 2 for 1.5, and print 9 to 12 % less: state
/// the edition beside the torque.
///
/// # Errors
/// [`OutOfRange`] for a share above 1, friction outside 0.04 to 0.40, or a yield strength that is not above 0.
///
/// ```
/// use runtrue::{mechanics::fastener::preload_by_equivalent, quantity::Stress, standards::threads::thread};
/// // A maker's worked example after VDI 2230-1:2015: M12 8.8, friction 0.14, 90 % of yield, 41.9 kN.
/// let f = preload_by_equivalent(thread("M12")?, Stress::from_mpa(640.0), 0.9, 0.14)?;
/// assert!((f.kn() - 41.9).abs() < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
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
    above_zero("yield strength", yield_strength.mpa(), "MPa", "ISO 898-1")?;
    let (d2, ds) = (thread.d2(), thread.ds());
    let torsion = 1.5 * d2 / ds * (thread.p / (std::f64::consts::PI * d2) + 1.155 * mu_thread);
    Ok(Force::from_n(
        thread.stress_area_mm2() * share * yield_strength.mpa() / 3.0_f64.mul_add(torsion * torsion, 1.0).sqrt(),
    ))
}

/// Arms of the moment in the thread for a preload of one newton, mm: its climb `0.159·P` and the friction in it
/// `0.578·d2·muG` (VDI 2230-1: 1/(2π) and 1/(2·cos 30°), rounded as printed).
pub(super) fn thread_arms(thread: &Thread, mu_thread: f64) -> [f64; 2] {
    [0.159 * thread.p, 0.578 * thread.d2() * mu_thread]
}

/// Arms of the torque: those of the thread, and that of the friction under head or nut.
fn arms(thread: &Thread, mu_thread: f64, mu_head: f64) -> [f64; 3] {
    let [climb, rub] = thread_arms(thread, mu_thread);
    [climb, rub, f64::midpoint(thread.dw, thread.hole) / 2.0 * mu_head]
}

/// Torque for a preload, friction form of VDI 2230-1 (Kellermann and Klein):
/// `T = F·(0.159·P + 0.578·d2·muG + Dkm/2·muK)` with `Dkm = (dw + dh)/2`, dh the clearance hole of ISO 273.
///
/// # Errors
/// [`OutOfRange`] for friction outside 0.04 to 0.40 (classes A to E of VDI 2230-1), or a preload below 0 or no number.
///
/// ```
/// use runtrue::{mechanics::fastener::torque, quantity::Force, standards::threads::thread};
/// // By hand, M8 at 12.74 kN and 0.12: (0.1988 + 0.4986 + 0.6189) mm · 12.74 kN = 16.8 N·m.
/// let t = torque(thread("M8")?, Force::from_kn(12.74), 0.12, 0.12)?;
/// assert!((t.nm() - 16.8).abs() < 0.05);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn torque(thread: &Thread, preload: Force, mu_thread: f64, mu_head: f64) -> Result<Torque, OutOfRange> {
    friction_in_range(mu_thread)?;
    friction_in_range(mu_head)?;
    let arm_mm: f64 = arms(thread, mu_thread, mu_head).iter().sum();
    Ok(Torque::from_nm(not_negative("preload", preload.n(), "N", "VDI 2230-1")? * arm_mm / 1000.0))
}

/// Preload that a torque makes at a friction: the inverse of [`torque`].
///
/// # Errors
/// [`OutOfRange`] for friction outside 0.04 to 0.40, or a torque below 0 or no number.
///
/// ```
/// use runtrue::mechanics::fastener::{preload_from_torque, torque};
/// use runtrue::{quantity::Force, standards::threads::thread};
/// let (m10, f) = (thread("M10")?, Force::from_kn(25.0));
/// let back = preload_from_torque(m10, torque(m10, f, 0.12, 0.10)?, 0.12, 0.10)?;
/// assert!((back - f).n().abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn preload_from_torque(thread: &Thread, torque: Torque, mu_thread: f64, mu_head: f64) -> Result<Force, OutOfRange> {
    let one = self::torque(thread, Force::from_n(1.0), mu_thread, mu_head)?;
    Ok(Force::from_n(not_negative("torque", torque.nm(), "N·m", "VDI 2230-1")? / one.nm()))
}

/// Where the torque goes, as shares of the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// Into preload, by the climb of the thread.
    pub preload: f64,
    /// Into friction of the thread.
    pub thread: f64,
    /// Into friction under head or nut.
    pub head: f64,
}

/// Shares of the torque that go into preload, thread and head, by the same form as [`torque`].
///
/// The rule of thumb 10, 40 and 50 % (bolting handbooks) is near, but low for the preload of a coarse thread.
///
/// # Errors
/// [`OutOfRange`] for friction outside 0.04 to 0.40.
///
/// ```
/// use runtrue::{mechanics::fastener::split, standards::threads::thread};
/// let m10 = split(thread("M10")?, 0.12, 0.12)?; // by hand: 0.2385, 0.6260 and 0.7689 of 1.6334 mm
/// assert!((m10.preload - 0.146).abs() < 5e-4 && (m10.thread - 0.383).abs() < 5e-4 && (m10.head - 0.471).abs() < 5e-4);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn split(thread: &Thread, mu_thread: f64, mu_head: f64) -> Result<Split, OutOfRange> {
    friction_in_range(mu_thread)?;
    friction_in_range(mu_head)?;
    let [climb, rub, head] = arms(thread, mu_thread, mu_head);
    let all = climb + rub + head;
    Ok(Split { preload: climb / all, thread: rub / all, head: head / all })
}

/// Factor on the torque that keeps the preload when the friction changes from one pair (thread, head) to another.
///
/// A new lubricant with the old torque changes the preload by the inverse.
///
/// # Errors
/// [`OutOfRange`] for friction outside 0.04 to 0.40.
///
/// ```
/// use runtrue::{mechanics::fastener::friction_change, standards::threads::thread};
/// let oiled = friction_change(thread("M10")?, (0.14, 0.14), (0.10, 0.10))?;
/// let back = friction_change(thread("M10")?, (0.10, 0.10), (0.14, 0.14))?;
/// assert!(oiled < 0.8 && (oiled * back - 1.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn friction_change(thread: &Thread, from: (f64, f64), to: (f64, f64)) -> Result<f64, OutOfRange> {
    let one = Force::from_n(1.0);
    Ok(torque(thread, one, to.0, to.1)? / torque(thread, one, from.0, from.1)?)
}

/// Torque by the short form `T = K·F·d`.
///
/// # Errors
/// [`OutOfRange`] for a preload below 0, a nut factor that is not above 0, or either no number.
///
/// ```
/// use runtrue::{mechanics::fastener::torque_by_nut_factor, quantity::Force, standards::threads::thread};
/// let t = torque_by_nut_factor(thread("M10")?, Force::from_kn(25.0), 0.2)?;
/// assert!((t.nm() - 50.0).abs() < 1e-9); // 0.2 · 25 kN · 10 mm
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn torque_by_nut_factor(thread: &Thread, preload: Force, nut_factor: f64) -> Result<Torque, OutOfRange> {
    let k = above_zero("nut factor", nut_factor, "", "bolting handbooks")?;
    Ok(Torque::from_nm(k * not_negative("preload", preload.n(), "N", "bolting handbooks")? * thread.d / 1000.0))
}

/// Nut factor that a torque and preload amount to: `K = T/(F·d)`.
///
/// # Errors
/// [`OutOfRange`] for a preload that is not above 0, a torque below 0, or either no number.
///
/// ```
/// use runtrue::{mechanics::fastener::nut_factor, standards::threads::thread};
/// use runtrue::quantity::{Force, Torque};
/// assert_eq!(nut_factor(thread("M10")?, Force::from_kn(25.0), Torque::from_nm(50.0))?, 0.2);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn nut_factor(thread: &Thread, preload: Force, torque: Torque) -> Result<f64, OutOfRange> {
    let force = above_zero("preload", preload.n(), "N", "bolting handbooks")?;
    Ok(not_negative("torque", torque.nm(), "N·m", "bolting handbooks")? * 1000.0 / (force * thread.d))
}

/// Least preload by the tightening factor, the torque set for the lowest friction: `F_min = F_max/α_A` (VDI 2230-1).
///
/// # Errors
/// [`OutOfRange`] for a preload that is below 0 or no number, and a scatter below 1.
///
/// ```
/// use runtrue::{mechanics::fastener::least_preload, quantity::Force};
/// // VDI 2230:2015 worked example of a maker: M12, 41.9 kN, α_A 1.8 leaves 23.3 kN.
/// assert!((least_preload(Force::from_kn(41.9), 1.8)?.kn() - 23.3).abs() < 0.05);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn least_preload(largest: Force, scatter: f64) -> Result<Force, OutOfRange> {
    scatter_band(scatter)?;
    Ok(Force::from_n(not_negative("preload", largest.n(), "N", "VDI 2230-1")? / scatter))
}

/// Least preload of a bolt whose range of friction is known: the lesser of `F_max/α_A` ([`least_preload`]) and of what the
/// torque, low by the tool's own deviation, makes at the highest friction: `T·(1 − u)` by [`preload_from_torque`].
///
/// The two stand side by side and are never multiplied: the tightening factor already allows for the estimate of friction, for
/// the tool and for its reading (VDI 2230-1:2001 as a fastener catalogue prints it), so the second bound takes the friction from
/// the range and only the deviation of the tool beside it (ISO 6789). For a usual range (0.12 to 0.16) the factor is the lesser,
/// for a wide one (0.08 to 0.24) the friction. The tightening factor of a range that nobody states covers what is unknown.
///
/// # Errors
/// [`OutOfRange`] for friction outside 0.04 to 0.40, a scatter below 1, a deviation outside 0 to below 1, and no number.
///
/// ```
/// use runtrue::mechanics::fastener::{least_preload_over, torque};
/// use runtrue::{quantity::Force, standards::threads::thread};
/// let (m8, f) = (thread("M8")?, Force::from_kn(12.74));
/// let set = torque(m8, f, 0.08, 0.08)?; // arm 0.1988 + 0.3324 + 0.4126 = 0.9438 mm
/// // At 0.24 the arm is 0.1988 + 0.9971 + 1.2378 = 2.4337 mm: 12.74·0.9438/2.4337·0.96 = 4.743 kN, less than half of 12.74.
/// assert!((least_preload_over(m8, f, set, 0.24, 2.0, 0.04)?.kn() - 4.743).abs() < 2e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn least_preload_over(
    thread: &Thread,
    largest: Force,
    torque: Torque,
    highest_mu: f64,
    scatter: f64,
    tool: f64,
) -> Result<Force, OutOfRange> {
    if !(0.0..1.0).contains(&tool) {
        let value = format!("{tool}");
        return Err(OutOfRange::new("deviation of the tool", value, "it lies from 0 to below 1", "ISO 6789"));
    }
    let by_factor = least_preload(largest, scatter)?;
    let by_friction = preload_from_torque(thread, torque * (1.0 - tool), highest_mu, highest_mu)?;
    Ok(if by_friction < by_factor { by_friction } else { by_factor })
}

/// Half width of the band of preload about its mean, as a share: `(α_A − 1)/(α_A + 1)`.
///
/// # Errors
/// [`OutOfRange`] for a scatter below 1.
///
/// ```
/// // VDI 2230: α_A 1.6 is ± 23 %, α_A 2.0 ± 33 %.
/// let band = runtrue::mechanics::fastener::scatter_band(1.6)?;
/// assert!((band - 0.231).abs() < 5e-4);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn scatter_band(scatter: f64) -> Result<f64, OutOfRange> {
    if scatter >= 1.0 && scatter.is_finite() {
        return Ok((scatter - 1.0) / (scatter + 1.0));
    }
    Err(OutOfRange::new("scatter of the preload", format!("{scatter}"), "it is at least 1", "VDI 2230-1"))
}

/// Elongation of a fully threaded rod of steel over its grip: `F·L/(E·As)`, E = 205 GPa.
///
/// Reckoned with the stress area; with the minor area, as VDI 2230-1 does for [`super::joint::rod_resilience`], it is a
/// tenth longer.
///
/// # Errors
/// [`OutOfRange`] as for [`elongation_of`].
///
/// ```
/// use runtrue::{mechanics::fastener::elongation, standards::threads::thread};
/// use runtrue::quantity::{Force, Length};
/// let dl = elongation(thread("M8")?, Force::from_kn(12.74), Length::from_mm(80.0))?;
/// assert!((dl.mm() - 0.1358).abs() < 5e-5); // 12740·80/(205000·36.61)
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn elongation(thread: &Thread, preload: Force, grip: Length) -> Result<Length, OutOfRange> {
    elongation_of(thread, preload, grip, super::joint::steel().0)
}

/// Elongation of a fully threaded rod of another modulus, such as stainless: `F·L/(E·As)`.
///
/// # Errors
/// [`OutOfRange`] for a preload below 0, a grip or modulus that is not above 0, or any of them no number.
///
/// ```
/// use runtrue::{mechanics::fastener::{elongation, elongation_of}, standards::{bolting::modulus, threads::thread}};
/// use runtrue::quantity::{Force, Length};
/// let (m8, f, grip) = (thread("M8")?, Force::from_kn(10.0), Length::from_mm(80.0));
/// let stainless = elongation_of(m8, f, grip, modulus("stainless")?.elastic)?;
/// assert!((stainless / elongation(m8, f, grip)? - 205.0 / 193.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn elongation_of(thread: &Thread, preload: Force, grip: Length, elastic: Stress) -> Result<Length, OutOfRange> {
    let force = not_negative("preload", preload.n(), "N", "Hooke")?;
    let length = above_zero("grip", grip.mm(), "mm", "geometry")?;
    let modulus = above_zero("modulus", elastic.mpa(), "MPa", "Hooke")?;
    Ok(Length::from_mm(force * length / (modulus * thread.stress_area_mm2())))
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
#[path = "fastener_properties_tests.rs"]
mod properties;
#[cfg(test)]
#[path = "fastener_tests.rs"]
mod tests;
