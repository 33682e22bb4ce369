//! The section through the stack along the shaft: what is fitted, what comes now, what is still missing.

use std::collections::BTreeMap;

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Color;
use ratatui::symbols::Marker;
use ratatui::widgets::canvas::{Canvas, Context, Line, Points, Rectangle};

use crate::procedure::plan::{Drawing, DrawnPart, Shape};

use super::{Pen, bounds};

/// State of the machine for the pictures.
#[derive(Debug, Clone, Default)]
pub struct Machine<'a> {
    /// Parts in place.
    pub fitted: Vec<&'a str>,
    /// Parts of the step shown.
    pub now: Vec<&'a str>,
    /// Stage of each group.
    pub stages: BTreeMap<&'a str, &'a str>,
}

/// Draws the section.
pub fn draw(frame: &mut Frame<'_>, area: Rect, drawing: &Drawing, machine: &Machine<'_>, pen: Pen) {
    if area.width < 8 || area.height < 4 || drawing.shaft_length_mm <= 0.0 {
        return;
    }
    let radius = drawing.parts.iter().map(|p| p.outer_mm / 2.0).fold(drawing.shaft_diameter_mm, f64::max);
    let (x, y) = bounds(area, -8.0, -radius * 1.15, drawing.shaft_length_mm + 8.0, radius * 1.05);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        shaft(ctx, drawing, machine, pen);
        for part in &drawing.parts {
            draw_part(ctx, part, machine, pen);
        }
        ctx.layer();
        labels(ctx, drawing, machine, y[0], pen);
    });
    frame.render_widget(canvas, area);
}

fn shaft(ctx: &mut Context<'_>, drawing: &Drawing, machine: &Machine<'_>, pen: Pen) {
    let r = drawing.shaft_diameter_mm / 2.0;
    let on_bench = machine.fitted.contains(&"shaft") || !machine.fitted.is_empty();
    let colour = if on_bench { pen.theme.fitted() } else { pen.theme.missing() };
    ctx.draw(&Rectangle { x: 0.0, y: -r, width: drawing.shaft_length_mm, height: 2.0 * r, color: colour });
}

fn state<'c>(part: &DrawnPart, machine: &Machine<'_>, pen: Pen) -> (bool, Color, &'c str) {
    if machine.now.contains(&part.id.as_str()) {
        (true, pen.theme.now(), "now")
    } else if machine.fitted.contains(&part.id.as_str()) {
        (true, pen.theme.fitted(), "")
    } else {
        (false, pen.theme.missing(), "")
    }
}

fn draw_part(ctx: &mut Context<'_>, part: &DrawnPart, machine: &Machine<'_>, pen: Pen) {
    let (solid, colour, _) = state(part, machine, pen);
    let (x, width) = (part.from_mm, part.to_mm - part.from_mm);
    let (outer, inner) = (part.outer_mm / 2.0, part.bore_mm / 2.0);
    // A section shows the part above and below the shaft.
    let halves = match part.shape {
        Shape::Rods => [(outer - inner, 2.0 * inner), (-outer - inner, 2.0 * inner)],
        _ => [(inner, outer - inner), (-outer, outer - inner)],
    };
    for (y, height) in halves {
        if solid {
            ctx.draw(&Rectangle { x, y, width, height, color: colour });
            if part.shape == Shape::Bearing {
                cross(ctx, x, y, width, height, colour);
            }
        } else {
            dotted(ctx, x, y, width, height, colour);
        }
    }
}

fn cross(ctx: &mut Context<'_>, x: f64, y: f64, w: f64, h: f64, color: Color) {
    ctx.draw(&Line { x1: x, y1: y, x2: x + w, y2: y + h, color });
    ctx.draw(&Line { x1: x, y1: y + h, x2: x + w, y2: y, color });
}

/// Corners and a few points of the outline: the place where a part will be.
fn dotted(ctx: &mut Context<'_>, x: f64, y: f64, w: f64, h: f64, color: Color) {
    let mut points = Vec::new();
    let n = 6;
    for k in 0..=n {
        let t = f64::from(k) / f64::from(n);
        points.extend([(x + w * t, y), (x + w * t, y + h), (x, y + h * t), (x + w, y + h * t)]);
    }
    ctx.draw(&Points { coords: &points, color });
}

/// Names of the parts of this step, at the part, and of the ends.
fn labels(ctx: &mut Context<'_>, drawing: &Drawing, machine: &Machine<'_>, bottom: f64, pen: Pen) {
    use ratatui::style::{Modifier, Style};
    use ratatui::text::Line as Words;
    let bold = Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    ctx.print(0.0, bottom, Words::from("far end"));
    let right = drawing.shaft_length_mm * 0.84;
    ctx.print(right, bottom, Words::from("drive end"));
    if let Some(part) = drawing.parts.iter().find(|p| machine.now.contains(&p.id.as_str())) {
        let stage =
            part.group.as_deref().and_then(|g| machine.stages.get(g)).map_or_else(String::new, |s| format!(" {s}"));
        let x = f64::midpoint(part.from_mm, part.to_mm).min(drawing.shaft_length_mm * 0.7);
        ctx.print(x, bottom + drawing.shaft_diameter_mm, Words::styled(format!("▲ {}{stage}", part.label), bold));
    }
}

/// The marker for fonts without braille.
#[must_use]
pub const fn plain_marker() -> Marker {
    Marker::HalfBlock
}
