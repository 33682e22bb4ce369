//! One step: cautions, why now, what to do, with what, what to enter; the picture of the state now.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::plan::{CheckKind, Step};
use crate::traveler::{Record, StepState, barred, is_round};
use crate::tui::answers::releasable;
use crate::tui::app::App;
use crate::tui::keys::Act;
use crate::tui::looking::Look;

use super::pages::Pages;
use super::{bar, entry, far, key_bar, pages, panels, pictures};

/// Rows of the entry: rule, prompt, limits, basis, entry, two of message; more where the screen is taller, fewer where
/// nothing is entered.
const fn least_rows(look: Look, height: u16) -> u16 {
    match look {
        Look::Back | Look::Ahead => 4,
        Look::Work | Look::Other if height >= 32 => 9,
        Look::Work | Look::Other => 7,
    }
}

/// The entry, and the rows it takes: more than the least where it has more to say, up to half of the screen.
fn entry_rows(app: &App<'_>, record: &Record, step: &Step, width: u16, height: u16) -> (entry::Laid, u16) {
    let least = least_rows(app.look(), height);
    let laid = entry::lay(app, record, step, width, least);
    let rows = laid.needs().clamp(least, least.max(height / 2));
    (laid, rows)
}

/// From this width on the picture stands beside the text.
const WIDE: u16 = 110;
/// Share of the width that the text has then, in percent.
const TEXT: u16 = 56;
/// The widest text: longer lines are hard to follow, and the picture uses the room better.
const WIDEST: u16 = 92;

/// Width of the text where the picture stands beside it.
fn beside(width: u16) -> Option<u16> {
    (width >= WIDE).then(|| (width * TEXT / 100).min(WIDEST))
}

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
    let (laid, rows) = entry_rows(app, record, step, area.width, area.height);
    let [upper, lower] = Layout::vertical([Constraint::Min(4), Constraint::Length(rows)]).areas(body);
    let beside = beside(area.width);
    if app.picture {
        pictures::draw(app, frame, upper, record, step);
    } else if let Some(text) = beside {
        let [left, right] = Layout::horizontal([Constraint::Length(text), Constraint::Min(1)]).areas(upper);
        words(app, frame, left, record, step, &laid, rows);
        pictures::draw(app, frame, right, record, step);
    } else {
        words(app, frame, upper, record, step, &laid, rows);
    }
    entry::draw(app, frame, lower, record, step, laid);
    key_bar(app, frame, keys);
}

