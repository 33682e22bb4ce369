//! Waiting times: started, judged by the clock, ended early only by a role that may release.

use chrono::{DateTime, Duration, FixedOffset, SecondsFormat};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::{Check, Step};

use super::enter::{Entry, EntryError, refused};
use super::event::Verdict;
use super::judge::Judged;
use super::record::Record;
use super::session::{Session, time};
use super::state::{CheckState, StepState};

/// Waits that run: step id and when they end.
#[must_use]
pub fn running_waits(record: &Record) -> Vec<(String, String)> {
    let waits = record.plan().steps.iter().flat_map(|s| s.checks.iter().map(move |c| (s, c)));
    waits
        .filter(|(s, c)| record.check_state(s, c) == CheckState::Running)
        .filter_map(|(s, c)| Some((s.id.clone(), wait_ends(record, s, c)?.to_rfc3339_opts(SecondsFormat::Secs, false))))
        .collect()
}

/// When a running wait is over.
#[must_use]
pub fn wait_ends(record: &Record, step: &Step, check: &Check) -> Option<chrono::DateTime<chrono::FixedOffset>> {
    let started = time(record.reading(&step.id, &check.id)?.at)?;
    let hours: Decimal = check.lower.as_deref()?.parse().ok()?;
    let seconds = hours.checked_mul(Decimal::from(3600))?.ceil().to_i64()?;
    started.checked_add_signed(Duration::try_seconds(seconds)?)
}

impl Session {
    pub(super) fn wait(&self, step: &Step, check: &Check, entry: &Entry) -> Result<Judged, EntryError> {
        let running = self.record().check_state(step, check) == CheckState::Running;
        let answer = |value: &str, verdict, because: String| Judged { values: vec![value.into()], verdict, because };
        match entry.values.as_slice() {
            [word] if word == "started" && !running => {
                Ok(answer("started", Verdict::NotJudged, "the clock runs".into()))
            }
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
        let ends =
            wait_ends(self.record(), step, check).ok_or_else(|| refused("the start of this wait cannot be read"))?;
        let left = ends.signed_duration_since(self.now());
        if left <= Duration::zero() {
            return Ok(answer("done", Verdict::Within, "the time is over".into()));
        }
        let Some(early) = &entry.end_early else {
            return Err(refused(self.not_over(step, check, ends, left)));
        };
        if early.reason.trim().is_empty() {
            return Err(refused("ending a wait early needs its reason"));
        }
        if !self.record().decides(&early.role) {
            return Err(refused(format!(
                "the role \"{}\" releases nothing in this module, so it does not end a wait early either",
                early.role
            )));
        }
        if !self.record().has_role(&entry.by, &early.role) {
            return Err(refused(format!(
                "\"{}\" does not stand under the role \"{}\" of this module",
                entry.by, early.role
            )));
        }
        Ok(answer(
            "done",
            Verdict::NotJudged,
            format!("ended early by {} ({}): {}", entry.by, early.role, early.reason),
        ))
    }

    fn not_over(&self, step: &Step, check: &Check, ends: DateTime<FixedOffset>, left: Duration) -> String {
        let started = self.record().reading(&step.id, &check.id).and_then(|k| time(k.at));
        if let Some(started) = started.filter(|s| self.now() < *s) {
            return format!(
                "the clock stands at {}, before the wait was started at {}; set the clock right, then enter it again",
                self.now().format("%Y-%m-%d %H:%M"),
                started.format("%Y-%m-%d %H:%M")
            );
        }
        format!(
            "{} h {} min are left, until {}; a role that may release can end it early with a reason",
            left.num_hours(),
            left.num_minutes() % 60,
            ends.format("%Y-%m-%d %H:%M")
        )
    }
}

/// What is done first of the steps that are missing before one: a release, another part, or the steps themselves.
pub(super) fn held_words(record: &Record, missing: &[String]) -> String {
    let held: Vec<&str> =
        missing.iter().map(String::as_str).filter(|id| record.step_state(id) == StepState::Held).collect();
    let waits = |id: &&str| record.step(id).is_some_and(|s| record.waits_for_release(s));
    let (released, out): (Vec<&str>, Vec<&str>) = held.into_iter().partition(waits);
    match (released.as_slice(), out.as_slice()) {
        ([], []) => "do that first".into(),
        (_, []) => format!("{} is held until it is released", released.join(", ")),
        _ => format!("a part of {} was given up and is replaced first", out.join(", ")),
    }
}
