//! Rods and split collars: what closing a collar under rod force costs in grip, and what a gripped collar takes from the clamp.
//!
//! Two arrangements. Rods through the collars press the collars' faces together, and a half that has to move against that
//! rubs ([`Topology::ThroughCollars`]). Rods into end plates, the collars outside, leave the collars free of rod force, but
//! the stack shortens under a collar that was closed before ([`Topology::ThroughEndPlates`]). A torque wrench sees neither.
//!
//! Statics of friction, with the friction of steel faces from [`crate::standards::bench::slip`] and the factor of
//! [`super::slip::Pressure`]. The low case has the friction that is sure to hold, line contact and one sliding face: what carries
//! is reckoned with it. The high case has the friction of clean dry faces, uniform pressure and two sliding faces: what is lost to
//! friction is reckoned with it.

use crate::quantity::{Force, Length, Torque};
use crate::standards::bench;

use super::slip::{Pressure, bore_axial, bore_torque, ring_torque};
use super::{OutOfRange, above_zero, not_negative};

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
    /// The friction that is sure to hold, line contact, one sliding face.
    ///
    /// ```
    /// let low = runtrue::mechanics::interplay::Case::low();
    /// assert_eq!((low.mu, low.k, low.faces), (0.10, 1.0, 1.0));
    /// ```
    #[must_use]
    pub fn low() -> Self {
        Self { mu: bench::slip().holds, k: Pressure::TwoLines.factor(), faces: 1.0 }
    }

    /// The friction of clean dry faces, uniform pressure, two sliding faces.
    ///
    /// ```
    /// let high = runtrue::mechanics::interplay::Case::high();
    /// assert_eq!((high.mu, high.faces), (0.74, 2.0));
    /// ```
    #[must_use]
    pub fn high() -> Self {
        Self { mu: bench::slip().loses, k: Pressure::Uniform.factor(), faces: 2.0 }
    }

    /// Clamp force that friction on the faces keeps from the shaft: `mu · F_half · faces`, F_half the rod force
    /// through the half that has to move.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Case, quantity::{Force, Length}};
    /// let lost = Case::low().grip_lost(Force::from_kn(44.6)); // half of six M8 8.8 at 70 % of proof
    /// assert!((lost.kn() - 4.46).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn grip_lost(&self, rods_through_half: Force) -> Force {
        rods_through_half * (self.mu * self.faces)
    }

    /// Grip left when the pinch bolts close with the rods already at `rods` in all; never below zero.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Case, quantity::{Force, Length}};
    /// let left = Case::low().grip_left(Force::from_kn(16.3), Force::from_kn(89.2));
    /// assert!((left.kn() - 11.84).abs() < 1e-9); // 27 % of 16.3 kN lost
    /// assert_eq!(Case::high().grip_left(Force::from_kn(16.3), Force::from_kn(89.2)).n(), 0.0);
    /// ```
    #[must_use]
    pub fn grip_left(&self, pinch: Force, rods: Force) -> Force {
        let left = pinch - self.grip_lost(rods / 2.0);
        if left > Force::from_n(0.0) { left } else { Force::from_n(0.0) }
    }

    /// Torque that the collar carries on the shaft: `k·mu·N·d`.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Case, quantity::{Force, Length}};
    /// let holds = Case::low().collar_torque(Force::from_kn(16.3), Length::from_mm(25.0));
    /// assert!((holds.nm() - 40.75).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn collar_torque(&self, grip: Force, shaft: Length) -> Torque {
        bore_torque(self.k, self.mu, grip, shaft)
    }

    /// Axial force that the gripped collar carries: `2·k·mu·N`.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Case, quantity::{Force, Length}};
    /// assert!((Case::low().axial_grip(Force::from_kn(16.3)).kn() - 3.26).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn axial_grip(&self, grip: Force) -> Force {
        bore_axial(self.k, self.mu, grip)
    }

    /// Share of the rod force that still clamps the stack, when the collar was gripped before the rods were full.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Case, quantity::{Force, Length}};
    /// let kept = Case::low().clamp_kept(Force::from_kn(16.3), Force::from_kn(89.2));
    /// assert!((kept - (1.0 - 3.26 / 89.2)).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn clamp_kept(&self, grip: Force, rods: Force) -> f64 {
        (1.0 - self.axial_grip(grip) / rods).max(0.0)
    }

    /// Torque between two discs: `mu·F·r` at the circle of the rods.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Case, quantity::{Force, Length}};
    /// let holds = Case::low().stack_torque(Force::from_kn(89.2), Length::from_mm(100.0));
    /// assert!((holds.nm() - 446.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn stack_torque(&self, clamp: Force, circle: Length) -> Torque {
        ring_torque(self.mu, clamp, circle / 2.0)
    }
}

