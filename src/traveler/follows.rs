//! What would follow from a value before it counts: a computation that rests on it may find it hard to believe.

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, Computation};

use super::computed;
use super::judge;
use super::record::Record;

/// Why a value is hard to believe beside what was expected of it; none where nothing is, or where something it is held against is missing.
/// Only its own step is looked at: weights that are entered anew are answered by the next run, not by the last one.
#[must_use]
pub fn by_what_follows(record: &Record, step: &str, check: &Check, typed: &[String]) -> Option<String> {
    if typed.len() != check.count.unwrap_or(1) as usize {
        return None;
    }
    let own = format!("{step}/{}", check.id);
    let comparing = record.step(step)?.checks.iter().filter_map(|c| c.derive.as_ref()?.by.as_ref());
    let mut comparing = comparing.filter(|by| computed::compares(by) && by.inputs.contains(&own)).peekable();
    comparing.peek()?;
    let values: Vec<Decimal> = typed.iter().map(|t| judge::value(check, t, true).ok()).collect::<Option<_>>()?;
    comparing.find_map(|by| computed::of(by, &record.read_with(by, &own, &values)?).ok()?.doubt)
}

impl Record {
    /// The readings of a computation, one of them not kept yet.
    fn read_with(&self, by: &Computation, own: &str, values: &[Decimal]) -> Option<Vec<Vec<Decimal>>> {
        let one = |of: &String| {
            if of == own {
                return Some(values.to_vec());
            }
            let (step, check) = of.split_once('/')?;
            self.reading(step, check)?.reading.values.iter().map(|v| v.parse().ok()).collect()
        };
        by.inputs.iter().map(one).collect()
    }
}
