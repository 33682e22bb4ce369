//! Where the build stands: joints begun and not finished, what rests on a step, what a hand-over has to say.

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use crate::procedure::meaning::Side;
use crate::procedure::plan::{Check, CheckKind, SeriesRule, Step, limit};

use super::event::{Reading, Verdict};
use super::judge::{summary, value};
use super::record::Record;
use super::state::StepState;

/// A joint that was begun and is not final: it holds less than it looks.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenJoint<'a> {
    /// Fastener group.
    pub group: &'a str,
    /// Stage it has reached; none while the first is in hand.
    pub reached: Option<&'a str>,
    /// Step that takes it further.
    pub next: &'a Step,
    /// Stages still to do.
    pub left: usize,
}

impl Record {
    /// Joints begun and not finished, in the order of the plan.
    #[must_use]
    pub fn open_joints(&self) -> Vec<OpenJoint<'_>> {
        let mut groups: Vec<&str> = Vec::new();
        for group in self.plan().steps.iter().filter_map(|s| s.group.as_deref()) {
            if !groups.contains(&group) {
                groups.push(group);
            }
        }
        groups.into_iter().filter_map(|g| self.open_joint(g)).collect()
    }

    fn open_joint<'a>(&'a self, group: &'a str) -> Option<OpenJoint<'a>> {
        let stages: Vec<(&Step, StepState)> = self
            .plan()
            .steps
            .iter()
            .filter(|s| s.operation == "tighten" && s.group.as_deref() == Some(group))
            .map(|s| (s, self.step_state(&s.id)))
            .collect();
        let reached =
            stages.iter().rev().find(|(_, state)| *state == StepState::Done).and_then(|(s, _)| s.stage.as_deref());
        let begun = stages.iter().any(|(_, state)| *state != StepState::ToDo);
        let left: Vec<&Step> = stages.iter().filter(|(_, s)| *s != StepState::Done).map(|(s, _)| *s).collect();
        let next = left.first().filter(|_| begun)?;
        Some(OpenJoint { group, reached, next, left: left.len() })
    }

    /// Steps begun or done that need this one, directly or through others: what a rework here would disturb.
    #[must_use]
    pub fn built_on(&self, id: &str) -> Vec<&Step> {
        let mut needed: BTreeSet<&str> = BTreeSet::from([id]);
        let mut found = Vec::new();
        // Steps stand in an order in which everything comes after what it needs, so one pass is enough.
        for step in &self.plan().steps {
            if step.id != id && step.after.iter().any(|a| needed.contains(a.as_str())) {
                needed.insert(&step.id);
                if self.step_state(&step.id) != StepState::ToDo {
                    found.push(step);
                }
            }
        }
        found
    }

    /// Steps begun and not done.
    #[must_use]
    pub fn in_hand(&self) -> Vec<&Step> {
        let begun = |s: &&Step| matches!(self.step_state(&s.id), StepState::InHand | StepState::Held);
        self.plan().steps.iter().filter(begun).collect()
    }
}

/// True where a typed value lies inside the limits of a check, taken plainly; also for words and clicks.
#[must_use]
pub fn fits(check: &Check, typed: &str) -> bool {
    let (lower, upper) = check.limits();
    let inside = |v: Decimal| lower.is_none_or(|l| v >= l) && upper.is_none_or(|u| v <= u);
    value(check, typed, true).map_or(true, inside)
}

/// On which side of its limits a reading lies; none where it is not open.
#[must_use]
pub fn side(check: &Check, reading: &Reading) -> Option<Side> {
    match reading.verdict {
        Verdict::Undecided => return Some(Side::Undecided),
        Verdict::Outside => {}
        Verdict::Within | Verdict::NotJudged => return None,
    }
    let number = |v: &String| v.rsplit('=').next()?.parse::<Decimal>().ok();
    let values: Vec<Decimal> = reading.values.iter().filter_map(number).collect();
    if values.is_empty() || matches!(check.kind, CheckKind::Confirm | CheckKind::Gauge | CheckKind::Text) {
        return Some(Side::No);
    }
    let (mean, range, largest) = summary(&values);
    let judged = match check.rule {
        Some(SeriesRule::Mean) => vec![mean],
        Some(SeriesRule::Range) => vec![range],
        Some(SeriesRule::Largest) => vec![largest],
        Some(SeriesRule::Each) | None => values,
    };
    let below = limit(reading.lower.as_ref()).is_some_and(|l| judged.iter().any(|v| *v < l));
    Some(if below { Side::Below } else { Side::Above })
}
