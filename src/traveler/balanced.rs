//! What a record tells of balancing: readings, corrections with their place, what is left, by which method.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::{Check, CheckKind, Step};

use super::adopted::Adopted;
use super::kept::Kept;
use super::record::Record;

/// One value of balancing, in force.
#[derive(Debug, Clone)]
pub struct BalanceValue<'r> {
    /// Its step.
    pub step: &'r Step,
    /// Its check.
    pub check: &'r Check,
    /// The reading.
    pub kept: Kept<'r>,
}

impl BalanceValue<'_> {
    /// Its numbers; none where a computation told none.
    #[must_use]
    pub fn numbers(&self) -> Vec<f64> {
        let number = |v: &String| v.parse::<Decimal>().ok()?.to_f64();
        self.kept.reading.values.iter().filter_map(number).collect()
    }

    /// What counts of it for a reader: with its places and unit.
    #[must_use]
    pub fn words(&self) -> String {
        let values = &self.kept.reading.values;
        if values.is_empty() {
            return self.kept.reading.because.clone();
        }
        let unit = self.check.unit.as_deref().unwrap_or_default();
        let one = |(k, v): (usize, &String)| match self.check.place(k) {
            Some(place) => format!("{place} {v} {unit}").trim_end().to_owned(),
            None => format!("{v} {unit}").trim_end().to_owned(),
        };
        values.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
    }
}

impl Record {
    /// Values of the steps that balance, in the order of the plan; confirmations left out.
    #[must_use]
    pub fn balance_values(&self) -> Vec<BalanceValue<'_>> {
        let steps = self.plan().steps.iter().filter(|s| s.operation == "balance");
        let all = steps.flat_map(|step| step.checks.iter().map(move |check| (step, check)));
        all.filter(|(_, check)| check.kind != CheckKind::Confirm)
            .filter_map(|(step, check)| Some(BalanceValue { step, check, kept: self.reading(&step.id, &check.id)? }))
            .collect()
    }

    /// How the rotor is balanced, in words, where the plan has steps for it.
    #[must_use]
    pub fn balance_method(&self) -> Option<&'static str> {
        let checks = self.plan().steps.iter().filter(|s| s.operation == "balance").flat_map(|s| &s.checks);
        let names = checks.filter_map(|c| Some(c.derive.as_ref()?.by.as_ref()?.name.as_str()));
        names.filter_map(method).next()
    }
}

/// What is left of the unbalance, held against the adopted setup's own speed.
#[derive(Debug, Clone, PartialEq)]
pub struct AtAdopted {
    /// Grade that the residual meets at that speed, mm/s (ISO 21940-11).
    pub grade: f64,
    /// Grade that is wanted.
    pub wanted: f64,
    /// The speed, rpm.
    pub speed_rpm: f64,
    /// Permissible residual unbalance at that speed, g·mm.
    pub permissible_gmm: f64,
    /// The setup in words.
    pub setup: String,
    /// The residual was read in this setup; another one has another mass.
    pub same_setup: bool,
}

impl AtAdopted {
    /// In a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let passes = if self.grade <= self.wanted { "passes" } else { "does not pass" };
        let other = if self.same_setup { "" } else { "; it was read in another setup, so balance this one" };
        format!(
            "Adopted: {}. At its {:.0} rpm ISO 21940-11 permits {:.0} g·mm; what is left meets G {:.2}, G {} is wanted: it {passes}{other}.",
            self.setup, self.speed_rpm, self.permissible_gmm, self.grade, self.wanted
        )
    }
}

impl Record {
    /// The last residual against the speed of the adopted setup; none where nothing is adopted or balanced. A grade goes with the speed:
    /// `G = U·ω/m`.
    #[must_use]
    pub fn balance_at_adopted(&self) -> Option<AtAdopted> {
        self.balance_at(self.adopted()?)
    }

    /// The same for a setup that is about to be adopted.
    pub(super) fn balance_at(&self, adopted: &Adopted) -> Option<AtAdopted> {
        let number = |text: &Option<String>| text.as_ref()?.parse::<f64>().ok();
        let (speed_rpm, wanted) = (number(&adopted.speed_rpm)?, number(&adopted.balance_grade)?);
        // A round that does not balance keeps what an earlier one found.
        let found =
            self.plans_back().flat_map(|plan| plan.steps.iter().map(move |s| (plan, s))).find_map(|(plan, step)| {
                let check = step.checks.iter().find(|c| c.id == "grade")?;
                let kept = self.reading(&step.id, &check.id)?;
                let rpm = check.derive.as_ref()?.by.as_ref()?.with.get("rpm")?.parse::<f64>().ok()?;
                Some((plan, kept.reading.values.first()?.parse::<f64>().ok()?, rpm))
            });
        let (plan, grade, rpm) = found?;
        Some(AtAdopted {
            grade: grade * speed_rpm / rpm,
            wanted,
            speed_rpm,
            permissible_gmm: number(&adopted.permissible_gmm)?,
            setup: adopted.said(),
            same_setup: plan.setup == adopted.setup,
        })
    }
}

/// A method by the name of its computation.
fn method(name: &str) -> Option<&'static str> {
    match name {
        "weigh" => Some("at rest in its bearings, by the masses that start it"),
        "at-rest" => Some("at rest on edges or rollers"),
        "one-plane" => Some("at speed in one plane, amplitude and phase"),
        "no-phase" => Some("at speed in one plane, amplitudes alone"),
        "two-planes" => Some("at speed in two planes, amplitude and phase"),
        _ => None,
    }
}
