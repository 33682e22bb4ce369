//! What is asked before a value counts: can it be at all, and did part and instrument lie together long enough.
//!
//! Nothing here refuses a value. A doubt is a question to the person who typed it, with the likely cause.

use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};

use crate::procedure::plan::{Acceptance, Check, CheckKind, SeriesRule};
use crate::quantity::{Kind, unit};
use crate::standards::measuring;

use super::instruments::width;
use super::judge;
use super::record::Record;
use super::slips;

/// Zone widths beyond a limit from which a value is doubted (common practice).
const ZONES: i64 = 10;
/// Share of the nominal from which it is doubted, where that is wider, in percent (common practice).
const PERCENT: i64 = 20;
/// Id of the check that asks for the number painted on a part.
pub const NUMBER: &str = "number";
/// How near to a factor a value has to be for the factor to be named, in percent.
const NEAR: i64 = 5;
/// Difference between part and instrument that a part brought in from a car or a grinder has, kelvin (common practice).
const KELVIN: i64 = 10;

/// A value that can hardly be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// The value in the unit of the check.
    pub value: String,
    /// What likely happened.
    pub cause: String,
}

/// A doubt about a typed value, if there is one: it lies more than ten zone widths, or a fifth of the nominal where that
/// is wider, outside its limits; or it is the nominal times 10 or 25.4, or one of them upside down; or it is whole or half
/// millimetres off where the other digits fit; or two swapped digits, or a doubled one, make it of a value inside.
///
/// Text that is no value, and checks without numbers, are not doubted here.
#[must_use]
pub fn doubt(check: &Check, typed: &str) -> Option<Doubt> {
    if !matches!(check.kind, CheckKind::Measure | CheckKind::Series | CheckKind::Torque | CheckKind::Count) {
        return None;
    }
    // Limits on the spread of a series say nothing of its values.
    if check.rule == Some(SeriesRule::Range) {
        return None;
    }
    let value = judge::value(check, typed, true).ok()?;
    let beyond = beyond(check, value);
    let limited = check.lower.is_some() || check.upper.is_some();
    if limited && beyond <= Decimal::ZERO {
        return None;
    }
    let swapped = || slips::meant(check, typed).map(|(meant, how)| format!("{how}, {meant} would fit"));
    let cause = slipped(check, value)
        .map(str::to_owned)
        .or_else(swapped)
        .or_else(|| far(check, beyond).or_else(|| turned(check, value)).map(str::to_owned))?;
    let symbol = check.unit.as_deref().unwrap_or_default();
    Some(Doubt { value: format!("{} {symbol}", value.normalize()).trim_end().to_owned(), cause })
}

/// What makes the values of an entry hard to believe, in words; none where nothing does.
#[must_use]
pub fn of_entry(record: &Record, check: &Check, typed: &[String]) -> Option<String> {
    if check.kind == CheckKind::Gauge {
        return gauge(record, check, typed);
    }
    if judge::is_round(check) {
        return None;
    }
    let words = typed
        .iter()
        .flat_map(|t| if check.kind == CheckKind::Torque { t.split(' ').collect() } else { vec![t.as_str()] });
    let values = words.filter(|t| !t.starts_with("clicked=")).map(|t| t.rsplit('=').next().unwrap_or(t));
    let found = values.filter_map(|t| doubt(check, t)).next()?;
    Some(format!("{} can hardly be: {}", found.value, found.cause))
}

/// What the record knows that speaks against a value: its part was given up, or sits in another place.
#[must_use]
pub fn by_the_record(record: &Record, step: &str, check: &Check, typed: &[String]) -> Option<String> {
    let whole = typed.len() == check.count.unwrap_or(1) as usize;
    given_up(record, step, check)
        .or_else(|| sits_elsewhere(record, step, check, typed))
        .or_else(|| not_as_computed(record, check, typed, 0).filter(|_| whole))
        .or_else(|| drilled_otherwise(record, check, typed))
        .or_else(|| slips::unlike(check, typed))
}

