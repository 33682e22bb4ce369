//! What was entered at a step, told whole: values, limits, verdict, who, when and with what.

use ratatui::style::Style;
use ratatui::text::Line;

use crate::procedure::plan::{Check, Step};
use crate::traveler::event::{Body, Reading};
use crate::traveler::{Kept, Record};
use crate::tui::app::App;
use crate::tui::theme::sign;
use crate::tui::widgets::text::{minute, named, wrapped};

use super::limits;

/// Every check of a step with its reading, then its release and its notes.
#[must_use]
pub fn readings(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let mut lines = readings_made(app, record, step, width);
    for check in step.checks.iter().filter(|c| record.reading(&step.id, &c.id).is_none()) {
        let words = format!("{} {}; nothing entered", check.prompt, limits::told(check));
        lines.extend(named("·", app.theme.name(), &words, width, Style::new()));
    }
    if let Some((release, event)) = record.release(&step.id) {
        let how = release.remote.as_ref().map_or_else(String::new, |m| {
            format!(", from afar by {}, taken down by {}, not confirmed yet", m.channel, m.taken_by)
        });
        let alone = if release.alone { ", alone, did the work too" } else { "" };
        let words = format!("{} ({}), {}{how}{alone}", event.header.by, release.role, minute(&event.header.at));
        lines.extend(named("Released by", app.theme.name(), &words, width, Style::new()));
    }
    lines.extend(notes(app, record, step, width));
    lines
}

/// The readings that are there, each in full.
#[must_use]
pub fn readings_made(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let made = step.checks.iter().filter_map(|c| record.reading(&step.id, &c.id).map(|k| (c, k)));
    made.flat_map(|(check, kept)| one(app, record, check, &kept, width)).collect()
}

fn one(app: &App<'_>, record: &Record, check: &Check, kept: &Kept<'_>, width: u16) -> Vec<Line<'static>> {
    let reading = kept.reading;
    let style = app.theme.verdict(reading.verdict);
    let mut lines = named(sign(reading.verdict), style, &check.prompt, width, app.theme.action());
    let mut detail = |words: &str, style: Style| lines.extend(named("   ", style, words, width, style));
    detail(&value_words(reading), style);
    let before = record.readings(&reading.step, &reading.check).len().saturating_sub(1);
    let judged = Check { lower: reading.lower.clone(), upper: reading.upper.clone(), ..check.clone() };
    let earlier = if before == 0 { String::new() } else { format!("; {before} before it, in the record (r)") };
    detail(&format!("{}; {}{earlier}", limits::told(&judged), made_words(kept)), Style::new());
    for words in answers(kept) {
        detail(&words, app.theme.alert());
    }
    lines
}

/// Value, unit, verdict and why.
#[must_use]
pub fn value_words(reading: &Reading) -> String {
    let unit = reading.unit.as_ref().map_or_else(String::new, |u| format!(" {u}"));
    let made = if reading.derived { "computed " } else { "" };
    let verdict = reading.verdict.word();
    let because = if reading.because.is_empty() || reading.because == verdict {
        String::new()
    } else {
        format!(": {}", reading.because)
    };
    format!("{made}{}{unit}, {verdict}{because}", reading.values.join("  "))
}

/// Who made a reading, when, and with what.
fn made_words(kept: &Kept<'_>) -> String {
    let reading = kept.reading;
    let with = reading.instrument.as_ref().map_or_else(String::new, |i| {
        let late = if i.overdue { ", past its date" } else { "" };
        format!(", with {} {}{late}", i.kind, i.id)
    });
    let paper =
        reading.paper.as_ref().map_or_else(String::new, |p| format!(", from paper of {}, {}", p.measured_by, p.at));
    let witness = reading.witness.as_ref().map_or_else(String::new, |w| format!(", read back by {w}"));
    format!("{} ({}), {}{with}{paper}{witness}", kept.by, reading.role, minute(kept.at))
}

/// Corrections, decisions and waits ended early.
fn answers(kept: &Kept<'_>) -> Vec<String> {
    let reading = kept.reading;
    let corrects = reading.corrects.as_ref().map(|c| format!("corrects entry {}: {}", c.event, c.reason));
    let decided = kept.disposition.map(|(d, by)| format!("{} by {by} ({}): {}", d.kind.word(), d.role, d.reason));
    let ended = reading.ended_early.as_ref().map(|e| format!("ended early ({}): {}", e.role, e.reason));
    let doubt = reading.doubt.as_ref().map(|d| format!("kept although {d}"));
    let typed = reading.typed.as_ref().filter(|how| *how != "twice").map(|how| format!("typed {how}"));
    corrects.into_iter().chain(typed).chain(doubt).chain(decided).chain(ended).collect()
}

/// Notes and files kept with a step.
fn notes(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let words = |event: &crate::traveler::event::Event| match &event.body {
        Body::Note(n) if n.step == step.id => Some(("Note", n.text.clone(), event.header.by.clone())),
        Body::Attached(a) if a.step == step.id => {
            Some(("File", format!("{}, {}", a.text, a.file), event.header.by.clone()))
        }
        _ => None,
    };
    let found: Vec<_> = record.events.iter().filter_map(words).collect();
    let lines = found.into_iter().map(|(name, text, by)| (format!("{name} by {by}:"), text));
    let told: Vec<Line<'static>> =
        lines.flat_map(|(name, text)| named(&name, app.theme.name(), &text, width, Style::new())).collect();
    if told.is_empty() && step.checks.is_empty() {
        wrapped("Nothing is asked here.", width, Style::new())
    } else {
        told
    }
}
