//! What the pictures need of the machine: what stands along the shaft, bolt circles, belts, and what carries and turns it:
//! base, frame, guard, and each belt drive with its sled. All of it in millimetres, recorded with the plan. Where the spec
//! states no size none is recorded, and the picture says so.

use serde::{Deserialize, Serialize};

/// Dimensions for the pictures, all in millimetres.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Drawing {
    /// Length of the shaft; zero where there is none.
    pub shaft_length_mm: f64,
    /// Diameter of the shaft.
    pub shaft_diameter_mm: f64,
    /// Parts along the shaft, from the far end.
    pub parts: Vec<DrawnPart>,
    /// Bolt circles, one for each group that has one.
    pub circles: Vec<DrawnCircle>,
    /// The belt drive.
    pub belt: Option<DrawnBelt>,
    /// Base, frame and guard; none in older records.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stand: Option<DrawnStand>,
    /// Belt drives with their sleds; none in older records.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub drives: Vec<DrawnDrive>,
}

/// One part in the section along the shaft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnPart {
    /// Part id.
    pub id: String,
    /// Short label.
    pub label: String,
    /// How it is drawn.
    pub shape: Shape,
    /// Face nearer the far end, measured from the far end.
    pub from_mm: f64,
    /// Face nearer the drive end.
    pub to_mm: f64,
    /// Outer diameter; for rods, the circle they stand on.
    pub outer_mm: f64,
    /// Bore diameter; for rods, the thread.
    pub bore_mm: f64,
    /// Group that holds the part, for its stage in the picture.
    pub group: Option<String>,
}

/// How a part is drawn in the section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// Mounted bearing.
    Bearing,
    /// Shaft collar.
    Collar,
    /// Disc.
    Disc,
    /// Pulley.
    Pulley,
    /// Through-rods, drawn above and below the shaft.
    Rods,
}

/// A bolt circle seen along the shaft, hole 1 marked, angles clockwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnCircle {
    /// Group id.
    pub group: String,
    /// What is seen, in words ("collar-far, from the drive end").
    pub label: String,
    /// Place of each bolt in order of its number: (x right, y up) from the centre.
    pub bolts_mm: Vec<(f64, f64)>,
    /// Thread size.
    pub bolt_mm: f64,
    /// Outer diameter of the part, or zero where the group stands on a plate.
    pub outer_mm: f64,
    /// Bore of the part, or zero.
    pub bore_mm: f64,
    /// Half width and half height of the plate, for groups on a plate.
    pub plate_mm: Option<(f64, f64)>,
    /// Angle of a collar's split in degrees, clockwise from the top.
    pub split_deg: Option<f64>,
}

/// The belt drive seen along the shaft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnBelt {
    /// Effective diameter on the rotor's shaft.
    pub driven_mm: f64,
    /// Effective diameter of the driver.
    pub driver_mm: f64,
    /// Centre distance.
    pub centre_mm: f64,
    /// Free span.
    pub span_mm: f64,
    /// Deflection at mid span for the tension reading.
    pub deflection_mm: f64,
    /// Force at that deflection when new.
    pub force_n: f64,
}

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
