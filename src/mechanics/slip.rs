//! Torque that friction passes on: disc on disc, collar or split hub on a shaft, and the weakest of joints in series.
//!
//! Statics of friction. Faces in series each carry the whole torque: a stack of many discs holds no more than one face.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::quantity::{Force, Length, Torque};

use super::{OutOfRange, above_zero, not_negative};

/// Radius at which the friction of a ring-shaped face acts, by uniform pressure: `2/3·(Ro³ − Ri³)/(Ro² − Ri²)`.
///
/// # Errors
/// [`OutOfRange`] unless the outer diameter is above the inner one, and that at least 0.
///
/// ```
/// use runtrue::{mechanics::slip::ring_radius, quantity::Length};
/// let full = ring_radius(Length::from_mm(120.0), Length::from_mm(0.0))?;
/// assert!((full.mm() - 40.0).abs() < 1e-9); // two thirds of the radius
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn ring_radius(outer: Length, inner: Length) -> Result<Length, OutOfRange> {
    let (ro, ri) = ring(outer, inner)?;
    // The cubes over the squares, divided out, so that a thin ring loses no digits.
    Ok(Length::from_mm(2.0 / 3.0 * (ro * ro + ro * ri + ri * ri) / (ro + ri)))
}

/// Radius at which the friction of a run-in face acts, by uniform wear: `(Ro + Ri)/2`. Never above [`ring_radius`].
///
/// # Errors
/// [`OutOfRange`] unless the outer diameter is above the inner one, and that at least 0.
///
/// ```
/// use runtrue::{mechanics::slip::worn_radius, quantity::Length};
/// assert_eq!(worn_radius(Length::from_mm(120.0), Length::from_mm(80.0))?.mm(), 50.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn worn_radius(outer: Length, inner: Length) -> Result<Length, OutOfRange> {
    let (ro, ri) = ring(outer, inner)?;
    Ok(Length::from_mm(f64::midpoint(ro, ri)))
}

fn ring(outer: Length, inner: Length) -> Result<(f64, f64), OutOfRange> {
    let (ro, ri) = (outer.mm() / 2.0, inner.mm() / 2.0);
    if ri >= 0.0 && ro > ri && ro.is_finite() {
        return Ok((ro, ri));
    }
    Err(OutOfRange::new(
        "outer diameter of the face",
        format!("{} mm", outer.mm()),
        format!("it is above the inner one, {} mm, and that at least 0", inner.mm()),
        "geometry",
    ))
}

/// Torque between two clamped faces: `mu·F·r`. Clamped by bolts through them the pressure is local, and r is the radius
/// of the bolt circle; over the whole face r comes from [`ring_radius`]. Friction has no unit.
///
/// # Errors
/// [`OutOfRange`] unless friction lies above 0 and at most 1, for a force below 0, a radius that is not above 0, and no number.
///
/// ```
/// use runtrue::{mechanics::slip::face_torque, quantity::{Force, Length}};
/// // Six rods of 14.87 kN on a circle of 100 mm, friction 0.10: 446 N·m by hand.
/// let t = face_torque(0.10, Force::from_kn(89.2), Length::from_mm(50.0))?;
/// assert!((t.nm() - 446.0).abs() < 0.5);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn face_torque(mu: f64, clamp: Force, radius: Length) -> Result<Torque, OutOfRange> {
    let force = not_negative("clamping force", clamp.n(), "N", "statics")?;
    let arm = above_zero("radius of the friction", radius.mm(), "mm", "geometry")?;
    Ok(ring_torque(friction(mu)?, Force::from_n(force), Length::from_mm(arm)))
}

/// `mu·F·r`, its one home.
pub(super) fn ring_torque(mu: f64, clamp: Force, radius: Length) -> Torque {
    clamp * mu * radius
}

/// Torque of a clamped bore on its shaft, `k·mu·N·d`: its one home.
pub(super) fn bore_torque(k: f64, mu: f64, across: Force, shaft: Length) -> Torque {
    across * (k * mu) * shaft
}

/// Axial force of a clamped bore on its shaft, `2·k·mu·N`: its one home.
pub(super) fn bore_axial(k: f64, mu: f64, across: Force) -> Force {
    across * (2.0 * k * mu)
}

fn friction(mu: f64) -> Result<f64, OutOfRange> {
    if mu > 0.0 && mu <= 1.0 {
        return Ok(mu);
    }
    Err(OutOfRange::new("friction of the faces", format!("{mu}"), "it lies above 0 and at most 1", "friction tables"))
}

