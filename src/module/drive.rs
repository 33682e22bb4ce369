//! Belt drives of a module: pulley, belt, sled.

use std::collections::BTreeMap;

use crate::quantity::{Band, Force, Length, Speed};

use super::fasteners::{Bolts, SetScrews};
use super::model::Given;

/// A pulley on the shaft, its belt, and the sled that tensions it.
#[derive(Debug, Clone, PartialEq)]
pub struct Drive {
    /// Pulley.
    pub pulley: Pulley,
    /// Belt.
    pub belt: Belt,
    /// Tensioner.
    pub sled: Sled,
}

/// Pulley on the rotor's shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct Pulley {
    /// Part id.
    pub part: String,
    /// Profile.
    pub profile: Given<String>,
    /// Ribs.
    pub ribs: Given<u32>,
    /// Effective diameter of each step.
    pub steps: BTreeMap<String, Given<Length>>,
    /// Length of the hub.
    pub hub_length: Given<Length>,
    /// Bore with its tolerance class.
    pub bore: Given<Band>,
    /// Largest run-out.
    pub run_out: Given<Band>,
    /// Length of a parallel key with round ends (DIN 6885-1) under the hub; its section goes with the shaft.
    pub key: Option<Given<Length>>,
    /// Set screws.
    pub set_screws: SetScrews,
}

/// The belt and its driver.
#[derive(Debug, Clone, PartialEq)]
pub struct Belt {
    /// Part id.
    pub part: String,
    /// Profile.
    pub profile: Given<String>,
    /// Ribs.
    pub ribs: Given<u32>,
    /// Effective length.
    pub length: Given<Length>,
    /// Part id of the other pulley's carrier: the driver, or what the shaft drives.
    pub other: String,
    /// Effective diameter of the other pulley.
    pub other_effective: Given<Length>,
    /// Speed of the driver; none where the shaft drives.
    pub driver_speed: Option<Given<Speed>>,
    /// Static tension of one rib, new.
    pub new: Given<Force>,
    /// Static tension of one rib, run in.
    pub used: Given<Force>,
    /// Who says so.
    pub from: String,
}

/// Slotted sled that carries the driver.
#[derive(Debug, Clone, PartialEq)]
pub struct Sled {
    /// Part id.
    pub part: String,
    /// Travel.
    pub travel: Given<Length>,
    /// Centre distance with the sled at its inner end.
    pub inner: Given<Length>,
    /// Thread of the adjuster.
    pub adjuster: Given<String>,
    /// Bolts that lock it.
    pub lock_bolts: Bolts,
}
