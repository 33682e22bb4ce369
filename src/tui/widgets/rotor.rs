//! The rotor seen from its end: holes by number, the heavy spot, the washers that answer it, all to scale.
//!
//! Drawn from what a record tells of unbalance: one disc on its mandrel, all discs in their index, or the rotor being balanced.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::Line as Words;
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Circle, Context, Line};

use crate::quantity::rounded;

use super::text::cut;
use super::{Pen, bounds};

/// Washers under one nut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Washers {
    /// Number of the hole, from 1.
    pub hole: u32,
    /// What is there, in words: "2 x 3.1 g".
    pub words: String,
}

/// Something at an angle: a trial weight, a mass still missing, a hole to drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Sign in the picture.
    pub sign: char,
    /// Angle in degrees, clockwise from hole 1.
    pub deg: f64,
    /// Radius it stands at, in millimetres.
    pub radius_mm: f64,
    /// What it is, in words.
    pub words: String,
}

/// Heavy side of one of several discs.
#[derive(Debug, Clone, PartialEq)]
pub struct HeavyDisc {
    /// Short sign in the picture.
    pub sign: String,
    /// Where it is heavy.
    pub deg: f64,
    /// Share of the largest, 0 to 1: the length of its line.
    pub share: f64,
    /// What it is, in words.
    pub words: String,
}

/// A rotor and its unbalance. Angles in degrees, clockwise from hole 1, which stands on top.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rotor {
    /// Outer diameter, in millimetres.
    pub outer_mm: f64,
    /// Bore, in millimetres.
    pub bore_mm: f64,
    /// Diameter of the circle the holes stand on, in millimetres.
    pub circle_mm: f64,
    /// How many holes.
    pub holes: u32,
    /// Diameter of a hole, in millimetres.
    pub hole_mm: f64,
    /// Where it is heavy, and how much in gram millimetres.
    pub heavy: Option<(f64, f64)>,
    /// Washers that are on.
    pub washers: Vec<Washers>,
    /// What else stands at an angle.
    pub marks: Vec<Mark>,
    /// Heavy sides of single discs.
    pub discs: Vec<HeavyDisc>,
    /// What stands on top, where it is not hole 1 of the rotor.
    pub top: Option<String>,
}

impl Rotor {
    /// Place of a point on a circle: (right, up) from the centre.
    fn at(radius_mm: f64, clockwise_deg: f64) -> (f64, f64) {
        let (sin, cos) = clockwise_deg.to_radians().sin_cos();
        (radius_mm * sin, radius_mm * cos)
    }

    /// Place of a hole by its number.
    fn hole(&self, number: u32) -> (f64, f64) {
        let each = 360.0 / f64::from(self.holes.max(1));
        Self::at(self.circle_mm / 2.0, each * f64::from(number.saturating_sub(1)))
    }
}

/// Draws the rotor; below it, in words, what is heavy and where washers sit.
pub fn draw(frame: &mut Frame<'_>, area: Rect, rotor: &Rotor, pen: Pen) {
    if area.width < 16 || area.height < 6 || rotor.outer_mm <= 0.0 {
        return;
    }
    let told = words(rotor);
    let rows = u16::try_from(told.len()).unwrap_or(u16::MAX).min(area.height / 3);
    let [picture, lower] = Layout::vertical([Constraint::Min(4), Constraint::Length(rows)]).areas(area);
    let width = usize::from(lower.width);
    let mut lines: Vec<Words<'static>> = told.iter().map(|w| Words::from(cut(w, width))).collect();
    if lines.len() > usize::from(rows) {
        let left = lines.len() + 1 - usize::from(rows);
        lines.truncate(usize::from(rows) - 1);
        lines.push(Words::from(cut(&format!(" … {left} more"), width)));
    }
    frame.render_widget(Paragraph::new(lines), lower);
    let reach = rotor.outer_mm * 0.5 * 1.12;
    let (x, y) = bounds(picture, -reach, -reach, reach, reach);
    let cell = (x[1] - x[0]) / f64::from(picture.width);
    let canvas = Canvas::default().marker(pen.marker).x_bounds(x).y_bounds(y).paint(|ctx| {
        let color = pen.theme.fitted();
        for d in [rotor.outer_mm, rotor.bore_mm] {
            ctx.draw(&Circle { x: 0.0, y: 0.0, radius: d / 2.0, color });
        }
        for n in 1..=rotor.holes {
            let (x, y) = rotor.hole(n);
            ctx.draw(&Circle { x, y, radius: rotor.hole_mm / 2.0, color });
        }
        discs(ctx, rotor, cell, pen);
        heavy(ctx, rotor, cell, pen);
        numbers(ctx, rotor, cell);
        marks(ctx, rotor, cell);
    });
    frame.render_widget(canvas, picture);
}