/// How a clamped half shell presses on its shaft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pressure {
    /// Along two lines: the bore is larger than the shaft. Least torque.
    TwoLines,
    /// As the cosine of the angle from the middle of the half: a sliding fit.
    Cosine,
    /// The same all round: the bore closes as a ring. Most torque.
    Uniform,
}

impl Pressure {
    /// Factor k of the torque `k·mu·N·d`: 1, 4/π, π/2, by integrating the pressure over the bore.
    ///
    /// Roloff/Matek print π²/8 = 1.234 for the cosine (from memory); the integral gives 4/π = 1.273.
    ///
    /// ```
    /// use runtrue::mechanics::slip::Pressure;
    /// assert!((Pressure::Cosine.factor() - 1.273).abs() < 5e-4);
    /// assert_eq!(Pressure::TwoLines.factor(), 1.0);
    /// ```
    #[must_use]
    pub const fn factor(self) -> f64 {
        match self {
            Self::TwoLines => 1.0,
            Self::Cosine => 4.0 / PI,
            Self::Uniform => FRAC_PI_2,
        }
    }
}

/// A split hub or collar clamped on a shaft; there is none of no size, no sign or no friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clamp {
    across: Force,
    shaft: Length,
    mu: f64,
    pressure: Pressure,
}

impl Clamp {
    /// A clamp by the force across its split plane (all bolts of a two-half hub; [`super::interplay::one_cut_pinch`] for one cut),
    /// the diameter of its shaft, the friction there, and how it presses.
    ///
    /// # Errors
    /// [`OutOfRange`] unless friction lies above 0 and at most 1, the force is at least 0 and the shaft above 0, all finite.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length}};
    /// let clamp = |kn, mm| Clamp::new(Force::from_kn(kn), Length::from_mm(mm), 0.10, Pressure::TwoLines);
    /// assert!(clamp(16.3, 25.0).is_ok());
    /// assert!(clamp(-16.3, 25.0).is_err() && clamp(f64::NAN, 25.0).is_err() && clamp(16.3, 0.0).is_err());
    /// ```
    pub fn new(across: Force, shaft: Length, mu: f64, pressure: Pressure) -> Result<Self, OutOfRange> {
        not_negative("force across the split", across.n(), "N", "statics")?;
        above_zero("diameter of the shaft", shaft.mm(), "mm", "geometry")?;
        Ok(Self { across, shaft, mu: friction(mu)?, pressure })
    }

    /// Torque that it carries alone: `k·mu·N·d`.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length}};
    /// let across = Force::from_kn(16.3); // two M6 8.8
    /// let collar = Clamp::new(across, Length::from_mm(25.0), 0.10, Pressure::TwoLines)?;
    /// assert!((collar.torque().nm() - 40.75).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn torque(&self) -> Torque {
        bore_torque(self.pressure.factor(), self.mu, self.across, self.shaft)
    }

    /// Axial force that it carries alone: `2·k·mu·N`.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length}};
    /// let across = Force::from_kn(16.3);
    /// let collar = Clamp::new(across, Length::from_mm(25.0), 0.10, Pressure::TwoLines)?;
    /// assert!((collar.axial().n() - 3260.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn axial(&self) -> Force {
        bore_axial(self.pressure.factor(), self.mu, self.across)
    }

    /// Safety against slip under a torque and an axial force at once: `2·k·mu·N / sqrt((2T/d)² + Fa²)`.
    ///
    /// # Errors
    /// [`OutOfRange`] unless some load is there, and both are numbers; signs do not count.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length, Torque}};
    /// // A published calculation of a split hub: 4 bolts of 26.2 kN, 50 mm, 0.16, 500 N·m and 1.5 kN: safety 1.67.
    /// let hub = Clamp::new(Force::from_kn(104.8), Length::from_mm(50.0), 0.16, Pressure::TwoLines)?;
    /// let s = hub.safety(Torque::from_nm(500.0), Force::from_kn(1.5))?;
    /// assert!((s - 1.67).abs() < 5e-3);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn safety(&self, torque: Torque, axial: Force) -> Result<f64, OutOfRange> {
        let pull = (2.0 * torque.nm() / self.shaft.m()).hypot(axial.n());
        if pull > 0.0 && pull.is_finite() {
            return Ok(self.axial().n() / pull);
        }
        Err(OutOfRange::new("load of the hub", format!("{pull} N"), "torque or axial force is above 0", "statics"))
    }

    /// Pressure on the projected bore: `N/(d·L)`.
    ///
    /// # Errors
    /// [`OutOfRange`] unless the bore's length is above 0.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length}};
    /// // The same published split hub, 50 mm long: 41.9 MPa.
    /// let hub = Clamp::new(Force::from_kn(104.8), Length::from_mm(50.0), 0.16, Pressure::TwoLines)?;
    /// assert!((hub.mean_pressure(Length::from_mm(50.0))?.mpa() - 41.9).abs() < 0.05);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn mean_pressure(&self, length: Length) -> Result<crate::quantity::Stress, OutOfRange> {
        let long = above_zero("length of the bore", length.mm(), "mm", "geometry")?;
        Ok(crate::quantity::Stress::from_mpa(self.across.n() / (self.shaft.mm() * long)))
    }
}

