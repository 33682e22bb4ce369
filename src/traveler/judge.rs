//! From what was typed to a value and its verdict.

use rust_decimal::Decimal;

use crate::mechanics::uncertainty;
use crate::procedure::plan::{Acceptance, Check, CheckKind, SeriesRule};
use crate::quantity::{Amount, Unit, parse_decimal, unit};

use super::event::Verdict;
use super::wanted;

/// A value read and judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Values as judged.
    pub values: Vec<String>,
    /// Verdict.
    pub verdict: Verdict,
    /// Why, in words.
    pub because: String,
}

/// What is said of a verdict from a drawing's limits where no uncertainty is stated.
pub const NOT_CONSIDERED: &str = "uncertainty not considered";

/// How the typed text is taken.
#[derive(Debug, Clone, Copy, Default)]
pub struct Taking {
    /// A bare number takes the unit of the check, as at the bench; else the unit must be written.
    pub bare: bool,
    /// Expanded uncertainty in the unit of the check.
    pub guard: Option<Decimal>,
    /// Rounds of this check already recorded.
    pub rounds: usize,
}

/// Text that is no value of this check.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NoValue(pub String);

impl From<crate::quantity::QuantityError> for NoValue {
    fn from(e: crate::quantity::QuantityError) -> Self {
        Self(e.to_string())
    }
}

/// Reads and judges what was typed for a check. Waiting and derived checks are handled by their callers.
///
/// # Errors
/// [`NoValue`] where the text is not a value of this kind of check; says how it is written.
pub fn judge(check: &Check, typed: &[String], taking: Taking) -> Result<Judged, NoValue> {
    match check.kind {
        // What is computed for several places is judged value by value.
        CheckKind::Derived if !check.places.is_empty() => series(check, typed, taking),
        CheckKind::Measure | CheckKind::Derived => measure(check, typed, taking),
        CheckKind::Series => series(check, typed, taking),
        CheckKind::Gauge => gauge(typed),
        CheckKind::Torque => torque(check, typed, taking),
        CheckKind::Confirm if check.wanted.is_some() => words_or_yes(check, typed),
        CheckKind::Confirm => confirm(typed),
        CheckKind::Count => count(check, typed),
        CheckKind::Text => text(check, typed),
        CheckKind::Wait => Err(NoValue("a wait takes \"started\" or \"done\"".into())),
    }
}

/// One value in the unit of the check, exact.
///
/// # Errors
/// [`NoValue`].
pub fn value(check: &Check, typed: &str, bare: bool) -> Result<Decimal, NoValue> {
    let Some(to) = check.unit.as_deref().and_then(unit) else {
        return Ok(parse_decimal(typed)?);
    };
    Ok(amount(typed, to, bare)?.in_unit(to)?)
}

fn amount(typed: &str, to: &'static Unit, bare: bool) -> Result<Amount, NoValue> {
    Amount::parse_in(typed, to.kind, bare.then_some(to)).map_err(|e| match e {
        crate::quantity::QuantityError::NoUnit { written, kind, .. } => {
            NoValue(format!("\"{written}\" has no unit; {kind} is needed, write \"{written} {}\"", to.symbol))
        }
        other => other.into(),
    })
}

fn one<'t>(typed: &'t [String], form: &str) -> Result<&'t str, NoValue> {
    match typed {
        [one] => Ok(one.trim()),
        _ => Err(NoValue(format!("one value is needed, {form}; {} were given", typed.len()))),
    }
}

/// Verdict and words of one decimal against the limits of the check.
pub(super) fn against(check: &Check, value: Decimal, taking: Taking) -> (Verdict, String) {
    let (lower, upper) = check.limits();
    let symbol = check.unit.as_deref().unwrap_or_default();
    if lower.is_none() && upper.is_none() {
        return (Verdict::NotJudged, "nothing to judge by, kept".into());
    }
    let guarded = check.acceptance == Acceptance::Guarded;
    let guard = taking.guard.filter(|_| guarded).unwrap_or_default();
    let uncertainty = match (guarded, taking.guard) {
        (true, Some(u)) => format!(", U = {u} {symbol} taken into account (ISO 14253-1)"),
        (true, None) => format!(", {NOT_CONSIDERED}"),
        (false, _) => String::new(),
    };
    let by = |a: Decimal, b: Decimal| match a.checked_sub(b) {
        Some(d) => format!("{} {symbol}", d.normalize()).trim().to_owned(),
        None => "far".into(),
    };
    match uncertainty::judge(value, lower, upper, guard) {
        uncertainty::Verdict::Within => (Verdict::Within, format!("inside the limits{uncertainty}")),
        uncertainty::Verdict::Undecided => (
            Verdict::Undecided,
            format!(
                "nearer to a limit than the instrument can tell{uncertainty}; take a better instrument, a gauge, or have it decided"
            ),
        ),
        uncertainty::Verdict::Outside => {
            let words = match (lower.filter(|l| value < *l), upper.filter(|u| value > *u)) {
                (Some(l), _) => format!("{} below the lower limit", by(l, value)),
                (_, Some(u)) => format!("{} above the upper limit", by(value, u)),
                _ => "outside".into(),
            };
            (Verdict::Outside, format!("{words}{uncertainty}"))
        }
    }
}

