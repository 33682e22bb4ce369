//! Answers beside readings: dispositions, releases, notes, the end of the record.

use crate::module::near::or_near;
use crate::procedure::plan::Step;

use super::attach::Noted;
use super::due::Promised;
use super::enter::{EntryError, no_step, refused};
use super::event::{Body, ClosedOut, Disposed, Disposition, DispositionKind, Released, Remote, Reopened, Verdict};
use super::guarded::opened_by_run;
use super::parts::{FACTS, PartNoted, parts};
use super::record::Record;
use super::session::Session;
use super::state::{CheckState, StepState};
use super::store::initials_fit;

/// A release, as asked for.
#[derive(Debug, Clone, Default)]
pub struct Release {
    /// Step id.
    pub step: String,
    /// Initials.
    pub by: String,
    /// Role.
    pub role: String,
    /// From afar.
    pub remote: Option<Remote>,
    /// Said with it: nobody else is present.
    pub nobody_else: bool,
}

impl Record {
    /// Who released a step from afar and by which channel, as long as that is not confirmed in person.
    #[must_use]
    pub fn released_from_afar(&self, step: &Step) -> Option<(&str, &str)> {
        let (release, event) = self.release(&step.id).filter(|_| self.step_state(&step.id) == StepState::Done)?;
        Some((event.header.by.as_str(), release.remote.as_ref()?.channel.as_str()))
    }
}

impl Session {
    pub(super) fn may_dispose(
        &self,
        step: &Step,
        verdict: Verdict,
        d: &Disposition,
        by: &str,
    ) -> Result<(), EntryError> {
        if !verdict.open() {
            return Err(refused("this reading is not outside its limits, it needs no disposition"));
        }
        if d.reason.trim().is_empty() {
            return Err(refused("a disposition needs its reason"));
        }
        if !self.record().has_role(by, &d.role) {
            return Err(refused(format!("\"{by}\" does not stand under the role \"{}\" of this module", d.role)));
        }
        let decides = d.role == "design" || step.hold.as_deref() == Some(d.role.as_str());
        if d.kind.accepts() && !decides {
            return Err(refused(format!(
                "{} is decided by the design side, not by the role \"{}\"",
                d.kind.word(),
                d.role
            )));
        }
        Ok(())
    }

    /// Answers the reading in force with a disposition.
    ///
    /// # Errors
    /// [`EntryError`].
    pub fn dispose(&mut self, step: &str, check: &str, disposition: Disposition, by: &str) -> Result<u64, EntryError> {
        self.dispose_of(step, check, disposition, &[], by)
    }

