//! The bench: modules on offer, builds in hand, builds done.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::traveler::BuildState;
use crate::tui::app::{App, BenchRow};
use crate::tui::keys::On;
use crate::tui::widgets::text::{cut, wrapped};

use super::{bar, key_bar};

/// Draws the bench.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let [head, body, foot, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(8), Constraint::Length(3), Constraint::Length(1)])
            .areas(area);
    let who = app.by.clone().unwrap_or_else(|| "nobody named".into());
    bar(app, frame, head, "runtrue: the bench", &who);
    let (lines, at) = lines(app, body.width);
    let scroll = at.saturating_sub(usize::from(body.height).saturating_sub(3));
    let scroll = u16::try_from(scroll).unwrap_or(u16::MAX);
    frame.render_widget(Paragraph::new(lines).scroll((scroll, 0)), body);
    let words = if app.message.is_empty() {
        "The program computes; people decide. It gives no licence to run a machine. Local codes, the makers' instructions and a qualified person come first."
    } else {
        &app.message
    };
    frame.render_widget(Paragraph::new(wrapped(words, foot.width, app.theme.name())), foot);
    key_bar(app, frame, keys, On::Bench, &[]);
}

/// Lines of the bench, and the line of the chosen row.
fn lines(app: &App<'_>, width: u16) -> (Vec<Line<'static>>, usize) {
    let rows = app.bench_rows();
    let offers = app.modules.list();
    let mut lines = vec![heading(app, "Modules")];
    let mut at = 0;
    let mut last = 0;
    for (k, row) in rows.iter().enumerate() {
        let (section, words) = match row {
            BenchRow::Module(n) => {
                (0, offers.get(*n).map_or_else(String::new, |o| format!("{:<22} {}", o.name, o.title)))
            }
            BenchRow::Build(n) => {
                let done = app.builds[*n].state == Some(BuildState::Complete);
                (if done { 2 } else { 1 }, build_words(app, *n))
            }
        };
        for head in last + 1..=section {
            lines.push(Line::default());
            lines.push(heading(app, if head == 1 { "Builds in hand" } else { "Builds done" }));
            if head == 1 && section == 2 {
                lines.push(Line::from("  none"));
            }
        }
        last = section;
        let chosen = k == app.chosen;
        if chosen {
            at = lines.len();
        }
        let mark = if chosen { "> " } else { "  " };
        let style = if chosen { app.theme.chosen() } else { Style::new() };
        lines.push(Line::from(Span::styled(cut(&format!("{mark}{words}"), usize::from(width)), style)));
    }
    if app.builds.is_empty() {
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
    (lines, at)
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
        format!("  {step} until {}", at.get(..16).unwrap_or(at).replace('T', " "))
    });
    let problem = l.problem.as_ref().map_or_else(String::new, |p| format!("  {p}"));
    format!(
        "{:<22} {:<9} {:>3} of {:<3} {}{practice}{due}{problem}",
        l.build,
        state.word(),
        l.steps_done,
        l.steps_total,
        l.setup
    )
}