/// How far a drilled depth may lie from the computed one, mm: what a depth stop and its setting leave open (common practice).
const STOP: f64 = 0.3;

/// A drilled depth that is not the computed one: the second value of what stands beside it, 0 where no hole was asked for.
fn drilled_otherwise(record: &Record, check: &Check, typed: &[String]) -> Option<String> {
    if !check.id.starts_with("drilled") {
        return None;
    }
    let (_, computed) = record.beside(check)?;
    let wanted = computed.get(1)?.parse::<f64>().ok()?;
    let depth = judge::value(check, typed.first()?, true).ok()?.to_f64()?;
    ((depth - wanted).abs() > STOP)
        .then(|| format!("{wanted} mm deep was computed, {depth} mm was entered; measure the hole again"))
}

/// A number that the program computed and somebody counts at the part, where the two differ: the values from number `from` on.
#[must_use]
pub fn not_as_computed(record: &Record, check: &Check, typed_all: &[String], from: usize) -> Option<String> {
    if check.unit.is_some() || !matches!(check.kind, CheckKind::Count | CheckKind::Series) {
        return None;
    }
    let (kept, computed) = record.beside(check)?;
    let number = |t: &str| t.trim().parse::<Decimal>().ok();
    let pairs = typed_all.iter().zip(&computed).enumerate().skip(from);
    let mut differ = pairs.filter(|(_, (typed, computed))| number(typed) != number(computed));
    let (k, (typed, computed)) = differ.next()?;
    let at = check.place(k).map_or_else(String::new, |p| format!(" for {p}"));
    let step = &kept.reading.step;
    let so = record.stands_with(check, typed_all).map_or_else(String::new, |so| format!("; {so}"));
    Some(format!("{computed} was computed{at} ({step}), {} was entered; look at the part again{so}", typed.trim()))
}

/// A part that was scrapped or sent back: what is measured now is another one, and all of that one is asked again; once
/// something of it was, that is known. Where it is built in, nothing measured here answers that: a change takes it out.
fn given_up(record: &Record, step: &str, check: &Check) -> Option<String> {
    let step = record.step(step)?;
    let stopped = record.stopped_at(&step.id);
    if !stopped.is_empty() {
        let parts = stopped.join(", ");
        return Some(format!("{parts} was given up and is built in; a change with {parts} replaced takes it out"));
    }
    if record.is_measured_anew(&step.id) {
        return None;
    }
    let (kind, parts) = record.given_up_at(step, &check.id)?;
    Some(format!(
        "{}: the answer was {}, so this is another part and all of it is to be measured",
        parts.join(", "),
        kind.word()
    ))
}

/// A part's number that another place has already: one disc does not sit twice.
fn sits_elsewhere(record: &Record, step: &str, check: &Check, typed: &[String]) -> Option<String> {
    if check.kind != CheckKind::Count || check.id != NUMBER {
        return None;
    }
    let number = typed.first()?.trim();
    let others = record.plan().steps.iter().filter(|s| s.id != step && s.checks.iter().any(|c| c.id == NUMBER));
    let same = others.filter(|s| record.reading(&s.id, NUMBER).is_some_and(|k| k.reading.values == [number]));
    same.map(|s| format!("number {number} was entered for step {}, {}; a part sits in one place, so one of the two is mistyped or misread", s.number, s.title))
        .next()
}

