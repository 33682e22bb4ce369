//! The tolerance zone on a line, with the limits and the reading in it.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Modifier;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::plan::Check;

use super::Pen;

/// Draws limits and readings. One line of ticks, one of numbers, one of readings.
pub fn draw(frame: &mut Frame<'_>, area: Rect, check: &Check, readings: &[f64], pen: Pen) {
    let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
    let (lower, upper) = (number(&check.lower), number(&check.upper));
    if area.width < 20 || area.height < 4 || (lower.is_none() && upper.is_none()) {
        return;
    }
    let unit = check.unit.as_deref().unwrap_or_default();
    let low = lower.unwrap_or_else(|| upper.unwrap_or(0.0).min(0.0));
    let high = upper.unwrap_or_else(|| (low.abs() * 0.5).max(1.0) + low);
    let width = (high - low).abs().max(1e-9);
    let (from, to) = (low - width * 0.5, high + width * 0.5);
    let columns = usize::from(area.width) - 1;
    let column = |v: f64| ((v - from) / (to - from) * columns as f64).round().clamp(0.0, columns as f64) as usize;
    let mut line: Vec<char> = vec!['·'; columns + 1];
    let (a, b) = (column(low), column(high));
    for cell in line.iter_mut().take(b.min(columns) + 1).skip(a) {
        *cell = '─';
    }
    if lower.is_some() {
        line[a] = '├';
    }
    if upper.is_some() {
        line[b] = '┤';
    }
    let mut marks: Vec<char> = vec![' '; columns + 1];
    for reading in readings {
        marks[column(*reading)] = '▼';
    }
    let mut numbers: Vec<char> = vec![' '; columns + 1];
    place(&mut numbers, a, check.lower.as_deref().unwrap_or_default());
    let right = check.upper.as_deref().unwrap_or_default();
    place(&mut numbers, b.saturating_sub(right.chars().count().saturating_sub(1)), right);
    let text = |chars: &[char]| chars.iter().collect::<String>();
    let last = readings.last().map_or_else(String::new, |v| format!("last reading {v} {unit}"));
    let bold = ratatui::style::Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    let lines = vec![
        Line::from(format!("{} ({unit})", check.prompt)),
        Line::from(Span::styled(text(&marks), bold)),
        Line::from(text(&line)),
        Line::from(text(&numbers)),
        Line::from(last),
    ];
    frame.render_widget(Paragraph::new(lines), area);
}

fn place(cells: &mut [char], at: usize, text: &str) {
    for (k, c) in text.chars().enumerate() {
        if let Some(cell) = cells.get_mut(at + k) {
            *cell = c;
        }
    }
}
