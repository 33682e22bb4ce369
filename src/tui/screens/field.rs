//! The open field: what is asked for next and what is being typed.

use ratatui::text::{Line, Span};

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::{CheckState, Record, is_round, wait_ends};
use crate::tui::app::App;
use crate::tui::entry::nth;
use crate::tui::widgets::text::{cut, tail};

use super::series;

/// The line of the open field: what is asked for next, what is typed, and how it goes on.
pub fn typing(app: &App<'_>, record: &Record, step: &Step, check: &Check, width: u16) -> Line<'static> {
    let unit = check.unit.as_deref().unwrap_or_default();
    let field = |lead: String, trail: String| {
        let room = usize::from(width).saturating_sub(lead.chars().count() + 2);
        let input = tail(&format!("{}_", app.entry.input), room);
        let left = room.saturating_sub(input.chars().count());
        Line::from(vec![
            Span::styled(format!("{lead} "), app.theme.name()),
            Span::styled(input, app.theme.entry()),
            Span::raw(format!(" {}", cut(&trail, left))),
        ])
    };
    let given = app.entry.given.len();
    match check.asks() {
        CheckKind::Measure | CheckKind::Count => field("Value >".into(), format!("{unit}   {}", enter(app))),
        CheckKind::Text if app.typing => field("Words >".into(), "words: type, Enter; Esc for keys".into()),
        CheckKind::Text => {
            let mut line = field("KEYS ARE COMMANDS, Esc or v: type words >".into(), String::new());
            line.spans[0].style = app.theme.alert();
            line
        }
        CheckKind::Series => {
            let (only, of) = (app.sequence(), app.asked_count());
            let (at, anew) = (nth(&only, given), if only.is_empty() { "" } else { "anew, " });
            let lead = match check.place(at) {
                Some(place) => format!("{place} ({anew}{} of {of}) >", given + 1),
                None if only.is_empty() => format!("Value {} of {of} >", given + 1),
                None => format!("Value {} ({anew}{} of {of}) >", at + 1, given + 1),
            };
            let keep = if only.is_empty() || given > 0 { "" } else { "the others stand; u: all anew   " };
            field(lead, format!("{unit}   {keep}{}{}", enter(app), series::mean_and_range(check, &app.so_far())))
        }
        CheckKind::Gauge => {
            Line::from(if given == 0 { "Does the go side enter?  y / n" } else { "Does the no-go side enter?  y / n" })
        }
        CheckKind::Confirm => Line::from("y / n"),
        CheckKind::Torque if is_round(check) => {
            field("Which moved >".into(), "their numbers, a space between, like 2 5; 0 for none".into())
        }
        CheckKind::Torque => {
            let (lead, trail) = bolt(app, unit);
            field(lead, trail)
        }
        CheckKind::Wait => Line::from(match wait_ends(record, step, check) {
            Some(ends) if record.check_state(step, check) == CheckState::Running => {
                format!("Runs until {}. k ends it then; e ends it early.", ends.format("%Y-%m-%d %H:%M"))
            }
            _ => "k starts the clock.".into(),
        }),
        CheckKind::Derived => Line::from(format!("Computed: {}", check.derive.as_ref().map_or("", |d| &d.words))),
    }
}

/// Said until the first value is typed: a fitter who never saw the guide finds Enter.
fn enter(app: &App<'_>) -> &'static str {
    if app.entry.given.is_empty() { "type it, then Enter" } else { "" }
}

/// The bolt that comes next, and how it is entered: clicks and torques are not mixed in one pass.
fn bolt(app: &App<'_>, unit: &str) -> (String, String) {
    let (sequence, given) = (app.sequence(), app.entry.given.len());
    let anew = !app.anew().is_empty();
    let next = app.entry.next_bolt(&sequence).map_or_else(|| "-".into(), |n| n.to_string());
    let word = if anew { "anew, " } else { "" };
    let lead = format!("Bolt {next} ({word}{} of {}) >", (given + 1).min(sequence.len()), sequence.len());
    if anew {
        return (lead, format!("{unit}; the others stand; u: all anew"));
    }
    if app.entry.torques() {
        return (lead, format!("{unit}, then Enter"));
    }
    // Another bolt than the next can be named only where there is a choice.
    let left: Vec<&u32> = sequence.iter().filter(|n| !app.entry.bolts_done().contains(n)).collect();
    let other = left.get(1).filter(|_| left.len() > 2);
    let other = other.map_or_else(String::new, |n| format!("; \"{n} Space\" names bolt {n}"));
    let how = if given == 0 { format!("{unit}, or Space at the click") } else { "Space at the click".to_owned() };
    (lead, format!("{how}{other}"))
}
