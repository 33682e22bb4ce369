//! A module as the program understands it: every value read, checked, and still knowing its line in the spec.

use std::collections::BTreeMap;
use std::ops::Deref;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::quantity::{Band, Length, Speed, Torque};
use crate::standards::set_screws::Load;

use super::balance::{Balance, End};
use super::drive::Drive;
use super::family::Origins;
use super::fasteners::{Bolts, Rods, SetScrews};
use super::heavy_side::HeavySide;
use super::problem::Place;

/// A value with the words and the place it was read from.
#[derive(Debug, Clone, PartialEq)]
pub struct Given<T> {
    /// The value.
    pub value: T,
    /// As written.
    pub written: String,
    /// Where.
    pub place: Place,
}

impl<T> Deref for Given<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.value
    }
}

impl Given<Band> {
    /// Nominal value, else the middle of the limits, else the one limit there is, in the base unit.
    #[must_use]
    pub fn nominal(&self) -> Decimal {
        let band = &self.value;
        let middle = || match (band.lower, band.upper) {
            (Some(a), Some(b)) => Some((a + b) / Decimal::TWO),
            (a, b) => a.or(b),
        };
        band.nominal.or_else(middle).unwrap_or_default()
    }

    /// As [`Given::nominal`], for reckoning with lengths.
    #[must_use]
    pub fn length(&self) -> Length {
        Length::from_mm(self.nominal().to_f64().unwrap_or(f64::NAN))
    }
}

/// A whole module.
#[derive(Debug, Clone, PartialEq)]
pub struct Module {
    /// Id, lower case.
    pub id: String,
    /// Title.
    pub title: String,
    /// Revision.
    pub revision: String,
    /// End that angles are counted from.
    pub seen_from: End,
    /// What stays open, axis by axis, in a fixed order.
    pub axes: Vec<Axis>,
    /// Limits.
    pub limits: Limits,
    /// Shaft.
    pub shaft: Shaft,
    /// Discs between collars; none on a plain shaft.
    pub stack: Option<Stack>,
    /// Bearing units.
    pub bearings: Bearings,
    /// Base under the bearings.
    pub base: Base,
    /// Belt drives; the first one turns the shaft.
    pub drives: Vec<Drive>,
    /// Frame.
    pub frame: Frame,
    /// Guard.
    pub guard: Guard,
    /// How the assembled rotor is balanced, where it is.
    pub balance: Option<Balance>,
    /// Role to initials.
    pub people: BTreeMap<String, Vec<String>>,
    /// Checks that are typed twice, each as `OPERATION/CHECK`.
    pub critical: Vec<Given<String>>,
    /// The spec's text.
    pub text: String,
    /// SHA-256 of the text, hex.
    pub sha256: String,
    /// Where its fields come from, where it was put together from a spec and its family.
    pub origins: Option<Origins>,
}

/// One thing left open by the spec.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Name: `discs` or `pulley`.
    pub name: String,
    /// Allowed values.
    pub allowed: Vec<String>,
    /// The one taken without another word.
    pub first: String,
    /// Where.
    pub place: Place,
}

/// What the module must keep.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Highest speed of the rotor.
    pub speed: Given<Speed>,
    /// Largest torque at the rotor's shaft.
    pub torque: Given<Torque>,
    /// Least slip safety.
    pub slip_safety: Given<Decimal>,
    /// Kind of load on what passes the torque on; none where the spec does not say.
    pub load: Option<Given<Load>>,
    /// Temperature at the bench, °C.
    pub temperature: Given<Band>,
    /// Balance grade, mm/s.
    pub balance_grade: Given<Decimal>,
}

/// The shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct Shaft {
    /// Part id.
    pub part: String,
    /// Diameter with its tolerance class.
    pub diameter: Given<Band>,
    /// Length.
    pub length: Given<Length>,
    /// Steel.
    pub steel: Given<String>,
    /// Vickers hardness.
    pub hardness: Given<Decimal>,
    /// Largest run-out.
    pub run_out: Given<Band>,
    /// Parts along it, from the far end.
    pub order: Vec<OnShaft>,
}

/// One part's place on the shaft.
#[derive(Debug, Clone, PartialEq)]
pub struct OnShaft {
    /// Part id, or the discs' part.
    pub part: Given<String>,
    /// Middle of the part, from the far end.
    pub at: Option<Given<Length>>,
    /// Clamping face, from the far end.
    pub face_at: Option<Given<Length>>,
}

/// How a bore's edge was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Bored or turned.
    Bored,
    /// Drilled.
    Drilled,
    /// Cut by laser: a hard skin.
    Laser,
    /// Cut by plasma: a hard skin.
    Plasma,
}

impl Edge {
    /// Every kind, by the word in the spec.
    pub const WORDS: [(&'static str, Self); 4] =
        [("bored", Self::Bored), ("drilled", Self::Drilled), ("laser", Self::Laser), ("plasma", Self::Plasma)];

    /// The word in the spec.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bored => "bored",
            Self::Drilled => "drilled",
            Self::Laser => "laser",
            Self::Plasma => "plasma",
        }
    }

    /// True where heat cut it: that leaves a hard skin, dross, and holes that taper.
    #[must_use]
    pub const fn cut_by_heat(self) -> bool {
        matches!(self, Self::Laser | Self::Plasma)
    }
}

/// Discs, collars and the rods that pull them together.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// Discs.
    pub discs: Discs,
    /// Collars.
    pub collars: Collars,
    /// End plates, where the rods end in plates and the collars stand outside.
    pub plates: Option<Plates>,
    /// Through-rods.
    pub rods: Rods,
    /// Washers for balance: most on a rod end, and how many ends carry them.
    pub balance_washers: (u32, u32),
}