fn measure(check: &Check, typed: &[String], taking: Taking) -> Result<Judged, NoValue> {
    let value = value(check, one(typed, "with its unit")?, taking.bare)?;
    let (verdict, because) = against(check, value, taking);
    Ok(Judged { values: vec![value.to_string()], verdict, because })
}

/// What was typed for one value of a series, an amplitude and its angle set apart: `4.2@35`, `4.2 at 35` and `4.2∠35` are two values of
/// a series without a unit.
#[must_use]
pub fn pair(check: &Check, typed: &str) -> Vec<String> {
    if check.unit.is_some() {
        return vec![typed.to_owned()];
    }
    let parts = typed.split(['@', '∠']).flat_map(|part| part.split(" at "));
    parts.map(|part| part.trim().trim_end_matches('°').trim_end().to_owned()).collect()
}

/// Why a value of a series cannot be one, before the others are typed; none where it can.
#[must_use]
pub fn unreadable(check: &Check, typed: &str) -> Option<String> {
    if check.asks() != CheckKind::Series {
        return None;
    }
    pair(check, typed).iter().find_map(|t| value(check, t.trim(), true).err()).map(|e| e.to_string())
}

fn series(check: &Check, typed: &[String], taking: Taking) -> Result<Judged, NoValue> {
    let typed: Vec<String> = typed.iter().flat_map(|t| pair(check, t)).collect();
    let one = |(k, t): (usize, &String)| {
        value(check, t.trim(), taking.bare).map_err(|e| NoValue(format!("{}: {e}", place(check, k))))
    };
    let values = typed.iter().enumerate().map(one).collect::<Result<Vec<_>, _>>()?;
    let wanted = check.count.unwrap_or(1) as usize;
    if values.len() != wanted {
        let order = if check.places.is_empty() { String::new() } else { format!(": {}", check.places.join(", ")) };
        return Err(NoValue(format!("{wanted} values are needed{order}; {} were given", values.len())));
    }
    let (mean, range, largest) =
        exact_summary(&values).ok_or_else(|| NoValue("these values are too large to be kept exactly".into()))?;
    let (verdict, because) = match check.rule.unwrap_or(SeriesRule::Each) {
        SeriesRule::Each => worst(check, &values, taking),
        SeriesRule::Mean => prefixed("mean", mean, against(check, mean, taking)),
        SeriesRule::Range => prefixed("range", range, against(check, range, taking)),
        SeriesRule::Largest => prefixed("largest", largest, against(check, largest, taking)),
    };
    Ok(Judged { values: values.iter().map(Decimal::to_string).collect(), verdict, because })
}

/// Where a value of a series was taken, to be told; its number where no places are named.
fn place(check: &Check, k: usize) -> String {
    check.place(k).map_or_else(|| format!("value {}", k + 1), str::to_owned)
}

fn prefixed(word: &str, value: Decimal, (verdict, because): (Verdict, String)) -> (Verdict, String) {
    // Judged exactly; a mean that does not end is told to the sixth place.
    (verdict, format!("{word} {}: {because}", value.round_dp(6).normalize()))
}

/// Mean (exact to 28 digits), range and largest of a series, to be shown; the largest number there is where 28 digits do
/// not hold them.
#[must_use]
pub fn summary(values: &[Decimal]) -> (Decimal, Decimal, Decimal) {
    exact_summary(values).unwrap_or((Decimal::MAX, Decimal::MAX, Decimal::MAX))
}

/// As [`summary`], to be judged; none where 28 digits do not hold them.
pub(super) fn exact_summary(values: &[Decimal]) -> Option<(Decimal, Decimal, Decimal)> {
    let sum = values.iter().try_fold(Decimal::ZERO, |sum, v| sum.checked_add(*v))?;
    let n = Decimal::from(values.len().max(1));
    let largest = values.iter().max().copied().unwrap_or_default();
    let smallest = values.iter().min().copied().unwrap_or_default();
    Some((sum.checked_div(n)?, largest.checked_sub(smallest)?, largest))
}

