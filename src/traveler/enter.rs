//! Entries: what may be entered when, by whom, and what follows from it.

use chrono::{Duration, Local, SecondsFormat};
use rust_decimal::Decimal;

use crate::procedure::plan::{Check, CheckKind, Derive, Step, Take};
use crate::quantity::{Amount, unit};

use super::event::{
    Body, ClosedOut, Corrects, Disposed, Disposition, DispositionKind, EndedEarly, Noted, Paper,
    Reading, Released, Remote, Reopened, Used, Verdict,
};
use super::instruments::Register;
use super::judge::{self, Judged, Taking};
use super::record::{BuildState, CheckState, Kept, Record, StepState};
use super::session::{Session, time};
use super::store::{StoreError, initials_fit};

/// One entry, as typed.
#[derive(Debug, Clone, Default)]
pub struct Entry {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Values as typed.
    pub values: Vec<String>,
    /// Initials.
    pub by: String,
    /// Instrument id.
    pub instrument: Option<String>,
    /// Correction of the reading in force: why.
    pub correct: Option<String>,
    /// Disposition given at once.
    pub disposition: Option<Disposition>,
    /// From paper.
    pub paper: Option<Paper>,
    /// A wait ended early: role and reason.
    pub end_early: Option<EndedEarly>,
    /// Bare numbers take the unit of the check.
    pub bare: bool,
}

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
}

/// What came of an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// Event number.
    pub event: u64,
    /// Verdict.
    pub verdict: Verdict,
    /// Lower limit it was judged by.
    pub lower: Option<String>,
    /// Upper limit.
    pub upper: Option<String>,
    /// Why, in words.
    pub message: String,
    /// Steps that may be done now.
    pub next: Vec<String>,
}

/// Why nothing was recorded.
#[derive(Debug, thiserror::Error)]
pub enum EntryError {
    /// The entry cannot be.
    #[error("{0}")]
    Refused(String),
    /// The store said no.
    #[error(transparent)]
    Store(#[from] StoreError),
}

fn refused(why: impl Into<String>) -> EntryError {
    EntryError::Refused(why.into())
}

/// Waits that run: step id and when they end.
#[must_use]
pub fn running_waits(record: &Record) -> Vec<(String, String)> {
    let waits = record
        .plan()
        .steps
        .iter()
        .flat_map(|s| s.checks.iter().map(move |c| (s, c)));
    waits
        .filter(|(s, c)| record.check_state(s, c) == CheckState::Running)
        .filter_map(|(s, c)| {
            Some((
                s.id.clone(),
                wait_ends(record, s, c)?.to_rfc3339_opts(SecondsFormat::Secs, false),
            ))
        })
        .collect()
}

/// When a running wait is over.
#[must_use]
pub fn wait_ends(
    record: &Record,
    step: &Step,
    check: &Check,
) -> Option<chrono::DateTime<chrono::FixedOffset>> {
    let started = time(record.reading(&step.id, &check.id)?.at)?;
    let hours: f64 = check.lower.as_deref()?.parse().ok()?;
    Some(started + Duration::seconds((hours * 3600.0) as i64))
}

/// Why a step may not be worked on now, if so.
#[must_use]
pub fn barred(record: &Record, step: &Step) -> Option<String> {
    let missing = record.missing_before(step);
    if !missing.is_empty() {
        return Some(format!(
            "{} comes after {}; {}",
            step.id,
            missing.join(", "),
            held_words(record, &missing)
        ));
    }
    if matches!(step.operation.as_str(), "spin" | "trial") {
        let open = record.plan().steps.iter().find(|s| {
            s.operation == "guard"
                && s.number < step.number
                && record.step_state(&s.id) != StepState::Done
        });
        if let Some(guard) = open {
            return Some(format!(
                "the rotor is never spun without its guard; {} is not done",
                guard.id
            ));
        }
    }
    None
}

fn held_words(record: &Record, missing: &[String]) -> String {
    let held: Vec<&str> = missing
        .iter()
        .map(String::as_str)
        .filter(|id| record.step_state(id) == StepState::Held)
        .collect();
    if held.is_empty() {
        "do that first".into()
    } else {
        format!("{} is held until it is released", held.join(", "))
    }
}

impl Session {
    /// Records an entry and everything computed from it.
    ///
    /// # Errors
    /// [`EntryError`]: nothing was recorded.
    pub fn enter(&mut self, entry: &Entry) -> Result<Outcome, EntryError> {
        initials_fit(&entry.by)?;
        let (step, check) = self.find(&entry.step, &entry.check)?;
        self.refuse_closed()?;
        if let Some(why) = barred(self.record(), &step) {
            return Err(refused(why));
        }
        if check.kind == CheckKind::Derived {
            return Err(refused(format!(
                "{} is computed, never entered: {}",
                check.id,
                check.derive.as_ref().map_or("", |d| &d.words)
            )));
        }
        let corrects = self.correction(&step, &check, entry)?;
        let instrument = self.instrument(&check, entry)?;
        let judged = self.judged(&step, &check, entry, instrument.as_ref())?;
        if let Some(d) = &entry.disposition {
            self.may_dispose(&step, judged.verdict, d, &entry.by)?;
        }
        let reading = self.reading_of(&step, &check, entry, corrects, instrument, judged);
        let (verdict, message) = (reading.verdict, reading.because.clone());
        let event = self.append(&entry.by, Body::Reading(Box::new(reading)))?;
        self.derive_from(&step.id, &check.id, &entry.by)?;
        let next = self
            .record()
            .open_steps()
            .iter()
            .map(|s| s.id.clone())
            .collect();
        Ok(Outcome {
            event,
            verdict,
            lower: check.lower,
            upper: check.upper,
            message,
            next,
        })
    }

