//! Balancing as it is written: the heavy side of each disc, and the assembled rotor.

use schemars::JsonSchema;
use serde::Deserialize;

use super::As;
use crate::module::kinds;

/// How the heavy side of each disc is found at receipt.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HeavySide {
    /// What the mandrel rolls on.
    pub on: As<kinds::RollsOn>,
    /// Mandrel through the finished bore, with its tolerance class.
    pub mandrel: As<kinds::Fit>,
    /// Mass of the mandrel.
    #[serde(rename = "mandrel mass")]
    pub mandrel_mass: As<kinds::Mass>,
    /// Arm of rolling resistance: mass times arm is what drag hides.
    pub arm: As<kinds::Length>,
    /// Radius at which the test mass is put.
    pub radius: As<kinds::Length>,
}

/// How the assembled rotor is balanced.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Balance {
    /// How the unbalance is found.
    pub method: As<kinds::BalanceMethod>,
    /// What the rotor lies on; for the static method only.
    pub on: Option<As<kinds::RestsOn>>,
    /// Arm of rolling resistance of edges or rollers.
    #[serde(rename = "rolling arm")]
    pub arm: Option<As<kinds::Length>>,
    /// Unit of the instrument's readings, for methods at speed.
    pub reads: Option<As<kinds::ReadsIn>>,
    /// Smallest reading that the instrument tells from nothing.
    pub floor: Option<As<kinds::Reading>>,
    /// Whether the phase counts with the sense of the spec's angles.
    pub phase: Option<As<kinds::PhaseSense>>,
    /// Whether the first trial weight of two planes stays on in the second trial run.
    #[serde(rename = "first trial weight")]
    pub first: Option<As<kinds::FirstTrial>>,
    /// Ends of the stack that weights go to, one for each plane.
    pub planes: Option<Vec<As<kinds::StackEnd>>>,
    /// What takes the unbalance away, in this order.
    #[serde(rename = "correct by")]
    pub correct_by: Vec<As<kinds::CorrectBy>>,
    /// Whole washers under a retaining nut.
    pub washers: Option<BalanceWashers>,
    /// Holes drilled into the end disc.
    pub drilling: Option<Drilling>,
}

/// Whole washers on the rods, outside the tightened nuts.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BalanceWashers {
    /// Thread they are for; the rods'.
    pub size: As<kinds::Thread>,
    /// Most on one rod end, 1 to 12.
    pub most: As<kinds::Count>,
}

/// Holes drilled into the end disc.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drilling {
    /// Diameter of the drill.
    pub diameter: As<kinds::Length>,
    /// Diameter of the circle the holes stand on.
    pub on: As<kinds::Length>,
    /// Deepest hole, to the full diameter.
    pub deepest: As<kinds::Length>,
    /// Angle of the drill's point.
    pub point: As<kinds::Angle>,
}
