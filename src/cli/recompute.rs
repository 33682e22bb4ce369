//! `verify --recompute`: the plan of every round derived once more from the specs in the record, and every reading judged
//! once more by the plan of its own round.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use crate::module::{self, Module, Setup, Source};
use crate::procedure::change::{Change, RENEWED, Touched, Undone};
use crate::procedure::plan::{Plan, Step};
use crate::procedure::{Words, make_plan};
use crate::traveler::rounds::Changed;
use crate::traveler::{Record, way};

/// Something that comes out differently now.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Difference {
    /// Round of work: 0 for the first build.
    pub round: u32,
    /// Event, for a reading.
    pub event: Option<u64>,
    /// Step id; empty for the whole plan.
    pub step: String,
    /// Check id, if one.
    pub check: Option<String>,
    /// What differs.
    pub field: String,
    /// As the record has it.
    pub recorded: String,
    /// As it comes out now.
    pub now: String,
}

/// All differences, the plans' first. A record is not wrong because the program or its words changed since.
pub fn differences(record: &Record) -> Vec<Difference> {
    let mut out = of_first(record).unwrap_or_else(|why| vec![not_derived(0, &record.started().plan, &why)]);
    for changed in record.changes() {
        let found = of_change(record, changed);
        out.extend(found.unwrap_or_else(|why| vec![not_derived(changed.round, &changed.plan, &why)]));
    }
    out.extend(record.judged_again().into_iter().map(|d| Difference {
        round: d.round,
        event: Some(d.event),
        step: d.step,
        check: Some(d.check),
        field: d.field.to_owned(),
        recorded: d.recorded,
        now: d.now,
    }));
    out
}

fn not_derived(round: u32, plan: &Plan, why: &str) -> Difference {
    Difference {
        round,
        field: "plan".into(),
        recorded: format!("{} steps", plan.steps.len()),
        now: format!("cannot be derived from the spec in the record: {why}"),
        ..Difference::default()
    }
}

fn of_first(record: &Record) -> Result<Vec<Difference>, String> {
    let started = record.started();
    let (module, setup) = read(&started.spec_name, &started.spec, &started.plan)?;
    Ok(plans(0, &started.plan, &make_plan(&module, &setup).map_err(|e| e.to_string())?))
}

fn read(name: &str, spec: &str, plan: &Plan) -> Result<(Module, Setup), String> {
    let module = module::read(&Source { name: name.to_owned(), text: spec.to_owned() }).map_err(|e| e.to_string())?;
    let setup = Setup::choose(&module, &plan.setup).map_err(|e| e.to_string())?;
    Ok((module, setup))
}

/// The way of a changeover, service or rework found once more, from what stood when it was begun.
fn of_change(record: &Record, changed: &Changed) -> Result<Vec<Difference>, String> {
    let before = record.at_end_of(changed.round - 1).ok_or("the round before it is missing")?;
    let (module, setup) = read(&record.started().spec_name, &changed.spec, &changed.plan)?;
    let adopted = before.adopts(&setup.values);
    let setup = setup.as_adopted(adopted);
    // A record may say what failed only by the steps that fell with it.
    let renewed = || changed.undone.iter().filter(|u| u.because == RENEWED).map(|u| u.step.clone()).collect();
    let failed = if changed.failed.is_empty() { renewed() } else { changed.failed.clone() };
    let words = Words::built_in().map_err(|e| e.to_string())?;
    let way = way(&before, &failed, &module, &setup, words, changed.visit.as_ref()).map_err(|e| e.to_string())?;
    let mut out = plans(changed.round, &changed.plan, &way.plan);
    out.extend(lists(changed, &way));
    Ok(out)
}

/// What the change undid, disturbed, judged anew and left standing.
fn lists(changed: &Changed, way: &Change) -> Vec<Difference> {
    let checks = |list: &[Touched]| list.iter().map(|t| format!("{} {}", t.step, t.check)).collect::<BTreeSet<_>>();
    let steps = |list: &[Undone]| list.iter().map(|u| u.step.clone()).collect::<BTreeSet<_>>();
    let pairs = [
        ("undone", steps(&changed.undone), steps(&way.undone)),
        ("stale", checks(&changed.stale), checks(&way.stale)),
        ("rejudged", checks(&changed.rejudged), checks(&way.rejudged)),
        ("standing", changed.standing.clone(), way.standing.clone()),
    ];
    let only = |a: &BTreeSet<String>, b: &BTreeSet<String>| {
        let more: Vec<&str> = a.difference(b).map(String::as_str).collect();
        if more.is_empty() { "nothing more".to_owned() } else { more.join(", ") }
    };
    let differ = pairs.into_iter().filter(|(_, recorded, now)| recorded != now);
    differ
        .map(|(field, recorded, now)| Difference {
            round: changed.round,
            field: field.into(),
            recorded: only(&recorded, &now),
            now: only(&now, &recorded),
            ..Difference::default()
        })
        .collect()
}

