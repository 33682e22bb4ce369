//! A build that one person does alone: declared at its start with the reason, told in every print, and narrow.
//!
//! Whoever did the work does not release its hold. Where a build was declared to be one person's, that person may, under
//! the role the hold asks for, as long as nobody else took a reading; what opens the way to power only while nobody else
//! is present. Decisions to use a part as it is stay with somebody else, from afar if need be.

use crate::procedure::plan::{Plan, Step};

use super::answer::Release;
use super::enter::{EntryError, refused};
use super::event::Body;
use super::guarded::POWER;
use super::record::Record;

impl Record {
    /// Why the build is one person's, as declared at its start.
    #[must_use]
    pub fn alone(&self) -> Option<&str> {
        self.started().alone.as_deref()
    }

    /// Who declared it.
    #[must_use]
    pub fn lone_builder(&self) -> Option<&str> {
        self.alone()?;
        self.events.first().map(|e| e.header.by.as_str())
    }

    /// Everybody else who took a reading, typed or measured.
    fn other_hands(&self, lone: &str) -> Vec<&str> {
        let mut others: Vec<&str> = Vec::new();
        for event in &self.events {
            let Body::Reading(reading) = &event.body else { continue };
            let measured = reading.paper.as_ref().map(|p| p.measured_by.as_str());
            for hand in std::iter::once(event.header.by.as_str()).chain(measured) {
                if hand != lone && !others.contains(&hand) {
                    others.push(hand);
                }
            }
        }
        others
    }

    /// Whether the one who did the work may release its hold all the same.
    ///
    /// # Errors
    /// [`EntryError::Refused`]: no such build was declared, somebody else worked on it too, the release is from afar, or
    /// it opens the way to power and nobody said that no one else is present.
    pub(super) fn releases_alone(&self, step: &Step, release: &Release) -> Result<(), EntryError> {
        let by = &release.by;
        let usual = format!("{by} made readings of {}; the doer does not release his own hold", step.id);
        let Some(lone) = self.lone_builder() else {
            return Err(refused(usual));
        };
        if lone != by {
            return Err(refused(format!("{usual}; this build was declared to be {lone}'s alone")));
        }
        let others = self.other_hands(lone);
        if !others.is_empty() {
            let others = others.join(", ");
            return Err(refused(format!("{usual}; it is no longer one person's build, {others} took readings too")));
        }
        if release.remote.is_some() {
            return Err(refused("who releases his own hold is on site; leave out the channel"));
        }
        if opens_power(self.plan(), step) && !release.nobody_else {
            return Err(refused(format!(
                "{} opens the way to power; alone it is released only while nobody else is present, and that has to be said (--nobody-else)",
                step.id
            )));
        }
        Ok(())
    }
}

/// True for a hold that stands directly before the rotor is driven by power: the guard, and what a run waits for.
#[must_use]
pub fn opens_power(plan: &Plan, step: &Step) -> bool {
    let waits = |s: &Step| POWER.contains(&s.operation.as_str()) && s.after.contains(&step.id);
    step.hold.is_some() && (step.operation == "guard" || plan.steps.iter().any(waits))
}

/// What a print says of such a build.
#[must_use]
pub fn alone_words(reason: &str) -> String {
    format!(
        "One-person build, declared at its start: {reason}. Who did the work may release its holds; the guard and all that opens the way to power only while nobody else is present. \"Use as is\" and \"repair\" are decided by somebody else."
    )
}
