//! Speed trials: what a run must know before, setups side by side with a chart, every run.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::plan::Running;
use crate::quantity::rounded;
use crate::traveler::{Record, SetupRuns, report, setup_said};
use crate::tui::app::App;
use crate::tui::trials::barred_here;
use crate::tui::widgets::text::{cut, named, with_titles, wrapped};

use super::{bar, key_bar};

/// Draws the log, or what stands before a run.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let [head, body, keys] =
        Layout::vertical([Constraint::Length(1), Constraint::Min(4), Constraint::Length(1)]).areas(area);
    let what = if before(app) { "Before a speed trial of" } else { "Speed trials of" };
    let left =
        format!("{what} {} {}, {}", record.plan().module, record.started().serial, setup_said(&record.plan().setup));
    let right = record.adopted().map_or_else(|| "nothing adopted".to_owned(), |a| format!("adopted: {}", a.said()));
    bar(app, frame, head, &left, &right);
    let lines = lines(app, record, body.width.saturating_sub(1));
    let from = app.line.min(lines.len().saturating_sub(usize::from(body.height)));
    frame.render_widget(Paragraph::new(lines[from..].to_vec()), body);
    key_bar(app, frame, keys);
}

fn before(app: &App<'_>) -> bool {
    app.trying.is_some_and(|t| t.before)
}

/// How many lines the page has.
#[must_use]
pub fn length(app: &App<'_>) -> usize {
    app.record().map_or(0, |r| lines(app, r, app.size.0.saturating_sub(1)).len())
}

fn lines(app: &App<'_>, record: &Record, width: u16) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if !app.message.is_empty() {
        lines.extend(wrapped(&with_titles(&app.message, &record.plan().steps), width, app.theme.alert()));
    }
    lines.extend(if before(app) { cautions(app, record, width) } else { log(app, record, width) });
    lines
}

fn heading(app: &App<'_>, words: &str) -> Vec<Line<'static>> {
    vec![Line::default(), Line::from(Span::styled(words.to_owned(), app.theme.name()))]
}

/// Cautions, the plan of the speeds, what is done; then the question whether it was read.
fn cautions(app: &App<'_>, record: &Record, width: u16) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    let Some(running) = record.running() else {
        lines.extend(wrapped(
            "DANGER The rotor stores energy; parts can leave it in the plane of the discs. They kill. Guard closed, nobody in that plane, start from outside. A qualified person decides.",
            width,
            app.theme.alert(),
        ));
        lines.extend(asked(app, width));
        return lines;
    };
    for caution in &running.trial.cautions {
        lines.extend(named(caution.signal.word(), app.theme.alert(), &caution.text, width, app.theme.alert()));
    }
    lines.extend(plan(app, record, running, width));
    lines.extend(heading(app, "What to do"));
    for (n, action) in (1..).zip(&running.trial.actions) {
        lines.extend(named(&format!("{n}."), app.theme.name(), action, width, Style::new()));
    }
    lines.extend(asked(app, width));
    lines
}

