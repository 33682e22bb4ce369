//! The figures of one setup: what the mechanics says about it, computed once and used by design check and planner.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::belt::{Drive, pitch_ratio};
use crate::mechanics::rotor as mechanics;
use crate::mechanics::{OutOfRange, balance, belt_tension, fastener};
use crate::module::{Bolts, Given, Module, Setup};
use crate::quantity::{Energy, Force, Inertia, Length, Mass, Speed, Time, Torque, Unbalance};
use crate::standards::threads::{self, Class, Thread};
use crate::standards::{NotInTable, bench, iso286, ribs};

mod heavy_side;
mod rotor;
mod run_down;
mod slip;
mod stack;
mod unbalance;

pub use heavy_side::{HeavyFigures, RADIAL_RUN_OUT};
pub use rotor::{critical_speeds, first_critical, masses, place, swinging};
pub use run_down::{RunDown, run_down};
pub use slip::{Collar, Friction, HeldBy, Joint, bolt_from_axis, hub_joints, screws_needed, stack_joints};
pub use stack::{
    StackFigures, balance_surplus, balance_washers, disc, links, nuts, rods_over, stack_ends, stack_limits,
};
pub use unbalance::{Source, Sources, balanced_at};

/// Why a figure cannot be computed, with the line of the spec that asks for it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line} of the spec: {why}")]
pub struct NoFigure {
    /// Line.
    pub line: u32,
    /// Why.
    pub why: String,
}

pub(super) fn at<T, U>(given: &Given<U>, result: Result<T, impl std::fmt::Display>) -> Result<T, NoFigure> {
    result.map_err(|why| NoFigure { line: given.place.line, why: why.to_string() })
}

/// A bolt of a group, tightened by the rule of the spec.
#[derive(Debug, Clone, Copy)]
pub struct Tight {
    /// Its thread.
    pub thread: &'static Thread,
    /// Its class.
    pub class: Class,
    /// Full torque of the wrench: the one that makes [`Tight::preload`] at the lowest friction of the spec's range, so that no bolt is
    /// ever stretched further.
    pub torque: Torque,
    /// Largest preload of one bolt.
    pub preload: Force,
    /// Least preload of one bolt: by the scatter of a click wrench, or at the highest friction of the range.
    pub least: Force,
}

/// Torque and preload of a bolt: share of proof at the lowest friction; at least what the scatter of a click wrench or the highest
/// friction leaves ([`fastener::least_preload_over`]).
///
/// # Errors
/// [`NoFigure`] for a thread, class or friction that no table holds.
pub fn tight(bolts: &Bolts) -> Result<Tight, NoFigure> {
    let thread = at(&bolts.thread, threads::thread(&bolts.thread))?;
    let class = at(&bolts.class, threads::class(&bolts.class, Length::from_mm(thread.d)))?;
    let preload = at(&bolts.share, fastener::preload_by_proof(thread, &class, *bolts.share))?;
    let mu = bolts.friction.value.lower.and_then(|d| d.to_f64()).unwrap_or(f64::NAN);
    let torque = at(&bolts.friction, fastener::torque(thread, preload, mu, mu))?;
    let (scatter, _) = at(&bolts.share, bench::scatter("click wrench"))?;
    let (tool, _) = at(&bolts.friction, bench::torque_tool(torque))?;
    let most = bolts.friction.value.upper.and_then(|d| d.to_f64()).unwrap_or(mu);
    let least = fastener::least_preload_over(thread, preload, torque, most, scatter, tool);
    Ok(Tight { thread, class, torque, preload, least: at(&bolts.friction, least)? })
}

/// What is computed for one belt drive.
#[derive(Debug, Clone)]
pub struct DriveFigures {
    /// Pulleys, centre, span.
    pub drive: Drive,
    /// Effective diameter of the pulley on the shaft.
    pub step: Length,
    /// Static strand tension, new, whole belt.
    pub strand_new: Force,
    /// Static strand tension, run in.
    pub strand_used: Force,
    /// Turns of the rotor for one of the other pulley, by pitch diameters: least and largest over the line differences that makers
    /// print.
    pub ratios: (f64, f64),
}

impl DriveFigures {
    /// Computes the figures of the `k`-th drive.
    ///
    /// # Errors
    /// [`NoFigure`] for a belt too short for its pulleys.
    pub fn of(module: &Module, setup: &Setup, k: usize) -> Result<Self, NoFigure> {
        let Some(drive) = module.drives.get(k) else {
            return Err(NoFigure { line: 0, why: "the module has no such drive".into() });
        };
        let belt = &drive.belt;
        let step = step_diameter(module, setup, k);
        let count = f64::from(*belt.ribs);
        let hb = at(&belt.profile, ribs::line_difference(&belt.profile))?;
        let ratio = |hb: f64| pitch_ratio(*belt.other_effective, step, Length::from_mm(hb));
        let (a, b) = (ratio(hb.low), ratio(hb.high));
        Ok(Self {
            drive: at(&belt.length, Drive::from_length(step, *belt.other_effective, *belt.length))?,
            step,
            strand_new: *belt.new * count,
            strand_used: *belt.used * count,
            ratios: (a.min(b), a.max(b)),
        })
    }

