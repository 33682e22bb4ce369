//! One step: cautions, why now, what to do, with what, what to enter; the picture of the state now.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph};
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::naming;
use crate::procedure::plan::{Check, CheckKind, Picture, Step};
use crate::traveler::{Record, StepState, barred, value};
use crate::tui::app::App;
use crate::tui::keys::Act;
use crate::tui::widgets::section::Machine;
use crate::tui::widgets::{Pen, belt, circle, part, section, text, zone};

use super::{bar, entry, far, key_bar, panels};

/// Rows of the entry: rule, prompt, limits, basis, entry, two of message; more where the screen is taller.
const fn entry_rows(height: u16) -> u16 {
    if height >= 32 { 9 } else { 7 }
}

/// From this width on the picture stands beside the text.
const WIDE: u16 = 110;

/// Draws the step.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let (Some(record), Some(step)) = (app.record(), app.shown_step()) else {
        return;
    };
    if app.far {
        far::draw(app, frame, area, record, step);
        return;
    }
    let [head, body, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(10), Constraint::Length(1)]).areas(area);
    head_line(app, frame, head, record, step);
    let [upper, lower] =
        Layout::vertical([Constraint::Min(4), Constraint::Length(entry_rows(area.height))]).areas(body);
    if app.picture {
        pictures(app, frame, upper, record, step);
    } else if area.width >= WIDE {
        let [left, right] = Layout::horizontal([Constraint::Percentage(56), Constraint::Percentage(44)]).areas(upper);
        left_side(app, frame, left, record, step);
        pictures(app, frame, right, record, step);
    } else {
        left_side(app, frame, upper, record, step);
    }
    entry::draw(app, frame, lower, record, step);
    key_bar(app, frame, keys);
}

fn left_side(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    if app.at_work() && !app.own_words && panels::outside(app, record).is_some() {
        outside(app, frame, area, record, step);
    } else {
        words(app, frame, area, record, step);
    }
}

fn head_line(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let practice = if record.started().practice { "PRACTICE  " } else { "" };
    let left = format!(
        "{practice}{} {}  step {} of {}  {}  at: {}",
        record.plan().module,
        record.started().serial,
        step.number,
        record.plan().steps.len(),
        step.operation,
        step.place
    );
    let who = app.by.as_ref().map_or_else(|| "nobody named".to_owned(), |by| format!("{by}, {}", record.role(by)));
    bar(app, frame, area, &left, &who);
}

/// The keys this moment asks for, before the others; and those that would do nothing now.
pub(in crate::tui) fn now_keys(app: &App<'_>) -> (Vec<(Act, &'static str)>, Vec<Act>) {
    let (Some(record), Some(step)) = (app.record(), app.shown_step()) else {
        return (Vec::new(), Vec::new());
    };
    let mut not_now = Vec::new();
    let mut unless = |can: bool, acts: &[Act]| {
        if !can {
            not_now.extend_from_slice(acts);
        }
    };
    let work = app.at_work();
    let read = step.checks.iter().any(|c| record.reading(&step.id, &c.id).is_some());
    unless(app.entry.begun(), &[Act::Undo]);
    unless(!work, &[Act::Work]);
    unless(work && read, &[Act::Correct]);
    unless(work && panels::outside(app, record).is_some(), &[Act::Dispose]);
    unless(record.step_state(&step.id) == StepState::Held, &[Act::Release]);
    unless(app.open_check().is_some_and(|c| c.kind == CheckKind::Wait), &[Act::Clock]);
    (wanted(app, record, step), not_now)
}

fn wanted(app: &App<'_>, record: &Record, step: &Step) -> Vec<(Act, &'static str)> {
    if !app.at_work() {
        return vec![(Act::Work, "back to work")];
    }
    if !app.text_seen() {
        return vec![(Act::PageDown, "read on")];
    }
    if app.entry.doubt.is_some() || app.soak_asked().is_some() || app.offered().is_some() {
        return vec![(Act::Yes, "yes"), (Act::No, "no")];
    }
    let mut keys = Vec::new();
    match record.step_state(&step.id) {
        StepState::Done => keys.push((Act::Next, "next step")),
        StepState::Held => keys.push((Act::Release, "release")),
        _ => {}
    }
    let open = app.open_check();
    if panels::outside(app, record).is_some() {
        keys.extend([(Act::Dispose, "decide"), (Act::Correct, "mistyped"), (Act::OwnWords, "advice/step")]);
    }
    match open.map(|c| c.kind) {
        Some(CheckKind::Confirm | CheckKind::Gauge) => keys.extend([(Act::Yes, "yes"), (Act::No, "no")]),
        Some(CheckKind::Torque) => keys.push((Act::Click, "clicked")),
        Some(CheckKind::Wait) => keys.extend([(Act::Clock, "clock"), (Act::EndEarly, "end early")]),
        _ => {}
    }
    keys
}

