//! Pictures to scale and pieces of text.

pub mod big;
pub mod circle;
pub mod drive;
pub mod guard;
pub mod part;
pub mod plane;
pub mod rotor;
pub mod section;
pub mod stand;
pub mod text;
pub mod zone;

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::symbols::Marker;
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

use crate::tui::theme::Theme;

/// How a picture is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Pen {
    /// Styles.
    pub theme: Theme,
    /// Braille, or half blocks where the font has none.
    pub marker: Marker,
}

/// Bounds of a canvas in world units so that round things are round: a cell is twice as high as wide.
///
/// Everything from `(x0, y0)` to `(x1, y1)` is shown, centred.
#[must_use]
pub fn bounds(area: Rect, x0: f64, y0: f64, x1: f64, y1: f64) -> ([f64; 2], [f64; 2]) {
    let (cells_wide, cells_high) = (f64::from(area.width.max(1)), f64::from(area.height.max(1)) * 2.0);
    let scale = ((x1 - x0) / cells_wide).max((y1 - y0) / cells_high).max(1e-9);
    let (mx, my) = (f64::midpoint(x0, x1), f64::midpoint(y0, y1));
    let (hx, hy) = (scale * cells_wide / 2.0, scale * cells_high / 2.0);
    ([mx - hx, mx + hx], [my - hy, my + hy])
}

/// Draws the words under a picture, each whole over as many rows as it takes, the first in bold, and gives what is left for
/// the picture above them.
pub fn caption(frame: &mut Frame<'_>, area: Rect, words: &[String], pen: Pen) -> Rect {
    let bold = Style::new().fg(pen.theme.now()).add_modifier(Modifier::BOLD);
    let style = |k: usize| if k == 0 { bold } else { Style::new() };
    let width = area.width.saturating_sub(1);
    let told = words.iter().filter(|w| !w.is_empty()).enumerate();
    let lines: Vec<Line<'static>> = told.flat_map(|(k, w)| text::named(" ", style(k), w, width, style(k))).collect();
    let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX).min(area.height / 2);
    let [picture, low] = Layout::vertical([Constraint::Min(3), Constraint::Length(rows)]).areas(area);
    frame.render_widget(Paragraph::new(lines), low);
    picture
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_as_long_across_as_up() {
        for (w, h) in [(40, 10), (10, 40), (80, 24), (1, 1)] {
            let area = Rect::new(0, 0, w, h);
            let (x, y) = bounds(area, -50.0, -50.0, 50.0, 50.0);
            let per_cell = (x[1] - x[0]) / f64::from(w);
            let per_row = (y[1] - y[0]) / f64::from(h);
            assert!((per_row - 2.0 * per_cell).abs() < 1e-9);
            assert!(x[0] <= -50.0 + 1e-9 && y[1] >= 50.0 - 1e-9);
        }
    }
}
