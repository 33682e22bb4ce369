//! Verdict on a measured value, exact decimals, with or without a guard band.

use rust_decimal::Decimal;

/// What a value is against its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Inside the limits, by the guard band at least.
    Within,
    /// Beyond a limit, by the guard band at least.
    Outside,
    /// Too near a limit for this instrument.
    Undecided,
}

/// Judges a value. With a guard band (ISO 14253-1) it is within if inside by at least `guard`, outside if beyond by at
/// least `guard`, undecided between. Limits are included. A guard band of zero is plain comparison.
///
/// ```
/// use runtrue::mechanics::uncertainty::{Verdict, judge};
/// use rust_decimal::Decimal;
/// let d = |t: &str| t.parse::<Decimal>().ok();
/// let judged = |v: &str| judge(d(v).unwrap_or_default(), d("25.000"), d("25.021"), d("0.005").unwrap_or_default());
/// assert_eq!(judged("25.005"), Verdict::Within);
/// assert_eq!(judged("25.004"), Verdict::Undecided);
/// assert_eq!(judged("25.026"), Verdict::Outside);
/// ```
#[must_use]
pub fn judge(value: Decimal, lower: Option<Decimal>, upper: Option<Decimal>, guard: Decimal) -> Verdict {
    let beyond = lower.is_some_and(|l| value < l) || upper.is_some_and(|u| value > u);
    let room = [lower.map(|l| distance(value, l)), upper.map(|u| distance(u, value))].into_iter().flatten().min();
    match room {
        None => Verdict::Within,
        // A band of less than nothing would widen the limits; it is taken as its width.
        Some(room) if room.abs() < guard.abs() => Verdict::Undecided,
        Some(_) if beyond => Verdict::Outside,
        Some(_) => Verdict::Within,
    }
}

/// True if some value can be found within: the limits leave room for the guard band (expanded uncertainty U, ISO
/// 14253-1) on both sides. `least` is the least value that the quantity can have, 0 for a run-out or a gap; an upper
/// limit alone needs room above it.
///
/// ```
/// use runtrue::mechanics::uncertainty::can_decide;
/// use rust_decimal::Decimal;
/// let d = |t: &str| t.parse::<Decimal>().ok();
/// let can = |u: &str| can_decide(d("25.000"), d("25.021"), None, d(u).unwrap_or_default());
/// assert!(can("0.010") && !can("0.011"));
/// assert!(!can_decide(None, d("0.03"), d("0"), d("0.04").unwrap_or_default()));
/// ```
#[must_use]
pub fn can_decide(lower: Option<Decimal>, upper: Option<Decimal>, least: Option<Decimal>, guard: Decimal) -> bool {
    let twice = guard.abs().checked_mul(Decimal::TWO).unwrap_or(Decimal::MAX);
    match (lower, upper, least) {
        (Some(lower), Some(upper), _) => distance(upper, lower) >= twice,
        (None, Some(upper), Some(least)) => distance(upper, least) >= guard.abs(),
        _ => true,
    }
}

/// Share of the expanded uncertainty U (k = 2) that is kept as guard band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Keep {
    /// All of U: the older editions of ISO 14253-1, and the cautious side.
    #[default]
    Whole,
    /// 0.83 of U, which leaves 5 % of risk at each limit: 1.65 standard uncertainties (from memory: ISO 14253-1:2017, default).
    NinetyFive,
}

/// Guard band for an expanded uncertainty.
///
/// ```
/// use runtrue::mechanics::uncertainty::{Keep, guard_band};
/// use rust_decimal::Decimal;
/// let u = Decimal::new(5, 3);
/// assert_eq!(guard_band(u, Keep::Whole).to_string(), "0.005");
/// assert_eq!(guard_band(u, Keep::NinetyFive).to_string(), "0.00415");
/// ```
#[must_use]
pub fn guard_band(expanded: Decimal, keep: Keep) -> Decimal {
    match keep {
        Keep::Whole => expanded,
        Keep::NinetyFive => expanded.checked_mul(Decimal::new(83, 2)).unwrap_or(expanded),
    }
}

/// Zone in which a reading proves that a part is within: the limits drawn in by the guard band on each side (ISO 14253-1).
/// None where it is empty, so that the instrument can never say "within" ([`can_decide`]); a go and no-go gauge then decides.
///
/// ```
/// use runtrue::mechanics::uncertainty::acceptance;
/// use rust_decimal::Decimal;
/// let mm = |um| Decimal::new(um, 3);
/// // H7 at 25 mm: a bore gauge of 5 µm leaves 11 µm, a caliper of 30 µm nothing.
/// assert_eq!(acceptance(mm(25_000), mm(25_021), mm(5)), Some((mm(25_005), mm(25_016))));
/// assert_eq!(acceptance(mm(25_000), mm(25_021), mm(30)), None);
/// ```
#[must_use]
pub fn acceptance(lower: Decimal, upper: Decimal, guard: Decimal) -> Option<(Decimal, Decimal)> {
    let (from, to) = (lower.checked_add(guard.abs())?, upper.checked_sub(guard.abs())?);
    (from <= to).then_some((from, to))
}

