//! To be read from two metres: the action, the numbers of this moment in large digits, at most twelve words. For two
//! people the reader's lines stand below, in the size of a book.

use ratatui::Frame;
use ratatui::layout::{Alignment, Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph};

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{CheckState, MOST_ROUNDS, Record, StepState, is_round, wait_ends};
use crate::tui::app::App;
use crate::tui::ask::Purpose;
use crate::tui::entry::{Doubt, nth};
use crate::tui::looking::Look;
use crate::tui::widgets::big;
use crate::tui::widgets::text::{cut, tail, wrapped};

use super::far_done::{done, span};
use super::{aloud, joints, panels};

/// Words on the screen at most, the key back included.
const WORDS: usize = 12;
/// Words of the action at most, where the others leave room.
const TITLE_WORDS: usize = 5;
/// Words of the action where a question or the name of a value stands below it.
pub(super) const SHORT_TITLE_WORDS: usize = 3;
/// Words of the action where the question is one that y and n answer: it has to be read to be answered.
const BESIDE_QUESTION: usize = 2;
/// Words of the place of a value.
const PLACE_WORDS: usize = 3;
/// Words of a question without a number.
const PROMPT_WORDS: usize = 4;
/// Articles say nothing from two metres.
const ARTICLES: [&str; 3] = ["the", "a", "an"];

/// What is shown.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Far {
    /// Large numbers, from the top, each with the small word beside or under it.
    pub numbers: Vec<(String, String)>,
    /// What is measured.
    pub value: String,
    /// A question without a number; or the limits of what is being typed.
    pub question: String,
}

/// Draws the view over the whole screen.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let width = area.width.saturating_sub(1);
    // For two people the reader stands near: what was just said is whole, and the lines to read aloud follow.
    let mut aloud = Vec::new();
    if app.two {
        if !app.message.is_empty() {
            aloud = wrapped(&app.message, width, app.theme.alert());
        }
        aloud.extend(aloud::lines(app, record, step, width));
    }
    let most = area.height.saturating_sub(LEAST_FAR + 1);
    let rows = u16::try_from(aloud.len()).unwrap_or(u16::MAX).min(most);
    let [upper, lower, foot] =
        Layout::vertical([Constraint::Min(1), Constraint::Length(rows), Constraint::Length(1)]).areas(area);
    frame.render_widget(Paragraph::new(shown(app, record, step, upper)).alignment(Alignment::Center), upper);
    frame.render_widget(Paragraph::new(aloud).block(Block::new().borders(Borders::NONE)), lower);
    let mut keys = vec![Span::styled(" z ", app.theme.key()), Span::raw(" back")];
    if app.two {
        keys.extend([Span::raw("  "), Span::styled(" m b ", app.theme.key()), Span::raw(" no longer two")]);
    }
    frame.render_widget(Paragraph::new(Line::from(keys)).alignment(Alignment::Center), foot);
}

/// Rows that stay for the one who acts: action, name, a large number with its unit, state.
const LEAST_FAR: u16 = 10;

