//! The same checks across builds of one module.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::statistics::{Performance, drift, performance};
use crate::procedure::plan::CheckKind;

use super::event::Verdict;
use super::kept::Kept;
use super::record::Record;

/// Builds set side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Module id.
    pub module: String,
    /// Build and serial, in the order of the serials.
    pub builds: Vec<(String, String)>,
    /// The adopted setup of each, in the same order.
    pub adopted: Vec<Option<String>>,
    /// Checks that have a reading in any of them, in the order of the steps; then the speed trials, setup by setup.
    pub checks: Vec<Compared>,
}

/// One check across the builds.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// What is asked.
    pub prompt: String,
    /// Unit.
    pub unit: Option<String>,
    /// Lower limit, where all builds have the same.
    pub lower: Option<Decimal>,
    /// Upper limit, where all builds have the same.
    pub upper: Option<Decimal>,
    /// Some builds were judged by other limits.
    pub limits_differ: bool,
    /// The latest reading of each build that has one that stands.
    pub values: Vec<BuildValue>,
    /// Serials of builds whose reading a later round of work disturbed: it has to be measured again.
    pub disturbed: Vec<String>,
    /// Mean of all single values.
    pub mean: Option<Decimal>,
    /// Largest less smallest of all single values.
    pub range: Option<Decimal>,
    /// Change of the mean from one serial to the next, by the least-squares line; from three builds on.
    pub drift: Option<f64>,
    /// Process performance; from thirty values on.
    pub performance: Option<Performance>,
}

/// The reading of one build that stands, over all its rounds of work.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildValue {
    /// Build.
    pub build: String,
    /// Its serial.
    pub serial: String,
    /// Round of work it was taken in: 0 for the first build.
    pub round: u32,
    /// As the record has it.
    pub value: String,
    /// The numbers in it; none for words.
    pub numbers: Vec<Decimal>,
    /// Verdict.
    pub verdict: Verdict,
    /// Accepted although outside or undecided.
    pub accepted: bool,
}

/// Why builds cannot be compared.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CannotCompare {
    /// Fewer than two.
    #[error("two builds at least are needed to compare, {0} given")]
    TooFew(usize),
    /// Different modules.
    #[error("builds of one module are compared; {0} is a {1}, {2} is a {3}")]
    Modules(String, String, String, String),
    /// One build named twice.
    #[error("{0} stands twice")]
    Twice(String),
}

/// Sets builds of one module side by side.
///
/// # Errors
/// [`CannotCompare`] for fewer than two builds, one build twice, or builds of different modules.
pub fn compare(records: &[Record]) -> Result<Comparison, CannotCompare> {
    let [first, rest @ ..] = records else {
        return Err(CannotCompare::TooFew(0));
    };
    if rest.is_empty() {
        return Err(CannotCompare::TooFew(1));
    }
    let module = |r: &Record| r.plan().module.clone();
    if let Some(other) = rest.iter().find(|r| module(r) != module(first)) {
        let name = |r: &Record| r.build.clone();
        return Err(CannotCompare::Modules(name(first), module(first), name(other), module(other)));
    }
    let mut sorted: Vec<&Record> = records.iter().collect();
    sorted.sort_by_key(|r| by_number(&r.started().serial));
    let hash = |r: &Record| r.events.first().map(|e| e.hash.clone());
    if let Some(pair) = sorted.windows(2).find(|p| p[0].build == p[1].build && hash(p[0]) == hash(p[1])) {
        return Err(CannotCompare::Twice(pair[0].build.clone()));
    }
    let builds = sorted.iter().map(|r| (r.build.clone(), r.started().serial.clone())).collect();
    let mut all = checks(&sorted);
    all.extend(super::compare_trials::trials(&sorted));
    let adopted = sorted.iter().map(|r| r.adopted().map(super::adopted::Adopted::said)).collect();
    Ok(Comparison { module: module(first), builds, adopted, checks: all })
}

/// Serials in the order that people count: 9 before 10, 017-A before 017-B.
fn by_number(serial: &str) -> Vec<(u8, u64, String)> {
    let mut parts: Vec<(u8, u64, String)> = Vec::new();
    let mut rest = serial;
    while let Some(first) = rest.chars().next() {
        let digits = first.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != digits).unwrap_or(rest.len());
        let (part, more) = rest.split_at(end);
        parts.push(if digits {
            (0, part.parse().unwrap_or(u64::MAX), part.into())
        } else {
            (1, 0, part.to_lowercase())
        });
        rest = more;
    }
    parts
}

/// The checks of all plans, each once, in the order of the first plan that asks for it.
fn checks(records: &[&Record]) -> Vec<Compared> {
    let mut seen = BTreeMap::new();
    let mut out = Vec::new();
    for record in records {
        let plans = std::iter::once(&record.started().plan).chain(record.changes().into_iter().map(|c| &c.plan));
        for step in plans.flat_map(|plan| &plan.steps) {
            for check in step.checks.iter().filter(|c| c.kind != CheckKind::Wait) {
                if seen.insert((step.id.clone(), check.id.clone()), ()).is_none() {
                    out.extend(compared(records, &step.id, &check.id, &check.prompt));
                }
            }
        }
    }
    out
}