fn words(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let pages = text_pages(app, area.width, area.height);
    let page = app.page.min(pages.len() - 1);
    let mut lines = pages[page].clone();
    if pages.len() > 1 {
        let more = if page + 1 < pages.len() { "  PgDn reads on" } else { "" };
        lines.push(Line::from(Span::styled(format!("page {} of {}{more}", page + 1, pages.len()), app.theme.alert())));
    }
    let height = usize::from(area.height);
    for panel in panels::all(app, record, step, area.width.saturating_sub(1)) {
        if lines.len() + 1 + panel.len() <= height {
            lines.push(Line::default());
            lines.extend(panel);
        } else if lines.len() + panel.len() <= height && pages.len() == 1 {
            lines.extend(panel);
        }
    }
    if lines.len() + 3 < height {
        let left = height - lines.len() - 1;
        lines.push(Line::default());
        lines.extend(panels::coming(app, record, step, area.width.saturating_sub(1), left));
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// In place of the step's words, while a reading outside its limits waits for its answer.
fn outside(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let width = area.width.saturating_sub(1);
    let mut lines = reminder(app, step, width);
    lines.extend(panels::outside_lines(app, record, step, width));
    let room = usize::from(area.height);
    if lines.len() > room {
        lines.truncate(room.saturating_sub(1));
        lines.push(Line::from(Span::styled(
            "… more on a larger screen; o shows the step's own words",
            app.theme.alert(),
        )));
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// Size of the text's area for the terminal's size.
fn text_area(size: (u16, u16)) -> (u16, u16) {
    let width = if size.0 >= WIDE { size.0 * 56 / 100 } else { size.0 };
    (width, size.1.saturating_sub(2 + entry_rows(size.1)))
}

/// How many pages the text of the step shown has.
#[must_use]
pub fn page_count(app: &App<'_>) -> usize {
    let (width, height) = text_area(app.size);
    text_pages(app, width, height).len()
}

/// The text in pages; one row of each is kept for the page number where there are several.
fn text_pages(app: &App<'_>, width: u16, height: u16) -> Vec<Vec<Line<'static>>> {
    let (Some(record), Some(step)) = (app.record(), app.shown_step()) else {
        return vec![Vec::new()];
    };
    let lines = text_lines(app, step, width.saturating_sub(1), true);
    if lines.len() + panels::needed(app, record, step, width.saturating_sub(1)) <= usize::from(height) {
        return text::pages(lines, height);
    }
    // Too long: why-now and tools give way to one line each, then pages.
    let lines = text_lines(app, step, width.saturating_sub(1), false);
    if lines.len() <= usize::from(height) {
        return text::pages(lines, height);
    }
    let rows = usize::from(height.saturating_sub(1)).max(1);
    let (first, rest) = lines.split_at(rows.min(lines.len()));
    let head = reminder(app, step, width.saturating_sub(1));
    let room = rows.saturating_sub(head.len()).max(1);
    let mut pages = vec![first.to_vec()];
    pages.extend(rest.chunks(room).map(|part| [head.as_slice(), part].concat()));
    pages
}

/// Cautions and action in a line each: they stay on the later pages too. The whole of them is on the first.
fn reminder(app: &App<'_>, step: &Step, width: u16) -> Vec<Line<'static>> {
    let room = usize::from(width);
    let caution = |c: &crate::procedure::plan::Caution| {
        let word = format!(" {} ", c.signal.word());
        let text = text::cut(&c.text, room.saturating_sub(word.chars().count() + 1));
        Line::from(vec![Span::styled(word, app.theme.signal(c.signal)), Span::raw(format!(" {text}"))])
    };
    let mut lines: Vec<Line<'static>> = step.cautions.iter().map(caution).collect();
    lines.push(Line::from(Span::styled(text::cut(&step.title, room), app.theme.action())));
    lines
}

fn text_lines(app: &App<'_>, step: &Step, width: u16, full: bool) -> Vec<Line<'static>> {
    let theme = app.theme;
    let plain = ratatui::style::Style::new();
    let mut lines = Vec::new();
    for caution in &step.cautions {
        let word = format!(" {} ", caution.signal.word());
        lines.extend(text::named(&word, theme.signal(caution.signal), &caution.text, width, plain));
    }
    lines.extend(text::wrapped(&step.title, width, theme.action()));
    for (n, action) in (1..).zip(&step.actions) {
        lines.extend(text::named(&format!("{n}."), theme.name(), action, width, plain));
    }
    let tools: Vec<&str> = step.tools.iter().chain(&step.instruments).map(String::as_str).collect();
    let tools = tools.join("; ");
    let why = app.record().map_or_else(String::new, |r| naming::why_now(step, &r.plan().steps));
    let short = |name: &str, all: &str| {
        let room = usize::from(width).saturating_sub(name.chars().count() + 1);
        vec![Line::from(vec![Span::styled(format!("{name} "), theme.name()), Span::raw(text::cut(all, room))])]
    };
    for (name, all) in [("With:", tools), ("Why now:", why)] {
        if all.is_empty() {
            continue;
        }
        lines.extend(if full { text::named(name, theme.name(), &all, width, plain) } else { short(name, &all) });
    }
    lines
}

fn pictures(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let block = Block::new().borders(Borders::LEFT);
    let inner = block.inner(area);
    frame.render_widget(block, area);
    let machine = Machine {
        fitted: record.fitted(),
        now: step.parts.iter().chain(&step.adds).map(String::as_str).collect(),
        stages: record.stages(),
    };
    let pen = Pen { theme: app.theme, marker: app.marker };
    let drawing = &record.plan().drawing;
    let alone = alone(record, step, &machine);
    if (step.picture == Picture::Section || inner.height < 14) && alone.is_none() {
        one_picture(app, frame, inner, record, step, &machine, pen);
        return;
    }
    let share = if step.picture == Picture::Zone { 65 } else { 45 };
    let [upper, lower] =
        Layout::vertical([Constraint::Percentage(share), Constraint::Percentage(100 - share)]).areas(inner);
    match alone {
        Some(found) if step.picture == Picture::Section => part::draw(frame, inner, drawing, &found, pen),
        Some(found) => {
            part::draw(frame, upper, drawing, &found, pen);
            one_picture(app, frame, lower, record, step, &machine, pen);
        }
        None => {
            section::draw(frame, upper, drawing, &machine, pen);
            one_picture(app, frame, lower, record, step, &machine, pen);
        }
    }
}

/// The one part of a step that lies on the bench: not in place yet, and not put there by this step.
fn alone(record: &Record, step: &Step, machine: &Machine<'_>) -> Option<crate::procedure::plan::DrawnPart> {
    let [id] = step.parts.as_slice() else { return None };
    let on_bench = step.adds.is_empty() && step.group.is_none() && !machine.fitted.contains(&id.as_str());
    on_bench.then(|| part::find(&record.plan().drawing, id)).flatten()
}

fn one_picture(
    app: &App<'_>,
    frame: &mut Frame<'_>,
    area: Rect,
    record: &Record,
    step: &Step,
    machine: &Machine<'_>,
    pen: Pen,
) {
    let drawing = &record.plan().drawing;
    match &step.picture {
        Picture::Section => section::draw(frame, area, drawing, machine, pen),
        Picture::Circle(group) => {
            if let Some(found) = drawing.circles.iter().find(|c| c.group == *group) {
                circle::draw(frame, area, found, &round(app, step), pen);
            }
        }
        Picture::Belt => {
            if let Some(found) = &drawing.belt {
                belt::draw(frame, area, found, pen);
            }
        }
        Picture::Zone => {
            let measured = app.open_check().filter(|c| c.lower.is_some() || c.upper.is_some());
            let check = measured
                .or_else(|| step.checks.iter().find(|c| c.unit.is_some() && (c.lower.is_some() || c.upper.is_some())));
            match check {
                Some(check) => zone::draw(frame, area, check, &values(app, record, step, check), pen),
                None => section::draw(frame, area, drawing, machine, pen),
            }
        }
    }
}

fn round(app: &App<'_>, step: &Step) -> circle::Round {
    let sequence = step.sequence.clone().unwrap_or_default();
    let check = app.open_check().filter(|c| c.kind == CheckKind::Torque && c.unit.is_some());
    let Some(check) = check.filter(|_| app.at_work()) else {
        return circle::Round::default();
    };
    let (done, next) = (app.entry.bolts_done(), app.entry.next_bolt(&sequence));
    let skipped = app.entry.skipped(&sequence);
    let line = |n: &u32| {
        let given = app.entry.given.iter().find(|g| g.split('=').next() == Some(n.to_string().as_str()));
        let value = given.and_then(|g| g.split_once('=')).map_or("click", |(_, v)| v);
        let mark = match (given, next == Some(*n)) {
            (Some(_), _) => format!("{value} {}", if crate::traveler::fits(check, value) { "✓" } else { "✗" }),
            (None, true) if skipped.contains(n) => "<- ! passed over".into(),
            (None, true) => "<- now".into(),
            (None, false) if skipped.contains(n) => "! passed over".into(),
            (None, false) => "·".into(),
        };
        format!("{n:>3}  {mark}")
    };
    circle::Round { list: sequence.iter().map(line).collect(), done, next }
}

fn values(app: &App<'_>, record: &Record, step: &Step, check: &Check) -> zone::Values {
    let kept = record.reading(&step.id, &check.id).map(|k| k.reading.values.clone()).unwrap_or_default();
    let typed = if app.open_check().is_some_and(|c| c.id == check.id) { app.entry.given.clone() } else { Vec::new() };
    let number = |v: &String| value(check, v, true).ok()?.to_f64();
    zone::Values {
        readings: kept.iter().chain(&typed).filter_map(number).collect(),
        uncertainty: app.uncertainty.as_ref().and_then(number),
    }
}

/// Why the step shown cannot be worked on, if so.
pub(super) fn why_not(app: &App<'_>, record: &Record, step: &Step) -> Option<String> {
    if app.session.is_none() {
        return Some("This record is read, not written.".into());
    }
    barred(record, step)
}
