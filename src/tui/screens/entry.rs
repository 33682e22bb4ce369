//! The entry: what is asked, its limits, what is being typed, and the verdict at once.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph};

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{Begun, CheckState, NOT_CONSIDERED, Record, StepState, is_round, wait_ends};
use crate::tui::app::App;
use crate::tui::entry::Doubt;
use crate::tui::theme::sign;
use crate::tui::widgets::text::{cut, with_titles, wrapped};

use super::step::why_not;
use super::{limits, panels, series};

/// Draws the entry area of a step.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let block = Block::new().borders(Borders::TOP).title(title(record, step));
    let inner = block.inner(area);
    frame.render_widget(block, area);
    let mut lines = content(app, record, step, inner.width);
    let room = usize::from(inner.height);
    if lines.len() > room {
        let left = lines.len() + 1 - room;
        lines.truncate(room.saturating_sub(1));
        lines.push(Line::from(Span::styled(format!("… {left} more lines on a taller screen"), app.theme.alert())));
    }
    frame.render_widget(Paragraph::new(lines), inner);
}

/// The checks of the step in a row, each with its sign.
fn title(record: &Record, step: &Step) -> Line<'static> {
    let mut spans = vec![Span::raw(" to enter: ")];
    for check in &step.checks {
        let state = record.check_state(step, check);
        let sign = match (state, record.to_answer(&step.id, check)) {
            (CheckState::Blank, _) | (_, None) => "·",
            (CheckState::Running, _) => "…",
            (CheckState::Answered, Some(k)) if k.reading.verdict.open() => "!",
            (_, Some(k)) => sign(k.reading.verdict),
        };
        spans.push(Span::raw(format!("{} {sign}  ", check.id)));
    }
    if let Some(role) = &step.hold {
        spans.push(Span::raw(format!("hold: {role} ")));
    }
    Line::from(spans)
}

fn content(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let theme = app.theme;
    if let Some(why) = why_not(app, record, step) {
        let mut lines = vec![Line::from(Span::styled("LOOKING ONLY. Nothing is entered here.", theme.alert()))];
        // One line: the whole of it stands under why-now.
        lines.push(Line::from(cut(&with_titles(&why, &record.plan().steps), usize::from(width))));
        lines.extend(asked_lines(app, record, step, width));
        return lines;
    }
    let mut lines = match record.step_state(&step.id) {
        StepState::Done => vec![Line::from(Span::styled("DONE. Tab leads to the next step.", theme.action()))],
        StepState::Held if app.open_check().is_none() => held(app, record, step, width),
        _ if !app.text_seen() => {
            vec![Line::from(Span::styled("Read to the end first: PgDn. Then the entry opens.", theme.alert()))]
        }
        _ => match (app.soak_asked(), app.open_check()) {
            (Some(question), _) => soak(app, &question, width),
            (None, Some(check)) => open(app, record, step, check, width),
            (None, None) => Vec::new(),
        },
    };
    if !app.message.is_empty() {
        lines.extend(wrapped(&with_titles(&app.message, &record.plan().steps), width, message_style(app)));
    }
    lines
}

fn message_style(app: &App<'_>) -> Style {
    use crate::traveler::Verdict;
    let words = &app.message;
    if words.contains(": outside") {
        app.theme.verdict(Verdict::Outside)
    } else if words.contains(": undecided") {
        app.theme.verdict(Verdict::Undecided)
    } else if words.contains(": within") {
        app.theme.verdict(Verdict::Within)
    } else {
        app.theme.alert()
    }
}

