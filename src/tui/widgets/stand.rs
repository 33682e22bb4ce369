//! What the machine stands on, to scale: base and frame from above, and from the side with the shaft over them.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Color;
use ratatui::text::Line as Words;
use ratatui::widgets::canvas::{Canvas, Circle, Context, Line, Rectangle};

use crate::procedure::plan::{Drawing, DrawnStand};
use crate::quantity::rounded;

use super::section::{self, Machine};
use super::{Pen, bounds, caption};

/// Thickness at which plates and feet are drawn, as a share of the height of the axis: the spec states none.
const PLATE: f64 = 0.3;

/// Base or frame from above. Seats of the housings and their bolts are to scale.
pub fn above(frame: &mut Frame<'_>, area: Rect, stand: &DrawnStand, part: &str, pen: Pen) {
    if area.width < 16 || area.height < 5 {
        return;
    }
    let is_base = part == stand.base;
    let told = if is_base {
        format!("{part} alone, from above: {} feet numbered; seats of the housings to scale", stand.feet)
    } else {
        format!("{part} alone, from above: pads that carry the {}", stand.base)
    };
    let outline = "Its outline is not in the spec: drawn as far as the housings reach.";
    let picture = caption(frame, area, &[told, outline.into()], pen);
    let ((from, to), across) = (stand.reach_mm(), stand.foot_mm.1);
    let middle = f64::midpoint(from, to);
    let half = across * 0.75;
    let (x, y) = bounds(picture, from - across * 0.2, -half * 1.25, to + across * 0.2, half * 1.25);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        let color = pen.theme.now();
        ctx.draw(&Rectangle { x: from, y: -half, width: to - from, height: 2.0 * half, color });
        if is_base {
            seats(ctx, stand, 0.0, pen.theme.fitted());
        } else {
            // The pads that the base will stand on.
            pads(ctx, (from, to), half, pen.theme.fitted());
        }
        ctx.layer();
        let (marks, inset) = if is_base { (stand.feet, 0.9) } else { (4, 0.0) };
        if inset > 0.0 {
            corners(marks, (to - from) / 2.0 * inset, half * 0.8, |n, x, y| {
                ctx.print(middle + x, y, Words::from(n.to_string()));
            });
        }
    });
    frame.render_widget(canvas, picture);
}

/// Marks at the corners and between, numbered round in one direction from the left rear.
fn corners(count: u32, half_long: f64, half_wide: f64, mut mark: impl FnMut(u32, f64, f64)) {
    let rear = count.div_ceil(2);
    let place = |k: u32, n: u32| if n < 2 { 0.0 } else { 2.0 * f64::from(k) / f64::from(n - 1) - 1.0 };
    for k in 0..rear {
        mark(k + 1, place(k, rear) * half_long, half_wide);
    }
    for k in 0..count - rear {
        mark(rear + k + 1, -place(k, count - rear) * half_long, -half_wide);
    }
}

/// Foot of each housing with its two bolts, and the axis of the shaft; `middle` is what stands at zero.
pub fn seats(ctx: &mut Context<'_>, stand: &DrawnStand, middle: f64, color: Color) {
    let (along, across, apart) = stand.foot_mm;
    for at in stand.housings_mm.iter().map(|at| at - middle) {
        ctx.draw(&Rectangle { x: at - along / 2.0, y: -across / 2.0, width: along, height: across, color });
        for y in [apart / 2.0, -apart / 2.0] {
            ctx.draw(&Circle { x: at, y, radius: stand.hole_mm / 2.0, color });
        }
    }
    let (from, to) = stand.reach_mm();
    ctx.draw(&Line { x1: from - middle, y1: 0.0, x2: to - middle, y2: 0.0, color });
}

fn pads(ctx: &mut Context<'_>, (from, to): (f64, f64), half: f64, color: Color) {
    let (long, wide) = ((to - from) * 0.14, half * 0.45);
    for x in [from, to - long] {
        for y in [-half, half - wide] {
            ctx.draw(&Rectangle { x, y, width: long, height: wide, color });
        }
    }
}

/// From the side: the section along the shaft, the base with its feet under the housings, and the frame below it where the
/// module stands on it.
pub fn side(
    frame: &mut Frame<'_>,
    area: Rect,
    drawing: &Drawing,
    stand: &DrawnStand,
    machine: &Machine<'_>,
    on_frame: bool,
    pen: Pen,
) {
    if area.width < 16 || area.height < 6 {
        return;
    }
    let on = if on_frame { format!("{} on the {}", stand.base, stand.frame) } else { stand.base.clone() };
    let first = format!("{on}: axis {} mm above the {}, {} feet", rounded(stand.height_mm, 1), stand.base, stand.feet);
    let second = "Far end left. Thickness and outline of what carries it are not in the spec.";
    let picture = caption(frame, area, &[first, second.into()], pen);
    let radius = drawing.parts.iter().map(|p| p.outer_mm / 2.0).fold(drawing.shaft_diameter_mm, f64::max);
    let plate = stand.height_mm * PLATE;
    let depth = stand.height_mm + plate * if on_frame { 4.5 } else { 2.5 };
    let (from, to) = stand.reach_mm();
    let left = from.min(0.0) - 8.0;
    let right = to.max(drawing.shaft_length_mm) + 8.0;
    let (x, y) = bounds(picture, left, -depth.max(radius), right, radius);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        section::paint(ctx, drawing, machine, pen);
        let colour = |id: &str, there: bool| match (machine.now.contains(&id), there) {
            (true, _) => pen.theme.now(),
            (false, true) => pen.theme.fitted(),
            (false, false) => pen.theme.missing(),
        };
        let base = colour(&stand.base, true);
        let top = -stand.height_mm;
        ctx.draw(&Rectangle { x: from, y: top - plate, width: to - from, height: plate, color: base });
        for at in &stand.housings_mm {
            // What carries the ring above the base.
            for side in [-0.5, 0.5] {
                let x = at + stand.foot_mm.0 * side;
                let ring = drawing.shaft_diameter_mm;
                ctx.draw(&Line { x1: x, y1: top, x2: x, y2: -ring, color: base });
            }
        }
        feet(ctx, stand, (from, to), top - plate, plate, base);
        if on_frame {
            let y = top - plate * 3.5;
            let color = colour(&stand.frame, true);
            ctx.draw(&Rectangle { x: from - plate, y, width: to - from + 2.0 * plate, height: plate * 1.5, color });
        }
    });
    frame.render_widget(canvas, picture);
}

/// The feet seen from the side: those of one long side.
fn feet(ctx: &mut Context<'_>, stand: &DrawnStand, (from, to): (f64, f64), under: f64, high: f64, color: Color) {
    let seen = stand.feet.div_ceil(2);
    let wide = stand.foot_mm.0 * 0.7;
    for k in 0..seen {
        let share = if seen < 2 { 0.5 } else { f64::from(k) / f64::from(seen - 1) };
        let x = from + (to - from - wide) * share;
        ctx.draw(&Rectangle { x, y: under - high, width: wide, height: high, color });
    }
}
