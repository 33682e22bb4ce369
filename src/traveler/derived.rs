//! Values computed from readings: scale, offset, rounding, verdict. Written right after the reading they rest on.

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, Derive, Step, Take};

use super::enter::{Entry, EntryError};
use super::event::Body;
use super::judge::{self, Judged, Taking};
use super::record::Kept;
use super::session::Session;

impl Session {
    /// Computes every derived value that rests on the check just read.
    pub(super) fn derive_from(&mut self, step: &str, check: &str, by: &str) -> Result<(), EntryError> {
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
            let reading = self.record().reading(step, check).and_then(|kept| computed(&derived, &kept));
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
}

/// A derived value from a reading: scale, offset, rounding, verdict.
fn computed(check: &Check, kept: &Kept<'_>) -> Option<(String, Judged)> {
    let derive = check.derive.as_ref()?;
    let values: Vec<Decimal> = kept.reading.values.iter().map(|v| v.parse().ok()).collect::<Option<_>>()?;
    let value = apply(derive, &values)?;
    let typed = match &check.unit {
        Some(symbol) => format!("{value} {symbol}"),
        None => value.to_string(),
    };
    let mut judged = judge::judge(check, std::slice::from_ref(&typed), Taking::default()).ok()?;
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
    Some(taken.checked_mul(scale)?.checked_add(offset)?.round_dp(derive.decimals))
}
