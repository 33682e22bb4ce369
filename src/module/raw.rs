//! The spec as it is written, before anything is understood: one struct a section, every value with its place.
//!
//! Fields are text with line and column, so that every later message can point at the words it is about.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_saphyr::Spanned;

/// A value as written, with its place in the file.
pub type Text = Spanned<String>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spec {
    pub runtrue: Text,
    pub module: Text,
    pub title: Text,
    pub revision: Text,
    #[serde(rename = "seen from")]
    pub seen_from: Text,
    #[serde(default)]
    pub setup: Setup,
    pub limits: Limits,
    pub shaft: Shaft,
    pub discs: Option<Discs>,
    pub collars: Option<Collars>,
    pub plates: Option<Plates>,
    pub rods: Option<Rods>,
    pub bearings: Bearings,
    pub base: Base,
    pub pulley: Pulley,
    pub belt: Belt,
    pub frame: Frame,
    pub sled: Sled,
    #[serde(rename = "second drive")]
    pub second: Option<Drive>,
    pub guard: Guard,
    pub balance: Option<Balance>,
    pub people: BTreeMap<String, Vec<Text>>,
    #[serde(default)]
    pub critical: Vec<Text>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setup {
    pub discs: Option<Axis>,
    pub pulley: Option<Axis>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    pub allowed: Vec<Text>,
    pub first: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    pub speed: Text,
    pub torque: Text,
    #[serde(rename = "slip safety")]
    pub slip_safety: Text,
    pub load: Option<Text>,
    #[serde(rename = "temperature at the bench")]
    pub temperature: Text,
    #[serde(rename = "balance grade")]
    pub balance_grade: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shaft {
    pub part: Text,
    pub diameter: Text,
    pub length: Text,
    pub steel: Text,
    pub hardness: Text,
    #[serde(rename = "run-out")]
    pub run_out: Text,
    pub order: Vec<Place>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    pub part: Text,
    pub at: Option<Text>,
    #[serde(rename = "face at")]
    pub face_at: Option<Text>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Discs {
    pub part: Text,
    pub count: Text,
    pub outer: Text,
    pub thickness: Text,
    pub steel: Text,
    pub bore: DiscBore,
    pub holes: Holes,
    pub flatness: Text,
    #[serde(rename = "made by")]
    pub made_by: Option<Text>,
    #[serde(rename = "heavy side")]
    pub heavy_side: Option<HeavySide>,
}

/// How the heavy side of each disc is found at receipt.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeavySide {
    /// What the mandrel rolls on: edges or rollers.
    pub on: Text,
    /// Mandrel through the finished bore, with its tolerance class.
    pub mandrel: Text,
    /// Mass of the mandrel.
    #[serde(rename = "mandrel mass")]
    pub mandrel_mass: Text,
    /// Arm of rolling resistance: mass times arm is what drag hides.
    pub arm: Text,
    /// Radius at which the test mass is put.
    pub radius: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DiscBore {
    pub size: Text,
    pub edge: Text,
    pub finish: Text,
    pub by: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Holes {
    pub count: Text,
    pub on: Text,
    pub drill: Text,
}

/// End plates between discs and collars.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plates {
    pub each: Vec<Text>,
    pub outer: Text,
    pub thickness: Text,
    pub bore: Text,
    pub pins: Option<Pins>,
}

/// Dowel pins between a plate and its collar.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pins {
    pub count: Text,
    pub diameter: Text,
    pub on: Text,
    pub depth: Text,
    pub steel: Text,
}

/// A second belt on the same shaft.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drive {
    pub pulley: Pulley,
    pub belt: Belt,
    pub sled: Sled,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Collars {
    pub each: Vec<Text>,
    pub kind: Text,
    pub outer: Text,
    pub width: Text,
    pub bore: Text,
    pub pinch: Bolts,
}

/// Bolts of one group: how many, which, how tight, what keeps them so.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bolts {
    pub count: Text,
    pub size: Text,
    pub class: Text,
    pub friction: Text,
    #[serde(rename = "use")]
    pub share: Text,
    pub secure: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rods {
    pub part: Text,
    pub join: Text,
    pub count: Text,
    pub size: Text,
    pub class: Text,
    pub length: Option<Text>,
    pub lengths: Option<BTreeMap<String, Text>>,
    pub friction: Text,
    #[serde(rename = "use")]
    pub share: Text,
    pub passes: Text,
    pub secure: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetScrews {
    pub count: Text,
    pub size: Text,
    pub torque: Text,
    pub from: Text,
}

/// Adapter sleeves: their nut draws the tapered ring onto the shaft.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sleeve {
    pub size: Text,
    pub torque: Text,
    pub spanner: Text,
    pub from: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bearings {
    pub each: Vec<Text>,
    pub insert: Text,
    pub housing: Text,
    #[serde(rename = "base bolts")]
    pub base_bolts: Bolts,
    #[serde(rename = "set screws")]
    pub set_screws: Option<SetScrews>,
    pub sleeve: Option<Sleeve>,
    pub floats: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Base {
    pub part: Text,
    pub feet: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pulley {
    pub part: Text,
    pub profile: Text,
    pub ribs: Text,
    pub steps: BTreeMap<String, Text>,
    #[serde(rename = "hub length")]
    pub hub_length: Text,
    pub bore: Text,
    #[serde(rename = "run-out")]
    pub run_out: Text,
    pub key: Option<Text>,
    #[serde(rename = "set screws")]
    pub set_screws: SetScrews,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Belt {
    pub part: Text,
    pub profile: Text,
    pub ribs: Text,
    pub length: Text,
    pub kind: Text,
    pub driver: Option<Driver>,
    pub driven: Option<Driven>,
    pub tension: Tension,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Driver {
    pub part: Text,
    pub effective: Text,
    pub speed: Text,
}

/// The pulley of the machine that the shaft drives.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Driven {
    pub part: Text,
    pub effective: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tension {
    pub new: Text,
    pub used: Text,
    pub from: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    pub part: Text,
    #[serde(rename = "hold-downs")]
    pub hold_downs: Bolts,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sled {
    pub part: Text,
    pub travel: Text,
    #[serde(rename = "centre at inner end")]
    pub centre_at_inner_end: Text,
    pub adjuster: Text,
    #[serde(rename = "lock bolts")]
    pub lock_bolts: Bolts,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Guard {
    pub part: Text,
    pub clearance: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Balance {
    pub method: Text,
    pub on: Option<Text>,
    #[serde(rename = "rolling arm")]
    pub arm: Option<Text>,
    pub reads: Option<Text>,
    pub floor: Option<Text>,
    pub phase: Option<Text>,
    #[serde(rename = "first trial weight")]
    pub first: Option<Text>,
    pub planes: Option<Vec<Text>>,
    #[serde(rename = "correct by")]
    pub correct_by: Vec<Text>,
    pub washers: Option<BalanceWashers>,
    pub drilling: Option<Drilling>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BalanceWashers {
    pub size: Text,
    pub most: Text,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drilling {
    pub diameter: Text,
    pub on: Text,
    pub deepest: Text,
    pub point: Text,
}
