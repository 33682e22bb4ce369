//! Rounds of work on one build: the first build, then each changeover, service, rework or substitution with its own plan.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::procedure::change::{Touched, Undone};
use crate::procedure::plan::{Plan, Step, Visit};

use super::enter::{EntryError, refused};
use super::event::{Body, Reopened};
use super::record::Record;
use super::session::Session;
use super::state::StepState;
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
    /// A visit to a module that has run: what has settled is looked at.
    Visit,
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
            Self::Visit => "visit",
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
    /// Steps and parts that were wrong, by id.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub failed: BTreeSet<String>,
    /// What a visit looks at, and what each was left at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub visit: Option<Visit>,
}

/// One round of work as far as it went, with all that a change of it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// The spec's text.
    pub spec: String,
    /// Value of each setup axis.
    pub setup: BTreeMap<String, String>,
    /// Steps done, in the order of the plan.
    pub done: Vec<Step>,
    /// Steps begun and not finished.
    pub begun: Vec<Step>,
    /// Steps and parts that were wrong when it began.
    pub failed: BTreeSet<String>,
    /// What it looked at, where it was a visit.
    pub visit: Option<Visit>,
    /// Its setup was the adopted one when it began.
    pub adopted: bool,
}

impl Record {
    /// The round of work in hand; 0 is the first build.
    #[must_use]
    pub fn round(&self) -> u32 {
        self.changed().map_or(0, |c| c.round)
    }

    /// The number of the event that began it.
    #[must_use]
    pub fn round_began(&self) -> u64 {
        self.begun().last().map_or(1, |&at| self.events[at].header.event)
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

    /// The plans of all rounds, that of the last one first.
    pub fn plans_back(&self) -> impl Iterator<Item = &Plan> {
        self.changes().into_iter().rev().map(|c| &*c.plan).chain([&*self.started().plan])
    }

    /// A step of the plan in hand, else of the last round that had it.
    #[must_use]
    pub fn step_ever(&self, id: &str) -> Option<&Step> {
        self.plans_back().flat_map(|p| &p.steps).find(|s| s.id == id)
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

    /// Every round of work as far as it went, the first build first.
    #[must_use]
    pub fn worked(&self) -> Vec<Worked> {
        let rounds = (0..=self.round()).filter_map(|round| self.at_end_of(round));
        rounds.map(|then| then.worked_last()).collect()
    }

    fn worked_last(&self) -> Worked {
        let some = |wanted: &[StepState]| {
            let steps = self.plan().steps.iter().filter(|s| wanted.contains(&self.step_state(&s.id)));
            steps.cloned().collect()
        };
        Worked {
            spec: self.spec().to_owned(),
            setup: self.plan().setup.clone(),
            done: some(&[StepState::Done]),
            begun: some(&[StepState::InHand, StepState::Held]),
            failed: self.changed().map_or_else(BTreeSet::new, |c| c.failed.clone()),
            visit: self.changed().and_then(|c| c.visit.clone()),
            adopted: self.began_adopted(),
        }
    }

    /// True where a step done in that round does not stand any more. A change may undo it, and a later one find that it
    /// had not been touched yet.
    #[must_use]
    pub fn fallen_since(&self, round: u32, step: &str) -> bool {
        let mut fallen = false;
        for change in self.changes().into_iter().filter(|c| c.round > round) {
            let again = (round + 1..change.round).filter_map(|r| self.at_end_of(r));
            if change.undone.iter().any(|u| u.step == step) {
                fallen = true;
            } else if fallen && change.standing.contains(step) {
                fallen = again.into_iter().any(|then| then.step_state(step) == StepState::Done);
            }
        }
        fallen
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
        if self.record().is_closed() {
            self.append(by, Body::Reopened(Reopened { reason: changed.reason.clone() }))?;
        }
        let event = self.append(by, Body::Changed(Box::new(changed)))?;
        // A value that rests on readings of an earlier round is not waited for.
        self.compute_missing()?;
        Ok(event)
    }
}
