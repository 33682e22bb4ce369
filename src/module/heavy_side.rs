//! How the heavy side of each disc is found at receipt.

use crate::quantity::{Band, Length, Mass};

use super::model::Given;
use super::raw;
use super::read::Reader;

/// What the mandrel rolls on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RollsOn {
    /// Two level edges.
    Edges,
    /// Free rollers.
    Rollers,
}

impl RollsOn {
    /// Every kind, by its word.
    pub const WORDS: [(&'static str, Self); 2] = [("edges", Self::Edges), ("rollers", Self::Rollers)];

    /// The word in the spec.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Edges => "edges",
            Self::Rollers => "rollers",
        }
    }
}

/// A mandrel through the bore of a disc, rolling.
#[derive(Debug, Clone, PartialEq)]
pub struct HeavySide {
    /// What it rolls on.
    pub on: Given<RollsOn>,
    /// The mandrel with its tolerance class.
    pub mandrel: Given<Band>,
    /// Its mass.
    pub mandrel_mass: Given<Mass>,
    /// Arm of rolling resistance.
    pub arm: Given<Length>,
    /// Radius of the test mass.
    pub radius: Given<Length>,
}

/// Reads the section; the mandrel goes through the finished bore, and the test mass sits on the disc, where these could be read.
pub(super) fn heavy_side(
    raw: &raw::HeavySide,
    disc: Option<(&Given<Band>, &Given<Length>)>,
    reader: &mut Reader,
) -> HeavySide {
    let read = HeavySide {
        on: reader.word(&raw.on, &RollsOn::WORDS),
        mandrel: reader.classed(&raw.mandrel),
        mandrel_mass: reader.mass(&raw.mandrel_mass),
        arm: reader.length(&raw.arm),
        radius: reader.length(&raw.radius),
    };
    if let Some((bore, outer)) = disc {
        goes_with(&read, bore, outer, reader);
    }
    if read.arm.mm() > 1.0 {
        reader.problem(
            read.arm.place,
            format!("an arm of rolling resistance of {} cannot be", read.arm.written),
            "Hardened edges have about 0.01 mm; try it with a small known weight.",
        );
    }
    read
}

fn goes_with(read: &HeavySide, bore: &Given<Band>, outer: &Given<Length>, reader: &mut Reader) {
    if read.mandrel.nominal() != bore.nominal() {
        reader.problem(
            read.mandrel.place,
            format!("a mandrel of {} does not fit the finished bore, {}", read.mandrel.written, bore.written),
            "Give the mandrel the nominal size of the finished bore.",
        );
    }
    if read.radius.mm() * 2.0 >= outer.mm() || read.radius.mm() * 2.0 <= bore.length().mm() {
        reader.problem(
            read.radius.place,
            format!("the test mass cannot sit at a radius of {}", read.radius.written),
            format!("It sits on the disc: between its bore and its rim, {}.", outer.written),
        );
    }
}