    fn find(&self, step: &str, check: &str) -> Result<(Step, Check), EntryError> {
        let found = self.record().step(step).ok_or_else(|| {
            refused(format!(
                "there is no step \"{step}\" in this build; \"runtrue next {}\" lists them",
                self.record().build
            ))
        })?;
        let ids = || {
            found
                .checks
                .iter()
                .map(|c| c.id.as_str())
                .collect::<Vec<_>>()
                .join(", ")
        };
        let asked = found.checks.iter().find(|c| c.id == check).ok_or_else(|| {
            refused(format!(
                "{step} asks for no \"{check}\"; it asks for {}",
                ids()
            ))
        })?;
        Ok((found.clone(), asked.clone()))
    }

    fn refuse_closed(&self) -> Result<(), EntryError> {
        if self.record().build_state() == BuildState::Complete {
            return Err(refused(
                "the record is closed; it takes entries again only after it is reopened with a reason",
            ));
        }
        Ok(())
    }

    /// A reading in force is replaced only by a correction, or when it is open and answered by a new one.
    fn correction(
        &self,
        step: &Step,
        check: &Check,
        entry: &Entry,
    ) -> Result<Option<Corrects>, EntryError> {
        let current = self.record().reading(&step.id, &check.id);
        match (&entry.correct, current) {
            (Some(reason), Some(kept)) => {
                if reason.trim().is_empty() {
                    return Err(refused("a correction needs its reason"));
                }
                Ok(Some(Corrects {
                    event: kept.event,
                    reason: reason.clone(),
                }))
            }
            (Some(_), None) => Err(refused(format!(
                "{} of {} has no reading to correct yet",
                check.id, step.id
            ))),
            (None, Some(_)) if self.record().check_state(step, check) == CheckState::Answered => {
                Err(refused(format!(
                    "{} of {} has its reading; to put it right, enter it again as a correction with a reason (--correct --reason \"…\")",
                    check.id, step.id
                )))
            }
            (None, _) => Ok(None),
        }
    }

    fn instrument(&self, check: &Check, entry: &Entry) -> Result<Option<Used>, EntryError> {
        let Some(id) = &entry.instrument else {
            return Ok(None);
        };
        let register = Register::load(&self.home()).map_err(|e| refused(e.to_string()))?;
        let found = register.find(id).ok_or_else(|| refused(format!("there is no instrument \"{id}\" in the register; add it with \"runtrue instruments add\"")))?;
        if found.retired {
            return Err(refused(format!("instrument {id} is retired; take another")));
        }
        let today = Local::now().date_naive().to_string();
        let overdue = found
            .due
            .as_ref()
            .is_some_and(|due| due.as_str() < today.as_str());
        let _ = check;
        Ok(Some(Used {
            id: found.id.clone(),
            kind: found.kind.clone(),
            uncertainty: found.uncertainty.clone(),
            due: found.due.clone(),
            overdue,
        }))
    }

