//! Parts given up by a decision: whose readings are the former part's from then on, and what stops until the part that is
//! built in is replaced.
//!
//! What a decision gives up is written with it, so that a record is read without the rules of today; a decision of an
//! older program names nothing, and is read as it was: a new reading answers it.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::procedure::change::Touched;
use crate::procedure::plan::Step;

use super::enter::{EntryError, refused};
use super::event::{Body, DispositionKind};
use super::record::Record;

/// What a decision gives up.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct GivenUp {
    /// Ids of the parts; none where the step names none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    /// Work rests on it already: it comes out by a change of the build, and no new reading answers this one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub built_in: bool,
    /// Readings that are the former part's from now on; asked again of the part that takes its place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub former: Vec<Touched>,
}

/// A decision that gave a part up and stands: neither decided otherwise nor its reading put right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Gone {
    /// Event of the reading that was decided on.
    pub reading: u64,
    /// Place of the decision in the list of events.
    pub at: usize,
    /// Step of the reading.
    pub step: String,
    /// Check of the reading.
    pub check: String,
    /// What was given up.
    pub given: GivenUp,
}

impl Gone {
    /// True where readings of that check taken before the decision are the former part's.
    pub(super) fn touches(&self, step: &str, check: &str) -> bool {
        self.given.former.iter().any(|t| t.step == step && t.check == check)
    }
}

impl Record {
    /// What a decision of that kind gives up at a step, asked of a check; none for kinds that give nothing up. Of a step on
    /// several parts, `parts` names those that are meant.
    ///
    /// # Errors
    /// [`EntryError::Refused`] for a part that the step does not name, and where none is named of several.
    pub(super) fn gives_up(
        &self,
        step: &Step,
        check: &str,
        kind: DispositionKind,
        parts: &[String],
    ) -> Result<Option<GivenUp>, EntryError> {
        if let Some(part) = parts.iter().find(|p| !step.parts.contains(p)) {
            let known = step.parts.join(", ");
            return Err(refused(format!("{} is not about a part \"{part}\"; it is about {known}", step.id)));
        }
        if !kind.gives_up() {
            return Ok(None);
        }
        if parts.is_empty() && step.parts.len() > 1 {
            return Err(refused(format!(
                "{} is about several parts, {}; name those that are meant (--part, once for each)",
                step.id,
                step.parts.join(", ")
            )));
        }
        let parts = if parts.is_empty() { step.parts.clone() } else { parts.to_vec() };
        let on_it = |s: &&Step| s.id == step.id || s.parts.iter().any(|p| parts.contains(p));
        let steps: Vec<&Step> = self.plan().steps.iter().filter(on_it).collect();
        let built_in = !parts.is_empty() && self.is_built_in(&parts, &steps);
        let because = format!("{}: {} at {}, {check}", parts.join(", "), kind.word(), step.id);
        let former = if built_in { Vec::new() } else { self.former_readings(&steps, &step.id, check, &because) };
        Ok(Some(GivenUp { parts, built_in, former }))
    }

    /// True where a part is in place, or where work on other parts rests on what was done with it, in this round of work
    /// or in one before it.
    fn is_built_in(&self, parts: &[String], steps: &[&Step]) -> bool {
        let fitted = self.fitted();
        if parts.iter().any(|p| fitted.contains(&p.as_str())) {
            return true;
        }
        let ids: BTreeSet<&str> = steps.iter().map(|s| s.id.as_str()).collect();
        let over = ids.iter().flat_map(|id| self.built_on(id));
        if over.into_iter().any(|s| !ids.contains(s.id.as_str())) {
            return true;
        }
        let Some(changed) = self.changed() else { return false };
        let plans = (0..self.round()).filter_map(|r| self.at_end_of(r)).map(|then| then.plan().steps.clone());
        let earlier: Vec<Step> = plans.flatten().collect();
        earlier.iter().any(|s| changed.standing.contains(&s.id) && s.parts.iter().any(|p| parts.contains(p)))
    }

    /// Readings of these steps, and what is computed from them; the reading decided on stays in force as what it was.
    fn former_readings(&self, steps: &[&Step], step: &str, check: &str, because: &str) -> Vec<Touched> {
        let own = |s: &Step, id: &str| s.id == step && id == check;
        let of_part = |s: &Step| steps.iter().any(|t| t.id == s.id);
        let all = self.plan().steps.iter().flat_map(|s| s.checks.iter().map(move |c| (s, c)));
        let rests = |derive: &crate::procedure::plan::Derive| {
            let of_step = |of: &&str| of.split_once('/').is_some_and(|(of, _)| steps.iter().any(|t| t.id == of));
            derive.rests_on().iter().any(of_step)
        };
        let touched = all.filter(|(s, c)| of_part(s) || c.derive.as_ref().is_some_and(rests));
        let touched = touched.filter(|(s, c)| !own(s, &c.id) && self.reading(&s.id, &c.id).is_some());
        touched.map(|(s, c)| Touched { step: s.id.clone(), check: c.id.clone(), because: because.to_owned() }).collect()
    }