/// End plates, both alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Plates {
    /// Ids.
    pub each: Vec<Given<String>>,
    /// Outer diameter.
    pub outer: Given<Length>,
    /// Thickness.
    pub thickness: Given<Band>,
    /// Bore with its tolerance class.
    pub bore: Given<Band>,
    /// Pins by which each collar takes its plate along.
    pub pins: Option<Pins>,
}

/// Dowel pins between an end plate and its collar.
#[derive(Debug, Clone, PartialEq)]
pub struct Pins {
    /// How many in each plate.
    pub count: Given<u32>,
    /// Diameter.
    pub diameter: Given<Length>,
    /// Diameter of the circle they stand on.
    pub on: Given<Length>,
    /// How deep they stand in plate and collar, the lesser.
    pub depth: Given<Length>,
    /// Steel of the pins.
    pub steel: Given<String>,
}

/// The discs.
#[derive(Debug, Clone, PartialEq)]
pub struct Discs {
    /// Part id; single discs are `PART-1`, `PART-2`, ….
    pub part: String,
    /// How many there are.
    pub count: Given<u32>,
    /// Outer diameter.
    pub outer: Given<Length>,
    /// Thickness.
    pub thickness: Given<Band>,
    /// Steel.
    pub steel: Given<String>,
    /// Bore as it comes.
    pub bore: Given<Band>,
    /// How its edge was made.
    pub edge: Given<Edge>,
    /// Finished bore with its tolerance class.
    pub finish: Given<Band>,
    /// Reamed by hand.
    pub by_hand: bool,
    /// Number of rod holes.
    pub holes: Given<u32>,
    /// Circle of the rod holes.
    pub on: Given<Length>,
    /// Diameter of the rod holes.
    pub drill: Given<Length>,
    /// Largest gap on a plate.
    pub flatness: Given<Band>,
    /// Who makes them.
    pub made_by: Option<String>,
    /// How the heavy side of each is found; none where it is not looked for.
    pub heavy_side: Option<HeavySide>,
}

/// How a collar opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Split {
    /// Two halves, pinch bolts across both splits.
    TwoHalves,
    /// One cut, the rest bends.
    OneCut,
}

impl Split {
    /// Both kinds, by the words in the spec.
    pub const WORDS: [(&'static str, Self); 2] = [("two halves", Self::TwoHalves), ("one cut", Self::OneCut)];
}

/// The collars, both alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Collars {
    /// Ids.
    pub each: Vec<Given<String>>,
    /// How they open.
    pub kind: Given<Split>,
    /// Outer diameter.
    pub outer: Given<Length>,
    /// Width.
    pub width: Given<Band>,
    /// Bore with its tolerance class.
    pub bore: Given<Band>,
    /// Pinch bolts of one collar.
    pub pinch: Bolts,
}

/// Bearing units, all alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Bearings {
    /// Ids.
    pub each: Vec<Given<String>>,
    /// Insert, "UC205".
    pub insert: Given<String>,
    /// Housing, "P205".
    pub housing: Given<String>,
    /// Bolts of one housing.
    pub base_bolts: Bolts,
    /// What locks a ring on the shaft.
    pub lock: RingLock,
    /// The one that is locked last and gives way to growth; none where both are fixed.
    pub floats: Option<Given<String>>,
}

/// What locks the ring of an insert bearing on the shaft.
#[derive(Debug, Clone, PartialEq)]
pub enum RingLock {
    /// Set screws of one insert.
    SetScrews(SetScrews),
    /// An adapter sleeve with its nut.
    Sleeve(Sleeve),
}

/// Adapter sleeve of one bearing.
#[derive(Debug, Clone, PartialEq)]
pub struct Sleeve {
    /// Designation, "H305".
    pub size: Given<String>,
    /// Torque of its nut, by the maker.
    pub torque: Given<Torque>,
    /// Spanner for its nut.
    pub spanner: String,
    /// Who says so.
    pub from: String,
}

/// Base under the bearings.
#[derive(Debug, Clone, PartialEq)]
pub struct Base {
    /// Part id.
    pub part: String,
    /// Feet on the frame.
    pub feet: Given<u32>,
}

/// Frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Part id.
    pub part: String,
    /// Bolts that hold the module down.
    pub hold_downs: Bolts,
}

/// Guard.
#[derive(Debug, Clone, PartialEq)]
pub struct Guard {
    /// Part id.
    pub part: String,
    /// Least gap to the rotor.
    pub clearance: Given<Band>,
}

impl Limits {
    /// Kind of load: shaking, the severe side, where the spec does not say.
    #[must_use]
    pub fn load(&self) -> Load {
        self.load.as_ref().map_or(Load::Shaking, |load| load.value)
    }
}

impl Module {
    /// Where a part stands in the order along the shaft.
    #[must_use]
    pub fn on_shaft(&self, part: &str) -> Option<usize> {
        self.shaft.order.iter().position(|p| *p.part == part)
    }

    /// The collar whose face is located on the shaft.
    #[must_use]
    pub fn datum_collar(&self) -> Option<&OnShaft> {
        let collars = self.stack.as_ref()?;
        let is_collar = |p: &&OnShaft| collars.collars.each.iter().any(|c| c.value == p.part.value);
        self.shaft.order.iter().filter(is_collar).find(|p| p.face_at.is_some())
    }
}
