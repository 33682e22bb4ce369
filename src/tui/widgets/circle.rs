//! The end view of a fastener group: numbers, hole 1, the split, and an arrow to the next bolt.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::Line as Words;
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Circle, Context, Line, Rectangle};

use crate::procedure::plan::{DrawnCircle, DrawnStand};

use super::text::named;
use super::{Pen, bounds, stand};

/// Where the tightening stands.
#[derive(Debug, Clone, Default)]
pub struct Round {
    /// Bolts done in this pass.
    pub done: Vec<u32>,
    /// The next bolt.
    pub next: Option<u32>,
    /// Each bolt with its result, in the order given; shown beside the picture.
    pub list: Vec<String>,
}

/// Draws the end view; hold-downs on the base, with the seats of the housings.
pub fn draw(frame: &mut Frame<'_>, area: Rect, circle: &DrawnCircle, round: &Round, on: Option<&DrawnStand>, pen: Pen) {
    if area.width < 10 || area.height < 5 {
        return;
    }
    let (hx, hy) = half(circle);
    let label = named(" ", Style::new(), &circle.label, area.width.saturating_sub(1), Style::new());
    let rows = u16::try_from(label.len()).unwrap_or(1).min(area.height / 2);
    let [area, words] = Layout::vertical([Constraint::Min(4), Constraint::Length(rows)]).areas(area);
    frame.render_widget(Paragraph::new(label), words);
    let area = results(frame, area, round);
    let (x, y) = bounds(area, -hx * 1.1, -hy * 1.1, hx * 1.1, hy * 1.1);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        outline(ctx, circle, pen);
        if let Some(stand) = on {
            let (from, to) = stand.reach_mm();
            stand::seats(ctx, stand, f64::midpoint(from, to), pen.theme.fitted());
        }
        arrow(ctx, circle, round, pen);
        ctx.layer();
        numbers(ctx, circle, round, (x[1] - x[0]) / f64::from(area.width), pen);
    });
    frame.render_widget(canvas, area);
}

/// Width of the list beside the picture.
const LIST: u16 = 22;

/// Writes the list of results at the right, where there is room, and gives back what is left for the picture.
fn results(frame: &mut Frame<'_>, area: Rect, round: &Round) -> Rect {
    if round.list.is_empty() || area.width < LIST * 2 || usize::from(area.height) < round.list.len() {
        return area;
    }
    let [picture, list] = Layout::horizontal([Constraint::Min(10), Constraint::Length(LIST)]).areas(area);
    let lines: Vec<Words<'static>> = round.list.iter().map(|l| Words::from(l.clone())).collect();
    frame.render_widget(Paragraph::new(lines), list);
    picture
}

fn half(circle: &DrawnCircle) -> (f64, f64) {
    let reach = circle.bolts_mm.iter().fold((1.0_f64, 1.0_f64), |(a, b), (x, y)| (a.max(x.abs()), b.max(y.abs())));
    match circle.plate_mm {
        Some((w, h)) => (w.max(reach.0), h.max(reach.1)),
        None => {
            let r = (circle.outer_mm / 2.0).max(reach.0).max(reach.1);
            (r, r)
        }
    }
}

fn outline(ctx: &mut Context<'_>, circle: &DrawnCircle, pen: Pen) {
    let color = pen.theme.fitted();
    if let Some((w, h)) = circle.plate_mm {
        ctx.draw(&Rectangle { x: -w, y: -h, width: 2.0 * w, height: 2.0 * h, color });
    }
    for d in [circle.outer_mm, circle.bore_mm] {
        if d > 0.0 {
            ctx.draw(&Circle { x: 0.0, y: 0.0, radius: d / 2.0, color });
        }
    }
    if let Some(deg) = circle.split_deg {
        let (s, c) = deg.to_radians().sin_cos();
        // The line of the split, left out inside the bore.
        for sign in [1.0, -1.0] {
            let (a, b) = (circle.bore_mm / 2.0 * sign, circle.outer_mm / 2.0 * sign);
            ctx.draw(&Line { x1: a * s, y1: a * c, x2: b * s, y2: b * c, color });
        }
    }
}

fn arrow(ctx: &mut Context<'_>, circle: &DrawnCircle, round: &Round, pen: Pen) {
    let at = |n: u32| circle.bolts_mm.get((n as usize).wrapping_sub(1)).copied();
    let (Some(next), Some(last)) = (round.next.and_then(at), round.done.last().copied().and_then(at)) else {
        return;
    };
    let (dx, dy) = (next.0 - last.0, next.1 - last.1);
    let length = dx.hypot(dy).max(1e-9);
    let off = circle.bolt_mm * 1.2 / length;
    let (x1, y1) = (last.0 + dx * off, last.1 + dy * off);
    let (x2, y2) = (next.0 - dx * off, next.1 - dy * off);
    let color = pen.theme.now();
    ctx.draw(&Line { x1, y1, x2, y2, color });
    let head = length * 0.12;
    for turn in [2.6_f64, -2.6] {
        let angle = dy.atan2(dx) + turn;
        ctx.draw(&Line { x1: x2, y1: y2, x2: x2 + head * angle.cos(), y2: y2 + head * angle.sin(), color });
    }
}

/// Numbers: the next one in brackets, done ones with a tick; never colour alone.
fn numbers(ctx: &mut Context<'_>, circle: &DrawnCircle, round: &Round, cell: f64, pen: Pen) {
    for (n, (x, y)) in (1u32..).zip(&circle.bolts_mm) {
        let (text, style) = if round.next == Some(n) {
            (format!("[{n}]"), Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD))
        } else if round.done.contains(&n) {
            (format!("{n}✓"), Style::new())
        } else {
            (n.to_string(), Style::new().fg(Color::Reset))
        };
        let shift = cell * text.chars().count() as f64 / 2.0;
        ctx.print(x - shift, *y, Words::styled(text, style));
    }
}
