//! What a tightened joint does afterwards: resilience, settling, stretch, turn of the nut, twist of long rods, engagement.
//!
//! Formulas of VDI 2230-1 (resilience and embedding from memory of 5.1 and table 5). Steel unless another modulus is given:
//! the moduli are those of [`crate::standards::bolting::modulus`].

use std::f64::consts::PI;

use crate::quantity::{Angle, Force, Length, Stress};
use crate::standards::bolting::{self, Embedding};
use crate::standards::threads::{Class, Thread};

use super::fastener::thread_arms;
use super::{OutOfRange, above_zero, not_negative};

/// Modulus of elasticity and shear modulus of fastener steel, as the table of bolting has them.
pub(super) fn steel() -> (Stress, Stress) {
    bolting::modulus("carbon")
        .map_or((Stress::from_gpa(f64::NAN), Stress::from_gpa(f64::NAN)), |m| (m.elastic, m.shear))
}

/// Stretch for one newton, mm/N.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Resilience(f64);

impl Resilience {
    /// Parts that do not give at all: the cautious side for what settling takes, since the bolt alone holds the stretch.
    pub const RIGID: Self = Self(0.0);

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
    above_zero(what, length.mm(), "mm", "geometry")
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
    let modulus = above_zero("modulus", elastic.mpa(), "MPa", "VDI 2230-1")?;
    let nominal = PI / 4.0 * thread.d.powi(2);
    let ends = 2.0 * (0.5 * thread.d / thread.minor_area_mm2() + 0.4 * thread.d / nominal);
    Ok(Resilience((length / thread.minor_area_mm2() + ends) / modulus))
}

/// Resilience of a cap screw in a tapped hole: `(ls/A + (L − ls)/A3 + 0.4·d/A + 0.5·d/A3 + 0.33·d/A)/E`, with `ls` of plain shank
/// at the nominal area A in the grip L, the rest at the minor area A3, then the cylindrical head, the thread in the hole and the
/// hole's own give (VDI 2230-1, 5.1, from memory). A shank longer than the grip is cut to it.
///
/// # Errors
/// [`OutOfRange`] for a grip that is not above 0, a shank below 0, or either no number.
///
/// ```
/// use runtrue::{mechanics::joint::bolt_resilience, quantity::Length, standards::threads::thread};
/// let mm = Length::from_mm;
/// // By hand, M10, 25 mm of grip, 13 of them shank: 13/78.54 + 12/52.29 + 4/78.54 + 5/52.29 + 3.3/78.54 = 0.5836 over 205000.
/// let bolt = bolt_resilience(thread("M10")?, mm(25.0), mm(13.0))?;
/// assert!((bolt.mm_per_n() - 2.847e-6).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn bolt_resilience(thread: &Thread, grip: Length, shank: Length) -> Result<Resilience, OutOfRange> {
    let length = positive("grip", grip)?;
    let plain = not_negative("shank", shank.mm(), "mm", "geometry")?.min(length);
    let (nominal, minor) = (PI / 4.0 * thread.d.powi(2), thread.minor_area_mm2());
    let ends = (0.4 + 0.33) * thread.d / nominal + 0.5 * thread.d / minor;
    Ok(Resilience((plain / nominal + (length - plain) / minor + ends) / steel().0.mpa()))
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
    if !(area > 0.0 && area.is_finite() && elastic.mpa() > 0.0 && elastic.mpa().is_finite()) {
        return Err(OutOfRange::new(
            "outer diameter of the sleeve",
            format!("{} mm", outer.mm()),
            format!("it is above the hole, {} mm, and the modulus above 0", hole.mm()),
            "VDI 2230-1",
        ));
    }
    Ok(Resilience(length / (elastic.mpa() * area)))
}

/// What settles in a joint, counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Faces {
    /// Threads that carry: one a nut, one a tapped hole.
    pub threads: u32,
    /// Faces under heads and nuts.
    pub bearing: u32,
    /// Interfaces between clamped parts, washers counted as parts.
    pub inner: u32,
}

impl Faces {
    /// A rod with a nut at both ends: two threads, two bearing faces.
    ///
    /// ```
    /// use runtrue::mechanics::joint::Faces;
    /// assert_eq!(Faces::of_rod(6), Faces { threads: 2, bearing: 2, inner: 6 });
    /// ```
    #[must_use]
    pub const fn of_rod(inner: u32) -> Self {
        Self { threads: 2, bearing: 2, inner }
    }

