//! What a tightened joint does afterwards: resilience, settling, stretch, turn of the nut, twist of long rods, engagement.
//!
//! Formulas of VDI 2230-1 (resilience and embedding from memory of 5.1 and table 5). Steel unless another modulus is given:
//! the moduli are those of [`crate::standards::bolting::modulus`].

use std::f64::consts::PI;

use crate::quantity::{Angle, Force, Length, Stress};
use crate::standards::bolting::{self, Embedding};
use crate::standards::threads::{Class, Thread};

use super::OutOfRange;

/// Modulus of elasticity and shear modulus of fastener steel, as the table of bolting has them.
pub(super) fn steel() -> (Stress, Stress) {
    bolting::modulus("carbon")
        .map_or((Stress::from_gpa(f64::NAN), Stress::from_gpa(f64::NAN)), |m| (m.elastic, m.shear))
}

/// Stretch for one newton, mm/N.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Resilience(f64);

impl Resilience {
    /// Value in mm/N.
    ///
    /// ```
    /// use runtrue::{mechanics::joint::rod_resilience, quantity::Length, standards::threads::thread};
    /// // By hand, M8 over 80 mm: (80/32.84 + 2·(4/32.84 + 3.2/50.27))/205000 = 1.369e-5.
    /// let rod = rod_resilience(thread("M8")?, Length::from_mm(80.0))?;
    /// assert!((rod.mm_per_n() - 1.369e-5).abs() < 5e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub const fn mm_per_n(self) -> f64 {
        self.0
    }
}

fn positive(what: &'static str, length: Length) -> Result<f64, OutOfRange> {
    if length.mm() > 0.0 && length.mm().is_finite() {
        return Ok(length.mm());
    }
    Err(OutOfRange::new(what, format!("{} mm", length.mm()), "it is above 0", "geometry"))
}

/// Resilience of a fully threaded rod with a nut at both ends:
/// `(L/A3 + 2·(0.5·d/A3 + 0.4·d/A))/E`, A3 at the minor diameter, A at the nominal one (VDI 2230-1, from memory).
///
/// # Errors
/// [`OutOfRange`] unless the grip is above zero.
///
/// ```
/// use runtrue::{mechanics::joint::rod_resilience, quantity::Length, standards::threads::thread};
/// let at = |grip: f64| rod_resilience(thread("M8").unwrap(), Length::from_mm(grip)).unwrap().mm_per_n();
/// assert!((at(200.0) - at(100.0) - 100.0 / (205_000.0 * 32.84)).abs() < 1e-9); // the ends drop out
/// ```
pub fn rod_resilience(thread: &Thread, grip: Length) -> Result<Resilience, OutOfRange> {
    rod_resilience_of(thread, grip, steel().0)
}

/// Resilience of a rod as in [`rod_resilience`], of another modulus, such as stainless.
///
/// # Errors
/// [`OutOfRange`] unless grip and modulus are above zero.
///
/// ```
/// use runtrue::mechanics::joint::{rod_resilience, rod_resilience_of};
/// use runtrue::{quantity::Length, standards::{bolting::modulus, threads::thread}};
/// let (m8, grip) = (thread("M8")?, Length::from_mm(80.0));
/// let softer = rod_resilience_of(m8, grip, modulus("stainless")?.elastic)?;
/// assert!((softer.mm_per_n() / rod_resilience(m8, grip)?.mm_per_n() - 205.0 / 193.0).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn rod_resilience_of(thread: &Thread, grip: Length, elastic: Stress) -> Result<Resilience, OutOfRange> {
    let length = positive("grip", grip)?;
    if elastic.mpa().is_nan() || elastic.mpa() <= 0.0 {
        return Err(OutOfRange::new("modulus", format!("{} MPa", elastic.mpa()), "it is above 0", "VDI 2230-1"));
    }
    let nominal = PI / 4.0 * thread.d.powi(2);
    let ends = 2.0 * (0.5 * thread.d / thread.minor_area_mm2() + 0.4 * thread.d / nominal);
    Ok(Resilience((length / thread.minor_area_mm2() + ends) / elastic.mpa()))
}

