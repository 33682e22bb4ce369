//! Values computed from readings: scale, offset, rounding, verdict. Written right after the reading they rest on.

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, Derive, Step, Take};

use super::computed as computation;
use super::enter::{Entry, EntryError};
use super::event::{Body, Verdict};
use super::judge::{self, Judged, Taking};
use super::kept::Kept;
use super::record::Record;
use super::session::Session;

impl Session {
    /// Computes every derived value that rests on the check just read, and says in words what came of it.
    pub(super) fn derive_from(&mut self, step: &str, check: &str, by: &str) -> Result<String, EntryError> {
        // What is computed may be rested on in turn; a plan names it only after what it rests on.
        let mut new = vec![format!("{step}/{check}")];
        let mut said = String::new();
        for (target, derived) in self.record().derived_checks() {
            let Some(derive) = derived.derive.as_ref() else { continue };
            if !derive.rests_on().iter().any(|of| new.iter().any(|n| n == of)) {
                continue;
            }
            let found = self.record().resting_on(derive).and_then(|kept| computed(&derived, &kept));
            if let Some((values, judged)) = found {
                said.push_str(&told((target.id != step).then_some(&target), &derived, &values, &judged));
                self.write_derived(&target, &derived, values, judged, by)?;
                new.push(format!("{}/{}", target.id, derived.id));
            }
        }
        Ok(said)
    }

    fn write_derived(
        &mut self,
        target: &Step,
        derived: &Check,
        values: Vec<String>,
        mut judged: Judged,
        by: &str,
    ) -> Result<(), EntryError> {
        if let Some(moved) = self.record().moved(&target.id, derived, &judged.values) {
            judged.because.push_str(&format!("; {moved}"));
        }
        let entry =
            Entry { step: target.id.clone(), check: derived.id.clone(), values, by: by.to_owned(), ..Entry::default() };
        let mut event = self.reading_of(target, derived, &entry, None, None, judged);
        event.derived = true;
        self.append(by, Body::Reading(Box::new(event)))?;
        Ok(())
    }

    /// Computes what a program that stopped between a reading and the value resting on it left out.
    pub(super) fn compute_missing(&mut self) -> Result<(), EntryError> {
        if self.record().is_closed() {
            return Ok(());
        }
        for (target, derived) in self.record().derived_checks() {
            let resting = derived.derive.as_ref().and_then(|derive| self.record().resting_on(derive));
            let Some(kept) = resting else { continue };
            let known = self.record().reading(&target.id, &derived.id).map_or(0, |k| k.event);
            let Some((newest, by)) = kept.iter().map(|k| (k.event, k.by.to_owned())).max() else { continue };
            if known < newest
                && let Some((values, judged)) = computed(&derived, &kept)
            {
                self.write_derived(&target, &derived, values, judged, &by)?;
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

    /// The readings in force that a derived value rests on; none while one is missing.
    fn resting_on(&self, derive: &Derive) -> Option<Vec<Kept<'_>>> {
        let reading = |of: &str| of.split_once('/').and_then(|(step, check)| self.reading(step, check));
        derive.rests_on().into_iter().map(reading).collect()
    }

    /// True if the person measured or typed the reading in force, or the one that a derived value rests on.
    pub(super) fn made_by(&self, step: &str, check: &Check, initials: &str) -> bool {
        match &check.derive {
            Some(derive) => self.resting_on(derive).is_some_and(|all| all.iter().any(|k| k.made_by(initials))),
            None => self.to_answer(step, check).is_some_and(|k| k.made_by(initials)),
        }
    }
}

/// What came of it; the step is named where it is another one than that of the entry.
fn told(other: Option<&Step>, derived: &Check, values: &[String], judged: &Judged) -> String {
    let (id, verdict) = (&derived.id, judged.verdict.word());
    let step = other.map_or_else(String::new, |s| format!(" of {}", s.id));
    if values.is_empty() {
        return format!("; {id}{step} cannot be told: {}", judged.because);
    }
    format!("; {id}{step} is {}, {verdict}", values.join(", "))
}

/// A derived value as it would be typed, and its verdict: from one reading by scale, offset and rounding, or from several by
/// a computation. None where a reading is no number; no value and a verdict where the computation says why there is none.
pub(super) fn computed(check: &Check, kept: &[Kept<'_>]) -> Option<(Vec<String>, Judged)> {
    let derive = check.derive.as_ref()?;
    let numbers = |k: &Kept<'_>| k.reading.values.iter().map(|v| v.parse().ok()).collect::<Option<Vec<Decimal>>>();
    let readings: Vec<Vec<Decimal>> = kept.iter().map(numbers).collect::<Option<_>>()?;
    let typed = |value: Decimal| match &check.unit {
        Some(symbol) => format!("{value} {symbol}"),
        None => value.to_string(),
    };
    let Some(by) = &derive.by else {
        let value = apply(derive, readings.first()?)?;
        let typed = vec![typed(value)];
        let mut judged = judge::judge(check, &typed, Taking::default()).ok()?;
        judged.because = format!("{} = {value}: {}", derive.words, judged.because);
        return Some((typed, judged));
    };
    match computation::of(by, &readings) {
        // A comparison that tells nothing leaves nothing to decide.
        Err(why) => {
            let verdict = if computation::compares(by) { Verdict::NotJudged } else { Verdict::Undecided };
            Some((Vec::new(), Judged { values: Vec::new(), verdict, because: why }))
        }
        Ok(found) => {
            let values = found.rounded(derive.decimals)?;
            let typed: Vec<String> = values.into_iter().map(typed).collect();
            let mut judged = judge::judge(check, &typed, Taking::default()).ok()?;
            judged.because = format!("{}: {}", found.words, judged.because);
            if let Some((verdict, why)) = found.verdict {
                (judged.verdict, judged.because) = (verdict, format!("{}: {why}", found.words));
            }
            Some((typed, judged))
        }
    }
}

fn apply(derive: &Derive, values: &[Decimal]) -> Option<Decimal> {
    let (mean, range, largest) = judge::exact_summary(values)?;
    let taken = match derive.take {
        Take::Smallest => values.iter().min().copied()?,
        Take::Largest => largest,
        Take::Mean => mean,
        Take::Range => range,
    };
    let scale: Decimal = derive.scale.parse().ok()?;
    let offset: Decimal = derive.offset.parse().ok()?;
    Some(taken.checked_mul(scale)?.checked_add(offset)?.round_dp(derive.decimals))
}
