//! The physics, one file a kind of joint: each turns parts of the spec into freedoms, groups and operations.

mod belt_run;
mod clamped_stack;
mod fasten;
mod hub;
mod insert_bearing;
mod receiving;
mod running;
mod slotted_sled;
mod split_collar;

use std::collections::BTreeSet;

use rust_decimal::Decimal;

pub use insert_bearing::{base_group, set_group};
pub use split_collar::pinch_group;

use crate::module::{Module, Setup};
use crate::quantity::{Length, rounded};

use super::draft::{Limits, Sheet};
use super::figures::{Figures, NoFigure};

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
    split_collar::put_down(context, &mut sheet)?;
    clamped_stack::put_down(context, &mut sheet)?;
    hub::put_down(context, &mut sheet)?;
    insert_bearing::put_down(context, &mut sheet)?;
    slotted_sled::put_down(context, &mut sheet)?;
    belt_run::put_down(context, &mut sheet)?;
    running::put_down(context, &mut sheet)?;
    Ok(sheet)
}

impl<'a> Context<'a> {
    /// A build from nothing.
    pub fn new(module: &'a Module, setup: &'a Setup, figures: &'a Figures) -> Self {
        Self { module, setup, figures, fitted: &NOTHING }
    }
}

impl Context<'_> {
    /// Ids of the discs of this setup, the one nearest to the datum first.
    pub fn discs(&self) -> Vec<String> {
        (1..=self.setup.discs).map(|k| format!("{}-{k}", self.module.discs.part)).collect()
    }

    /// Bearing that is locked first, and the one that floats until last.
    pub fn bearings(&self) -> (String, String) {
        let floats = self.module.bearings.floats.value.clone();
        let locating = self.module.bearings.each.iter().map(|b| &b.value).find(|b| **b != floats);
        (locating.cloned().unwrap_or_default(), floats)
    }

    /// Parts that must not be on yet when `part` comes on: those between it and the end it comes from.
    ///
    /// The located part goes on first; every other part comes from the end on its own side of it.
    pub fn in_the_way(&self, part: &str) -> Vec<String> {
        let order = &self.module.shaft.order;
        let datum = self.module.datum_collar().map(|d| d.part.value.as_str());
        let start = datum.and_then(|d| self.module.on_shaft(d)).unwrap_or(0);
        let Some(at) = self.module.on_shaft(part) else {
            return Vec::new();
        };
        let between = match at.cmp(&start) {
            std::cmp::Ordering::Less => &order[..at],
            std::cmp::Ordering::Equal => &order[..0],
            std::cmp::Ordering::Greater => &order[at + 1..],
        };
        between.iter().map(|on| on.part.value.clone()).collect()
    }

    /// Word of the discs in the order along the shaft.
    pub fn discs_word(&self) -> String {
        let word = "discs".to_owned();
        if self.module.on_shaft(&word).is_some() { word } else { self.module.discs.part.clone() }
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
