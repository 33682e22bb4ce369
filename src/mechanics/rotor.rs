//! Mass, inertia, energy and rim speed of what turns.

use std::f64::consts::PI;

use crate::quantity::{Density, Energy, Force, Inertia, Length, Mass, Speed, Unbalance, Velocity};

use super::OutOfRange;

/// Gravity, m/s² (exact by definition: standard gravity).
pub const GRAVITY: f64 = 9.806_65;

/// A flat ring: disc, collar, pulley or shaft, with a circle of holes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Outer diameter.
    pub outer: Length,
    /// Bore; zero for a solid disc.
    pub bore: Length,
    /// Thickness along the axis.
    pub thickness: Length,
    /// Number of holes.
    pub holes: u32,
    /// Their diameter.
    pub hole: Length,
    /// Diameter of the circle they stand on.
    pub circle: Length,
}

impl Ring {
    /// A ring without holes.
    ///
    /// ```
    /// use runtrue::{mechanics::rotor::Ring, quantity::Length};
    /// let ring = Ring::plain(Length::from_mm(300.0), Length::from_mm(30.0), Length::from_mm(10.0));
    /// assert_eq!((ring.holes, ring.outer.mm()), (0, 300.0));
    /// ```
    #[must_use]
    pub fn plain(outer: Length, bore: Length, thickness: Length) -> Self {
        let zero = Length::from_mm(0.0);
        Self { outer, bore, thickness, holes: 0, hole: zero, circle: zero }
    }

    /// Refuses a ring that cannot be made: a bore as large as the rim, holes that cut bore, rim or each other.
    ///
    /// # Errors
    /// [`OutOfRange`] with the size that does not fit; geometry.
    ///
    /// ```
    /// use runtrue::{mechanics::rotor::Ring, quantity::Length};
    /// let mm = Length::from_mm;
    /// let disc = Ring { holes: 6, hole: mm(9.0), circle: mm(80.0), ..Ring::plain(mm(380.0), mm(25.0), mm(8.0)) };
    /// assert!(disc.checked().is_ok());
    /// assert!(Ring { circle: mm(32.0), ..disc }.checked().is_err()); // 6 holes of 9 mm cut into the bore
    /// ```
    pub fn checked(self) -> Result<Self, OutOfRange> {
        let wrong = |what, value: Length, range: String| {
            Err(OutOfRange::new(what, format!("{} mm", value.mm()), range, "geometry of the ring"))
        };
        let (outer, bore) = (self.outer.mm(), self.bore.mm());
        if !(bore >= 0.0 && bore < outer) {
            return wrong("bore", self.bore, format!("it lies from 0 to below the outer diameter of {outer} mm"));
        }
        let thick = self.thickness.mm();
        if !(thick > 0.0 && thick.is_finite()) {
            return wrong("thickness", self.thickness, "it is above 0".into());
        }
        if self.holes == 0 {
            return Ok(self);
        }
        let (hole, circle) = (self.hole.mm(), self.circle.mm());
        if !(hole > 0.0 && circle - hole > bore && circle + hole < outer) {
            return wrong("circle of the holes", self.circle, format!("holes of {hole} mm lie between bore and rim"));
        }
        if self.holes > 1 && circle * (PI / f64::from(self.holes)).sin() <= hole {
            return wrong("hole", self.hole, format!("{} of them on {circle} mm do not cut each other", self.holes));
        }
        Ok(self)
    }

    /// Mass: `ρ·t·π/4·(D² − d² − n·dh²)`.
    ///
    /// ```
    /// use runtrue::{mechanics::rotor::Ring, quantity::{Density, Length}};
    /// let mm = Length::from_mm;
    /// // 7850·0.01·π/4·(0.3² − 0.03²) by hand.
    /// let m = Ring::plain(mm(300.0), mm(30.0), mm(10.0)).mass(Density::from_kg_m3(7850.0));
    /// assert!((m.kg() - 5.493_35).abs() < 1e-5);
    /// ```
    #[must_use]
    pub fn mass(&self, density: Density) -> Mass {
        let area = self.outer.m().powi(2) - self.bore.m().powi(2) - f64::from(self.holes) * self.hole.m().powi(2);
        Mass::from_kg(density.kg_m3() * self.thickness.m() * PI / 4.0 * area)
    }

    /// Moment of inertia about the axis: `ρ·t·(π/32·(D⁴ − d⁴) − n·π/4·dh²·(dh²/8 + (circle/2)²))`: a hole takes its own
    /// inertia and that of its mass at its radius (parallel axes).
    ///
    /// ```
    /// use runtrue::{mechanics::rotor::Ring, quantity::{Density, Length}};
    /// let mm = Length::from_mm;
    /// let j = Ring::plain(mm(300.0), mm(30.0), mm(10.0)).inertia(Density::from_kg_m3(7850.0));
    /// assert!((j.kgm2() - 0.062_418).abs() < 1e-6); // π/32·7850·0.01·(0.3⁴ − 0.03⁴)
    /// ```
    #[must_use]
    pub fn inertia(&self, density: Density) -> Inertia {
        let ring = PI / 32.0 * (self.outer.m().powi(4) - self.bore.m().powi(4));
        let hole = self.hole.m().powi(2);
        let holes = f64::from(self.holes) * PI / 4.0 * hole * (hole / 8.0 + (self.circle.m() / 2.0).powi(2));
        Inertia::from_kgm2(density.kg_m3() * self.thickness.m() * (ring - holes))
    }

