//! A belt drive to scale, seen along the shaft: both pulleys, both runs of the belt, the press at mid span, and the sled
//! with its travel and where it stands.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Color;
use ratatui::text::Line as Words;
use ratatui::widgets::canvas::{Canvas, Circle, Context, Line, Rectangle};

use crate::procedure::plan::{DrawnBelt, DrawnDrive};
use crate::quantity::rounded;
use crate::traveler::Centre;

use super::{Pen, bounds, caption};

/// What the step works on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// The belt.
    Belt,
    /// The sled and what it carries.
    Sled,
    /// The pulleys.
    Pulleys,
}

/// Travel of a sled.
#[derive(Debug, Clone)]
struct Slot {
    inner: f64,
    outer: f64,
    wanted: f64,
}

/// A drive as it stands.
#[derive(Debug, Clone)]
pub struct Run {
    driven: f64,
    other: f64,
    centre: f64,
    names: (String, String),
    laid: bool,
    /// Deflection and force, where the belt is pressed.
    press: Option<(f64, f64)>,
    slot: Option<Slot>,
    at: At,
    words: [String; 2],
}

impl Run {
    /// From the plan and the state of the record; `press` is the deflection where the belt is pressed.
    #[must_use]
    pub fn of(drive: &DrawnDrive, now: Centre, laid: bool, press: Option<f64>, at: At) -> Self {
        let (inner, outer) = (drive.inner_mm, drive.inner_mm + drive.travel_mm);
        let mm = |v: f64| rounded(v, 0);
        let (centre, stands) = match now {
            Centre::Inner => (inner, format!("now: sled at its inner end, centre {} mm", mm(inner))),
            Centre::Between => {
                let words = format!("now: sled on its way to the centre of {} mm", mm(drive.centre_mm));
                (drive.centre_mm, words)
            }
            Centre::Measured(c) => (c, format!("now: centre {} mm by the measured span", mm(c))),
        };
        let larger = if press.is_some() { " The press is drawn larger." } else { "" };
        let travel =
            format!("Travel {} to {} mm, the belt asks for {} mm.{larger}", mm(inner), mm(outer), mm(drive.centre_mm));
        Self {
            driven: drive.driven_mm,
            other: drive.other_mm,
            centre,
            names: (drive.pulley.clone(), drive.other.clone()),
            laid,
            press: press.map(|deflection| (deflection, drive.force_n)),
            slot: Some(Slot { inner, outer, wanted: drive.centre_mm }),
            at,
            words: [stands, travel],
        }
    }

    /// From an older record, which knows no sled.
    #[must_use]
    pub fn of_belt(belt: &DrawnBelt) -> Self {
        Self {
            driven: belt.driven_mm,
            other: belt.driver_mm,
            centre: belt.centre_mm,
            names: ("rotor".into(), "driver".into()),
            laid: true,
            press: Some((belt.deflection_mm, belt.force_n)),
            slot: None,
            at: At::Belt,
            words: [format!("Span {} mm. The press is drawn larger.", rounded(belt.span_mm, 0)), String::new()],
        }
    }

    /// Centre distance as it is drawn.
    #[must_use]
    pub const fn centre(&self) -> f64 {
        self.centre
    }

    fn top(&self) -> f64 {
        self.driven.max(self.other) / 2.0
    }
}

/// Draws the drive. The last rows tell where the sled stands.
pub fn draw(frame: &mut Frame<'_>, area: Rect, run: &Run, pen: Pen) {
    if area.width < 16 || area.height < 5 {
        return;
    }
    let picture = caption(frame, area, &run.words, pen);
    let (driven, other, top) = (run.driven / 2.0, run.other / 2.0, run.top());
    let far = run.slot.as_ref().map_or(run.centre, |s| s.outer.max(run.centre));
    let low = if run.slot.is_some() { top * 1.75 } else { top * 1.15 };
    let high = if run.press.is_some() { top * 1.45 } else { top * 1.1 };
    let (x, y) = bounds(picture, -driven - 10.0, -low, far + other + 10.0, high);
    let cell = (x[1] - x[0]) / f64::from(picture.width.max(1));
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        let colour = |at: At| if run.at == at { pen.theme.now() } else { pen.theme.fitted() };
        for (middle, radius) in [(0.0, driven), (run.centre, other)] {
            ctx.draw(&Circle { x: middle, y: 0.0, radius, color: colour(At::Pulleys) });
        }
        runs(ctx, run, colour(At::Belt), pen);
        if let Some(slot) = &run.slot {
            sled(ctx, run, slot, colour(At::Sled), pen);
        }
        ctx.layer();
        names(ctx, run, cell);
    });
    frame.render_widget(canvas, picture);
}