/// Clamping force that is sure to be there: `F/α_A − F_Z`, never below zero. Slip is checked with this, not with the
/// nominal preload (VDI 2230-1). The scatter of the tightening, `α_A`, is a ratio.
///
/// # Errors
/// [`OutOfRange`] for a scatter below 1, and for a force or loss that is below 0 or no number.
///
/// ```
/// use runtrue::{mechanics::slip::sure_force, quantity::Force};
/// let left = sure_force(Force::from_kn(12.74), 2.0, Force::from_kn(1.37))?;
/// assert!((left.kn() - 5.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn sure_force(nominal: Force, scatter: f64, settling: Force) -> Result<Force, OutOfRange> {
    let least = super::fastener::least_preload(nominal, scatter)?;
    let lost = not_negative("loss by settling", settling.n(), "N", "VDI 2230-1")?;
    Ok(Force::from_n((least.n() - lost).max(0.0)))
}

/// A joint on the way of the torque and what it holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Holding {
    /// Which joint, in words.
    pub name: String,
    /// What it holds.
    pub torque: Torque,
}

/// The joint that slips first, where all carry the same torque one after another; `None` without a joint.
///
/// # Errors
/// [`OutOfRange`] for a joint whose torque is below 0 or no number: it would drop out of the comparison unseen.
///
/// ```
/// use runtrue::{mechanics::slip::{Holding, weakest}, quantity::Torque};
/// let joint = |name: &str, nm| Holding { name: name.into(), torque: Torque::from_nm(nm) };
/// let path = [joint("disc on disc", 446.0), joint("collar on the shaft", 41.0), joint("key", 300.0)];
/// assert_eq!(weakest(&path)?.map(|j| j.name.as_str()), Some("collar on the shaft"));
/// assert!(weakest(&[])?.is_none() && weakest(&[joint("nothing known", f64::NAN)]).is_err());
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn weakest(path: &[Holding]) -> Result<Option<&Holding>, OutOfRange> {
    for joint in path {
        not_negative("torque that a joint holds", joint.torque.nm(), "N·m", "statics")?;
    }
    Ok(path.iter().min_by(|a, b| a.torque.nm().total_cmp(&b.torque.nm())))
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: fn(f64) -> Length = Length::from_mm;

    #[test]
    fn a_worn_ring_carries_at_most_what_a_new_one_does_and_thin_rings_agree() {
        for inner in [0.0, 20.0, 60.0, 110.0, 119.999] {
            let (new, worn) = (ring_radius(MM(120.0), MM(inner)).unwrap(), worn_radius(MM(120.0), MM(inner)).unwrap());
            assert!(worn <= new && new.mm() <= 60.0, "{inner}");
        }
        let thin = ring_radius(MM(120.0), MM(119.999_999)).unwrap();
        assert!((thin.mm() - 60.0).abs() < 1e-6);
        assert!(ring_radius(MM(80.0), MM(80.0)).is_err() && ring_radius(MM(80.0), MM(-1.0)).is_err());
        assert!(worn_radius(MM(f64::NAN), MM(1.0)).is_err());
    }

    /// The factor is the integral of the pressure over both halves against its projection: summed here in small steps.
    #[test]
    fn the_pressure_factors_are_integrals() {
        let k = |p: fn(f64) -> f64| {
            let steps = 100_000;
            let (mut all, mut across) = (0.0, 0.0);
            for i in 0..steps {
                let phi = (f64::from(i) + 0.5) / f64::from(steps) * PI - FRAC_PI_2;
                all += p(phi);
                across += p(phi) * phi.cos();
            }
            // Torque of two halves mu·p·r²·L over mu·N·d: their sum of p over the projected one.
            all / across
        };
        assert!((k(|_| 1.0) - Pressure::Uniform.factor()).abs() < 1e-6);
        assert!((k(f64::cos) - Pressure::Cosine.factor()).abs() < 1e-6);
        assert!(Pressure::TwoLines.factor() < Pressure::Cosine.factor());
    }

    /// Textbooks size a clamp coupling by `T = π²/16·mu·db²·σ·n·d`, n bolts of which half grip each shaft (from memory: Khurmi,
    /// Machine Design): the same as uniform pressure.
    #[test]
    fn uniform_pressure_is_the_formula_of_the_clamp_coupling() {
        let (db, sigma, n, d, mu) = (22.0_f64, 70.0, 6.0, 75.0, 0.3);
        let across = Force::from_n(n / 2.0 * PI / 4.0 * db.powi(2) * sigma);
        let muff = Clamp::new(across, MM(d), mu, Pressure::Uniform).unwrap();
        let textbook = PI * PI / 16.0 * mu * db.powi(2) * sigma * n * d / 1000.0;
        assert!((muff.torque().nm() / textbook - 1.0).abs() < 1e-12);
    }

    #[test]
    fn torque_and_pull_together_hold_less_than_either_alone() {
        let hub = Clamp::new(Force::from_kn(16.3), MM(25.0), 0.12, Pressure::Cosine).unwrap();
        let (t, f) = (hub.torque(), hub.axial());
        assert!((hub.safety(t, Force::from_n(0.0)).unwrap() - 1.0).abs() < 1e-12);
        assert!((hub.safety(Torque::from_nm(0.0), f).unwrap() - 1.0).abs() < 1e-12);
        assert!((hub.safety(t, f).unwrap() - 0.5_f64.sqrt()).abs() < 1e-12);
        assert!(hub.safety(Torque::from_nm(0.0), Force::from_n(0.0)).is_err());
        assert!(hub.mean_pressure(MM(0.0)).is_err());
    }

    #[test]
    fn no_force_is_sure_below_zero() {
        assert_eq!(sure_force(Force::from_kn(2.0), 2.0, Force::from_kn(5.0)).unwrap().n(), 0.0);
        assert!(sure_force(Force::from_kn(2.0), 0.5, Force::from_kn(0.0)).is_err());
    }
}