/// Step by step.
fn plans(round: u32, recorded: &Plan, now: &Plan) -> Vec<Difference> {
    let mut out = Vec::new();
    for step in &recorded.steps {
        match now.steps.iter().find(|s| s.id == step.id) {
            None => out.push(of_step(step, None, "step", step.title.clone(), "is not in the plan".into())),
            Some(other) => steps(step, other, &mut out),
        }
    }
    for step in now.steps.iter().filter(|s| recorded.steps.iter().all(|r| r.id != s.id)) {
        out.push(of_step(step, None, "step", "is not in the plan".into(), step.title.clone()));
    }
    // Records of older programs have none of these figures.
    if let (Some(was), Some(is)) = (&recorded.running, &now.running) {
        let differs = |d: Difference| Difference { step: "speed trials".into(), ..d };
        let mut found = Vec::new();
        fields(&was.trial, None, &json!(was), &json!(is), &mut found);
        out.extend(found.into_iter().map(differs));
    }
    out.iter_mut().for_each(|d| d.round = round);
    out
}

fn of_step(step: &Step, check: Option<&str>, field: &str, recorded: String, now: String) -> Difference {
    Difference {
        step: step.id.clone(),
        check: check.map(str::to_owned),
        field: field.into(),
        recorded,
        now,
        ..Difference::default()
    }
}

fn steps(recorded: &Step, now: &Step, out: &mut Vec<Difference>) {
    let (a, b) = (json!(recorded), json!(now));
    fields(recorded, None, &a, &b, out);
    for check in &recorded.checks {
        match now.checks.iter().find(|c| c.id == check.id) {
            None => {
                out.push(of_step(recorded, Some(&check.id), "check", check.prompt.clone(), "is not asked for".into()))
            }
            Some(other) => fields(recorded, Some(&check.id), &json!(check), &json!(other), out),
        }
    }
    for check in now.checks.iter().filter(|c| recorded.checks.iter().all(|r| r.id != c.id)) {
        out.push(of_step(recorded, Some(&check.id), "check", "is not asked for".into(), check.prompt.clone()));
    }
}

/// Field by field; the checks of a step have their own turn.
fn fields(step: &Step, check: Option<&str>, recorded: &Value, now: &Value, out: &mut Vec<Difference>) {
    let Some(map) = recorded.as_object() else {
        return;
    };
    for (name, value) in map.iter().filter(|(name, _)| *name != "checks") {
        let other = &now[name.as_str()];
        if value != other {
            out.push(of_step(step, check, name, plain(value), plain(other)));
        }
    }
}

fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// For programs.
pub fn as_json(list: &[Difference]) -> Value {
    let row = |d: &Difference| json!({ "round": d.round, "event": d.event, "step": d.step, "check": d.check, "field": d.field, "recorded": d.recorded, "now": d.now });
    json!({ "same": list.is_empty(), "differences": list.iter().map(row).collect::<Vec<_>>() })
}

/// For people.
pub fn lines(list: &[Difference]) -> Vec<String> {
    if list.is_empty() {
        return vec!["Recomputed: the plan of every round and every verdict come out the same.".into()];
    }
    let head = format!("Recomputed: {} differences. The record and its verdicts stay as they are.", list.len());
    let line = |d: &Difference| {
        let check = d.check.as_ref().map_or_else(String::new, |c| format!(" {c}"));
        let entry = d.event.map_or_else(String::new, |e| format!(" (entry {e})"));
        let step = if d.step.is_empty() { "the whole plan" } else { d.step.as_str() };
        format!("  round {}, {step}{check}{entry}, {}: recorded {}; now {}", d.round, d.field, d.recorded, d.now)
    };
    std::iter::once(head).chain(list.iter().map(line)).collect()
}
