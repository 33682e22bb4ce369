//! The entry: what is asked, its limits, what is being typed, and the verdict at once.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph};

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{Begun, CheckState, NOT_CONSIDERED, Record, StepState, ease_first, is_round};
use crate::tui::app::App;
use crate::tui::entry::{Doubt, nth};
use crate::tui::looking::Look;
use crate::tui::theme::sign;
use crate::tui::widgets::text::{cut, named, with_titles, wrapped};

use super::{field, joints, limits, panels, series};

/// Lines of the entry for the rows there are.
pub struct Laid {
    lines: Vec<Line<'static>>,
    /// All of them, with nothing shortened; empty where nothing is.
    whole: Vec<Line<'static>>,
}

impl Laid {
    /// How many rows would show every line, rule included.
    pub fn needs(&self) -> u16 {
        u16::try_from(self.lines.len() + 1).unwrap_or(u16::MAX)
    }

    /// Every line, nothing shortened.
    pub fn all(&self) -> &[Line<'static>] {
        if self.whole.is_empty() { &self.lines } else { &self.whole }
    }

    /// True where so many rows, rule included, do not show everything.
    pub fn is_cut(&self, rows: u16) -> bool {
        self.needs() > rows || !self.whole.is_empty()
    }
}

/// Lays out the entry for a width; so many rows, rule included, are there without asking for more.
pub fn lay(app: &App<'_>, record: &Record, step: &Step, width: u16, rows: u16) -> Laid {
    // The last column stays free: what would run into it is seen to be cut.
    let lay = |whole| content(app, record, step, width.saturating_sub(1), usize::from(rows.saturating_sub(1)), whole);
    let lines = lay(false);
    // Only a series is ever shortened.
    let series = app.open_check().is_some_and(|c| values_so_far(app, c));
    let whole = if series { lay(true) } else { Vec::new() };
    Laid { whole: if lines == whole { Vec::new() } else { whole }, lines }
}

/// Draws the entry area of a step. What is cut stands whole on the last page of the words above.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step, laid: Laid) {
    let title = title(record, step, usize::from(area.width));
    let room = usize::from(area.width).saturating_sub(title.width() + 2);
    let mut block = Block::new().borders(Borders::TOP).title(title);
    if let Some(loose) = joints::in_rule(app, record, room) {
        block = block.title(loose);
    }
    let inner = block.inner(area);
    frame.render_widget(block, area);
    let room = usize::from(inner.height);
    let mut lines = laid.lines;
    if lines.len() > room {
        let left = lines.len() + 1 - room;
        lines.truncate(room.saturating_sub(1));
        let plural = if left == 1 { "line" } else { "lines" };
        let words = format!("… {left} more {plural} on the last page: PgDn");
        lines.push(Line::from(Span::styled(words, app.theme.alert())));
    }
    frame.render_widget(Paragraph::new(lines), inner);
}

/// The checks of the step in a row, each with its sign; only the signs where the names are too long.
fn title(record: &Record, step: &Step, width: usize) -> Line<'static> {
    let state = |check: &Check| match (record.check_state(step, check), record.to_answer(&step.id, check)) {
        (CheckState::Blank, _) | (_, None) => "·",
        (CheckState::Running, _) => "…",
        (CheckState::Answered, Some(k)) if k.reading.verdict.open() => "!",
        (_, Some(k)) => sign(k.reading.verdict),
    };
    let hold = step.hold.as_ref().map_or_else(String::new, |role| format!("hold: {role} "));
    let name = |c: &Check| limits::short(&c.id);
    let named: String = step.checks.iter().map(|c| format!("{} {}  ", name(c), state(c))).collect();
    let whole = format!(" to enter: {named}{hold}");
    if whole.chars().count() < width {
        return Line::from(whole);
    }
    let signs: String = step.checks.iter().map(state).collect();
    Line::from(cut(&format!(" to enter: {} values {signs}  {hold}", step.checks.len()), width.saturating_sub(1)))
}

