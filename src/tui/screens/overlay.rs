//! What stands over a screen: questions, the key page, what to look at again.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Clear, Paragraph};

use crate::tui::app::App;
use crate::tui::ask::{Ask, Field, Purpose};
use crate::tui::keys::{On, TABLE};
use crate::tui::menu;
use crate::tui::trouble::Trouble;
use crate::tui::widgets::text::{cut, named, tail, with_titles, wrapped};

/// A window over the screen.
struct Window {
    title: String,
    lines: Vec<Line<'static>>,
    /// At the foot, where what it asks about stands above.
    low: bool,
    width: u16,
}

/// Width of a window, and of the page of keys.
const WIDTH: u16 = 76;
const KEYS_WIDTH: u16 = 82;

/// Draws what stands over the screen.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect) {
    let Some(window) = window(app, area.width, area.height) else { return };
    let hidden = hidden_of(&window, area.height);
    let mut lines = window.lines;
    let from = app.over.min(hidden);
    lines.drain(..from);
    if from < hidden {
        // What follows is counted, and one key away.
        lines.truncate(usize::from(area.height.saturating_sub(3)));
        let words = format!("… {} more lines: PgDn", hidden - from + 1);
        lines.push(Line::from(Span::styled(words, app.theme.alert())));
    }
    let height = u16::try_from(lines.len() + 2).unwrap_or(u16::MAX).min(area.height);
    let x = area.x + (area.width - window.width) / 2;
    let y = area.y + if window.low { area.height - height } else { (area.height - height) / 2 };
    let place = Rect::new(x, y, window.width, height);
    frame.render_widget(Clear, place);
    frame.render_widget(Paragraph::new(lines).block(Block::bordered().title(format!(" {} ", window.title))), place);
}

/// How many lines of the window shown have no room.
#[must_use]
pub fn hidden(app: &App<'_>) -> usize {
    let (width, height) = app.size;
    window(app, width, height).map_or(0, |w| hidden_of(&w, height))
}

fn hidden_of(window: &Window, height: u16) -> usize {
    window.lines.len().saturating_sub(usize::from(height.saturating_sub(2)))
}

/// The window that stands over the screen, if one does.
fn window(app: &App<'_>, width: u16, height: u16) -> Option<Window> {
    let inside = width.min(WIDTH) - 2;
    let of = |title: &str, lines, low| Some(Window { title: title.to_owned(), lines, low, width: width.min(WIDTH) });
    if let Some(trouble) = &app.trouble {
        return of(trouble.title, refused(app, trouble, inside), false);
    }
    if app.help {
        let lines = keys(app, width.min(KEYS_WIDTH), height);
        return Some(Window {
            title: "Keys. Esc closes this page".into(),
            lines,
            low: false,
            width: width.min(KEYS_WIDTH),
        });
    }
    if let Some(ask) = &app.ask {
        return of(&ask.title, questions(app, ask, inside), matches!(ask.purpose, Purpose::Witness(_)));
    }
    if !app.look_again.is_empty() {
        return of("Back at the bench", look_again(app, inside), false);
    }
    let at = app.menu?;
    of(&format!("More, {} lines", menu::rows().count()), more(app, at), true)
}

