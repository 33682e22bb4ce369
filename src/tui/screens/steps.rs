//! The list of steps with their states.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::plan::Step;
use crate::traveler::{CheckState, Record, StepState};
use crate::tui::app::App;
use crate::tui::looking::held;
use crate::tui::widgets::text::cut;

use super::{bar, foot, foot_rows, key_bar};

/// Rows of the foot at least.
const FOOT: u16 = 3;
/// Said behind the step in work.
const IN_WORK: &str = "<- in work";

/// First line of the list that is shown.
fn first(app: &App<'_>, steps: usize, height: usize) -> usize {
    app.line.saturating_sub(height / 2).min(steps.saturating_sub(height))
}

/// The line of the list in a row of the screen.
#[must_use]
pub fn row_at(app: &App<'_>, row: u16) -> Option<usize> {
    let steps = app.listed().len();
    let foot = foot_rows(&below(app), FOOT, app.size.0);
    let height = usize::from(app.size.1.saturating_sub(2 + foot));
    let inside = usize::from(row).checked_sub(1).filter(|r| *r < height)?;
    let line = first(app, steps, height) + inside;
    (line < steps).then_some(line)
}

/// Draws the list.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let words = below(app);
    let [head, body, low, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(4),
        Constraint::Length(foot_rows(&words, FOOT, area.width)),
        Constraint::Length(1),
    ])
    .areas(area);
    let which = if app.open_only { "Steps that may be done now" } else { "All steps" };
    let which = if app.filter.is_empty() { which.to_owned() } else { format!("{which} with \"{}\"", app.filter) };
    bar(app, frame, head, &which, &format!("{} of {} done", record.steps_done(), record.plan().steps.len()));
    let steps = app.listed();
    let height = usize::from(body.height);
    let from = first(app, steps.len(), height);
    let current = app.in_work().map(|s| s.id.as_str());
    let line = |(k, step): (usize, &&Step)| {
        let in_work = current == Some(step.id.as_str());
        self::line(app, record, step, k == app.line, in_work, usize::from(body.width))
    };
    let mut lines: Vec<Line<'static>> = steps.iter().enumerate().skip(from).take(height).map(line).collect();
    if steps.is_empty() {
        let why = if app.filter.is_empty() {
            "Nothing may be done now: a hold stands in the way, or everything is done."
        } else {
            "No step holds these words. / looks for others, empty shows all."
        };
        lines.push(Line::from(why));
    }
    frame.render_widget(Paragraph::new(lines), body);
    foot(app, frame, low, &words);
    key_bar(app, frame, keys);
}

/// One step: cursor, number, sign and word of its state, title, and whether it is the one in work.
fn line(app: &App<'_>, record: &Record, step: &Step, chosen: bool, in_work: bool, width: usize) -> Line<'static> {
    let state = record.step_state(&step.id);
    let sign = match state {
        StepState::Done => "✓",
        StepState::Held => "!",
        StepState::InHand => "…",
        StepState::ToDo => "·",
    };
    let cursor = if chosen { ">" } else { " " };
    let behind = if in_work { IN_WORK } else { "" };
    let room = width.saturating_sub(if in_work { IN_WORK.len() + 2 } else { 1 });
    let part = record.part_words(&step.id).map_or_else(String::new, |w| format!(": {w}"));
    let words = format!("{cursor}{:>4} {sign} {:<8} {}{part}", step.number, state.word(), step.title);
    let words = cut(&words, room);
    let style = match (chosen, in_work) {
        (true, _) => app.theme.chosen(),
        (false, true) => app.theme.action(),
        _ => Style::new(),
    };
    Line::from(Span::styled(format!("{words:<room$} {behind}").trim_end().to_owned(), style))
}

/// True while a waiting time of the step runs.
fn waiting(record: &Record, step: &Step) -> bool {
    step.checks.iter().any(|c| record.check_state(step, c) == CheckState::Running)
}

/// What was just said; else the chosen step whole: a list cuts long titles.
fn below(app: &App<'_>) -> String {
    let steps = app.listed();
    match (steps.get(app.line), app.record()) {
        _ if !app.message.is_empty() => app.message.clone(),
        (Some(step), Some(record)) => {
            let hold = step.hold.as_ref().map_or_else(String::new, |role| format!(", hold: {role}"));
            let missing = record.missing_before(step);
            let after: Vec<String> =
                missing.iter().filter_map(|id| record.step(id)).map(|s| s.number.to_string()).collect();
            let state = record.step_state(&step.id);
            let why = match after.len() {
                _ if state == StepState::Done => String::new(),
                0 if waiting(record, step) => " Its waiting time runs.".into(),
                0 => held(record, step).map_or_else(|| " May be done now.".to_owned(), |how| format!(" It is {how}.")),
                1 => format!(" Comes after step {}.", after[0]),
                n if n <= 6 => format!(" Comes after steps {}.", after.join(", ")),
                n => format!(" Comes after {n} steps, first of them {}.", after[0]),
            };
            format!("{}. {} (at: {}{hold}).{why}", step.number, step.title, step.place)
        }
        _ => String::new(),
    }
}
