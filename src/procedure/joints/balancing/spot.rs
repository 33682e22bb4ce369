//! Figures of a balance: where weights stand, what is permitted, what a washer and a trial weight are.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::balance::{permissible_unbalance, split_to_planes, trial_weight};
use crate::mechanics::rotor::weight;
use crate::module::{End, Module, Setup, nut_mass, spec_line, washer_mass};
use crate::procedure::figures::{self, Figures, NoFigure, Sources, at, balanced_at};
use crate::quantity::{Force, Length, Mass, Speed, Torque, Unbalance, rounded};
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
    /// The speed that is never passed.
    pub limit: Speed,
    /// Speed that the residual is held against: of the adopted setup, else the one that is never passed.
    pub judged: Speed,
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
    /// The couple that correcting in the first plane alone can leave, g·mm²: at worst, and likely.
    pub couple: (f64, f64),
    /// What pulleys may add to the unbalance of the discs.
    pub pulleys: Unbalance,
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
        let (judged, of) = balanced_at(module, setup, f);
        let permitted = at(grade_given, permissible_unbalance(grade, f.mass, judged))?;
        let thread = at(&stack.rods.bolts.thread, threads::thread(&stack.rods.bolts.thread))?;
        let (washer, radius) = (washer_mass(thread), *stack.discs.on / 2.0);
        let most = stack.balance_washers.0;
        let wanted = at(grade_given, trial_weight(f.mass, f.speed, radius, 0.1))?;
        // Whole washers below a tenth of the weight: one more would be over it.
        let count = ((wanted.kg() / washer.kg()).floor().max(1.0)).min(f64::from(most)) as u32;
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
        let planes: Vec<Length> = balance.iter().flat_map(|b| &b.planes).map(|end| place(end.value)).collect();
        let sources = Sources::of(module, setup)?;
        Ok(Self {
            radius_mm: radius.mm(),
            holes: *stack.rods.bolts.count,
            mass: f.mass,
            speed: f.speed,
            limit,
            judged,
            permitted,
            basis: format!(
                "ISO 21940-11, {} at the {} rpm {of}; {}",
                grade_given.written.trim(),
                rounded(judged.rpm(), 0),
                spec_line(grade_given.place)
            ),
            washer,
            retaining: own.rod.torque * RETAINS,
            trial: (count, force(weight)),
            pull: force(weight + nut_mass(thread).kg()),
            couple: planes.first().map_or((0.0, 0.0), |plane| sources.couple(*plane)),
            pulleys: sources.of_pulleys(setup.discs),
            planes,
            bearings,
            shares: shares.each,
        })
    }

    /// What the couple makes at each bearing, g·mm: at worst, and likely.
    #[must_use]
    pub fn couple_at_bearings(&self) -> (f64, f64) {
        let apart = (self.bearings[1] - self.bearings[0]).mm().abs();
        (self.couple.0 / apart, self.couple.1 / apart)
    }

    /// Whether one plane is enough. The largest couple over the distance of the bearings may be half of what is permitted
    /// (ISO 21940-11, 4.5.2, with the half of ISO 1940-1; both from memory).
    #[must_use]
    pub fn one_plane(&self) -> OnePlane {
        let (most, likely) = self.couple_at_bearings();
        let half = self.permitted.gmm() / 2.0;
        match (most <= half, likely <= half) {
            (true, _) => OnePlane::Enough,
            (false, true) => OnePlane::Likely,
            (false, false) => OnePlane::TwoWanted,
        }
    }

    /// What a balance in one plane leaves undone, in words.
    #[must_use]
    pub fn couple_words(&self) -> String {
        let (most, likely) = self.couple_at_bearings();
        let show = |gmm: f64| rounded(gmm, 0);
        format!(
            "What is judged here is the sum. A couple, heavy at one end on one side and at the other end on the other, is not seen in one plane: parts within their drawing leave likely {} g·mm at each bearing, {} at worst; half of the {} permitted is {}. {}",
            show(likely),
            show(most),
            show(self.permitted.gmm()),
            show(self.permitted.gmm() / 2.0),
            self.one_plane().words()
        )
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

/// Whether a rotor is balanced well enough in one plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnePlane {
    /// Even the worst couple passes.
    Enough,
    /// The likely couple passes, the worst does not.
    Likely,
    /// The likely couple does not pass.
    TwoWanted,
}

impl OnePlane {
    /// In a sentence.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Enough => "One plane is enough.",
            Self::Likely => {
                "One plane is likely enough; where the bearings still shake at speed, balance in two planes."
            }
            Self::TwoWanted => {
                "Two planes are wanted: where the bearings shake at speed, only a balance in two planes takes it away."
            }
        }
    }
}
