//! For the next shift: what is half done or held, parts given up or replaced, notes of this shift, what comes next, what
//! other hands may do, which tools are out.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::naming;
use crate::procedure::plan::Step;
use crate::traveler::{Record, StepState, running_waits};
use crate::tui::app::App;
use crate::tui::widgets::text::{minute, named, with_titles, wrapped};

use super::{bar, key_bar, scrolled};

/// Draws the page.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let [head, body, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(4), Constraint::Length(1)]).areas(area);
    let left = format!("Hand-over of {} {}", record.plan().module, record.started().serial);
    let lines = lines(app, record, body.width.saturating_sub(1));
    let height = usize::from(body.height);
    let from = app.line.min(lines.len().saturating_sub(height));
    let page = scrolled(from, height, lines.len());
    let right = format!("{} of {} done{page}", record.steps_done(), record.plan().steps.len());
    bar(app, frame, head, &left, &right);
    frame.render_widget(Paragraph::new(lines[from..].to_vec()), body);
    key_bar(app, frame, keys);
}

/// How many lines the page has.
#[must_use]
pub fn length(app: &App<'_>) -> usize {
    app.record().map_or(0, |r| lines(app, r, app.size.0.saturating_sub(1)).len())
}

fn lines(app: &App<'_>, record: &Record, width: u16) -> Vec<Line<'static>> {
    let mut lines = if app.message.is_empty() { Vec::new() } else { wrapped(&app.message, width, app.theme.alert()) };
    lines.extend(loud(app, record, width));
    if let Some(adopted) = record.adopted() {
        let here = if adopted.setup == record.plan().setup { "" } else { ", NOT the setup in hand" };
        let words = format!("{}{here}: {}", adopted.said(), adopted.reason);
        lines.extend(named("Adopted:", app.theme.name(), &words, width, Style::new()));
    }
    if let Some((last, _)) = record.trials().last() {
        lines.extend(named("Last speed trial:", app.theme.name(), &last.words(), width, Style::new()));
    }
    parts(app, record, &mut lines, width);
    section(app, &mut lines, "Begun, not done", &record.in_hand(), width);
    notes(app, record, &mut lines, width);
    section(app, &mut lines, "Done last", &record.last_done(3), width);
    let current = record.current_step().map(|s| s.id.clone());
    let others: Vec<&Step> = record
        .open_steps()
        .into_iter()
        .filter(|s| Some(&s.id) != current.as_ref() && record.step_state(&s.id) == StepState::ToDo)
        .collect();
    let next: Vec<&Step> = record.current_step().into_iter().collect();
    section(app, &mut lines, "Next", &next, width);
    section(app, &mut lines, "May be done now by other hands", &others, width);
    tools(app, record, &mut lines, width);
    lines
}

/// Parts that went back or were scrapped, and those that took the place of others.
fn parts(app: &App<'_>, record: &Record, lines: &mut Vec<Line<'static>>, width: u16) {
    let parts = record.exchanged();
    if parts.is_empty() {
        return;
    }
    heading(app, lines, "Parts returned or replaced");
    for part in parts {
        let (name, style) = if part.replaced {
            ("  replaced", app.theme.name())
        } else {
            ("  ! GONE, no other in its place:", app.theme.alert())
        };
        let words = format!("{}, {}", part.part, with_titles(&part.because, &record.plan().steps));
        lines.extend(named(name, style, &words, width, Style::new()));
    }
}

/// Notes of this shift, those at steps that are not done marked as open.
fn notes(app: &App<'_>, record: &Record, lines: &mut Vec<Line<'static>>, width: u16) {
    let notes = record.notes_of_shift();
    let Some((first, ..)) = notes.first() else { return };
    heading(app, lines, &format!("Notes of this shift, since {}", minute(&first.header.at)));
    for (event, step, words) in notes {
        let done = record.step(step).is_none_or(|_| record.step_state(step) == StepState::Done);
        let (mark, style) = if done { ("   ", Style::new()) } else { ("  ! open,", app.theme.alert()) };
        // A step of an earlier round has no number in the plan of this one.
        let at = match record.step(step) {
            Some(s) => format!("step {}, ", s.number),
            None => record.step_ever(step).map_or_else(String::new, |s| format!("{}, ", s.title)),
        };
        let time = event.header.at.get(11..16).unwrap_or("?");
        let words = format!("{at}{} {time}: {words}", event.header.by);
        lines.extend(named(mark, style, &words, width, Style::new()));
    }
}

fn heading(app: &App<'_>, lines: &mut Vec<Line<'static>>, name: &str) {
    lines.push(Line::default());
    lines.push(Line::from(Span::styled(name.to_owned(), app.theme.name())));
}

/// What must not be missed: joints that look tight and are not, readings outside, holds, running clocks.
fn loud(app: &App<'_>, record: &Record, width: u16) -> Vec<Line<'static>> {
    let mut words = Vec::new();
    for joint in record.open_joints() {
        let reached = joint.reached.unwrap_or("begun");
        words.push(format!("! NOT FINAL  {}: {reached}, {} to go. Hang a tag on it.", joint.name, joint.left));
    }
    for (step, check) in record.plan().steps.iter().flat_map(|s| s.checks.iter().map(move |c| (s, c))) {
        let state = record.check_state(step, check);
        if matches!(state, crate::traveler::CheckState::Open | crate::traveler::CheckState::Stopped) {
            words.push(format!("✗ OUTSIDE  step {}: {}", step.number, check.prompt));
        }
    }
    words.extend(record.run_waits_for(|_| "m, then d".into()).map(|why| format!("✗ OUTSIDE  speed trial: {why}")));
    for step in record.in_hand().iter().filter(|s| record.step_state(&s.id) == StepState::Held) {
        let waits = match step.hold.as_deref().filter(|_| record.waits_for_release(step)) {
            Some(role) => format!("waits for {role}"),
            None => "a part of it was given up".into(),
        };
        words.push(format!("! HELD  step {}: {}; {waits}", step.number, step.title));
    }
    for begun in &app.left {
        let Some(step) = record.step(&begun.step) else { continue };
        let count = begun.given.len();
        words.push(format!(
            "! NOT SAVED  step {}: {count} of its values or pulls are typed, and not in the record.",
            step.number
        ));
    }
    for (id, until) in running_waits(record) {
        let until = until.get(..16).unwrap_or(&until).replace('T', " ");
        words
            .push(format!("… CLOCK RUNS  {}: until {until}", record.step(&id).map_or(id.clone(), |s| s.title.clone())));
    }
    if words.is_empty() {
        return wrapped("No joint is half done, nothing is held, no clock runs.", width, Style::new());
    }
    words.iter().flat_map(|w| wrapped(w, width, app.theme.alert())).collect()
}

fn section(app: &App<'_>, lines: &mut Vec<Line<'static>>, name: &str, steps: &[&Step], width: u16) {
    if steps.is_empty() {
        return;
    }
    heading(app, lines, name);
    lines.extend(steps.iter().flat_map(|s| {
        let words = format!("{}  (at: {})", s.title, s.place);
        named(&format!("  {:>3}.", s.number), Style::new(), &words, width, Style::new())
    }));
}

fn tools(app: &App<'_>, record: &Record, lines: &mut Vec<Line<'static>>, width: u16) {
    let current = record.current_step();
    let joints = record.open_joints().into_iter().map(|j| j.next);
    let steps = record.in_hand().into_iter().chain(joints).chain(current);
    let tools = naming::each_once(steps.flat_map(|step| step.tools.iter().chain(&step.instruments)));
    if !tools.is_empty() {
        lines.push(Line::default());
        lines.extend(named("Tools out, to be counted:", app.theme.name(), &tools.join("; "), width, Style::new()));
    }
}
