//! `verify --recompute`: the plan derived once more from the spec in the record, and every reading judged once more.

use serde_json::{Value, json};

use crate::module::{self, Setup, Source};
use crate::procedure::make_plan;
use crate::procedure::plan::{Plan, Step};
use crate::traveler::Record;

/// Something that comes out differently now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
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

/// All differences, the plan's first. A record is not wrong because the program or its words changed since.
pub fn differences(record: &Record) -> Vec<Difference> {
    let mut out = match plan_now(record) {
        Ok(now) => plans(&record.started().plan, &now),
        Err(why) => vec![Difference {
            event: None,
            step: String::new(),
            check: None,
            field: "plan".into(),
            recorded: format!("{} steps", record.started().plan.steps.len()),
            now: format!("cannot be derived from the spec in the record: {why}"),
        }],
    };
    out.extend(record.judged_again().into_iter().map(|d| Difference {
        event: Some(d.event),
        step: d.step,
        check: Some(d.check),
        field: d.field.to_owned(),
        recorded: d.recorded,
        now: d.now,
    }));
    out
}

fn plan_now(record: &Record) -> Result<Plan, String> {
    let started = record.started();
    let source = Source { name: started.spec_name.clone(), text: started.spec.clone() };
    let module = module::read(&source).map_err(|e| e.to_string())?;
    let setup = Setup::choose(&module, &record.started().plan.setup).map_err(|e| e.to_string())?;
    make_plan(&module, &setup).map_err(|e| e.to_string())
}

fn plans(recorded: &Plan, now: &Plan) -> Vec<Difference> {
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
    out
}

fn of_step(step: &Step, check: Option<&str>, field: &str, recorded: String, now: String) -> Difference {
    Difference {
        event: None,
        step: step.id.clone(),
        check: check.map(str::to_owned),
        field: field.into(),
        recorded,
        now,
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
    let row = |d: &Difference| json!({ "event": d.event, "step": d.step, "check": d.check, "field": d.field, "recorded": d.recorded, "now": d.now });
    json!({ "same": list.is_empty(), "differences": list.iter().map(row).collect::<Vec<_>>() })
}

/// For people.
pub fn lines(list: &[Difference]) -> Vec<String> {
    if list.is_empty() {
        return vec!["Recomputed: the plan and every verdict come out the same.".into()];
    }
    let head = format!("Recomputed: {} differences. The record and its verdicts stay as they are.", list.len());
    let line = |d: &Difference| {
        let check = d.check.as_ref().map_or_else(String::new, |c| format!(" {c}"));
        let entry = d.event.map_or_else(String::new, |e| format!(" (entry {e})"));
        format!("  {}{check}{entry}, {}: recorded {}; now {}", d.step, d.field, d.recorded, d.now)
    };
    std::iter::once(head).chain(list.iter().map(line)).collect()
}
