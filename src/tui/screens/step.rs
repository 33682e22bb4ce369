//! One step: cautions, why now, what to do, with what, what to enter; the picture of the state now.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph};
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::{Check, CheckKind, Picture, Step};
use crate::traveler::{Record, StepState, barred, value};
use crate::tui::answers::releasable;
use crate::tui::app::App;
use crate::tui::keys::Act;
use crate::tui::looking::Look;
use crate::tui::widgets::section::Machine;
use crate::tui::widgets::{Pen, belt, circle, part, rotor, section, zone};

use super::pages::Pages;
use super::{balance, bar, entry, far, heavy, key_bar, pages, panels};

/// Rows of the entry: rule, prompt, limits, basis, entry, two of message; more where the screen is taller, fewer where
/// nothing is entered.
const fn entry_rows(look: Look, height: u16) -> u16 {
    match look {
        Look::Back | Look::Ahead => 4,
        Look::Work | Look::Other if height >= 32 => 9,
        Look::Work | Look::Other => 7,
    }
}

/// From this width on the picture stands beside the text.
const WIDE: u16 = 110;
/// Share of the width that the text has then, in percent.
const TEXT: u16 = 56;

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
        Layout::vertical([Constraint::Min(4), Constraint::Length(entry_rows(app.look(), area.height))]).areas(body);
    if app.picture {
        pictures(app, frame, upper, record, step);
    } else if area.width >= WIDE {
        let [left, right] =
            Layout::horizontal([Constraint::Percentage(TEXT), Constraint::Percentage(100 - TEXT)]).areas(upper);
        left_side(app, frame, left, record, step);
        pictures(app, frame, right, record, step);
    } else {
        left_side(app, frame, upper, record, step);
    }
    entry::draw(app, frame, lower, record, step);
    key_bar(app, frame, keys);
}

fn left_side(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    if advised(app, record) {
        outside(app, frame, area, record, step);
    } else {
        words(app, frame, area, record, step);
    }
}

fn head_line(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let practice = if record.started().practice { "PRACTICE  " } else { "" };
    let look = match app.look() {
        Look::Back => "LOOKING BACK  ",
        Look::Ahead => "LOOKING AHEAD  ",
        Look::Other => "OTHER STEP  ",
        Look::Work => "",
    };
    let left = format!(
        "{practice}{look}{} {}{}  step {} of {}  {}  at: {}",
        record.plan().module,
        record.started().serial,
        adopted(record),
        step.number,
        record.plan().steps.len(),
        step.operation,
        step.place
    );
    let reader = if app.two { " + reader" } else { "" };
    let who = app.by.as_ref();
    let who = who.map_or_else(|| "nobody named".to_owned(), |by| format!("{by}, {}{reader}", record.role(by)));
    bar(app, frame, area, &left, &who);
}

/// The adopted setup, and whether another one stands.
fn adopted(record: &Record) -> String {
    let other = |a: &crate::traveler::Adopted| if a.setup == record.plan().setup { "" } else { ", not this one" };
    record.adopted().map_or_else(String::new, |a| format!("  adopted: {}{}", a.said(), other(a)))
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
    let mut typed = step.checks.iter().filter(|c| c.asks() != CheckKind::Derived);
    let read = typed.any(|c| record.reading(&step.id, &c.id).is_some());
    unless(app.entry.begun(), &[Act::Undo]);
    unless(app.look() != Look::Work, &[Act::Work]);
    unless(work && read, &[Act::Correct]);
    let stopped = !record.stopped_at(&step.id).is_empty();
    unless(work && (stopped || panels::outside(app, record).is_some()), &[Act::Dispose]);
    unless(app.session.is_some() && releasable(record, step), &[Act::Release]);
    unless(app.open_check().is_some_and(|c| c.asks() == CheckKind::Wait), &[Act::Clock]);
    (wanted(app, record, step), not_now)
}

fn wanted(app: &App<'_>, record: &Record, step: &Step) -> Vec<(Act, &'static str)> {
    let mut keys = Vec::new();
    let work = (Act::Work, "back to work");
    match app.look() {
        Look::Back | Look::Ahead => return vec![work, (Act::Earlier, "before"), (Act::Later, "after")],
        Look::Other => keys.push(work),
        Look::Work => {}
    }
    if !app.text_seen() {
        keys.push((Act::PageDown, "read on"));
        return keys;
    }
    if app.entry.doubt.is_some() || app.soak_asked().is_some() || app.offered().is_some() {
        keys.extend([(Act::Yes, "yes"), (Act::No, "no")]);
        return keys;
    }
    match record.step_state(&step.id) {
        StepState::Done => keys.push((Act::Next, "next step")),
        _ if !record.stopped_at(&step.id).is_empty() => {
            return vec![(Act::Dispose, "replace it"), (Act::Next, "other work")];
        }
        StepState::Held if releasable(record, step) => keys.push((Act::Release, "release")),
        _ => {}
    }
    let open = app.open_check();
    if panels::outside(app, record).is_some() {
        keys.extend([(Act::Dispose, "decide"), (Act::Correct, "mistyped"), (Act::OwnWords, "advice/step")]);
    }
    match open.map(|c| c.asks()) {
        Some(CheckKind::Confirm | CheckKind::Gauge) => keys.extend([(Act::Yes, "yes"), (Act::No, "no")]),
        Some(CheckKind::Torque) => keys.push((Act::Click, "clicked")),
        Some(CheckKind::Wait) => keys.extend([(Act::Clock, "clock"), (Act::EndEarly, "end early")]),
        _ => {}
    }
    keys
}