/// Force across the split of a one-cut collar, between two bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneCut {
    /// What holds is reckoned with this: the bolts' own force, no lever counted.
    pub sure: Force,
    /// The ideal, never exceeded: the whole lever, nothing spent on bending the ring.
    pub ideal: Force,
}

/// Force across the split of a one-cut collar: at most `F·l_bolt/l_shaft` by the lever about the hinge opposite the cut, for sure
/// `F` alone.
///
/// The lever is an ideal that real rings stay under: it takes the hinge at the outer edge to turn freely, and a ring spends part
/// of its bolts on bending before it grips. How much is not published for rings of any shape, so the sure value counts no lever
/// at all (common practice, the cautious side). Friction on the faces of a half that turns about the hinge acts about the shaft's
/// middle, on the same lever, so [`Case::grip_left`] holds for one cut too.
///
/// # Errors
/// [`OutOfRange`] for a force or lever below 0, an outer diameter that is not above 0, and no number.
///
/// ```
/// use runtrue::{mechanics::interplay::one_cut_pinch, quantity::{Force, Length}};
/// // A published calculation of a clamp ring: 48.9 kN on a lever of 87 mm, the shaft on one of 31 mm: 137 235 N.
/// let across = one_cut_pinch(Force::from_kn(48.9), Length::from_mm(62.0), Length::from_mm(56.0))?;
/// assert!((across.ideal.n() - 137_235.0).abs() < 1.0 && across.sure.kn() == 48.9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn one_cut_pinch(bolts: Force, outer: Length, bolt_from_axis: Length) -> Result<OneCut, OutOfRange> {
    not_negative("force of the pinch bolts", bolts.n(), "N", "statics")?;
    let hinge = above_zero("outer diameter of the collar", outer.mm(), "mm", "geometry")? / 2.0;
    let lever = not_negative("distance of the bolts from the axis", bolt_from_axis.mm(), "mm", "geometry")?;
    Ok(OneCut { sure: bolts, ideal: bolts * ((hinge + lever) / hinge) })
}

/// How rods and collars meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Topology {
    /// The rods run through the collars and clamp them with the discs.
    ThroughCollars,
    /// The rods run from end plate to end plate; the collars stand outside and locate the stack.
    ThroughEndPlates,
}

/// A stack with its rods at full force and its pinch bolts, as they would be each alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// All rods together, full.
    pub rods: Force,
    /// Across the split of the sliding collar.
    pub pinch: Force,
    /// Diameter of the shaft.
    pub shaft: Length,
    /// Circle of the rods.
    pub circle: Length,
    /// How much the stack shortens from loose to full rods: the force of one rod times the resilience of its sleeve
    /// ([`super::joint::sleeve_resilience`]); at most also what its faces settle ([`super::joint::settling`]).
    pub shortening: Length,
}

