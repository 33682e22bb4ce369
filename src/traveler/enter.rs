//! Entries: what may be entered when, by whom, and what follows from it.

use rust_decimal::Decimal;

use crate::module::near::or_near;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::quantity::unit;

use super::answer::own_reading;
use super::event::{Body, Corrects, Disposition, EndedEarly, Paper, Reading, Used, Verdict};
use super::follows;
use super::guarded::{opened_since, runs};
use super::instruments::width;
use super::judge::{self, Judged, Taking};
use super::people::{paper_fits, witness_fits};
use super::plausible;
use super::record::Record;
use super::session::Session;
use super::slips::contradicts;
use super::state::{CheckState, StepState};
use super::store::{StoreError, initials_fit};
use super::tightening::ease_first;
use super::visits::since_left;

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
    /// Parts that the disposition is about, where the step is on several; without names all of them.
    pub parts: Vec<String>,
    /// From paper.
    pub paper: Option<Paper>,
    /// Who read the value back: not the one who took it.
    pub witness: Option<String>,
    /// A wait ended early: role and reason.
    pub end_early: Option<EndedEarly>,
    /// Bare numbers take the unit of the check.
    pub bare: bool,
    /// Initials under no role were said to be a helper's.
    pub helper: bool,
    /// Typed twice, the second time without sight of the first.
    pub twice: bool,
    /// Numbers, from 1, of the values that were typed anew; the others stand as in the reading before. Empty where all were.
    pub anew: Vec<u32>,
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
    /// Words that were wanted.
    pub wanted: Option<String>,
    /// Why the value is hard to believe, if it is.
    pub doubt: Option<String>,
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

pub(super) fn refused(why: impl Into<String>) -> EntryError {
    EntryError::Refused(why.into())
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
            super::waits::held_words(record, &missing)
        ));
    }
    if runs(record, step) {
        let open =
            record.plan().steps.iter().find(|s| {
                s.operation == "guard" && s.number < step.number && record.step_state(&s.id) != StepState::Done
            });
        if let Some(guard) = open {
            return Some(format!("the rotor is never spun without its guard; {} is not done", guard.id));
        }
    }
    None
}