/// Both runs of the belt, the upper one pressed where that is looked at; nothing while it hangs or is off.
fn runs(ctx: &mut Context<'_>, run: &Run, color: Color, pen: Pen) {
    if !run.laid {
        return;
    }
    let (driven, other, top) = (run.driven / 2.0, run.other / 2.0, run.top());
    // Tangent points lie turned back by the slope of the runs.
    let slope = ((other - driven) / run.centre.max(1e-9)).clamp(-1.0, 1.0).asin();
    let (sin, cos) = slope.sin_cos();
    let (ax, ay) = (-driven * sin, driven * cos);
    let (bx, by) = (run.centre - other * sin, other * cos);
    ctx.draw(&Line { x1: ax, y1: -ay, x2: bx, y2: -by, color });
    let Some((deflection, force)) = run.press else {
        ctx.draw(&Line { x1: ax, y1: ay, x2: bx, y2: by, color });
        return;
    };
    let (mx, my) = (f64::midpoint(ax, bx), f64::midpoint(ay, by));
    // The deflection is small; it is drawn larger so that it can be seen, and said in words.
    let shown = deflection.max(top * 0.12);
    ctx.draw(&Line { x1: ax, y1: ay, x2: mx, y2: my - shown, color });
    ctx.draw(&Line { x1: mx, y1: my - shown, x2: bx, y2: by, color });
    arrow(ctx, (mx, my + top * 0.5), (mx, my - shown + top * 0.03), pen.theme.now());
    ctx.layer();
    let words = format!(" {} N at {} mm", rounded(force, 1), rounded(deflection, 1));
    ctx.print(mx, my + top * 0.5, Words::from(words));
}

fn arrow(ctx: &mut Context<'_>, from: (f64, f64), to: (f64, f64), color: Color) {
    ctx.draw(&Line { x1: from.0, y1: from.1, x2: to.0, y2: to.1, color });
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let head = dx.hypot(dy) * 0.3;
    for turn in [2.6_f64, -2.6] {
        let angle = dy.atan2(dx) + turn;
        ctx.draw(&Line { x1: to.0, y1: to.1, x2: to.0 + head * angle.cos(), y2: to.1 + head * angle.sin(), color });
    }
}

/// The sled under what it carries, its slot from end to end, and the place that the belt asks for.
fn sled(ctx: &mut Context<'_>, run: &Run, slot: &Slot, color: Color, pen: Pen) {
    let (other, top) = (run.other / 2.0, run.top());
    let (half, table) = (other * 0.7, -other - top * 0.06);
    let high = top * 0.1;
    ctx.draw(&Rectangle { x: run.centre - half, y: table - high, width: 2.0 * half, height: high, color });
    ctx.draw(&Line { x1: run.centre, y1: 0.0, x2: run.centre, y2: table, color });
    let frame = pen.theme.fitted();
    let y = table - high * 2.4;
    // The slot as the axis of the carried pulley runs in it, with its two ends.
    ctx.draw(&Line { x1: slot.inner, y1: y, x2: slot.outer, y2: y, color: frame });
    for end in [slot.inner, slot.outer] {
        ctx.draw(&Line { x1: end, y1: y - high * 0.8, x2: end, y2: y + high * 0.8, color: frame });
    }
    ctx.draw(&Line { x1: slot.wanted, y1: y - high * 1.3, x2: slot.wanted, y2: y, color: frame });
    ctx.draw(&Line { x1: run.centre, y1: y, x2: run.centre, y2: table - high, color: pen.theme.now() });
}

fn names(ctx: &mut Context<'_>, run: &Run, cell: f64) {
    let mut name = |text: &str, x: f64, y: f64| {
        let half = text.chars().count() as f64 * cell / 2.0;
        ctx.print(x - half, y, Words::from(text.to_owned()));
    };
    name(&run.names.0, 0.0, 0.0);
    name(&run.names.1, run.centre, 0.0);
    if let Some(slot) = &run.slot {
        let (other, top) = (run.other / 2.0, run.top());
        let y = -other - top * 0.4;
        // Left and right of the slot, clear of its marks.
        let (inner, outer) = (rounded(slot.inner, 0), rounded(slot.outer, 0));
        name(&format!("{inner} "), slot.inner - cell * 3.0, y);
        name(&format!(" {outer}"), slot.outer + cell * 3.0, y);
    }
}

/// The belt alone, as it came: its loop laid round, to its length.
pub fn alone(frame: &mut Frame<'_>, area: Rect, drive: &DrawnDrive, pen: Pen) {
    if area.width < 16 || area.height < 5 {
        return;
    }
    let words = format!("{} alone: {}, {} mm effective length", drive.belt, drive.profile, rounded(drive.belt_mm, 0));
    let picture = caption(frame, area, &[words], pen);
    // Two half rounds and two straights: a loop three times as long as high.
    let radius = drive.belt_mm / (2.0 * std::f64::consts::PI + 8.0);
    let half = radius * 2.0;
    let reach = half + radius;
    let (x, y) = bounds(picture, -reach * 1.05, -radius * 1.15, reach * 1.05, radius * 1.15);
    let color = pen.theme.now();
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        for y in [radius, -radius] {
            ctx.draw(&Line { x1: -half, y1: y, x2: half, y2: y, color });
        }
        for side in [1.0, -1.0] {
            let at = |k: i32| {
                let angle = std::f64::consts::PI * (f64::from(k) / 24.0 - 0.5);
                (side * (half + radius * angle.cos()), radius * angle.sin())
            };
            for k in 0..24 {
                let ((x1, y1), (x2, y2)) = (at(k), at(k + 1));
                ctx.draw(&Line { x1, y1, x2, y2, color });
            }
        }
    });
    frame.render_widget(canvas, picture);
}
