//! The list of steps with their states.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::traveler::StepState;
use crate::tui::app::App;
use crate::tui::widgets::text::cut;

use super::{bar, key_bar};

/// First line of the list that is shown.
fn first(app: &App<'_>, steps: usize, height: usize) -> usize {
    app.line.saturating_sub(height / 2).min(steps.saturating_sub(height))
}

/// The line of the list in a row of the screen.
#[must_use]
pub fn row_at(app: &App<'_>, row: u16) -> Option<usize> {
    let steps = app.listed().len();
    let height = usize::from(app.size.1).saturating_sub(2);
    let line = first(app, steps, height) + usize::from(row).checked_sub(1)?;
    (line < steps).then_some(line)
}

/// Draws the list.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let [head, body, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(4), Constraint::Length(1)]).areas(area);
    let which = if app.open_only { "Steps that may be done now" } else { "All steps" };
    let which = if app.filter.is_empty() { which.to_owned() } else { format!("{which} with \"{}\"", app.filter) };
    bar(app, frame, head, &which, &format!("{} of {} done", record.steps_done(), record.plan().steps.len()));
    let steps = app.listed();
    let height = usize::from(body.height);
    let from = first(app, steps.len(), height);
    let mut lines = Vec::new();
    for (k, step) in steps.iter().enumerate().skip(from).take(height) {
        let state = record.step_state(&step.id);
        let sign = match state {
            StepState::Done => "✓",
            StepState::Held => "!",
            StepState::InHand => "…",
            StepState::ToDo => "·",
        };
        let style = if k == app.line { app.theme.chosen() } else { Style::new() };
        let part = record.part_words(&step.id).map_or_else(String::new, |w| format!(": {w}"));
        let words = format!("{:>4} {sign} {:<8} {}{part}", step.number, state.word(), step.title);
        lines.push(Line::from(Span::styled(cut(&words, usize::from(body.width)), style)));
    }
    if steps.is_empty() {
        let why = if app.filter.is_empty() {
            "Nothing may be done now: a hold stands in the way, or everything is done."
        } else {
            "No step holds these words. / looks for others, empty shows all."
        };
        lines.push(Line::from(why));
    }
    frame.render_widget(Paragraph::new(lines), body);
    key_bar(app, frame, keys);
}