/// A step that the build does not have: the nearest it has, and how to list them all.
pub(super) fn no_step(record: &Record, step: &str) -> EntryError {
    let near = or_near(step, record.plan().steps.iter().map(|s| s.id.as_str()));
    let build = &record.build;
    refused(format!(
        "there is no step \"{step}\" in this build; \"runtrue next {build}\" lists the open ones, \"runtrue review {build}\" all{near}"
    ))
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
        if let Some(why) = opened_since(self.record(), &step)
            .filter(|_| !entry.values.is_empty() && !self.only_mistyped(&step, &check, entry))
        {
            return Err(refused(why));
        }
        if let (Some(d), true) = (&entry.disposition, entry.values.is_empty()) {
            return self.decide(&step, &check, d.clone(), entry);
        }
        if check.kind == CheckKind::Derived {
            let words = check.derive.as_ref().map_or("", |d| &d.words);
            return Err(refused(format!("{} is computed, never entered: {words}", check.id)));
        }
        let corrects = self.correction(&step, &check, entry)?;
        paper_fits(entry)?;
        witness_fits(entry)?;
        let instrument = self.instrument(entry)?;
        if let Some(why) = self.record().not_found_yet(&step, &check) {
            return Err(refused(why));
        }
        let mut judged = self.judged(&step, &check, entry, instrument.as_ref())?;
        judged.because.extend(since_left(&check, &judged));
        let doubt = plausible::of_entry(self.record(), &check, &entry.values)
            .or_else(|| plausible::by_the_record(self.record(), &step.id, &check, &entry.values))
            .or_else(|| follows::by_what_follows(self.record(), &step.id, &check, &judged.values))
            .or_else(|| contradicts(self.record(), &step.id, &check, &entry.values, 0).filter(|_| corrects.is_none()));
        let doubt = with_stranger(doubt, self.stranger(entry));
        if let Some(d) = &entry.disposition {
            if corrects.is_none() && self.record().same_as_in_force(&step, &check, &judged, &entry.by) {
                return self.decide(&step, &check, d.clone(), entry);
            }
            self.may_dispose(&step, judged.verdict, d, &entry.by)?;
            if d.kind.accepts() {
                return Err(own_reading(&entry.by));
            }
        }
        let mut reading = self.reading_of(&step, &check, entry, corrects, instrument, judged);
        reading.doubt.clone_from(&doubt);
        if let Some(d) = &entry.disposition {
            reading.given_up = self.record().gives_up(&step, &check.id, d.kind, &entry.parts)?;
        }
        let (verdict, mut because) = (reading.verdict, reading.because.clone());
        if let Some(first) = ease_first(&check, &reading) {
            because.push_str(&format!(". {first}"));
        }
        let event = self.append(&entry.by, Body::Reading(Box::new(reading)))?;
        // The reading is kept whatever happens now; what is missing is computed when the build is opened again.
        let derived = self
            .derive_from(&step.id, &check.id, &entry.by)
            .unwrap_or_else(|e| format!("; but a value that rests on it could not be saved: {e}"));
        because.push_str(&derived);
        if let Some(open) = self.record().lasting(&step.id, &check).filter(|k| k.event != event) {
            because.push_str(&format!("; entry {} outside its limits still waits for a decision", open.event));
        }
        Ok(Outcome { doubt, ..self.outcome(event, verdict, check, because) })
    }

    /// Gives the reading in force its disposition; nothing was measured anew.
    fn decide(&mut self, step: &Step, check: &Check, d: Disposition, entry: &Entry) -> Result<Outcome, EntryError> {
        let by = &entry.by;
        let message = format!("{} by {by} ({}): {}", d.kind.word(), d.role, d.reason);
        let verdict = self.record().to_answer(&step.id, check).map_or(Verdict::NotJudged, |k| k.reading.verdict);
        let event = self.dispose_of(&step.id, &check.id, d, &entry.parts, by)?;
        Ok(self.outcome(event, verdict, check.clone(), message))
    }

    fn outcome(&self, event: u64, verdict: Verdict, check: Check, message: String) -> Outcome {
        let next = self.record().open_steps().iter().map(|s| s.id.clone()).collect();
        let Check { lower, upper, wanted, .. } = check;
        Outcome { event, verdict, lower, upper, wanted, doubt: None, message, next }
    }

    /// A correction that cannot be a run in disguise: the same value again, or by another person than entered the one in force.
    fn only_mistyped(&self, step: &Step, check: &Check, entry: &Entry) -> bool {
        let kept = self.record().reading(&step.id, &check.id);
        entry.correct.is_some()
            && kept.is_none_or(|k| k.by != entry.by || plausible::same(check, &k.reading.values, &entry.values))
    }

    /// Initials that stand under no role and were not said to be a helper's, at their first entry.
    fn stranger(&self, entry: &Entry) -> Option<String> {
        let new = |by: &&str| !entry.helper && self.record().is_new(by);
        let measured = entry.paper.as_ref().map(|p| p.measured_by.as_str());
        [Some(entry.by.as_str()), measured].into_iter().flatten().filter(new).find_map(|by| self.record().unknown(by))
    }

    pub(super) fn find(&self, step: &str, check: &str) -> Result<(Step, Check), EntryError> {
        let found = self.record().step(step).ok_or_else(|| no_step(self.record(), step))?;
        let ids: Vec<&str> = found.checks.iter().map(|c| c.id.as_str()).collect();
        let asked = found.checks.iter().find(|c| c.id == check).ok_or_else(|| {
            let near = or_near(check, ids.iter().copied());
            refused(format!("{step} asks for no \"{check}\"; it asks for {}{near}", ids.join(", ")))
        })?;
        Ok((found.clone(), asked.clone()))
    }

    pub(super) fn refuse_closed(&self) -> Result<(), EntryError> {
        if self.record().is_closed() {
            return Err(refused(
                "the record is closed; it takes entries again only after \"runtrue reopen\" with a reason",
            ));
        }
        Ok(())
    }

    /// A reading in force is replaced only by a correction, or when it is open and answered by a new one.
    fn correction(&self, step: &Step, check: &Check, entry: &Entry) -> Result<Option<Corrects>, EntryError> {
        let current = self.record().to_answer(&step.id, check);
        match (&entry.correct, current) {
            (Some(reason), Some(kept)) => {
                if reason.trim().is_empty() {
                    return Err(refused("a correction needs its reason"));
                }
                Ok(Some(Corrects { event: kept.event, reason: reason.clone() }))
            }
            (Some(_), None) => Err(refused(format!("{} of {} has no reading to correct yet", check.id, step.id))),
            (None, Some(_)) if self.record().check_state(step, check) == CheckState::Answered => Err(refused(format!(
                "{} of {} has its reading; to put it right, enter it again as a correction with a reason (--correct --reason \"…\")",
                check.id, step.id
            ))),
            (None, _) => Ok(None),
        }
    }

    /// The folder that holds the register: two above the build's.
    pub(super) fn home(&self) -> std::path::PathBuf {
        self.folder().ancestors().nth(2).map_or_else(|| self.folder().to_owned(), std::path::Path::to_owned)
    }

    fn judged(&self, step: &Step, check: &Check, entry: &Entry, used: Option<&Used>) -> Result<Judged, EntryError> {
        if check.kind == CheckKind::Wait {
            return self.wait(step, check, entry);
        }
        let guard = used.map(|u| guard_in(u, check)).transpose()?.flatten();
        let rounds = self.record().rounds_gone(&step.id, &check.id).len();
        // A correction belongs to the round that it puts right.
        let rounds = rounds - usize::from(entry.correct.is_some() && rounds > 0);
        let taking = Taking { bare: entry.bare, guard, rounds };
        let mut judged = judge::judge(check, &entry.values, taking).map_err(|e| refused(e.to_string()))?;
        if used.is_some_and(|u| u.overdue) {
            judged.because.push_str(", instrument past its calibration date");
        }
        Ok(judged)
    }

    pub(super) fn reading_of(
        &self,
        step: &Step,
        check: &Check,
        entry: &Entry,
        corrects: Option<Corrects>,
        instrument: Option<Used>,
        judged: Judged,
    ) -> Reading {
        let anew = || self.record().typed_anew(step, check, &entry.anew, &judged.values);
        let typed = if entry.twice { Some("twice".to_owned()) } else { anew() };
        Reading {
            step: step.id.clone(),
            check: check.id.clone(),
            round: self.record().round(),
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
            witness: entry.witness.clone(),
            ended_early: entry.end_early.clone().filter(|_| check.kind == CheckKind::Wait),
            wanted: check.wanted.clone(),
            doubt: None,
            given_up: None,
            typed,
        }
    }
}