fn head_line(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let practice = if record.started().practice { "PRACTICE  " } else { "" };
    let look = match app.look() {
        Look::Back => "LOOKING BACK  ",
        Look::Ahead => "LOOKING AHEAD  ",
        Look::Other => "OTHER STEP  ",
        Look::Work => "",
    };
    let fast = record.run_to_decide().map_or_else(String::new, |(t, _)| format!("RUN {} TOO FAST  ", t.number));
    let left = format!(
        "{practice}{fast}{look}{} {}{}  step {} of {}  {}  at: {}",
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
    unless(app.entry.begun() || !app.anew().is_empty(), &[Act::Undo]);
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
        Look::Back | Look::Ahead => {
            let release = (Act::Release, "in person");
            let release = Some(release).filter(|_| app.session.is_some() && record.released_from_afar(step).is_some());
            return [work, (Act::Earlier, "before"), (Act::Later, "after")].into_iter().chain(release).collect();
        }
        Look::Other => keys.push(work),
        Look::Work => {}
    }
    if !app.text_seen() {
        keys.push((Act::PageDown, "read on"));
        return keys;
    }
    let asked = app.entry.doubt.is_some() || app.entry.shown_back.is_some();
    if asked || app.asked_first().is_some() || app.offered().is_some() {
        keys.extend([(Act::Yes, "yes"), (Act::No, "no")]);
        return keys;
    }
    match record.step_state(&step.id) {
        StepState::Done if record.released_from_afar(step).is_some() => keys.push((Act::Release, "in person")),
        StepState::Done if record.open_steps().is_empty() => keys.push((Act::Finish, "close the record")),
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
    if !app.anew().is_empty() && !app.entry.begun() {
        keys.push((Act::Undo, "all anew"));
    }
    match open.map(|c| c.asks()) {
        Some(CheckKind::Confirm | CheckKind::Gauge) => keys.extend([(Act::Yes, "yes"), (Act::No, "no")]),
        Some(CheckKind::Torque) if clicks(app) => keys.push((Act::Click, "clicked")),
        Some(CheckKind::Text) if !app.typing => keys.push((Act::Type, "type words")),
        Some(CheckKind::Wait) => keys.extend([(Act::Clock, "clock"), (Act::EndEarly, "end early")]),
        _ => {}
    }
    keys
}

/// True where Space says that the next bolt has clicked.
fn clicks(app: &App<'_>) -> bool {
    let bolts = app.open_check().is_some_and(|c| !is_round(c));
    bolts && !app.entry.torques() && app.anew().is_empty()
}

/// The words of the step, and below them, where they leave room, how the build stands: always at the foot, so that the
/// eye finds it in one place.
fn words(
    app: &App<'_>,
    frame: &mut Frame<'_>,
    area: Rect,
    record: &Record,
    step: &Step,
    laid: &entry::Laid,
    rows: u16,
) {
    let pages = all_pages(app, record, step, (area.width, area.height), laid, rows);
    let mut lines = page_lines(app, &pages);
    let (width, height) = (area.width.saturating_sub(1), usize::from(area.height));
    if advised(app, record) {
        panels::loud(app, record, width, height, &mut lines);
    } else {
        panels::below(app, record, step, width, height, &mut lines);
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// The step's words, or the advice on a reading outside; and last what the entry has no room for.
fn all_pages(
    app: &App<'_>,
    record: &Record,
    step: &Step,
    (width, height): (u16, u16),
    laid: &entry::Laid,
    rows: u16,
) -> Pages {
    let mut pages = if advised(app, record) {
        pages::advice(app, record, step, width, height)
    } else {
        pages::of(app, width, height)
    };
    if laid.is_cut(rows) {
        pages.append(app, laid, height);
    }
    pages
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

/// True while the advice on a reading outside stands in place of the step's words.
fn advised(app: &App<'_>, record: &Record) -> bool {
    app.at_work() && app.look() != Look::Back && !app.own_words && panels::outside(app, record).is_some()
}

/// Size of the text's area for the terminal's size, and so many rows of entry.
fn text_area(app: &App<'_>, rows: u16) -> (u16, u16) {
    let (width, height) = app.size;
    (beside(width).unwrap_or(width), height.saturating_sub(2 + rows))
}

/// How many pages there are to turn.
#[must_use]
pub fn page_count(app: &App<'_>) -> usize {
    let (Some(record), Some(step)) = (app.record(), app.shown_step()) else { return 1 };
    let (laid, rows) = entry_rows(app, record, step, app.size.0, app.size.1);
    all_pages(app, record, step, text_area(app, rows), &laid, rows).list.len()
}

/// How many pages have to be seen before the entry opens. Reckoned for the least entry, since what it says hangs on it.
#[must_use]
pub fn pages_required(app: &App<'_>) -> usize {
    // The advice on a reading outside takes the place of words that were read before it was taken; on return too.
    if app.record().is_some_and(|record| advised(app, record)) {
        return 1;
    }
    let (width, height) = text_area(app, least_rows(app.look(), app.size.1));
    pages::required(app, width, height)
}

/// Why the step shown cannot be worked on, if so.
pub(super) fn why_not(app: &App<'_>, record: &Record, step: &Step) -> Option<String> {
    if app.session.is_none() {
        return Some("This record is read, not written.".into());
    }
    barred(record, step)
}