/// What is seldom wanted: a line each, with its letter.
fn more(app: &App<'_>, at: usize) -> Vec<Line<'static>> {
    let mut lines: Vec<Line<'static>> = menu::rows()
        .enumerate()
        .map(|(k, row)| {
            let (cursor, style) = if k == at { (">", app.theme.chosen()) } else { (" ", Style::new()) };
            Line::from(vec![
                Span::styled(format!("{cursor} {:<3}", row.name), app.theme.action()),
                Span::styled(row.help, style),
            ])
        })
        .collect();
    lines.push(Line::default());
    lines.push(Line::from("Its letter, or Up, Down and Enter. Esc: back."));
    lines
}

fn refused(app: &App<'_>, trouble: &Trouble, width: u16) -> Vec<Line<'static>> {
    let mut lines = Vec::new();
    for part in &trouble.parts {
        lines.extend(wrapped(part, width, app.theme.alert()));
        lines.push(Line::default());
    }
    let stays = if trouble.entry { " What was typed and not saved stays on the screen." } else { "" };
    lines.push(Line::from(format!("Esc: read.{stays}")));
    lines
}

fn questions(app: &App<'_>, ask: &Ask, width: u16) -> Vec<Line<'static>> {
    let mut lines = wrapped(&ask.words, width, Style::new());
    lines.push(Line::default());
    // Of many fields those around the one in hand are shown.
    let told = app.record().map_or_else(|| ask.fault.clone(), |r| with_titles(&ask.fault, &r.plan().steps));
    let fault = if told.is_empty() { 0 } else { wrapped(&told, width, app.theme.alert()).len() };
    let room = usize::from(app.size.1).saturating_sub(lines.len() + fault + CHOICE_ROWS + 5).max(3);
    let first = ask.at.saturating_sub(room / 2).min(ask.fields.len().saturating_sub(room));
    if first > 0 {
        lines.push(Line::from(format!("  … {first} above")));
    }
    for (k, field) in ask.fields.iter().enumerate().skip(first).take(room).filter(|(k, _)| ask.is_asked(*k)) {
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
        if here && !field.note.is_empty() {
            lines.extend(named("   ", Style::new(), &field.note, width, Style::new()));
        }
    }
    let below = ask.fields.len().saturating_sub(first + room);
    lines.push(if below > 0 { Line::from(format!("  … {below} below")) } else { Line::default() });
    lines.extend(wrapped(&told, width, app.theme.alert()).into_iter().take(fault));
    if let Some(words) = &ask.sure {
        lines.extend(wrapped(words, width, app.theme.alert()));
        lines.push(Line::from("y: do it   n: not"));
    } else {
        let proposed = ask.fields.get(ask.at).is_some_and(|f| f.proposed);
        let proposed = if proposed { "   typing replaces what stands there" } else { "" };
        lines.extend(wrapped(&format!("Enter: next   Esc: leave without{proposed}"), width, Style::new()));
    }
    lines
}

/// Rows of the choices at most.
const CHOICE_ROWS: usize = 3;

/// What there is to choose from, with a mark where it is more than fits.
fn choices(field: &Field, width: u16) -> Vec<Line<'static>> {
    let words = format!("choose with the arrows: {}", field.choices.join(", "));
    let mut lines = named("   ", Style::new(), &words, width, Style::new());
    if lines.len() > CHOICE_ROWS {
        lines.truncate(CHOICE_ROWS);
        lines.push(Line::from("    … and more: arrows"));
    }
    lines
}

fn look_again(app: &App<'_>, width: u16) -> Vec<Line<'static>> {
    let Some(record) = app.record() else { return Vec::new() };
    let mut lines = wrapped(
        "Before you go on, look at these again on the machine. They were done last:",
        width,
        app.theme.action(),
    );
    lines.push(Line::default());
    for (k, id) in app.look_again.iter().enumerate() {
        if let Some(step) = record.step(id) {
            let (mark, style) = if k == 0 { (">", app.theme.entry()) } else { (" ", Style::new()) };
            lines.extend(named(&format!("{mark} {}.", step.number), style, &step.title, width, style));
        }
    }
    for joint in record.open_joints() {
        lines.push(Line::default());
        let reached = joint.reached.unwrap_or("begun");
        let words = format!("! NOT FINAL  {}: {reached}; go on at step {}", joint.name, joint.next.number);
        lines.extend(wrapped(&words, width, app.theme.alert()));
    }
    lines.push(Line::default());
    let keys = format!("w or Enter: seen ({} to go)   q: bench   ?: keys", app.look_again.len());
    lines.extend(wrapped(&keys, width, Style::new()));
    lines
}

/// The keys of the screen shown, under heads, in as many columns as it takes.
fn keys(app: &App<'_>, width: u16, height: u16) -> Vec<Line<'static>> {
    let on = app.on();
    let mut groups = vec![("Everywhere", On::All), ("Here", on)];
    if on == On::Step {
        groups = vec![("At a step", On::Step), ("While a field is open", On::Field), ("Behind m", On::More)];
        groups.push(("Everywhere", On::All));
    }
    let mut cells: Vec<(String, Style)> = Vec::new();
    for (head, of) in groups {
        cells.push((head.to_owned(), app.theme.name()));
        let rows = TABLE.iter().filter(|r| r.on == of);
        cells.extend(rows.map(|r| (format!(" {:<5} {}", r.name, r.help), Style::new())));
    }
    let room = usize::from(height).saturating_sub(2).max(4);
    // Two columns at most, so that no words are cut; what has no room is a page on.
    let columns = cells.len().div_ceil(room).clamp(1, 2);
    let per = cells.len().div_ceil(columns);
    let width = (usize::from(width) - 2) / columns;
    let mut lines = Vec::new();
    for k in 0..per {
        let row = (0..columns).filter_map(|c| cells.get(c * per + k));
        let cell = |(words, style): &(String, Style)| {
            Span::styled(format!("{:<width$}", cut(words, width.saturating_sub(1))), *style)
        };
        lines.push(Line::from(row.map(cell).collect::<Vec<_>>()));
    }
    lines
}
