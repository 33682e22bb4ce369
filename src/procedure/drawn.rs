//! What carries and turns the machine, as the pictures need it: base, frame, guard, and each belt drive with its sled. All of
//! it in millimetres, recorded with the plan. Where the spec states no size none is recorded, and the picture says so.

use serde::{Deserialize, Serialize};

/// Base, frame and guard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnStand {
    /// Part id of the base.
    pub base: String,
    /// Feet of the base.
    pub feet: u32,
    /// Part id of the frame.
    pub frame: String,
    /// Fastener group that holds the base on the frame.
    pub hold_downs: String,
    /// Middle of each bearing's housing, from the far end of the shaft.
    pub housings_mm: Vec<f64>,
    /// Foot of a housing: along the shaft, across it, and between its bolts (housing table).
    pub foot_mm: (f64, f64, f64),
    /// Bolt hole of the housing.
    pub hole_mm: f64,
    /// Height of the axis above the base (housing table).
    pub height_mm: f64,
    /// Part id of the guard.
    pub guard: String,
    /// Least gap between guard and rotor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_mm: Option<f64>,
}

impl DrawnStand {
    /// How far the base reaches at least, from the far end of the shaft: under both housings.
    #[must_use]
    pub fn reach_mm(&self) -> (f64, f64) {
        let half = self.foot_mm.0;
        let least = self.housings_mm.iter().copied().fold(f64::INFINITY, f64::min);
        let most = self.housings_mm.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        (least - half, most + half)
    }
}

/// A belt drive with the sled that tensions it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnDrive {
    /// Part id of the pulley on the shaft.
    pub pulley: String,
    /// Part id of the belt.
    pub belt: String,
    /// Part id of the carrier of the other pulley.
    pub other: String,
    /// Part id of the sled.
    pub sled: String,
    /// Fastener group that locks the sled.
    pub lock: String,
    /// What stands in the state of the machine once the belt lies in its grooves.
    pub laid: String,
    /// Profile and ribs of the belt: "PJ, 6 ribs".
    pub profile: String,
    /// Effective length of the belt.
    pub belt_mm: f64,
    /// Effective diameter on the shaft, in this setup.
    pub driven_mm: f64,
    /// Effective diameter of the other pulley.
    pub other_mm: f64,
    /// Centre distance with the sled at its inner end.
    pub inner_mm: f64,
    /// Travel of the sled.
    pub travel_mm: f64,
    /// Centre distance that the belt asks for, in this setup.
    pub centre_mm: f64,
    /// Free span there.
    pub span_mm: f64,
    /// Deflection at mid span for the tension reading.
    pub deflection_mm: f64,
    /// Force at that deflection when new.
    pub force_n: f64,
}