    /// Moment of inertia about a diameter: `J/2 + m·t²/12`, kg·m². Exact for a plain ring and for three or more even holes.
    ///
    /// ```
    /// use runtrue::{mechanics::rotor::Ring, quantity::{Density, Length}};
    /// let mm = Length::from_mm;
    /// let tilt = Ring::plain(mm(300.0), mm(30.0), mm(10.0)).tilt_kgm2(Density::from_kg_m3(7850.0));
    /// assert!((tilt - 0.031_255).abs() < 1e-6); // 0.062418/2 + 5.49335·0.01²/12
    /// ```
    #[must_use]
    pub fn tilt_kgm2(&self, density: Density) -> f64 {
        self.inertia(density).kgm2() / 2.0 + self.mass(density).kg() * self.thickness.m().powi(2) / 12.0
    }
}

/// Energy of rotation: `J·ω²/2`.
///
/// ```
/// use runtrue::{mechanics::rotor::energy, quantity::{Inertia, Speed}};
/// let e = energy(Inertia::from_kgm2(2.0), Speed::from_rpm(30.0 / std::f64::consts::PI)); // 1 rad/s
/// assert!((e.j() - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn energy(inertia: Inertia, speed: Speed) -> Energy {
    Energy::from_j(inertia.kgm2() * speed.rad_s().powi(2) / 2.0)
}

/// Weight of a mass: `m·g`.
///
/// ```
/// use runtrue::{mechanics::rotor::weight, quantity::Mass};
/// assert_eq!(weight(Mass::from_kg(1.0)).n(), 9.80665);
/// ```
#[must_use]
pub fn weight(mass: Mass) -> Force {
    Force::from_n(mass.kg() * GRAVITY)
}

/// Velocity of the rim: `ω·D/2`.
///
/// ```
/// use runtrue::{mechanics::rotor::rim_speed, quantity::{Length, Speed}};
/// // 0.6 m at 600 rpm: 62.83·0.3.
/// assert!((rim_speed(Length::from_mm(600.0), Speed::from_rpm(600.0)).m_s() - 18.85).abs() < 0.005);
/// ```
#[must_use]
pub fn rim_speed(outer: Length, speed: Speed) -> Velocity {
    speed * (outer / 2.0)
}

/// Force that turns with an unbalance: `U·ω²`, U in kg·m.
///
/// ```
/// use runtrue::{mechanics::rotor::unbalance_force, quantity::{Speed, Unbalance}};
/// // 20 g at 120 mm, 1500 rpm: 0.0024·157.08² by hand.
/// assert!((unbalance_force(Unbalance::from_gmm(2400.0), Speed::from_rpm(1500.0)).n() - 59.22).abs() < 0.005);
/// ```
#[must_use]
pub fn unbalance_force(unbalance: Unbalance, speed: Speed) -> Force {
    Force::from_n(unbalance.gmm() * 1e-6 * speed.rad_s().powi(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holes_take_mass_and_inertia_away() {
        let mm = Length::from_mm;
        let steel = Density::from_kg_m3(7850.0);
        let plain = Ring::plain(mm(300.0), mm(30.0), mm(10.0));
        let drilled = Ring { holes: 6, hole: mm(9.0), circle: mm(80.0), ..plain };
        // What the holes take is six small cylinders at 40 mm.
        let small = Ring::plain(mm(9.0), mm(0.0), mm(10.0));
        let taken = plain.mass(steel).kg() - drilled.mass(steel).kg();
        assert!((taken - 6.0 * small.mass(steel).kg()).abs() < 1e-12);
        let moved = 6.0 * (small.inertia(steel).kgm2() + small.mass(steel).kg() * 0.04 * 0.04);
        assert!((plain.inertia(steel).kgm2() - drilled.inertia(steel).kgm2() - moved).abs() < 1e-12);
    }

    #[test]
    fn a_ring_that_cannot_be_made_is_refused() {
        let mm = Length::from_mm;
        let disc = Ring { holes: 6, hole: mm(9.0), circle: mm(80.0), ..Ring::plain(mm(380.0), mm(25.0), mm(8.0)) };
        let said = |r: Ring| r.checked().unwrap_err().to_string();
        assert!(said(Ring { bore: mm(380.0), ..disc }).contains("bore"));
        assert!(said(Ring { thickness: mm(0.0), ..disc }).contains("thickness"));
        assert!(said(Ring { circle: mm(375.0), ..disc }).contains("between bore and rim"));
        assert!(said(Ring { holes: 40, ..disc }).contains("cut each other"));
        assert!(said(Ring { bore: mm(f64::NAN), ..disc }).contains("NaN"));
    }
}
