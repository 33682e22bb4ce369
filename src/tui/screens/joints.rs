//! Joints that are begun and not final, at the foot of every page of a step.

use ratatui::text::{Line, Span};

use crate::traveler::Record;
use crate::tui::app::App;
use crate::tui::widgets::text::cut;

use super::panels::Panel;

/// Rows that joints take at the foot which are not final.
#[must_use]
pub fn rows(app: &App<'_>, record: &Record, width: u16, height: usize) -> usize {
    lines(app, record, width, height).len()
}

/// Rows that stay for the words of a step above the joints.
const LEAST_WORDS: usize = 8;
/// Rows of joints at most on a small screen.
const FEW_JOINTS: usize = 3;

/// Joints that were begun and are not final, loud: they look tight and are not. On a small screen the last row tells how many
/// more there are.
#[must_use]
pub fn lines(app: &App<'_>, record: &Record, width: u16, height: usize) -> Panel {
    let open = record.open_joints();
    let line = |j: &crate::traveler::OpenJoint<'_>| {
        let reached = j.reached.unwrap_or("begun");
        let words = format!("! NOT FINAL  {}: {reached}, {} to go, next is step {}", j.group, j.left, j.next.number);
        Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.alert()))
    };
    let mut lines: Panel = open.iter().map(line).collect();
    lines.extend(record.order_not_kept().into_iter().map(|(step, words)| {
        let words = format!("! ORDER  step {}: {words} A pass in order answers it.", step.number);
        Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.alert()))
    }));
    let most = if height < 24 { FEW_JOINTS.min(height.saturating_sub(LEAST_WORDS)) } else { lines.len() };
    if lines.len() > most {
        lines.truncate(most.saturating_sub(1));
        let more = open.len() + record.order_not_kept().len() - lines.len();
        let groups: Vec<&str> = open.iter().skip(lines.len()).map(|j| j.group).collect();
        let words = format!("! NOT FINAL  {more} more: {}", groups.join(", "));
        lines.push(Line::from(Span::styled(cut(&words, usize::from(width)), app.theme.alert())));
        lines.truncate(most);
    }
    lines
}
