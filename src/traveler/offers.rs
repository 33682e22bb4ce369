//! Which instruments of the register can decide a check, before it is measured.

use rust_decimal::Decimal;

use crate::mechanics::uncertainty::can_decide;
use crate::procedure::plan::{Acceptance, Check, CheckKind, limit};
use crate::quantity::{Amount, Kind, Unit, unit};

use super::instruments::{Instrument, Register};

/// What an instrument is good for at a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ability {
    /// Some value can be found within with it.
    Decides,
    /// It measures this, its uncertainty is not stated.
    NotStated,
    /// The place to be measured lies outside its range.
    OutOfRange,
    /// Every value near the limits stays undecided, so that none is found within.
    TooCoarse,
}

impl Ability {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Decides => "can decide",
            Self::NotStated => "its uncertainty is not stated",
            Self::OutOfRange => "its range does not reach",
            Self::TooCoarse => "too coarse to decide",
        }
    }
}

/// An instrument of the register, looked at for one check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer<'r> {
    /// The instrument.
    pub instrument: &'r Instrument,
    /// What it is good for.
    pub ability: Ability,
    /// Past its calibration date.
    pub overdue: bool,
}

impl Register {
    /// The instruments that measure what a check asks for, the best first: those that can decide, in date before overdue,
    /// fine before coarse. Retired and faulty ones are left out. Empty for checks without a unit.
    #[must_use]
    pub fn offers(&self, check: &Check, today: &str) -> Vec<Offer<'_>> {
        let Some(to) = check.unit.as_deref().and_then(unit) else {
            return Vec::new();
        };
        if !matches!(check.kind, CheckKind::Measure | CheckKind::Series | CheckKind::Torque) {
            return Vec::new();
        }
        let used = self.instruments.iter().filter(|i| !i.retired && i.faulty.is_none());
        let mut offers: Vec<Offer<'_>> = used
            .filter_map(|i| Some(Offer { instrument: i, ability: ability(i, check, to)?, overdue: i.overdue(today) }))
            .collect();
        offers.sort_by_key(|o| (o.ability, o.overdue, o.instrument.uncertainty_in(to).unwrap_or(Decimal::MAX)));
        offers
    }
}

/// None for an instrument that measures something else, or nothing that it states.
fn ability(instrument: &Instrument, check: &Check, to: &'static Unit) -> Option<Ability> {
    let resolves = instrument.resolution.as_deref().and_then(|r| super::instruments::width(r, to));
    let uncertainty = instrument.uncertainty_in(to);
    if resolves.is_none() && uncertainty.is_none() {
        return None;
    }
    let (lower, upper) = check.limits();
    let place = limit(check.nominal.as_ref()).or(upper).or(lower);
    if let (Some(place), Some((from, to))) = (place, instrument.range.as_deref().and_then(|r| range(r, to)))
        && !(from..=to).contains(&place)
    {
        return Some(Ability::OutOfRange);
    }
    let Some(guard) = uncertainty else {
        return Some(Ability::NotStated);
    };
    // A temperature may be below nothing; a length, a torque, a speed as measured here may not.
    let least = (to.kind != Kind::Temperature).then_some(Decimal::ZERO);
    let plain = check.acceptance == Acceptance::Simple;
    Some(if plain || can_decide(lower, upper, least, guard) { Ability::Decides } else { Ability::TooCoarse })
}

/// A range as people write it, "0 to 150 mm" or "0 mm to 150 mm"; none where it does not read so.
fn range(text: &str, to: &'static Unit) -> Option<(Decimal, Decimal)> {
    let (from, upto) =
        text.split_once(" to ").or_else(|| text.split_once('-')).or_else(|| text.split_once('\u{2013}'))?;
    let upto = Amount::parse_as(upto.trim(), to.kind).ok()?;
    let from = Amount::parse_in(from.trim(), to.kind, Some(upto.unit)).ok()?;
    Some((from.in_unit(to).ok()?, upto.in_unit(to).ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check() -> Check {
        Check {
            prompt: "p".into(),
            unit: Some("mm".into()),
            nominal: Some("25".into()),
            lower: Some("25.000".into()),
            upper: Some("25.021".into()),
            acceptance: Acceptance::Guarded,
            basis: "b".into(),
            ..Check::blank("bore", CheckKind::Measure)
        }
    }

    fn register() -> Register {
        let mut register = Register::default();
        for (id, u, resolution, range, due) in [
            ("caliper", Some("0.03 mm"), None, "0 to 150 mm", "2999-01-01"),
            ("old", Some("2 µm"), None, "20 to 30 mm", "2001-01-01"),
            ("fine", Some("0.003 mm"), None, "20 mm to 30 mm", "2999-01-01"),
            ("small", Some("0.001 mm"), None, "5-10 mm", "2999-01-01"),
            ("bare", None, Some("0.01 mm"), "any", "2999-01-01"),
            ("wrench", Some("1 Nm"), None, "5 to 25 Nm", "2999-01-01"),
            ("gone", Some("0.001 mm"), None, "20 to 30 mm", "2999-01-01"),
        ] {
            let new = Instrument {
                id: id.into(),
                kind: id.into(),
                range: Some(range.into()),
                resolution: resolution.map(str::to_owned),
                uncertainty: u.map(str::to_owned),
                due: Some(due.into()),
                retired: id == "gone",
                faulty: None,
            };
            register.add(new).unwrap();
        }
        register
    }

    #[test]
    fn those_that_decide_come_first_and_the_others_say_why_not() {
        let register = register();
        let said: Vec<(&str, Ability, bool)> = register
            .offers(&check(), "2026-07-14")
            .iter()
            .map(|o| (o.instrument.id.as_str(), o.ability, o.overdue))
            .collect();
        assert_eq!(
            said,
            [
                ("fine", Ability::Decides, false),
                ("old", Ability::Decides, true),
                ("bare", Ability::NotStated, false),
                ("small", Ability::OutOfRange, false),
                ("caliper", Ability::TooCoarse, false),
            ]
        );
    }

    #[test]
    fn a_run_out_is_never_below_nothing() {
        let register = register();
        let run_out = Check { lower: None, upper: Some("0.02".into()), nominal: None, ..check() };
        let offers = register.offers(&run_out, "2026-07-14");
        let caliper = offers.iter().find(|o| o.instrument.id == "caliper").unwrap();
        assert_eq!(caliper.ability, Ability::TooCoarse, "0 read with U 0.03 may be 0.03");
    }
}
