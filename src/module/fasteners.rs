//! Bolts, rods and set screws of a module.

use std::collections::BTreeMap;

use crate::quantity::{Band, Length, Torque};

use super::model::{Given, Module};

/// How a group stays tight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Securing {
    /// Wicking thread locker after the last torque.
    ThreadLocker,
    /// Second nut against the first.
    SecondNut,
    /// Spring washer, with a witness line.
    SpringWasher,
    /// Nothing: an error for a rotating group.
    None,
}

impl Securing {
    /// Every way, by the word in the spec.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("thread locker", Self::ThreadLocker),
        ("second nut", Self::SecondNut),
        ("spring washer", Self::SpringWasher),
        ("none", Self::None),
    ];
}

/// Bolts of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Bolts {
    /// How many in a group.
    pub count: Given<u32>,
    /// Thread, "M8".
    pub thread: Given<String>,
    /// Length under the head; none for rods.
    pub length: Option<Length>,
    /// Property class.
    pub class: Given<String>,
    /// Friction in thread and under the head, low to high.
    pub friction: Given<Band>,
    /// Share of the proof load, 0 to 1.
    pub share: Given<f64>,
    /// What keeps them.
    pub secure: Given<Securing>,
}

/// How rods and collars join.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Join {
    /// Rods pass through the collars.
    ThroughCollars,
    /// Rods end in plates, the collars stand outside them.
    IntoPlates,
}

impl Join {
    /// Both ways, by the words in the spec.
    pub const WORDS: [(&'static str, Self); 2] =
        [("through the collars", Self::ThroughCollars), ("into plates, collars outside", Self::IntoPlates)];
}

/// Through-rods.
#[derive(Debug, Clone, PartialEq)]
pub struct Rods {
    /// Part and group id.
    pub part: String,
    /// How they join the collars.
    pub join: Given<Join>,
    /// Thread, class, friction, share, securing.
    pub bolts: Bolts,
    /// Length for each number of discs.
    pub lengths: BTreeMap<u32, Given<Length>>,
    /// Torque passes.
    pub passes: Given<u32>,
}

/// Set screws of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct SetScrews {
    /// How many.
    pub count: Given<u32>,
    /// Thread.
    pub thread: Given<String>,
    /// Torque by their maker.
    pub torque: Given<Torque>,
    /// Who says so.
    pub from: String,
}

impl Module {
    /// Every kind of bolt with a head: its name at the bench, the bolts of one group, and how many such groups there are.
    #[must_use]
    pub fn bolt_groups(&self) -> Vec<(&'static str, &Bolts, usize)> {
        let stack = self.stack.iter().map(|s| ("pinch bolts", &s.collars.pinch, s.collars.each.len()));
        let base = [("base bolts", &self.bearings.base_bolts, self.bearings.each.len())];
        let frame = [("hold-downs", &self.frame.hold_downs, 1)];
        let sleds = ["lock bolts", "lock bolts of the second drive"].into_iter().zip(&self.drives);
        let sleds = sleds.map(|(name, drive)| (name, &drive.sled.lock_bolts, 1));
        stack.chain(base).chain(frame).chain(sleds).collect()
    }
}