    /// A cap screw in a tapped hole: one thread, one bearing face.
    ///
    /// ```
    /// use runtrue::mechanics::joint::Faces;
    /// assert_eq!(Faces::of_screw(2), Faces { threads: 1, bearing: 1, inner: 2 });
    /// ```
    #[must_use]
    pub const fn of_screw(inner: u32) -> Self {
        Self { threads: 1, bearing: 1, inner }
    }
}

/// What the joint settles in all: every thread, bearing face and interface between clamped parts (VDI 2230-1 table 5).
///
/// ```
/// use runtrue::{mechanics::joint::{Faces, settling}, quantity::Length, standards::bolting::embedding};
/// let turned = embedding(Length::from_mm(0.016))?; // Rz 16: 3, 3 and 2 µm
/// let all = settling(&turned, Faces::of_rod(6)); // 2·3 + 2·3 + 6·2 µm
/// assert!((all.mm() - 0.024).abs() < 1e-12);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn settling(embedding: &Embedding, faces: Faces) -> Length {
    let all = |each: Length, count: u32| each * f64::from(count);
    all(embedding.thread, faces.threads) + all(embedding.face, faces.bearing) + all(embedding.inner, faces.inner)
}

/// Preload lost by settling: `F_Z = f_Z/(δ_S + δ_P)` (VDI 2230-1). A long rod loses less than a short bolt.
///
/// # Errors
/// [`OutOfRange`] for an amount of settling below 0 or no number, and where neither bolt nor parts give.
///
/// ```
/// use runtrue::mechanics::joint::{rod_resilience, settling_loss, sleeve_resilience};
/// use runtrue::quantity::{Length, Stress};
/// use runtrue::standards::threads::thread;
/// let (m12, mm) = (thread("M12")?, Length::from_mm);
/// let loss = |grip: f64| -> Result<f64, Box<dyn std::error::Error>> {
///     let rod = rod_resilience(m12, mm(grip))?;
///     let sleeve = sleeve_resilience(mm(grip), mm(40.0), mm(13.5), Stress::from_gpa(205.0))?;
///     Ok(settling_loss(mm(0.011), rod, sleeve)?.kn())
/// };
/// assert!(loss(300.0)? < loss(30.0)? / 4.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn settling_loss(settled: Length, bolt: Resilience, parts: Resilience) -> Result<Force, OutOfRange> {
    let by = not_negative("settling", settled.mm(), "mm", "VDI 2230-1")?;
    Ok(Force::from_n(by / above_zero("resilience", bolt.0 + parts.0, "mm/N", "VDI 2230-1")?))
}

/// Turn of the nut from snug to a preload: `360/P·F·(δ_S + δ_P)`.
///
/// # Errors
/// [`OutOfRange`] for a preload below 0 or no number.
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
/// assert!((nut_turn(m8, Force::from_kn(12.74), rod, stack)?.deg() - 53.9).abs() < 0.1);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn nut_turn(thread: &Thread, preload: Force, bolt: Resilience, parts: Resilience) -> Result<Angle, OutOfRange> {
    let force = not_negative("preload", preload.n(), "N", "VDI 2230-1")?;
    Ok(Angle::from_deg(360.0 / thread.p * force * (bolt.0 + parts.0)))
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

/// Twist and stress of a rod at a preload: moment `F·(0.159·P + 0.578·d2·muG)`, shear `16·M/(π·ds³)`, twist `M·L/(G·π/32·ds⁴)`; the
/// friction in the thread `muG` is a number without unit.
///
/// # Errors
/// [`OutOfRange`] unless the free length is above zero, and preload and friction at least 0.
///
/// ```
/// use runtrue::{mechanics::joint::torsion, quantity::{Force, Length}, standards::threads::thread};
/// let t = torsion(thread("M12")?, Force::from_kn(20.0), 0.14, Length::from_mm(300.0))?;
/// assert!((t.twist.deg() - 4.4).abs() < 0.05 && (t.equivalent.mpa() - 300.0).abs() < 0.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn torsion(thread: &Thread, preload: Force, mu_thread: f64, free: Length) -> Result<Torsion, OutOfRange> {
    let length = positive("free length", free)?;
    let force = not_negative("preload", preload.n(), "N", "VDI 2230-1")?;
    let mu = not_negative("friction", mu_thread, "", "VDI 2230-1")?;
    let moment = force * thread_arms(thread, mu).iter().sum::<f64>();
    let tension = force / thread.stress_area_mm2();
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

/// Full threads that stand out beyond a nut, a count that need not be whole. Below one the end of the nut is not filled; above
/// three the rod is too long.
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
    let any = torsion(thread, preload, mu_thread, Length::from_mm(1.0))?;
    Ok(any.equivalent / class.yield_strength)
}

#[cfg(test)]
#[path = "joint_tests.rs"]
mod tests;