    /// Force at mid span, deflected by a 64th of the span: new and run in.
    #[must_use]
    pub fn forces(&self) -> (Force, Force) {
        (belt_tension::deflection_force(self.strand_new), belt_tension::deflection_force(self.strand_used))
    }

    /// Torque at the pulley on the shaft at which the run-in belt slips.
    #[must_use]
    pub fn slips_at(&self) -> Torque {
        self.drive.slip_torque(self.strand_used, self.step)
    }
}

/// Everything computed for one setup.
#[derive(Debug, Clone)]
pub struct Figures {
    /// The stack, if there is one.
    pub stack: Option<StackFigures>,
    /// The belt drives; the first one turns the shaft.
    pub drives: Vec<DriveFigures>,
    /// Joints that pass the torque on.
    pub joints: Vec<Joint>,
    /// Rotor speed.
    pub speed: Speed,
    /// Mass of the rotor.
    pub mass: Mass,
    /// Its inertia.
    pub inertia: Inertia,
    /// Its energy at speed.
    pub energy: Energy,
    /// Life of the worse bearing.
    pub life: Result<Time, OutOfRange>,
    /// Permissible residual unbalance.
    pub unbalance: Unbalance,
}

impl Figures {
    /// Computes the figures of a setup.
    ///
    /// # Errors
    /// [`NoFigure`] where a table or formula has no value for what the spec says.
    pub fn of(module: &Module, setup: &Setup) -> Result<Self, NoFigure> {
        let drives: Vec<DriveFigures> =
            (0..module.drives.len()).map(|k| DriveFigures::of(module, setup, k)).collect::<Result<_, _>>()?;
        let driver = module.drives.first().and_then(|d| d.belt.driver_speed.as_ref());
        // The fastest that the makers' line differences allow: speed limits, energy and stress rest on it.
        let ratio = drives.first().map_or(f64::NAN, |d| d.ratios.1);
        let speed = driver.map_or(Speed::from_rpm(f64::NAN), |s| s.value * ratio);
        let stack = module.stack.as_ref().map(|s| StackFigures::of(module, s, setup)).transpose()?;
        let parts = rotor::masses(module, setup)?;
        let mass: Mass = parts.iter().map(|p| p.mass).sum();
        let inertia: Inertia = parts.iter().map(|p| p.inertia).sum();
        let grade = module.limits.balance_grade.to_f64().unwrap_or(f64::NAN);
        let pulls: Vec<Force> = drives.iter().map(|d| d.drive.shaft_pull(d.strand_new)).collect();
        let mut joints = stack.as_ref().map_or_else(Vec::new, |s| s.joints.clone());
        joints.extend(hub_joints(module)?);
        Ok(Self {
            joints,
            life: rotor::life(module, &parts, &pulls, speed)?,
            stack,
            drives,
            speed,
            mass,
            inertia,
            energy: mechanics::energy(inertia, speed),
            unbalance: at(&module.limits.balance_grade, balance::permissible_unbalance(grade, mass, speed))?,
        })
    }

    /// The weakest joint on the torque path and its safety against the torque of the spec.
    #[must_use]
    pub fn slip(&self, module: &Module) -> (f64, &str) {
        let weakest = self.joints.iter().min_by(|a, b| a.holds.nm().total_cmp(&b.holds.nm()));
        weakest.map_or((f64::NAN, ""), |j| (j.holds / *module.limits.torque, j.name.as_str()))
    }
}

/// Id of the located collar.
#[must_use]
pub fn datum(module: &Module) -> &str {
    module.datum_collar().map_or("", |c| c.part.value.as_str())
}

/// Id of the collar that follows the discs.
#[must_use]
pub fn sliding(module: &Module) -> &str {
    let datum = datum(module);
    let collars = module.stack.iter().flat_map(|s| &s.collars.each);
    collars.map(|c| c.value.as_str()).find(|c| *c != datum).unwrap_or("")
}

/// Effective diameter of the chosen step of a drive's pulley.
#[must_use]
pub fn step_diameter(module: &Module, setup: &Setup, drive: usize) -> Length {
    let steps = module.drives.get(drive).map(|d| &d.pulley.steps);
    let step = steps.and_then(|s| s.get(setup.step_of(module, drive)));
    step.map_or(Length::from_mm(f64::NAN), |d| d.value)
}

/// Limits of a toleranced diameter, mm, with its basis; plain limits where no class is given.
///
/// # Errors
/// [`NoFigure`] for a class outside ISO 286.
pub fn limits(given: &Given<crate::quantity::Band>) -> Result<(Option<Decimal>, Option<Decimal>, String), NoFigure> {
    match (&given.value.class, given.value.nominal) {
        (Some(class), Some(nominal)) => {
            let found: Result<_, NotInTable> = iso286::class(class, nominal);
            let (lower, upper) = at(given, found)?.limits_mm(nominal);
            Ok((Some(lower), Some(upper), format!("ISO 286-2 {class}; {}", crate::module::spec_line(given.place))))
        }
        _ => Ok((given.value.lower, given.value.upper, crate::module::spec_line(given.place))),
    }
}
