//! Command that only reads: what may be done next, with the limits of each value.

use clap::Args;
use serde_json::{Value, json};

use crate::module::printable;
use crate::procedure::naming;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::event::{Body, Event};
use crate::traveler::instruments::Register;
use crate::traveler::{Ability, CheckState, Offer, Record, is_round, wait_ends};

use super::plan::limits;
use super::{Answer, Asked, Failure, out, print};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue next flywheel-017\n  runtrue next flywheel-017 --json")]
pub struct Next {
    /// Build
    build: String,
}

impl Next {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let record = store.read(&self.build)?;
        let register = Register::load(store.root())?;
        let open = record.open_steps();
        if asked.json {
            let steps: Vec<Value> = open.iter().map(|s| with_state(&record, s, &register)).collect();
            print(&json!({ "build": record.build, "steps": steps }));
            return Ok(Answer::Yes);
        }
        if open.is_empty() {
            out("Every step is done. Close the record with \"runtrue finish\".");
        }
        for step in open {
            out(&printable(&act_on(&record, step, &register)));
        }
        Ok(Answer::Yes)
    }
}

fn with_state(record: &Record, step: &Step, register: &Register) -> Value {
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
        map.insert("part".into(), json!(record.part_words(&step.id)));
        let offers = step.checks.iter().map(|c| json!({ "check": c.id, "instruments": offered(c, register) }));
        map.insert("offers".into(), offers.collect());
    }
    value
}

/// Instruments of the register for a check, the best first.
fn offered(check: &Check, register: &Register) -> Vec<Value> {
    let offers = register.offers(check, &today());
    let row = |o: &Offer<'_>| json!({ "id": o.instrument.id, "decides": o.ability == Ability::Decides, "why": o.ability.words(), "overdue": o.overdue });
    offers.iter().map(row).collect()
}

fn today() -> String {
    chrono::Local::now().date_naive().to_string()
}

/// Which instruments can decide a check, in words; nothing where the register has none of the kind.
fn offer_words(check: &Check, register: &Register) -> String {
    let offers = register.offers(check, &today());
    let name = |o: &Offer<'_>| format!("{}{}", o.instrument.id, if o.overdue { " (OVERDUE)" } else { "" });
    let good: Vec<String> = offers.iter().filter(|o| o.ability == Ability::Decides).map(name).collect();
    match (offers.is_empty(), good.is_empty()) {
        (true, _) => String::new(),
        (false, false) => format!("    measure with: {}\n", good.join(", ")),
        (false, true) => {
            let why: Vec<String> =
                offers.iter().map(|o| format!("{}: {}", o.instrument.id, o.ability.words())).collect();
            format!(
                "    NO instrument of the register can decide ({}); take a better one or a go/no-go gauge\n",
                why.join("; ")
            )
        }
    }
}

/// A step as text, enough to work from without the screens.
fn act_on(record: &Record, step: &Step, register: &Register) -> String {
    let mut s = format!("{} {} [{}]\n  {}\n", step.number, step.id, record.step_state(&step.id).word(), step.title);
    if let Some(words) = record.part_words(&step.id) {
        s.push_str(&format!("  Note: {words}\n"));
    }
    for caution in &step.cautions {
        s.push_str(&format!("  {}: {}\n", caution.signal.word(), caution.text));
    }
    if !step.why_now.is_empty() {
        s.push_str(&format!("  Why now: {}\n", naming::why_now(step, &record.plan().steps)));
    }
    for (n, action) in (1..).zip(&step.actions) {
        s.push_str(&format!("  {n}. {action}\n"));
    }
    s.push_str(&format!("  Tools: {}\n", naming::with(step).join("; ")));
    for check in &step.checks {
        let state = match record.check_state(step, check) {
            CheckState::Answered => "done: ",
            CheckState::Running => "runs: ",
            CheckState::Open | CheckState::Stopped => "OPEN: ",
            CheckState::Blank => "",
        };
        let needed = needed(record, check);
        s.push_str(&format!("  - {state}{}{needed} ({}): {}\n", check.prompt, check.id, limits(check)));
        s.push_str(&offer_words(check, register));
    }
    if let Some(role) = &step.hold {
        let people = record.plan().people.get(role).map_or_else(String::new, |l| l.join(", "));
        s.push_str(&format!("  Hold: released by the role {role} ({people}), not by who made a reading of it\n"));
    }
    s + &what_next(record, step)
}

