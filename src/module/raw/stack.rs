//! Discs, collars, plates, rods and bolts as they are written.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use super::{As, HeavySide};
use crate::module::kinds;

/// Discs, all alike; single ones are PART-1, PART-2, ….
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Discs {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// How many there are at most.
    pub count: As<kinds::Count>,
    /// Outer diameter.
    pub outer: As<kinds::Length>,
    /// Thickness with its tolerance.
    pub thickness: As<kinds::Toleranced>,
    /// Steel.
    pub steel: As<kinds::Steel>,
    /// Bore as it comes and as it is finished.
    pub bore: DiscBore,
    /// Holes of the rods; hole 1 is marked.
    pub holes: Holes,
    /// Largest gap of a disc on a plate.
    pub flatness: As<kinds::Toleranced>,
    /// Who makes them.
    #[serde(rename = "made by")]
    pub made_by: Option<As<kinds::Words>>,
    /// How the heavy side of each is found before it goes on; the index follows from it.
    #[serde(rename = "heavy side")]
    pub heavy_side: Option<HeavySide>,
}

/// Bore of a disc.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DiscBore {
    /// As it comes, with its tolerance.
    pub size: As<kinds::Toleranced>,
    /// How its edge was made: laser and plasma leave a hard skin.
    pub edge: As<kinds::EdgeMade>,
    /// As it is finished.
    pub finish: As<kinds::Finish>,
    /// By hand or by machine.
    pub by: As<kinds::ByHand>,
}

/// Holes of the rods.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Holes {
    /// As many as rods.
    pub count: As<kinds::Count>,
    /// Diameter of the circle they stand on.
    pub on: As<kinds::Length>,
    /// Diameter of a hole.
    pub drill: As<kinds::Length>,
}

/// End plates between discs and collars, both alike.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plates {
    /// Ids of the far and the drive plate.
    pub each: Vec<As<kinds::Id>>,
    /// Outer diameter.
    pub outer: As<kinds::Length>,
    /// Thickness with its tolerance.
    pub thickness: As<kinds::Toleranced>,
    /// Bore with its tolerance class.
    pub bore: As<kinds::Fit>,
    /// Dowel pins by which each collar takes its plate along.
    pub pins: Option<Pins>,
}

/// Dowel pins between a plate and its collar.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pins {
    /// How many in each plate.
    pub count: As<kinds::Count>,
    /// Diameter of a pin.
    pub diameter: As<kinds::Length>,
    /// Diameter of the circle they stand on.
    pub on: As<kinds::Length>,
    /// How deep they stand in plate and collar, the lesser.
    pub depth: As<kinds::Length>,
    /// Steel of the pins.
    pub steel: As<kinds::Steel>,
}

/// Shaft collars, both alike.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Collars {
    /// Ids of the far and the drive collar.
    pub each: Vec<As<kinds::Id>>,
    /// How they open.
    pub kind: As<kinds::CollarKind>,
    /// Outer diameter.
    pub outer: As<kinds::Length>,
    /// Width with its tolerance.
    pub width: As<kinds::Toleranced>,
    /// Bore with its tolerance class.
    pub bore: As<kinds::Fit>,
    /// Pinch bolts of one collar.
    pub pinch: Bolts,
}

/// Bolts of one group: how many, which, how tight, what keeps them so.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bolts {
    /// How many in a group.
    pub count: As<kinds::Count>,
    /// Thread and length in mm.
    pub size: As<kinds::BoltSize>,
    /// Property class of ISO 898-1.
    pub class: As<kinds::Class>,
    /// Friction in the thread and under the head, low to high.
    pub friction: As<kinds::Friction>,
    /// Share of the proof load they are tightened to.
    #[serde(rename = "use")]
    pub share: As<kinds::Share>,
    /// What keeps them tight; nothing is an error where they turn.
    pub secure: As<kinds::Secure>,
}

/// Through-rods. Either one length for all, or one for each number of discs.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rods {
    /// Id of part and group.
    pub part: As<kinds::Id>,
    /// How they join the collars.
    pub join: As<kinds::JoinOf>,
    /// How many.
    pub count: As<kinds::Count>,
    /// Thread.
    pub size: As<kinds::Thread>,
    /// Property class of ISO 898-1.
    pub class: As<kinds::Class>,
    /// One length for every number of discs.
    pub length: Option<As<kinds::Length>>,
    /// A length for each number of discs: { 4: 102 mm, 5: 110 mm }.
    pub lengths: Option<BTreeMap<String, As<kinds::Length>>>,
    /// Friction in the thread and under the nut, low to high.
    pub friction: As<kinds::Friction>,
    /// Share of the proof load they are tightened to.
    #[serde(rename = "use")]
    pub share: As<kinds::Share>,
    /// Torque passes, crosswise, 1 to 6.
    pub passes: As<kinds::Count>,
    /// What keeps the nuts tight. A second nut is a full nut outside the first.
    pub secure: As<kinds::Secure>,
}

/// Set screws of one part.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetScrews {
    /// How many, 1 to 8.
    pub count: As<kinds::Count>,
    /// Thread.
    pub size: As<kinds::Thread>,
    /// Torque by their maker.
    pub torque: As<kinds::Torque>,
    /// Who says so; of a bearing's ring, the bearing's maker.
    pub from: As<kinds::Words>,
}
