//! A speed trial entered: refused without the guard, judged by the limits of the plan, and what follows from its values.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::{rotor, run_down};
use crate::procedure::plan::{Check, CheckKind, Running};
use crate::quantity::{Inertia, Speed, Time};

use super::enter::{Entry, EntryError, refused};
use super::event::{Body, Corrects, Paper, Verdict};
use super::judge::{self, Taking};
use super::people::{paper_fits, witness_fits};
use super::plausible;
use super::record::Record;
use super::session::Session;
use super::store::initials_fit;
use super::trial::{Computed, Taken, Trial};

/// From this share over the highest speed so far on a run is one at a new top speed: tachometer and hand, common practice.
const NEW_TOP: f64 = 1.05;

/// A run, as typed.
#[derive(Debug, Clone, Default)]
pub struct TrialEntry {
    /// Check and its values; what was not measured is left out.
    pub values: Vec<(String, Vec<String>)>,
    /// Initials.
    pub by: String,
    /// Ids of instruments.
    pub instruments: Vec<String>,
    /// Correction: number of the run put right, and why.
    pub correct: Option<(u32, String)>,
    /// The second person at the run.
    pub witness: Option<String>,
    /// From paper.
    pub paper: Option<Paper>,
    /// Bare numbers take the unit of the check.
    pub bare: bool,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrialOutcome {
    /// Event number.
    pub event: u64,
    /// The run as it was kept.
    pub trial: Trial,
}

impl Session {
    /// Keeps a run and what is computed from it.
    ///
    /// # Errors
    /// [`EntryError`]: the guard or the first run is not done, the record is closed, no speed, a value that cannot be, an
    /// instrument that may not be used. Nothing is recorded then.
    pub fn trial(&mut self, entry: &TrialEntry) -> Result<TrialOutcome, EntryError> {
        let trial = self.trial_drafted(entry)?;
        let event = self.append(&entry.by, Body::Trial(Box::new(trial.clone())))?;
        Ok(TrialOutcome { event, trial })
    }

    /// The run as it would be kept, with what is outside and what is hard to believe of it: to be looked at before it counts.
    ///
    /// # Errors
    /// As [`Session::trial`].
    pub fn trial_drafted(&self, entry: &TrialEntry) -> Result<Trial, EntryError> {
        initials_fit(&entry.by)?;
        self.refuse_closed()?;
        // What puts a run right is no run: it is entered whatever stands open.
        if let Some(why) = self.record().trial_barred().filter(|_| entry.correct.is_none()) {
            return Err(refused(why));
        }
        let mut typed = Entry {
            by: entry.by.clone(),
            witness: entry.witness.clone(),
            paper: entry.paper.clone(),
            ..Entry::default()
        };
        paper_fits(&typed)?;
        witness_fits(&typed)?;
        let mut instruments = Vec::new();
        for id in &entry.instruments {
            typed.instrument = Some(id.clone());
            instruments.extend(self.instrument(&typed)?);
        }
        let corrects = entry.correct.as_ref().map(|c| self.record().run_to_correct(c, entry)).transpose()?;
        let checks = self.record().trial_checks();
        let (values, doubts) = judged(&checks, entry)?;
        Ok(self.record().run_of(entry, values, instruments, corrects, doubts))
    }
}

impl Record {
    fn run_of(
        &self,
        entry: &TrialEntry,
        values: Vec<Taken>,
        instruments: Vec<super::event::Used>,
        corrects: Option<Corrects>,
        mut doubts: Vec<String>,
    ) -> Trial {
        let mut trial = Trial {
            number: u32::try_from(self.trials().len()).unwrap_or(u32::MAX).saturating_add(1),
            round: self.round(),
            setup: self.plan().setup.clone(),
            role: self.role(&entry.by),
            verdict: worst(&values),
            values,
            figures: Vec::new(),
            instruments,
            corrects,
            witness: entry.witness.clone(),
            paper: entry.paper.clone(),
            doubt: None,
        };
        trial.figures = figures(&trial, self.running());
        doubts.extend(self.alone_at_new_top(&trial));
        doubts.extend(self.running().and_then(|r| drag(&trial, r)).and_then(|(_, _, doubt)| doubt));
        trial.doubt = (!doubts.is_empty()).then(|| doubts.join("; "));
        trial
    }