/// The computed value that has to be known before a check is measured, once it is.
fn needed(record: &Record, check: &Check) -> String {
    let beside = check.beside.as_deref().filter(|_| check.kind != CheckKind::Gauge).and_then(|b| b.split_once('/'));
    let kept = beside.and_then(|(step, id)| record.reading(step, id));
    kept.map_or_else(String::new, |k| {
        format!(
            ", {} {} {}",
            k.reading.check,
            k.reading.values.join(" "),
            k.reading.unit.as_deref().unwrap_or_default()
        )
    })
}

/// The command that takes the step on.
fn what_next(record: &Record, step: &Step) -> String {
    let (build, id) = (&record.build, &step.id);
    let answered = |c: &&Check| record.check_state(step, c) == CheckState::Answered;
    let blank = step.checks.iter().find(|c| c.kind != CheckKind::Derived && !answered(c));
    let stopped = record.stopped_at(id);
    match (blank, &step.hold) {
        _ if !stopped.is_empty() => {
            format!(
                "  Replace: runtrue change {build} --replace {} --reason \"…\" --begin --by INITIALS\n",
                stopped.join(" --replace ")
            )
        }
        (Some(check), _) => {
            let ends =
                wait_ends(record, step, check).filter(|_| record.check_state(step, check) == CheckState::Running);
            let from = ends.map_or_else(String::new, |t| format!(", from {} on", t.format("%Y-%m-%d %H:%M")));
            format!(
                "  Enter{from}: runtrue enter {build} {id} {} {} --by INITIALS\n",
                check.id,
                form(record, step, check)
            )
        }
        (None, Some(role)) if record.waits_for_release(step) => {
            format!("  Release: runtrue release {build} {id} --by INITIALS --role {role}\n")
        }
        (None, _) => {
            let open: Vec<&str> = step.checks.iter().filter(|c| !answered(c)).map(|c| c.id.as_str()).collect();
            format!(
                "  Open: {} is computed and outside; correct the reading it rests on, or have it decided\n",
                open.join(", ")
            )
        }
    }
}

/// How the value of a check is written on the command line.
fn form(record: &Record, step: &Step, check: &Check) -> String {
    let value = || format!("\"… {}\"", check.unit.as_deref().unwrap_or_default()).replace(" \"", "\"");
    let count = check.count.unwrap_or(1);
    match check.asks() {
        CheckKind::Measure | CheckKind::Derived => value(),
        CheckKind::Series => vec![value(); count as usize].join(" "),
        CheckKind::Gauge => "go=yes no-go=no".into(),
        CheckKind::Torque if is_round(check) => "moved=0".into(),
        CheckKind::Torque => format!("clicked={count}/{count}"),
        CheckKind::Confirm => "yes".into(),
        CheckKind::Count => "N".into(),
        CheckKind::Text => "\"…\"".into(),
        CheckKind::Wait if record.check_state(step, check) == CheckState::Running => "done".into(),
        CheckKind::Wait => "started".into(),
    }
}

/// An event in one line.
pub fn event_words(event: &Event) -> String {
    match &event.body {
        Body::Started(s) => format!("started by {}", s.program),
        Body::Reading(r) => format!(
            "{} {}: {} {}, {}",
            r.step,
            r.check,
            r.values.join(" "),
            r.unit.as_deref().unwrap_or_default(),
            r.verdict.word()
        ),
        Body::Disposition(d) => {
            format!("{} {}: {}, {}", d.step, d.check, d.disposition.kind.word(), d.disposition.reason)
        }
        Body::Release(r) => format!("{} released by the role {}", r.step, r.role),
        Body::Note(n) => format!("{}: {}", n.step, n.text),
        Body::Hours(h) => h.words(),
        Body::Part(p) => p.words(),
        Body::Attached(a) => format!("{}: {} ({}, {} bytes)", a.step, a.text, a.file, a.bytes),
        Body::SetAside(s) => format!("last entry incomplete, {} bytes set aside as {}", s.bytes, s.file),
        Body::ClosedOut(_) => "closed out".into(),
        Body::Reopened(r) => format!("reopened: {}", r.reason),
        Body::Changed(c) => format!("round {} begun, {} steps: {}", c.round, c.plan.steps.len(), c.reason),
        Body::Trial(t) => t.words(),
        Body::Adopted(a) => a.words(),
        Body::Unknown => format!("{}, a kind of entry this program does not know", event.header.what),
    }
}