/// Largest guard band that leaves a share of the tolerance to accept in: `(1 − share)·T/2`. With half the tolerance left, the band is
/// a quarter of it.
///
/// ```
/// use runtrue::mechanics::uncertainty::guard_for;
/// use rust_decimal::Decimal;
/// let mm = |um| Decimal::new(um, 3);
/// assert_eq!(guard_for(mm(25_000), mm(25_020), Decimal::new(5, 1)).map(|g| g.normalize()), Some(mm(5)));
/// ```
#[must_use]
pub fn guard_for(lower: Decimal, upper: Decimal, share: Decimal) -> Option<Decimal> {
    let width = upper.checked_sub(lower).filter(|w| *w > Decimal::ZERO)?;
    (Decimal::ZERO..=Decimal::ONE).contains(&share).then(|| width * (Decimal::ONE - share) / Decimal::TWO)
}

/// `a - b`; a distance that no decimal holds is the largest one.
fn distance(a: Decimal, b: Decimal) -> Decimal {
    a.checked_sub(b).unwrap_or(if a > b { Decimal::MAX } else { Decimal::MIN })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn plain_comparison_includes_the_limits_to_the_last_digit() {
        let judged = |v: &str| judge(d(v), Some(d("25.000")), Some(d("25.021")), Decimal::ZERO);
        assert_eq!(judged("25.000"), Verdict::Within);
        assert_eq!(judged("25.021"), Verdict::Within);
        assert_eq!(judged("25.0210000000000001"), Verdict::Outside);
        assert_eq!(judged("24.9999999999"), Verdict::Outside);
    }

    #[test]
    fn what_lies_in_the_acceptance_zone_is_judged_within_and_nothing_else() {
        let (lower, upper) = (d("25.000"), d("25.021"));
        for guard in ["0", "0.001", "0.005", "0.0105"] {
            let zone = acceptance(lower, upper, d(guard)).unwrap();
            for step in 0..60 {
                let value = d("24.980") + Decimal::new(step, 3);
                let within = judge(value, Some(lower), Some(upper), d(guard)) == Verdict::Within;
                assert_eq!(within, zone.0 <= value && value <= zone.1, "{value} at {guard}");
            }
        }
        // Half of 21 µm still leaves one value, more leaves none.
        for (guard, some) in [("0.0104", true), ("0.0105", true), ("0.0106", false), ("0.03", false)] {
            assert_eq!(acceptance(lower, upper, d(guard)).is_some(), some, "{guard}");
            assert_eq!(can_decide(Some(lower), Some(upper), None, d(guard)), some, "{guard}");
        }
        assert_eq!(acceptance(Decimal::MAX, Decimal::MAX, Decimal::MAX), None); // no decimal holds the sum
        assert!(guard_for(upper, lower, d("0.5")).is_none() && guard_for(lower, upper, d("1.5")).is_none());
    }

    #[test]
    fn an_instrument_as_wide_as_the_zone_never_says_within() {
        for v in ["25.000", "25.010", "25.021"] {
            assert_eq!(judge(d(v), Some(d("25.000")), Some(d("25.021")), d("0.03")), Verdict::Undecided);
        }
        assert_eq!(judge(d("25.051"), Some(d("25.000")), Some(d("25.021")), d("0.03")), Verdict::Outside);
    }

    #[test]
    fn a_band_of_less_than_nothing_never_widens_the_limits() {
        for guard in ["0.005", "-0.005"] {
            assert_eq!(judge(d("25.023"), Some(d("25.000")), Some(d("25.021")), d(guard)), Verdict::Undecided);
            assert_eq!(judge(d("25.026"), Some(d("25.000")), Some(d("25.021")), d(guard)), Verdict::Outside);
        }
    }

    #[test]
    fn the_largest_numbers_are_judged_and_do_not_overflow() {
        assert_eq!(judge(Decimal::MAX, Some(d("-5")), Some(d("5")), d("1")), Verdict::Outside);
        assert_eq!(judge(Decimal::MIN, Some(d("5")), None, Decimal::ZERO), Verdict::Outside);
        assert_eq!(judge(Decimal::MAX, Some(Decimal::MIN), None, Decimal::ZERO), Verdict::Within);
    }

    #[test]
    fn one_sided_limits_judge_one_side() {
        assert_eq!(judge(d("-5"), None, Some(d("0.05")), Decimal::ZERO), Verdict::Within);
        assert_eq!(judge(d("9"), Some(d("10")), None, Decimal::ZERO), Verdict::Outside);
        assert_eq!(judge(d("9"), None, None, d("1")), Verdict::Within);
    }
}