    /// The event of a run of this round that is put right.
    fn run_to_correct(&self, (number, reason): &(u32, String), entry: &TrialEntry) -> Result<Corrects, EntryError> {
        if reason.trim().is_empty() {
            return Err(refused("a correction needs its reason"));
        }
        let standing = self.trials_standing();
        let found = standing.iter().find(|(t, _)| t.number == *number && t.round == self.round());
        let (run, event) =
            found.ok_or_else(|| refused(format!("there is no run {number} of this round that stands")))?;
        if run.too_fast() && run.made_by(event, &entry.by) {
            return Err(refused(format!(
                "{} entered run {number}, which was over its limit; somebody else puts it right, or the design side decides on it",
                entry.by
            )));
        }
        Ok(Corrects { event: event.header.event, reason: reason.clone() })
    }

    /// The first run at a new top speed is made by two: said where no second person is named. Who declared to build alone is one.
    fn alone_at_new_top(&self, trial: &Trial) -> Option<String> {
        let speed = trial.number_of("speed")?;
        // The wrong speed that is put right was never reached.
        let top = self.top_speed_but(trial.corrects.as_ref().map(|c| c.event));
        let new = top.is_none_or(|top| speed > top * NEW_TOP);
        let before = top.map_or_else(String::new, |top| format!(" (before: {top} rpm)"));
        (new && trial.witness.is_none() && self.alone().is_none())
            .then(|| format!("{speed} rpm is a new top speed of this round{before}, and no second person is named"))
    }
}

/// Values read and judged, and what is hard to believe of them.
pub(super) fn judged(checks: &[Check], entry: &TrialEntry) -> Result<(Vec<Taken>, Vec<String>), EntryError> {
    let known = || checks.iter().map(|c| c.id.as_str()).collect::<Vec<_>>().join(", ");
    let (mut out, mut doubts) = (Vec::new(), Vec::new());
    for (id, typed) in &entry.values {
        let check = checks.iter().find(|c| c.id == *id);
        let check = check.ok_or_else(|| refused(format!("a trial has no \"{id}\"; it has {}", known())))?;
        let taking = Taking { bare: entry.bare, ..Taking::default() };
        let judged = judge::judge(check, typed, taking).map_err(|e| refused(format!("{id}: {e}")))?;
        let doubt = typed.iter().filter_map(|t| plausible::doubt(check, t)).next();
        doubts.extend(doubt.map(|d| format!("{id}: {} can hardly be: {}", d.value, d.cause)));
        doubts.extend(negative(check, &judged.values));
        out.push(Taken {
            check: id.clone(),
            entered: typed.clone(),
            values: judged.values,
            unit: check.unit.clone(),
            lower: check.lower.clone(),
            upper: check.upper.clone(),
            verdict: judged.verdict,
            because: judged.because,
        });
    }
    if !out.iter().any(|v| v.check == "speed") {
        return Err(refused("a trial needs the speed of the rotor that was reached"));
    }
    Ok((out, doubts))
}

/// Below nothing there is only a temperature.
fn negative(check: &Check, values: &[String]) -> Option<String> {
    let below = |v: &String| v.parse::<Decimal>().is_ok_and(|d| d < Decimal::ZERO);
    let cold = check.unit.as_deref() == Some("°C") || check.kind == CheckKind::Text;
    values.iter().find(|v| !cold && below(v)).map(|v| format!("{}: {v} is less than nothing", check.id))
}

fn worst(values: &[Taken]) -> Verdict {
    let has = |v: Verdict| values.iter().any(|t| t.verdict == v);
    [Verdict::Outside, Verdict::Undecided, Verdict::Within].into_iter().find(|v| has(*v)).unwrap_or(Verdict::NotJudged)
}

/// What follows from the values of a run: energy and drag by the rotor's inertia, slip by the ratio, rise over the room, belt force
/// lost. What it would rest on and is not given is left out.
#[must_use]
pub fn figures(trial: &Trial, running: Option<&Running>) -> Vec<Computed> {
    let own = [
        running.and_then(|r| energy(trial, r)),
        running.and_then(|r| slip(trial, r)),
        running.and_then(|r| drag(trial, r)).and_then(|(nm, words, _)| computed("drag", nm, 3, "N·m", words)),
        rise(trial),
        lost(trial),
    ];
    own.into_iter().flatten().collect()
}

fn computed(name: &str, value: f64, places: u32, unit: &str, words: String) -> Option<Computed> {
    let value = Decimal::from_f64_retain(value)?.round_dp(places).to_string();
    Some(Computed { name: name.to_owned(), value, unit: unit.to_owned(), words })
}

fn energy(trial: &Trial, running: &Running) -> Option<Computed> {
    let inertia = Inertia::from_kgm2(running.inertia_kgm2.parse().ok()?);
    let speed = trial.number_of("speed").filter(|n| *n >= 0.0)?;
    let words = format!("J·ω²/2 with J = {} kg·m²", running.inertia_kgm2);
    computed("energy", rotor::energy(inertia, Speed::from_rpm(speed)).j(), 1, "J", words)
}

/// Share that the belt loses, by the middle of the ratios that makers' line differences allow; the ends stand in the words.
fn slip(trial: &Trial, running: &Running) -> Option<Computed> {
    let (low, high) = running.ratio.as_ref()?;
    let (low, high): (f64, f64) = (low.parse().ok()?, high.parse().ok()?);
    let (speed, driver) = (trial.number_of("speed")?, trial.number_of("driver").filter(|d| *d > 0.0)?);
    let lost = |ratio: f64| (1.0 - speed / (driver * ratio)) * 100.0;
    let words = format!(
        "1 − n/(driver × ratio), ratio {low:.4} to {high:.4} by makers' line differences: {:.1} to {:.1} %",
        lost(low),
        lost(high)
    );
    computed("slip", lost(f64::midpoint(low, high)), 1, "%", words)
}

/// Mean drag over the run-down from the speed reached (`run_down::drag`), N·m; held against the drag that was expected: words, and the
/// doubt where it is neither within nor too near to tell.
fn drag(trial: &Trial, running: &Running) -> Option<(f64, String, Option<String>)> {
    let inertia = Inertia::from_kgm2(running.inertia_kgm2.parse().ok()?);
    let (speed, time) = (trial.number_of("speed")?, trial.number_of("run-down")?);
    let found = run_down::drag(inertia, Speed::from_rpm(speed), Speed::from_rpm(0.0), Time::from_s(time)).ok()?.nm();
    let (low, high) = &running.drag_nm;
    let expected = (low.parse().ok()?, high.parse().ok()?);
    let (words, doubt) = super::computed::run_down_judged(speed, time, found, expected);
    Some((found, format!("J·ω/t with J = {} kg·m²; {words}", running.inertia_kgm2), doubt))
}

fn numbers(trial: &Trial, check: &str) -> Option<Vec<Decimal>> {
    trial.value(check)?.values.iter().map(|v| v.parse().ok()).collect()
}

fn rise(trial: &Trial) -> Option<Computed> {
    let warmer = numbers(trial, "bearing")?.into_iter().max()?;
    let room = numbers(trial, "room")?.into_iter().next()?;
    let value = warmer.checked_sub(room)?.to_string();
    let words = format!("warmer bearing {warmer} less room {room}");
    Some(Computed { name: "rise".into(), value, unit: "°C".into(), words })
}

fn lost(trial: &Trial) -> Option<Computed> {
    let before = numbers(trial, "before")?.into_iter().next().filter(|b| *b > Decimal::ZERO)?;
    let after = numbers(trial, "after")?.into_iter().next()?;
    let share = before.checked_sub(after)?.checked_div(before)?.to_f64()?;
    computed("tension-lost", share * 100.0, 1, "%", format!("({before} − {after}) / {before} N"))
}
