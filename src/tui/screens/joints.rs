//! Joints that are begun and not final, at the foot of every page of a step.

use ratatui::text::{Line, Span};

use unicode_width::UnicodeWidthStr;

use crate::procedure::plan::Step;
use crate::traveler::{OpenJoint, Record, StepState};
use crate::tui::app::App;
use crate::tui::looking::Look;
use crate::tui::widgets::text::{cut, wrapped};

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
/// Height of a page from which every joint has its row.
const TALL_PAGE: usize = 24;
/// Height of a screen that has such pages.
const TALL_SCREEN: u16 = 33;

/// Joints that were begun and are not final, loud: they look tight and are not. On a small screen the last row tells how many
/// more there are; and while a torque is pulled there, which stands large, only what is out of order takes rows.
#[must_use]
pub fn lines(app: &App<'_>, record: &Record, width: u16, height: usize) -> Panel {
    let open = if pulled(app, record).is_some() { Vec::new() } else { record.open_joints() };
    let line = |j: &OpenJoint<'_>| {
        let reached = j.reached.unwrap_or("begun");
        format!("! NOT FINAL  {}: {reached}, {} to go, next is step {}", j.name, j.left, j.next.number)
    };
    let alert = app.theme.alert();
    let row = |words: &str| Line::from(Span::styled(cut(words, usize::from(width)), alert));
    let mut lines: Panel = open.iter().map(|j| row(&line(j))).collect();
    lines.extend(record.order_not_kept().iter().flat_map(|(step, words)| {
        let words = format!(
            "! ORDER  step {}: {words} The next pass in order answers it; m, j does this one anew.",
            step.number
        );
        wrapped(&words, width, alert)
    }));
    let most = if height < TALL_PAGE { FEW_JOINTS.min(height.saturating_sub(LEAST_WORDS)) } else { lines.len() };
    if lines.len() > most && !open.is_empty() {
        let all = lines.len();
        lines.truncate(most.saturating_sub(1));
        let names: Vec<&str> = open.iter().skip(lines.len()).map(|j| j.name).collect();
        lines.push(row(&format!("! NOT FINAL  {} more: {}", all - lines.len(), names.join(", "))));
    }
    lines.truncate(most);
    lines
}

/// The step at which a torque is pulled on a small screen.
fn pulled<'a>(app: &'a App<'_>, record: &Record) -> Option<&'a Step> {
    let small = app.look() == Look::Work && app.size.1 < TALL_SCREEN;
    app.shown_step().filter(|s| small && s.torque_nm.is_some() && record.step_state(&s.id) != StepState::Done)
}

/// The other joints that are not final, for the rule above the entry while a torque is pulled on a small screen: the step
/// itself is about its own.
#[must_use]
pub fn in_rule(app: &App<'_>, record: &Record, width: usize) -> Option<Line<'static>> {
    let others = others(record, pulled(app, record)?);
    let words = |names: &str| format!(" ! NOT FINAL  {names} ");
    let all = words(&others.join(", "));
    // Names cut short would hide how many there are; of one it is enough.
    let fits = all.width() <= width || others.len() == 1;
    let said = if fits { all } else { words(&format!("{} joints", others.len())) };
    (!others.is_empty()).then(|| Line::from(Span::styled(cut(&said, width), app.theme.alert())).right_aligned())
}

/// Joints that are begun and not final beside a step: while its own joint is in hand the step itself is about it; when the step is
/// done, that joint may be half done as well.
#[must_use]
pub fn others<'a>(record: &'a Record, step: &Step) -> Vec<&'a str> {
    let own = step.group.as_deref().filter(|_| record.step_state(&step.id) != StepState::Done);
    record.open_joints().into_iter().filter(|j| own != Some(j.group)).map(|j| j.name).collect()
}