fn rank(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::Outside => 3,
        Verdict::Undecided => 2,
        Verdict::Within => 1,
        Verdict::NotJudged => 0,
    }
}

fn worst(check: &Check, values: &[Decimal], taking: Taking) -> (Verdict, String) {
    let judged = values.iter().enumerate().map(|(k, v)| (k, *v, against(check, *v, taking)));
    // The first of the worst is told.
    let worst = judged.max_by(|a, b| rank(a.2.0).cmp(&rank(b.2.0)).then(b.0.cmp(&a.0)));
    match worst {
        Some((k, v, (verdict, because))) if verdict.open() => {
            (verdict, format!("{} ({v}): {because}", place(check, k)))
        }
        Some((_, _, judged)) => judged,
        None => (Verdict::NotJudged, String::new()),
    }
}

fn gauge(typed: &[String]) -> Result<Judged, NoValue> {
    let how = "write \"go=yes no-go=no\"";
    let words: Vec<&str> = typed.iter().flat_map(|t| t.split_whitespace()).collect();
    let find = |name: &str| {
        words
            .iter()
            .find_map(|w| w.strip_prefix(name)?.strip_prefix('='))
            .and_then(yes_no)
            .ok_or_else(|| NoValue(format!("the gauge needs both answers; {how}")))
    };
    let (go, no_go) = (find("go")?, find("no-go")?);
    if words.len() != 2 {
        return Err(NoValue(format!("each answer stands once and nothing else; {how}")));
    }
    let (verdict, because) = match (go, no_go) {
        (true, false) => (Verdict::Within, "go enters, no-go does not"),
        (false, _) => (Verdict::Outside, "go does not enter: too small"),
        (true, true) => (Verdict::Outside, "no-go enters: too large"),
    };
    let word = |b: bool| if b { "yes" } else { "no" };
    Ok(Judged {
        values: vec![format!("go={}", word(go)), format!("no-go={}", word(no_go))],
        verdict,
        because: because.into(),
    })
}

fn yes_no(word: &str) -> Option<bool> {
    match word.trim().to_lowercase().as_str() {
        "yes" | "y" => Some(true),
        "no" | "n" => Some(false),
        _ => None,
    }
}

fn confirm(typed: &[String]) -> Result<Judged, NoValue> {
    let word = one(typed, "\"yes\" or \"no\"")?;
    let yes = yes_no(word).ok_or_else(|| NoValue(format!("\"{word}\" is neither \"yes\" nor \"no\"")))?;
    Ok(if yes {
        Judged { values: vec!["yes".into()], verdict: Verdict::Within, because: "confirmed".into() }
    } else {
        Judged { values: vec!["no".into()], verdict: Verdict::Outside, because: "not so".into() }
    })
}

/// What stands on the part, or that it is as wanted.
fn words_or_yes(check: &Check, typed: &[String]) -> Result<Judged, NoValue> {
    match typed {
        [word] if yes_no(word).is_some() => confirm(typed),
        _ => text(check, typed),
    }
}

fn count(check: &Check, typed: &[String]) -> Result<Judged, NoValue> {
    let word = one(typed, "in digits")?;
    if word.is_empty() || word.len() > 9 || !word.bytes().all(|b| b.is_ascii_digit()) {
        return Err(NoValue(format!("\"{word}\" is not a count; write it in digits")));
    }
    let value: Decimal = word.parse().map_err(|_| NoValue(format!("\"{word}\" is not a count")))?;
    let (verdict, because) = against(check, value, Taking::default());
    Ok(Judged { values: vec![value.to_string()], verdict, because })
}

fn text(check: &Check, typed: &[String]) -> Result<Judged, NoValue> {
    let words = typed.join(" ").trim().to_owned();
    if words.is_empty() {
        return Err(NoValue("nothing was written".into()));
    }
    let (verdict, because) = match &check.wanted {
        None => (Verdict::NotJudged, "kept".to_owned()),
        Some(wanted) if wanted::says(wanted, &words) => (Verdict::Within, format!("as wanted, {wanted}")),
        Some(wanted) => (Verdict::Outside, format!("not what is wanted: {wanted}")),
    };
    Ok(Judged { values: vec![words], verdict, because })
}

/// So often the nuts of a group are gone round; where some still move then, something yields (common practice).
pub const MOST_ROUNDS: usize = 3;

/// True where a torque check asks which nuts still moved.
#[must_use]
pub fn is_round(check: &Check) -> bool {
    check.kind == CheckKind::Torque && check.unit.is_none()
}