fn soak(app: &App<'_>, question: &str, width: u16) -> Vec<Line<'static>> {
    let mut lines = wrapped(question, width, app.theme.action());
    lines.push(Line::from("y: yes, the entry opens   n: not yet"));
    lines
}

fn held(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let role = step.hold.clone().unwrap_or_default();
    let who = record.plan().people.get(&role).map_or_else(String::new, |l| l.join(", "));
    let mut lines = vec![Line::from(Span::styled(
        format!("HELD until the role {role} ({who}) releases it: s."),
        app.theme.alert(),
    ))];
    lines.extend(wrapped(
        "Whoever did the work does not release it. Only what depends on this step waits; Tab shows other work.",
        width,
        Style::new(),
    ));
    lines
}

/// What the step asks for, with its limits, or the reading that is kept: for looking ahead and back.
fn asked_lines(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let line = |check: &Check| {
        let Some(k) = record.reading(&step.id, &check.id) else {
            let words = format!("· {}: {}", check.prompt.trim_end_matches('?'), limits::named(check).1);
            return Line::from(cut(&words, usize::from(width)));
        };
        let words = format!(
            "{} {}: {} {} {}, {} at {}",
            sign(k.reading.verdict),
            k.reading.check,
            k.reading.values.join(" "),
            k.reading.unit.as_deref().unwrap_or_default(),
            k.reading.verdict.word(),
            k.by,
            k.at
        );
        Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.verdict(k.reading.verdict)))
    };
    step.checks.iter().map(line).collect()
}

fn open(app: &App<'_>, record: &Record, step: &Step, check: &Check, width: u16) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    let outside = panels::outside(app, record);
    if let Some((kept, _)) = &outside {
        let unit = kept.reading.unit.as_deref().unwrap_or_default();
        let because = kept.reading.because.replace(&format!(", {NOT_CONSIDERED}"), "");
        let values = format!("{} {unit}", kept.reading.values.join(" "));
        // Where places are named, the words say which value it is and where.
        let values = if check.places.is_empty() { format!("{}, ", values.trim_end()) } else { String::new() };
        let words = format!("{}: {values}{because}", kept.reading.verdict.word().to_uppercase());
        lines.push(Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.verdict(kept.reading.verdict))));
    }
    let asked = wrapped(&limits::prompt(record, check), width, app.theme.action());
    let rows = if asked.len() == 1 && app.entry.doubt.is_none() { 2 } else { 1 };
    lines.extend(asked);
    let (name, words) = limits::named(check);
    let beside = if outside.is_none() { limits::instrument(app, check) } else { String::new() };
    let room = usize::from(width).saturating_sub(name.chars().count() + words.chars().count() + 4);
    lines.push(Line::from(vec![
        Span::styled(format!("{name} "), app.theme.name()),
        Span::styled(words, app.theme.action()),
        Span::raw(format!("   {}", cut(&beside, room))),
    ]));
    lines.extend(under_the_limits(app, check, outside.is_some(), width, rows));
    if !app.in_front() {
        lines.push(Line::from("The entry waits for the window."));
        return lines;
    }
    if let Some(begun) = app.offered() {
        lines.extend(offer(app, check, begun, width));
        return lines;
    }
    lines.push(typing(app, record, step, check));
    if let Some(doubt) = &app.entry.doubt {
        lines.extend(wrapped(doubt.words(), width, app.theme.alert()));
    } else if app.entry.first.is_some() {
        lines.push(Line::from(Span::styled("Second time, blind: the first is not shown.", app.theme.alert())));
    }
    lines
}

