//! Where the build stands: joints begun and not finished, what rests on a step, what a hand-over has to say.

use std::collections::BTreeSet;

use rust_decimal::Decimal;

use crate::procedure::engine::Stage;
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
    /// What people call it: "rod nuts"; the group's id in records of older programs.
    pub name: &'a str,
    /// Stage it has reached; none while the first is in hand.
    pub reached: Option<&'a str>,
    /// Step that takes it further.
    pub next: &'a Step,
    /// Stages still to do.
    pub left: usize,
}

impl Record {
    /// Joints begun and not finished, in the order of the plan. One that an earlier round left half done, or that a change
    /// eased, is among them until its last stage is done.
    #[must_use]
    pub fn open_joints(&self) -> Vec<OpenJoint<'_>> {
        let mut groups: Vec<&str> = Vec::new();
        for group in self.plan().steps.iter().filter_map(|s| s.group.as_deref()) {
            if !groups.contains(&group) {
                groups.push(group);
            }
        }
        let stages = self.stages();
        groups.into_iter().filter_map(|g| self.open_joint(g, stages.get(g).copied())).collect()
    }

    fn open_joint<'a>(&'a self, group: &'a str, reached: Option<&'a str>) -> Option<OpenJoint<'a>> {
        let of_group = |operation: &'static str| {
            let steps = self.plan().steps.iter().filter(move |s| s.operation == operation);
            steps.filter(move |s| s.group.as_deref() == Some(group)).map(|s| (s, self.step_state(&s.id)))
        };
        let left: Vec<&Step> = of_group("tighten").filter(|(_, s)| *s != StepState::Done).map(|(s, _)| s).collect();
        let next = left.first()?;
        let mut turned = of_group("tighten").chain(of_group("release"));
        let begun = turned.any(|(_, state)| state != StepState::ToDo);
        // What was final when the round began is so until a bolt of it is eased.
        let half = reached.and_then(Stage::named).is_some_and(|stage| stage < Stage::Final);
        let goes_on = of_group("release").next().is_none() && reached.is_some();
        ((begun || half || goes_on) && !self.is_apart(next)).then_some(OpenJoint {
            group,
            name: next.joint.as_deref().unwrap_or(group),
            reached,
            next,
            left: left.len(),
        })
    }

    /// A part of the joint was taken off in this round and is not on again: nobody takes it for tight.
    fn is_apart(&self, joint: &Step) -> bool {
        let mut off: BTreeSet<&str> = BTreeSet::new();
        for step in self.plan().steps.iter().filter(|s| self.step_state(&s.id) == StepState::Done) {
            off.extend(step.removes.iter().map(String::as_str));
            step.adds.iter().for_each(|part| {
                off.remove(part.as_str());
            });
        }
        joint.parts.iter().any(|p| off.contains(p.as_str()))
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