fn asked(app: &App<'_>, width: u16) -> Vec<Line<'static>> {
    let words = "y: this is read and the guard is closed. Make the run; the window for its values waits meanwhile. Esc: no run, back.";
    [vec![Line::default()], wrapped(words, width, app.theme.action())].concat()
}

fn whole(text: &str) -> String {
    text.parse::<f64>().map_or_else(|_| text.to_owned(), |v| rounded(v, 0))
}

/// Limit, stages, energy, expected run-down, and the highest speed so far: above it two people.
fn plan(app: &App<'_>, record: &Record, running: &Running, width: u16) -> Vec<Line<'static>> {
    let mut lines = heading(app, "Plan");
    let (low, high) = (&running.run_down_s.0, &running.run_down_s.1);
    let top = record
        .top_speed()
        .map_or_else(|| "none yet".to_owned(), |t| format!("{t} rpm; above it two people make the run"));
    let facts = [
        ("Never above", format!("{} rpm of the rotor", whole(&running.limit_rpm))),
        ("Stages", format!("{} rpm, the last as the setup is made for", running.stages_rpm.join(", "))),
        ("Energy", format!("{} J at {} rpm", whole(&running.energy_j), whole(&running.speed_rpm))),
        ("Run-down", format!("{} to {} s expected from there", whole(low), whole(high))),
        ("Highest so far", top),
        ("Runs", format!("{}; the first is the baseline, and it is run once more at the end", record.trials().len())),
    ];
    for (name, words) in facts {
        lines.extend(named(&format!("{name}:"), app.theme.name(), &words, width, Style::new()));
    }
    lines
}

fn log(app: &App<'_>, record: &Record, width: u16) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    if let Some(why) = barred_here(record) {
        lines.extend(wrapped(&format!("No run now: {why}."), width, app.theme.alert()));
    }
    for (a, e) in record.adoptions() {
        let over = record.adopted().is_some_and(|now| now != a);
        let words =
            format!("{}, entry {}{}", a.words(), e.header.event, if over { ", replaced by a later one" } else { "" });
        lines.extend(wrapped(&words, width, app.theme.action()));
    }
    let setups = record.setups_run();
    if setups.is_empty() {
        lines.extend(wrapped(
            "No run yet. n keeps the first one, the baseline: in the setup as it stands.",
            width,
            Style::new(),
        ));
        if let Some(running) = record.running() {
            lines.extend(plan(app, record, running, width));
        }
        return lines;
    }
    lines.extend(heading(app, "Setups side by side"));
    lines.extend(table(app, &setups, width));
    for setup in &setups {
        match &setup.parts {
            Some(Ok(d)) => {
                let words = format!(
                    "{}: drag {} N·m at any speed and {} N·m for each rad/s",
                    setup.said,
                    rounded(d.constant.nm(), 3),
                    rounded(d.by_speed, 4)
                );
                lines.extend(wrapped(&words, width, Style::new()));
            }
            Some(Err(why)) => lines.extend(wrapped(&format!("{}: {why}", setup.said), width, Style::new())),
            None => {}
        }
    }
    for chart in report::trial_charts(&setups) {
        lines.extend(heading(app, &chart.caption));
        lines.extend(chart.lines.iter().map(|l| Line::from(cut(l, usize::from(width)))));
    }
    lines.extend(heading(app, "Runs"));
    for (t, e) in record.trials() {
        let right = record.corrected_run(e.header.event);
        let style = if t.verdict.open() && right.is_none() { app.theme.alert() } else { Style::new() };
        let style = if right.is_some() { style.add_modifier(Modifier::CROSSED_OUT) } else { style };
        let old = right.map_or_else(String::new, |r| format!("; superseded by run {}", r.number));
        let answer = record.run_answer(t, e).filter(|_| t.too_fast());
        let answer = answer.map_or_else(String::new, |a| format!("; decided: {a}"));
        let doubt = t.doubt.as_ref().map_or_else(String::new, |d| format!("; kept although {d}"));
        let figures: Vec<String> = t.figures.iter().map(|f| format!("{} {} {}", f.name, f.value, f.unit)).collect();
        let words = format!("{} by {}; {}{answer}{doubt}{old}", t.words(), e.header.by, figures.join(", "));
        lines.extend(wrapped(&words, width, style));
    }
    lines
}

/// A line a setup, columns of one width; names give way to what they stand beside.
fn table(app: &App<'_>, setups: &[SetupRuns<'_>], width: u16) -> Vec<Line<'static>> {
    const COLUMNS: [(&str, &str, bool); 6] = [
        ("speed", "rpm", true),
        ("run-down", "down s", false),
        ("drag", "N·m", false),
        ("slip", "slip %", false),
        ("rise", "rise °C", true),
        ("tension-lost", "lost %", true),
    ];
    let name = usize::from(width).saturating_sub(5 + 9 * COLUMNS.len()).clamp(16, 40);
    let heads: String = COLUMNS.iter().map(|(_, head, _)| format!("{head:>9}")).collect();
    let mut lines = vec![Line::from(Span::styled(format!("{:<name$}{:>5}{heads}", "setup", "runs"), app.theme.name()))];
    for setup in setups {
        let of = |(id, _, most): &(&str, &str, bool)| {
            let value = if *most { setup.most(id) } else { setup.last(id) };
            format!("{:>9}", value.map_or_else(|| "-".to_owned(), shown))
        };
        let cells: String = COLUMNS.iter().map(of).collect();
        let said = if setup.adopted { format!("* {}", setup.said) } else { setup.said.clone() };
        let words = format!("{:<name$}{:>5}{cells}", cut(&said, name - 1), setup.runs.len());
        lines.push(Line::from(words));
    }
    if setups.iter().any(|s| s.adopted) {
        lines.push(Line::from("* adopted"));
    }
    lines
}

fn shown(v: f64) -> String {
    let text = format!("{v:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
