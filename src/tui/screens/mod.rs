//! The screens: each draws the state and nothing else.

mod aloud;
mod balance;
pub(super) mod bench;
pub mod change;
mod entry;
mod far;
mod far_done;
mod field;
pub mod handover;
mod heavy;
mod joints;
mod kept;
pub(super) mod kit;
mod limits;
pub mod opened;
pub(super) mod overlay;
pub(super) mod pages;
mod panels;
mod pictures;
pub mod record;
mod series;
pub mod step;
pub(super) mod steps;
pub mod trials;

pub(super) use limits::is_read_off;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::app::{App, Shown};
use super::keys::{Act, On, Row, TABLE};
use super::widgets::text::{cut, wrapped};
use crate::procedure::plan::CheckKind;

/// Rows that the foot of a list takes at most, so that the list keeps as many.
const FOOT_MOST: u16 = 10;

/// Draws the guide.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>) {
    let area = frame.area();
    if area.width < 80 || area.height < 24 {
        let words = format!("Needs 80 x 24, now {} x {}; your entry is kept", area.width, area.height);
        frame.render_widget(Paragraph::new(cut(&words, usize::from(area.width))), area);
        return;
    }
    match app.shown {
        Shown::Bench => bench::draw(app, frame, area),
        Shown::Step => step::draw(app, frame, area),
        Shown::Steps => steps::draw(app, frame, area),
        Shown::Record => record::draw(app, frame, area),
        Shown::Handover => handover::draw(app, frame, area),
        Shown::Kit => kit::draw(app, frame, area),
        Shown::Change => change::draw(app, frame, area),
        Shown::Trials => trials::draw(app, frame, area),
    }
    overlay::draw(app, frame, area);
}

/// Limits of a check in words, as the screens tell them.
#[cfg(test)]
pub(super) fn limits_told(check: &crate::procedure::plan::Check) -> String {
    limits::told(check)
}

/// What the limits of a check rest on, as the screens tell it.
#[cfg(test)]
pub(super) fn basis_told(record: &crate::traveler::Record, check: &crate::procedure::plan::Check) -> String {
    limits::basis(record, check)
}

/// The bar across the top or foot of a screen.
pub(super) fn bar(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, left: &str, right: &str) {
    let width = usize::from(area.width);
    let right = cut(right, width / 2);
    let room = width.saturating_sub(right.chars().count() + 2);
    let line = format!(" {:<room$}{right} ", cut(left, room.saturating_sub(1)));
    frame.render_widget(Paragraph::new(line).style(app.theme.bar()), area);
}

/// Which lines of a page are on the screen, where it has more than fit.
pub(super) fn scrolled(from: usize, height: usize, of: usize) -> String {
    if of <= height { String::new() } else { format!(", lines {} to {} of {of}", from + 1, (from + height).min(of)) }
}

/// Rows of the foot of a list: what was just said, or what is to be known of the chosen line. It grows before it cuts.
pub(super) fn foot_rows(words: &str, least: u16, width: u16) -> u16 {
    let rows = wrapped(words, width.saturating_sub(1), Style::new()).len();
    u16::try_from(rows).unwrap_or(u16::MAX).clamp(least, FOOT_MOST)
}

/// The foot of a list.
pub(super) fn foot(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, words: &str) {
    let style = if app.message.is_empty() { Style::new() } else { app.theme.alert() };
    frame.render_widget(Paragraph::new(wrapped(words, area.width.saturating_sub(1), style)), area);
}

/// A key in the key bar, with the columns it takes.
pub(super) struct Placed {
    /// First column.
    pub from: u16,
    /// Column behind it.
    pub to: u16,
    /// The key.
    pub row: &'static Row,
    /// Its word.
    pub word: String,
}

/// True where a reading outside its limits waits for its answer at the step shown.
pub(super) fn outside(app: &App<'_>, record: &crate::traveler::Record) -> bool {
    panels::outside(app, record).is_some()
}

/// The keys that matter now, as many as fit, the key page always.
pub(super) fn key_bar(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let mut spans = Vec::new();
    for key in placed(app, area.width) {
        spans.push(Span::styled(format!(" {} ", key.row.name), app.theme.key()));
        spans.push(Span::raw(format!("{}  ", key.word)));
    }
    frame.render_widget(Paragraph::new(Line::from(spans)), area);
}

/// The key bar of the screen shown; a mouse finds its key by the same list.
pub(super) fn placed(app: &App<'_>, width: u16) -> Vec<Placed> {
    // A window over the screen names its own keys; those of the screen would do nothing.
    if !app.in_front() {
        return Vec::new();
    }
    // Where letters go into a field, only the keys that still work in it are offered.
    let field = app.letters_are_typed();
    let on = if field { On::Field } else { app.on() };
    let (first, not_now) = match on {
        On::Step => step::now_keys(app),
        On::Field if app.open_check().is_some_and(|c| c.asks() == CheckKind::Text) => {
            let nothing_typed = app.entry.input.is_empty();
            (vec![(Act::Clear, "keys are commands")], nothing_typed.then_some(Act::Rub).into_iter().collect())
        }
        On::Record if app.opened.is_some() => {
            (vec![(Act::Back, "back to the list")], vec![Act::Open, Act::Find, Act::Reopen, Act::Trials])
        }
        On::Trials if app.trying.is_some_and(|t| t.before) => {
            (vec![(Act::Yes, "read, go on")], vec![Act::NewRun, Act::Adopt])
        }
        On::Trials => (Vec::new(), vec![Act::Yes]),
        On::Change if app.change.as_ref().is_none_or(|c| !c.startable()) => (Vec::new(), vec![Act::Yes]),
        _ => (Vec::new(), Vec::new()),
    };
    let rows = || TABLE.iter().filter(|r| r.on == on);
    let help = TABLE.iter().filter(|r| r.on == On::All && !field).map(|r| (r, r.short.to_owned()));
    let now = first.iter().filter_map(|(act, word)| Some((rows().find(|r| r.act == *act)?, (*word).to_owned())));
    let rest = rows().filter(|r| !first.iter().any(|(a, _)| *a == r.act) && !not_now.contains(&r.act));
    let rest = rest.map(|r| (r, r.short.to_owned()));
    let mut out = Vec::new();
    let mut from = 0;
    for (row, word) in help.chain(now).chain(rest).filter(|(_, word)| !word.is_empty()) {
        let needs = u16::try_from(row.name.chars().count() + word.chars().count() + 4).unwrap_or(u16::MAX);
        if needs <= width.saturating_sub(from) {
            out.push(Placed { from, to: from + needs, row, word });
            from += needs;
        }
    }
    out
}
