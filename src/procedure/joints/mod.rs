//! The physics, one file a kind of joint: each turns parts of the spec into freedoms, groups and operations.

mod adapter_sleeve;
mod balancing;
mod belt_run;
mod clamped_stack;
mod fasten;
mod gauging;
mod heavy_side;
mod hub;
mod insert_bearing;
mod outer_nuts;
mod receiving;
mod rod_ends;
mod running;
pub mod settling;
mod slotted_sled;
mod split_collar;
mod thread_state;
mod trial;
#[cfg(test)]
mod visit_tests;

use std::collections::BTreeSet;
use std::ops::Deref;

use rust_decimal::Decimal;

pub(in crate::procedure) use balancing::{OnePlane, Spot};
pub use hub::group as hub_group;
pub use insert_bearing::{base_group, ring_group};
pub use split_collar::pinch_group;
pub use trial::{running, trial};

use crate::module::{Drive, Module, OnShaft, Setup, Stack};
use crate::quantity::{Length, rounded};

use super::draft::{Draft, Limits, Sheet};
use super::engine::What;
use super::figures::{DriveFigures, Figures, NoFigure, StackFigures};

/// What every kind of joint may look at.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The module.
    pub module: &'a Module,
    /// The setup.
    pub setup: &'a Setup,
    /// Its figures.
    pub figures: &'a Figures,
    /// Parts that are on already and stay on.
    pub fitted: &'a BTreeSet<String>,
    /// What a visit to a module that has run looks at.
    pub visit: Option<&'a settling::Visit>,
}

/// Nothing is on yet.
static NOTHING: BTreeSet<String> = BTreeSet::new();

/// Lets every kind of joint put down its operations.
///
/// # Errors
/// [`NoFigure`] where a table has no value for what the spec says.
pub fn put_down(context: &Context<'_>) -> Result<Sheet, NoFigure> {
    let mut sheet = Sheet::default();
    receiving::put_down(context, &mut sheet)?;
    if let Some(stacked) = context.stacked() {
        split_collar::put_down(&stacked, &mut sheet)?;
        clamped_stack::put_down(&stacked, &mut sheet)?;
        heavy_side::put_down(&stacked, &mut sheet)?;
    }
    insert_bearing::put_down(context, &mut sheet)?;
    slotted_sled::module_on_frame(context, &mut sheet)?;
    for driven in context.driven() {
        hub::put_down(&driven, &mut sheet)?;
        slotted_sled::put_down(&driven, &mut sheet)?;
        belt_run::put_down(&driven, &mut sheet)?;
    }
    running::put_down(context, &mut sheet)?;
    settling::put_down(context, &mut sheet)?;
    Ok(sheet)
}

impl<'a> Context<'a> {
    /// A build from nothing.
    pub fn new(module: &'a Module, setup: &'a Setup, figures: &'a Figures) -> Self {
        Self { module, setup, figures, fitted: &NOTHING, visit: None }
    }
}

/// What the joints of the stack look at.
pub struct Stacked<'a> {
    context: Context<'a>,
    /// Discs, collars, rods.
    pub stack: &'a Stack,
    /// Their figures.
    pub own: &'a StackFigures,
}

/// What the joints of one belt drive look at.
pub struct Driven<'a> {
    context: Context<'a>,
    /// Which drive: 0 turns the shaft.
    pub number: usize,
    /// Pulley, belt, sled.
    pub drive: &'a Drive,
    /// Their figures.
    pub own: &'a DriveFigures,
}

impl<'a> Deref for Stacked<'a> {
    type Target = Context<'a>;

    fn deref(&self) -> &Context<'a> {
        &self.context
    }
}

impl<'a> Deref for Driven<'a> {
    type Target = Context<'a>;

    fn deref(&self) -> &Context<'a> {
        &self.context
    }
}

impl Driven<'_> {
    /// Step of the pulley that this setup runs on.
    pub fn step(&self) -> &str {
        self.setup.step_of(self.module, self.number)
    }

    /// The grooves of the pulley that this setup runs on, in words.
    pub fn grooves(&self) -> String {
        if self.drive.pulley.steps.len() == 1 {
            "its grooves".to_owned()
        } else {
            format!("the grooves of its step {}", self.step())
        }
    }

    /// A name of this drive's own: plain for the first, with its pulley for another.
    pub fn named(&self, plain: &str) -> String {
        named(plain, self.number, self.drive)
    }
}

/// A name of a drive's own: plain for the first, with its pulley for another.
pub fn named(plain: &str, number: usize, drive: &Drive) -> String {
    if number == 0 { plain.to_owned() } else { format!("{plain}-{}", drive.pulley.part) }
}