    /// The folder that holds the register: two above the build's.
    fn home(&self) -> std::path::PathBuf {
        self.folder()
            .ancestors()
            .nth(2)
            .map_or_else(|| self.folder().to_owned(), std::path::Path::to_owned)
    }

    fn judged(
        &self,
        step: &Step,
        check: &Check,
        entry: &Entry,
        used: Option<&Used>,
    ) -> Result<Judged, EntryError> {
        if check.kind == CheckKind::Wait {
            return self.wait(step, check, entry);
        }
        let guard = used
            .and_then(|u| u.uncertainty.as_deref())
            .and_then(|u| guard_in(u, check));
        let rounds = self
            .record()
            .readings(&step.id, &check.id)
            .iter()
            .filter(|k| k.reading.corrects.is_none())
            .count();
        let taking = Taking {
            bare: entry.bare,
            guard,
            rounds,
        };
        let mut judged =
            judge::judge(check, &entry.values, taking).map_err(|e| refused(e.to_string()))?;
        if used.is_some_and(|u| u.overdue) {
            judged
                .because
                .push_str(", instrument past its calibration date");
        }
        Ok(judged)
    }

    fn wait(&self, step: &Step, check: &Check, entry: &Entry) -> Result<Judged, EntryError> {
        let running = self.record().check_state(step, check) == CheckState::Running;
        let answer = |value: &str, verdict, because: String| Judged {
            values: vec![value.into()],
            verdict,
            because,
        };
        match entry.values.as_slice() {
            [word] if word == "started" && !running => Ok(answer(
                "started",
                Verdict::NotJudged,
                "the clock runs".into(),
            )),
            [word] if word == "started" => Err(refused("this wait runs already")),
            [word] if word == "done" && running => self.wait_done(step, check, entry, answer),
            [word] if word == "done" => Err(refused("this wait has not been started")),
            _ => Err(refused("a wait takes \"started\" or \"done\"")),
        }
    }

    fn wait_done(
        &self,
        step: &Step,
        check: &Check,
        entry: &Entry,
        answer: impl Fn(&str, Verdict, String) -> Judged,
    ) -> Result<Judged, EntryError> {
        let ends = wait_ends(self.record(), step, check)
            .ok_or_else(|| refused("the start of this wait cannot be read"))?;
        let left = ends.signed_duration_since(Local::now());
        if left <= Duration::zero() {
            return Ok(answer("done", Verdict::Within, "the time is over".into()));
        }
        let Some(early) = &entry.end_early else {
            return Err(refused(format!(
                "{} h {} min are left, until {}; a role that may release can end it early with a reason",
                left.num_hours(),
                left.num_minutes() % 60,
                ends.format("%Y-%m-%d %H:%M")
            )));
        };
        if early.reason.trim().is_empty() || !self.record().has_role(&entry.by, &early.role) {
            return Err(refused(format!(
                "\"{}\" does not stand under the role \"{}\" of this module, or gave no reason",
                entry.by, early.role
            )));
        }
        Ok(answer(
            "done",
            Verdict::NotJudged,
            format!(
                "ended early by {} ({}): {}",
                entry.by, early.role, early.reason
            ),
        ))
    }

    fn reading_of(
        &self,
        step: &Step,
        check: &Check,
        entry: &Entry,
        corrects: Option<Corrects>,
        instrument: Option<Used>,
        judged: Judged,
    ) -> Reading {
        Reading {
            step: step.id.clone(),
            check: check.id.clone(),
            round: 0,
            entered: entry.values.clone(),
            values: judged.values,
            unit: check.unit.clone(),
            lower: check.lower.clone(),
            upper: check.upper.clone(),
            verdict: judged.verdict,
            because: judged.because,
            role: self.record().role(&entry.by),
            derived: false,
            instrument,
            corrects,
            disposition: entry.disposition.clone(),
            paper: entry.paper.clone(),
            ended_early: entry
                .end_early
                .clone()
                .filter(|_| check.kind == CheckKind::Wait),
        }
    }

