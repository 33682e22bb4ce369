//! Rods and split collars: what closing a collar under rod force costs in grip, and what a gripped collar takes from the clamp.
//!
//! Statics of friction, with the friction of steel faces from [`crate::standards::bench::slip`] and the pressure
//! factor from [`crate::standards::bench::pressure`]. The low case has low friction, line contact and one sliding face;
//! the high case high friction, uniform pressure and two sliding faces.

use crate::quantity::{Force, Length, Torque};
use crate::standards::bench;

/// One case of friction and contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Case {
    /// Friction of the faces and of the collar on the shaft.
    pub mu: f64,
    /// Pressure factor k.
    pub k: f64,
    /// Faces that slide while the collar closes.
    pub faces: f64,
}

impl Case {
    /// Low friction, line contact, one sliding face.
    #[must_use]
    pub fn low() -> Self {
        Self { mu: bench::slip().low, k: bench::pressure().low, faces: 1.0 }
    }

    /// High friction, uniform pressure, two sliding faces.
    #[must_use]
    pub fn high() -> Self {
        Self { mu: bench::slip().high, k: bench::pressure().high, faces: 2.0 }
    }

    /// Clamp force that friction on the faces keeps from the shaft: `mu · F_half · faces`, F_half the rod force
    /// through the half that has to move.
    #[must_use]
    pub fn grip_lost(&self, rods_through_half: Force) -> Force {
        rods_through_half * (self.mu * self.faces)
    }

    /// Grip left when the pinch bolts close with the rods already at `rods` in all; never below zero.
    #[must_use]
    pub fn grip_left(&self, pinch: Force, rods: Force) -> Force {
        let left = pinch - self.grip_lost(rods / 2.0);
        if left > Force::from_n(0.0) { left } else { Force::from_n(0.0) }
    }

    /// Torque that the collar carries on the shaft: `k·mu·N·d`.
    #[must_use]
    pub fn collar_torque(&self, grip: Force, shaft: Length) -> Torque {
        grip * (self.k * self.mu) * shaft
    }

    /// Axial force that the gripped collar carries: `2·k·mu·N`.
    #[must_use]
    pub fn axial_grip(&self, grip: Force) -> Force {
        grip * (2.0 * self.k * self.mu)
    }

    /// Share of the rod force that still clamps the stack, when the collar was gripped before the rods were full.
    #[must_use]
    pub fn clamp_kept(&self, grip: Force, rods: Force) -> f64 {
        (1.0 - self.axial_grip(grip) / rods).max(0.0)
    }

    /// Torque between two discs: `mu·F·r` at the circle of the rods.
    #[must_use]
    pub fn stack_torque(&self, clamp: Force, circle: Length) -> Torque {
        clamp * self.mu * (circle / 2.0)
    }
}

/// Force across the split of a one-cut collar, by the lever about the hinge opposite the cut: `F·l_bolt/l_shaft`.
///
/// With the hinge at the outer edge, the shaft lies half the outer diameter from it.
#[must_use]
pub fn one_cut_pinch(bolts: Force, outer: Length, bolt_from_axis: Length) -> Force {
    let hinge = outer / 2.0;
    bolts * ((hinge + bolt_from_axis) / hinge)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Six M8 8.8 at 70 % of proof (89.2 kN), two M6 8.8 (16.3 kN), 25 mm shaft, rods on 100 mm.
    /// Statics worked by hand: one half carries 44.6 kN; 0.10·44.6 = 4.46 kN = 27 % of 16.3; 0.20·44.6·2 = 109 %.
    #[test]
    fn the_worked_example_comes_out() {
        let (rods, pinch, shaft) = (Force::from_kn(89.2), Force::from_kn(16.3), Length::from_mm(25.0));
        let lost = |case: Case, share: f64| (case.grip_lost(rods * share / 2.0) / pinch * 100.0).round();
        assert_eq!((lost(Case::low(), 0.3), lost(Case::high(), 0.3)), (8.0, 33.0));
        assert_eq!((lost(Case::low(), 1.0), lost(Case::high(), 1.0)), (27.0, 109.0));
        let kept = |case: Case| {
            let grip = case.grip_left(pinch, rods * 0.3);
            (case.clamp_kept(grip, rods) * 100.0).round()
        };
        assert_eq!((kept(Case::high()), kept(Case::low())), (92.0, 97.0));
        let collar = |case: Case| case.collar_torque(pinch, shaft).nm().round();
        assert_eq!((collar(Case::low()), collar(Case::high())), (41.0, 128.0));
        let stack = |case: Case| case.stack_torque(rods, Length::from_mm(100.0)).nm().round();
        assert_eq!((stack(Case::low()), stack(Case::high())), (446.0, 892.0));
    }

    #[test]
    fn grip_never_falls_below_zero() {
        assert_eq!(Case::high().grip_left(Force::from_kn(1.0), Force::from_kn(500.0)).n(), 0.0);
    }

    #[test]
    fn one_cut_with_the_bolt_at_the_far_edge_doubles() {
        let pinch = one_cut_pinch(Force::from_kn(8.0), Length::from_mm(100.0), Length::from_mm(50.0));
        assert!((pinch.kn() - 16.0).abs() < 1e-12);
    }
}
