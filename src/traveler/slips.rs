//! Slips of the finger that the digits give away: two of them swapped, one doubled or left out, the point elsewhere; words that
//! are not those wanted, or not those read before; a list of numbers with one of them twice.

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, CheckKind};

use super::judge;
use super::kept::Kept;
use super::record::Record;
use super::wanted;

/// How many times narrower than its nominal a zone is before a value inside it, made by swapping digits, says anything: in a
/// wide zone some such value always fits (common practice).
const NARROW: i64 = 10;

/// What a value outside becomes inside its narrow zone: the value that was likely meant, and how it was mistyped.
#[must_use]
pub fn meant(check: &Check, typed: &str) -> Option<(String, &'static str)> {
    let (lower, upper) = check.limits();
    let (lower, upper) = (lower?, upper?);
    let inside = |v: Decimal| v >= lower && v <= upper;
    let narrow = upper.checked_sub(lower)?.checked_mul(Decimal::from(NARROW))? <= lower.abs();
    if !narrow || inside(judge::value(check, typed, true).ok()?) {
        return None;
    }
    let fits = |text: &String| judge::value(check, text, true).is_ok_and(inside);
    let swapped = swaps(typed).into_iter().find(fits).map(|v| (v, "two digits swapped"));
    swapped.or_else(|| shorter(typed).into_iter().find(fits).map(|v| (v, "a digit too many")))
}

/// How one of two values comes from the other by a slip of the finger; none where they are equal, or just different.
fn slip(a: &str, b: &str) -> Option<&'static str> {
    let (a, b) = (plain(a), plain(b));
    let digits = |t: &str| t.chars().filter(char::is_ascii_digit).collect::<String>();
    if a == b || digits(&a).len() < 2 || digits(&b).len() < 2 {
        return None;
    }
    if swaps(&a).contains(&b) {
        return Some("two digits swapped");
    }
    // 8.0 and 8.00 are the same value; 12.5 and 125 the same digits.
    if digits(&a).trim_matches('0') == digits(&b).trim_matches('0') {
        let same = a.parse::<Decimal>().ok()? == b.parse::<Decimal>().ok()?;
        return (!same).then_some("the point in another place");
    }
    let long = |t: &str| digits(t).len() > 2;
    let extra = (long(&a) && shorter(&a).contains(&b)) || (long(&b) && shorter(&b).contains(&a));
    (extra && whole(&a) != whole(&b)).then_some("a digit too many or too few")
}

/// Outside, and nothing was decided since: after a decision another part may lie there, or the same one worked on.
fn undecided(kept: &Kept<'_>) -> bool {
    kept.reading.verdict.open() && kept.disposition.is_none()
}

/// The digits before the point: a digit more behind it is a finer instrument.
fn whole(text: &str) -> &str {
    text.split('.').next().unwrap_or(text)
}

fn plain(typed: &str) -> String {
    let number = typed.trim().replace(',', ".");
    number.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-')).collect()
}

/// The text with two neighbouring digits that differ in each other's place, in every way; the point stays where it is.
fn swaps(text: &str) -> Vec<String> {
    let chars: Vec<char> = text.chars().collect();
    let at: Vec<usize> = (0..chars.len()).filter(|k| chars[*k].is_ascii_digit()).collect();
    let pairs = at.windows(2).filter(|p| chars[p[0]] != chars[p[1]]);
    let swap = |p: &[usize]| {
        let mut other = chars.clone();
        other.swap(p[0], p[1]);
        other.into_iter().collect()
    };
    pairs.map(swap).collect()
}

/// The text with one of two equal neighbouring digits left out: the key bounced, or was held.
fn shorter(text: &str) -> Vec<String> {
    let chars: Vec<char> = text.chars().collect();
    let doubled = (1..chars.len()).filter(|k| chars[*k].is_ascii_digit() && chars[*k] == chars[*k - 1]);
    doubled.map(|k| chars.iter().enumerate().filter(|(n, _)| *n != k).map(|(_, c)| c).collect()).collect()
}

/// What an earlier reading of the same check says against what is typed: words that are others, a value that differs by what
/// looks like a slip of the finger, a bolt that was too tight and not eased since. `from` is the number, from 0, of the first
/// value typed.
#[must_use]
pub fn contradicts(record: &Record, step: &str, check: &Check, typed: &[String], from: usize) -> Option<String> {
    other_words(record, step, check, typed)
        .or_else(|| other_digits(record, step, check, typed, from))
        .or_else(|| record.not_eased(step, check))
}

fn other_digits(record: &Record, step: &str, check: &Check, typed: &[String], from: usize) -> Option<String> {
    if !matches!(check.kind, CheckKind::Measure | CheckKind::Series | CheckKind::Count) {
        return None;
    }
    let Kept { event, reading, .. } = record.reading(step, &check.id).filter(undecided)?;
    let pairs = reading.entered.iter().skip(from).zip(typed);
    let (before, now, how) = pairs.filter_map(|(a, b)| slip(a, b).map(|how| (a, b, how))).next()?;
    Some(format!(
        "{before} was entered before (entry {event}), {} now, {how}: one of the two is likely mistyped",
        now.trim()
    ))
}

