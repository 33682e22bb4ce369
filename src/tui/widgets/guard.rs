//! The guard round the rotor, to scale: along the shaft and from the end, with the least gap between them.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::widgets::canvas::{Canvas, Circle, Line, Rectangle};

use crate::procedure::plan::{Drawing, DrawnPart, DrawnStand, Shape};
use crate::quantity::rounded;

use super::section::{self, Machine};
use super::{Pen, bounds, caption};

/// Draws the rotor with the guard round it.
pub fn draw(frame: &mut Frame<'_>, area: Rect, drawing: &Drawing, stand: &DrawnStand, machine: &Machine<'_>, pen: Pen) {
    let turning = |p: &&DrawnPart| p.shape != Shape::Bearing;
    let parts: Vec<&DrawnPart> = drawing.parts.iter().filter(turning).collect();
    if area.width < 24 || area.height < 6 || parts.is_empty() {
        return;
    }
    let radius = parts.iter().map(|p| p.outer_mm / 2.0).fold(0.0, f64::max);
    let from = parts.iter().map(|p| p.from_mm).fold(f64::INFINITY, f64::min);
    let to = parts.iter().map(|p| p.to_mm).fold(f64::NEG_INFINITY, f64::max);
    let least = stand.gap_mm.unwrap_or(0.0);
    // Two views side by side; a gap narrower than three dots of the picture could not be seen.
    let across = drawing.shaft_length_mm + 2.3 * (radius + least);
    let gap = least.max(3.0 * across / f64::from(area.width) / 2.0);
    let told = stand.gap_mm.map_or_else(String::new, |gap| format!(", at least {} mm away", rounded(gap, 0)));
    let larger = if gap > least { "; the gap is drawn larger" } else { "" };
    let first = format!("{} round everything that turns{told}{larger}", stand.guard);
    let picture = caption(frame, area, &[first, "Far end left; at the right seen from the end.".into()], pen);
    let out = radius + gap;
    let middle = drawing.shaft_length_mm + out * 1.15;
    let (x, y) = bounds(picture, -8.0, -out * 1.05, middle + out * 1.05, out * 1.05);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        section::paint(ctx, drawing, machine, pen);
        let color = pen.theme.now();
        ctx.draw(&Rectangle { x: from - gap, y: -out, width: to - from + 2.0 * gap, height: 2.0 * out, color });
        ctx.draw(&Circle { x: middle, y: 0.0, radius: out, color });
        let rotor = pen.theme.fitted();
        for r in [radius, drawing.shaft_diameter_mm / 2.0] {
            ctx.draw(&Circle { x: middle, y: 0.0, radius: r, color: rotor });
        }
        // The gap, where it is measured.
        ctx.draw(&Line { x1: middle, y1: radius, x2: middle, y2: out, color });
    });
    frame.render_widget(canvas, picture);
}