#[cfg(test)]
mod properties {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_126), ..ProptestConfig::default() })]

        #[test]
        fn no_number_and_no_sign_gets_through(
            bad in prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), -1e6..-1e-6],
            good in 0.05..0.9_f64,
        ) {
            let (n, mm) = (Force::from_n, Length::from_mm);
            prop_assert!(face_torque(bad, n(good), mm(good)).is_err() && face_torque(good, n(bad), mm(good)).is_err());
            prop_assert!(face_torque(good, n(good), mm(bad)).is_err());
            let clamp = |across, shaft, mu| Clamp::new(n(across), mm(shaft), mu, Pressure::Cosine);
            prop_assert!(clamp(bad, good, good).is_err() && clamp(good, bad, good).is_err() && clamp(good, good, bad).is_err());
            prop_assert!(sure_force(n(bad), 2.0, n(good)).is_err() && sure_force(n(good), 2.0, n(bad)).is_err());
            prop_assert!(sure_force(n(good), bad, n(good)).is_err());
            let joint = |nm| Holding { name: "a joint".into(), torque: Torque::from_nm(nm) };
            prop_assert!(weakest(&[joint(good), joint(bad)]).is_err());
            prop_assert!(ring_radius(mm(bad), mm(0.0)).is_err() && worn_radius(mm(good), mm(bad)).is_err());
        }

        #[test]
        fn a_clamp_holds_in_proportion_and_both_loads_hold_less(kn in 0.1..200.0, d in 5.0..120.0, mu in 0.02..0.9, t in 0.1..900.0) {
            let clamp = |kn: f64| Clamp::new(Force::from_kn(kn), Length::from_mm(d), mu, Pressure::TwoLines).unwrap();
            prop_assert!((clamp(2.0 * kn).torque() / clamp(kn).torque() - 2.0).abs() < 1e-12);
            let alone = clamp(kn).safety(Torque::from_nm(t), Force::from_n(0.0)).unwrap();
            prop_assert!(clamp(kn).safety(Torque::from_nm(t), Force::from_n(1.0)).unwrap() < alone);
        }
    }
}
