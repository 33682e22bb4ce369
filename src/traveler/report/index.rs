//! The index of the discs in a review: heavy sides, holes at position 1, and the unbalance that was predicted.

use crate::traveler::record::Record;

use super::{Block, Cell, sections};

/// Discs and prediction; nothing where no heavy side was looked for.
pub(super) fn index(record: &Record) -> Vec<Block> {
    let Some(kept) = record.index_kept().filter(|k| !k.discs.is_empty()) else { return Vec::new() };
    let or = |t: &Option<String>| t.clone().unwrap_or_else(|| "not yet".into());
    let rows = kept.discs.iter().map(|d| {
        let heavy = if d.findable() {
            format!("{} g·mm at {}°", d.unbalance.normalize(), d.angle.normalize())
        } else {
            "not findable, counts as zero".into()
        };
        let other = d.stands.is_some() && d.stands != d.hole;
        vec![
            Cell::of(&d.disc),
            Cell::of(heavy),
            Cell::of(format!("{} g·mm", d.floor.normalize())),
            Cell::of(or(&d.hole)),
            Cell { strong: other, ..Cell::of(or(&d.stands)) },
        ]
    });
    let head = ["disc", "heavy side, from hole 1", "hidden by drag", "hole computed", "hole found at position 1"];
    let mut blocks = sections::section("Index of the discs", &head, rows.collect());
    if let (Some(residual), Some(angle), Some(within), Some(couple)) =
        (&kept.residual, &kept.angle, &kept.within, &kept.couple)
    {
        blocks.push(Block::Text(format!(
            "Predicted unbalance of the discs {residual} g·mm at {angle}° from hole position 1, known within {within} g·mm; couple {couple} g·mm²; {} g·mm permitted ({}/residual).",
            or(&kept.permitted),
            kept.step
        )));
    }
    if let Some(stands) = kept.stands.as_ref().filter(|_| kept.discs.iter().any(|d| d.stands != d.hole)) {
        blocks.push(Block::Text(format!("As the discs were counted to stand they make {stands} g·mm.")));
    }
    blocks
}
