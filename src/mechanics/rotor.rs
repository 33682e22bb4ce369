//! Mass, inertia, energy and stress of the rotor.

use std::f64::consts::PI;

use crate::quantity::{Density, Energy, Force, Inertia, Length, Mass, Speed, Stress, Unbalance};

use super::OutOfRange;

/// Gravity, m/s² (exact by definition: standard gravity).
pub const GRAVITY: f64 = 9.806_65;

/// A flat ring: disc, collar, pulley or shaft, with a circle of holes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Outer diameter.
    pub outer: Length,
    /// Bore.
    pub bore: Length,
    /// Thickness along the axis.
    pub thickness: Length,
    /// Number of holes.
    pub holes: u32,
    /// Their diameter.
    pub hole: Length,
    /// Their circle.
    pub circle: Length,
}

impl Ring {
    /// A ring without holes.
    #[must_use]
    pub fn plain(outer: Length, bore: Length, thickness: Length) -> Self {
        let zero = Length::from_mm(0.0);
        Self { outer, bore, thickness, holes: 0, hole: zero, circle: zero }
    }

    /// Mass: `ρ·t·π/4·(D² − d² − n·dh²)`.
    #[must_use]
    pub fn mass(&self, density: Density) -> Mass {
        let area = self.outer.m().powi(2) - self.bore.m().powi(2) - f64::from(self.holes) * self.hole.m().powi(2);
        Mass::from_kg(density.kg_m3() * self.thickness.m() * PI / 4.0 * area)
    }

    /// Moment of inertia about the axis: `ρ·t·(π/32·(D⁴ − d⁴) − n·π/4·dh²·(dh²/8 + (circle/2)²))`.
    #[must_use]
    pub fn inertia(&self, density: Density) -> Inertia {
        let ring = PI / 32.0 * (self.outer.m().powi(4) - self.bore.m().powi(4));
        let hole = self.hole.m().powi(2);
        let holes = f64::from(self.holes) * PI / 4.0 * hole * (hole / 8.0 + (self.circle.m() / 2.0).powi(2));
        Inertia::from_kgm2(density.kg_m3() * self.thickness.m() * (ring - holes))
    }
}

impl Ring {
    /// Moment of inertia about a diameter: `J/2 + m·t²/12`, kg·m².
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

/// Weight of a mass.
#[must_use]
pub fn weight(mass: Mass) -> Force {
    Force::from_n(mass.kg() * GRAVITY)
}

/// Largest hoop stress of a thin disc with a bore, at the bore:
/// `ρω²·(3+ν)/4·(b² + (1−ν)/(3+ν)·a²)`, ν = 0.3 (Shigley, rotating rings).
///
/// # Errors
/// [`OutOfRange`] unless the outer radius is at least ten times the thickness, where the thin disc holds (Shigley).
pub fn hoop_stress(ring: &Ring, density: Density, speed: Speed) -> Result<Stress, OutOfRange> {
    const POISSON: f64 = 0.3;
    let (a, b) = (ring.bore.m() / 2.0, ring.outer.m() / 2.0);
    if b < 10.0 * ring.thickness.m() {
        return Err(OutOfRange::new(
            "outer radius",
            format!("{:.0} mm", b * 1000.0),
            format!("a thin disc has at least {:.0} mm, ten times its thickness", ring.thickness.mm() * 10.0),
            "Shigley, rotating rings",
        ));
    }
    let square = density.kg_m3() * speed.rad_s().powi(2);
    let stress = square * (3.0 + POISSON) / 4.0 * (b * b + (1.0 - POISSON) / (3.0 + POISSON) * a * a);
    Ok(Stress::from_mpa(stress / 1e6))
}

/// Permissible residual unbalance: `1000·G·m/ω` g·mm (ISO 21940-11), G in mm/s.
///
/// ```
/// use runtrue::{mechanics::rotor::permissible_unbalance, quantity::{Mass, Speed}};
/// // G 6.3, 24 kg, 300 rpm: 9549·6.3·24/300 (balancing firm's form of ISO 21940-11).
/// let u = permissible_unbalance(6.3, Mass::from_kg(24.0), Speed::from_rpm(300.0));
/// assert!((u.gmm() - 4812.7).abs() < 0.5);
/// ```
#[must_use]
pub fn permissible_unbalance(grade: f64, mass: Mass, speed: Speed) -> Unbalance {
    Unbalance::from_gmm(1000.0 * grade * mass.kg() / speed.rad_s())
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
        assert!(drilled.mass(steel) < plain.mass(steel));
        assert!(drilled.inertia(steel) < plain.inertia(steel));
        // Beam example with the same disc: 5.49335 kg, 0.062418 kg·m².
        assert!((plain.mass(steel).kg() - 5.49335).abs() < 5e-5, "{:?}", plain.mass(steel));
        assert!((plain.inertia(steel).kgm2() - 0.062418).abs() < 5e-6);
    }

    #[test]
    fn stress_goes_with_the_square_of_the_speed_and_thick_discs_are_refused() {
        let mm = Length::from_mm;
        let steel = Density::from_kg_m3(7850.0);
        let disc = Ring::plain(mm(300.0), mm(30.0), mm(10.0));
        let at = |n: f64| hoop_stress(&disc, steel, Speed::from_rpm(n)).unwrap().mpa();
        assert!((at(600.0) / at(300.0) - 4.0).abs() < 1e-9);
        assert!(hoop_stress(&Ring { thickness: mm(20.0), ..disc }, steel, Speed::from_rpm(300.0)).is_err());
    }
}
