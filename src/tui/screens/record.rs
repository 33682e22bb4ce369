//! The record: every entry a line under its day, newest last, superseded readings struck; each opens whole.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::traveler::event::{Body, Event};
use crate::traveler::{Record, code, setup_words};
use crate::tui::app::App;
use crate::tui::theme::sign;
use crate::tui::widgets::text::{cut, day, wrapped};

use super::{bar, foot, foot_rows, key_bar, opened};

/// Rows of the foot at least.
const FOOT: u16 = 2;

/// Entries whose words hold what is asked for, oldest first; all where nothing is asked for.
#[must_use]
pub fn found<'r>(app: &App<'_>, record: &'r Record) -> Vec<&'r Event> {
    let holds = |e: &&Event| app.filter.is_empty() || app.found(&opened::words(record, e));
    record.events.iter().filter(holds).collect()
}

/// A row of the list: a day, or the entry at a place among those found.
enum Row<'r> {
    Day(String),
    Entry(usize, &'r Event),
}

fn rows<'r>(events: &[&'r Event]) -> Vec<Row<'r>> {
    let mut rows = Vec::new();
    let mut last = String::new();
    for (k, event) in events.iter().enumerate() {
        let day = day(&event.header.at);
        if day != last {
            rows.push(Row::Day(day.clone()));
            last = day;
        }
        rows.push(Row::Entry(k, event));
    }
    rows
}

/// First row that is shown: the chosen entry is always among them.
fn first(rows: &[Row<'_>], chosen: usize, height: usize) -> usize {
    let at = rows.iter().position(|r| matches!(r, Row::Entry(k, _) if *k == chosen)).unwrap_or(0);
    at.saturating_sub(height / 2).min(rows.len().saturating_sub(height))
}

/// The entry in a row of the screen.
#[must_use]
pub fn row_at(app: &App<'_>, row: u16) -> Option<usize> {
    let events = found(app, app.record()?);
    let rows = rows(&events);
    let top = summary(app.record()?, app.size.0).len();
    let around = 2 + foot_rows(&app.message, FOOT, app.size.0);
    // One row more is the day above whatever entry comes first.
    let height = usize::from(app.size.1.saturating_sub(around)).saturating_sub(top + 1);
    let from = first(&rows, app.line.min(events.len().saturating_sub(1)), height);
    let above = usize::from(matches!(rows.get(from), Some(Row::Entry(..))));
    let inside = usize::from(row).checked_sub(1 + top + above).filter(|r| *r < height)?;
    match rows.get(from + inside)? {
        Row::Entry(k, _) => Some(*k),
        Row::Day(_) => None,
    }
}

/// Draws the record, or the entry that is opened.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let summary = summary(record, area.width);
    let rows = u16::try_from(summary.len()).unwrap_or(2);
    let [head, top, body, low, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(rows),
        Constraint::Min(4),
        Constraint::Length(foot_rows(&app.message, FOOT, area.width)),
        Constraint::Length(1),
    ])
    .areas(area);
    let with = if app.filter.is_empty() { String::new() } else { format!(", entries with \"{}\"", app.filter) };
    let left = format!("Record of {} {}{with}", record.plan().module, record.started().serial);
    bar(app, frame, head, &left, &format!("{}, {}", record.build_state().word(), record.integrity.words()));
    if let Some(event) = app.opened_entry() {
        let inside = Rect { height: top.height + body.height + low.height, ..top };
        opened::draw(app, frame, inside, record, event);
        key_bar(app, frame, keys);
        return;
    }
    frame.render_widget(Paragraph::new(summary), top);
    frame.render_widget(Paragraph::new(list(app, record, body)), body);
    foot(app, frame, low, &app.message);
    key_bar(app, frame, keys);
}

fn list(app: &App<'_>, record: &Record, area: Rect) -> Vec<Line<'static>> {
    let events = found(app, record);
    if events.is_empty() {
        return vec![Line::from("No entry holds these words. / looks for others, empty shows all.")];
    }
    let chosen = app.line.min(events.len() - 1);
    let rows = rows(&events);
    // One row more than is filled: the day stands above whatever entry comes first.
    let height = usize::from(area.height.saturating_sub(1));
    let from = first(&rows, chosen, height);
    let heading = |day: String| Line::from(Span::styled(day, app.theme.name()));
    let line = |row: &Row<'_>| match row {
        Row::Day(day) => heading(day.clone()),
        Row::Entry(k, event) => line(app, record, event, area.width, *k == chosen),
    };
    let above = match rows.get(from) {
        Some(Row::Entry(_, event)) => Some(heading(day(&event.header.at))),
        _ => None,
    };
    above.into_iter().chain(rows.iter().skip(from).take(height).map(line)).collect()
}

