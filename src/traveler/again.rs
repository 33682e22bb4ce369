//! Readings of a record judged once more, for `verify --recompute`. Only differences are told; no verdict is changed.

use crate::procedure::plan::{Check, CheckKind};

use super::derived::computed;
use super::enter::guard_in;
use super::event::{Body, Reading};
use super::judge::{self, Taking};
use super::kept::Kept;
use super::record::Record;
use super::trial::{Computed, Taken};
use super::trialling;

/// A reading that comes out differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Differs {
    /// Event of the reading.
    pub event: u64,
    /// Round of work.
    pub round: u32,
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// What differs: `value` or `verdict`.
    pub field: &'static str,
    /// As the record has it.
    pub recorded: String,
    /// As it comes out now.
    pub now: String,
}

impl Record {
    /// Reads what was typed once more and judges it by the limits that stand with it: by the same rules, the same verdict.
    /// Waits are left out, they were judged by the clock.
    #[must_use]
    pub fn judged_again(&self) -> Vec<Differs> {
        let rounds = (0..=self.round()).filter_map(|round| Some((round, self.at_end_of(round)?)));
        rounds.flat_map(|(round, then)| then.round_again(round)).chain(self.trials_again()).collect()
    }

    /// The runs, by the limits that stand with them and the figures of their round.
    fn trials_again(&self) -> Vec<Differs> {
        let mut out = Vec::new();
        for (trial, event) in self.trials() {
            let id = format!("trial-{}", trial.number);
            let differs = |check: &str, field, recorded: String, now: String| Differs {
                event: event.header.event,
                round: trial.round,
                step: id.clone(),
                check: check.to_owned(),
                field,
                recorded,
                now,
            };
            let then = self.at_end_of(trial.round);
            let checks = then.as_ref().map_or_else(Vec::new, Self::trial_checks);
            for taken in &trial.values {
                let judged = taken_again(&checks, taken).unwrap_or_else(|why| (why, String::new()));
                let pairs = [
                    ("value", taken.values.join(" "), judged.0),
                    ("verdict", taken.verdict.word().to_owned(), judged.1),
                ];
                let other = pairs.into_iter().filter(|(_, recorded, now)| recorded != now);
                out.extend(other.map(|(field, recorded, now)| differs(&taken.check, field, recorded, now)));
            }
            let now = trialling::figures(trial, then.as_ref().and_then(Self::running));
            let told = |list: &[Computed]| {
                list.iter().map(|f| format!("{} {}", f.name, f.value)).collect::<Vec<_>>().join(", ")
            };
            if told(&trial.figures) != told(&now) {
                out.push(differs("figures", "value", told(&trial.figures), told(&now)));
            }
        }
        out
    }

    /// The readings of the last round, by the plan of that round.
    fn round_again(&self, round: u32) -> Vec<Differs> {
        let mut out = Vec::new();
        for (at, event) in self.events.iter().enumerate() {
            if let Body::Reading(reading) = &event.body
                && reading.round == round
            {
                let found = self.again(at, reading);
                let differs = found.into_iter().map(|(field, recorded, now)| Differs {
                    event: event.header.event,
                    round,
                    step: reading.step.clone(),
                    check: reading.check.clone(),
                    field,
                    recorded,
                    now,
                });
                out.extend(differs);
            }
        }
        out
    }

    fn again(&self, at: usize, reading: &Reading) -> Vec<(&'static str, String, String)> {
        let Some(check) = self.step(&reading.step).and_then(|s| s.checks.iter().find(|c| c.id == reading.check)) else {
            return vec![("value", reading.values.join(" "), "the plan asks for no such value".into())];
        };
        if check.kind == CheckKind::Wait {
            return Vec::new();
        }
        let judged =
            if reading.derived { self.derived_again(at, check) } else { self.entered_again(at, check, reading) };
        match judged {
            Err(why) => vec![("value", reading.values.join(" "), why)],
            Ok(judged) => {
                let pairs = [
                    ("value", reading.values.join(" "), judged.values.join(" ")),
                    ("verdict", reading.verdict.word().to_owned(), judged.verdict.word().to_owned()),
                ];
                pairs.into_iter().filter(|(_, recorded, now)| recorded != now).collect()
            }
        }
    }

    fn entered_again(&self, at: usize, check: &Check, reading: &Reading) -> Result<judge::Judged, String> {
        let check = Check {
            lower: reading.lower.clone(),
            upper: reading.upper.clone(),
            unit: reading.unit.clone(),
            wanted: reading.wanted.clone(),
            ..check.clone()
        };
        let guard = reading.instrument.as_ref().map(|u| guard_in(u, &check)).transpose().map_err(|e| e.to_string())?;
        let taking = Taking { bare: true, guard: guard.flatten(), rounds: self.rounds_before(at, reading) };
        judge::judge(&check, &reading.entered, taking).map_err(|e| e.to_string())
    }

    fn rounds_before(&self, at: usize, reading: &Reading) -> usize {
        let rounds = self.readings(&reading.step, &reading.check);
        let number = |k: &super::kept::Kept<'_>| k.event < self.events[at].header.event && k.reading.corrects.is_none();
        let key = (reading.step.clone(), reading.check.clone());
        let list = self.index.readings.get(&key).map_or(&[][..], Vec::as_slice);
        // What was the former part's when this one was entered did not count.
        let former = self.index.former(&reading.step, &reading.check, list, at);
        let rounds = rounds.iter().skip(former).filter(|k| number(k)).count();
        // A correction belongs to the round that it puts right.
        rounds - usize::from(reading.corrects.is_some() && rounds > 0)
    }

    /// From the readings that were in force then.
    fn derived_again(&self, at: usize, check: &Check) -> Result<judge::Judged, String> {
        let derive = check.derive.as_ref().ok_or("it is not a computed value any more")?;
        let event = self.events[at].header.event;
        let then = |named: &str| {
            let (step, of) = named.split_once('/')?;
            let own = self.readings(step, of).into_iter().rfind(|k| k.event < event);
            // A step that this round does not repeat has its reading in an earlier one.
            own.or_else(|| self.reading(step, of).filter(|k| k.event < event))
        };
        let kept: Option<Vec<Kept<'_>>> = derive.rests_on().into_iter().map(then).collect();
        let kept = kept.ok_or("what it rests on has no reading")?;
        computed(check, &kept).map(|(_, judged)| judged).ok_or_else(|| "it cannot be computed".into())
    }
}

/// Value and verdict of what was typed in a run, by the limits that stand with it.
fn taken_again(checks: &[Check], taken: &Taken) -> Result<(String, String), String> {
    let check = checks.iter().find(|c| c.id == taken.check).ok_or("a trial asks for no such value")?;
    let (lower, upper, unit) = (taken.lower.clone(), taken.upper.clone(), taken.unit.clone());
    let check = Check { lower, upper, unit, ..check.clone() };
    let taking = Taking { bare: true, ..Taking::default() };
    let judged = judge::judge(&check, &taken.entered, taking).map_err(|e| e.to_string())?;
    Ok((judged.values.join(" "), judged.verdict.word().to_owned()))
}