/// A line from the centre to the heavy spot, and the word at its end.
fn heavy(ctx: &mut Context<'_>, rotor: &Rotor, cell: f64, pen: Pen) {
    let Some((deg, _)) = rotor.heavy else { return };
    let (x, y) = Rotor::at(rotor.outer_mm * 0.5 * 0.9, deg);
    let (x1, y1) = Rotor::at(rotor.bore_mm / 2.0, deg);
    ctx.draw(&Line { x1, y1, x2: x, y2: y, color: pen.theme.now() });
    ctx.layer();
    let style = Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    ctx.print(x - cell * 2.5, y, Words::styled("HEAVY", style));
}

/// A line for each disc, as long as its unbalance is large, and its sign at the end.
fn discs(ctx: &mut Context<'_>, rotor: &Rotor, cell: f64, pen: Pen) {
    let (inner, reach) = (rotor.bore_mm / 2.0, rotor.outer_mm * 0.5 * 0.8);
    for disc in &rotor.discs {
        let (x, y) = Rotor::at(inner + (reach - inner) * disc.share.clamp(0.0, 1.0), disc.deg);
        let (x1, y1) = Rotor::at(inner, disc.deg);
        ctx.draw(&Line { x1, y1, x2: x, y2: y, color: pen.theme.fitted() });
        ctx.layer();
        let style = Style::new().add_modifier(Modifier::BOLD);
        ctx.print(x - cell * disc.sign.chars().count() as f64 / 2.0, y, Words::styled(disc.sign.clone(), style));
    }
}

/// Numbers at the holes; a plus where washers sit.
fn numbers(ctx: &mut Context<'_>, rotor: &Rotor, cell: f64) {
    ctx.layer();
    for n in 1..=rotor.holes {
        let (x, y) = rotor.hole(n);
        let sign = if rotor.washers.iter().any(|w| w.hole == n) { "+" } else { "" };
        let text = format!("{n}{sign}");
        let bold = if sign.is_empty() { Style::new() } else { Style::new().add_modifier(Modifier::BOLD) };
        ctx.print(x - cell * text.chars().count() as f64 / 2.0, y, Words::styled(text, bold));
    }
}

/// Signs of what stands at an angle, a little outside the circle of the holes where they would hide a number.
fn marks(ctx: &mut Context<'_>, rotor: &Rotor, cell: f64) {
    ctx.layer();
    let bold = Style::new().add_modifier(Modifier::BOLD);
    for mark in &rotor.marks {
        let off = if (mark.radius_mm - rotor.circle_mm / 2.0).abs() < cell { cell * 3.0 } else { 0.0 };
        let (x, y) = Rotor::at(mark.radius_mm + off, mark.deg);
        ctx.print(x - cell / 2.0, y, Words::styled(mark.sign.to_string(), bold));
    }
}