/// Resilience of the clamped parts as a sleeve: `L/(E·π/4·(Do² − dh²))`. The true cone of pressure lies between the washer's
/// and the parts' own diameter: the washer's gives the largest squeeze, the parts' own the largest loss by settling.
///
/// # Errors
/// [`OutOfRange`] unless the grip is above zero and the sleeve wider than its hole.
///
/// ```
/// use runtrue::{mechanics::joint::sleeve_resilience, quantity::{Length, Stress}};
/// let mm = Length::from_mm;
/// let sleeve = sleeve_resilience(mm(80.0), mm(24.0), mm(9.0), Stress::from_gpa(206.0))?;
/// assert!((sleeve.mm_per_n() - 9.99e-7).abs() < 5e-10); // 80/(206000·π/4·(24² − 9²))
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn sleeve_resilience(grip: Length, outer: Length, hole: Length, elastic: Stress) -> Result<Resilience, OutOfRange> {
    let length = positive("grip", grip)?;
    let area = PI / 4.0 * (outer.mm().powi(2) - hole.mm().powi(2));
    if !(area > 0.0 && elastic.mpa() > 0.0) {
        return Err(OutOfRange::new(
            "outer diameter of the sleeve",
            format!("{} mm", outer.mm()),
            format!("it is above the hole, {} mm, and the modulus above 0", hole.mm()),
            "VDI 2230-1",
        ));
    }
    Ok(Resilience(length / (elastic.mpa() * area)))
}

/// What the joint settles in all: the thread of each nut, two bearing faces, and every interface between clamped parts
/// (VDI 2230-1 table 5). A rod has a nut at both ends, so two threads.
///
/// ```
/// use runtrue::{mechanics::joint::settling, quantity::Length, standards::bolting::embedding};
/// let turned = embedding(Length::from_mm(0.016))?; // Rz 16: 3, 3 and 2 µm
/// let all = settling(&turned, 2, 6); // 2·3 + 2·3 + 6·2 µm
/// assert!((all.mm() - 0.024).abs() < 1e-12);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn settling(embedding: &Embedding, nuts: u32, interfaces: u32) -> Length {
    embedding.thread * f64::from(nuts) + embedding.face * 2.0 + embedding.inner * f64::from(interfaces)
}

/// Preload lost by settling: `F_Z = f_Z/(δ_S + δ_P)` (VDI 2230-1). A long rod loses less than a short bolt.
///
/// ```
/// use runtrue::mechanics::joint::{rod_resilience, settling_loss, sleeve_resilience};
/// use runtrue::quantity::{Length, Stress};
/// use runtrue::standards::threads::thread;
/// let (m12, mm) = (thread("M12")?, Length::from_mm);
/// let loss = |grip: f64| -> Result<f64, Box<dyn std::error::Error>> {
///     let rod = rod_resilience(m12, mm(grip))?;
///     let sleeve = sleeve_resilience(mm(grip), mm(40.0), mm(13.5), Stress::from_gpa(205.0))?;
///     Ok(settling_loss(mm(0.011), rod, sleeve).kn())
/// };
/// assert!(loss(300.0)? < loss(30.0)? / 4.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn settling_loss(settled: Length, bolt: Resilience, parts: Resilience) -> Force {
    Force::from_n(settled.mm() / (bolt.0 + parts.0))
}

/// Turn of the nut from snug to a preload: `360/P·F·(δ_S + δ_P)`.
///
/// ```
/// use runtrue::mechanics::joint::{nut_turn, rod_resilience, sleeve_resilience};
/// use runtrue::quantity::{Force, Length, Stress};
/// use runtrue::standards::threads::thread;
/// let (m8, grip) = (thread("M8")?, Length::from_mm(80.0));
/// let rod = rod_resilience(m8, grip)?;
/// let stack = sleeve_resilience(grip, Length::from_mm(24.0), Length::from_mm(9.0), Stress::from_gpa(206.0))?;
/// // By hand: rod (80/32.84 + 2·(4/32.84 + 3.2/50.27))/205000 = 1.3693e-5, sleeve 80/(206000·388.8) = 9.99e-7 mm/N;
/// // 12.74 kN stretch both by 0.1872 mm, and 360/1.25 degrees a millimetre make 53.9 degrees.
/// assert!((nut_turn(m8, Force::from_kn(12.74), rod, stack).deg() - 53.9).abs() < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn nut_turn(thread: &Thread, preload: Force, bolt: Resilience, parts: Resilience) -> Angle {
    Angle::from_deg(360.0 / thread.p * preload.n() * (bolt.0 + parts.0))
}

/// Torsion of a rod while its nut is turned, the far nut held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torsion {
    /// Twist over the free length; it springs back and may read as lost torque later.
    pub twist: Angle,
    /// Tension in the stress area.
    pub tension: Stress,
    /// Shear at its rim.
    pub shear: Stress,
    /// Equivalent stress `sqrt(σ² + 3τ²)`.
    pub equivalent: Stress,
}

