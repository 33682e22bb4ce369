//! To be read from two metres: the action, the numbers of this moment in large digits, at most twelve words.

use ratatui::Frame;
use ratatui::layout::{Alignment, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{Record, StepState, is_round};
use crate::tui::app::App;
use crate::tui::widgets::big;
use crate::tui::widgets::text::cut;

use super::panels;

/// Words of the action; with unit, bolt, verdict and key there are at most twelve on the screen.
const TITLE_WORDS: usize = 5;
/// Words of the action where a question or the name of a value stands below it.
const SHORT_TITLE_WORDS: usize = 3;
/// Words of a question without a number.
const PROMPT_WORDS: usize = 4;

/// What is shown.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Far {
    /// Large numbers, from the top, each with the small word beside or under it.
    numbers: Vec<(String, String)>,
    /// What is measured.
    value: String,
    /// A question without a number.
    question: String,
}

/// Draws the view over the whole screen.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let far = now(app, record, step);
    let tall = area.height >= 36 && area.width >= 110 && far.numbers.iter().all(|(n, _)| fits(n, true, area.width));
    let signal = step.cautions.iter().map(|c| c.signal).min();
    let mut head = Vec::new();
    if let Some(signal) = signal {
        head.extend([Span::styled(format!(" {} ", signal.word()), app.theme.signal(signal)), Span::raw("  ")]);
    }
    let alone = far.question.is_empty() && far.value.is_empty();
    let words = if alone { TITLE_WORDS } else { SHORT_TITLE_WORDS };
    head.push(Span::styled(few(&step.title, words), app.theme.action()));
    let value = Line::from(Span::styled(far.value.clone(), app.theme.name()));
    let mut lines = vec![Line::default(), Line::from(head), value];
    for (number, word) in &far.numbers {
        let digits = if fits(number, tall, area.width) { big::lines(number, tall) } else { vec![number.clone()] };
        lines.extend(digits.into_iter().map(|d| Line::from(Span::styled(d, app.theme.action()))));
        lines.push(Line::from(Span::styled(word.clone(), app.theme.name())));
    }
    if !far.question.is_empty() {
        lines.push(Line::from(Span::styled(far.question.clone(), app.theme.action())));
        lines.push(Line::default());
    }
    lines.push(state(app, record, step));
    let room = usize::from(area.height).saturating_sub(1);
    lines.truncate(room);
    lines.resize(room, Line::default());
    lines.push(Line::from(vec![Span::styled(" z ", app.theme.key()), Span::raw(" back")]));
    frame.render_widget(Paragraph::new(lines).alignment(Alignment::Center), area);
}

fn fits(number: &str, tall: bool, width: u16) -> bool {
    big::width(number, tall) + 2 <= usize::from(width)
}

/// What matters now: what is being typed, else the torque and the bolt, else the limits.
fn now(app: &App<'_>, record: &Record, step: &Step) -> Far {
    let Some(check) = app.open_check().filter(|_| app.text_seen()) else {
        return Far::default();
    };
    let unit = check.unit.clone().unwrap_or_default();
    if check.kind != CheckKind::Text && !app.entry.input.is_empty() {
        return Far { numbers: vec![(app.entry.input.clone(), unit)], ..Far::default() };
    }
    match check.kind {
        CheckKind::Torque if is_round(check) => {
            let round = record.readings(&step.id, &check.id).len() + 1;
            let torque = step.torque_nm.map(|t| (format!("{t:.1}"), "N·m".to_owned()));
            Far {
                numbers: [(format!("{round}/3"), "round".to_owned())].into_iter().chain(torque).collect(),
                ..Far::default()
            }
        }
        CheckKind::Torque => {
            let bolt = app.entry.next_bolt(&app.sequence()).map(|n| (n.to_string(), "bolt".to_owned()));
            let torque = step.torque_nm.map(|t| (format!("{t:.1}"), unit));
            Far { numbers: bolt.into_iter().chain(torque).collect(), ..Far::default() }
        }
        _ => limits(check, unit),
    }
}

fn limits(check: &Check, unit: String) -> Far {
    let numbers = match (&check.lower, &check.upper, check.kind) {
        (_, _, CheckKind::Confirm | CheckKind::Gauge | CheckKind::Text | CheckKind::Derived) => Vec::new(),
        (Some(a), Some(b), _) if a == b => vec![(a.clone(), unit)],
        (Some(a), Some(b), _) => vec![(a.clone(), "to".into()), (b.clone(), unit)],
        (Some(a), None, CheckKind::Wait) => vec![(a.clone(), "h".into())],
        (Some(a), None, _) => vec![(format!("≥{a}"), unit)],
        (None, Some(b), _) => vec![(format!("≤{b}"), unit)],
        (None, None, _) => check.nominal.iter().map(|n| (n.clone(), unit.clone())).collect(),
    };
    let words = |most| few(&check.prompt, most);
    if numbers.is_empty() {
        Far { question: words(PROMPT_WORDS), ..Far::default() }
    } else {
        Far { numbers, value: words(SHORT_TITLE_WORDS), ..Far::default() }
    }
}

/// One word: how it stands.
fn state(app: &App<'_>, record: &Record, step: &Step) -> Line<'static> {
    if let Some((kept, _)) = panels::outside(app, record) {
        let word = kept.reading.verdict.word().to_uppercase();
        let value = cut(&kept.reading.values.join(" "), 30);
        return Line::from(Span::styled(format!("✗ {word} {value}"), app.theme.verdict(kept.reading.verdict)));
    }
    let word = match record.step_state(&step.id) {
        StepState::Done => "✓ DONE",
        StepState::Held => "! HELD",
        _ if !app.text_seen() => "PgDn",
        _ if app.entry.doubt.is_some() => "? HARDLY",
        _ if app.soak_asked().is_some() => "SOAKED? y n",
        _ if app.offered().is_some() => "TAKE UP? y n",
        _ if app.at_work()
            && matches!(app.open_check().map(|c| c.kind), Some(CheckKind::Confirm | CheckKind::Gauge)) =>
        {
            "y / n"
        }
        _ => "",
    };
    Line::from(Span::styled(word, app.theme.alert()))
}

/// The first words of a text, with a mark where some are left out.
fn few(text: &str, most: usize) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.len() <= most {
        crate::module::printable(text)
    } else {
        format!("{} …", crate::module::printable(&words[..most].join(" ")))
    }
}
