//! Rounds of work on one build: the first build, then each changeover, service, rework or substitution with its own plan.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::procedure::change::{Touched, Undone};
use crate::procedure::plan::{Plan, Step};

use super::enter::{EntryError, refused};
use super::event::{Body, Reopened};
use super::record::Record;
use super::session::Session;
use super::state::{BuildState, StepState};
use super::store::initials_fit;

/// Why a new round of work begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Another setup.
    Changeover,
    /// A part is replaced.
    Service,
    /// A step is done anew.
    Rework,
    /// What came is not what was drawn, or the spec has a new revision.
    Substitution,
}

impl Kind {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Changeover => "changeover",
            Self::Service => "service",
            Self::Rework => "rework",
            Self::Substitution => "substitution",
        }
    }
}

/// A new round of work: all that is needed to go on, and to read it years later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Changed {
    /// Round: 1 for the first after the build.
    pub round: u32,
    /// Kind.
    pub kind: Kind,
    /// Why.
    pub reason: String,
    /// Role of who began it, as the spec states it.
    pub role: String,
    /// As received: field of the spec and its new value, where a part came otherwise.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub received: BTreeMap<String, String>,
    /// The spec's text from now on.
    pub spec: String,
    /// The rendered plan of this round.
    pub plan: Arc<Plan>,
    /// Steps done before that do not stand any more.
    pub undone: Vec<Undone>,
    /// Readings no longer true.
    pub stale: Vec<Touched>,
    /// Readings still true, held against other limits now.
    pub rejudged: Vec<Touched>,
    /// Steps done before that stand.
    pub standing: BTreeSet<String>,
    /// Parts in place when it began.
    pub parts: Vec<String>,
    /// Stage of each group when it began.
    pub stages: BTreeMap<String, String>,
}

impl Record {
    /// The round of work in hand; 0 is the first build.
    #[must_use]
    pub fn round(&self) -> u32 {
        self.changed().map_or(0, |c| c.round)
    }

    /// The change in hand, if it is not the first build.
    #[must_use]
    pub fn changed(&self) -> Option<&Changed> {
        self.begun().last().and_then(|&at| change_of(&self.events[at].body))
    }

    /// Every change, oldest first.
    #[must_use]
    pub fn changes(&self) -> Vec<&Changed> {
        self.begun().iter().filter_map(|&at| change_of(&self.events[at].body)).collect()
    }

    /// The record as it was at the end of a round.
    #[must_use]
    pub fn at_end_of(&self, round: u32) -> Option<Self> {
        if round > self.round() {
            return None;
        }
        let end = self.begun().get(round as usize).copied().unwrap_or(self.events.len());
        Self::of_events(&self.build, self.events[..end].to_vec(), self.integrity.clone()).ok()
    }

    /// The spec the work in hand rests on.
    #[must_use]
    pub fn spec(&self) -> &str {
        self.changed().map_or(&self.started().spec, |c| &c.spec)
    }

    /// Steps done that stand, over all rounds.
    ///
    /// # Errors
    /// The steps of the change in hand that still have to undo something: until then the machine is neither old nor new.
    pub fn standing(&self) -> Result<BTreeSet<String>, Vec<String>> {
        let done = self.plan().steps.iter().map(|s| &s.id).filter(|id| self.step_state(id) == StepState::Done);
        let Some(changed) = self.changed() else {
            return Ok(done.cloned().collect());
        };
        let undoing: BTreeSet<&String> = changed.undone.iter().filter_map(|u| u.by.as_ref()).collect();
        let open: Vec<String> =
            undoing.iter().filter(|id| self.step_state(id) != StepState::Done).map(|id| (*id).clone()).collect();
        if !open.is_empty() {
            return Err(open);
        }
        Ok(done.filter(|id| !undoing.contains(id)).chain(&changed.standing).cloned().collect())
    }

    /// Parts in place, by the steps that are done.
    #[must_use]
    pub fn fitted(&self) -> Vec<&str> {
        let mut parts: Vec<&str> =
            self.changed().map_or_else(Vec::new, |c| c.parts.iter().map(String::as_str).collect());
        for step in self.plan().steps.iter().filter(|s| self.step_state(&s.id) == StepState::Done) {
            parts.retain(|p| !step.removes.iter().any(|r| r == p));
            parts.extend(step.adds.iter().map(String::as_str));
        }
        parts
    }

    /// Stage that each group has reached.
    #[must_use]
    pub fn stages(&self) -> BTreeMap<&str, &str> {
        let before = self.changed().into_iter().flat_map(|c| &c.stages);
        let mut stages: BTreeMap<&str, &str> = before.map(|(g, s)| (g.as_str(), s.as_str())).collect();
        let turns = |s: &&Step| matches!(s.operation.as_str(), "tighten" | "release");
        for step in self.plan().steps.iter().filter(turns).filter(|s| self.step_state(&s.id) == StepState::Done) {
            if let (Some(group), Some(stage)) = (&step.group, &step.stage) {
                stages.insert(group.as_str(), stage.as_str());
            }
        }
        stages
    }
}

fn change_of(body: &Body) -> Option<&Changed> {
    if let Body::Changed(changed) = body { Some(changed) } else { None }
}

impl Session {
    /// Begins a round of work; a closed record is opened again for it.
    ///
    /// # Errors
    /// [`EntryError`] for initials that cannot be, a reason that is missing, or a substitution that is not the design
    /// side's.
    pub fn begin(&mut self, changed: Changed, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        if changed.reason.trim().is_empty() {
            return Err(refused("a change needs its reason"));
        }
        if changed.kind == Kind::Substitution && !self.record().has_role(by, "design") {
            return Err(refused(format!("a substitution is accepted by the design side; \"{by}\" is not of it")));
        }
        if changed.round != self.record().round() + 1 {
            return Err(refused("another change was begun meanwhile; look again"));
        }
        if self.record().build_state() == BuildState::Complete {
            self.append(by, Body::Reopened(Reopened { reason: changed.reason.clone() }))?;
        }
        Ok(self.append(by, Body::Changed(Box::new(changed)))?)
    }
}
