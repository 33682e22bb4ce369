//! What stands over a screen: questions, the key page, what to look at again.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Clear, Paragraph};

use crate::module::printable;
use crate::tui::app::App;
use crate::tui::ask::Ask;
use crate::tui::keys::{On, TABLE};
use crate::tui::trouble::Trouble;
use crate::tui::widgets::text::{cut, wrapped};

/// Draws what stands over the screen.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    if let Some(trouble) = &app.trouble {
        refused(app, frame, area, trouble);
    } else if app.help {
        keys(app, frame, area);
    } else if let Some(ask) = &app.ask {
        questions(app, frame, area, ask);
    } else if !app.look_again.is_empty() {
        look_again(app, frame, area);
    }
}

fn window(frame: &mut Frame<'_>, area: Rect, title: &str, lines: Vec<Line<'static>>) {
    let height = u16::try_from(lines.len() + 2).unwrap_or(u16::MAX).min(area.height);
    let width = area.width.min(if title == "Keys" { 82 } else { 76 });
    let x = area.x + (area.width - width) / 2;
    let y = area.y + (area.height - height) / 2;
    let place = Rect::new(x, y, width, height);
    frame.render_widget(Clear, place);
    frame.render_widget(Paragraph::new(lines).block(Block::bordered().title(format!(" {title} "))), place);
}

fn refused(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, trouble: &Trouble) {
    let width = area.width.min(76) - 2;
    let mut lines = Vec::new();
    for part in &trouble.parts {
        lines.extend(wrapped(part, width, app.theme.alert()));
        lines.push(Line::default());
    }
    let stays = if trouble.entry { " What was typed and not saved stays on the screen." } else { "" };
    lines.push(Line::from(format!("Esc: read.{stays}")));
    window(frame, area, trouble.title, lines);
}

fn questions(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, ask: &Ask) {
    let width = area.width.min(76) - 2;
    let mut lines = wrapped(&ask.words, width, ratatui::style::Style::new());
    lines.push(Line::default());
    for (k, field) in ask.fields.iter().enumerate() {
        let here = k == ask.at;
        let mark = if here { "> " } else { "  " };
        let typed = if here && field.choices.is_empty() { format!("{}_", field.value) } else { field.value.clone() };
        let style = if here { app.theme.entry() } else { ratatui::style::Style::new() };
        let label = cut(&field.label, 44);
        let room = usize::from(width).saturating_sub(label.chars().count() + 5);
        lines.push(Line::from(vec![
            Span::raw(format!("{mark}{label}: ")),
            Span::styled(tail(&printable(&typed), room), style),
        ]));
        if here && !field.choices.is_empty() {
            lines.push(Line::from(cut(
                &format!("    choose with the arrows: {}", field.choices.join(", ")),
                usize::from(width),
            )));
        }
    }
    lines.push(Line::default());
    if !ask.fault.is_empty() {
        lines.extend(wrapped(&ask.fault, width, app.theme.alert()));
    }
    lines.push(Line::from("Enter: next   Esc: leave without"));
    window(frame, area, &ask.title, lines);
}

/// The end of a long answer, so that what is being typed is seen.
fn tail(text: &str, room: usize) -> String {
    let n = text.chars().count();
    if n <= room {
        return text.to_owned();
    }
    let end: String = text.chars().skip(n - room.saturating_sub(1)).collect();
    format!("…{end}")
}

fn look_again(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(record) = app.record() else { return };
    let width = area.width.min(76) - 2;
    let mut lines = wrapped(
        "Before you go on, look at these again on the machine. They were done last:",
        width,
        app.theme.action(),
    );
    lines.push(Line::default());
    for (k, id) in app.look_again.iter().enumerate() {
        if let Some(step) = record.step(id) {
            let (mark, style) = if k == 0 { (">", app.theme.entry()) } else { (" ", ratatui::style::Style::new()) };
            lines.extend(wrapped(&format!("{mark} {}. {}", step.number, step.title), width, style));
        }
    }
    for joint in record.open_joints() {
        lines.push(Line::default());
        let reached = joint.reached.unwrap_or("begun");
        let words = format!("! NOT FINAL  {}: {reached}; go on at step {}", joint.group, joint.next.number);
        lines.extend(wrapped(&words, width, app.theme.alert()));
    }
    lines.push(Line::default());
    lines.push(Line::from(format!("w: seen ({} to go)", app.look_again.len())));
    window(frame, area, "Back at the bench", lines);
}

fn keys(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let on = app.on();
    let rows: Vec<_> = TABLE.iter().filter(|r| r.on == on || r.on == On::All).collect();
    let room = usize::from(area.height).saturating_sub(4).max(4);
    let columns = rows.len().div_ceil(room).max(1);
    let per = rows.len().div_ceil(columns);
    let width = (usize::from(area.width.min(82)) - 2) / columns;
    let mut lines = Vec::new();
    for k in 0..per {
        let cells = (0..columns).filter_map(|c| rows.get(c * per + k)).map(|r| {
            let words = cut(&format!("{:<7}{}", r.name, r.help), width.saturating_sub(1));
            Span::raw(format!("{words:<width$}"))
        });
        lines.push(Line::from(cells.collect::<Vec<_>>()));
    }
    lines.push(Line::from("Any key closes this page."));
    window(frame, area, "Keys", lines);
}