/// Answers of a go and no-go gauge for a hole that cannot be together, or not beside the measured size of the same hole:
/// the uncertainty of that reading, where it is stated, speaks for the gauge.
fn gauge(record: &Record, check: &Check, typed: &[String]) -> Option<String> {
    let answers = judge::judge(check, typed, judge::Taking::default()).ok()?.values;
    let (go, no_go) = (answers.first()? == "go=yes", answers.last()? == "no-go=yes");
    if !go && no_go {
        return Some(
            "go does not enter and no-go, which is larger, does: no hole is like that; answers or sides swapped, or a burr stops go"
                .into(),
        );
    }
    let (step, measured) = check.beside.as_deref()?.split_once('/')?;
    let reading = record.reading(step, measured)?.reading;
    let values: Vec<Decimal> = reading.values.iter().filter_map(|v| v.parse().ok()).collect();
    let (least, most) = (values.iter().min()?, values.iter().max()?);
    let symbol = reading.unit.as_deref().unwrap_or_default();
    let to = unit(symbol)?;
    let stated = reading.instrument.as_ref().and_then(|used| used.uncertainty.as_deref());
    let u = stated.and_then(|u| width(u, to)).unwrap_or_default();
    let limit = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<Decimal>().ok());
    let (lower, upper) = (limit(&reading.lower)?, limit(&reading.upper)?);
    let said = match (go, no_go) {
        (false, _) if least.saturating_sub(u) >= lower => {
            format!("go does not enter, but the smallest measured is {least} {symbol}, not under {lower}")
        }
        (true, _) if least.saturating_add(u) < lower => {
            format!("go enters, but the smallest measured is {least} {symbol}, under {lower}")
        }
        (_, true) if most.saturating_add(u) <= upper => {
            format!("no-go enters, but the largest measured is {most} {symbol}, not over {upper}")
        }
        (_, false) if least.saturating_sub(u) > upper => {
            format!("no-go does not enter, but the smallest measured is {least} {symbol}, over {upper}")
        }
        _ => return None,
    };
    Some(format!("{said}; wrong gauge, other hole, a chip or burr, or the instrument is off"))
}

/// Two answers to a check that are the same: as decimals in its unit, else as words.
#[must_use]
pub fn same(check: &Check, a: &[String], b: &[String]) -> bool {
    let number = |t: &String| judge::value(check, t.rsplit('=').next().unwrap_or(t), true).ok();
    let alike = |(a, b): (&String, &String)| match (number(a), number(b)) {
        (Some(x), Some(y)) => x == y,
        _ => a == b,
    };
    a.len() == b.len() && a.iter().zip(b).all(alike)
}

/// What the note of a soak question begins with; it is found again by these words.
pub const SOAK: &str = "Part and instrument lay together before measuring";

/// By how much a part of steel grows over a difference of 10 K to its instrument, where that is more than a tenth of the
/// zone of a length: then both must have lain together first. In the unit of the check.
#[must_use]
pub fn soak(check: &Check) -> Option<Decimal> {
    let of_length = check.unit.as_deref().and_then(unit).is_some_and(|u| u.kind == Kind::Length);
    let (lower, upper) = check.limits();
    let (lower, upper) = (lower?, upper?);
    if !of_length || check.acceptance != Acceptance::Guarded {
        return None;
    }
    let per_kelvin = Decimal::from_f64(measuring::expansion_per_k().0)?;
    let growth = upper.checked_mul(per_kelvin)?.checked_mul(Decimal::from(KELVIN))?;
    let tenth = upper.checked_sub(lower)?.checked_div(Decimal::TEN)?;
    (growth > tenth).then(|| growth.round_dp(4).normalize())
}

/// The nominal, or the middle of the zone.
fn nominal(check: &Check) -> Option<Decimal> {
    let stated = check.nominal.as_deref().and_then(|n| n.parse::<Decimal>().ok());
    let middle = || match check.limits() {
        (Some(a), Some(b)) => a.checked_add(b)?.checked_div(Decimal::TWO),
        _ => None,
    };
    stated.or_else(middle).filter(|n| !n.is_zero())
}

/// How far outside its limits; not positive for what is inside.
fn beyond(check: &Check, value: Decimal) -> Decimal {
    let (lower, upper) = check.limits();
    let below = lower.map(|l| l.saturating_sub(value));
    let above = upper.map(|u| value.saturating_sub(u));
    below.into_iter().chain(above).max().unwrap_or(Decimal::ZERO)
}