/// Twist and stress of a rod at a preload: moment `F·(0.159·P + 0.578·d2·muG)`, shear `16·M/(π·ds³)`, twist `M·L/(G·π/32·ds⁴)`.
///
/// # Errors
/// [`OutOfRange`] unless the free length is above zero.
///
/// ```
/// use runtrue::{mechanics::joint::torsion, quantity::{Force, Length}, standards::threads::thread};
/// let t = torsion(thread("M12")?, Force::from_kn(20.0), 0.14, Length::from_mm(300.0))?;
/// assert!((t.twist.deg() - 4.4).abs() < 0.05 && (t.equivalent.mpa() - 300.0).abs() < 0.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn torsion(thread: &Thread, preload: Force, mu_thread: f64, free: Length) -> Result<Torsion, OutOfRange> {
    let length = positive("free length", free)?;
    let moment = preload.n() * (0.159 * thread.p + 0.578 * thread.d2() * mu_thread);
    let tension = preload.n() / thread.stress_area_mm2();
    let shear = 16.0 * moment / (PI * thread.ds().powi(3));
    let twist = moment * length / (steel().1.mpa() * PI / 32.0 * thread.ds().powi(4));
    Ok(Torsion {
        twist: Angle::from_deg(twist.to_degrees()),
        tension: Stress::from_mpa(tension),
        shear: Stress::from_mpa(shear),
        equivalent: Stress::from_mpa(tension.hypot(3.0_f64.sqrt() * shear)),
    })
}

/// Least thread engagement in a tapped hole: 1.0 d in steel, 2.0 d in light metal, the upper end of 1.5 to 2 (common practice).
///
/// ```
/// use runtrue::{mechanics::joint::engagement_needed, standards::threads::thread};
/// let m8 = thread("M8")?;
/// assert_eq!((engagement_needed(m8, false).mm(), engagement_needed(m8, true).mm()), (8.0, 16.0));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn engagement_needed(thread: &Thread, light_metal: bool) -> Length {
    Length::from_mm(thread.d * if light_metal { 2.0 } else { 1.0 })
}

/// Engagement at which the bolt breaks before its own thread strips: `4·As/(π·d2)` (FED-STD-H28/2B form, two to one).
///
/// ```
/// use runtrue::{mechanics::joint::engagement_full_strength, standards::threads::thread};
/// let le = engagement_full_strength(thread("M8")?); // by hand: 4·36.61/(π·7.188)
/// assert!((le.mm() - 6.485).abs() < 5e-3);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn engagement_full_strength(thread: &Thread) -> Length {
    Length::from_mm(4.0 * thread.stress_area_mm2() / (PI * thread.d2()))
}

/// Protrusion in pitches that is right: one to three full threads beyond the nut (common practice).
pub const PROTRUSION: std::ops::RangeInclusive<f64> = 1.0..=3.0;

/// Full threads that stand out beyond a nut. Below one the end of the nut is not filled; above three the rod is too long.
///
/// # Errors
/// [`OutOfRange`] for a protrusion outside one to three threads, with the count.
///
/// ```
/// use runtrue::{mechanics::joint::protrusion, quantity::Length, standards::threads::thread};
/// assert_eq!(protrusion(thread("M8")?, Length::from_mm(2.5))?, 2.0);
/// assert!(protrusion(thread("M8")?, Length::from_mm(1.0)).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn protrusion(thread: &Thread, out: Length) -> Result<f64, OutOfRange> {
    let threads = out.mm() / thread.p;
    // A length measured to a hundredth may fall short of a whole pitch by rounding.
    if PROTRUSION.contains(&(threads + 0.004 / thread.p)) || PROTRUSION.contains(&threads) {
        return Ok(threads);
    }
    Err(OutOfRange::new(
        "thread beyond the nut",
        format!("{threads:.1} threads, {} mm", out.mm()),
        format!("1 to 3 threads, {} to {} mm", thread.p, 3.0 * thread.p),
        "common practice",
    ))
}