    /// Answers the reading in force with a disposition about the step's part, or those named of several.
    ///
    /// # Errors
    /// [`EntryError`], also for a part that the step does not name.
    pub fn dispose_of(
        &mut self,
        step: &str,
        check: &str,
        disposition: Disposition,
        parts: &[String],
        by: &str,
    ) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        let (step, check) = self.find(step, check)?;
        let kept = self.record().to_answer(&step.id, &check).ok_or_else(|| refused("there is no reading to answer"))?;
        let (event, verdict) = (kept.event, kept.reading.verdict);
        self.may_dispose(&step, verdict, &disposition, by)?;
        if disposition.kind.accepts() && self.record().made_by(&step.id, &check, by) {
            return Err(own_reading(by));
        }
        let given_up = self.record().gives_up(&step, &check.id, disposition.kind, parts)?;
        let body = Disposed { step: step.id, check: check.id, reading: event, disposition, given_up };
        Ok(self.append(by, Body::Disposition(body))?)
    }

    /// Releases a hold.
    ///
    /// # Errors
    /// [`EntryError`] where the step is no hold, is not ready, the role is wrong, or the doer asks.
    pub fn release(&mut self, release: &Release) -> Result<u64, EntryError> {
        let (step, alone) = self.releases(release)?;
        if let Some(remote) = &release.remote {
            initials_fit(&remote.taken_by)?;
        }
        let (role, remote) = (release.role.clone(), release.remote.clone());
        let body = Released { step: step.id, role, remote, alone, nobody_else: release.nobody_else };
        Ok(self.append(&release.by, Body::Release(body))?)
    }

    /// Whether a person may release a step at all, before channel and presence are known.
    ///
    /// # Errors
    /// As [`Session::release`].
    pub fn may_release(&self, step: &str, by: &str) -> Result<(), EntryError> {
        let role = self.record().step(step).and_then(|s| s.hold.clone()).unwrap_or_default();
        // On site and with nobody else present: what is refused so is refused in every other way too.
        let release = Release { step: step.to_owned(), by: by.to_owned(), role, remote: None, nobody_else: true };
        self.releases(&release).map(|_| ())
    }

    /// The step that is released, and whether by who made readings of it.
    fn releases(&self, release: &Release) -> Result<(Step, bool), EntryError> {
        initials_fit(&release.by)?;
        self.refuse_closed()?;
        let step = self.record().step(&release.step).cloned().ok_or_else(|| no_step(self.record(), &release.step))?;
        let Some(role) = &step.hold else {
            return Err(refused(format!("{} is no hold point", step.id)));
        };
        match self.record().step_state(&step.id) {
            StepState::Held if self.record().waits_for_release(&step) => {}
            StepState::Done if self.confirms(release) => {}
            StepState::Done => return Err(refused(format!("{} is released already", step.id))),
            _ => {
                return Err(refused(format!("{} is not ready for release: {}", step.id, self.open_words(&step))));
            }
        }
        if *role != release.role || !self.record().has_role(&release.by, role) {
            return Err(refused(format!("{} is released by the role \"{role}\": {}", step.id, self.people_of(role))));
        }
        // A reading that was put right later is still a reading he made.
        let mut readings = step.checks.iter().flat_map(|c| self.record().readings(&step.id, &c.id));
        let alone = readings.any(|k| !k.reading.derived && k.made_by(&release.by));
        if alone {
            self.record().releases_alone(&step, release)?;
        }
        Ok((step, alone))
    }

    /// True where the one who released from afar now does so in person: until then the release counts as open.
    fn confirms(&self, release: &Release) -> bool {
        let in_force = self.record().release(&release.step);
        release.remote.is_none()
            && in_force.is_some_and(|(r, event)| r.remote.is_some() && event.header.by == release.by)
    }

    fn people_of(&self, role: &str) -> String {
        self.record().plan().people.get(role).map_or_else(String::new, |l| l.join(", "))
    }

    fn open_words(&self, step: &Step) -> String {
        if step.checks.iter().any(|c| self.record().check_state(step, c) == CheckState::Stopped) {
            return "a part of it is out".into();
        }
        let open = step.checks.iter().filter(|c| self.record().check_state(step, c) != CheckState::Answered);
        let open: Vec<String> = open.map(|c| format!("\"{}\" ({})", c.prompt, c.id)).collect();
        match open.as_slice() {
            [one] => format!("{one} is open"),
            list => format!("{} are open", list.join(", ")),
        }
    }

    /// Keeps a note with a step.
    ///
    /// # Errors
    /// [`EntryError`].
    pub fn note(&mut self, step: &str, text: &str, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        if self.record().step(step).is_none() {
            return Err(no_step(self.record(), step));
        }
        if text.trim().is_empty() {
            return Err(refused("the note is empty"));
        }
        Ok(self.append(by, Body::Note(Noted { step: step.to_owned(), text: text.to_owned() }))?)
    }

    /// Notes something of a part: lot, heat, serial number, position, mark, index.
    ///
    /// # Errors
    /// [`EntryError`] for a part that no step names, a name that is none of [`FACTS`], or nothing said.
    pub fn note_part(&mut self, noted: PartNoted, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        let known: Vec<String> = parts(self.record()).into_iter().map(|p| p.part).collect();
        if !known.contains(&noted.part) {
            let list = known.join(", ");
            let near = or_near(&noted.part, known.iter().map(String::as_str));
            return Err(refused(format!(
                "there is no part \"{}\" in this build; its parts are: {list}{near}",
                noted.part
            )));
        }
        if let Some(name) = noted.facts.keys().find(|k| !FACTS.contains(&k.as_str())) {
            return Err(refused(format!("\"{name}\" is nothing that is noted of a part; {} are", FACTS.join(", "))));
        }
        if noted.facts.is_empty() || noted.facts.values().any(|v| v.trim().is_empty()) {
            return Err(refused(format!("say at least one of {} of the part", FACTS.join(", "))));
        }
        Ok(self.append(by, Body::Part(noted))?)
    }

    /// Closes the record and gives back the event's number.
    ///
    /// # Errors
    /// [`EntryError`] while anything is open, with its list.
    pub fn finish(&mut self, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        let open: Vec<&str> = self
            .record()
            .plan()
            .steps
            .iter()
            .map(|s| s.id.as_str())
            .filter(|id| self.record().step_state(id) != StepState::Done)
            .collect();
        if !open.is_empty() {
            let shown = open.iter().take(5).copied().collect::<Vec<_>>().join(", ");
            let count = if open.len() == 1 { "1 step is".into() } else { format!("{} steps are", open.len()) };
            return Err(refused(format!("{count} open: {shown}{}", if open.len() > 5 { ", …" } else { "" })));
        }
        if let Some(why) = self.record().run_waits().or_else(|| opened_by_run(self.record())) {
            return Err(refused(why));
        }
        let body = Body::ClosedOut(summary(self.record()));
        Ok(self.append(by, body)?)
    }

    /// Opens a closed record again.
    ///
    /// # Errors
    /// [`EntryError`] unless it is closed and a reason is given.
    pub fn reopen(&mut self, by: &str, reason: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        if !self.record().is_closed() || reason.trim().is_empty() {
            return Err(refused("only a closed record is reopened, and with a reason"));
        }
        Ok(self.append(by, Body::Reopened(Reopened { reason: reason.to_owned() }))?)
    }
}

pub(super) fn own_reading(by: &str) -> EntryError {
    refused(format!(
        "{by} took this reading, so somebody else decides on it: enter the reading without a disposition, then let one of the design side, who did not take it, give the disposition"
    ))
}

fn summary(record: &Record) -> ClosedOut {
    let mut closed = ClosedOut {
        steps: u32::try_from(record.steps_done()).unwrap_or(u32::MAX),
        readings: 0,
        dispositions: std::collections::BTreeMap::new(),
        adopted: record.adopted().map(super::adopted::Adopted::said),
        follow_up: record.due().iter().map(Promised::from).collect(),
    };
    for event in &record.events {
        match &event.body {
            Body::Reading(r) => {
                closed.readings += 1;
                if let Some(d) = &r.disposition {
                    *closed.dispositions.entry(DispositionKind::word(d.kind).to_owned()).or_default() += 1;
                }
            }
            Body::Disposition(d) => *closed.dispositions.entry(d.disposition.kind.word().to_owned()).or_default() += 1,
            _ => {}
        }
    }
    closed
}
