//! The record: every event, newest last, superseded readings with a sign.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::traveler::event::{Body, Event};
use crate::traveler::{Record, code};
use crate::tui::app::App;
use crate::tui::theme::sign;
use crate::tui::widgets::text::{cut, wrapped};

use super::{bar, key_bar};

/// Index of the last line that can be scrolled to.
#[must_use]
pub fn last_line(app: &App<'_>) -> usize {
    let height = usize::from(app.size.1.saturating_sub(6)).max(1);
    app.record().map_or(0, |r| found(app, r).len().saturating_sub(height))
}

/// Events whose line holds the words asked for; all where none are asked for.
fn found<'r>(app: &App<'_>, record: &'r Record) -> Vec<&'r Event> {
    let holds = |e: &&Event| app.filter.is_empty() || app.found(&line(app, record, e, u16::MAX).to_string());
    record.events.iter().filter(holds).collect()
}

/// Draws the record.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let [head, top, body, foot, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(2),
        Constraint::Min(4),
        Constraint::Length(2),
        Constraint::Length(1),
    ])
    .areas(area);
    let with = if app.filter.is_empty() { String::new() } else { format!(", entries with \"{}\"", app.filter) };
    let left = format!("Record of {} {}{with}", record.plan().module, record.started().serial);
    bar(app, frame, head, &left, &format!("{}, {}", record.build_state().word(), record.integrity.words()));
    frame.render_widget(Paragraph::new(summary(record, top.width)), top);
    let height = usize::from(body.height);
    let events = found(app, record);
    let from = app.line.min(events.len().saturating_sub(height));
    let mut lines: Vec<Line<'static>> =
        events.iter().skip(from).take(height).map(|e| line(app, record, e, body.width)).collect();
    if events.is_empty() {
        lines.push(Line::from("No entry holds these words. / looks for others, empty shows all."));
    }
    frame.render_widget(Paragraph::new(lines), body);
    frame.render_widget(Paragraph::new(wrapped(&app.message, foot.width, app.theme.alert())), foot);
    key_bar(app, frame, keys);
}

fn summary(record: &Record, width: u16) -> Vec<Line<'static>> {
    let setup: Vec<String> = record.plan().setup.iter().map(|(k, v)| format!("{k} {v}")).collect();
    let practice = if record.started().practice { "PRACTICE BUILD. " } else { "" };
    let first = format!(
        "{practice}{}, revision {}, {}. {} of {} steps done.",
        record.plan().title,
        record.plan().revision,
        setup.join(", "),
        record.steps_done(),
        record.plan().steps.len()
    );
    let plate = record
        .closeouts()
        .last()
        .map_or_else(String::new, |(n, code, _, _)| format!("Closed at entry {n}, code for the plate {code}"));
    vec![Line::from(cut(&first, usize::from(width))), Line::from(cut(&plate, usize::from(width)))]
}

fn line(app: &App<'_>, record: &Record, event: &Event, width: u16) -> Line<'static> {
    let h = &event.header;
    let at = h.at.get(5..16).unwrap_or(&h.at).replace('T', " ");
    let lead = format!("{:>4} {at} {:<4} ", h.event, h.by);
    let (words, style) = match &event.body {
        Body::Reading(r) => {
            let superseded = record.reading(&r.step, &r.check).is_some_and(|k| k.event != h.event);
            let unit = r.unit.as_deref().unwrap_or_default();
            let old = if superseded { " (superseded)" } else { "" };
            let made = if r.derived { "computed " } else { "" };
            let style = app.theme.verdict(r.verdict);
            let style = if superseded { style.add_modifier(Modifier::CROSSED_OUT) } else { style };
            (
                format!(
                    "{} {} {}: {made}{} {unit} {}{old}",
                    sign(r.verdict),
                    r.step,
                    r.check,
                    r.values.join(" "),
                    r.verdict.word()
                ),
                style,
            )
        }
        Body::Started(s) => (format!("started, {}", s.program), Style::new()),
        Body::Disposition(d) => (
            format!(
                "! {} {}: {} ({}): {}",
                d.step,
                d.check,
                d.disposition.kind.word(),
                d.disposition.role,
                d.disposition.reason
            ),
            app.theme.alert(),
        ),
        Body::Release(r) => (format!("released {} ({})", r.step, r.role), app.theme.action()),
        Body::Note(n) => (format!("note {}: {}", n.step, n.text), Style::new()),
        Body::Part(p) => (format!("part {}", p.words()), Style::new()),
        Body::Attached(a) => (format!("file {}: {}, {}", a.step, a.text, a.file), Style::new()),
        Body::SetAside(a) => (format!("last entry incomplete, {} bytes set aside", a.bytes), app.theme.alert()),
        Body::ClosedOut(c) => {
            (format!("closed out, {} readings, code {}", c.readings, code(&event.hash)), app.theme.action())
        }
        Body::Reopened(r) => (format!("reopened: {}", r.reason), app.theme.alert()),
        Body::Changed(c) => {
            (format!("round {}, {} steps: {}", c.round, c.plan.steps.len(), c.reason), app.theme.action())
        }
        Body::Unknown => ("a kind of event this program does not know".into(), app.theme.alert()),
    };
    Line::from(Span::styled(cut(&format!("{lead}{words}"), usize::from(width)), style))
}