    /// Parts that were given up while they were built in, and are not replaced yet: a change of the build takes them out.
    #[must_use]
    pub fn to_replace(&self) -> BTreeSet<String> {
        self.gone_here().filter(|g| g.given.built_in).flat_map(|g| g.given.parts.iter().cloned()).collect()
    }

    /// The decision at a check of this round that only a change of the build answers.
    pub(super) fn stopped_until_replaced(&self, step: &str, check: &str) -> Option<&GivenUp> {
        let here = |g: &&Gone| g.given.built_in && g.step == step && g.check == check;
        self.gone_here().find(here).map(|g| &g.given)
    }

    /// Parts given up at a step while they were built in.
    #[must_use]
    pub fn stopped_at(&self, step: &str) -> Vec<&str> {
        let here = self.gone_here().filter(|g| g.given.built_in && g.step == step);
        here.flat_map(|g| g.given.parts.iter().map(String::as_str)).collect()
    }

    /// Why readings of a step have to be taken once more: the part is another one. None where nothing of the former part
    /// is asked again, or all of it was.
    #[must_use]
    pub fn another_part(&self, step: &str) -> Option<String> {
        let found = self.step(step)?;
        let asked = |check: &str| self.reading(step, check).is_none();
        let touched = self.gone_here().flat_map(|g| &g.given.former).filter(|t| t.step == step);
        let of_others = touched
            .filter(|t| found.checks.iter().any(|c| c.id == t.check) && asked(&t.check))
            .map(|t| t.because.clone())
            .last();
        // What was decided on stays in force as what it was, until the new part is asked the same.
        let decided = |g: &&Gone| {
            let in_force = self.reading(step, &g.check).is_some_and(|k| k.event == g.reading);
            g.step == step && !g.given.built_in && in_force
        };
        let own = || {
            let gone = self.gone_here().filter(decided).last()?;
            let (kind, parts) = self.given_up_at(found, &gone.check)?;
            Some(format!("{}: {} at {step}, {}", parts.join(", "), kind.word(), gone.check))
        };
        of_others.or_else(own)
    }

    /// True where a check was decided by giving up a part that was not built in, and not asked of the part in its place yet.
    #[must_use]
    pub fn is_of_former_part(&self, step: &Step, check: &str) -> bool {
        self.stopped_at(&step.id).is_empty() && self.given_up_at(step, check).is_some()
    }

    /// True where something of that step was measured again since the part it is about was given up.
    pub(super) fn is_measured_anew(&self, step: &str) -> bool {
        let former = self.gone_here().filter(|g| g.step == step).flat_map(|g| &g.given.former);
        former.filter(|t| t.step == step).any(|t| self.reading(step, &t.check).is_some())
    }

    /// What has to be known of the part before anything is entered at a step: it is another one, or the one in place is
    /// given up. None where neither is so.
    #[must_use]
    pub fn part_words(&self, step: &str) -> Option<String> {
        let stopped = self.stopped_at(step);
        if stopped.is_empty() {
            let because = self.another_part(step)?;
            return Some(format!("another part, measure again ({because})"));
        }
        Some(format!("{} was given up and is built in: it is replaced first", stopped.join(", ")))
    }

    /// The decision that stands at a check and gives parts up: its kind, and the parts. A new reading takes it back, except
    /// where the part is built in; a decision of an older program names no parts, and is about all of the step.
    #[must_use]
    pub fn given_up_at(&self, step: &Step, check: &str) -> Option<(DispositionKind, Vec<String>)> {
        let kind = |at: usize| match &self.events.get(at)?.body {
            Body::Disposition(d) => Some(d.disposition.kind),
            Body::Reading(r) => r.disposition.as_ref().map(|d| d.kind),
            _ => None,
        };
        let kept = self.reading(&step.id, check);
        let in_force = kept.as_ref().map_or(0, |k| k.event);
        let stands = |g: &&Gone| g.step == step.id && g.check == check && (g.given.built_in || g.reading == in_force);
        if let Some(gone) = self.gone_here().find(stands) {
            return Some((kind(gone.at)?, gone.given.parts.clone()));
        }
        let kind = kept?.disposition.map(|(d, _)| d.kind)?;
        kind.gives_up().then(|| (kind, step.parts.clone()))
    }

    /// Decisions of the round of work in hand that gave a part up.
    fn gone_here(&self) -> impl Iterator<Item = &Gone> {
        let from = self.begun().last().copied().unwrap_or(0);
        self.index.given_up.iter().filter(move |g| g.at > from)
    }
}
