//! Values computed from readings: scale, offset, rounding, verdict. Written right after the reading they rest on.

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, Derive, Step, Take};

use super::enter::{Entry, EntryError};
use super::event::Body;
use super::judge::{self, Judged, Taking};
use super::kept::Kept;
use super::record::Record;
use super::session::Session;
use super::state::BuildState;

impl Session {
    /// Computes every derived value that rests on the check just read, and says in words what came of it.
    pub(super) fn derive_from(&mut self, step: &str, check: &str, by: &str) -> Result<String, EntryError> {
        let of = format!("{step}/{check}");
        let mut said = String::new();
        for (target, derived) in self.record().derived_checks() {
            if derived.derive.as_ref().is_none_or(|d| d.rests_on().all(|on| on != of)) {
                continue;
            }
            // One that rests on several is computed with the last of them.
            let found = self.record().resting_on(&derived).and_then(|kept| computed(&derived, &kept));
            if let Some((value, judged)) = found {
                said.push_str(&format!("; {} of {} is {value}, {}", derived.id, target.id, judged.verdict.word()));
                self.write_derived(&target, &derived, value, judged, by)?;
            }
        }
        Ok(said)
    }

    fn write_derived(
        &mut self,
        target: &Step,
        derived: &Check,
        value: String,
        judged: Judged,
        by: &str,
    ) -> Result<(), EntryError> {
        let entry = Entry {
            step: target.id.clone(),
            check: derived.id.clone(),
            values: vec![value],
            by: by.to_owned(),
            ..Entry::default()
        };
        let mut event = self.reading_of(target, derived, &entry, None, None, judged);
        event.derived = true;
        self.append(by, Body::Reading(Box::new(event)))?;
        Ok(())
    }

    /// Computes what a program that stopped between a reading and the value resting on it left out.
    pub(super) fn compute_missing(&mut self) -> Result<(), EntryError> {
        if self.record().build_state() == BuildState::Complete {
            return Ok(());
        }
        for (target, derived) in self.record().derived_checks() {
            let Some(kept) = self.record().resting_on(&derived) else {
                continue;
            };
            let known = self.record().reading(&target.id, &derived.id).map_or(0, |k| k.event);
            let Some(last) = kept.iter().max_by_key(|k| k.event) else { continue };
            let by = last.by.to_owned();
            if known < last.event
                && let Some((value, judged)) = computed(&derived, &kept)
            {
                self.write_derived(&target, &derived, value, judged, &by)?;
            }
        }
        Ok(())
    }
}

impl Record {
    fn derived_checks(&self) -> Vec<(Step, Check)> {
        let all = self.plan().steps.iter().flat_map(|s| s.checks.iter().map(move |c| (s, c)));
        all.filter(|(_, c)| c.derive.is_some()).map(|(s, c)| (s.clone(), c.clone())).collect()
    }

    /// The readings in force that a derived value rests on, in the order of [`Derive::rests_on`]; none until all are there.
    fn resting_on(&self, check: &Check) -> Option<Vec<Kept<'_>>> {
        check.derive.as_ref()?.rests_on().map(|on| on.split_once('/').and_then(|(s, c)| self.reading(s, c))).collect()
    }

    /// True if the person measured or typed the reading in force, or the one that a derived value rests on.
    pub(super) fn made_by(&self, step: &str, check: &Check, initials: &str) -> bool {
        match &check.derive {
            Some(_) => self.resting_on(check).is_some_and(|all| all.iter().any(|k| k.made_by(initials))),
            None => self.to_answer(step, check).is_some_and(|k| k.made_by(initials)),
        }
    }
}

/// A derived value from the readings it rests on, in the order of [`Derive::rests_on`]: formula, rounding, verdict.
pub(super) fn computed(check: &Check, kept: &[Kept<'_>]) -> Option<(String, Judged)> {
    let derive = check.derive.as_ref()?;
    let values = |k: &Kept<'_>| k.reading.values.iter().map(|v| v.parse().ok()).collect::<Option<Vec<Decimal>>>();
    let mut rest = kept.iter().map(values);
    let of = rest.next()??;
    let others = rest.collect::<Option<Vec<_>>>()?;
    let value = apply(derive, &of, &others)?;
    let typed = match &check.unit {
        Some(symbol) => format!("{value} {symbol}"),
        None => value.to_string(),
    };
    let mut judged = judge::judge(check, std::slice::from_ref(&typed), Taking::default()).ok()?;
    judged.because = format!("{} = {value}: {}", derive.words, judged.because);
    Some((typed, judged))
}

fn apply(derive: &Derive, values: &[Decimal], others: &[Vec<Decimal>]) -> Option<Decimal> {
    let (mean, range, largest) = judge::exact_summary(values)?;
    let mut taken = match derive.take {
        Take::Smallest => values.iter().min().copied()?,
        Take::Largest => largest,
        Take::Mean => mean,
        Take::Range => range,
    };
    let mut others = others.iter().map(|values| values.iter().max().copied());
    if derive.minus.is_some() {
        taken = taken.checked_sub(others.next()??)?;
    }
    let scale: Decimal = derive.scale.parse().ok()?;
    let offset: Decimal = derive.offset.parse().ok()?;
    let mut value = taken.checked_mul(scale)?;
    if derive.over.is_some() {
        value = value.checked_div(others.next()??)?;
    }
    Some(value.checked_add(offset)?.round_dp(derive.decimals))
}
