//! The setup that is adopted after the trials: an event of its own, replaced by a later one, never erased.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::enter::{EntryError, refused};
use super::event::{Body, Event};
use super::record::Record;
use super::session::Session;
use super::state::StepState;
use super::store::initials_fit;
use super::trial::setup_said;

/// A setup adopted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Adopted {
    /// Value of each axis.
    pub setup: BTreeMap<String, String>,
    /// Round of work it stood in.
    pub round: u32,
    /// Why.
    pub reason: String,
    /// Role of who decided.
    pub role: String,
    /// Speed of the rotor as designed, rpm; balance grade and residual go by it from now on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_rpm: Option<String>,
    /// Balance grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub balance_grade: Option<String>,
    /// Permissible residual unbalance at that speed, g·mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permissible_gmm: Option<String>,
    /// What speaks against it; it was kept all the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub doubt: Option<String>,
}

impl Adopted {
    /// The setup as people say it.
    #[must_use]
    pub fn said(&self) -> String {
        setup_said(&self.setup)
    }

    /// In a line.
    #[must_use]
    pub fn words(&self) -> String {
        format!("adopted: {} ({}): {}", self.said(), self.role, self.reason)
    }
}

impl Record {
    /// The adopted setup in force: the last one. Its speed is the one that balance goes by.
    #[must_use]
    pub fn adopted(&self) -> Option<&Adopted> {
        self.adoptions().last().map(|(a, _)| *a)
    }

    /// Every adoption, oldest first.
    #[must_use]
    pub fn adoptions(&self) -> Vec<(&Adopted, &Event)> {
        let all = self.events.iter().filter_map(|e| match &e.body {
            Body::Adopted(a) => Some((a, e)),
            _ => None,
        });
        all.collect()
    }

    /// True where that setup is the adopted one, so that balance goes by its own speed.
    #[must_use]
    pub fn adopts(&self, setup: &BTreeMap<String, String>) -> bool {
        self.adopted().is_some_and(|a| a.setup == *setup)
    }

    /// True where the setup of the round in hand was the adopted one when the round began; its limits rest on that.
    #[must_use]
    pub fn began_adopted(&self) -> bool {
        let before = self.round().checked_sub(1).and_then(|round| self.at_end_of(round));
        before.is_some_and(|then| then.adopts(&self.plan().setup))
    }

    /// True where a change to that setup leaves the adopted one, which is asked for its reason.
    #[must_use]
    pub fn leaves_adopted(&self, goal: &BTreeMap<String, String>) -> bool {
        self.adopted().is_some_and(|a| a.setup != *goal)
    }
}

impl Session {
    /// Adopts the setup of the round in hand, and gives back the event's number. One adopted before stays in the record.
    ///
    /// # Errors
    /// [`EntryError`]: the record is closed, no reason, a role that does not decide, a setup with a run of the plan not done, or
    /// a run over the limit without an answer.
    pub fn adopt(&mut self, reason: &str, by: &str, role: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        let record = self.record();
        if reason.trim().is_empty() {
            return Err(refused("a setup is adopted for a reason; say it"));
        }
        if !record.has_role(by, role) {
            return Err(refused(format!("\"{by}\" does not stand under the role \"{role}\" of this module")));
        }
        if !record.decides(role) {
            return Err(refused(format!("a setup is adopted by the design side, not by the role \"{role}\"")));
        }
        let open =
            |s: &&crate::procedure::plan::Step| s.operation == "spin" && record.step_state(&s.id) != StepState::Done;
        if let Some(open) = record.plan().steps.iter().find(open) {
            return Err(refused(format!("a setup that has not run is not adopted; {} is not done", open.id)));
        }
        if let Some(why) = record.run_waits() {
            return Err(refused(why));
        }
        let adopted = record.adoption(reason, role);
        Ok(self.append(by, Body::Adopted(adopted))?)
    }
}

impl Record {
    fn adoption(&self, reason: &str, role: &str) -> Adopted {
        let setup = self.plan().setup.clone();
        let run = self.trials().iter().any(|(t, _)| t.setup == setup);
        let of = |value: fn(&crate::procedure::plan::Running) -> &String| self.running().map(|r| value(r).clone());
        let mut adopted = Adopted {
            doubt: None,
            setup,
            round: self.round(),
            reason: reason.to_owned(),
            role: role.to_owned(),
            speed_rpm: of(|r| &r.speed_rpm),
            balance_grade: of(|r| &r.balance_grade),
            permissible_gmm: of(|r| &r.permissible_gmm),
        };
        let doubts =
            [(!run).then(|| "no speed trial of this setup is in the record".to_owned()), self.out_of_balance(&adopted)];
        let doubts: Vec<String> = doubts.into_iter().flatten().collect();
        adopted.doubt = (!doubts.is_empty()).then(|| doubts.join("; "));
        adopted
    }

    /// What is left of the unbalance speaks against a setup.
    fn out_of_balance(&self, adopted: &Adopted) -> Option<String> {
        let at = self.balance_at(adopted)?;
        let over = at.grade > at.wanted;
        (over || !at.same_setup).then(|| at.words().trim_start_matches("Adopted: ").trim_end_matches('.').to_owned())
    }
}