/// The lines for the one who acts, in the largest digits that fit.
fn shown(app: &App<'_>, record: &Record, step: &Step, area: Rect) -> Vec<Line<'static>> {
    let mut far = now(app, record, step);
    let around = Around::of(app, record, step, &mut far);
    let room = usize::from(area.height);
    let tall = area.height >= 33 && area.width >= 110;
    // Where not all numbers fit, the first of them stands back: which value of how many, then the lower limit.
    let sizes = [true].into_iter().filter(|_| tall).chain([false]);
    let tries =
        sizes.flat_map(|tall| (0..=far.numbers.len()).map(move |plain| Digits { tall, plain, width: area.width }));
    let fitting = tries.map(|digits| lines(app, &far, &around, digits)).find(|l| l.len() <= room);
    let none = Digits { tall: false, plain: far.numbers.len(), width: area.width };
    let mut lines = fitting.unwrap_or_else(|| lines(app, &far, &around, none));
    lines.truncate(room);
    lines
}

/// How the numbers are drawn.
#[derive(Debug, Clone, Copy)]
struct Digits {
    /// Seven rows high, else five.
    tall: bool,
    /// So many from the first are not drawn large.
    plain: usize,
    /// Width there is.
    width: u16,
}

/// What stands above and below the numbers, in the words that these leave.
struct Around {
    /// Signal word and action.
    head: Line<'static>,
    /// How it stands.
    state: Line<'static>,
    /// Joints that are loose yet.
    loose: Option<Line<'static>>,
}

impl Around {
    fn of(app: &App<'_>, record: &Record, step: &Step, far: &mut Far) -> Self {
        let state = state(app, record, step);
        let mut loose = not_final(app, record, step, words_beside(far, &state));
        if let Some(words) = &loose {
            make_room(far, words_beside(far, &state) + spoken(words));
        }
        // Where a bolt is to be eased first, that alone counts.
        let beside = words_beside(far, &state);
        loose = loose.filter(|words| beside + spoken(words) <= WORDS);
        let left = WORDS.saturating_sub(beside + loose.as_deref().map_or(0, spoken));
        let mut head = Vec::new();
        if let Some(signal) = step.cautions.iter().map(|c| c.signal).min() {
            head.extend([Span::styled(format!(" {} ", signal.word()), app.theme.signal(signal)), Span::raw("  ")]);
        }
        head.push(head_words(app, step, far, left));
        let loose = loose.map(|words| Line::from(Span::styled(words, app.theme.alert())));
        Self { head: Line::from(head), state, loose }
    }
}

/// Beside a joint that is loose a long question or name of a value stands back, so that the action keeps its verb and its part.
fn make_room(far: &mut Far, told: usize) {
    let over = (told + BESIDE_QUESTION).saturating_sub(WORDS);
    let text = if far.question.is_empty() { &mut far.value } else { &mut far.question };
    if over > 0 {
        *text = few(text.trim_end_matches(" …"), spoken(text).saturating_sub(over).max(BESIDE_QUESTION));
    }
}

fn lines(app: &App<'_>, far: &Far, around: &Around, digits: Digits) -> Vec<Line<'static>> {
    let value = Line::from(Span::styled(far.value.clone(), app.theme.name()));
    let mut lines = vec![Line::default(), around.head.clone(), value];
    for (k, (number, word)) in far.numbers.iter().enumerate() {
        if k < digits.plain || big::width(number, digits.tall) + 2 > usize::from(digits.width) {
            lines.push(Line::from(Span::styled(format!("{number} {word}"), app.theme.action())));
            continue;
        }
        let rows = big::lines(number, digits.tall).into_iter();
        lines.extend(rows.map(|d| Line::from(Span::styled(d, app.theme.action()))));
        lines.push(Line::from(Span::styled(word.clone(), app.theme.name())));
    }
    if !far.question.is_empty() {
        lines.push(Line::from(Span::styled(far.question.clone(), app.theme.action())));
        lines.push(Line::default());
    }
    lines.push(around.state.clone());
    lines.extend(around.loose.clone());
    lines
}

/// Joints that are begun and loose yet, while another work is in hand: by name or number where a short action leaves words for
/// that, and always that there are some.
fn not_final(app: &App<'_>, record: &Record, step: &Step, beside: usize) -> Option<String> {
    let open = joints::others(record, step);
    // What was just said stands in place of it, until the next key; for two people that stands below.
    if open.is_empty() || (!app.message.is_empty() && !app.two) {
        return None;
    }
    let left = WORDS.saturating_sub(beside + SHORT_TITLE_WORDS);
    let number = (open.len() > 1).then(|| format!("{} joints", open.len()));
    let words = [Some(open.join(", ")), number].into_iter().flatten().map(|joints| format!("{NOT_FINAL}: {joints}"));
    Some(words.into_iter().find(|words| spoken(words) <= left).unwrap_or_else(|| NOT_FINAL.to_owned()))
}

const NOT_FINAL: &str = "! NOT FINAL";

/// Words beside the action: numbers, value, question, state; a signal word, and the key back with its name.
fn words_beside(far: &Far, state: &Line<'_>) -> usize {
    let numbers = far.numbers.iter().map(|(number, word)| spoken(number) + spoken(word)).sum::<usize>();
    numbers + spoken(&far.value) + spoken(&far.question) + spoken(&state.to_string()) + 3
}

/// The action, in the words that are left beside the others; in its place what was just said, until the next key.
fn head_words(app: &App<'_>, step: &Step, far: &Far, left: usize) -> Span<'static> {
    if !app.message.is_empty() && !app.two {
        return Span::styled(few(&app.message, left), app.theme.alert());
    }
    let most = match (far.question.is_empty(), far.value.is_empty()) {
        (true, true) => TITLE_WORDS,
        (false, true) => BESIDE_QUESTION,
        _ => SHORT_TITLE_WORDS,
    };
    if left == 0 {
        return Span::raw("");
    }
    Span::styled(few(&step.title, most.min(left)), app.theme.action())
}

/// Words with letters in them.
fn spoken(text: &str) -> usize {
    text.split_whitespace().filter(|w| w.chars().any(char::is_alphabetic)).count()
}

/// What matters now: what is read back or being typed, else the torque and the bolt, else the limits; of a step that is
/// done what was entered, and where there is no number the step's own.
fn now(app: &App<'_>, record: &Record, step: &Step) -> Far {
    if app.look() == Look::Back || record.step_state(&step.id) == StepState::Done {
        return done(record, step);
    }
    // A step whose time has not come tells what it will ask for.
    let plain = || Far { numbers: vec![step_number(step)], ..Far::default() };
    let Some(check) = app.open_check().filter(|_| app.text_seen()) else {
        return plain();
    };
    if app.soak_asked().is_some() {
        return Far { question: "Soaked together?".into(), ..plain() };
    }
    if app.ease_asked().is_some() {
        let bolt = (joined(&app.to_ease()), "bolt, too tight".to_owned());
        return Far { numbers: vec![bolt], question: "Eased first?".into(), ..Far::default() };
    }
    if let Some(Doubt::Tight(tight)) = &app.entry.doubt {
        let numbers = vec![(tight.bolt.to_string(), "bolt".into()), (tight.torque.clone(), "too tight".into())];
        return Far { numbers, question: "Ease it. Eased?".into(), ..Far::default() };
    }
    if let Some(begun) = app.offered() {
        let of = if begun.only.is_empty() { check.count.unwrap_or(1) as usize } else { begun.only.len() };
        let number = (format!("{}/{of}", begun.given.len()), "typed before".to_owned());
        return Far { numbers: vec![number], question: "Take them up?".into(), ..Far::default() };
    }
    let unit = check.unit.clone().unwrap_or_default();
    if let Some(Purpose::Witness(values)) = app.ask.as_ref().map(|a| &a.purpose) {
        let value = few(&check.prompt, SHORT_TITLE_WORDS);
        if values.iter().all(|v| v.parse::<f64>().is_ok()) {
            return Far { numbers: span(values, unit), value, ..Far::default() };
        }
        return Far { value, question: cut(&values.join(" "), 40), ..plain() };
    }
    if check.asks() != CheckKind::Text && !app.entry.input.is_empty() {
        return typed(app, check, unit);
    }
    match check.asks() {
        CheckKind::Torque if is_round(check) => {
            let round = record.rounds_gone(&step.id, &check.id).len() + 1;
            let torque = step.torque_nm.map(|t| (format!("{t:.1}"), "N·m".to_owned()));
            Far {
                numbers: [(format!("{round}/{MOST_ROUNDS}"), "round".to_owned())].into_iter().chain(torque).collect(),
                ..Far::default()
            }
        }
        CheckKind::Torque => {
            let bolt = app.entry.next_bolt(&app.sequence()).map(|n| (n.to_string(), "bolt".to_owned()));
            let torque = step.torque_nm.map(|t| (format!("{t:.1}"), unit));
            Far { numbers: bolt.into_iter().chain(torque).collect(), ..Far::default() }
        }
        CheckKind::Text => {
            let question =
                if app.entry.input.is_empty() { few(&check.prompt, PROMPT_WORDS) } else { tail(&app.entry.input, 24) };
            Far { question, ..plain() }
        }
        CheckKind::Wait => waiting(record, step, check),
        CheckKind::Series => {
            let given = app.entry.given.len();
            let at = nth(&app.sequence(), given);
            let place = check.place(at).map_or_else(|| "value".to_owned(), |p| few(p, PLACE_WORDS));
            let value = (format!("{}/{}", given + 1, app.asked_count()), place);
            let mut far = limits(step, check, unit);
            far.numbers.insert(0, value);
            far
        }
        _ => limits(step, check, unit),
    }
}

/// A value as it is typed, large, with the limits in a line below.
fn typed(app: &App<'_>, check: &Check, unit: String) -> Far {
    let question = match (&check.lower, &check.upper) {
        _ if check.asks() == CheckKind::Torque => String::new(),
        (Some(a), Some(b)) if a == b => format!("={a} {unit}"),
        (Some(a), Some(b)) => format!("{a} to {b} {unit}"),
        (Some(a), None) => format!("≥{a} {unit}"),
        (None, Some(b)) => format!("≤{b} {unit}"),
        (None, None) => String::new(),
    };
    Far { numbers: vec![(app.entry.input.clone(), unit)], value: few(&check.prompt, SHORT_TITLE_WORDS), question }
}

pub(super) fn step_number(step: &Step) -> (String, String) {
    (step.number.to_string(), "step".to_owned())
}

/// Hours to wait, or the time of day at which the wait ends.
fn waiting(record: &Record, step: &Step, check: &Check) -> Far {
    let ends = wait_ends(record, step, check).filter(|_| record.check_state(step, check) == CheckState::Running);
    let number = match (ends, &check.lower) {
        (Some(ends), _) => (ends.format("%H:%M").to_string(), format!("until, {}", ends.format("%Y-%m-%d"))),
        (None, Some(hours)) => (hours.clone(), "h".into()),
        (None, None) => step_number(step),
    };
    Far { numbers: vec![number], ..Far::default() }
}

fn limits(step: &Step, check: &Check, unit: String) -> Far {
    let numbers = match (&check.lower, &check.upper, check.asks()) {
        (_, _, CheckKind::Confirm | CheckKind::Gauge | CheckKind::Text | CheckKind::Derived) => Vec::new(),
        (Some(a), Some(b), _) if a == b => vec![(a.clone(), unit)],
        (Some(a), Some(b), _) => vec![(a.clone(), "to".into()), (b.clone(), unit)],
        (Some(a), None, _) => vec![(format!("≥{a}"), unit)],
        (None, Some(b), _) => vec![(format!("≤{b}"), unit)],
        (None, None, _) => check.nominal.iter().map(|n| (n.clone(), unit.clone())).collect(),
    };
    let words = |most| few(&check.prompt, most);
    if numbers.is_empty() {
        let own = step.torque_nm.map_or_else(|| step_number(step), |t| (format!("{t:.1}"), "N·m".to_owned()));
        Far { numbers: vec![own], question: words(PROMPT_WORDS), ..Far::default() }
    } else {
        Far { numbers, value: words(SHORT_TITLE_WORDS), ..Far::default() }
    }
}

/// One word: how it stands.
fn state(app: &App<'_>, record: &Record, step: &Step) -> Line<'static> {
    if let Some(words) = bolts(app).filter(|_| app.entry.doubt.is_none()) {
        return Line::from(Span::styled(words, app.theme.alert()));
    }
    if let Some((kept, _)) = panels::outside(app, record) {
        let word = kept.reading.verdict.word().to_uppercase();
        let value = cut(&kept.reading.values.join(" "), 30);
        return Line::from(Span::styled(format!("✗ {word} {value}"), app.theme.verdict(kept.reading.verdict)));
    }
    let word = match (app.look(), record.step_state(&step.id)) {
        (Look::Ahead, _) => "LATER",
        (Look::Back, _) => "✓ DONE",
        (_, StepState::Done) => "✓ DONE",
        (_, StepState::Held) => "! HELD",
        _ if !app.text_seen() => "PgDn",
        _ if matches!(app.entry.doubt, Some(Doubt::Tight(_))) => "y/n",
        _ if app.entry.doubt.is_some() => "? HARDLY",
        _ if app.asked_first().is_some() || app.offered().is_some() => "y/n",
        _ if !app.typing && app.open_check().is_some_and(|c| c.asks() == CheckKind::Text) => "KEYS; Esc: words",
        _ if app.at_work()
            && matches!(app.open_check().map(|c| c.asks()), Some(CheckKind::Confirm | CheckKind::Gauge)) =>
        {
            "y/n"
        }
        _ => "",
    };
    Line::from(Span::styled(word, app.theme.alert()))
}

/// Of the pass in hand: which bolts are eased first, because they are too tight or were before their turn, and which are
/// still loose though later ones are tight.
fn bolts(app: &App<'_>) -> Option<String> {
    app.open_check().filter(|c| c.asks() == CheckKind::Torque && !is_round(c) && app.text_seen())?;
    if app.ease_asked().is_some() {
        return Some("! EASE FIRST  y/n".into());
    }
    let sequence = app.sequence();
    app.entry.out_of_order(&sequence)?;
    let early = joined(&app.entry.early(&sequence).into_iter().collect::<Vec<_>>());
    let loose = app.entry.skipped(&sequence);
    let loose = if loose.is_empty() { String::new() } else { format!(", LOOSE: {}", joined(&loose)) };
    Some(format!("! EASE: {early}{loose}"))
}

fn joined(bolts: &[u32]) -> String {
    bolts.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

/// The first words of a text, articles left out, with a mark where some are missing.
pub(super) fn few(text: &str, most: usize) -> String {
    let words: Vec<&str> = text.split_whitespace().filter(|w| !ARTICLES.contains(&w.to_lowercase().as_str())).collect();
    if words.len() <= most {
        crate::module::printable(&words.join(" "))
    } else {
        format!("{} …", crate::module::printable(&words[..most].join(" ")))
    }
}
