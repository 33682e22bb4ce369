//! Commands that only read: next, builds, review, verify.

use clap::Args;
use serde_json::{Value, json};

use crate::module::printable;
use crate::procedure::plan::{CheckKind, Step};
use crate::traveler::{CheckState, Integrity, Kept, Record};

use super::plan::limits;
use super::{Answer, Asked, Failure, out, print};

#[derive(Debug, Args)]
pub struct Next {
    /// Build
    build: String,
}

impl Next {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        let open = record.open_steps();
        if asked.json {
            let steps: Vec<Value> = open.iter().map(|s| with_state(&record, s)).collect();
            print(&json!({ "build": record.build, "steps": steps }));
            return Ok(Answer::Yes);
        }
        if open.is_empty() {
            out("Every step is done. Close the record with \"runtrue finish\".");
        }
        for step in open {
            out(&printable(&act_on(&record, step)));
        }
        Ok(Answer::Yes)
    }
}

fn with_state(record: &Record, step: &Step) -> Value {
    let mut value = json!(step);
    if let Some(map) = value.as_object_mut() {
        map.insert("state".into(), json!(record.step_state(&step.id).word()));
        let open: Vec<&str> = step
            .checks
            .iter()
            .filter(|c| c.kind != CheckKind::Derived && record.check_state(step, c) != CheckState::Answered)
            .map(|c| c.id.as_str())
            .collect();
        map.insert("open_checks".into(), json!(open));
    }
    value
}

/// A step as text, enough to work from without the screens.
fn act_on(record: &Record, step: &Step) -> String {
    let mut s = format!("{} {} [{}]\n  {}\n", step.number, step.id, record.step_state(&step.id).word(), step.title);
    for caution in &step.cautions {
        s.push_str(&format!("  {}: {}\n", caution.signal.word(), caution.text));
    }
    for (n, action) in (1..).zip(&step.actions) {
        s.push_str(&format!("  {n}. {action}\n"));
    }
    s.push_str(&format!(
        "  Tools: {}\n",
        step.tools.iter().chain(&step.instruments).cloned().collect::<Vec<_>>().join("; ")
    ));
    for check in &step.checks {
        let state = match record.check_state(step, check) {
            CheckState::Answered => "done: ",
            CheckState::Running => "runs: ",
            CheckState::Open | CheckState::Stopped => "OPEN: ",
            CheckState::Blank => "",
        };
        s.push_str(&format!("  - {state}{} ({}): {}\n", check.prompt, check.id, limits(check)));
    }
    if let Some(role) = &step.hold {
        s.push_str(&format!("  Hold: released by the role {role}\n"));
    }
    s
}

#[derive(Debug, Args)]
pub struct Builds {}

impl Builds {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let list = asked.store()?.list();
        if asked.json {
            let builds: Vec<Value> = list
                .iter()
                .map(|l| {
                    let due: Vec<Value> = l.due.iter().map(|(step, at)| json!({ "step": step, "at": at })).collect();
                    json!({
                        "build": l.build, "module": l.module, "serial": l.serial, "state": l.state.map(|s| s.word()), "last_at": l.last_at,
                        "due": due, "practice": l.practice, "steps_done": l.steps_done, "steps_total": l.steps_total, "problem": l.problem,
                    })
                })
                .collect();
            print(&json!({ "builds": builds }));
            return Ok(Answer::Yes);
        }
        if list.is_empty() {
            out(
                "No build yet. Start one with \"runtrue build SPEC --serial S --by INITIALS\", or open the bench with \"runtrue\".",
            );
        }
        for l in list {
            let state = l.state.map_or("unreadable", |s| s.word());
            let practice = if l.practice { ", practice" } else { "" };
            let problem = l.problem.map_or_else(String::new, |p| format!("  {p}"));
            out(&printable(&format!(
                "{:<28} {state:<10} {:>3} of {:<3} {}{practice}{problem}",
                l.build, l.steps_done, l.steps_total, l.last_at
            )));
        }
        Ok(Answer::Yes)
    }
}

