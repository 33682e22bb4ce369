//! One part alone, as it lies on the bench: cut along its axis, and seen from the end, to one scale, with its sizes.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line as Words, Span};
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Circle, Context, Line, Rectangle};

use crate::procedure::plan::{Drawing, DrawnCircle, DrawnPart, Shape};
use crate::quantity::rounded;

use super::text::cut;
use super::{Pen, bounds};

/// The drawn part of an id, if the drawing has one; the shaft too.
#[must_use]
pub fn find(drawing: &Drawing, id: &str) -> Option<DrawnPart> {
    let shaft = || DrawnPart {
        id: "shaft".into(),
        label: "shaft".into(),
        shape: Shape::Rods,
        from_mm: 0.0,
        to_mm: drawing.shaft_length_mm,
        outer_mm: 0.0,
        bore_mm: drawing.shaft_diameter_mm,
        group: None,
    };
    if id == "shaft" && drawing.shaft_length_mm > 0.0 {
        return Some(shaft());
    }
    drawing.parts.iter().find(|p| p.id == id).cloned()
}

/// Draws the part. The last row tells its sizes.
pub fn draw(frame: &mut Frame<'_>, area: Rect, drawing: &Drawing, part: &DrawnPart, pen: Pen) {
    if area.width < 16 || area.height < 5 {
        return;
    }
    let [picture, words] = Layout::vertical([Constraint::Min(3), Constraint::Length(1)]).areas(area);
    let bold = Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    let caption = cut(&format!(" {} alone: {}", part.label, sizes(part)), usize::from(words.width));
    frame.render_widget(Paragraph::new(Words::from(Span::styled(caption, bold))), words);
    if part.shape == Shape::Rods {
        rod(frame, picture, part, pen);
    } else {
        turned(frame, picture, drawing, part, pen);
    }
}

fn sizes(part: &DrawnPart) -> String {
    let long = mm(part.to_mm - part.from_mm);
    match part.shape {
        Shape::Rods => format!("Ø {}, {long} long (mm)", mm(part.bore_mm)),
        _ => format!("Ø {}, bore Ø {}, {long} wide (mm)", mm(part.outer_mm), mm(part.bore_mm)),
    }
}

/// Millimetres without needless zeros.
fn mm(value: f64) -> String {
    let text = rounded(value, 2);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn rod(frame: &mut Frame<'_>, area: Rect, part: &DrawnPart, pen: Pen) {
    let (long, r) = (part.to_mm - part.from_mm, part.bore_mm / 2.0);
    let (x, y) = bounds(area, -long * 0.03, -r * 3.0, long * 1.03, r * 3.0);
    let color = pen.theme.now();
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        ctx.draw(&Rectangle { x: 0.0, y: -r, width: long, height: 2.0 * r, color });
        ctx.draw(&Line { x1: -long * 0.02, y1: 0.0, x2: long * 1.02, y2: 0.0, color: pen.theme.fitted() });
    });
    frame.render_widget(canvas, area);
}

fn turned(frame: &mut Frame<'_>, area: Rect, drawing: &Drawing, part: &DrawnPart, pen: Pen) {
    let wide = part.to_mm - part.from_mm;
    let (outer, inner) = (part.outer_mm / 2.0, part.bore_mm / 2.0);
    let gap = outer * 0.4;
    let middle = wide + gap + outer;
    let (x, y) = bounds(area, -outer * 0.1, -outer * 1.05, middle + outer * 1.1, outer * 1.05);
    let color = pen.theme.now();
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        for from in [inner, -outer] {
            ctx.draw(&Rectangle { x: 0.0, y: from, width: wide, height: outer - inner, color });
        }
        // The axis through both views.
        ctx.draw(&Line { x1: -outer * 0.05, y1: 0.0, x2: wide + gap * 0.5, y2: 0.0, color: pen.theme.fitted() });
        for radius in [outer, inner] {
            ctx.draw(&Circle { x: middle, y: 0.0, radius, color });
        }
        if let Some(circle) = circle_of(drawing, part) {
            holes(ctx, circle, middle, (inner, outer), pen);
        }
    });
    frame.render_widget(canvas, area);
}

/// The bolts that go through the part: its own group's, or for a disc those of the rods.
fn circle_of<'d>(drawing: &'d Drawing, part: &DrawnPart) -> Option<&'d DrawnCircle> {
    let rods = || drawing.parts.iter().find(|p| p.shape == Shape::Rods)?.group.as_deref();
    let group = if part.shape == Shape::Disc { rods()? } else { part.group.as_deref()? };
    drawing.circles.iter().find(|c| c.group == group)
}

fn holes(ctx: &mut Context<'_>, circle: &DrawnCircle, middle: f64, (inner, outer): (f64, f64), pen: Pen) {
    let color = pen.theme.fitted();
    if let Some(deg) = circle.split_deg {
        let (s, c) = deg.to_radians().sin_cos();
        for sign in [1.0, -1.0] {
            let (a, b) = (inner * sign, outer * sign);
            ctx.draw(&Line { x1: middle + a * s, y1: a * c, x2: middle + b * s, y2: b * c, color });
        }
    }
    let shown = circle.bolts_mm.iter().filter(|(x, y)| x.hypot(*y) < outer);
    for (x, y) in shown {
        ctx.draw(&Circle { x: middle + x, y: *y, radius: circle.bolt_mm / 2.0, color });
    }
    if let Some((x, y)) = circle.bolts_mm.first().filter(|(x, y)| circle.split_deg.is_none() && x.hypot(*y) < outer) {
        ctx.layer();
        ctx.print(middle + x, y + circle.bolt_mm, Words::from("1"));
    }
}
