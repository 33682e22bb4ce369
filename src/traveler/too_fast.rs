//! Speed trials that went over the limit: which wait for a decision, who gives it, and what stands still until then. A run back
//! below the limit takes nothing back.

use super::enter::{EntryError, refused};
use super::event::{Body, Disposed, Disposition, DispositionKind, Event};
use super::record::Record;
use super::rounds::Kind;
use super::session::Session;
use super::store::initials_fit;
use super::trial::Trial;

/// Step and check that a decision on a trial names; no plan has a step of that id.
const DECIDED: (&str, &str) = ("trial-speed", "speed");

impl Record {
    /// Every run over the limit of speed, those put right since too, oldest first.
    #[must_use]
    pub fn runs_too_fast(&self) -> Vec<(&Trial, &Event)> {
        self.trials().into_iter().filter(|(t, _)| t.too_fast()).collect()
    }

    /// The decision on a run that is in force, and its event.
    #[must_use]
    pub fn run_decision(&self, event: u64) -> Option<(&Disposition, &Event)> {
        self.events.iter().rev().find_map(|e| match &e.body {
            Body::Disposition(d) if d.reading == event && d.step == DECIDED.0 => Some((&d.disposition, e)),
            _ => None,
        })
    }

    /// How a run over the limit is answered, in words; none while it waits. Use as it is and repair answer it; rework and scrap
    /// do once a round of work was begun for it. Another person than who entered it may put it right.
    #[must_use]
    pub fn run_answer(&self, trial: &Trial, event: &Event) -> Option<String> {
        let number = event.header.event;
        let right = self.trials().into_iter().find(|(t, _)| t.corrects.as_ref().is_some_and(|c| c.event == number));
        if let Some((right, by)) = right.filter(|(_, e)| !trial.made_by(event, &e.header.by)) {
            return Some(format!("put right in run {} by {}", right.number, by.header.by));
        }
        let (d, decided) = self.run_decision(number)?;
        let later = self.events.iter().filter(|e| e.header.event > decided.header.event);
        let worked =
            later.filter_map(|e| if let Body::Changed(c) = &e.body { Some(c.kind) } else { None }).any(|kind| {
                let parts = matches!(kind, Kind::Service | Kind::Substitution);
                parts || (kind == Kind::Rework && d.kind == DispositionKind::Rework)
            });
        (d.kind.accepts() || worked)
            .then(|| format!("{} by {} ({}): {}", d.kind.said(), decided.header.by, d.role, d.reason))
    }

    /// The first run over the limit that nothing answers.
    #[must_use]
    pub fn run_to_decide(&self) -> Option<(&Trial, &Event)> {
        self.runs_too_fast().into_iter().find(|(t, e)| self.run_answer(t, e).is_none())
    }

    /// What a run over the limit without an answer asks for, in words, with the command that decides on it.
    #[must_use]
    pub fn run_waits(&self) -> Option<String> {
        self.run_waits_for(|n| format!("runtrue trial {} --decide {n} --disposition …", self.build))
    }

    /// As [`Record::run_waits`]; `how` tells how a run of that number is decided on where this is read.
    #[must_use]
    pub fn run_waits_for(&self, how: impl Fn(u32) -> String) -> Option<String> {
        let (trial, event) = self.run_to_decide()?;
        let n = trial.number;
        let limit = trial.value("speed").and_then(|v| v.upper.clone()).unwrap_or_default();
        let waits = self.run_decision(event.header.event).map_or_else(
            || format!("the design side decides first ({})", how(n)),
            |(d, _)| format!("{} was decided, a round of work for it comes first", d.kind.word()),
        );
        Some(format!("run {n} went to {}, over {limit} rpm; {waits}", trial.shown("speed")))
    }

    /// True where a role decides for the design side: `design`, or a role that releases a step.
    pub(super) fn decides(&self, role: &str) -> bool {
        role == "design" || self.plan().steps.iter().any(|s| s.hold.as_deref() == Some(role))
    }
}

impl Trial {
    /// Over the limit of speed.
    #[must_use]
    pub fn too_fast(&self) -> bool {
        self.value("speed").is_some_and(|v| v.verdict.open())
    }

    /// True for who entered the run and, from paper, who measured.
    #[must_use]
    pub fn made_by(&self, event: &Event, initials: &str) -> bool {
        event.header.by == initials || self.paper.as_ref().is_some_and(|p| p.measured_by == initials)
    }
}

impl Session {
    /// Decides on a run over the limit, and gives back the event's number.
    ///
    /// # Errors
    /// [`EntryError`]: the record is closed, no such run, it was not over its limit, no reason, a role that does not decide, or
    /// who entered the run accepts it.
    pub fn decide_run(&mut self, run: u32, disposition: Disposition, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        let record = self.record();
        let found = record.trials().into_iter().find(|(t, _)| t.number == run);
        let (trial, event) = found.ok_or_else(|| refused(format!("there is no run {run} in this record")))?;
        if !trial.too_fast() {
            return Err(refused(format!("run {run} was not over its limit, it needs no decision")));
        }
        if disposition.reason.trim().is_empty() {
            return Err(refused("a disposition needs its reason"));
        }
        if !record.has_role(by, &disposition.role) {
            return Err(refused(format!(
                "\"{by}\" does not stand under the role \"{}\" of this module",
                disposition.role
            )));
        }
        if !record.decides(&disposition.role) {
            return Err(refused(format!(
                "a run over the limit is decided on by the design side, not by the role \"{}\"",
                disposition.role
            )));
        }
        if disposition.kind.accepts() && trial.made_by(event, by) {
            return Err(refused(format!("{by} made run {run}, so somebody else of the design side accepts it")));
        }
        let (step, check) = (DECIDED.0.to_owned(), DECIDED.1.to_owned());
        let reading = event.header.event;
        Ok(self.append(by, Body::Disposition(Disposed { step, check, reading, disposition, given_up: None }))?)
    }
}