/// One thing below the limits: what is wrong with the instrument, else the values so far, else what the limits rest on.
fn under_the_limits(app: &App<'_>, check: &Check, outside: bool, width: u16, rows: usize) -> Vec<Line<'static>> {
    let alert = |words: &str| vec![Line::from(Span::styled(cut(words, usize::from(width)), app.theme.alert()))];
    if let Some(fault) = limits::instrument_fault(app, check) {
        return alert(&fault);
    }
    if check.kind == CheckKind::Series && !app.entry.given.is_empty() {
        let all = series::list(check, &app.entry.given, usize::from(width) * rows - 16 * (rows - 1));
        return wrapped(&all, width, Style::new()).into_iter().take(rows).collect();
    }
    // A question needs the room.
    if outside || app.offered().is_some() || matches!(app.entry.doubt, Some(Doubt::Gauge(_))) {
        return Vec::new();
    }
    if app.none_decides(check) {
        return alert("No instrument of the register can decide this one: take a finer one, or a limit gauge.");
    }
    vec![Line::from(Span::raw(cut(&format!("basis: {}", check.basis), usize::from(width))))]
}

/// Values typed before a break, and whether they are taken up.
fn offer(app: &App<'_>, check: &Check, begun: &Begun, width: u16) -> Vec<Line<'static>> {
    let of = check.count.unwrap_or(1);
    let at = begun.at.get(5..16).unwrap_or(&begun.at).replace('T', " ");
    let (n, again) = match &begun.first {
        Some(_) => (begun.given.len(), " of the second time"),
        None => (begun.given.len(), ""),
    };
    let words = format!("{n} of {of}{again} typed by {} {at}, before the break: take them up?  y / n", begun.by);
    let mut lines = wrapped(&words, width, app.theme.alert());
    let list = match check.kind {
        CheckKind::Series => series::list(check, &begun.given, usize::from(width)),
        _ => format!("bolts {}", begun.given.join(" ")),
    };
    lines.push(Line::from(cut(&list, usize::from(width))));
    lines
}

fn typing(app: &App<'_>, record: &Record, step: &Step, check: &Check) -> Line<'static> {
    let unit = check.unit.as_deref().unwrap_or_default();
    let field = |lead: String, trail: String| {
        let input = format!("{}_", crate::module::printable(&app.entry.input));
        Line::from(vec![
            Span::styled(format!("{lead} "), app.theme.name()),
            Span::styled(input, app.theme.entry()),
            Span::raw(format!(" {trail}")),
        ])
    };
    let given = app.entry.given.len();
    match check.kind {
        CheckKind::Measure | CheckKind::Count => field("Value >".into(), format!("{unit}   {}", enter(app))),
        CheckKind::Text => field(
            "Words >".into(),
            if app.typing { "Esc: keys are commands again".into() } else { "v: type words".into() },
        ),
        CheckKind::Series => {
            let of = check.count.unwrap_or(1);
            let lead = match check.place(given) {
                Some(place) => format!("{place} ({} of {of}) >", given + 1),
                None => format!("Value {} of {of} >", given + 1),
            };
            field(lead, format!("{unit}   {}{}", enter(app), series::mean_and_range(check, &app.entry.given)))
        }
        CheckKind::Gauge => {
            Line::from(if given == 0 { "Does the go side enter?  y / n" } else { "Does the no-go side enter?  y / n" })
        }
        CheckKind::Confirm => Line::from("y / n"),
        CheckKind::Torque if is_round(check) => {
            field("Nuts that moved >".into(), "the numbers of the nuts, like 2,5; 0 for none".into())
        }
        CheckKind::Torque => {
            let sequence = step.sequence.clone().unwrap_or_default();
            let next = app.entry.next_bolt(&sequence).map_or_else(|| "-".into(), |n| n.to_string());
            field(
                format!("Bolt {next} ({} of {}) >", (given + 1).min(sequence.len()), sequence.len()),
                format!("{unit}, or Space at the click; \"3 Space\" names bolt 3"),
            )
        }
        CheckKind::Wait => Line::from(match wait_ends(record, step, check) {
            Some(ends) if record.check_state(step, check) == CheckState::Running => {
                format!("Runs until {}. k ends it then; e ends it early.", ends.format("%Y-%m-%d %H:%M"))
            }
            _ => "k starts the clock.".into(),
        }),
        CheckKind::Derived => Line::from(format!("Computed: {}", check.derive.as_ref().map_or("", |d| &d.words))),
    }
}

/// Said until the first value is typed: a fitter who never saw the guide finds Enter.
fn enter(app: &App<'_>) -> &'static str {
    if app.entry.given.is_empty() { "type it, then Enter" } else { "" }
}
