//! Pulley, belt and sled as they are written.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use super::{As, Bolts, SetScrews};
use crate::module::kinds;

/// A second belt on the same shaft.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Drive {
    /// Its pulley on the shaft.
    pub pulley: Pulley,
    /// Its belt, with `driven` in place of `driver`.
    pub belt: Belt,
    /// Its tensioner.
    pub sled: Sled,
}

/// Pulley on the shaft, between the bearings or outside them.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pulley {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Profile of the ribs, ISO 9982.
    pub profile: As<kinds::Profile>,
    /// Grooves, at least as many as the belt has ribs.
    pub ribs: As<kinds::Count>,
    /// Effective diameter of each step, by name.
    pub steps: BTreeMap<String, As<kinds::Length>>,
    /// Length of the hub.
    #[serde(rename = "hub length")]
    pub hub_length: As<kinds::Length>,
    /// Bore with its tolerance class.
    pub bore: As<kinds::Fit>,
    /// Largest run-out.
    #[serde(rename = "run-out")]
    pub run_out: As<kinds::Toleranced>,
    /// Length of a parallel key with round ends, DIN 6885-1; without one the set screws carry the torque.
    pub key: Option<As<kinds::Length>>,
    /// Set screws of the hub.
    #[serde(rename = "set screws")]
    pub set_screws: SetScrews,
}

/// A ribbed belt. The first has a driver, the second something driven.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Belt {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Profile of the ribs, ISO 9982.
    pub profile: As<kinds::Profile>,
    /// Ribs.
    pub ribs: As<kinds::Count>,
    /// Effective length.
    pub length: As<kinds::Length>,
    /// It cannot be opened.
    pub kind: As<kinds::BeltKind>,
    /// What drives the shaft.
    pub driver: Option<Driver>,
    /// What the shaft drives.
    pub driven: Option<Driven>,
    /// Static tension, by the belt's maker.
    pub tension: Tension,
}

/// The pulley that drives.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Driver {
    /// Id of what carries it.
    pub part: As<kinds::Id>,
    /// Effective diameter.
    pub effective: As<kinds::Length>,
    /// Its speed.
    pub speed: As<kinds::Speed>,
}

/// The pulley of the machine that the shaft drives.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Driven {
    /// Id of what carries it.
    pub part: As<kinds::Id>,
    /// Effective diameter.
    pub effective: As<kinds::Length>,
}

/// Static tension of the belt.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tension {
    /// Of one rib, new.
    pub new: As<kinds::ForcePerRib>,
    /// Of one rib, run in.
    pub used: As<kinds::ForcePerRib>,
    /// Who says so.
    pub from: As<kinds::Words>,
}

/// Slotted tensioner.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sled {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Travel of the slots.
    pub travel: As<kinds::Length>,
    /// Centre distance of the pulleys with the sled at its inner end.
    #[serde(rename = "centre at inner end")]
    pub centre_at_inner_end: As<kinds::Length>,
    /// Thread of the adjuster.
    pub adjuster: As<kinds::Thread>,
    /// Bolts that lock the sled.
    #[serde(rename = "lock bolts")]
    pub lock_bolts: Bolts,
}