#[derive(Debug, Args)]
pub struct Review {
    /// Build
    build: String,
}

impl Review {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        let whole = record.integrity.whole();
        if asked.json {
            print(&review(&record));
        } else {
            out(&super::export::markdown(&record));
        }
        Ok(if whole { Answer::Yes } else { Answer::No })
    }
}

/// The review as JSON.
pub fn review(record: &Record) -> Value {
    let steps: Vec<Value> = record.plan().steps.iter().map(|s| step_json(record, s)).collect();
    json!({
        "build": record.build,
        "module": record.plan().module,
        "serial": record.started().serial,
        "setup": record.plan().setup,
        "state": record.build_state().word(),
        "record": if record.integrity.whole() { "unchanged" } else { "altered" },
        "record_words": record.integrity.words(),
        "practice": record.started().practice,
        "steps": steps,
    })
}

fn step_json(record: &Record, step: &Step) -> Value {
    let readings: Vec<Value> =
        step.checks.iter().flat_map(|c| record.readings(&step.id, &c.id)).map(|k| reading_json(&k)).collect();
    json!({ "id": step.id, "round": 0, "title": step.title, "state": record.step_state(&step.id).word(), "readings": readings })
}

fn reading_json(kept: &Kept<'_>) -> Value {
    let r = kept.reading;
    json!({
        "check": r.check, "event": kept.event, "entered": r.entered.join(" "), "value": r.values.join(" "), "unit": r.unit,
        "lower": r.lower, "upper": r.upper, "verdict": r.verdict, "because": r.because, "by": kept.by, "role": r.role,
        "instrument": r.instrument.as_ref().map(|i| &i.id), "at": kept.at, "superseded": kept.superseded, "derived": r.derived,
        "disposition": kept.disposition.map(|(d, _)| d.kind.word()),
        "reason": kept.disposition.map(|(d, _)| d.reason.clone()).or_else(|| r.corrects.as_ref().map(|c| c.reason.clone())),
    })
}

#[derive(Debug, Args)]
pub struct Verify {
    /// Build
    build: String,
}

impl Verify {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let record = match store.read(&self.build) {
            Ok(record) => record,
            Err(unreadable) => {
                return Self::damaged(&store.integrity(&self.build)?, &unreadable.to_string(), self.build, asked);
            }
        };
        let i = &record.integrity;
        let closeouts = record.closeouts();
        let complete = record.build_state() == crate::traveler::BuildState::Complete;
        let code = closeouts.last().filter(|_| complete).map(|(_, code, _, _)| code.clone());
        if asked.json {
            let list: Vec<Value> = closeouts
                .iter()
                .map(|(event, code, _, sha)| json!({ "event": event, "code": code, "sha256": sha }))
                .collect();
            print(&json!({
                "build": record.build, "events": i.events, "whole": i.whole(), "first_bad_event": i.first_bad.as_ref().map(|(n, _)| n),
                "torn_tail": i.torn_tail > 0, "closeouts": list, "code": code,
            }));
        } else {
            out(&format!("{}: {} events, {}.", record.build, i.events, i.words()));
            if let Some(code) = code {
                out(&format!(
                    "Code of the close-out: {code}. Compare it with the module's plate; only that shows whether whole events were cut off."
                ));
            }
        }
        Ok(if i.whole() && i.torn_tail == 0 { Answer::Yes } else { Answer::No })
    }

    /// The answer where not even the first event can be trusted: "no", with the place.
    fn damaged(i: &Integrity, why: &str, build: String, asked: &Asked) -> Result<Answer, Failure> {
        if asked.json {
            print(&json!({
                "build": build, "events": i.events, "whole": i.whole(), "first_bad_event": i.first_bad.as_ref().map(|(n, _)| n),
                "torn_tail": i.torn_tail > 0, "closeouts": [], "code": null, "reason": why,
            }));
        } else {
            out(why);
        }
        Ok(Answer::No)
    }
}
