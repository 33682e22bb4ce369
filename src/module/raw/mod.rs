//! The spec as it is written, before anything is understood: one struct a section, every value with its place.
//!
//! Fields are text with line and column, so that every later message can point at the words it is about. What each one is stands in
//! its type; types and remarks together are the JSON Schema that editors are given.

mod balance;
mod drive;
mod stack;

use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;
use std::ops::Deref;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer};
use serde_saphyr::Spanned;

use super::kinds::{self, Sort};

pub use balance::{Balance, HeavySide};
pub use drive::{Belt, Drive, Pulley, Sled};
pub use stack::{Bolts, Collars, Discs, Pins, Plates, Rods, SetScrews};

/// A value as written, with its place in the file.
pub type Text = Spanned<String>;

/// A value as written that is meant to be of one sort.
pub struct As<K>(Text, PhantomData<K>);

impl<K> Deref for As<K> {
    type Target = Text;

    fn deref(&self) -> &Text {
        &self.0
    }
}

impl<K> fmt::Debug for As<K> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl<'de, K> Deserialize<'de> for As<K> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Text::deserialize(deserializer).map(|text| Self(text, PhantomData))
    }
}

impl<K: Sort> JsonSchema for As<K> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        K::NAME.into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        K::schema()
    }
}

/// One rotating module: a shaft on two mounted bearings, what it carries, and what drives it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spec {
    /// The form of this file. Its first line.
    pub runtrue: As<kinds::FormOfFile>,
    /// File of the family that states what is not stated here, as it lies from this file.
    #[serde(rename = "builds on")]
    #[allow(
        dead_code,
        reason = "known to the reader and the schema; a family is laid under the spec before this is read"
    )]
    pub builds_on: Option<As<kinds::Words>>,
    /// Id of the module; builds are named by it.
    pub module: As<kinds::Id>,
    /// What it is, in words.
    pub title: As<kinds::Words>,
    /// Revision of the spec, as on a drawing.
    pub revision: As<kinds::Words>,
    /// The end of the shaft that angles are counted from, clockwise, hole 1 at the top: `far end` or `drive end`.
    #[serde(rename = "seen from")]
    pub seen_from: As<kinds::StackEnd>,
    /// What stays open until the bench.
    #[serde(default)]
    pub setup: Setup,
    /// What the module must keep.
    pub limits: Limits,
    /// The shaft and the places of the parts along it.
    pub shaft: Shaft,
    /// Discs between two collars; a plain shaft has no discs, collars and rods.
    pub discs: Option<Discs>,
    /// Shaft collars, both alike.
    pub collars: Option<Collars>,
    /// End plates between discs and collars, where the rods end in them.
    pub plates: Option<Plates>,
    /// Through-rods that pull the discs together.
    pub rods: Option<Rods>,
    /// Mounted bearings, both alike.
    pub bearings: Bearings,
    /// What the bearings stand on.
    pub base: Base,
    /// Pulley on the shaft.
    pub pulley: Pulley,
    /// Ribbed belt that drives the shaft.
    pub belt: Belt,
    /// What the module stands on.
    pub frame: Frame,
    /// Slotted tensioner that carries the driver.
    pub sled: Sled,
    /// A second belt on the same shaft, to what the shaft drives.
    #[serde(rename = "second drive")]
    pub second: Option<Drive>,
    /// Guard over the rotor.
    pub guard: Guard,
    /// How the assembled rotor is balanced; left out where it need not be.
    pub balance: Option<Balance>,
    /// Role to initials; `design` must be there, it releases holds.
    pub people: BTreeMap<String, Vec<As<kinds::Initials>>>,
    /// Values that are typed twice, each as OPERATION/CHECK.
    #[serde(default)]
    pub critical: Vec<As<kinds::CheckOf>>,
}

/// What stays open until the bench; either may be left out.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Setup {
    /// How many discs are fitted.
    pub discs: Option<Axis>,
    /// Which step of the pulley the belt runs on.
    pub pulley: Option<Axis>,
}

/// One thing left open.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    /// Values it may take.
    pub allowed: Vec<As<kinds::Words>>,
    /// The one taken without another word.
    pub first: As<kinds::Words>,
}

/// What the module must keep.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Highest speed of the rotor, never to be passed.
    pub speed: As<kinds::Speed>,
    /// Largest torque at the rotor's shaft, start and stop included.
    pub torque: As<kinds::Torque>,
    /// Least safety against slip of any joint that passes the torque on.
    #[serde(rename = "slip safety")]
    pub slip_safety: As<kinds::Number>,
    /// What set screws are asked to carry; shaking, the severe one, where it is left out.
    pub load: Option<As<kinds::Load>>,
    /// Range of temperature where the module is built.
    #[serde(rename = "temperature at the bench")]
    pub temperature: As<kinds::Temperature>,
    /// Balance grade of ISO 21940-11.
    #[serde(rename = "balance grade")]
    pub balance_grade: As<kinds::Grade>,
}

/// The shaft.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shaft {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Diameter with its tolerance class.
    pub diameter: As<kinds::Fit>,
    /// Length.
    pub length: As<kinds::Length>,
    /// Steel.
    pub steel: As<kinds::Steel>,
    /// Vickers hardness; cup-point set screws want a shaft that is not hardened.
    pub hardness: As<kinds::Hardness>,
    /// Largest run-out.
    #[serde(rename = "run-out")]
    pub run_out: As<kinds::Toleranced>,
    /// Parts along the shaft, from the far end.
    pub order: Vec<Place>,
}

/// One part's place on the shaft. One collar has "face at", the other follows the discs.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Id of the part, or `discs`.
    pub part: As<kinds::Id>,
    /// Middle of the part, from the far end.
    pub at: Option<As<kinds::Length>>,
    /// Clamping face of the one located collar, from the far end.
    #[serde(rename = "face at")]
    pub face_at: Option<As<kinds::Length>>,
}

/// Adapter sleeves: their nut draws the tapered ring onto the shaft.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sleeve {
    /// Designation.
    pub size: As<kinds::Designation>,
    /// Torque of its nut, by the maker.
    pub torque: As<kinds::Torque>,
    /// Spanner for its nut.
    pub spanner: As<kinds::Words>,
    /// Who says so.
    pub from: As<kinds::Words>,
}

/// Mounted bearings, both alike; locked on the shaft either by set screws or by a sleeve.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bearings {
    /// Ids of the far and the drive bearing.
    pub each: Vec<As<kinds::Id>>,
    /// Insert: UC204 to UC210 with set screws, UK205 to UK210 on a sleeve.
    pub insert: As<kinds::Designation>,
    /// Pillow block housing.
    pub housing: As<kinds::Designation>,
    /// Bolts of one housing.
    #[serde(rename = "base bolts")]
    pub base_bolts: Bolts,
    /// Set screws of one insert; `from` names the bearing's maker.
    #[serde(rename = "set screws")]
    pub set_screws: Option<SetScrews>,
    /// Adapter sleeve of one insert.
    pub sleeve: Option<Sleeve>,
    /// The bearing that is locked last and gives way to growth; `none` where both are fixed.
    pub floats: As<kinds::Id>,
}

/// What the bearings stand on.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Base {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Feet on the frame, 3 to 12.
    pub feet: As<kinds::Count>,
}

/// What the module stands on.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Bolts that hold the module down.
    #[serde(rename = "hold-downs")]
    pub hold_downs: Bolts,
}

/// Guard over the rotor; no rotor is spun without it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Guard {
    /// Id of the part.
    pub part: As<kinds::Id>,
    /// Least gap to the rotor.
    pub clearance: As<kinds::Toleranced>,
}