/// What is left of grip and clamp when the sliding collar was closed at some share of the rods' force.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// Share of the collar's grip lost to friction on its faces; above 1 no grip at all is left.
    pub grip_lost: f64,
    /// Share of the rods' force that clamps the discs.
    pub clamp_kept: f64,
    /// Torque of the collar on the shaft.
    pub collar: Torque,
    /// Torque of the discs on each other.
    pub discs: Torque,
    /// Gap that opens between collar and stack: the stack is free to slide by so much, and the face carries nothing.
    pub gap: Length,
}

impl Outcome {
    /// The joint that slips first.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::Outcome, quantity::{Length, Torque}};
    /// let (collar, discs) = (Torque::from_nm(41.0), Torque::from_nm(446.0));
    /// let left = Outcome { grip_lost: 0.0, clamp_kept: 1.0, collar, discs, gap: Length::from_mm(0.0) };
    /// assert_eq!(left.weakest().nm(), 41.0);
    /// ```
    #[must_use]
    pub fn weakest(&self) -> Torque {
        if self.collar < self.discs { self.collar } else { self.discs }
    }
}

impl Stack {
    /// What is left when the sliding collar is made final with the rods at `share` of their force, and the rods go full
    /// afterwards.
    ///
    /// Through the collars: the faces keep `mu·F_half·faces` of the grip, and the gripped collar keeps at most its axial
    /// grip, and no more than the rods still gain, from the discs. Through end plates: neither, but the stack shortens away
    /// from the collar by what the rods still gain.
    ///
    /// # Errors
    /// [`OutOfRange`] unless the share lies from 0 to 1, and forces and lengths are above 0 and finite.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::{Case, Stack, Topology}, quantity::{Force, Length}};
    /// let (rods, pinch) = (Force::from_kn(89.2), Force::from_kn(16.3));
    /// let (shaft, circle) = (Length::from_mm(25.0), Length::from_mm(100.0));
    /// let stack = Stack { rods, pinch, shaft, circle, shortening: Length::from_mm(0.013) };
    /// let through = stack.outcome(Topology::ThroughCollars, 1.0, Case::low())?;
    /// assert!((through.grip_lost - 0.274).abs() < 5e-4 && through.clamp_kept == 1.0);
    /// let plates = stack.outcome(Topology::ThroughEndPlates, 0.3, Case::low())?;
    /// assert!(plates.grip_lost == 0.0 && (plates.gap.mm() - 0.7 * 0.013).abs() < 1e-12);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn outcome(&self, topology: Topology, share: f64, case: Case) -> Result<Outcome, OutOfRange> {
        self.between(topology, share, case, case)
    }

    /// The cautious outcome: [`Case::high`] where friction takes grip and clamp, [`Case::low`] where it carries. Faces that were dry
    /// while the collar closed may be oily when it has to hold.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Stack::outcome`].
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::{Stack, Topology}, quantity::{Force, Length}};
    /// let (rods, pinch) = (Force::from_kn(89.2), Force::from_kn(30.0));
    /// let (shaft, circle) = (Length::from_mm(25.0), Length::from_mm(100.0));
    /// let stack = Stack { rods, pinch, shaft, circle, shortening: Length::from_mm(0.013) };
    /// // By hand, rods at 30 %: 30 - 0.74·13.38·2 = 10.20 kN are left, and 0.10·10.20 kN·25 mm carry 25.5 N·m.
    /// let left = stack.worst(Topology::ThroughCollars, 0.3)?;
    /// assert!((left.collar.nm() - 25.5).abs() < 0.01);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn worst(&self, topology: Topology, share: f64) -> Result<Outcome, OutOfRange> {
        self.between(topology, share, Case::low(), Case::high())
    }

    /// What is left with one case where friction carries and another where it takes: both the same is [`Stack::outcome`], the least
    /// and the most is [`Stack::worst`].
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Stack::outcome`].
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::{Case, Stack, Topology}, quantity::{Force, Length}};
    /// let (rods, pinch) = (Force::from_kn(89.2), Force::from_kn(30.0));
    /// let (shaft, circle) = (Length::from_mm(25.0), Length::from_mm(100.0));
    /// let stack = Stack { rods, pinch, shaft, circle, shortening: Length::from_mm(0.013) };
    /// // Two faces at 0.20: 30 - 0.20·13.38·2 = 24.65 kN are left, and 0.10·24.65 kN·25 mm carry 61.6 N·m.
    /// let rolled = Case { mu: 0.20, ..Case::high() };
    /// let left = stack.between(Topology::ThroughCollars, 0.3, Case::low(), rolled)?;
    /// assert!((left.collar.nm() - 61.6).abs() < 0.05);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn between(&self, topology: Topology, share: f64, holds: Case, loses: Case) -> Result<Outcome, OutOfRange> {
        self.checked(share)?;
        let still = 1.0 - share;
        let (grip, grip_lost, clamp_kept, gap) = match topology {
            Topology::ThroughCollars => {
                let lost = loses.grip_lost(self.rods * share / 2.0) / self.pinch;
                let grip = loses.grip_left(self.pinch, self.rods * share);
                let kept = loses.clamp_kept(grip, self.rods).max(1.0 - still);
                (grip, lost, kept, Length::from_mm(0.0))
            }
            Topology::ThroughEndPlates => (self.pinch, 0.0, 1.0, self.shortening * still),
        };
        Ok(Outcome {
            grip_lost,
            clamp_kept,
            collar: holds.collar_torque(grip, self.shaft),
            discs: holds.stack_torque(self.rods * clamp_kept, self.circle),
            gap,
        })
    }

    fn checked(&self, share: f64) -> Result<(), OutOfRange> {
        if !(0.0..=1.0).contains(&share) {
            let value = format!("{:.0} %", share * 100.0);
            return Err(OutOfRange::new("share of the rods' force", value, "it lies from 0 to 100 %", "statics"));
        }
        above_zero("force of the rods", self.rods.n(), "N", "statics")?;
        above_zero("force of the pinch bolts", self.pinch.n(), "N", "statics")?;
        above_zero("diameter of the shaft", self.shaft.mm(), "mm", "geometry")?;
        above_zero("circle of the rods", self.circle.mm(), "mm", "geometry")?;
        not_negative("shortening of the stack", self.shortening.mm(), "mm", "VDI 2230-1").map(|_| ())
    }

    /// The share of the rods' force, of those offered, at which the sliding collar is best closed: the least gap, then the
    /// largest torque of the weaker joint in the cautious outcome ([`Stack::worst`]), then the least grip lost.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`Stack::outcome`], and without a share to choose from.
    ///
    /// ```
    /// use runtrue::{mechanics::interplay::{Stack, Topology}, quantity::{Force, Length}};
    /// let (rods, pinch) = (Force::from_kn(89.2), Force::from_kn(16.3));
    /// let (shaft, circle) = (Length::from_mm(25.0), Length::from_mm(100.0));
    /// let stack = Stack { rods, pinch, shaft, circle, shortening: Length::from_mm(0.013) };
    /// assert_eq!(stack.best(Topology::ThroughCollars, &[0.3, 0.6, 1.0])?, 0.3);
    /// assert_eq!(stack.best(Topology::ThroughEndPlates, &[0.3, 0.6, 1.0])?, 1.0);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn best(&self, topology: Topology, shares: &[f64]) -> Result<f64, OutOfRange> {
        let mut best: Option<(f64, [f64; 3])> = None;
        for share in shares {
            let left = self.worst(topology, *share)?;
            // Smaller is better, place by place.
            let rank = [left.gap.mm(), -left.weakest().nm(), left.grip_lost];
            if best.is_none_or(|(_, least)| rank < least) {
                best = Some((*share, rank));
            }
        }
        let none = || OutOfRange::new("shares to choose from", "none", "at least one", "statics");
        best.map(|(share, ..)| share).ok_or_else(none)
    }
}

#[cfg(test)]
#[path = "interplay_tests.rs"]
mod tests;