impl<'a> Context<'a> {
    /// The stack with its figures, if there is one.
    pub fn stacked(&self) -> Option<Stacked<'a>> {
        let (stack, own) = (self.module.stack.as_ref()?, self.figures.stack.as_ref()?);
        Some(Stacked { context: *self, stack, own })
    }

    /// The belt drives with their figures.
    pub fn driven(&self) -> impl Iterator<Item = Driven<'a>> {
        let context = *self;
        let pairs = self.module.drives.iter().zip(&self.figures.drives).enumerate();
        pairs.map(move |(number, (drive, own))| Driven { context, number, drive, own })
    }
}

impl<'a> Context<'a> {
    /// Ids of the discs of this setup, the one nearest to the datum first.
    pub fn discs(&self) -> Vec<String> {
        let part = self.module.stack.as_ref().map_or("", |s| s.discs.part.as_str());
        (1..=self.setup.discs).map(|k| format!("{part}-{k}")).collect()
    }

    /// Bearing that is locked first, and the one that floats until last; of two fixed ones the last named comes first.
    pub fn bearings(&self) -> (String, String) {
        let each = &self.module.bearings.each;
        let floats =
            self.module.bearings.floats.as_ref().or(each.first()).map_or_else(String::new, |f| f.value.clone());
        let locating = each.iter().map(|b| &b.value).find(|b| **b != floats);
        (locating.cloned().unwrap_or_default(), floats)
    }

    /// Parts that must not be on yet when `part` comes on: those between it and the end it comes from.
    ///
    /// The located part goes on first; every other part comes from the end on its own side of it.
    pub fn in_the_way(&self, part: &str) -> Vec<String> {
        let outer = self.around(part).0;
        outer.iter().map(|on| on.part.value.clone()).collect()
    }

    /// A part goes on before those that would stand in its way.
    pub fn before_those_in_the_way(&self, draft: Draft, part: &str) -> Draft {
        self.in_the_way(part).into_iter().fold(draft, |draft, other| {
            let why = format!("the way on for {part} is from the end where {other} will sit");
            draft.needs(What::Absent(other), &why)
        })
    }

    /// Parts along the shaft further out than a part, and those further in.
    pub fn around(&self, part: &str) -> (&'a [OnShaft], &'a [OnShaft]) {
        let order = self.module.shaft.order.as_slice();
        let none = &order[..0];
        let Some(at) = self.module.on_shaft(part) else {
            return (none, none);
        };
        let datum = self.module.datum_collar().and_then(|d| self.module.on_shaft(&d.part.value));
        // Without a located part the shaft is built from its middle.
        let (last_far, first_drive) = datum.map_or((order.len() / 2, order.len() / 2), |d| (d + 1, d));
        match datum {
            Some(d) if d == at => (none, none),
            _ if at < first_drive => (&order[..at], &order[at + 1..last_far]),
            _ => (&order[at + 1..], &order[first_drive..at]),
        }
    }

    /// End of the shaft that a part comes on from.
    pub fn end_of(&self, part: &str) -> &'static str {
        let at = self.module.on_shaft(part).unwrap_or(0);
        let datum = self.module.datum_collar().and_then(|d| self.module.on_shaft(&d.part.value));
        if at < datum.unwrap_or(self.module.shaft.order.len() / 2) { "far end" } else { "drive end" }
    }

    /// Word of the discs in the order along the shaft.
    pub fn discs_word(&self) -> String {
        let word = "discs".to_owned();
        let part = self.module.stack.as_ref().map_or("", |s| s.discs.part.as_str());
        if self.module.on_shaft(&word).is_some() { word } else { part.to_owned() }
    }
}

/// "112 mm", without needless zeros.
pub(super) fn mm(length: Length) -> String {
    let text = rounded(length.mm(), 1);
    format!("{} mm", text.strip_suffix(".0").unwrap_or(&text))
}

/// A decimal from a computed value, rounded.
pub(super) fn decimal(value: f64, places: u32) -> Option<Decimal> {
    Decimal::from_f64_retain(value).map(|d| d.round_dp(places))
}

/// Limits of at most `value` in mm, by common practice or a source.
pub(super) fn at_most(value: Decimal, basis: impl Into<String>) -> Limits {
    Limits { upper: Some(value), basis: basis.into(), ..Limits::default() }
}

/// Nominal plus and minus a width.
pub(super) fn around(nominal: Decimal, width: Decimal, basis: impl Into<String>) -> Limits {
    Limits {
        nominal: Some(nominal),
        lower: Some(nominal - width),
        upper: Some(nominal + width),
        basis: basis.into(),
        guarded: false,
    }
}
