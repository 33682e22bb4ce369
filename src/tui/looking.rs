//! How the step shown stands to the one in hand: worked on, looked back at, looked ahead to, or taken out of turn.

use crossterm::event::{KeyCode, KeyEvent};

use crate::procedure::plan::Step;
use crate::traveler::{Record, StepState, barred};

use super::answers::releasable;
use super::app::App;

/// Why a step cannot be gone on with although nothing is missing before it: it waits for its release, or for a part that is
/// replaced. None where its part was given up and another one is measured.
#[must_use]
pub fn held(record: &Record, step: &Step) -> Option<String> {
    let parts = record.stopped_at(&step.id);
    if !parts.is_empty() {
        return Some(format!("held: {} was given up and is built in", parts.join(", ")));
    }
    let role = step.hold.as_deref().unwrap_or_default();
    releasable(record, step).then(|| format!("held until the role {role} releases it"))
}

/// Why a step is on the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// It is worked on.
    Work,
    /// Done before, and looked at again.
    Back,
    /// Its turn has not come.
    Ahead,
    /// It may be done now, but another one is in hand.
    Other,
}

impl App<'_> {
    /// How the step shown stands to the one in hand.
    #[must_use]
    pub fn look(&self) -> Look {
        let (Some(record), Some(step)) = (self.record(), self.shown_step()) else {
            return Look::Work;
        };
        let done = record.step_state(&step.id) == StepState::Done;
        let closed = self.session.is_none() || barred(record, step).is_some();
        match (done, closed) {
            (true, true) => Look::Back,
            (true, false) if self.visiting => Look::Back,
            (false, true) => Look::Ahead,
            (false, false) if self.visiting && !self.is_in_hand(step) => Look::Other,
            _ => Look::Work,
        }
    }

    /// True for the step that the guide opens at.
    pub(super) fn is_in_hand(&self, step: &Step) -> bool {
        self.record().and_then(crate::traveler::Record::current_step).is_some_and(|s| s.id == step.id)
    }

    /// The step that is in work: the one shown, where it is worked on and has something left to do; else the one in hand.
    #[must_use]
    pub fn in_work(&self) -> Option<&Step> {
        let record = self.record()?;
        let left = |s: &&Step| {
            let open = record.step_state(&s.id) != StepState::Done && held(record, s).is_none();
            self.session.is_some() && self.look() == Look::Work && open
        };
        self.shown_step().filter(left).or_else(|| record.current_step())
    }

    /// Shows another step for a look; what is done there counts only where it may.
    pub(super) fn visit(&mut self, step: String) {
        self.show(step);
        self.visiting = true;
    }

    /// The steps done last are looked at on the machine one by one, each before the next.
    pub(super) fn look_again_key(&mut self, key: &KeyEvent) {
        if self.caliper_unused(key.code, "The entry opens when the last steps were looked at.") {
            return;
        }
        match key.code {
            KeyCode::Enter | KeyCode::Char('w') => {
                self.burst = false;
                self.look_again.remove(0);
            }
            KeyCode::Char('?') => self.help = true,
            KeyCode::Char('i') => self.ask_person(),
            KeyCode::Char('q') => self.leave_for_bench(),
            _ => self.message = "w or Enter: seen. q: back to the bench.".into(),
        }
    }

    /// Looks at the step before or after the one shown.
    pub(super) fn turn_to(&mut self, by: isize) {
        let Some(record) = self.record() else { return };
        let steps = &record.plan().steps;
        let at = steps.iter().position(|s| s.id == self.step).unwrap_or(0);
        let to = at.saturating_add_signed(by).min(steps.len().saturating_sub(1));
        if let Some(id) = steps.get(to).map(|s| s.id.clone()) {
            self.visit(id);
        }
    }
}