    /// Computes every derived value that rests on the check just read.
    fn derive_from(&mut self, step: &str, check: &str, by: &str) -> Result<(), EntryError> {
        let of = format!("{step}/{check}");
        let steps = self.record().plan().steps.iter();
        let resting: Vec<(Step, Check)> = steps
            .flat_map(|s| {
                s.checks
                    .iter()
                    .filter(|c| c.derive.as_ref().is_some_and(|d| d.of == of))
                    .map(|c| (s.clone(), c.clone()))
            })
            .collect();
        for (target, derived) in resting {
            let reading = self
                .record()
                .reading(step, check)
                .and_then(|kept| computed(&derived, &kept));
            let Some((value, judged)) = reading else {
                continue;
            };
            let entry = Entry {
                step: target.id.clone(),
                check: derived.id.clone(),
                values: vec![value],
                by: by.to_owned(),
                ..Entry::default()
            };
            let mut event = self.reading_of(&target, &derived, &entry, None, None, judged);
            event.derived = true;
            self.append(by, Body::Reading(Box::new(event)))?;
        }
        Ok(())
    }

    fn may_dispose(
        &self,
        step: &Step,
        verdict: Verdict,
        d: &Disposition,
        by: &str,
    ) -> Result<(), EntryError> {
        if !verdict.open() {
            return Err(refused(
                "this reading is not outside its limits, it needs no disposition",
            ));
        }
        if d.reason.trim().is_empty() {
            return Err(refused("a disposition needs its reason"));
        }
        if !self.record().has_role(by, &d.role) {
            return Err(refused(format!(
                "\"{by}\" does not stand under the role \"{}\" of this module",
                d.role
            )));
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
    pub fn dispose(
        &mut self,
        step: &str,
        check: &str,
        disposition: Disposition,
        by: &str,
    ) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        let (step, check) = self.find(step, check)?;
        let kept = self
            .record()
            .reading(&step.id, &check.id)
            .ok_or_else(|| refused("there is no reading to answer"))?;
        let (event, doer, verdict) = (kept.event, kept.by.to_owned(), kept.reading.verdict);
        self.may_dispose(&step, verdict, &disposition, by)?;
        if disposition.kind.accepts() && doer == by && !kept.reading.derived {
            return Err(refused(format!(
                "{by} took this reading; somebody else of the design side decides on it"
            )));
        }
        let body = Disposed {
            step: step.id,
            check: check.id,
            reading: event,
            disposition,
        };
        Ok(self.append(by, Body::Disposition(body))?)
    }

    /// Releases a hold.
    ///
    /// # Errors
    /// [`EntryError`] where the step is no hold, is not ready, the role is wrong, or the doer asks.
    pub fn release(&mut self, release: &Release) -> Result<u64, EntryError> {
        initials_fit(&release.by)?;
        self.refuse_closed()?;
        let step = self.record().step(&release.step).cloned().ok_or_else(|| {
            refused(format!(
                "there is no step \"{}\" in this build",
                release.step
            ))
        })?;
        let Some(role) = &step.hold else {
            return Err(refused(format!("{} is no hold point", step.id)));
        };
        match self.record().step_state(&step.id) {
            StepState::Held => {}
            StepState::Done => return Err(refused(format!("{} is released already", step.id))),
            _ => {
                return Err(refused(format!(
                    "{} is not ready for release: {}",
                    step.id,
                    self.open_words(&step)
                )));
            }
        }
        if *role != release.role || !self.record().has_role(&release.by, role) {
            return Err(refused(format!(
                "{} is released by the role \"{role}\": {}",
                step.id,
                self.people_of(role)
            )));
        }
        let doers = step
            .checks
            .iter()
            .filter_map(|c| self.record().reading(&step.id, &c.id))
            .filter(|k| !k.reading.derived)
            .map(|k| k.by);
        if doers.clone().any(|by| by == release.by) {
            return Err(refused(format!(
                "{} made readings of {}; the doer does not release his own hold",
                release.by, step.id
            )));
        }
        let body = Released {
            step: step.id,
            role: release.role.clone(),
            remote: release.remote.clone(),
        };
        Ok(self.append(&release.by, Body::Release(body))?)
    }

    fn people_of(&self, role: &str) -> String {
        self.record()
            .plan()
            .people
            .get(role)
            .map_or_else(String::new, |l| l.join(", "))
    }

    fn open_words(&self, step: &Step) -> String {
        let open: Vec<&str> = step
            .checks
            .iter()
            .filter(|c| self.record().check_state(step, c) != CheckState::Answered)
            .map(|c| c.id.as_str())
            .collect();
        if open.is_empty() {
            "a part of it is out".into()
        } else {
            format!("{} is open", open.join(", "))
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
            return Err(refused(format!(
                "there is no step \"{step}\" in this build"
            )));
        }
        if text.trim().is_empty() {
            return Err(refused("the note is empty"));
        }
        Ok(self.append(
            by,
            Body::Note(Noted {
                step: step.to_owned(),
                text: text.to_owned(),
            }),
        )?)
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
            return Err(refused(format!(
                "{} steps are open: {shown}{}",
                open.len(),
                if open.len() > 5 { ", …" } else { "" }
            )));
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
        if self.record().build_state() != BuildState::Complete || reason.trim().is_empty() {
            return Err(refused(
                "only a closed record is reopened, and with a reason",
            ));
        }
        Ok(self.append(
            by,
            Body::Reopened(Reopened {
                reason: reason.to_owned(),
            }),
        )?)
    }
}

/// Uncertainty as stated ("0.005 mm") in the unit of the check.
fn guard_in(stated: &str, check: &Check) -> Option<Decimal> {
    let to = unit(check.unit.as_deref()?)?;
    Amount::parse_as(stated, to.kind).ok()?.in_unit(to).ok()
}

/// A derived value from a reading: scale, offset, rounding, verdict.
fn computed(check: &Check, kept: &Kept<'_>) -> Option<(String, Judged)> {
    let derive = check.derive.as_ref()?;
    let values: Vec<Decimal> = kept
        .reading
        .values
        .iter()
        .map(|v| v.parse().ok())
        .collect::<Option<_>>()?;
    let value = apply(derive, &values)?;
    let typed = match &check.unit {
        Some(symbol) => format!("{value} {symbol}"),
        None => value.to_string(),
    };
    let mut judged = judge::judge(check, &[typed.clone()], Taking::default()).ok()?;
    judged.because = format!("{} = {value}: {}", derive.words, judged.because);
    Some((typed, judged))
}

fn apply(derive: &Derive, values: &[Decimal]) -> Option<Decimal> {
    let (mean, _, largest) = judge::summary(values);
    let taken = match derive.take {
        Take::Smallest => values.iter().min().copied()?,
        Take::Largest => largest,
        Take::Mean => mean,
    };
    let scale: Decimal = derive.scale.parse().ok()?;
    let offset: Decimal = derive.offset.parse().ok()?;
    Some(
        taken
            .checked_mul(scale)?
            .checked_add(offset)?
            .round_dp(derive.decimals),
    )
}

fn summary(record: &Record) -> ClosedOut {
    let mut closed = ClosedOut {
        steps: u32::try_from(record.steps_done()).unwrap_or(u32::MAX),
        readings: 0,
        dispositions: std::collections::BTreeMap::new(),
    };
    for event in &record.events {
        match &event.body {
            Body::Reading(r) => {
                closed.readings += 1;
                if let Some(d) = &r.disposition {
                    *closed
                        .dispositions
                        .entry(DispositionKind::word(d.kind).to_owned())
                        .or_default() += 1;
                }
            }
            Body::Disposition(d) => {
                *closed
                    .dispositions
                    .entry(d.disposition.kind.word().to_owned())
                    .or_default() += 1
            }
            _ => {}
        }
    }
    closed
}