fn compared(records: &[&Record], step: &str, check: &str, prompt: &str) -> Option<Compared> {
    let latest = records.iter().filter_map(|r| Some((*r, r.latest(step, check)?)));
    let (standing, gone): (Vec<_>, Vec<_>) = latest.partition(|(_, (_, stands))| *stands);
    let kept: Vec<(&Record, Kept<'_>)> = standing.into_iter().map(|(r, (k, _))| (r, k)).collect();
    let disturbed = gone.iter().map(|(r, _)| r.started().serial.clone()).collect();
    let (_, first) = kept.first()?;
    let limits = |k: &Kept<'_>| (k.reading.lower.clone(), k.reading.upper.clone(), k.reading.unit.clone());
    let limits_differ = kept.iter().any(|(_, k)| limits(k) != limits(first));
    let limit = |t: &Option<String>| t.as_deref().filter(|_| !limits_differ).and_then(|t| t.parse().ok());
    let of = Asked {
        step: step.to_owned(),
        check: check.to_owned(),
        prompt: prompt.to_owned(),
        unit: first.reading.unit.clone(),
        limits: (limit(&first.reading.lower), limit(&first.reading.upper)),
        limits_differ,
    };
    let values: Vec<BuildValue> = kept.iter().map(|(r, k)| value(r, k)).collect();
    Some(Compared { disturbed, ..set(of, values) })
}

/// What is compared, and its limits.
pub(super) struct Asked {
    pub(super) step: String,
    pub(super) check: String,
    pub(super) prompt: String,
    pub(super) unit: Option<String>,
    pub(super) limits: (Option<Decimal>, Option<Decimal>),
    pub(super) limits_differ: bool,
}

/// Values of the builds with what follows from all of them.
pub(super) fn set(of: Asked, values: Vec<BuildValue>) -> Compared {
    let numbers: Vec<Decimal> = values.iter().flat_map(|v| v.numbers.iter().copied()).collect();
    let (mean, range) = mean_and_range(&numbers);
    let (lower, upper) = of.limits;
    let plain: Vec<f64> = numbers.iter().filter_map(Decimal::to_f64).collect();
    let of_builds: Vec<f64> = values.iter().filter_map(|v| mean_and_range(&v.numbers).0?.to_f64()).collect();
    let f = |d: Option<Decimal>| d.and_then(|d| d.to_f64());
    Compared {
        step: of.step,
        check: of.check,
        prompt: of.prompt,
        unit: of.unit,
        lower,
        upper,
        limits_differ: of.limits_differ,
        values,
        disturbed: Vec::new(),
        mean,
        range,
        drift: drift(&of_builds),
        performance: performance(&plain, f(lower), f(upper)),
    }
}

fn value(record: &Record, kept: &Kept<'_>) -> BuildValue {
    BuildValue {
        build: record.build.clone(),
        serial: record.started().serial.clone(),
        round: kept.reading.round,
        value: kept.reading.values.join(" "),
        numbers: numbers(&kept.reading.values),
        verdict: kept.reading.verdict,
        accepted: kept.accepted(),
    }
}

/// The numbers of a reading: its values, or those of its bolts ("1=24.0"); none where any is no number.
fn numbers(values: &[String]) -> Vec<Decimal> {
    let bolt = |v: &String| v.split_once('=').map_or(v.as_str(), |(_, torque)| torque).parse::<Decimal>().ok();
    values.iter().map(bolt).collect::<Option<Vec<_>>>().unwrap_or_default()
}

/// Mean, with two digits more than the values have, and range.
fn mean_and_range(values: &[Decimal]) -> (Option<Decimal>, Option<Decimal>) {
    let digits = values.iter().map(Decimal::scale).max().unwrap_or(0);
    match super::judge::exact_summary(values).filter(|_| !values.is_empty()) {
        Some((mean, range, _)) => (Some(mean.round_dp(digits + 2).normalize()), Some(range)),
        None => (None, None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn serials_are_counted_as_people_count() {
        let mut serials = vec!["10", "9", "017-B", "017-A", "a-2", "a-10", "18446744073709551616"];
        serials.sort_by_key(|s| by_number(s));
        assert_eq!(serials, ["9", "10", "017-A", "017-B", "18446744073709551616", "a-2", "a-10"]);
    }

    #[test]
    fn numbers_are_taken_from_values_and_bolts_and_not_from_words() {
        let of = |v: &[&str]| numbers(&v.iter().map(|t| (*t).to_owned()).collect::<Vec<_>>());
        assert_eq!(of(&["25.010", "25.012"]).len(), 2);
        assert_eq!(of(&["1=24.0", "2=24.1"]), ["24.0".parse().unwrap(), "24.1".parse().unwrap()]);
        assert!(of(&["clicked=6/6"]).is_empty() && of(&["go=yes", "no-go=no"]).is_empty() && of(&["yes"]).is_empty());
    }
}
