//! What is known of each part: lot, heat, serial number, marks, index, and where it sat from when to when.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::procedure::plan::{Check, CheckKind, Step};

use super::event::{Body, Event};
use super::record::Record;
use super::state::StepState;

/// Which hole of a disc stands at position 1.
const INDEX: &str = "index";

/// What may be said of a part.
pub const FACTS: [&str; 6] = ["lot", "heat", "serial", "position", "mark", "index"];

/// Something noted of a part, beside the checks of the steps.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PartNoted {
    /// Part id.
    pub part: String,
    /// Name, one of [`FACTS`], and value.
    pub facts: BTreeMap<String, String>,
}

impl PartNoted {
    /// In a few words.
    #[must_use]
    pub fn words(&self) -> String {
        let facts: Vec<String> = self.facts.iter().map(|(name, value)| format!("{name} {value}")).collect();
        format!("{}: {}", self.part, facts.join(", "))
    }
}

/// A part of the plan with its history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartHistory {
    /// Part id.
    pub part: String,
    /// What happened to it, oldest first.
    pub history: Vec<PartEvent>,
}

/// One line of a part's history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartEvent {
    /// Event it stands in.
    pub event: u64,
    /// When.
    pub at: String,
    /// Who.
    pub by: String,
    /// Step, where it came from one.
    pub step: Option<String>,
    /// What: a fact, `in place`, `off`.
    pub what: String,
    /// Value of the fact.
    pub value: String,
    /// A later entry says otherwise.
    pub superseded: bool,
}

impl PartEvent {
    /// In a few words.
    #[must_use]
    pub fn words(&self) -> String {
        let old = if self.superseded { " (superseded)" } else { "" };
        format!("{} {}{old}", self.what, self.value).replace("  ", " ").trim().to_owned()
    }
}

impl PartHistory {
    /// Facts in force, the latest of each name.
    #[must_use]
    pub fn facts(&self) -> BTreeMap<&str, &str> {
        let facts = self.history.iter().filter(|h| !h.superseded && !h.value.is_empty());
        facts.map(|h| (h.what.as_str(), h.value.as_str())).collect()
    }
}

/// The parts of a build in order of their names, each with what the record says of it.
#[must_use]
pub fn parts(record: &Record) -> Vec<PartHistory> {
    let mut all: BTreeMap<String, Vec<PartEvent>> = BTreeMap::new();
    for round in (0..=record.round()).filter_map(|round| record.at_end_of(round)) {
        of_round(&round, &mut all);
    }
    for event in &record.events {
        if let Body::Part(noted) = &event.body {
            let history = all.entry(noted.part.clone()).or_default();
            for (name, value) in &noted.facts {
                history.iter_mut().filter(|h| h.what == *name).for_each(|h| h.superseded = true);
                history.push(line(event, None, name, value));
            }
        }
    }
    let sorted = all.into_iter().map(|(part, mut history)| {
        history.sort_by_key(|h| h.event);
        PartHistory { part, history }
    });
    sorted.collect()
}

/// What the steps of one round say of the parts. A fact of a later round stands in the place of the same of an earlier.
fn of_round(record: &Record, all: &mut BTreeMap<String, Vec<PartEvent>>) {
    for step in &record.plan().steps {
        for part in step.parts.iter().chain(&step.adds) {
            all.entry(part.clone()).or_default();
        }
        for check in step.checks.iter().filter(|c| identifies(c)) {
            let lines: Vec<PartEvent> = readings(record, step, check);
            for part in step.parts.iter().filter(|_| !lines.is_empty()) {
                let history = all.entry(part.clone()).or_default();
                let same = history.iter_mut().filter(|h| h.what == check.id && h.step.as_ref() == Some(&step.id));
                same.for_each(|h| h.superseded = true);
                history.extend(lines.iter().cloned());
            }
        }
        for check in step.checks.iter().filter(|c| tells_index(c)) {
            holes(record, step, check, all);
        }
        for (parts, what) in [(&step.adds, "in place"), (&step.removes, "off")] {
            if let Some(done) = done(record, step) {
                for part in parts {
                    all.entry(part.clone()).or_default().push(line(done, Some(&step.id), what, ""));
                }
            }
        }
    }
}

/// Words that tell one part from another, and the number of the part at a place.
fn identifies(check: &Check) -> bool {
    check.asks() == CheckKind::Text || (check.kind == CheckKind::Count && check.id == super::plausible::NUMBER)
}

/// A count of the hole that stands at position 1, for the discs its places name.
fn tells_index(check: &Check) -> bool {
    check.unit.is_none() && check.beside.is_some() && !check.places.is_empty()
}

/// The index of each disc; a later count of it stands in the place of an earlier, whatever step it was made at.
fn holes(record: &Record, step: &Step, check: &Check, all: &mut BTreeMap<String, Vec<PartEvent>>) {
    for kept in record.readings(&step.id, &check.id) {
        for (part, hole) in check.places.iter().zip(&kept.reading.values) {
            let history = all.entry(part.clone()).or_default();
            history.iter_mut().filter(|h| h.what == INDEX).for_each(|h| h.superseded = true);
            history.push(PartEvent {
                event: kept.event,
                at: kept.at.to_owned(),
                by: kept.by.to_owned(),
                step: Some(step.id.clone()),
                what: INDEX.to_owned(),
                value: format!("hole {hole}"),
                superseded: kept.superseded,
            });
        }
    }
}

fn readings(record: &Record, step: &Step, check: &Check) -> Vec<PartEvent> {
    let kept = record.readings(&step.id, &check.id).into_iter();
    kept.map(|k| PartEvent {
        event: k.event,
        at: k.at.to_owned(),
        by: k.by.to_owned(),
        step: Some(step.id.clone()),
        what: check.id.clone(),
        value: k.reading.values.join(" "),
        superseded: k.superseded,
    })
    .collect()
}

/// The entry that a step is done by: its last reading, corrections among them, or its release.
fn done<'r>(record: &'r Record, step: &Step) -> Option<&'r Event> {
    if record.step_state(&step.id) != StepState::Done {
        return None;
    }
    record.events.iter().rev().find(|e| match &e.body {
        Body::Reading(r) => r.step == step.id && !r.derived,
        Body::Release(r) => r.step == step.id,
        _ => false,
    })
}

fn line(event: &Event, step: Option<&str>, what: &str, value: &str) -> PartEvent {
    PartEvent {
        event: event.header.event,
        at: event.header.at.clone(),
        by: event.header.by.clone(),
        step: step.map(str::to_owned),
        what: what.to_owned(),
        value: value.to_owned(),
        superseded: false,
    }
}
