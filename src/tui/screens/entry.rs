//! The entry: what is asked, its limits, what is being typed, and the verdict at once.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph};
use rust_decimal::Decimal;

use crate::procedure::plan::{Check, CheckKind, SeriesRule, Step};
use crate::traveler::{CheckState, Record, StepState, fits, is_round, summary, value, wait_ends};
use crate::tui::app::App;
use crate::tui::theme::sign;
use crate::tui::widgets::text::{cut, with_titles, wrapped};

use super::panels;
use super::step::why_not;

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
        let sign = match (state, record.reading(&step.id, &check.id)) {
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
            let words = format!("· {}: {}", check.prompt.trim_end_matches('?'), limits(check));
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
        let words = format!(
            "{}: {} {unit}, {}",
            kept.reading.verdict.word().to_uppercase(),
            kept.reading.values.join(" "),
            kept.reading.because
        );
        lines.push(Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.verdict(kept.reading.verdict))));
    }
    lines.extend(wrapped(&check.prompt, width, app.theme.action()));
    lines.push(Line::from(vec![
        Span::styled("Limits ", app.theme.name()),
        Span::styled(limits(check), app.theme.action()),
    ]));
    if outside.is_none() && app.none_decides(check) {
        let words = "No instrument of the register can decide this one: take a finer one, or a limit gauge.";
        lines.push(Line::from(Span::styled(cut(words, usize::from(width)), app.theme.alert())));
    } else if outside.is_none() {
        lines.push(Line::from(Span::raw(cut(&format!("basis: {}", check.basis), usize::from(width)))));
    }
    lines.push(typing(app, record, step, check, width));
    if let Some(doubt) = &app.entry.doubt {
        lines.extend(wrapped(doubt.words(), width, app.theme.alert()));
    } else if app.entry.first.is_some() {
        lines.push(Line::from(Span::styled("Second time, blind: the first is not shown.", app.theme.alert())));
    }
    lines
}

/// Limits in words, with the rule of a series.
fn limits(check: &Check) -> String {
    let base = range(check);
    match check.rule {
        Some(SeriesRule::Each) if check.count.is_some_and(|n| n > 1) => format!("{base} (each)"),
        Some(SeriesRule::Mean) => format!("{base} (mean)"),
        Some(SeriesRule::Range) => format!("{base} (largest less smallest)"),
        Some(SeriesRule::Largest) => format!("{base} (the largest)"),
        Some(SeriesRule::Each) | None => base,
    }
}

/// Limits in words.
pub(super) fn range(check: &Check) -> String {
    let unit = check.unit.as_deref().map_or_else(String::new, |u| format!(" {u}"));
    match (&check.lower, &check.upper, check.kind) {
        (_, _, CheckKind::Confirm) => "yes".into(),
        (_, _, CheckKind::Gauge) => "go enters, no-go does not".into(),
        (_, _, CheckKind::Torque) if is_round(check) => "none moves".into(),
        (Some(a), _, CheckKind::Wait) => format!("{a} h"),
        (Some(a), Some(b), _) if a == b => format!("{a}{unit}"),
        (Some(a), Some(b), _) => format!("{a} to {b}{unit}"),
        (Some(a), None, _) => format!("at least {a}{unit}"),
        (None, Some(b), _) => format!("at most {b}{unit}"),
        (None, None, _) => check
            .nominal
            .as_ref()
            .map_or_else(|| "none; write down what you read".into(), |n| format!("none; about {n}{unit}")),
    }
}

fn typing(app: &App<'_>, record: &Record, step: &Step, check: &Check, width: u16) -> Line<'static> {
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
        CheckKind::Series => field(
            format!("Value {} of {} >", given + 1, check.count.unwrap_or(1)),
            format!("{unit}   {}{}", enter(app), cut(&so_far(check, &app.entry.given), usize::from(width) / 2)),
        ),
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

/// Mean, range and values of a series so far, in the unit of the check. Where each is judged, one outside is marked at once.
fn so_far(check: &Check, given: &[String]) -> String {
    let values: Vec<Decimal> = given.iter().filter_map(|g| value(check, g, true).ok()).collect();
    if values.is_empty() {
        return String::new();
    }
    let (mean, range, _) = summary(&values);
    let each = check.rule == Some(SeriesRule::Each);
    let marked = |v: &Decimal| {
        let v = v.to_string();
        if each && !fits(check, &v) { format!("{v} OUTSIDE") } else { v }
    };
    let list = values.iter().map(marked).collect::<Vec<_>>().join(" ");
    format!("mean {} range {}: {list}", mean.round_dp(4).normalize(), range.normalize())
}
