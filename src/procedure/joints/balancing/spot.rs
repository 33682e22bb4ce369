//! Figures of a balance: where weights stand, what is permitted, what a washer and a trial weight are.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::balance::{permissible_unbalance, split_to_planes, trial_weight};
use crate::mechanics::rotor::weight;
use crate::module::{End, Module, Setup, nut_mass, spec_line, washer_mass};
use crate::procedure::figures::{self, Figures, NoFigure, at};
use crate::quantity::{Force, Length, Mass, Speed, Torque, Unbalance};
use crate::standards::threads;

/// Share of the rods' torque for a retaining nut (common practice): it holds washers, the clamp is the other nut's.
const RETAINS: f64 = 0.3;

/// The figures.
#[derive(Debug, Clone)]
pub struct Spot {
    /// Radius at which washers stand, mm.
    pub radius_mm: f64,
    /// Holes for them.
    pub holes: u32,
    /// Rotor.
    pub mass: Mass,
    /// Speed of this setup.
    pub speed: Speed,
    /// Speed that the limit is reckoned at: the one that is never passed.
    pub limit: Speed,
    /// Permissible residual unbalance at that speed.
    pub permitted: Unbalance,
    /// Where that comes from.
    pub basis: String,
    /// One washer by its nominal sizes.
    pub washer: Mass,
    /// Torque of a retaining nut.
    pub retaining: Torque,
    /// Washers of the trial weight, and their force at this setup's speed; 0 where no washers go on.
    pub trial: (u32, Force),
    /// Force of the trial weight with the nut that retains it.
    pub pull: Force,
    /// Places of the ends named in the spec.
    pub planes: Vec<Length>,
    /// Bearings, the far one first.
    pub bearings: [Length; 2],
    /// Their share of what is permitted.
    pub shares: [Unbalance; 2],
}

impl Spot {
    /// Computes them.
    ///
    /// # Errors
    /// [`NoFigure`] for a grade outside its table, or sizes that no table holds.
    pub fn of(module: &Module, setup: &Setup, f: &Figures) -> Result<Self, NoFigure> {
        let none = || NoFigure { line: 0, why: "a plain shaft has no place for weights".into() };
        let (stack, own) = module.stack.as_ref().zip(f.stack.as_ref()).ok_or_else(none)?;
        let balance = module.balance.as_ref();
        let grade_given = &module.limits.balance_grade;
        let grade = grade_given.to_f64().unwrap_or(f64::NAN);
        let limit = *module.limits.speed;
        let permitted = at(grade_given, permissible_unbalance(grade, f.mass, limit))?;
        let thread = at(&stack.rods.bolts.thread, threads::thread(&stack.rods.bolts.thread))?;
        let (washer, radius) = (washer_mass(thread), *stack.discs.on / 2.0);
        let most = stack.balance_washers.0;
        let wanted = at(grade_given, trial_weight(f.mass, f.speed, radius, 0.1))?;
        let count = ((wanted.kg() / washer.kg()).round().max(1.0)).min(f64::from(most)) as u32;
        let weight = washer.kg() * f64::from(count);
        let force = |kg: f64| Force::from_n(kg * f.speed.rad_s().powi(2) * radius.m());
        let (from, to) = figures::stack_ends(module, stack, own.nominal());
        let place = |end: End| if end == End::Far { from } else { to };
        let mut bearings = [0, 1].map(|k: usize| {
            module.bearings.each.get(k).map_or(Length::from_mm(f64::NAN), |b| figures::place(module, &b.value))
        });
        bearings.sort_by(|a, b| a.mm().total_cmp(&b.mm()));
        let parts = figures::masses(module, setup)?;
        let moment: f64 = parts.iter().map(|p| p.mass.kg() * p.at.mm()).sum();
        let centre = Length::from_mm(moment / f.mass.kg());
        let shares = at(grade_given, split_to_planes(permitted, centre, bearings))?;
        Ok(Self {
            radius_mm: radius.mm(),
            holes: *stack.rods.bolts.count,
            mass: f.mass,
            speed: f.speed,
            limit,
            permitted,
            basis: format!(
                "ISO 21940-11, {} at the {} rpm that are never passed; {}",
                grade_given.written.trim(),
                limit.rpm(),
                spec_line(grade_given.place)
            ),
            washer,
            retaining: own.rod.torque * RETAINS,
            trial: (count, force(weight)),
            pull: force(weight + nut_mass(thread).kg()),
            planes: balance.iter().flat_map(|b| &b.planes).map(|end| place(end.value)).collect(),
            bearings,
            shares: shares.each,
        })
    }

    /// Force of the trial weight over the rotor's weight, per cent.
    #[must_use]
    pub fn trial_share(&self) -> f64 {
        self.trial.1.n() / weight(self.mass).n() * 100.0
    }

    /// Angle of a hole, from 0.
    #[must_use]
    pub fn angle(&self, hole: u32) -> f64 {
        360.0 / f64::from(self.holes) * f64::from(hole)
    }

    /// Angles of all holes, set apart by spaces.
    #[must_use]
    pub fn angles(&self) -> String {
        (0..self.holes).map(|k| format!("{}", self.angle(k))).collect::<Vec<_>>().join(" ")
    }
}
