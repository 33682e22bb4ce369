//! The section through the stack along the shaft: what is fitted, what comes now, what is still missing.

use std::collections::BTreeMap;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use ratatui::symbols::Marker;
use ratatui::text::{Line as Words, Span};
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Context, Line, Points, Rectangle};

use crate::procedure::plan::{Drawing, DrawnPart, Shape};

use super::text::cut;
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

/// What part of the machine is shown, in millimetres.
struct View {
    from: f64,
    to: f64,
    radius: f64,
    enlarged: bool,
}

/// The whole shaft; or the stack alone, enlarged and its discs cut off, while work is on the stack.
fn view(drawing: &Drawing, machine: &Machine<'_>) -> View {
    let radius = drawing.parts.iter().map(|p| p.outer_mm / 2.0).fold(drawing.shaft_diameter_mm, f64::max);
    let of_stack = |p: &&DrawnPart| matches!(p.shape, Shape::Collar | Shape::Disc | Shape::Rods);
    let stack: Vec<&DrawnPart> = drawing.parts.iter().filter(of_stack).collect();
    let working = !machine.now.is_empty() && stack.iter().any(|p| machine.now.contains(&p.id.as_str()));
    if !working {
        return View { from: -8.0, to: drawing.shaft_length_mm + 8.0, radius, enlarged: false };
    }
    let from = stack.iter().map(|p| p.from_mm).fold(f64::MAX, f64::min) - 25.0;
    let to = stack.iter().map(|p| p.to_mm).fold(f64::MIN, f64::max) + 25.0;
    let collars = stack.iter().filter(|p| p.shape == Shape::Collar).map(|p| p.outer_mm / 2.0).fold(0.0, f64::max);
    View { from, to, radius: radius.min(collars * 1.25), enlarged: true }
}

/// Draws the section. The last row is for words.
pub fn draw(frame: &mut Frame<'_>, area: Rect, drawing: &Drawing, machine: &Machine<'_>, pen: Pen) {
    if area.width < 8 || area.height < 5 || drawing.shaft_length_mm <= 0.0 {
        return;
    }
    let rows = if area.height >= 9 && !machine.stages.is_empty() { 2 } else { 1 };
    let [picture, words] = Layout::vertical([Constraint::Min(3), Constraint::Length(rows)]).areas(area);
    let shown = view(drawing, machine);
    let (x, y) = bounds(picture, shown.from, -shown.radius, shown.to, shown.radius);
    let cell = (x[1] - x[0]) / f64::from(picture.width.max(1));
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        paint(ctx, drawing, machine, pen);
        goes_on(ctx, drawing, x, cell);
    });
    frame.render_widget(canvas, picture);
    let lines = vec![caption(drawing, machine, shown.enlarged, words.width, pen), stages(machine, words.width)];
    frame.render_widget(Paragraph::new(lines), words);
}

/// Where an end of the shaft lies beyond the picture, an arrow inside the shaft says so, and to which end it goes.
fn goes_on(ctx: &mut Context<'_>, drawing: &Drawing, x: [f64; 2], cell: f64) {
    ctx.layer();
    if x[0] > 0.0 {
        ctx.print(x[0], 0.0, Words::from(FAR_ON));
    }
    if x[1] < drawing.shaft_length_mm {
        let wide = DRIVE_ON.chars().count() as f64;
        ctx.print(x[1] - cell * wide, 0.0, Words::from(DRIVE_ON));
    }
}

/// Words where the shaft goes on beyond the picture.
const FAR_ON: &str = "◄ to the far end";
const DRIVE_ON: &str = "to the drive end ►";

/// Shaft and parts, for every picture that shows them from the side.
pub fn paint(ctx: &mut Context<'_>, drawing: &Drawing, machine: &Machine<'_>, pen: Pen) {
    shaft(ctx, drawing, machine, pen);
    for part in &drawing.parts {
        draw_part(ctx, part, machine, pen);
    }
    // What is worked on lies over its neighbours.
    for part in drawing.parts.iter().filter(|p| machine.now.contains(&p.id.as_str())) {
        draw_part(ctx, part, machine, pen);
    }
}

/// Which end is where, and the part of this step with the stage of its group.
fn caption(drawing: &Drawing, machine: &Machine<'_>, enlarged: bool, width: u16, pen: Pen) -> Words<'static> {
    let bold = Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    let now = drawing.parts.iter().find(|p| machine.now.contains(&p.id.as_str()));
    let words = now.map_or_else(String::new, |part| {
        let stage =
            part.group.as_deref().and_then(|g| machine.stages.get(g)).map_or_else(String::new, |s| format!(", {s}"));
        format!(" now: {}{stage}", part.label)
    });
    let view = if enlarged { "stack enlarged, discs cut" } else { "whole shaft" };
    let room = usize::from(width).saturating_sub(words.chars().count());
    Words::from(vec![Span::styled(words, bold), Span::raw(cut(&format!("  far end left; {view}"), room))])
}

/// How far each group is: a joint that looks tight and is not is told apart by its word.
fn stages(machine: &Machine<'_>, width: u16) -> Words<'static> {
    let list = machine.stages.iter().map(|(group, stage)| format!("{group}: {stage}"));
    Words::from(cut(&format!(" {}", list.collect::<Vec<_>>().join("  ")), usize::from(width)))
}

fn shaft(ctx: &mut Context<'_>, drawing: &Drawing, machine: &Machine<'_>, pen: Pen) {
    let r = drawing.shaft_diameter_mm / 2.0;
    let on_bench = machine.fitted.contains(&"shaft") || !machine.fitted.is_empty();
    let colour = if on_bench { pen.theme.fitted() } else { pen.theme.missing() };
    ctx.draw(&Rectangle { x: 0.0, y: -r, width: drawing.shaft_length_mm, height: 2.0 * r, color: colour });
}

fn state(part: &DrawnPart, machine: &Machine<'_>, pen: Pen) -> (bool, Color) {
    if machine.now.contains(&part.id.as_str()) {
        (true, pen.theme.now())
    } else if machine.fitted.contains(&part.id.as_str()) {
        (true, pen.theme.fitted())
    } else {
        (false, pen.theme.missing())
    }
}

fn draw_part(ctx: &mut Context<'_>, part: &DrawnPart, machine: &Machine<'_>, pen: Pen) {
    let (solid, colour) = state(part, machine, pen);
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

/// The marker for fonts without braille.
#[must_use]
pub const fn plain_marker() -> Marker {
    Marker::HalfBlock
}