fn summary(record: &Record, width: u16) -> Vec<Line<'static>> {
    let setup = setup_words(&record.plan().setup);
    let practice = if record.started().practice { "PRACTICE BUILD. " } else { "" };
    let first = format!(
        "{practice}{} of {} steps done. {}, revision {}, {}.",
        record.steps_done(),
        record.plan().steps.len(),
        record.plan().title,
        record.plan().revision,
        setup,
    );
    let plate = record
        .closeouts()
        .last()
        .map_or_else(String::new, |(n, code, _, _)| format!("Closed at entry {n}, code for the plate {code}"));
    let mut lines = wrapped(&first, width.saturating_sub(1), Style::new());
    if !plate.is_empty() {
        lines.extend(wrapped(&plate, width.saturating_sub(1), Style::new()));
    }
    lines
}

/// One entry in a line: number, time of day, initials, what it says.
fn line(app: &App<'_>, record: &Record, event: &Event, width: u16, chosen: bool) -> Line<'static> {
    let h = &event.header;
    let mark = if chosen { ">" } else { " " };
    let lead = format!("{mark}{:>4} {} {:<4} ", h.event, h.at.get(11..16).unwrap_or("?"), h.by);
    let (words, style) = told(app, record, event);
    let style = if chosen { style.patch(app.theme.chosen()) } else { style };
    Line::from(Span::styled(cut(&format!("{lead}{words}"), usize::from(width)), style))
}

fn told(app: &App<'_>, record: &Record, event: &Event) -> (String, Style) {
    let at = |id: &str| record.step_ever(id).map_or_else(|| id.to_owned(), |s| format!("step {}", s.number));
    let (plain, alert, action) = (Style::new(), app.theme.alert(), app.theme.action());
    match &event.body {
        Body::Reading(r) => {
            let superseded = record.reading(&r.step, &r.check).is_some_and(|k| k.event != event.header.event);
            let former = |k: &crate::traveler::Kept<'_>| k.event == event.header.event && k.former;
            let superseded = superseded || record.readings(&r.step, &r.check).iter().any(former);
            let unit = r.unit.as_ref().map_or_else(String::new, |u| format!(" {u}"));
            let old = if superseded { ", superseded" } else { "" };
            let made = if r.derived { "computed " } else { "" };
            let style = app.theme.verdict(r.verdict);
            let style = if superseded { style.add_modifier(Modifier::CROSSED_OUT) } else { style };
            let value = format!("{made}{}{unit} {}{old}", r.values.join(" "), r.verdict.word());
            let prompt = opened::prompt_of(record, &r.step, &r.check);
            (format!("{} {}: {value}: {prompt}", sign(r.verdict), at(&r.step)), style)
        }
        Body::Started(s) => (format!("started, {}", s.program), plain),
        Body::Disposition(d) => {
            let prompt = opened::prompt_of(record, &d.step, &d.check);
            let kind = d.disposition.kind.word();
            (format!("! {}: {kind} ({}): {}: {prompt}", at(&d.step), d.disposition.role, d.disposition.reason), alert)
        }
        Body::Release(r) => {
            (format!("released {} ({}): {}", at(&r.step), r.role, opened::title_of(record, &r.step)), action)
        }
        Body::Note(n) => (format!("note, {}: {}", at(&n.step), n.text), plain),
        Body::Hours(h) => (h.words(), plain),
        Body::Part(p) => (format!("part {}", p.words()), plain),
        Body::Attached(a) => (format!("file, {}: {}, {}", at(&a.step), a.text, a.file), plain),
        Body::SetAside(a) => (format!("last entry incomplete, {} bytes set aside", a.bytes), alert),
        Body::ClosedOut(c) => (format!("closed out, {} readings, code {}", c.readings, code(&event.hash)), action),
        Body::Reopened(r) => (format!("reopened: {}", r.reason), alert),
        Body::Changed(c) => {
            (format!("round {}, {}, {} steps: {}", c.round, c.kind.word(), c.plan.steps.len(), c.reason), action)
        }
        Body::Trial(t) => (format!("{} trial, {}", sign(t.verdict), t.words()), app.theme.verdict(t.verdict)),
        Body::Adopted(a) => (a.words(), action),
        Body::Unknown => ("a kind of event this program does not know".into(), alert),
    }
}