/// Words that are not those wanted on the part, or no list of numbers where one is asked for.
#[must_use]
pub fn unlike(check: &Check, typed: &[String]) -> Option<String> {
    let typed = typed.join(" ");
    let typed = typed.trim();
    let Some(wanted) = check.wanted.as_ref() else { return numbers(check, typed) };
    (!wanted::says(wanted, typed) && !confirms(typed)).then(|| format!("{typed} was typed, {wanted} is wanted"))
}

/// A program may confirm what a person types.
fn confirms(typed: &str) -> bool {
    matches!(typed.to_lowercase().as_str(), "yes" | "y" | "no" | "n")
}

/// The wanted words, where others were read on the part before and nothing was decided about them.
fn other_words(record: &Record, step: &str, check: &Check, typed: &[String]) -> Option<String> {
    let typed = typed.join(" ");
    let typed = typed.trim();
    check.wanted.as_ref().filter(|_| !confirms(typed))?;
    let kept = record.reading(step, &check.id).filter(undecided)?;
    let before = kept.reading.values.join(" ");
    (before != "no").then(|| {
        format!("{before} was typed before (entry {}), {typed} now: one of the two is mistyped, or misread", kept.event)
    })
}

/// A list of as many different numbers as are asked for, one of which stands twice or is missing. Other words are no list.
fn numbers(check: &Check, typed: &str) -> Option<String> {
    let wanted = check.count.filter(|_| check.kind == CheckKind::Text)?;
    let list = typed.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '-' | '/')).filter(|w| !w.is_empty());
    let list: Vec<u32> = list.map(|w| w.parse().ok()).collect::<Option<_>>()?;
    if list.len() < 2 {
        return None;
    }
    let named: BTreeSet<u32> = list.iter().copied().collect();
    let many = |list: &[u32]| list.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let twice: Vec<u32> = named.iter().copied().filter(|n| list.iter().filter(|m| *m == n).count() > 1).collect();
    // Parts may carry other numbers than 1 to n, so what is missing is told only where something is wrong.
    let missing: Vec<u32> = (1..=wanted).filter(|n| !named.contains(n)).collect();
    let gone = if missing.is_empty() { String::new() } else { format!(", {} not named", many(&missing)) };
    if !twice.is_empty() {
        return Some(format!("{} stands twice{gone}", many(&twice)));
    }
    (list.len() != wanted as usize).then(|| format!("{} numbers were typed, {wanted} are wanted{gone}", list.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(kind: CheckKind, count: Option<u32>) -> Check {
        let measured = kind == CheckKind::Measure;
        let only = |text: &str| measured.then(|| text.to_owned());
        Check { unit: only("mm"), lower: only("25.000"), upper: only("25.021"), count, ..Check::blank("x", kind) }
    }

    #[test]
    fn swapped_and_doubled_digits_are_found_where_the_value_meant_fits() {
        let bore = check(CheckKind::Measure, None);
        for (typed, wanted, how) in [
            ("52.01", "25.01", "two digits swapped"),
            ("25,10", "25,01", "two digits swapped"),
            ("255.01", "25.01", "a digit too many"),
        ] {
            assert_eq!(meant(&bore, typed), Some((wanted.to_owned(), how)));
        }
        // Two swaps are no slip of one finger.
        for typed in ["25.010", "25.3", "24.03", "21.50", "x"] {
            assert_eq!(meant(&bore, typed), None, "{typed}");
        }
    }

    #[test]
    fn two_values_that_a_slip_parts_are_told_from_two_that_differ() {
        for (a, b) in [("42.6", "24.6"), ("25.10", "25.01"), ("8.05", "80.5"), ("24.60", "244.60")] {
            assert!(slip(a, b).is_some() && slip(b, a).is_some(), "{a} {b}");
        }
        for (a, b) in [("24.6", "24.7"), ("24.6", "24,60"), ("24.6", "24.66"), ("5", "6"), ("24.6", "24.6")] {
            assert_eq!(slip(a, b), None, "{a} {b}");
        }
    }

    #[test]
    fn a_list_of_numbers_is_looked_at_and_other_words_are_not() {
        let places = check(CheckKind::Text, Some(5));
        let said = |typed: &str| numbers(&places, typed);
        assert_eq!(said("1 2 2 4 5").as_deref(), Some("2 stands twice, 3 not named"));
        assert_eq!(said("1, 2, 4, 5").as_deref(), Some("4 numbers were typed, 5 are wanted, 3 not named"));
        for fine in ["3 1 2 5 4", "1-2-3-4-5", "11 12 13 14 15", "lot 47/11", "4711", "as marked"] {
            assert_eq!(said(fine), None, "{fine}");
        }
    }
}
