//! Readings outside that a later reading does not answer: what happened, happened.

use crate::procedure::plan::{Check, CheckKind, Step};

use super::event::Verdict;
use super::kept::Kept;
use super::record::Record;

impl Record {
    /// The reading of a check that an answer is about: the one in force, or an earlier one outside that stays open.
    #[must_use]
    pub fn to_answer(&self, step: &str, check: &Check) -> Option<Kept<'_>> {
        self.lasting(step, check).or_else(|| self.reading(step, &check.id))
    }

    /// True for a reading that is such an earlier one.
    pub(super) fn lasts(&self, step: &Step, kept: &Kept<'_>) -> bool {
        let check = step.checks.iter().find(|c| c.id == kept.reading.check);
        check.and_then(|c| self.lasting(&step.id, c)).is_some_and(|k| k.event == kept.event)
    }

    /// For a check whose deviations stay: the oldest reading outside that is neither put right by a correction, nor
    /// accepted, nor reworked and found within after it.
    pub(super) fn lasting(&self, step: &str, check: &Check) -> Option<Kept<'_>> {
        if !check.stays || check.kind == CheckKind::Wait {
            return None;
        }
        let all: Vec<_> = self.readings(step, &check.id).into_iter().filter(|k| !k.former).collect();
        let corrected =
            |k: &Kept<'_>| all.iter().any(|later| later.reading.corrects.as_ref().is_some_and(|c| c.event == k.event));
        let at = all.iter().enumerate().position(|(at, k)| {
            let answered = match k.disposition {
                None => false,
                Some((d, _)) if d.kind.accepts() => true,
                Some((d, _)) if d.kind.gives_up() => false,
                Some(_) => all[at + 1..].iter().any(|later| later.reading.verdict == Verdict::Within),
            };
            k.reading.verdict == Verdict::Outside && !corrected(k) && !answered
        });
        at.and_then(|at| all.into_iter().nth(at))
    }
}
