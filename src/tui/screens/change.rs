//! What a change of a build means, before it is begun: its steps, what is undone, what is measured or judged anew.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::change::Touched;
use crate::procedure::design_check::Severity;
use crate::traveler::setup_words;
use crate::tui::app::App;
use crate::tui::changing::Planned;
use crate::tui::widgets::text::{named, wrapped};

use super::opened::title_of;
use super::{bar, key_bar, scrolled};

/// Draws the page.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(planned) = &app.change else { return };
    let [head, body, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(4), Constraint::Length(1)]).areas(area);
    let state = match planned.startable() {
        true => "not begun",
        false if planned.prospect.blocked() => "cannot be begun",
        false => "nothing to do",
    };
    let lines = lines(app, planned, body.width.saturating_sub(1));
    let height = usize::from(body.height);
    let from = app.line.min(lines.len().saturating_sub(height));
    let right = format!("{state}{}", scrolled(from, height, lines.len()));
    bar(app, frame, head, &format!("{} of {}", planned.prospect.kind.word(), planned.build), &right);
    frame.render_widget(Paragraph::new(lines[from..].to_vec()), body);
    key_bar(app, frame, keys);
}

/// How many lines the page has.
#[must_use]
pub fn length(app: &App<'_>) -> usize {
    app.change.as_ref().map_or(0, |planned| lines(app, planned, app.size.0.saturating_sub(1)).len())
}

fn lines(app: &App<'_>, planned: &Planned, width: u16) -> Vec<Line<'static>> {
    let (way, record) = (&planned.prospect.way, &planned.record);
    let mut lines = Vec::new();
    if !app.message.is_empty() {
        lines.extend(wrapped(&app.message, width, app.theme.alert()));
    }
    let (from, to) = (setup_words(&record.plan().setup), setup_words(&planned.prospect.setup.values));
    let goal = if from == to { from } else { format!("{from} to {to}") };
    lines.extend(named("Setup:", app.theme.name(), &goal, width, app.theme.action()));
    if let Some(words) = planned.prospect.nothing_to_do(record) {
        lines.push(Line::default());
        lines.extend(wrapped(&words, width, app.theme.action()));
        return lines;
    }
    if let Some(adopted) = record.adopted().filter(|_| record.leaves_adopted(&planned.prospect.setup.values)) {
        let words = format!("{}: {}. Leaving it is asked for its reason.", adopted.said(), adopted.reason);
        lines.extend(named("ADOPTED", app.theme.alert(), &words, width, Style::new()));
    }
    for finding in &way.findings {
        let word = if finding.severity == Severity::Error { "ERROR" } else { "WARNING" };
        let words = format!("{}. {}", finding.text, finding.mend.as_deref().unwrap_or_default());
        lines.extend(named(word, app.theme.alert(), &words, width, Style::new()));
    }
    lines.extend(wrapped(&way.sum(), width, Style::new()));
    let titled = |id: &str| title_of(record, id);
    head(app, &mut lines, "Undone");
    let undone = way.undone.iter().map(|u| (u.because.as_str(), titled(&u.step)));
    grouped(app, &mut lines, undone, width);
    for (name, touched) in [("Disturbed, measure again", &way.stale), ("Held against other limits", &way.rejudged)] {
        head(app, &mut lines, name);
        grouped(app, &mut lines, touched.iter().map(|t: &Touched| (t.because.as_str(), titled(&t.step))), width);
    }
    head(app, &mut lines, "Steps");
    for step in &way.plan.steps {
        let hold = step.hold.as_ref().map_or_else(String::new, |role| format!("  [hold: {role}]"));
        let number = format!("{:>4}.", step.number);
        lines.extend(named(&number, app.theme.name(), &format!("{}{hold}", step.title), width, Style::new()));
    }
    if way.plan.steps.is_empty() {
        lines.push(Line::from("  none: nothing has to be done for this"));
    }
    lines
}

fn head(app: &App<'_>, lines: &mut Vec<Line<'static>>, name: &str) {
    lines.push(Line::default());
    lines.push(Line::from(Span::styled(name.to_owned(), app.theme.name())));
}

/// Titles under the reason that touches them, each once.
fn grouped<'a>(
    app: &App<'_>,
    lines: &mut Vec<Line<'static>>,
    touched: impl Iterator<Item = (&'a str, String)>,
    width: u16,
) {
    let mut reasons: Vec<(&str, Vec<String>)> = Vec::new();
    for (why, title) in touched {
        match reasons.iter_mut().find(|(w, _)| *w == why) {
            Some((_, titles)) if titles.contains(&title) => {}
            Some((_, titles)) => titles.push(title),
            None => reasons.push((why, vec![title])),
        }
    }
    if reasons.is_empty() {
        lines.push(Line::from("  nothing"));
    }
    for (why, titles) in reasons {
        lines.extend(named(" ", app.theme.name(), &format!("{} ({why})", titles.join("; ")), width, Style::new()));
    }
}
