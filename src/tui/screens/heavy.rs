//! The picture of steps that look for heavy sides: one disc on its mandrel, or all discs in their index.
//!
//! Drawn from what the record keeps; until there is a reading the step has its usual picture.

use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::{DrawnCircle, DrawnPart, Shape, Step};
use crate::traveler::{IndexKept, IndexedDisc, Record};
use crate::tui::widgets::rotor::{HeavyDisc, Rotor};

/// The rotor to draw at a step, if it has to do with heavy sides and something of them is known.
pub fn picture(record: &Record, step: &Step) -> Option<Rotor> {
    let kept = record.index_kept()?;
    if let Some(disc) = kept.discs.iter().find(|d| measures(step, d)) {
        return alone(record, disc);
    }
    (step.id == kept.step || turns(step, &kept)).then(|| together(record, &kept)).flatten()
}

/// The step that measured this disc.
fn measures(step: &Step, disc: &IndexedDisc) -> bool {
    step.operation == "balance" && step.parts == [disc.disc.as_str()]
}

/// A step that brings a disc to its index.
fn turns(step: &Step, kept: &IndexKept) -> bool {
    let own = |b: &str| b.split_once('/').is_some_and(|(of, _)| of == kept.step);
    step.checks.iter().any(|c| c.beside.as_deref().is_some_and(own))
}

/// Disc and holes of the drawing.
fn bare(record: &Record) -> Option<Rotor> {
    let drawing = &record.plan().drawing;
    let disc: &DrawnPart = drawing.parts.iter().find(|p| p.shape == Shape::Disc)?;
    let rods = drawing.parts.iter().find(|p| p.shape == Shape::Rods)?;
    let circle: &DrawnCircle = drawing.circles.iter().find(|c| Some(&c.group) == rods.group.as_ref())?;
    let (x, y) = circle.bolts_mm.first()?;
    Some(Rotor {
        outer_mm: disc.outer_mm,
        bore_mm: disc.bore_mm,
        circle_mm: 2.0 * x.hypot(*y),
        holes: u32::try_from(circle.bolts_mm.len()).ok()?,
        hole_mm: circle.bolt_mm,
        ..Rotor::default()
    })
}

fn alone(record: &Record, disc: &IndexedDisc) -> Option<Rotor> {
    let heavy = disc.findable().then(|| Some((disc.angle.to_f64()?, disc.unbalance.to_f64()?))).flatten();
    Some(Rotor { heavy, ..bare(record)? })
}

/// Every disc as it stands in its index, and what is left of all.
fn together(record: &Record, kept: &IndexKept) -> Option<Rotor> {
    let bare = bare(record)?;
    let each = 360.0 / f64::from(bare.holes.max(1));
    let largest = kept.discs.iter().filter_map(|d| d.unbalance.to_f64()).fold(f64::MIN_POSITIVE, f64::max);
    let heavy = |(k, d): (usize, &IndexedDisc)| {
        let hole: f64 = d.hole.as_ref()?.parse().ok()?;
        let (angle, size) = (d.angle.to_f64()?, d.unbalance.to_f64()?);
        let words = if d.findable() {
            format!("{}, hole {hole} on top: {size:.0} g·mm", d.disc)
        } else {
            format!("{}, hole {hole} on top: none found", d.disc)
        };
        let deg = (angle - (hole - 1.0) * each).rem_euclid(360.0);
        Some(HeavyDisc { sign: sign(k), deg, share: if d.findable() { size / largest } else { 0.0 }, words })
    };
    let number = |t: &Option<String>| t.as_deref()?.parse::<f64>().ok();
    Some(Rotor {
        discs: kept.discs.iter().enumerate().map(heavy).collect::<Option<_>>()?,
        heavy: number(&kept.angle).zip(number(&kept.residual)),
        top: Some("hole position 1".into()),
        ..bare
    })
}

/// A, B, C …, for holes have the numbers.
fn sign(k: usize) -> String {
    let letter = u8::try_from(k % 26).map_or('A', |k| char::from(b'A' + k));
    letter.to_string()
}