fn far(check: &Check, beyond: Decimal) -> Option<&'static str> {
    let (lower, upper) = check.limits();
    // "At most 0.03" is a zone from nothing to 0.03.
    let width = upper.and_then(|u| u.checked_sub(lower.unwrap_or_default())).unwrap_or_default();
    let zones = width.saturating_mul(Decimal::from(ZONES));
    let share = nominal(check).unwrap_or_default().abs().saturating_mul(Decimal::new(PERCENT, 2));
    let reach = zones.max(share);
    (reach > Decimal::ZERO && beyond > reach).then_some("a digit too many, too few or mistyped, or another unit")
}

/// A length that is inside its narrow zone once a whole number of millimetres, or half a one, is taken off or put on: the
/// other digits are right. A micrometer's thimble makes a turn each half or whole millimetre, and gauge blocks go on by whole
/// ones (common practice).
fn turned(check: &Check, value: Decimal) -> Option<&'static str> {
    if check.unit.as_deref() != Some("mm") {
        return None;
    }
    let (lower, upper) = check.limits();
    let (lower, upper) = (lower?, upper?);
    let zone = upper.checked_sub(lower)?;
    let fits = |step: Decimal| {
        // Where the zone is wide against the step, some whole number always fits and tells nothing.
        let narrow = zone.checked_mul(Decimal::TEN).is_some_and(|z| z <= step);
        let turns = || value.checked_sub(lower)?.checked_div(step).map(|t| t.floor());
        let left = turns().and_then(|t| value.checked_sub(t.checked_mul(step)?));
        narrow && left.is_some_and(|v| v >= lower && v <= upper)
    };
    if fits(Decimal::ONE) {
        return Some("whole millimetres off where the other digits fit: a drum one turn off, or another gauge block");
    }
    fits(Decimal::new(5, 1)).then_some("half a millimetre off where the other digits fit: a drum half a turn off")
}

