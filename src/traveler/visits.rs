//! Visits to a module that has run: what each joint was left at, what is found, what that tells, and what has to be decided
//! before it is made good.

use chrono::NaiveDate;
use rust_decimal::Decimal;

use crate::module::{self, Setup, Source};
use crate::procedure::engine::Stage;
use crate::procedure::follow_up;
use crate::procedure::plan::{Check, CheckKind, FollowUp, Left, Moment, SeriesRule, Step, Visit};
use crate::standards::settling::plain_loss;

use super::changing::{CannotChange, Goal, cannot};
use super::judge::Judged;
use super::kept::Kept;
use super::record::Record;
use super::state::{CheckState, StepState};

/// Joints asked for by name, all of them, or what is due by a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wanted {
    /// Everything that is followed up.
    All,
    /// These ids.
    Named(Vec<String>),
    /// What is due by that day.
    DueBy(NaiveDate),
}

impl Record {
    /// What is followed up: as the plan says, else put down from the spec in the record.
    ///
    /// # Errors
    /// [`CannotChange`] where the spec does not read any more.
    pub fn followed(&self) -> Result<Vec<FollowUp>, CannotChange> {
        if self.follows_up() {
            return Ok(self.plan().follow_up.clone());
        }
        let source = Source { name: "the record's spec".into(), text: self.spec().to_owned() };
        let module = module::read(&source).map_err(|p| cannot(p.to_string()))?;
        let setup = Setup::choose(&module, &self.plan().setup).map_err(|e| cannot(e.to_string()))?;
        follow_up::of_module(&module, &setup).map_err(|e| cannot(e.to_string()))
    }

    /// The goal of a visit.
    ///
    /// # Errors
    /// [`CannotChange`] where work is still open, a joint is not followed up, or nothing is due.
    pub fn visit(&self, wanted: &Wanted) -> Result<Goal, CannotChange> {
        let open: Vec<&str> = self.open_steps().iter().map(|s| s.id.as_str()).collect();
        if let Some(first) = open.first() {
            return Err(cannot(format!("the work in hand is not finished, {first} is open; a visit begins after it")));
        }
        let all = self.followed()?;
        let ids = || all.iter().map(|f| f.id.as_str()).collect::<Vec<_>>().join(", ");
        let chosen: Vec<&FollowUp> = match wanted {
            Wanted::All => all.iter().collect(),
            Wanted::Named(names) => {
                if let Some(name) = names.iter().find(|n| all.iter().all(|f| f.id != **n)) {
                    return Err(cannot(format!("\"{name}\" is nothing that is looked at again; these are: {}", ids())));
                }
                all.iter().filter(|f| names.contains(&f.id)).collect()
            }
            Wanted::DueBy(_) if !self.follows_up() => {
                return Err(cannot(format!(
                    "the plan of this record was made before it said what is due; name what to look at with --joint, or --all: {}",
                    ids()
                )));
            }
            Wanted::DueBy(day) => {
                let due: Vec<String> = self.due().into_iter().filter(|d| d.now(*day)).map(|d| d.id).collect();
                all.iter().filter(|f| due.contains(&f.id)).collect()
            }
        };
        if chosen.is_empty() {
            return Err(cannot(format!("nothing is due; name what to look at with --joint, or --all: {}", ids())));
        }
        let visit: Visit = chosen.into_iter().map(|f| (f.id.clone(), self.left_at(f))).collect();
        Ok(Goal { visit: Some(visit), ..Goal::default() })
    }

    /// What a joint was left at the last time: the least value of the last full torque or belt force that set it, within its limits
    /// or accepted.
    #[must_use]
    pub fn left_at(&self, f: &FollowUp) -> Option<Left> {
        self.set_to(f).pop()
    }

    /// Every value that a joint was set to or left at, oldest first.
    pub(super) fn set_to(&self, f: &FollowUp) -> Vec<Left> {
        let steps = f.set_by.iter().chain([&f.step]);
        let mut all: Vec<Left> = steps
            .flat_map(|step| self.readings_of(step))
            .filter(|k| (!k.reading.verdict.open() || k.accepted()) && !k.superseded && self.at_last_torque(k))
            .filter_map(|k| {
                let check = self.check_answered(&k)?;
                let found = check.found.as_ref().is_some_and(|found| found.moment == Moment::AsFound);
                if !tells(f, check) {
                    return None;
                }
                let values = numbers(check, &k.reading.values)?;
                let value = if found { None } else { worst(check, &values) }?;
                Some(Left { value: value.normalize().to_string(), event: k.event, at: k.at.to_owned() })
            })
            .collect();
        all.sort_by_key(|left| left.event);
        all
    }