/// Share of the stress at 0.2 % that tightening takes up, tension and torsion together. Above 1 the rod yields.
///
/// # Errors
/// [`OutOfRange`] unless the preload is at least zero.
///
/// ```
/// use runtrue::{mechanics::joint::yield_use, quantity::{Force, Length}, standards::threads::{class, thread}};
/// let (m8, strength) = (thread("M8")?, class("8.8", Length::from_mm(8.0))?);
/// // By hand: 12.74 kN/36.61 = 348 MPa, moment 8.884 N·m, shear 142.2; sqrt(348² + 3·142.2²)/640 = 0.666.
/// let used = yield_use(m8, &strength, Force::from_kn(12.74), 0.12)?;
/// assert!((used - 0.666).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn yield_use(thread: &Thread, class: &Class, preload: Force, mu_thread: f64) -> Result<f64, OutOfRange> {
    if preload.n().is_nan() || preload.n() < 0.0 {
        return Err(OutOfRange::new("preload", format!("{} N", preload.n()), "it is at least 0", "VDI 2230-1"));
    }
    let any = torsion(thread, preload, mu_thread, Length::from_mm(1.0))?;
    Ok(any.equivalent / class.yield_strength)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::bolting::embedding;
    use crate::standards::threads::{class, thread};

    const MM: fn(f64) -> Length = Length::from_mm;

    /// VDI 2230-1 embedding: 11 µm on M12 costs 3.4 kN at a grip of 30 mm and 0.51 kN at 300 mm, sleeve 40/13.5 mm.
    #[test]
    fn a_long_rod_loses_less() {
        let m12 = thread("M12").unwrap();
        let loss = |grip: f64| {
            let sleeve = sleeve_resilience(MM(grip), MM(40.0), MM(13.5), Stress::from_gpa(205.0)).unwrap();
            settling_loss(MM(0.011), Resilience(rod_resilience(m12, MM(grip)).unwrap().0), sleeve).kn()
        };
        let (short, long) = (loss(30.0), loss(300.0));
        assert!((long - 0.51).abs() < 0.02, "{long}");
        assert!((short - 3.4).abs() < 0.15, "{short}");
    }

    #[test]
    fn settling_counts_every_interface() {
        let smooth = embedding(MM(0.008)).unwrap();
        // Two threads of 3, two faces of 2.5, six interfaces of 1.5 µm: 20 µm.
        assert!((settling(&smooth, 2, 6).mm() - 0.020).abs() < 1e-12);
    }

    #[test]
    fn twist_goes_with_length_and_stress_does_not() {
        let m8 = thread("M8").unwrap();
        let at = |l: f64| torsion(m8, Force::from_kn(12.0), 0.12, MM(l)).unwrap();
        assert!((at(200.0).twist / at(100.0).twist - 2.0).abs() < 1e-12);
        assert_eq!(at(200.0).equivalent, at(100.0).equivalent);
        assert!(torsion(m8, Force::from_kn(12.0), 0.12, MM(0.0)).is_err());
    }

    #[test]
    fn at_the_permitted_equivalent_stress_little_yield_is_left() {
        let (m10, strength) = (thread("M10").unwrap(), class("8.8", MM(10.0)).unwrap());
        let full = super::super::fastener::preload_by_equivalent(m10, strength.yield_strength, 0.9, 0.12).unwrap();
        // The permit counts torsion plastically (factor 1.5), this one elastically (2). By hand, with d2/ds = 1.0504 and
        // P/(π·d2) + 1.155·0.12 = 0.1915: 0.9·sqrt(1 + 3·0.4023²)/sqrt(1 + 3·0.3017²) = 0.9·1.2188/1.1282 = 0.972.
        let used = yield_use(m10, &strength, full, 0.12).unwrap();
        assert!((used - 0.972).abs() < 0.001, "{used}");
        assert!(yield_use(m10, &strength, Force::from_n(-1.0), 0.12).is_err());
    }

    #[test]
    fn one_to_three_threads_stand_out() {
        let m8 = thread("M8").unwrap();
        assert_eq!(protrusion(m8, MM(2.5)).unwrap(), 2.0);
        assert!(protrusion(m8, MM(1.25)).is_ok() && protrusion(m8, MM(3.75)).is_ok());
        assert!(protrusion(m8, MM(1.0)).is_err() && protrusion(m8, MM(4.0)).is_err());
        assert!(protrusion(m8, MM(f64::NAN)).is_err());
    }

    #[test]
    fn a_sleeve_no_wider_than_its_hole_is_refused() {
        let e = Stress::from_gpa(206.0);
        assert!(sleeve_resilience(MM(80.0), MM(9.0), MM(9.0), e).is_err());
        assert!(sleeve_resilience(MM(0.0), MM(20.0), MM(9.0), e).is_err());
        assert!(rod_resilience(thread("M8").unwrap(), MM(f64::NAN)).is_err());
    }
}