fn slipped(check: &Check, value: Decimal) -> Option<&'static str> {
    let ratio = value.checked_div(nominal(check)?)?;
    let near = |factor: Decimal| {
        let off = ratio.saturating_sub(factor).abs();
        off <= factor.saturating_mul(Decimal::new(NEAR, 2))
    };
    if near(Decimal::TEN) || near(Decimal::new(1, 1)) {
        return Some("a decimal point one place off");
    }
    let inch = Decimal::new(254, 1);
    let of_length = check.unit.as_deref().and_then(unit).is_some_and(|u| u.kind == Kind::Length);
    if of_length && Decimal::ONE.checked_div(inch).is_some_and(near) {
        return Some("read in inches: the instrument is set to inch");
    }
    (of_length && near(inch)).then_some("a value in millimetres, entered as inches")
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use super::*;

    fn check(unit: Option<&str>, lower: Option<&str>, upper: Option<&str>, nominal: Option<&str>) -> Check {
        Check {
            unit: unit.map(Into::into),
            nominal: nominal.map(Into::into),
            lower: lower.map(Into::into),
            upper: upper.map(Into::into),
            acceptance: Acceptance::Guarded,
            ..Check::blank("x", CheckKind::Measure)
        }
    }

    #[test]
    fn what_can_hardly_be_is_doubted_with_its_cause() {
        let bore = check(Some("mm"), Some("25.000"), Some("25.021"), Some("25"));
        for (typed, cause) in [
            ("250.10", "decimal point"),
            ("2,5005", "decimal point"),
            ("0.9843", "set to inch"),
            ("25.01 in", "entered as inches"),
            ("31", "a digit too many"),
            ("-25.01", "a digit too many"),
        ] {
            let found = doubt(&bore, typed).unwrap_or_else(|| panic!("{typed} is not doubted"));
            assert!(found.cause.contains(cause), "{typed}: {}", found.cause);
        }
        assert_eq!(doubt(&bore, "25.01 in").unwrap().value, "635.254 mm");
        // Outside, yes, but it happens: within a fifth of the nominal, or within ten zones of a wide zone.
        for typed in ["25.010", "24.99", "25.3", "20.1", "20.03", "29.9", "0.9847 in"] {
            assert_eq!(doubt(&bore, typed), None, "{typed}");
        }
        assert_eq!(doubt(&bore, "twenty"), None);
    }

    #[test]
    fn the_reach_is_ten_zones_or_a_fifth_of_the_nominal_whichever_is_wider() {
        let narrow = check(Some("mm"), Some("99.9"), Some("100.1"), Some("100"));
        assert_eq!(doubt(&narrow, "120.1"), None, "20 % of 100 beyond 100.1, to the digit");
        assert!(doubt(&narrow, "120.11").is_some());
        let wide = check(Some("°C"), Some("10"), Some("35"), None);
        assert_eq!(doubt(&wide, "-4"), None);
        assert_eq!(doubt(&wide, "285"), None, "ten widths of 25 beyond 35, to the digit");
        assert!(doubt(&wide, "285.1").is_some());
        let at_most = check(Some("mm"), None, Some("0.03"), None);
        assert_eq!(doubt(&at_most, "0.33"), None);
        assert!(doubt(&at_most, "0.34").is_some());
    }

    #[test]
    fn whole_millimetres_off_where_the_other_digits_fit_are_asked_about() {
        let bore = check(Some("mm"), Some("25.000"), Some("25.021"), Some("25"));
        for typed in ["24.01", "26.015", "20.01", "24.000", "26.021"] {
            let found = doubt(&bore, typed).unwrap_or_else(|| panic!("{typed} is not doubted"));
            assert!(found.cause.starts_with("whole millimetres off"), "{typed}: {}", found.cause);
        }
        assert!(doubt(&bore, "24.51").unwrap().cause.starts_with("half a millimetre off"));
        // The other digits do not fit, the zone is too wide for a whole one to tell anything, or it is no length.
        assert_eq!(doubt(&bore, "24.03"), None);
        assert_eq!(doubt(&check(Some("mm"), Some("7.8"), Some("8.2"), Some("8")), "9.0"), None);
        assert_eq!(doubt(&check(Some("N·m"), Some("25.000"), Some("25.021"), Some("25")), "24.01"), None);
    }

    #[test]
    fn without_limits_only_a_slipped_factor_is_asked_about() {
        let about = check(Some("N"), None, None, Some("45"));
        assert!(doubt(&about, "450").is_some());
        assert_eq!(doubt(&about, "60"), None);
        assert_eq!(doubt(&check(Some("N"), None, None, None), "1e3"), None);
    }

    #[test]
    fn values_judged_by_their_spread_are_not_doubted_one_by_one() {
        let spread = Check { rule: Some(SeriesRule::Range), ..check(Some("mm"), None, Some("0.1"), None) };
        assert_eq!(doubt(&spread, "80.00"), None);
    }

    #[test]
    fn twice_the_same_is_the_same_value_not_the_same_letters() {
        let bore = check(Some("mm"), None, None, None);
        let list = |t: &[&str]| t.iter().map(|t| (*t).to_owned()).collect::<Vec<_>>();
        assert!(same(&bore, &list(&["25,010"]), &list(&["25.01 mm"])));
        assert!(!same(&bore, &list(&["25.010"]), &list(&["25.011"])));
        assert!(!same(&bore, &list(&["25.010"]), &list(&["25.010", "25.010"])));
        assert!(same(&bore, &list(&["1=24.0"]), &list(&["1=24"])));
    }

    #[test]
    fn soak_is_asked_where_ten_kelvin_eat_a_tenth_of_the_zone() {
        // 25.021 mm x 11.7e-6 /K x 10 K = 0.0029 mm of a zone of 0.021 mm.
        assert_eq!(soak(&check(Some("mm"), Some("25.000"), Some("25.021"), None)), "0.0029".parse().ok());
        assert_eq!(soak(&check(Some("mm"), Some("24.55"), Some("24.65"), None)), None);
        assert_eq!(soak(&check(Some("N"), Some("25.000"), Some("25.021"), None)), None);
    }
}
