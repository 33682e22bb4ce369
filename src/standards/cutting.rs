//! Reaming and drilling: stock, the hard skin of a cut edge, reamers, drills.

use serde::Deserialize;

use crate::quantity::Length;

use super::NotInTable;
use super::bench::TABLE;

#[derive(Debug, Deserialize)]
pub(super) struct StockRow {
    pub(super) over: f64,
    pub(super) up_to: f64,
    pub(super) stock: [f64; 2],
    pub(super) source: String,
}

#[derive(Debug, Deserialize)]
pub(super) struct StepRow {
    pub(super) up_to: f64,
    pub(super) step: f64,
}

/// Hard skin of a thermally cut edge, mm.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Skin {
    /// Least depth.
    pub least: f64,
    /// Largest depth.
    pub most: f64,
    /// What a cutting edge needs beyond the skin.
    pub above: f64,
    /// Source.
    pub source: String,
}

/// Place of a reamer's tolerance inside the hole's, as shares of the hole's.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Reamer {
    /// The reamer's upper limit lies this share below the hole's.
    pub below_top: f64,
    /// Width of the reamer's tolerance.
    pub width: f64,
    /// Source.
    pub source: String,
}

/// Reaming stock on the diameter in steel, least and most, and its source.
///
/// # Errors
/// [`NotInTable`] over 50 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::cutting::ream_stock};
/// let (least, most, _) = ream_stock(Length::from_mm(25.0), true)?; // by hand, 21 to 50 mm: 0.3 to 0.5 mm
/// assert_eq!((least.mm(), most.mm()), (0.3, 0.5));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn ream_stock(finished: Length, by_hand: bool) -> Result<(Length, Length, &'static str), NotInTable> {
    let rows = if by_hand { &TABLE.ream_hand } else { &TABLE.ream_machine };
    let row = rows.iter().find(|r| finished.mm() > r.over && finished.mm() <= r.up_to);
    row.map(|r| (Length::from_mm(r.stock[0]), Length::from_mm(r.stock[1]), r.source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("reaming stock at {} mm", finished.mm()), "above 0 up to 50 mm", "reaming tables")
    })
}

/// How much over its size a drill cuts, and the source.
///
/// ```
/// assert_eq!(runtrue::standards::cutting::drill_oversize().0.mm(), 0.05);
/// ```
#[must_use]
pub fn drill_oversize() -> (Length, &'static str) {
    (Length::from_mm(TABLE.drill_oversize_mm.most), &TABLE.drill_oversize_mm.source)
}

/// Reaming stock in light metal as a multiple of that in steel, and the source.
///
/// ```
/// assert_eq!(runtrue::standards::cutting::light_metal_stock().0, 1.5);
/// ```
#[must_use]
pub fn light_metal_stock() -> (f64, &'static str) {
    (TABLE.light_metal_stock.value, &TABLE.light_metal_stock.source)
}

/// The largest twist drill on sale that is not over a diameter, and the source of the steps.
///
/// # Errors
/// [`NotInTable`] under 1 mm and over 50 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::cutting::drill_up_to};
/// assert_eq!(drill_up_to(Length::from_mm(9.78))?.0.mm(), 9.7);
/// assert_eq!(drill_up_to(Length::from_mm(24.65))?.0.mm(), 24.5);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn drill_up_to(most: Length) -> Result<(Length, &'static str), NotInTable> {
    let row = TABLE.drill_steps.iter().find(|r| most.mm() >= 1.0 && most.mm() <= r.up_to);
    // The last digit of a diameter that is just a step must not lose the step.
    row.map(|r| {
        let steps = (most.mm() / r.step + 1e-9).floor();
        (Length::from_mm((steps * r.step * 1000.0).round() / 1000.0), TABLE.drill_steps_source.as_str())
    })
    .ok_or_else(|| NotInTable::new(format!("a drill of {} mm", most.mm()), "1 to 50 mm", &TABLE.drill_steps_source))
}

/// Hard skin of a thermally cut edge.
///
/// ```
/// assert_eq!(runtrue::standards::cutting::skin().most, 0.2);
/// ```
#[must_use]
pub fn skin() -> &'static Skin {
    &TABLE.skin
}

/// Rule of the reamer's tolerance.
///
/// ```
/// let rule = runtrue::standards::cutting::reamer();
/// assert_eq!((rule.below_top, rule.width), (0.15, 0.35));
/// ```
#[must_use]
pub fn reamer() -> &'static Reamer {
    &TABLE.reamer
}
