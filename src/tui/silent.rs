//! What is said of a key that does nothing where it was pressed.

use crossterm::event::{KeyCode, KeyEvent};

use crate::procedure::plan::CheckKind;
use crate::traveler::{StepState, is_round};

use super::app::{App, Shown};

/// What is said of a value that found no entry.
const NOT_USED: &str = "Not used: ";

/// True for what a caliper types of a value.
pub(super) const fn of_a_value(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, ',' | '.' | '-')
}

impl App<'_> {
    /// A caliper may type where something stands in front: its digits are not used, and say so, and its Enter does nothing. True
    /// if the key was one of these.
    pub(super) fn caliper_unused(&mut self, code: KeyCode, why: &str) -> bool {
        match code {
            KeyCode::Char(c) if of_a_value(c) => {
                self.burst = true;
                self.message = format!("Not used: {c}. {why}");
            }
            KeyCode::Enter if self.burst => self.burst = false,
            _ => return false,
        }
        true
    }

    /// A caliper may type at any time; what finds no entry is said, not guessed. Of any other key that means nothing
    /// here it is said what is possible.
    pub(super) fn stray(&mut self, key: &KeyEvent, burst: bool) {
        match key.code {
            KeyCode::Char(c) if of_a_value(c) => {
                // All of what a caliper sent is shown, not its last digit.
                let before = self.message.strip_prefix(NOT_USED).filter(|_| burst);
                let before = before.and_then(|m| m.split(". ").next()).unwrap_or_default();
                let (why, what) = (self.why_unused(), self.possible());
                self.message = format!("{NOT_USED}{before}{c}. {why} {what}");
                self.burst = true;
            }
            // The Enter of a caliper, after its digits.
            KeyCode::Enter if self.message.starts_with(NOT_USED) => {}
            KeyCode::Enter => self.does_nothing("Enter"),
            KeyCode::Esc => self.does_nothing("Esc"),
            KeyCode::Char(c) => match super::menu::rows().find(|r| r.code == key.code) {
                Some(row) if self.shown == Shown::Step => {
                    self.message = format!("{c} stands in the list behind m: m, then {c}: {}.", row.help);
                }
                _ => self.does_nothing(&c.to_string()),
            },
            _ => {}
        }
    }

    /// Says that a key does nothing now, and what is possible instead.
    pub(super) fn does_nothing(&mut self, key: &str) {
        self.message = format!("{key} does nothing here. {}", self.possible());
    }

    /// Why a value finds no entry here.
    fn why_unused(&self) -> &'static str {
        match self.open_check().map(|c| c.asks()) {
            _ if self.shown != Shown::Step => "No value is entered on this screen.",
            Some(CheckKind::Confirm | CheckKind::Gauge) if self.at_work() && self.text_seen() => {
                "A yes or no is asked, no value."
            }
            Some(CheckKind::Wait) if self.at_work() => "A waiting time is asked, no value.",
            Some(CheckKind::Text) if self.at_work() && self.text_seen() => "Keys are commands here until Esc or v.",
            _ => "No entry for a value is open here.",
        }
    }

    fn possible(&self) -> &'static str {
        match self.shown {
            Shown::Bench => return "Up and Down choose, Enter opens, q leaves.",
            Shown::Steps => return "Up and Down choose, Enter opens the step, Esc leads back.",
            Shown::Change => return "y begins the change, Esc leaves everything as it is.",
            Shown::Record | Shown::Handover => return "Esc leads back.",
            Shown::Trials => return "n keeps a new run, a adopts the setup, m then d decides on a run, Esc leads back.",
            Shown::Kit => return "Space ticks the line, n gives a number, / finds, Esc leads back.",
            Shown::Step => {}
        }
        let (Some(record), Some(step)) = (self.record(), self.shown_step()) else {
            return "? shows all keys.";
        };
        if !self.at_work() {
            return "This step is only looked at: w leads back to work.";
        }
        if !record.stopped_at(&step.id).is_empty() {
            return "Its part is given up: d replaces it now, Tab shows other work.";
        }
        match record.step_state(&step.id) {
            StepState::Done => return "The step is done: Tab leads on, c puts a reading right.",
            StepState::Held if self.open_check().is_none() => {
                return "The step is held: s releases it, Tab shows other work.";
            }
            _ => {}
        }
        if !self.text_seen() {
            return "PgDn reads on; then the entry opens.";
        }
        if self.asked_first().is_some() || self.offered().is_some() {
            return "y or n answers the question.";
        }
        match self.open_check() {
            Some(c) if matches!(c.asks(), CheckKind::Confirm | CheckKind::Gauge) => {
                "y or n answers; Tab leaves it open."
            }
            Some(c) if c.asks() == CheckKind::Wait => "k starts or ends the waiting time; Tab shows other work.",
            Some(c) if c.asks() == CheckKind::Text => "Esc or v types words again; Tab leaves it open.",
            Some(c) if c.asks() == CheckKind::Torque && is_round(c) => {
                "Type the numbers of the nuts that moved, 0 for none, then Enter."
            }
            Some(c) if c.asks() == CheckKind::Torque && (self.entry.torques() || !self.anew().is_empty()) => {
                "Type the torque, then Enter; Tab leaves it open."
            }
            Some(c) if c.asks() == CheckKind::Torque => "Space at the click, or the torque and Enter.",
            Some(c) if c.asks() == CheckKind::Derived => "It is computed: d has it decided, Left leads to its reading.",
            Some(_) => "Type the value, then Enter; Tab leaves it open.",
            None => "? shows all keys.",
        }
    }
}
