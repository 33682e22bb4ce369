//! One entry of the record, whole.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::change::Touched;
use crate::procedure::range_words;
use crate::traveler::event::{Body, Disposition, Event, GivenUp, Reading, Released};
use crate::traveler::rounds::Changed;
use crate::traveler::{Record, Trial, code, setup_said, setup_words, time};
use crate::tui::app::App;
use crate::tui::widgets::text::named;

use super::kept::value_words;

/// A name and what stands behind it.
type Fact = (&'static str, String);

/// Draws the entry over the list.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, event: &Event) {
    let mut lines = lines(app, record, event, area.width.saturating_sub(1));
    let height = usize::from(area.height);
    let from = app.down.min(lines.len().saturating_sub(height));
    let left = lines.len().saturating_sub(from + height);
    lines.drain(..from);
    if left > 0 && height > 0 {
        lines.truncate(height - 1);
        lines.push(Line::from(Span::styled(format!("… {} more lines: Down", left + 1), app.theme.alert())));
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// How many lines the opened entry has.
#[must_use]
pub fn length(app: &App<'_>) -> usize {
    match (app.record(), app.opened_entry()) {
        (Some(record), Some(event)) => lines(app, record, event, app.size.0.saturating_sub(1)).len(),
        _ => 0,
    }
}

fn lines(app: &App<'_>, record: &Record, event: &Event, width: u16) -> Vec<Line<'static>> {
    let fact = |(name, words): Fact| named(&format!("{name}:"), app.theme.name(), &words, width, Style::new());
    facts(record, event).into_iter().filter(|(_, words)| !words.trim().is_empty()).flat_map(fact).collect()
}

/// All words of an entry, to be searched.
#[must_use]
pub fn words(record: &Record, event: &Event) -> String {
    facts(record, event).into_iter().map(|(name, words)| format!("{name} {words}")).collect::<Vec<_>>().join("\n")
}

/// The title of a step; its id where no plan of the record has it.
#[must_use]
pub fn title_of(record: &Record, id: &str) -> String {
    record.step_ever(id).map_or_else(|| id.to_owned(), |s| s.title.clone())
}

/// What a check asks; its id where no plan of the record has it.
#[must_use]
pub fn prompt_of(record: &Record, step: &str, check: &str) -> String {
    let found = record.step_ever(step).and_then(|s| s.checks.iter().find(|c| c.id == check));
    found.map_or_else(|| check.to_owned(), |c| c.prompt.clone())
}

fn facts(record: &Record, event: &Event) -> Vec<Fact> {
    let h = &event.header;
    // The offset of the place stands here, and nowhere else on the screens.
    let at = time(&h.at).map_or_else(|| h.at.clone(), |t| t.format("%Y-%m-%d %H:%M:%S, clock %:z").to_string());
    let mut facts =
        vec![("Entry", format!("{} of {}", h.event, record.events.len())), ("At", at), ("By", h.by.clone())];
    let at_step = |id: &str| {
        let number = record.step_ever(id).map_or_else(String::new, |s| format!("{}. ", s.number));
        ("Step", format!("{number}{} [{id}]", title_of(record, id)))
    };
    match &event.body {
        Body::Reading(r) => facts.extend([at_step(&r.step)].into_iter().chain(reading(record, event, r))),
        Body::Started(s) => facts.extend(started(s)),
        Body::Disposition(d) => {
            facts.extend([at_step(&d.step), ("Asked", prompt_of(record, &d.step, &d.check))]);
            facts.push(("On entry", d.reading.to_string()));
            facts.extend(decided(&d.disposition));
            facts.extend(d.given_up.iter().flat_map(given_up));
        }
        Body::Release(r) => facts.extend([at_step(&r.step)].into_iter().chain(released(r))),
        Body::Note(n) => facts.extend([at_step(&n.step), ("Note", n.text.clone())]),
        Body::Hours(h) => facts.push(("Hours", h.words())),
        Body::Part(p) => facts.push(("Part", p.words())),
        Body::Attached(a) => facts.extend([
            at_step(&a.step),
            ("File", a.file.clone()),
            ("Shows", a.text.clone()),
            ("Bytes", a.bytes.to_string()),
            ("SHA-256", a.sha256.clone()),
        ]),
        Body::SetAside(a) => facts.push(("Set aside", format!("{} bytes of an incomplete entry, {}", a.bytes, a.file))),
        Body::ClosedOut(c) => facts.extend([
            ("Closed out", format!("{} steps, {} readings", c.steps, c.readings)),
            ("Code for the plate", code(&event.hash)),
        ]),
        Body::Reopened(r) => facts.push(("Opened again", r.reason.clone())),
        Body::Changed(c) => facts.extend(changed(record, c)),
        Body::Trial(t) => facts.extend(trial(t)),
        Body::Adopted(a) => facts.extend([
            ("Adopted", a.said()),
            ("Why", a.reason.clone()),
            ("Role", a.role.clone()),
            ("Made for", a.speed_rpm.as_ref().map_or_else(String::new, |n| format!("{n} rpm"))),
            (
                "Residual unbalance",
                a.permissible_gmm.as_ref().map_or_else(String::new, |u| format!("at most {u} g·mm")),
            ),
            ("Kept although", a.doubt.clone().unwrap_or_default()),
        ]),
        Body::Unknown => facts.push(("Kind", format!("{}, of a later program", h.what))),
    }
    facts.push(("Hash", event.hash.clone()));
    facts
}

fn started(s: &crate::traveler::event::Started) -> Vec<Fact> {
    let setup = setup_words(&s.plan.setup);
    vec![
        ("Started", format!("{}, serial {}, {}", s.plan.title, s.serial, setup)),
        ("Practice", if s.practice { "yes, no real module".into() } else { String::new() }),
        ("One person", s.alone.clone().unwrap_or_default()),
        ("Spec", format!("{}, SHA-256 {}", s.spec_name, s.plan.spec_sha256)),
        ("Steps", s.plan.steps.len().to_string()),
        ("Written by", format!("{}, format {}", s.program, s.format)),
    ]
}

fn reading(record: &Record, event: &Event, r: &Reading) -> Vec<Fact> {
    let unit = r.unit.as_deref().unwrap_or_default();
    let none = || if r.wanted.is_some() { String::new() } else { "none".into() };
    let limits = range_words(r.lower.as_ref(), r.upper.as_ref(), unit).unwrap_or_else(none);
    let later = record.reading(&r.step, &r.check).filter(|k| k.event > event.header.event);
    let with = r.instrument.as_ref().map_or_else(String::new, |i| {
        let u = i.uncertainty.as_ref().map_or_else(|| "uncertainty not stated".to_owned(), |u| format!("± {u}"));
        let due = i.due.as_ref().map_or_else(String::new, |d| format!(", calibration due {d}"));
        format!("{} {}, {u}{due}{}", i.kind, i.id, if i.overdue { ", PAST ITS DATE" } else { "" })
    });
    let mut facts = vec![
        ("Asked", prompt_of(record, &r.step, &r.check)),
        ("Value", value_words(r)),
        ("Typed", if r.derived { String::new() } else { r.entered.join("; ") }),
        ("Limits", limits),
        ("Wanted", r.wanted.clone().unwrap_or_default()),
        ("Kept although", r.doubt.clone().unwrap_or_default()),
        ("Entered", r.typed.as_ref().map_or_else(String::new, |how| typed_words(how))),
        ("Role", r.role.clone()),
        ("With", with),
        ("Round of work", if r.round == 0 { String::new() } else { r.round.to_string() }),
        ("Corrects", r.corrects.as_ref().map_or_else(String::new, |c| format!("entry {}: {}", c.event, c.reason))),
        ("From paper", r.paper.as_ref().map_or_else(String::new, |p| format!("{}, {}", p.measured_by, p.at))),
        ("Read back by", r.witness.clone().unwrap_or_default()),
        ("Ended early", r.ended_early.as_ref().map_or_else(String::new, |e| format!("{}: {}", e.role, e.reason))),
        ("Superseded", later.map_or_else(String::new, |k| format!("by entry {}", k.event))),
    ];
    facts.extend(r.disposition.iter().flat_map(decided));
    facts
}

fn typed_words(how: &str) -> String {
    if how == "twice" { "twice, both times the same".into() } else { how.to_owned() }
}

fn trial(t: &Trial) -> Vec<Fact> {
    let values = t.values.iter().map(|v| format!("{} {} ({}: {})", v.check, v.shown(), v.verdict.word(), v.because));
    let figures = t.figures.iter().map(|f| format!("{} {} {} ({})", f.name, f.value, f.unit, f.words));
    let with: Vec<&str> = t.instruments.iter().map(|u| u.id.as_str()).collect();
    vec![
        ("Speed trial", format!("run {}, round {}, {}", t.number, t.round, setup_said(&t.setup))),
        ("Values", values.collect::<Vec<_>>().join("; ")),
        ("Computed", figures.collect::<Vec<_>>().join("; ")),
        ("Verdict", t.verdict.word().to_owned()),
        ("Kept although", t.doubt.clone().unwrap_or_default()),
        ("Corrects", t.corrects.as_ref().map_or_else(String::new, |c| format!("entry {}: {}", c.event, c.reason))),
        ("Second person", t.witness.clone().unwrap_or_default()),
        ("From paper", t.paper.as_ref().map_or_else(String::new, |p| format!("{}, {}", p.measured_by, p.at))),
        ("With", with.join(", ")),
        ("Role", t.role.clone()),
    ]
}

/// What a decision gives up, and what is asked again of the part that takes its place.
fn given_up(given: &GivenUp) -> Vec<Fact> {
    let mut again: Vec<&str> = given.former.iter().map(|t| t.step.as_str()).collect();
    again.dedup();
    let place = if given.built_in { "built in: it comes out by a change" } else { "not built in" };
    let parts = if given.parts.is_empty() { "what the step is about".to_owned() } else { given.parts.join(", ") };
    vec![("Gives up", format!("{parts}, {place}")), ("Asked again", again.join(", "))]
}

fn decided(d: &Disposition) -> Vec<Fact> {
    vec![("Decided", d.kind.word().to_owned()), ("Role of who decided", d.role.clone()), ("Why", d.reason.clone())]
}

fn released(r: &Released) -> Vec<Fact> {
    let how = r.remote.as_ref().map_or_else(
        || "in person".to_owned(),
        |m| format!("from afar by {}, taken down by {}", m.channel, m.taken_by),
    );
    let alone = if r.alone { "who did the work, as the declared one-person build allows" } else { "" };
    let nobody = if r.nobody_else { "yes" } else { "" };
    vec![("Released", how), ("Role", r.role.clone()), ("By", alone.into()), ("Nobody else present", nobody.into())]
}

fn changed(record: &Record, c: &Changed) -> Vec<Fact> {
    let touched = |list: &[Touched]| {
        let one = |t: &Touched| {
            format!("{}: {} ({})", title_of(record, &t.step), prompt_of(record, &t.step, &t.check), t.because)
        };
        list.iter().map(one).collect::<Vec<_>>().join("; ")
    };
    let undone: Vec<String> =
        c.undone.iter().map(|u| format!("{} ({})", title_of(record, &u.step), u.because)).collect();
    let received: Vec<String> = c.received.iter().map(|(field, value)| format!("{field} {value}")).collect();
    vec![
        ("Round of work", format!("{}, {}, {} steps", c.round, c.kind.word(), c.plan.steps.len())),
        ("To", setup_words(&c.plan.setup)),
        ("As received", received.join(", ")),
        ("Why", c.reason.clone()),
        ("Role", c.role.clone()),
        ("Undone", undone.join("; ")),
        ("Disturbed, measure again", touched(&c.stale)),
        ("Held against other limits", touched(&c.rejudged)),
    ]
}
