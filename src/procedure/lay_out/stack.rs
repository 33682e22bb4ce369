//! Discs, collars and rods of a new module.

use std::f64::consts::PI;

use crate::mechanics::ream;
use crate::mechanics::stack_up::{Nuts, rod_cut, rod_needed};
use crate::quantity::Length;
use crate::standards::threads::{self, Thread};

use super::sheet::{Sheet, mm, up};
use super::{Answers, NotSo};

/// Collars as wide as their first guess, mm.
const WIDTH: f64 = 20.0;

/// Between the shaft and the middle of the rods' circle, both sides together, mm: room for the halves' pinch bolts (common practice).
const INSIDE: f64 = 55.0;

/// From the washers to the collar's rim, both sides together, mm (common practice).
const RIM: f64 = 14.0;

/// What a disc's thickness is held to, the widest that leaves one rod length for every stack is taken, mm.
const TOLERANCES: [f64; 4] = [0.3, 0.2, 0.1, 0.05];

/// Sizes of the stack.
#[derive(Debug, Clone)]
pub struct Sizes {
    /// Thread of the rods.
    pub thread: &'static Thread,
    /// Circle of the rods.
    pub circle: f64,
    /// Outer diameter of the collars.
    pub collar: f64,
    /// Width of a collar.
    pub width: f64,
    /// Width as it is written.
    pub width_written: String,
    /// Tolerance of a disc's thickness.
    pub tolerance: f64,
    /// Number of discs and length of the rods for it.
    pub rods: Vec<(u32, f64)>,
    /// The longest stack of collars and discs, nominal.
    pub longest: f64,
    /// How far the rods stand out of the shortest stack of the most discs, at one end.
    pub out: f64,
    /// Bore of the discs as it comes.
    pub bore: String,
}

/// Sizes that follow from the answers.
///
/// # Errors
/// [`NotSo`] where rods find no room on the discs, or no rod length serves.
pub fn sizes(answers: &Answers, sheet: &Sheet<'_>) -> Result<Sizes, NotSo> {
    let shaft = f64::from(answers.shaft);
    let size = sheet.said("rods.size", thread_for(answers.rods));
    let thread = threads::thread(&size).map_err(|e| NotSo::new("holes", e.to_string()))?;
    let round = f64::from(answers.rods) * (thread.washer_outer + 4.0) / PI;
    let circle = up((shaft + INSIDE).max(round), 5.0);
    let needed = up(circle + thread.washer_outer + RIM, 5.0);
    let collar = sheet.mm("collars.outer").filter(|own| *own >= needed).unwrap_or(needed);
    if answers.outer < collar {
        let why = format!(
            "discs of {} are smaller than the collars that clamp them: {} rods {size} round a shaft of {} need collars of {}",
            mm(answers.outer),
            answers.rods,
            mm(shaft),
            mm(collar)
        );
        let mut not = NotSo::new("diameter", why);
        not.instead.push(("diameter", mm(collar)));
        return Err(not);
    }
    let width = sheet.mm("collars.width").unwrap_or(WIDTH);
    let width_written = sheet.said("collars.width", &format!("{} ±0.1", mm(WIDTH)));
    let nuts = match sheet.said("rods.secure", "second nut").as_str() {
        "second nut" => Nuts::SecondNut,
        "spring washer" => Nuts::SpringWasher,
        _ => Nuts::Plain,
    };
    let lengths = |tolerance: f64| -> Option<Vec<(u32, f64)>> {
        let one = |n: u32| {
            let stack = f64::from(n) * answers.thickness + 2.0 * width;
            let wide = f64::from(n) * tolerance + 0.2;
            let (least, most) = rod_needed(thread, Length::from_mm(stack - wide), Length::from_mm(stack + wide), nuts);
            rod_cut(least, most).map(|cut| (n, cut.mm()))
        };
        (answers.discs.0..=answers.discs.1).map(one).collect()
    };
    let usual = TOLERANCES.into_iter().filter(|t| *t <= if answers.thickness > 10.0 { 0.3 } else { 0.2 });
    let found = usual.into_iter().find_map(|t| lengths(t).map(|rods| (t, rods)));
    let Some((tolerance, rods)) = found else {
        let why = format!("no one rod length serves {} discs, however closely they are made", answers.discs.1);
        return Err(NotSo::new("discs", why));
    };
    let longest = f64::from(answers.discs.1) * answers.thickness + 2.0 * width;
    let rod = rods.last().map_or(longest, |(_, length)| *length);
    let out = (rod - longest) / 2.0 + f64::from(answers.discs.1) * tolerance + 0.2;
    Ok(Sizes { thread, circle, collar, width, width_written, tolerance, rods, longest, out, bore: bore(answers)? })
}

/// Many rods are thinner ones: what they pull together presses the sliding collar out of its grip, and some 300 mm² of them in all
/// clamp as much as a pair of collars holds (common practice).
const fn thread_for(rods: u32) -> &'static str {
    match rods {
        0..=8 => "M8",
        9..=14 => "M6",
        _ => "M5",
    }
}

/// The bore as it comes: in the middle of the stock that a hand reamer takes, in twentieths, as closely made as that leaves room for.
fn bore(answers: &Answers) -> Result<String, NotSo> {
    let finished = f64::from(answers.shaft);
    let stock = ream::stock(Length::from_mm(finished), true, false).map_err(|e| NotSo::new("shaft", e.to_string()))?;
    let (low, high) = (finished - 2.0 * stock.most.mm(), finished - 2.0 * stock.least.mm());
    let middle = ((low + high) / 2.0 * 20.0).round() / 20.0;
    let room = (middle - low).min(high - middle);
    let tolerance = [0.1, 0.05, 0.02].into_iter().find(|t| *t <= room + 1e-9).unwrap_or(0.02);
    Ok(format!("{} ±{tolerance}", mm(middle)))
}
