//! The bench: modules on offer, builds in hand, builds done.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr;

use crate::traveler::{BuildState, Checked};
use crate::tui::app::{App, BenchRow};
use crate::tui::widgets::text::cut;

use super::{bar, foot, foot_rows, key_bar};

/// Rows of the foot at least.
const FOOT: u16 = 3;

/// Draws the bench.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let words = below(app, area.width);
    let rows = foot_rows(&words, FOOT, area.width);
    let [head, body, low, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(8), Constraint::Length(rows), Constraint::Length(1)])
            .areas(area);
    let who = app.by.clone().unwrap_or_else(|| "nobody named".into());
    bar(app, frame, head, "runtrue: the bench", &who);
    let (lines, places) = lines(app, body.width);
    let scroll = scroll(app, &places, body.height);
    frame.render_widget(Paragraph::new(lines).scroll((scroll, 0)), body);
    foot(app, frame, low, &words);
    key_bar(app, frame, keys);
}

/// What was just said, how far the list is, the chosen line where it is cut, or what holds always.
fn below(app: &App<'_>, width: u16) -> String {
    let rows = app.bench_rows();
    let chosen = rows.get(app.chosen).map(|row| row_words(app, row));
    let cut_off = chosen.filter(|words| words.width() + 3 > usize::from(width));
    match (app.listing_words(), cut_off) {
        _ if !app.message.is_empty() => app.message.clone(),
        (Some(far), _) => far,
        (None, Some(words)) => words.split_whitespace().collect::<Vec<_>>().join(" "),
        (None, None) => "The program computes; people decide. It gives no licence to run a machine. Local codes, the makers' instructions and a qualified person come first.".into(),
    }
}

/// A line of the bench, whole.
fn row_words(app: &App<'_>, row: &BenchRow) -> String {
    match row {
        BenchRow::Module(n) => app.offers.get(*n).map_or_else(String::new, |o| format!("{:<22} {}", o.name, o.title)),
        BenchRow::Build(n) => build_words(app, *n),
        BenchRow::Due(n) => due_words(app, *n),
    }
}

fn scroll(app: &App<'_>, places: &[usize], height: u16) -> u16 {
    let at = places.get(app.chosen).copied().unwrap_or(0);
    u16::try_from(at.saturating_sub(usize::from(height).saturating_sub(3))).unwrap_or(u16::MAX)
}

/// The row that can be chosen in a row of the screen.
#[must_use]
pub fn row_at(app: &App<'_>, row: u16) -> Option<usize> {
    let height = app.size.1.saturating_sub(2 + foot_rows(&below(app, app.size.0), FOOT, app.size.0));
    let (_, places) = lines(app, app.size.0);
    let line = usize::from(row.checked_sub(1).filter(|r| *r < height)? + scroll(app, &places, height));
    places.iter().position(|p| *p == line)
}

/// Lines of the bench, and the line of each row that can be chosen.
fn lines(app: &App<'_>, width: u16) -> (Vec<Line<'static>>, Vec<usize>) {
    let rows = app.bench_rows();
    let mut lines = vec![heading(app, "Modules")];
    let mut places = Vec::new();
    let mut last = 0;
    for (k, row) in rows.iter().enumerate() {
        let words = row_words(app, row);
        let section = match row {
            BenchRow::Module(_) => 0,
            BenchRow::Build(n) if app.builds[*n].state == Some(BuildState::Complete) => 3,
            BenchRow::Build(_) => 1,
            BenchRow::Due(_) => 2,
        };
        // What is due has a heading only where something is.
        for head in (last + 1..=section).filter(|head| *head != 2 || section == 2) {
            lines.push(Line::default());
            lines.push(heading(app, SECTIONS[head]));
            if head == 1 && section > 1 {
                lines.push(Line::from("  none"));
            }
        }
        last = section;
        let chosen = k == app.chosen;
        places.push(lines.len());
        let mark = if chosen { "> " } else { "  " };
        let style = if chosen { app.theme.chosen() } else { Style::new() };
        lines.push(Line::from(Span::styled(cut(&format!("{mark}{words}"), usize::from(width)), style)));
    }
    if app.builds.is_empty() && app.listing_words().is_none() {
        lines.push(Line::default());
        lines.push(heading(app, "Builds"));
        lines.extend(
            [
                "  None yet. Choose a module above and press Enter to start one.",
                "  A practice build is marked as such and touches no real module.",
                "  Leave at any moment: every entry is saved when the screen says so.",
            ]
            .map(Line::from),
        );
    }
    (lines, places)
}

/// Heads of the bench after the modules.
const SECTIONS: [&str; 4] = ["Modules", "Builds in hand", "Due: looked at again on a visit", "Builds done"];

/// What is due of a build: the first by name, the others counted.
fn due_words(app: &App<'_>, n: usize) -> String {
    let l = &app.builds[n];
    let due: Vec<_> = l.follow.iter().filter(|p| p.now(app.today)).collect();
    let Some(first) = due.first() else { return l.build.clone() };
    let word = if due.iter().any(|p| p.overdue(app.today)) { "OVERDUE" } else { "due" };
    let more = if due.len() > 1 { format!(", and {} more", due.len() - 1) } else { String::new() };
    let practice = if l.practice { "  PRACTICE" } else { "" };
    format!("{:<22} {word:<7} {:<10}  {}{more}{practice}", l.build, first.when(), first.what)
}

fn heading(app: &App<'_>, words: &str) -> Line<'static> {
    Line::from(Span::styled(words.to_owned(), app.theme.name()))
}

fn build_words(app: &App<'_>, n: usize) -> String {
    let l = &app.builds[n];
    let Some(state) = l.state else {
        return format!("{:<22} cannot be read: {}", l.build, l.problem.as_deref().unwrap_or_default());
    };
    let practice = if l.practice { "  PRACTICE" } else { "" };
    let due = l.due.first().map_or_else(String::new, |(step, at)| {
        let told = app.told.contains(&(l.build.clone(), step.clone(), at.clone()));
        let word = if told { "! DUE" } else { "clock to" };
        format!("{word} {} {step}  ", at.get(5..16).unwrap_or(at).replace('T', " "))
    });
    let joints = match l.half_done.as_slice() {
        [] => String::new(),
        [one] => format!("! NOT FINAL {one}  "),
        [one, rest @ ..] => format!("! NOT FINAL {one} and {} more  ", rest.len()),
    };
    let ends = if l.checked == Checked::Ends { "  not verified" } else { "" };
    let setup = l.adopted.as_ref().map_or_else(|| l.setup.to_string(), |a| format!("adopted: {a}"));
    let problem = l.problem.as_ref().map_or_else(|| ends.to_owned(), |p| format!("  {p}"));
    format!(
        "{:<22} {:<9} {:>3} of {:<3} {joints}{due}{setup}{practice}{problem}",
        l.build,
        state.word(),
        l.steps_done,
        l.steps_total
    )
}
