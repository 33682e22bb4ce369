//! The screens: each draws the state and nothing else.

mod bench;
mod entry;
mod far;
pub mod handover;
mod overlay;
mod panels;
pub mod record;
pub mod step;
mod steps;

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::app::{App, Shown};
use super::keys::{Act, On, TABLE};
use super::widgets::text::cut;

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
    }
    overlay::draw(app, frame, area);
}

/// The bar across the top or foot of a screen.
pub(super) fn bar(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, left: &str, right: &str) {
    let width = usize::from(area.width);
    let right = cut(right, width / 2);
    let room = width.saturating_sub(right.chars().count() + 2);
    let line = format!(" {:<room$}{right} ", cut(left, room.saturating_sub(1)));
    frame.render_widget(Paragraph::new(line).style(app.theme.bar()), area);
}

/// The keys that matter now, as many as fit, the key page always.
pub(super) fn key_bar(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, on: On, first: &[(Act, &str)]) {
    let mut shown: Vec<(&str, String)> = vec![("?", "keys".into())];
    for (act, word) in first {
        if let Some(row) = TABLE.iter().find(|r| r.on == on && r.act == *act) {
            shown.push((row.name, (*word).to_owned()));
        }
    }
    let rest = TABLE.iter().filter(|r| r.on == on && !r.short.is_empty() && !first.iter().any(|(a, _)| *a == r.act));
    shown.extend(rest.map(|r| (r.name, r.short.to_owned())));
    let mut spans = Vec::new();
    let mut room = usize::from(area.width);
    for (key, word) in shown {
        let needs = key.chars().count() + word.chars().count() + 4;
        if needs > room {
            continue;
        }
        room -= needs;
        spans.push(Span::styled(format!(" {key} "), app.theme.key()));
        spans.push(Span::raw(format!("{word}  ")));
    }
    frame.render_widget(Paragraph::new(Line::from(spans)), area);
}
