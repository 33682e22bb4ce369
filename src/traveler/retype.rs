//! Of a series or a pass of which single values are outside, the others stand: only those are typed anew. The new reading
//! holds all values and says which of them are new; the one before it stays in the record.

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, CheckKind, SeriesRule, Step};

use super::enter::guard_in;
use super::event::{Reading, Verdict};
use super::judge;
use super::record::Record;

/// What stands of a reading that is open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// Entry of the reading.
    pub event: u64,
    /// Value by value, as typed: of a series in its order, of a pass by the number of the bolt. None where it is typed anew.
    pub values: Vec<Option<String>>,
}

impl Standing {
    /// Numbers, from 1, of the values that are typed anew.
    #[must_use]
    pub fn anew(&self) -> Vec<u32> {
        let missing = (1..).zip(&self.values).filter(|(_, v)| v.is_none());
        missing.map(|(number, _)| number).collect()
    }
}

impl Record {
    /// What stands of the open reading of a check, for who goes on with it and with what. None where all of it is typed anew:
    /// every value is outside, or none can be named; it was decided on, so that the part may have been worked on since; the
    /// values are of another person or instrument, who would sign for them; critical values, which are compared as a whole;
    /// what stays open whatever is read later.
    #[must_use]
    pub fn standing(&self, step: &Step, check: &Check, by: &str, instrument: Option<&str>) -> Option<Standing> {
        if check.critical || check.stays || self.stopped_until_replaced(&step.id, &check.id).is_some() {
            return None;
        }
        let kept = self.reading(&step.id, &check.id)?;
        let used = kept.reading.instrument.as_ref();
        let same = kept.by == by && kept.reading.paper.is_none() && used.map(|u| u.id.as_str()) == instrument;
        if !same || !kept.reading.verdict.open() || kept.disposition.is_some() {
            return None;
        }
        let typed = typed(check, kept.reading)?;
        let guard = used.and_then(|u| guard_in(u, check).ok().flatten());
        let within = |value: &Decimal| {
            let taking = judge::Taking { bare: true, guard, rounds: 0 };
            judge::against(check, *value, taking).0 == Verdict::Within
        };
        let stands = |text: String| judge::value(check, &text, true).ok().filter(within).map(|_| text);
        let values: Vec<Option<String>> = typed.into_iter().map(stands).collect();
        let standing = Standing { event: kept.event, values };
        let anew = standing.anew().len();
        (anew > 0 && anew < standing.values.len()).then_some(standing)
    }

    /// How a reading of which only some values were typed anew was typed; none where the others are not those that stood.
    pub(super) fn typed_anew(&self, step: &Step, check: &Check, anew: &[u32], values: &[String]) -> Option<String> {
        let kept = self.reading(&step.id, &check.id).filter(|_| !anew.is_empty())?;
        let before = &kept.reading.values;
        let other = |k: usize| u32::try_from(k + 1).is_ok_and(|n| !anew.contains(&n));
        let same =
            before.len() == values.len() && (0..values.len()).filter(|k| other(*k)).all(|k| before[k] == values[k]);
        let name = |n: &u32| {
            let place = check.place((*n as usize).saturating_sub(1)).map(str::to_owned);
            let word = if check.kind == CheckKind::Torque { "bolt" } else { "value" };
            place.unwrap_or_else(|| format!("{word} {n}"))
        };
        let list = anew.iter().map(name).collect::<Vec<_>>().join(", ");
        same.then(|| format!("anew: {list}; the others stand as in entry {}", kept.event))
    }
}

/// The values of a reading one by one, as typed; none where they are no single values that are judged each.
fn typed(check: &Check, reading: &Reading) -> Option<Vec<String>> {
    let count = check.count? as usize;
    let list: Vec<String> = match check.kind {
        CheckKind::Series if matches!(check.rule, Some(SeriesRule::Each | SeriesRule::Largest)) => {
            check.unit.as_ref().map(|_| reading.entered.clone())?
        }
        CheckKind::Torque if !judge::is_round(check) => {
            let torque =
                |v: &String| v.split_once('=').filter(|(bolt, _)| *bolt != "clicked").map(|(_, t)| t.to_owned());
            reading.values.iter().map(torque).collect::<Option<_>>()?
        }
        _ => return None,
    };
    (list.len() == count && count > 1).then_some(list)
}