    /// True where a reading is not one of a pass below the full torque; belts have no passes.
    pub(super) fn at_last_torque(&self, k: &Kept<'_>) -> bool {
        let plan = self.plan_of(k.reading.round);
        let step = plan.and_then(|p| p.steps.iter().find(|s| s.id == k.reading.step));
        let full = [Stage::Final, Stage::Circular].map(|stage| stage.to_string());
        step.is_some_and(|s| s.stage.as_ref().is_none_or(|stage| full.contains(stage)))
    }

    /// The check that a reading answers, as the plan of its round has it.
    pub(super) fn check_answered(&self, k: &Kept<'_>) -> Option<&Check> {
        let step = self.plan_of(k.reading.round)?.steps.iter().find(|s| s.id == k.reading.step)?;
        step.checks.iter().find(|c| c.id == k.reading.check)
    }

    /// Why the value of a joint as left may not be entered yet: it is read as found first, and what is far off is decided
    /// before it is made good.
    pub(super) fn not_found_yet(&self, step: &Step, check: &Check) -> Option<String> {
        if check.found.as_ref().is_none_or(|f| f.moment != Moment::AsLeft) {
            return None;
        }
        let as_found = step.checks.iter().filter(|c| c.found.as_ref().is_some_and(|f| f.moment == Moment::AsFound));
        as_found.into_iter().find_map(|c| match self.check_state(step, c) {
            CheckState::Answered => None,
            CheckState::Blank | CheckState::Running => {
                Some(format!("{} comes after {}: what is found is read before anything is changed", check.id, c.id))
            }
            CheckState::Open | CheckState::Stopped => Some(format!(
                "{} comes after a decision on {}: it was found outside its limits, so say what caused it before it is made good (--disposition, with reason and role)",
                check.id, c.id
            )),
        })
    }

    /// True while a visit is in hand.
    #[must_use]
    pub fn on_visit(&self) -> bool {
        let visit = self.changed().is_some_and(|c| c.visit.is_some());
        visit && self.plan().steps.iter().any(|s| self.step_state(&s.id) != StepState::Done)
    }
}

/// The numbers of a reading: torques bolt by bolt or the torque clicked to, forces. None for words and rounds.
pub(super) fn numbers(check: &Check, values: &[String]) -> Option<Vec<Decimal>> {
    match check.kind {
        CheckKind::Torque if check.unit.is_some() => match values {
            [one] if one.starts_with("clicked=") => Some(vec![check.nominal.as_deref()?.parse().ok()?]),
            list => list.iter().map(|v| v.split_once('=')?.1.parse().ok()).collect(),
        },
        CheckKind::Series if matches!(check.unit.as_deref(), Some("N" | "N·m")) => {
            values.iter().map(|v| v.parse().ok()).collect()
        }
        _ => None,
    }
}

/// The check says how the joint itself stands: of a belt its force, not the torque of the sled's bolts that its visit asks as well.
pub(super) fn tells(f: &FollowUp, check: &Check) -> bool {
    check.unit.as_deref() == Some(if f.joint == "belt" { "N" } else { "N·m" })
}

/// The value that counts of a joint: the least of its bolts, the mean of the readings on one belt.
pub(super) fn worst(check: &Check, values: &[Decimal]) -> Option<Decimal> {
    if check.rule == Some(SeriesRule::Mean) {
        return super::judge::exact_summary(values).map(|(mean, _, _)| mean.round_dp(3));
    }
    values.iter().min().copied()
}

/// Loss from what was left to what is found, in per cent; none where nothing was left.
pub(super) fn loss(left: Decimal, found: Decimal) -> Option<Decimal> {
    if left <= Decimal::ZERO {
        return None;
    }
    let lost = left.checked_sub(found)?.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(left)?;
    Some(lost.round_dp(1).normalize())
}

/// What a reading as found tells of the time since, added to its verdict; none for any other.
pub(super) fn since_left(check: &Check, judged: &Judged) -> Option<String> {
    let last = check.found.as_ref().filter(|f| f.moment == Moment::AsFound)?.last.as_ref()?;
    let found = worst(check, &numbers(check, &judged.values)?)?;
    let lost = loss(last.value.parse().ok()?, found)?;
    let unit = check.unit.as_deref().unwrap_or_default();
    let word = if lost > Decimal::ZERO { format!("settled by {lost} %") } else { "nothing lost".to_owned() };
    let share = Decimal::from_f64_retain(plain_loss().0 * 100.0).unwrap_or_default();
    let more = if unit == "N·m" && lost > share { ", more than settling alone explains" } else { "" };
    Some(format!("; {word} since entry {} ({} {unit} left){more}", last.event, last.value))
}
