//! Which of the gauges named in the steps can decide what they are laid on.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

use crate::mechanics::uncertainty::can_decide;
use crate::procedure::plan::{Acceptance, Check, CheckKind, Step};
use crate::standards::kit::{measures, usual_mm};
use crate::standards::measuring::Measures;

use super::{Line, Undecided};

/// The narrowest check that a gauge has to decide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Judges {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Largest expanded uncertainty that still decides it, mm.
    pub uncertainty_at_most: String,
    /// Usual uncertainty of such a gauge, mm; none where the table has none.
    pub usual: Option<String>,
}

/// Writes on each gauge what it has to decide, and gives back the checks that no gauge named there can decide.
pub fn judge(steps: &[Step], lines: &mut [Line]) -> Vec<Undecided> {
    let mut undecided: Vec<Undecided> = Vec::new();
    for step in steps {
        for check in &step.checks {
            let Some(asked) = Asked::of(check) else { continue };
            let usual = step.instruments.iter().map(|i| (i, usual_mm(i, asked.measures, asked.size)));
            let can: Vec<(&String, f64)> = usual.filter_map(|(i, u)| Some((i, u?))).collect();
            // One too coarse is there for another check of the step.
            for (name, u) in can.iter().filter(|(_, u)| asked.decides(*u)) {
                note(lines, name, step, check, &asked, *u);
            }
            // A go and no-go gauge beside it decides where no measured value can.
            let gauged = step.checks.iter().any(|c| c.kind == CheckKind::Gauge);
            let told = |u: &Undecided| u.step == step.id && u.check == check.id;
            if !gauged && !can.iter().any(|(_, u)| asked.decides(*u)) && !undecided.iter().any(told) {
                undecided.push(Undecided {
                    step: step.id.clone(),
                    check: check.id.clone(),
                    uncertainty_at_most: asked.room.normalize().to_string(),
                    instruments: step.instruments.clone(),
                });
            }
        }
    }
    undecided
}

/// Keeps the check on the gauge's line if it is narrower than what stands there.
fn note(lines: &mut [Line], name: &str, step: &Step, check: &Check, asked: &Asked, u: f64) {
    let Some(line) = lines.iter_mut().find(|l| l.name == name) else { return };
    let before = line.judges.as_ref().and_then(|j| j.uncertainty_at_most.parse::<Decimal>().ok());
    if before.is_none_or(|room| asked.room < room) {
        line.judges = Some(Judges {
            step: step.id.clone(),
            check: check.id.clone(),
            uncertainty_at_most: asked.room.normalize().to_string(),
            usual: Some(u.to_string()),
        });
    }
}

/// A check whose limits come from a drawing or fit, in mm.
struct Asked {
    measures: Measures,
    size: f64,
    lower: Option<Decimal>,
    upper: Option<Decimal>,
    /// Largest uncertainty that leaves a value to be found within.
    room: Decimal,
}

impl Asked {
    fn of(check: &Check) -> Option<Self> {
        let entered = matches!(check.kind, CheckKind::Measure | CheckKind::Series);
        if !entered || check.acceptance != Acceptance::Guarded || check.unit.as_deref() != Some("mm") {
            return None;
        }
        let read = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<Decimal>().ok());
        let (lower, upper) = (read(&check.lower), read(&check.upper));
        let room = match (lower, upper) {
            (Some(a), Some(b)) => (b - a) / Decimal::TWO,
            (None, Some(b)) => b,
            // A lower limit alone leaves all the room above it.
            _ => return None,
        };
        let size = read(&check.nominal).or(upper).and_then(|s| s.to_f64())?;
        Some(Self { measures: measures(&check.id)?, size, lower, upper, room })
    }

    fn decides(&self, u: f64) -> bool {
        let Some(guard) = Decimal::from_f64_retain(u).map(|u| u.round_dp(4)) else { return false };
        can_decide(self.lower, self.upper, Some(Decimal::ZERO), guard)
    }
}
