//! The joints that pass the torque on, and what each holds against slip.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::interplay::{Case, one_cut_pinch};
use crate::mechanics::key::Keyed;
use crate::mechanics::set_screw;
use crate::module::{Module, Pulley, Split, Stack};
use crate::quantity::{Force, Length, Torque};
use crate::standards::{bench, set_screws};

use super::{NoFigure, StackFigures, at, datum, sliding};

/// Which of the two collars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Collar {
    /// The one that follows the discs as they are drawn together.
    Sliding,
    /// The one that is located on the shaft.
    Datum,
}

/// What holds a joint on the torque path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldBy {
    /// Pinch bolts of a collar.
    Pinch(Collar),
    /// Rods through the discs.
    Rods,
    /// Pins between end plate and collar.
    Pins,
    /// Set screws in the hub of a drive's pulley, by the drive's number.
    Screws(usize),
}

/// A joint on the torque path and what it holds against slip.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Which joint, in words.
    pub name: String,
    /// What holds it.
    pub by: HeldBy,
    /// Torque it carries at low friction and least preload.
    pub holds: Torque,
}

/// Which friction is reckoned with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Friction {
    /// Each for the worse: that of clean dry faces where friction takes grip, the least where it carries.
    Worse,
    /// The least everywhere.
    Low,
    /// That of clean dry faces everywhere.
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

/// Joints of the stack when the sliding collar's pinch is made final with the rods at `share` of their torque.
///
/// Each collar is asked to carry the whole torque alone, since nothing guarantees that two share it. Collars outside end
/// plates are free of rod force and keep their whole grip, whenever they are closed. What holds counts no lever of a one-cut collar,
/// what it may take from the stack the whole of it.
#[must_use]
pub fn stack_joints(module: &Module, stack: &Stack, own: &StackFigures, share: f64, friction: Friction) -> Vec<Joint> {
    let (rod, pinch) = (&own.rod, &own.pinch);
    let (low, high) = friction.cases();
    let rods = f64::from(*stack.rods.bolts.count);
    let shaft = module.shaft.diameter.length();
    let grip = |one: Force| one * f64::from(*stack.collars.pinch.count);
    let outside = stack.plates.is_some();
    // Most is lost with strong rods and high friction, least is held with weak pinch bolts and low friction.
    let through = if outside { Force::from_n(0.0) } else { rod.preload * (rods * share) };
    let left = high.grip_left(grip(pinch.least), through);
    let gripped = share < 1.0 && !outside;
    // A gripped collar takes a force off the stack, not a share: at most its axial grip, at most what the last
    // passes add where the rods are at their least.
    let taken = if gripped {
        high.axial_grip(grip(pinch.preload) * own.lever).n().min(rod.least.n() * rods * (1.0 - share))
    } else {
        0.0
    };
    let clamp = Force::from_n((rod.least.n() * rods - taken).max(0.0));
    vec![
        Joint {
            name: format!("sliding collar {} on the shaft", sliding(module)),
            by: HeldBy::Pinch(Collar::Sliding),
            holds: low.collar_torque(left, shaft),
        },
        Joint {
            name: format!("collar {} on the shaft", datum(module)),
            by: HeldBy::Pinch(Collar::Datum),
            holds: low.collar_torque(grip(pinch.least), shaft),
        },
        Joint { name: "discs on each other".into(), by: HeldBy::Rods, holds: low.stack_torque(clamp, *stack.discs.on) },
    ]
}

/// What each hub on the shaft holds: by its key where it has one, else by its set screws.
///
/// # Errors
/// [`NoFigure`] for set screws without a known holding force, or a key the standard does not stock.
pub fn hub_joints(module: &Module) -> Result<Vec<Joint>, NoFigure> {
    let hv = module.shaft.hardness.to_f64().unwrap_or(f64::NAN);
    let shaft = module.shaft.diameter.length();
    let hub = |(k, pulley): (usize, &Pulley)| {
        let screws = &pulley.set_screws;
        let holds = match &pulley.key {
            Some(key) => at(key, key_torque(module, pulley, key.value))?,
            None => {
                at(&screws.thread, set_screw::hub_hold(&screws.thread, *screws.count, hv, *screws.torque))?
                    .torque(shaft)
                    .0
            }
        };
        Ok(Joint { name: format!("{} hub on the shaft", pulley.part), by: HeldBy::Screws(k), holds })
    };
    module.drives.iter().map(|d| &d.pulley).enumerate().map(hub).collect()
}

/// Share of their torque that the set screws of a hub need for the safety that their source asks for under the module's kind of load:
/// what they hold goes with the torque, up to that of their chart. None where a key takes the torque.
///
/// # Errors
/// [`NoFigure`] for set screws without a known holding force.
pub fn screws_needed(module: &Module, pulley: &Pulley) -> Result<Option<f64>, NoFigure> {
    if pulley.key.is_some() {
        return Ok(None);
    }
    let screws = &pulley.set_screws;
    let hv = module.shaft.hardness.to_f64().unwrap_or(f64::NAN);
    let hold = at(&screws.thread, set_screw::hub_hold(&screws.thread, *screws.count, hv, *screws.torque))?;
    let allowed = at(&screws.thread, hold.allowed(module.limits.load()))? * (module.shaft.diameter.length() / 2.0);
    let (chart, _) = at(&screws.thread, set_screws::set_screw_torque(&screws.thread, false))?;
    Ok(Some(*module.limits.torque / allowed * (chart / *screws.torque).min(1.0)))
}

/// Torque that a parallel key of that length carries on the shaft, over no more than its hub. Key and hub are taken as the weaker of the
/// shaft's steel and S235, since the spec does not state theirs (common practice).
///
/// # Errors
/// In words, for a shaft or length the standard does not have.
fn key_torque(module: &Module, pulley: &Pulley, length: Length) -> Result<Torque, Box<dyn std::error::Error>> {
    let shaft = module.shaft.diameter.length();
    let yields = |steel: &str| bench::steel(steel)?.yield_strength(shaft);
    let (own, plain) = (yields(&module.shaft.steel)?, yields("S235")?);
    let keyed = Keyed::standard(shaft, length, true, 1)?.within(*pulley.hub_length);
    Ok(keyed.capacity(if own < plain { own } else { plain })?)
}

/// What the lever of a one-cut collar would make of its bolts' force at best.
pub(super) fn lever(stack: &Stack) -> Result<f64, NoFigure> {
    let one = Force::from_n(1.0);
    match *stack.collars.kind {
        Split::TwoHalves => Ok(1.0),
        Split::OneCut => {
            let pinch = at(&stack.collars.outer, one_cut_pinch(one, *stack.collars.outer, bolt_from_axis(stack)))?;
            Ok(pinch.ideal / pinch.sure)
        }
    }
}

/// Pinch bolts stand half way between bore and rim (common practice; the spec does not place them).
#[must_use]
pub fn bolt_from_axis(stack: &Stack) -> Length {
    (*stack.collars.outer + stack.collars.bore.length()) / 4.0
}
