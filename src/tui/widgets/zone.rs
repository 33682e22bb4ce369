//! The tolerance zone to scale: limits, the guard band of the instrument, the readings in it.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use crate::procedure::plan::{Acceptance, Check};
use crate::tui::widgets::text::cut;

use super::Pen;

/// What stands in the zone.
#[derive(Debug, Clone, Default)]
pub struct Values {
    /// Readings in the unit of the check, oldest first.
    pub readings: Vec<f64>,
    /// Expanded uncertainty of the instrument, in the unit of the check.
    pub uncertainty: Option<f64>,
}

/// The part of the scale that is shown, and how many columns it has.
struct Scale {
    from: f64,
    to: f64,
    columns: usize,
}

impl Scale {
    fn column(&self, value: f64) -> usize {
        let last = self.columns.saturating_sub(1) as f64;
        ((value - self.from) / (self.to - self.from) * last).round().clamp(0.0, last) as usize
    }

    fn off(&self, value: f64) -> bool {
        value < self.from || value > self.to
    }
}

/// Draws the zone. Nothing is drawn where the check has no limits.
pub fn draw(frame: &mut Frame<'_>, area: Rect, check: &Check, values: &Values, pen: Pen) {
    let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
    let (lower, upper) = (number(&check.lower), number(&check.upper));
    if area.width < 20 || area.height < 4 || (lower.is_none() && upper.is_none()) {
        return;
    }
    let low = lower.unwrap_or_else(|| upper.unwrap_or(0.0).min(0.0));
    let high = upper.unwrap_or_else(|| (low.abs() * 0.5).max(1.0) + low);
    let width = (high - low).abs().max(1e-9);
    let scale = Scale { from: low - width * 0.5, to: high + width * 0.5, columns: usize::from(area.width) - 1 };
    let guard = values.uncertainty.filter(|_| check.acceptance == Acceptance::Guarded);
    let bold = Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    let unit = check.unit.as_deref().unwrap_or_default();
    let lines = vec![
        Line::from(cut(&format!("{} ({unit})", check.prompt), usize::from(area.width))),
        Line::from(Span::styled(marks(&scale, &values.readings), bold)),
        Line::from(bar(&scale, (lower, upper), (low, high), guard)),
        Line::from(numbers(&scale, check, (low, high))),
        Line::from(cut(&guard_words(check, guard, unit), usize::from(area.width))),
        Line::from(cut(&last_words(&scale, &values.readings, unit), usize::from(area.width))),
    ];
    frame.render_widget(Paragraph::new(lines), area);
}

/// A mark over each reading; an arrow at the end where it lies beyond the scale.
fn marks(scale: &Scale, readings: &[f64]) -> String {
    let mut row = vec![' '; scale.columns];
    for reading in readings {
        let at = scale.column(*reading);
        row[at] = match (scale.off(*reading), at == 0) {
            (false, _) => '▼',
            (true, true) => '◄',
            (true, false) => '►',
        };
    }
    row.into_iter().collect()
}

/// The zone itself: limits as walls, the guard band inside them as a lighter line.
fn bar(scale: &Scale, limits: (Option<f64>, Option<f64>), (low, high): (f64, f64), guard: Option<f64>) -> String {
    let mut row = vec!['·'; scale.columns];
    let (a, b) = (scale.column(low), scale.column(high));
    for cell in &mut row[a..=b] {
        *cell = '─';
    }
    if let Some(u) = guard {
        let inner = |limit: Option<f64>, end: f64| limit.map(|l| (scale.column(l), scale.column(end)));
        let bands = [inner(limits.0, (low + u).min(high)), inner(limits.1, (high - u).max(low))];
        for (p, q) in bands.into_iter().flatten() {
            for cell in &mut row[p.min(q)..=p.max(q)] {
                *cell = '╌';
            }
        }
    }
    if limits.0.is_some() {
        row[a] = '├';
    }
    if limits.1.is_some() {
        row[b] = '┤';
    }
    row.into_iter().collect()
}

fn numbers(scale: &Scale, check: &Check, (low, high): (f64, f64)) -> String {
    let mut row = vec![' '; scale.columns];
    let lower = check.lower.as_deref().unwrap_or_default();
    let upper = check.upper.as_deref().unwrap_or_default();
    place(&mut row, scale.column(low), lower);
    place(&mut row, scale.column(high).saturating_sub(upper.chars().count().saturating_sub(1)), upper);
    row.into_iter().collect()
}

fn place(cells: &mut [char], at: usize, text: &str) {
    for (cell, c) in cells.iter_mut().skip(at).zip(text.chars()) {
        *cell = c;
    }
}

/// Whether the instrument's uncertainty is taken off the limits.
fn guard_words(check: &Check, guard: Option<f64>, unit: &str) -> String {
    match (check.acceptance, guard) {
        (Acceptance::Simple, _) => "limits as they stand, nothing taken off".into(),
        (Acceptance::Guarded, Some(u)) => format!("╌ not decided there: instrument ± {u} {unit} (ISO 14253-1)"),
        (Acceptance::Guarded, None) => "uncertainty not considered: t names the instrument".into(),
    }
}

fn last_words(scale: &Scale, readings: &[f64], unit: &str) -> String {
    let beyond = |v: &f64| if scale.off(*v) { ", beyond this scale" } else { "" };
    readings.last().map_or_else(String::new, |v| format!("last reading {v} {unit}{}", beyond(v)))
}
