//! The week: minutes and waits of a plan, its longest chain, its walk, and what is not done by a given hour.

use std::collections::BTreeMap;

use serde::Serialize;

use super::plan::Step;

/// What a plan takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Schedule {
    /// Working minutes of all steps.
    pub minutes: u32,
    /// Hours until all is done with one pair of hands in the order of the plan; other work goes on during a wait.
    pub hours_alone: f64,
    /// Hours of the longest chain: no number of hands makes it shorter.
    pub hours_least: f64,
    /// Steps of that chain, by id.
    pub longest_chain: Vec<String>,
    /// Changes of place, tool and instrument on the way.
    pub changes: Changes,
}

/// What a walk through the steps changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Changes {
    /// Places.
    pub places: u32,
    /// Main tools; a step without one changes nothing.
    pub tools: u32,
    /// Main instruments.
    pub instruments: u32,
}

/// Schedules the steps of a plan.
#[must_use]
pub fn of(steps: &[Step]) -> Schedule {
    let least = longest(steps);
    let last = least.values().copied().max_by(|a, b| a.0.total_cmp(&b.0));
    Schedule {
        minutes: steps.iter().map(|s| s.minutes).sum(),
        hours_alone: alone(steps).last().map_or(0.0, |(_, end)| *end),
        hours_least: last.map_or(0.0, |(end, _)| end),
        longest_chain: chain(steps, &least),
        changes: changes(steps),
    }
}

/// Steps that one pair of hands does not finish within so many hours, in the order of the plan.
#[must_use]
pub fn not_done_by(steps: &[Step], hours: f64) -> Vec<&Step> {
    alone(steps).into_iter().filter(|(_, end)| *end > hours + 1e-9).map(|(step, _)| step).collect()
}

/// Hours until a step is done with one pair of hands; none where the plan does not have it.
#[must_use]
pub fn done_after(steps: &[Step], id: &str) -> Option<f64> {
    alone(steps).into_iter().find(|(step, _)| step.id == id).map(|(_, end)| end)
}

fn work_h(step: &Step) -> f64 {
    f64::from(step.minutes) / 60.0
}

/// When each step ends with one pair of hands: a wait holds only what comes after it.
fn alone(steps: &[Step]) -> Vec<(&Step, f64)> {
    let mut ends: BTreeMap<&str, f64> = BTreeMap::new();
    let mut hands_free = 0.0_f64;
    let end_of = |step: &Step, ends: &BTreeMap<&str, f64>, free: f64| {
        let after = step.after.iter().filter_map(|id| ends.get(id.as_str())).copied();
        after.fold(free, f64::max) + work_h(step)
    };
    let mut list = Vec::with_capacity(steps.len());
    for step in steps {
        hands_free = end_of(step, &ends, hands_free);
        let end = hands_free + step.wait_h.unwrap_or(0.0);
        ends.insert(&step.id, end);
        list.push((step, end));
    }
    list
}

/// For each step the end of the longest chain up to it, and the step before it on that chain.
fn longest(steps: &[Step]) -> BTreeMap<&str, (f64, Option<&str>)> {
    let mut ends: BTreeMap<&str, (f64, Option<&str>)> = BTreeMap::new();
    for step in steps {
        let before = step.after.iter().filter_map(|id| ends.get_key_value(id.as_str()));
        let before = before.map(|(id, (end, _))| (*end, Some(*id))).max_by(|a, b| a.0.total_cmp(&b.0));
        let (start, from) = before.unwrap_or((0.0, None));
        ends.insert(&step.id, (start + work_h(step) + step.wait_h.unwrap_or(0.0), from));
    }
    ends
}

fn chain(steps: &[Step], ends: &BTreeMap<&str, (f64, Option<&str>)>) -> Vec<String> {
    let end = |id: &str| ends.get(id).map_or(0.0, |(end, _)| *end);
    let mut at = steps.iter().map(|s| s.id.as_str()).max_by(|a, b| end(a).total_cmp(&end(b)));
    let mut list = Vec::new();
    while let Some(id) = at {
        list.push(id.to_owned());
        at = ends.get(id).and_then(|(_, from)| *from);
    }
    list.reverse();
    list
}

fn changes(steps: &[Step]) -> Changes {
    let first = |list: &[String]| list.first().cloned().unwrap_or_default();
    let changed = |a: &str, b: &str| u32::from(a != b && !b.is_empty());
    steps.windows(2).fold(Changes::default(), |sum, pair| Changes {
        places: sum.places + changed(&pair[0].place, &pair[1].place),
        tools: sum.tools + changed(&first(&pair[0].tools), &first(&pair[1].tools)),
        instruments: sum.instruments + changed(&first(&pair[0].instruments), &first(&pair[1].instruments)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::plan::Picture;

    fn step(id: &str, minutes: u32, wait_h: Option<f64>, after: &[&str], place: &str) -> Step {
        Step {
            number: 1,
            id: id.into(),
            operation: "fit".into(),
            title: String::new(),
            parts: Vec::new(),
            place: place.into(),
            group: None,
            joint: None,
            stage: None,
            torque_nm: None,
            sequence: None,
            hold: None,
            minutes,
            wait_h,
            why_now: Vec::new(),
            after: after.iter().map(|a| (*a).to_owned()).collect(),
            cautions: Vec::new(),
            tools: Vec::new(),
            instruments: Vec::new(),
            actions: Vec::new(),
            checks: Vec::new(),
            adds: Vec::new(),
            removes: Vec::new(),
            picture: Picture::Section,
        }
    }

    /// By hand: glue 30 min, cure 4 h from then on; paint 60 min meanwhile; close 30 min after both. One pair of hands is
    /// done after 0.5 + 4 + 0.5 = 5 h, the chain is as long; with a cure of 0.5 h the hands are what takes 2 h.
    #[test]
    fn a_wait_holds_only_what_comes_after_it() {
        let plan = |cure: f64| {
            vec![
                step("glue", 30, None, &[], "bench"),
                step("cure", 0, Some(cure), &["glue"], "bench"),
                step("paint", 60, None, &[], "yard"),
                step("close", 30, None, &["cure", "paint"], "bench"),
            ]
        };
        let long = of(&plan(4.0));
        assert_eq!((long.minutes, long.hours_alone, long.hours_least), (120, 5.0, 5.0));
        assert_eq!(long.longest_chain, ["glue", "cure", "close"]);
        assert_eq!((long.changes.places, long.changes.tools), (2, 0));
        let short = of(&plan(0.5));
        assert_eq!((short.hours_alone, short.hours_least), (2.0, 1.5));
        let late: Vec<String> = not_done_by(&plan(4.0), 1.5).iter().map(|s| s.id.clone()).collect();
        assert_eq!(late, ["cure", "close"]);
        assert!(not_done_by(&plan(4.0), 5.0).is_empty());
    }
}