fn words(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let pages = pages::of(app, area.width, area.height);
    let mut lines = page_lines(app, &pages);
    let height = usize::from(area.height);
    for panel in panels::all(app, record, step, area.width.saturating_sub(1)) {
        if lines.len() + 1 + panel.len() <= height {
            lines.push(Line::default());
            lines.extend(panel);
        } else if lines.len() + panel.len() <= height {
            lines.extend(panel);
        }
    }
    if lines.len() + 3 < height {
        let left = height - lines.len() - 1;
        lines.push(Line::default());
        lines.extend(panels::around(app, record, step, area.width.saturating_sub(1), left));
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// The page shown, with its number where there are several.
fn page_lines(app: &App<'_>, pages: &Pages) -> Vec<Line<'static>> {
    let count = pages.list.len();
    let page = app.page.min(count.saturating_sub(1));
    let mut lines = pages.list.get(page).cloned().unwrap_or_default();
    if count > 1 {
        let more = match page + 1 {
            next if next < pages.required => "  PgDn reads on".to_owned(),
            next if next < count => format!("  PgDn: {}", pages.rest),
            _ => String::new(),
        };
        lines.push(Line::from(Span::styled(format!("page {} of {count}{more}", page + 1), app.theme.alert())));
    }
    lines
}

/// In place of the step's words, while a reading outside its limits waits for its answer.
fn outside(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let pages = pages::advice(app, record, step, area.width, area.height);
    frame.render_widget(Paragraph::new(page_lines(app, &pages)), area);
}

/// True while the advice on a reading outside stands in place of the step's words.
fn advised(app: &App<'_>, record: &Record) -> bool {
    app.at_work() && app.look() != Look::Back && !app.own_words && panels::outside(app, record).is_some()
}

/// Size of the text's area for the terminal's size.
fn text_area(app: &App<'_>) -> (u16, u16) {
    let (width, height) = app.size;
    let text = if width >= WIDE { width * TEXT / 100 } else { width };
    (text, height.saturating_sub(2 + entry_rows(app.look(), height)))
}

/// How many pages there are to turn.
#[must_use]
pub fn page_count(app: &App<'_>) -> usize {
    let (width, height) = text_area(app);
    match (app.record(), app.shown_step()) {
        (Some(record), Some(step)) if advised(app, record) => {
            pages::advice(app, record, step, width, height).list.len()
        }
        _ => pages::of(app, width, height).list.len(),
    }
}

/// How many pages have to be seen before the entry opens.
#[must_use]
pub fn pages_required(app: &App<'_>) -> usize {
    let (width, height) = text_area(app);
    pages::of(app, width, height).required
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
    if let Some(found) = heavy::picture(record, step) {
        return rotor::draw(frame, inner, &found, pen);
    }
    let drawing = &record.plan().drawing;
    let alone = alone(record, step, &machine);
    // What lies on the bench is not shown as if it sat on the shaft.
    let bare = alone.is_none() && on_bench(step, &machine) && step.picture != Picture::Section;
    // What is balanced is seen from its end; the section tells nothing of it.
    let bare = bare || step.operation == "balance";
    if bare || ((step.picture == Picture::Section || inner.height < 14) && alone.is_none()) {
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

/// True where the parts of a step lie on the bench: none is in place yet, and none is put there by this step.
fn on_bench(step: &Step, machine: &Machine<'_>) -> bool {
    let off = |id: &String| !machine.fitted.contains(&id.as_str());
    step.adds.is_empty() && step.group.is_none() && !step.parts.is_empty() && step.parts.iter().all(off)
}

/// The part of a step that lies on the bench; of several alike the first, under the names of all.
fn alone(record: &Record, step: &Step, machine: &Machine<'_>) -> Option<crate::procedure::plan::DrawnPart> {
    let found = step.parts.iter().filter_map(|id| part::find(&record.plan().drawing, id));
    let found: Vec<_> = found.filter(|_| on_bench(step, machine)).collect();
    let first = found.first()?;
    let size = |p: &crate::procedure::plan::DrawnPart| (p.outer_mm, p.bore_mm, p.to_mm - p.from_mm);
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let alike = found.iter().filter(|p| {
        let ((a, b, c), (d, e, f)) = (size(p), size(first));
        p.shape == first.shape && near(a, d) && near(b, e) && near(c, f)
    });
    let label = alike.map(|p| p.label.as_str()).collect::<Vec<_>>().join(", ");
    Some(crate::procedure::plan::DrawnPart { label, ..first.clone() })
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
        Picture::Circle(_) if step.operation == "balance" => {
            if let Some(found) = balance::rotor(record, step) {
                rotor::draw(frame, area, &found, pen);
            }
        }
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
    let check = app.open_check().filter(|c| c.asks() == CheckKind::Torque && c.unit.is_some());
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