/// The picture in words.
fn words(rotor: &Rotor) -> Vec<String> {
    let top = rotor.top.as_deref().unwrap_or("hole 1");
    let mut words = vec![format!(" {top} on top, degrees clockwise")];
    words.extend(rotor.discs.iter().map(|d| format!(" {}: {}", d.sign, d.words)));
    words.extend(rotor.heavy.map(|(deg, gmm)| format!(" heavy at {}°: {} g·mm", rounded(deg, 0), rounded(gmm, 0))));
    words.extend(
        rotor.marks.iter().map(|m| format!(" {} at {}°: {}", m.sign, rounded(m.deg.rem_euclid(360.0), 0), m.words)),
    );
    words.extend(rotor.washers.iter().map(|w| format!(" + hole {}: {}", w.hole, w.words)));
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::Theme;
    use ratatui::Terminal;
    use ratatui::backend::TestBackend;
    use ratatui::symbols::Marker;

    fn rotor() -> Rotor {
        let washers = vec![Washers { hole: 4, words: "2 x 3.1 g".into() }];
        Rotor {
            outer_mm: 360.0,
            bore_mm: 25.0,
            circle_mm: 200.0,
            holes: 6,
            hole_mm: 9.0,
            heavy: Some((10.0, 1240.0)),
            washers,
            marks: vec![Mark { sign: 'T', deg: 270.0, radius_mm: 100.0, words: "trial weight 7.3 g".into() }],
            ..Rotor::default()
        }
    }

    fn drawn(size: (u16, u16), rotor: &Rotor) -> Vec<String> {
        let mut terminal = Terminal::new(TestBackend::new(size.0, size.1)).unwrap();
        let pen = Pen { theme: Theme::plain(), marker: Marker::Braille };
        terminal.draw(|frame| draw(frame, frame.area(), rotor, pen)).unwrap();
        let buffer = terminal.backend().buffer();
        (0..size.1).map(|y| (0..size.0).map(|x| buffer[(x, y)].symbol().to_owned()).collect()).collect()
    }

    fn place(rows: &[String], what: &str) -> (usize, usize) {
        let row = rows.iter().position(|r| r.contains(what)).unwrap_or_else(|| panic!("{what}: {rows:#?}"));
        (
            rows[row]
                .chars()
                .collect::<Vec<_>>()
                .windows(what.chars().count())
                .position(|w| w.iter().collect::<String>() == what)
                .unwrap(),
            row,
        )
    }

    #[test]
    fn holes_go_round_clockwise_and_the_heavy_spot_stands_where_it_was_measured() {
        let rows = drawn((60, 30), &rotor());
        let (one, four, two) = (place(&rows, "1"), place(&rows, "4+"), place(&rows, "2"));
        assert!(one.1 < two.1 && two.1 < four.1, "hole 1 on top, 4 below: {rows:#?}");
        assert!(two.0 > one.0, "hole 2 lies to the right of hole 1: {rows:#?}");
        let heavy = place(&rows, "HEAVY");
        assert!(heavy.1 <= one.1 && heavy.0 + 2 > one.0, "at 10 degrees it is near the top, a little right: {rows:#?}");
        let turned = drawn((60, 30), &Rotor { heavy: Some((190.0, 1240.0)), ..rotor() });
        assert!(place(&turned, "HEAVY").1 > place(&turned, "4+").1, "half a turn on: {turned:#?}");
        let trial = place(&rows, "T");
        assert!(trial.0 < one.0 && trial.1 > one.1, "at 270 degrees it is on the left: {rows:#?}");
        for told in ["T at 270°: trial weight 7.3 g", "heavy at 10°: 1240 g·mm", "+ hole 4: 2 x 3.1 g"] {
            assert!(rows.iter().any(|r| r.contains(told)), "{told}: {rows:#?}");
        }
    }

    #[test]
    fn each_disc_is_marked_where_it_is_heavy_and_the_larger_one_further_out() {
        let disc = |sign: &str, deg, share| HeavyDisc { sign: sign.into(), deg, share, words: format!("disc {sign}") };
        let discs = vec![disc("A", 90.0, 1.0), disc("B", 270.0, 0.4)];
        let top = Some("hole position 1".to_owned());
        let rows = drawn((60, 30), &Rotor { heavy: None, washers: Vec::new(), discs, top, ..rotor() });
        let (a, b) = (place(&rows, "A"), place(&rows, "B"));
        let middle = place(&rows, "4").0;
        assert!(
            a.0 > middle && b.0 < middle && a.0 - middle > 2 * (middle - b.0) - 3,
            "{a:?} {b:?} {middle}: {rows:#?}"
        );
        assert!(
            rows.iter().any(|r| r.contains("hole position 1 on top")) && rows.iter().any(|r| r.contains("A: disc A"))
        );
    }

    #[test]
    fn the_round_rotor_is_as_wide_as_high_and_no_size_panics() {
        let rows = drawn((60, 24), &Rotor { heavy: None, washers: Vec::new(), marks: Vec::new(), ..rotor() });
        let inked = |r: &&String| r.chars().any(|c| ('\u{2801}'..='\u{28ff}').contains(&c));
        let high = rows.iter().filter(inked).count();
        let columns = (0..60)
            .filter(|x| rows.iter().any(|r| r.chars().nth(*x).is_some_and(|c| ('\u{2801}'..='\u{28ff}').contains(&c))))
            .count();
        assert!(columns.abs_diff(high * 2) <= 3, "{columns} columns, {high} rows: {rows:#?}");
        for size in [(0, 0), (1, 1), (16, 6), (15, 40), (200, 5), (200, 60)] {
            let _ = drawn(size, &rotor());
        }
        let many = (1..=6).map(|hole| Washers { hole, words: "1 x 3.1 g".into() }).collect();
        let crowded = drawn((30, 12), &Rotor { washers: many, ..rotor() });
        assert!(crowded.iter().any(|r| r.contains("more")), "what does not fit is counted: {crowded:#?}");
        let nothing = drawn((30, 12), &Rotor::default());
        assert!(nothing.iter().all(|r| r.trim().is_empty()));
    }
}
