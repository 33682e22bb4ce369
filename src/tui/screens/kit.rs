//! The kit of a module, to tick off.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::kit;
use crate::traveler::report::{note, what};
use crate::tui::app::App;
use crate::tui::widgets::text::cut;

use super::{bar, foot, foot_rows, key_bar};

/// Rows of the foot at least.
const FOOT: u16 = 4;

/// First line of the list that is shown.
fn first(app: &App<'_>, lines: usize, height: usize) -> usize {
    app.line.saturating_sub(height / 2).min(lines.saturating_sub(height))
}

/// The line of the list in a row of the screen.
#[must_use]
pub fn row_at(app: &App<'_>, row: u16) -> Option<usize> {
    let list = app.kit_lines();
    let lines = list.len();
    let foot = foot_rows(&below(app, &list, usize::from(app.size.0)), FOOT, app.size.0);
    let height = usize::from(app.size.1.saturating_sub(2 + foot));
    let inside = usize::from(row.checked_sub(1)?);
    let line = first(app, lines, height) + inside;
    (inside < height && line < lines).then_some(line)
}

/// Draws the list.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(packing) = &app.packing else { return };
    let lines = app.kit_lines();
    let told = below(app, &lines, usize::from(area.width));
    let rows = foot_rows(&told, FOOT, area.width);
    let [head, body, low, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(8), Constraint::Length(rows), Constraint::Length(1)])
            .areas(area);
    let which = if packing.missing_only { "what is missing" } else { "all lines, missing first" };
    let which = if app.filter.is_empty() { which.to_owned() } else { format!("{which}, with \"{}\"", app.filter) };
    let stops = packing.stops();
    bar(app, frame, head, &format!("Kit of {}: {which}", packing.kit.module), &format!("{stops} required missing"));
    let height = usize::from(body.height);
    let from = first(app, lines.len(), height);
    let width = usize::from(body.width);
    let mut shown: Vec<Line<'_>> = Vec::new();
    for (k, line) in lines.iter().enumerate().skip(from).take(height) {
        let style = if k == app.line { app.theme.chosen() } else { Style::new() };
        let cursor = if k == app.line { ">" } else { " " };
        let words = cut(&format!("{cursor}{}", words(line, packing.have(line))), width.saturating_sub(1));
        shown.push(Line::from(Span::styled(words, style)));
    }
    if lines.is_empty() {
        let why = if app.filter.is_empty() {
            "Nothing is missing. o shows all lines."
        } else {
            "No line holds these words. / looks for others, empty shows all."
        };
        shown.push(Line::from(why));
    }
    frame.render_widget(Paragraph::new(shown), body);
    foot(app, frame, low, &told);
    key_bar(app, frame, keys);
}

/// A line of the list: sign and word of its state, pieces, what it is.
fn words(line: &kit::Line, have: u32) -> String {
    let state = match (have >= line.quantity, have, line.required) {
        (true, _, _) => "✓ have   ",
        (_, 0, true) => "! MISSING",
        (_, 0, false) => "· advised",
        (_, _, true) => "! TOO FEW",
        (_, _, false) => "· too few",
    };
    let unit = if line.unit == "piece" { "" } else { line.unit.as_str() };
    let spare = if line.kind == kit::Kind::Spare { "spare: " } else { "" };
    // Two pulleys or belts are told apart by their ids.
    let id = if line.kind == kit::Kind::Part { format!("{}: ", line.id) } else { String::new() };
    // Bolts and washers of two joints look alike: which one they are for stands beside them.
    let joint = line.joint.as_ref().map_or_else(String::new, |joint| format!(", for the {joint}"));
    format!("{state} {have:>3} of {:<3} {unit:<6} {spare}{id}{}{joint}", line.quantity, what(line))
}

/// What was just said, or what is to be known of the chosen line.
fn below(app: &App<'_>, lines: &[&kit::Line], width: usize) -> String {
    if !app.message.is_empty() {
        return app.message.clone();
    }
    let Some(line) = lines.get(app.line) else { return String::new() };
    let steps = match line.steps.as_slice() {
        [] => String::new(),
        [one] => format!("For {one}."),
        [first, .., last] => format!("For {} steps, {first} to {last}.", line.steps.len()),
    };
    // A line that is cut in the list stands here whole.
    let whole = what(line);
    let long = words(line, line.quantity).chars().count() + 2 > width;
    let parts = [if long { whole } else { String::new() }, note(line), line.basis.clone().unwrap_or_default(), steps];
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(". ")
}