fn torque(check: &Check, typed: &[String], taking: Taking) -> Result<Judged, NoValue> {
    let bolts = check.count.unwrap_or(1);
    let words: Vec<&str> = typed.iter().flat_map(|t| t.split_whitespace()).collect();
    if is_round(check) {
        return round(bolts, &words, taking.rounds);
    }
    if let [word] = words.as_slice()
        && let Some(clicks) = word.strip_prefix("clicked=")
    {
        return clicked(bolts, clicks);
    }
    bolt_by_bolt(check, bolts, &words, taking)
}

fn round(bolts: u32, words: &[&str], rounds: usize) -> Result<Judged, NoValue> {
    let how = "write \"moved=0\", or the numbers of those that moved, like \"moved=2 5\"";
    // Numbers stand apart by a space, as values of a series do; records and scripts write a comma.
    let list = words.join(",");
    let list = list.strip_prefix("moved=").ok_or_else(|| NoValue(how.into()))?;
    let numbers = || list.split(',').filter(|n| !n.is_empty());
    if numbers().next().is_none() {
        return Err(NoValue(how.into()));
    }
    let list = numbers().collect::<Vec<_>>().join(",");
    let nuts = numbers()
        .map(|n| n.parse::<u32>().ok().filter(|n| *n <= bolts))
        .collect::<Option<Vec<_>>>()
        .ok_or_else(|| NoValue(format!("\"{list}\" names a nut that is not there (1 to {bolts}); {how}")))?;
    let moved = nuts.iter().filter(|n| **n > 0).count();
    let named: std::collections::BTreeSet<&u32> = nuts.iter().collect();
    if named.len() != nuts.len() || (moved > 0 && moved < nuts.len()) {
        return Err(NoValue(format!("\"{list}\" names a nut twice, or none and some at once; {how}")));
    }
    let value = vec![format!("moved={list}")];
    Ok(match (moved, rounds) {
        (0, _) => Judged { values: value, verdict: Verdict::Within, because: "none moved".into() },
        (n, gone) if gone + 1 < MOST_ROUNDS => {
            Judged { values: value, verdict: Verdict::Undecided, because: format!("{n} moved; go round again") }
        }
        (n, _) => Judged {
            values: value,
            verdict: Verdict::Outside,
            because: format!("{n} still moved in round {}: something yields; stop and look", rounds + 1),
        },
    })
}

fn clicked(bolts: u32, clicks: &str) -> Result<Judged, NoValue> {
    let read = clicks.split_once('/').and_then(|(a, b)| Some((a.parse::<u32>().ok()?, b.parse::<u32>().ok()?)));
    let (done, of) =
        read.ok_or_else(|| NoValue(format!("\"clicked={clicks}\" is not n/n; write \"clicked={bolts}/{bolts}\"")))?;
    if of != bolts || done > of {
        return Err(NoValue(format!("the group has {bolts} bolts; write \"clicked={bolts}/{bolts}\"")));
    }
    let all = done == of;
    Ok(Judged {
        values: vec![format!("clicked={done}/{of}")],
        verdict: if all { Verdict::Within } else { Verdict::Outside },
        because: if all { "every bolt to the click".into() } else { format!("{} without a click", of - done) },
    })
}

fn bolt_by_bolt(check: &Check, bolts: u32, words: &[&str], taking: Taking) -> Result<Judged, NoValue> {
    let how = || {
        NoValue(format!("write each bolt once, like \"1=24.0 2=24.1\", 1 to {bolts}; or \"clicked={bolts}/{bolts}\""))
    };
    let mut values: Vec<Option<Decimal>> = vec![None; bolts as usize];
    for word in words {
        let (n, torque) = word.split_once('=').ok_or_else(how)?;
        let n: usize = n.parse().map_err(|_| how())?;
        let slot = n.checked_sub(1).and_then(|k| values.get_mut(k)).ok_or_else(how)?;
        if slot.replace(value(check, torque, true)?).is_some() {
            return Err(NoValue(format!("bolt {n} stands twice")));
        }
    }
    let all: Vec<Decimal> = values.into_iter().collect::<Option<_>>().ok_or_else(how)?;
    let (verdict, because) = worst(check, &all, taking);
    let because = because.replacen("value ", "bolt ", 1);
    let values = (1..).zip(&all).map(|(n, v): (u32, _)| format!("{n}={v}")).collect();
    Ok(Judged { values, verdict, because })
}

#[cfg(test)]
#[path = "judge_tests.rs"]
mod tests;
