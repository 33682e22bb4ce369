//! Torque that friction passes on: disc on disc, collar or split hub on a shaft, and the weakest of joints in series.
//!
//! Statics of friction. Faces in series each carry the whole torque: a stack of many discs holds no more than one face.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::quantity::{Force, Length, Torque};

use super::OutOfRange;

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
/// of the bolt circle; over the whole face r comes from [`ring_radius`].
///
/// # Errors
/// [`OutOfRange`] unless friction lies above 0 and at most 1.
///
/// ```
/// use runtrue::{mechanics::slip::face_torque, quantity::{Force, Length}};
/// // Six rods of 14.87 kN on a circle of 100 mm, friction 0.10: 446 N·m by hand.
/// let t = face_torque(0.10, Force::from_kn(89.2), Length::from_mm(50.0))?;
/// assert!((t.nm() - 446.0).abs() < 0.5);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn face_torque(mu: f64, clamp: Force, radius: Length) -> Result<Torque, OutOfRange> {
    Ok(clamp * friction(mu)? * radius)
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

/// A split hub or collar clamped on a shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clamp {
    /// Force across the split plane: all bolts of a two-half hub; by the lever for one cut
    /// ([`super::interplay::one_cut_pinch`]).
    pub across: Force,
    /// Diameter of the shaft.
    pub shaft: Length,
    /// Friction on the shaft.
    pub mu: f64,
    /// How it presses.
    pub pressure: Pressure,
}

impl Clamp {
    /// Torque that it carries alone: `k·mu·N·d`.
    ///
    /// # Errors
    /// [`OutOfRange`] unless friction lies above 0 and at most 1.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length}};
    /// let across = Force::from_kn(16.3); // two M6 8.8
    /// let collar = Clamp { across, shaft: Length::from_mm(25.0), mu: 0.10, pressure: Pressure::TwoLines };
    /// assert!((collar.torque()?.nm() - 40.75).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn torque(&self) -> Result<Torque, OutOfRange> {
        Ok(self.across * (self.pressure.factor() * friction(self.mu)?) * self.shaft)
    }

    /// Axial force that it carries alone: `2·k·mu·N`.
    ///
    /// # Errors
    /// [`OutOfRange`] unless friction lies above 0 and at most 1.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length}};
    /// let across = Force::from_kn(16.3);
    /// let collar = Clamp { across, shaft: Length::from_mm(25.0), mu: 0.10, pressure: Pressure::TwoLines };
    /// assert!((collar.axial()?.n() - 3260.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn axial(&self) -> Result<Force, OutOfRange> {
        Ok(self.across * (2.0 * self.pressure.factor() * friction(self.mu)?))
    }

    /// Safety against slip under a torque and an axial force at once: `2·k·mu·N / sqrt((2T/d)² + Fa²)`.
    ///
    /// # Errors
    /// [`OutOfRange`] unless friction lies above 0 and at most 1 and some load is there.
    ///
    /// ```
    /// use runtrue::{mechanics::slip::{Clamp, Pressure}, quantity::{Force, Length, Torque}};
    /// // A published calculation of a split hub: 4 bolts of 26.2 kN, 50 mm, 0.16, 500 N·m and 1.5 kN: safety 1.67.
    /// let hub = Clamp { across: Force::from_kn(104.8), shaft: Length::from_mm(50.0), mu: 0.16, pressure: Pressure::TwoLines };
    /// let s = hub.safety(Torque::from_nm(500.0), Force::from_kn(1.5))?;
    /// assert!((s - 1.67).abs() < 5e-3);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn safety(&self, torque: Torque, axial: Force) -> Result<f64, OutOfRange> {
        let pull = (2.0 * torque.nm() / self.shaft.m()).hypot(axial.n());
        if pull > 0.0 && pull.is_finite() {
            return Ok(self.axial()?.n() / pull);
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
    /// let hub = Clamp { across: Force::from_kn(104.8), shaft: Length::from_mm(50.0), mu: 0.16, pressure: Pressure::TwoLines };
    /// assert!((hub.mean_pressure(Length::from_mm(50.0))?.mpa() - 41.9).abs() < 0.05);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn mean_pressure(&self, length: Length) -> Result<crate::quantity::Stress, OutOfRange> {
        let area = self.shaft.mm() * length.mm();
        if area > 0.0 && area.is_finite() {
            return Ok(crate::quantity::Stress::from_mpa(self.across.n() / area));
        }
        Err(OutOfRange::new("length of the bore", format!("{} mm", length.mm()), "it is above 0", "geometry"))
    }
}

/// Clamping force that is sure to be there: `F/α_A − F_Z`, never below zero. Slip is checked with this, not with the
/// nominal preload (VDI 2230-1).
///
/// # Errors
/// [`OutOfRange`] for a scatter below 1.
///
/// ```
/// use runtrue::{mechanics::slip::sure_force, quantity::Force};
/// let left = sure_force(Force::from_kn(12.74), 2.0, Force::from_kn(1.37))?;
/// assert!((left.kn() - 5.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn sure_force(nominal: Force, scatter: f64, settling: Force) -> Result<Force, OutOfRange> {
    super::fastener::scatter_band(scatter)?;
    Ok(Force::from_n((nominal.n() / scatter - settling.n()).max(0.0)))
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
/// ```
/// use runtrue::{mechanics::slip::{Holding, weakest}, quantity::Torque};
/// let joint = |name: &str, nm| Holding { name: name.into(), torque: Torque::from_nm(nm) };
/// let path = [joint("disc on disc", 446.0), joint("collar on the shaft", 41.0), joint("key", 300.0)];
/// assert_eq!(weakest(&path).map(|j| j.name.as_str()), Some("collar on the shaft"));
/// assert!(weakest(&[]).is_none());
/// ```
#[must_use]
pub fn weakest(path: &[Holding]) -> Option<&Holding> {
    path.iter().min_by(|a, b| a.torque.nm().total_cmp(&b.torque.nm()))
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
        let muff = Clamp { across, shaft: MM(d), mu, pressure: Pressure::Uniform };
        let textbook = PI * PI / 16.0 * mu * db.powi(2) * sigma * n * d / 1000.0;
        assert!((muff.torque().unwrap().nm() / textbook - 1.0).abs() < 1e-12);
    }

    #[test]
    fn torque_and_pull_together_hold_less_than_either_alone() {
        let hub = Clamp { across: Force::from_kn(16.3), shaft: MM(25.0), mu: 0.12, pressure: Pressure::Cosine };
        let (t, f) = (hub.torque().unwrap(), hub.axial().unwrap());
        assert!((hub.safety(t, Force::from_n(0.0)).unwrap() - 1.0).abs() < 1e-12);
        assert!((hub.safety(Torque::from_nm(0.0), f).unwrap() - 1.0).abs() < 1e-12);
        assert!((hub.safety(t, f).unwrap() - 0.5_f64.sqrt()).abs() < 1e-12);
        assert!(hub.safety(Torque::from_nm(0.0), Force::from_n(0.0)).is_err());
        assert!(Clamp { mu: 0.0, ..hub }.torque().is_err() && Clamp { mu: f64::NAN, ..hub }.axial().is_err());
        assert!(hub.mean_pressure(MM(0.0)).is_err());
    }

    #[test]
    fn no_force_is_sure_below_zero() {
        assert_eq!(sure_force(Force::from_kn(2.0), 2.0, Force::from_kn(5.0)).unwrap().n(), 0.0);
        assert!(sure_force(Force::from_kn(2.0), 0.5, Force::from_kn(0.0)).is_err());
    }
}
