//! The joints that pass the torque on, and what each holds against slip.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::interplay::{Case, one_cut_pinch};
use crate::mechanics::set_screw;
use crate::module::{Module, Split};
use crate::quantity::{Force, Length, Torque};

use super::{NoFigure, Tight, at, datum, sliding};

/// A joint on the torque path and what it holds against slip.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Which joint, in words.
    pub name: String,
    /// Torque it carries at low friction and least preload.
    pub holds: Torque,
}

/// Which friction is reckoned with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Friction {
    /// Each for the worse: high where friction takes grip, low where it carries.
    Worse,
    /// Low everywhere.
    Low,
    /// High everywhere.
    High,
}

impl Friction {
    /// The case in which a joint carries, and the case in which it loses.
    fn cases(self) -> (Case, Case) {
        match self {
            Self::Worse => (Case::low(), Case::high()),
            Self::Low => (Case::low(), Case::low()),
            Self::High => (Case::high(), Case::high()),
        }
    }
}

/// Joints on the torque path when the sliding collar's pinch is made final with the rods at `share` of their torque.
///
/// Each collar is asked to carry the whole torque alone, since nothing guarantees that two share it.
///
/// # Errors
/// [`NoFigure`] for set screws without a known holding force.
pub fn joints(
    module: &Module,
    rod: &Tight,
    pinch: &Tight,
    share: f64,
    friction: Friction,
) -> Result<Vec<Joint>, NoFigure> {
    let (low, high) = friction.cases();
    let rods = f64::from(*module.rods.bolts.count);
    let shaft = module.shaft.diameter.length();
    let grip = |one: Force| across_split(module, one);
    // Most is lost with strong rods and high friction, least is held with weak pinch bolts and low friction.
    let left = high.grip_left(grip(pinch.least), rod.preload * (rods * share));
    let kept = if share < 1.0 { high.clamp_kept(grip(pinch.preload), rod.preload * rods) } else { 1.0 };
    let mut joints = vec![
        Joint {
            name: format!("sliding collar {} on the shaft", sliding(module)),
            holds: low.collar_torque(left, shaft),
        },
        Joint {
            name: format!("collar {} on the shaft", datum(module)),
            holds: low.collar_torque(grip(pinch.least), shaft),
        },
        Joint {
            name: "discs on each other".into(),
            holds: low.stack_torque(rod.least * (rods * kept), *module.discs.on),
        },
    ];
    let (screws, hv) = (&module.pulley.set_screws, module.shaft.hardness.to_f64().unwrap_or(f64::NAN));
    joints.push(Joint {
        name: "pulley hub on the shaft".into(),
        holds: at(&screws.thread, set_screw::hub_torque(&screws.thread, *screws.count, shaft, hv))?,
    });
    Ok(joints)
}

/// Force across the split that closes on the shaft.
fn across_split(module: &Module, one_bolt: Force) -> Force {
    let all = one_bolt * f64::from(*module.collars.pinch.count);
    match *module.collars.kind {
        Split::TwoHalves => all,
        Split::OneCut => one_cut_pinch(all, *module.collars.outer, bolt_from_axis(module)),
    }
}

/// Pinch bolts stand half way between bore and rim (common practice; the spec does not place them).
#[must_use]
pub fn bolt_from_axis(module: &Module) -> Length {
    (*module.collars.outer + module.collars.bore.length()) / 4.0
}
