//! What stands over a screen: questions, the key page, what to look at again.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Clear, Paragraph};

use crate::tui::app::App;
use crate::tui::ask::{Ask, Field, Purpose};
use crate::tui::keys::{On, TABLE};
use crate::tui::trouble::Trouble;
use crate::tui::widgets::text::{cut, named, tail, wrapped};

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
    window_at(frame, area, title, lines, false);
}

/// A window in the middle, or at the foot where what it asks about stands above.
fn window_at(frame: &mut Frame<'_>, area: Rect, title: &str, lines: Vec<Line<'static>>, low: bool) {
    let height = u16::try_from(lines.len() + 2).unwrap_or(u16::MAX).min(area.height);
    let width = area.width.min(if title == "Keys" { 82 } else { 76 });
    let x = area.x + (area.width - width) / 2;
    let y = area.y + if low { area.height - height } else { (area.height - height) / 2 };
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
    let mut lines = wrapped(&ask.words, width, Style::new());
    lines.push(Line::default());
    // Of many fields those around the one in hand are shown.
    let fault = if ask.fault.is_empty() { 0 } else { wrapped(&ask.fault, width, app.theme.alert()).len() };
    let room = usize::from(area.height).saturating_sub(lines.len() + fault + CHOICE_ROWS + 5).max(3);
    let first = ask.at.saturating_sub(room / 2).min(ask.fields.len().saturating_sub(room));
    if first > 0 {
        lines.push(Line::from(format!("  … {first} above")));
    }
    for (k, field) in ask.fields.iter().enumerate().skip(first).take(room) {
        let here = k == ask.at && ask.sure.is_none();
        let mark = if here { "> " } else { "  " };
        let typed = if here && field.choices.is_empty() { format!("{}_", field.value) } else { field.value.clone() };
        let style = match (here, field.proposed) {
            (true, false) => app.theme.entry(),
            (true, true) => app.theme.entry().add_modifier(Modifier::REVERSED),
            _ => Style::new(),
        };
        let label = cut(&field.label, 44);
        let room = usize::from(width).saturating_sub(label.chars().count() + 5);
        lines.push(Line::from(vec![Span::raw(format!("{mark}{label}: ")), Span::styled(tail(&typed, room), style)]));
        if here && !field.choices.is_empty() {
            lines.extend(choices(field, width));
        }
    }
    let below = ask.fields.len().saturating_sub(first + room);
    lines.push(if below > 0 { Line::from(format!("  … {below} below")) } else { Line::default() });
    if !ask.fault.is_empty() {
        lines.extend(wrapped(&ask.fault, width, app.theme.alert()));
    }
    if let Some(words) = &ask.sure {
        lines.extend(wrapped(words, width, app.theme.alert()));
        lines.push(Line::from("y: do it   n: not"));
    } else {
        let proposed = ask.fields.get(ask.at).is_some_and(|f| f.proposed);
        let proposed = if proposed { "   typing takes the place of what stands there" } else { "" };
        lines.push(Line::from(format!("Enter: next   Esc: leave without{proposed}")));
    }
    window_at(frame, area, &ask.title, lines, matches!(ask.purpose, Purpose::Witness(_)));
}

/// Rows of the choices at most.
const CHOICE_ROWS: usize = 3;

/// What there is to choose from, with a mark where it is more than fits.
fn choices(field: &Field, width: u16) -> Vec<Line<'static>> {
    let words = format!("choose with the arrows: {}", field.choices.join(", "));
    let mut lines = named("   ", Style::new(), &words, width, Style::new());
    if lines.len() > CHOICE_ROWS {
        lines.truncate(CHOICE_ROWS);
        lines.push(Line::from("    … and more"));
    }
    lines
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
            let (mark, style) = if k == 0 { (">", app.theme.entry()) } else { (" ", Style::new()) };
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
    let keys = format!("w or Enter: seen ({} to go)   q: bench   ?: keys", app.look_again.len());
    lines.push(Line::from(keys));
    window(frame, area, "Back at the bench", lines);
}

fn keys(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let on = app.on();
    let here = |r: &&crate::tui::keys::Row| r.on == on || r.on == On::All || (on == On::Step && r.on == On::Field);
    let rows: Vec<_> = TABLE.iter().filter(here).collect();
    let room = usize::from(area.height).saturating_sub(4).max(4);
    let columns = rows.len().div_ceil(room).max(1);
    let per = rows.len().div_ceil(columns);
    let width = (usize::from(area.width.min(82)) - 2) / columns;
    let mut lines = Vec::new();
    for k in 0..per {
        let cells = (0..columns).filter_map(|c| rows.get(c * per + k)).map(|r| {
            let words = cut(&format!("{:<7}{}", format!("{} ", r.name), r.help), width.saturating_sub(1));
            Span::raw(format!("{words:<width$}"))
        });
        lines.push(Line::from(cells.collect::<Vec<_>>()));
    }
    lines.push(Line::from("Any key closes this page."));
    window(frame, area, "Keys", lines);
}