fn content(app: &App<'_>, record: &Record, step: &Step, width: u16, room: usize, whole: bool) -> Vec<Line<'static>> {
    let theme = app.theme;
    let mut lines = match record.step_state(&step.id) {
        _ if matches!(app.look(), Look::Back | Look::Ahead) => looking(app, record, step, width),
        _ if !record.stopped_at(&step.id).is_empty() => stopped(app, record, step, width),
        StepState::Done => {
            let mut lines = vec![Line::from(Span::styled("DONE. Tab leads to the next step.", theme.action()))];
            lines.extend(from_afar(app, record, step, width));
            lines
        }
        StepState::Held if app.open_check().is_none() => held(app, record, step, width),
        _ if !app.text_seen() => {
            vec![Line::from(Span::styled("Read to the end first: PgDn. Then the entry opens.", theme.alert()))]
        }
        _ => match (app.asked_first(), app.open_check()) {
            (Some(question), _) => first(app, &question, width),
            (None, Some(check)) => open(app, record, step, check, width, whole),
            (None, None) => Vec::new(),
        },
    };
    if let (Look::Work | Look::Other, Some(because)) = (app.look(), record.another_part(&step.id)) {
        let words = format!("ANOTHER PART: measure again ({because})");
        lines.insert(
            0,
            Line::from(Span::styled(
                cut(&with_titles(&words, &record.plan().steps), usize::from(width)),
                app.theme.alert(),
            )),
        );
    }
    if !app.message.is_empty() {
        let told = wrapped(&with_titles(&app.message, &record.plan().steps), width, message_style(app));
        // A question that stands is never pushed off the screen by what is said beside it.
        if app.entry.doubt.is_none() || lines.len() + told.len() <= room {
            lines.extend(told);
        }
    }
    if let Some((at, basis)) = basis(app, record, &lines, width, room.saturating_sub(lines.len())) {
        lines.splice(at..at, basis);
    }
    lines
}

/// The basis of the limits, and the line it stands on: whole where there is room, else cut with a mark; whole it stands
/// on the last page of the step's words.
fn basis(
    app: &App<'_>,
    record: &Record,
    lines: &[Line<'static>],
    width: u16,
    room: usize,
) -> Option<(usize, Vec<Line<'static>>)> {
    let check = app.open_check().filter(|c| panels::outside(app, record).is_none() && !app.none_decides(c))?;
    if values_so_far(app, check) || asks(app) || limits::instrument_fault(app, check).is_some() {
        return None;
    }
    let (name, limits) = limits::named(check);
    let first = lines.iter().position(|l| l.spans.first().is_some_and(|s| s.content.trim_end() == name))?;
    let at = first + named(name, Style::new(), &limits, width, Style::new()).len();
    let words = format!("basis: {}", limits::basis(record, check));
    let whole = wrapped(&words, width, Style::new());
    match whole.len() {
        n if n <= room => Some((at, whole)),
        _ if room > 0 => Some((at, vec![Line::from(cut(&words, usize::from(width)))])),
        _ => None,
    }
}

/// A release from afar that waits to be given in person.
fn from_afar(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let open = record.released_from_afar(step);
    let words =
        open.map(|(by, channel)| format!("Released by {by} from afar ({channel}); s: {by} releases it in person."));
    words.map_or_else(Vec::new, |words| wrapped(&words, width, app.theme.alert()))
}

/// Not the step in hand: what is entered is shown above; one key leads back.
fn looking(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let words = match (app.look(), app.at_work()) {
        (Look::Back, true) => "LOOKING BACK. Nothing new is entered here; c corrects a reading.",
        (Look::Back, false) => "LOOKING BACK. Nothing is entered here.",
        _ => "LOOKING ONLY. Nothing is entered here.",
    };
    let mut lines = vec![Line::from(Span::styled(words, app.theme.alert()))];
    if let Some(step) = record.current_step().filter(|_| app.session.is_some() && app.message.is_empty()) {
        let words = format!("w leads back to step {}: {}", step.number, step.title);
        lines.push(Line::from(cut(&words, usize::from(width))));
    }
    lines.extend(from_afar(app, record, step, width));
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

fn first(app: &App<'_>, question: &str, width: u16) -> Vec<Line<'static>> {
    let mut lines = wrapped(question, width, app.theme.action());
    lines.push(Line::from("y: yes, the entry opens   n: not yet"));
    lines
}

/// A part was given up while it is built in: nothing measured here answers that.
fn stopped(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let parts = record.stopped_at(&step.id).join(", ");
    let head = format!("STOPPED: {parts} was given up and is built in.");
    let mut lines = vec![Line::from(Span::styled(head, app.theme.alert()))];
    let words = "d: replace it now; it is shown first what comes off. Only what depends on this step waits; Tab shows other work.";
    lines.extend(wrapped(words, width, Style::new()));
    lines
}

fn held(app: &App<'_>, record: &Record, step: &Step, width: u16) -> Vec<Line<'static>> {
    let role = step.hold.clone().unwrap_or_default();
    let who = record.plan().people.get(&role).map_or_else(String::new, |l| l.join(", "));
    let mut lines = vec![Line::from(Span::styled(
        format!("HELD until the role {role} ({who}) releases it: s."),
        app.theme.alert(),
    ))];
    let rule = match record.lone_builder() {
        None => "Whoever did the work does not release it.".to_owned(),
        Some(lone) => format!("One-person build: {lone} may release it, also after doing the work."),
    };
    let words = format!("{rule} Only what depends on this step waits; Tab shows other work.");
    lines.extend(wrapped(&words, width, Style::new()));
    lines
}

fn open(app: &App<'_>, record: &Record, step: &Step, check: &Check, width: u16, whole: bool) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    let outside = panels::outside(app, record);
    if let Some((kept, _)) = &outside {
        let unit = kept.reading.unit.as_deref().unwrap_or_default();
        let verdict = kept.reading.verdict.word().to_uppercase();
        let because = kept.reading.because.replace(&format!(", {NOT_CONSIDERED}"), "");
        let values = format!("{} {unit}", kept.reading.values.join(" "));
        let words = format!("{verdict}: {}, {because}", values.trim_end());
        // A long series stands in the advice above, and where places are named the words say which value it is and
        // where: how far it is outside stands here.
        let short = check.places.is_empty() && words.chars().count() <= usize::from(width);
        let words = if short { words } else { format!("{verdict}: {because}") };
        lines.push(Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.verdict(kept.reading.verdict))));
        if let Some(first) = ease_first(check, kept.reading) {
            // Why so stands in the advice above; here the entry has to stay in sight.
            let first = format!("! {}.", first.split(':').next().unwrap_or(&first));
            lines.push(Line::from(Span::styled(cut(&first, usize::from(width)), app.theme.alert())));
        }
    }
    let asked = wrapped(&limits::prompt(record, check), width, app.theme.action());
    let rows = match (whole, asked.len() == 1 && app.entry.doubt.is_none()) {
        (true, _) => usize::MAX,
        (false, true) => 2,
        (false, false) => 1,
    };
    lines.extend(asked);
    let beside = if outside.is_none() { limits::instrument(app, check) } else { String::new() };
    lines.extend(limit_lines(app, check, &beside, width));
    lines.extend(under_the_limits(app, check, outside.is_some(), width, rows));
    // What was typed stays in sight beside the words that it was not saved.
    if !app.in_front() && app.trouble.is_none() {
        lines.push(Line::from("The entry waits for the window."));
        return lines;
    }
    if let Some(begun) = app.offered() {
        lines.extend(offer(app, check, begun, width));
        return lines;
    }
    lines.push(field::typing(app, record, step, check, width));
    let out_of_order = app.entry.out_of_order(&app.sequence());
    if let Some(doubt) = &app.entry.doubt {
        lines.extend(wrapped(doubt.words(), width, app.theme.alert()));
    } else if let Some(words) = out_of_order.filter(|_| check.asks() == CheckKind::Torque && !is_round(check)) {
        lines.extend(wrapped(&words, width, app.theme.alert()));
    } else if app.entry.first.is_some() {
        lines.push(Line::from(Span::styled(
            "Type it a second time. The first is not shown, so that it is read anew.",
            app.theme.alert(),
        )));
    }
    lines
}

/// The limits, whole, and behind them the instrument where there is room.
fn limit_lines(app: &App<'_>, check: &Check, beside: &str, width: u16) -> Vec<Line<'static>> {
    let (name, words) = limits::named(check);
    let mut lines = named(name, app.theme.name(), &words, width, app.theme.action());
    let taken = name.chars().count() + words.chars().count() + 1;
    let room = usize::from(width).saturating_sub(taken + 3);
    if let ([only], true) = (lines.as_mut_slice(), room > 0 && !beside.is_empty()) {
        only.push_span(Span::raw(format!("   {}", cut(beside, room))));
    }
    lines
}

/// One thing below the limits: what is wrong with the instrument, else the values so far, else that nothing can decide.
/// What the limits rest on stands there where none of these does.
fn under_the_limits(app: &App<'_>, check: &Check, outside: bool, width: u16, rows: usize) -> Vec<Line<'static>> {
    if let Some(fault) = limits::instrument_fault(app, check) {
        return wrapped(&fault, width, app.theme.alert());
    }
    if values_so_far(app, check) {
        let room = usize::from(width).saturating_mul(rows).saturating_sub(16 * rows.min(9).saturating_sub(1));
        let all = series::list(check, &app.so_far(), room);
        return wrapped(&all, width, Style::new()).into_iter().take(rows).collect();
    }
    if !outside && !asks(app) && app.none_decides(check) {
        let words = "No instrument of the register can decide this one: take a finer one, or a limit gauge.";
        return wrapped(words, width, app.theme.alert());
    }
    Vec::new()
}

/// True where values of a series stand below the limits: typed, or of a reading of which only others are typed anew.
fn values_so_far(app: &App<'_>, check: &Check) -> bool {
    check.asks() == CheckKind::Series && (!app.entry.given.is_empty() || !app.anew().is_empty())
}

/// True where a question needs the room below the limits.
fn asks(app: &App<'_>) -> bool {
    app.offered().is_some() || matches!(app.entry.doubt, Some(Doubt::Gauge(_)))
}

/// Values typed before a break, and whether they are taken up.
fn offer(app: &App<'_>, check: &Check, begun: &Begun, width: u16) -> Vec<Line<'static>> {
    let of = if begun.only.is_empty() { check.count.unwrap_or(1) as usize } else { begun.only.len() };
    let at = begun.at.get(5..16).unwrap_or(&begun.at).replace('T', " ");
    let (n, again) = match &begun.first {
        Some(_) => (begun.given.len(), " of the second time"),
        None => (begun.given.len(), ""),
    };
    let words = format!("{n} of {of}{again} typed by {} {at}, before the break: take them up?  y / n", begun.by);
    let mut lines = wrapped(&words, width, app.theme.alert());
    let list = match check.asks() {
        CheckKind::Series => {
            let places =
                (0..begun.given.len()).map(|k| check.place(nth(&begun.only, k)).unwrap_or_default().to_owned());
            let check = Check { places: places.collect(), ..check.clone() };
            series::list(&check, &begun.given, usize::from(width))
        }
        _ => format!("bolts {}", begun.given.join(" ")),
    };
    lines.push(Line::from(cut(&list, usize::from(width))));
    lines
}