/// Uncertainty as stated ("0.005 mm") in the unit of the check; none where nothing is stated or the check has no unit.
///
/// # Errors
/// [`EntryError::Refused`] for an instrument that measures something else, or an uncertainty that cannot be.
pub(super) fn guard_in(used: &Used, check: &Check) -> Result<Option<Decimal>, EntryError> {
    let (Some(stated), Some(to)) = (&used.uncertainty, check.unit.as_deref().and_then(unit)) else {
        return Ok(None);
    };
    let width = width(stated, to).ok_or_else(|| {
        refused(format!(
            "instrument {} states its uncertainty as {stated}, {} is judged in {}; name the instrument it was measured with",
            used.id, check.id, to.symbol
        ))
    })?;
    if width < Decimal::ZERO {
        return Err(refused(format!(
            "the uncertainty of instrument {} is {stated}, it cannot be less than nothing; mend it in the register",
            used.id
        )));
    }
    Ok(Some(width))
}

/// Both doubts in one sentence.
fn with_stranger(doubt: Option<String>, stranger: Option<String>) -> Option<String> {
    match (doubt, stranger) {
        (Some(doubt), Some(stranger)) => Some(format!("{doubt}; {stranger}")),
        (doubt, stranger) => doubt.or(stranger),
    }
}

impl Record {
    /// True if the values are those of an open reading that somebody else made: repeated to be decided on.
    fn same_as_in_force(&self, step: &Step, check: &Check, judged: &Judged, by: &str) -> bool {
        self.reading(&step.id, &check.id).is_some_and(|k| {
            k.reading.verdict.open() && !k.made_by(by) && same_values(&k.reading.values, &judged.values)
        })
    }
}

/// Equal as decimals where they are decimals: 20.2 is 20.20.
fn same_values(a: &[String], b: &[String]) -> bool {
    let same = |(a, b): (&String, &String)| match (a.parse::<Decimal>(), b.parse::<Decimal>()) {
        (Ok(a), Ok(b)) => a == b,
        _ => a == b,
    };
    a.len() == b.len() && a.iter().zip(b).all(same)
}
