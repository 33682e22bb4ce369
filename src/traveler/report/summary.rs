//! The head of a review: what, who, when, setup, verdict, open points.

use crate::procedure::plan::Step;
use crate::traveler::alone::alone_words;
use crate::traveler::event::Verdict;
use crate::traveler::instruments::Register;
use crate::traveler::kept::Kept;
use crate::traveler::listing::setup_words;
use crate::traveler::record::Record;
use crate::traveler::state::{BuildState, CheckState, StepState};
use crate::traveler::waits::running_waits;

use super::sections::{all_readings, doubtful, when};
use super::{Beside, Block, signed};

/// Summary and open points.
pub fn summary(record: &Record, rounds: &[Record], beside: &Beside<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    if record.started().practice {
        blocks.push(Block::Warning("NOTICE".into(), "Practice build, no real module.".into()));
    }
    if let Some(reason) = record.alone() {
        blocks.push(Block::Warning("NOTICE".into(), alone_words(reason)));
    }
    if !record.integrity.whole() {
        let words = format!("This record is {}. What follows is what stands before it.", record.integrity.words());
        blocks.push(Block::Warning("WARNING".into(), words));
    }
    blocks.extend(signed::warnings(beside.signatures.unwrap_or_default()));
    let mut facts = facts(record, rounds);
    facts.extend(beside.signatures.into_iter().flat_map(|s| signed::facts(record, s)));
    blocks.push(Block::Facts(facts));
    let open = open_points(record, rounds, beside.register);
    blocks.push(Block::Heading(2, "Open points".into()));
    blocks.push(if open.is_empty() { Block::Text("None.".into()) } else { Block::List(open) });
    blocks.push(Block::Text(
        "Roles are as the spec states them; the program cannot prove who typed. It gives no licence to run a machine."
            .into(),
    ));
    blocks
}

fn facts(record: &Record, rounds: &[Record]) -> Vec<(String, String)> {
    let plan = record.plan();
    let started = record.started();
    let first = record.events.first().map(|e| (e.header.at.as_str(), e.header.by.as_str())).unwrap_or_default();
    let people: Vec<String> = plan.people.iter().map(|(role, list)| format!("{role}: {}", list.join(", "))).collect();
    let mut facts: Vec<(String, String)> = [
        ("Build", record.build.clone()),
        ("Module, revision", format!("{}, {}", plan.module, plan.revision)),
        ("Serial", started.serial.clone()),
        ("Setup", setup_words(&plan.setup)),
        ("Adopted", adopted(record)),
        ("Started", format!("{} by {}", when(first.0), first.1)),
        ("Last entry", record.events.last().map_or_else(String::new, |e| when(&e.header.at))),
        ("People", people.join("; ")),
        ("Hands", hands(record)),
        (
            "State",
            format!(
                "{}, {} of {} steps{} done",
                record.build_state().word(),
                record.steps_done(),
                plan.steps.len(),
                of_round(record)
            ),
        ),
        ("Verdict", verdict(record, rounds)),
        ("Record", record.integrity.words()),
        ("Spec", format!("{}, SHA-256 {}", started.spec_name, plan.spec_sha256)),
        ("Written by", format!("{}, format {}", started.program, started.format)),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into();
    facts.retain(|(name, value)| name != "Adopted" || !value.is_empty());
    let back: Vec<String> = record.clock_set_back().iter().map(u64::to_string).collect();
    if !back.is_empty() {
        facts.push(("Clock".into(), format!("set back before entry {}", back.join(", "))));
    }
    for words in plan.templates.iter().filter(|t| t.overridden) {
        facts.push(("Own words".into(), format!("{}, SHA-256 {}", words.file, words.sha256)));
    }
    for (event, code, closed, _) in record.closeouts() {
        let words = format!("code {code}, {} steps, {} readings", closed.steps, closed.readings);
        facts.push((format!("Closed at entry {event}"), words));
    }
    facts
}

/// The adopted setup in force, and whether it is the one that stands.
fn adopted(record: &Record) -> String {
    let Some(a) = record.adopted() else { return String::new() };
    let stands = if a.setup == record.plan().setup { "" } else { ", NOT the setup in hand" };
    format!("{}{stands} ({})", a.said(), a.role)
}

/// Which steps are counted, where it is not the first build.
fn of_round(record: &Record) -> String {
    if record.round() == 0 { String::new() } else { format!(" of round {}", record.round()) }
}

/// Who made entries, with how many.
fn hands(record: &Record) -> String {
    let mut count = std::collections::BTreeMap::<&str, usize>::new();
    for event in &record.events {
        *count.entry(event.header.by.as_str()).or_default() += 1;
    }
    let list: Vec<String> = count.iter().map(|(by, n)| format!("{by} ({}): {n} entries", record.role(by))).collect();
    list.join(", ")
}

/// The verdict on the whole, in a line.
fn verdict(record: &Record, rounds: &[Record]) -> String {
    let readings: Vec<_> =
        rounds.iter().flat_map(|r| all_readings(r).into_iter().map(move |(s, k)| (r, s, k))).collect();
    // What happened, happened: a deviation that stays is not done away with by a later reading.
    let counts = |(r, s, k): &&(&Record, &Step, Kept<'_>)| record.in_force(k) || r.lasts(s, k);
    let in_force: Vec<_> = readings.iter().filter(counts).map(|(_, s, k)| (s, k)).collect();
    let of = |v: Verdict| in_force.iter().filter(|(_, k)| k.reading.verdict == v).count();
    let accepted = in_force
        .iter()
        .filter(|(_, k)| k.reading.verdict.open() && k.disposition.is_some_and(|(d, _)| d.kind.accepts()))
        .count();
    // Runs over the limit count with the readings.
    let (fast, waiting) = (record.runs_too_fast().len(), usize::from(record.run_to_decide().is_some()));
    let open = of(Verdict::Outside) + of(Verdict::Undecided) - accepted + waiting;
    let whole = match (open, record.build_state()) {
        (0, BuildState::Complete) if accepted == 0 && fast == 0 => "every reading within its limits",
        (0, BuildState::Complete) => "complete, with accepted deviations",
        (0, _) => "nothing outside is unanswered so far",
        _ => "OPEN: readings or runs outside or undecided without an answer",
    };
    format!(
        "{whole}; in force: {} within, {} outside, {} undecided, {} not judged; {accepted} accepted as they are, {} superseded or undone",
        of(Verdict::Within),
        of(Verdict::Outside),
        of(Verdict::Undecided),
        of(Verdict::NotJudged),
        readings.len() - in_force.len()
    )
}

/// What is not settled: readings, holds, waits, releases from afar, doubts, then steps.
fn open_points(record: &Record, rounds: &[Record], register: &Register) -> Vec<String> {
    let mut out = Vec::new();
    for step in &record.plan().steps {
        for check in &step.checks {
            match record.check_state(step, check) {
                CheckState::Open => {
                    out.push(format!("{} of {} is outside or undecided and has no answer", check.id, step.id))
                }
                CheckState::Stopped => out.push(format!("{} of {}: the part is out", check.id, step.id)),
                _ => {}
            }
        }
        let held = step.hold.as_ref().filter(|_| record.waits_for_release(step));
        out.extend(held.map(|role| format!("{} waits for its release by the role {role}", step.id)));
        let remote = record.release(&step.id).filter(|(r, _)| r.remote.is_some());
        out.extend(remote.map(|(_, e)| {
            format!(
                "the release of {} from afar (entry {}) is not confirmed by {} yet",
                step.id, e.header.event, e.header.by
            )
        }));
    }
    out.extend(record.run_waits());
    out.extend(running_waits(record).into_iter().map(|(step, ends)| format!("{step} runs until {}", when(&ends))));
    let doubt = doubtful(rounds, register).len() + record.trials_in_doubt(register).len();
    if doubt > 0 {
        out.push(format!("{doubt} readings in force were taken with an instrument found faulty since"));
    }
    out.extend(overdue(record));
    out.extend(steps_left(record));
    out
}

fn overdue(record: &Record) -> Option<String> {
    let n = record.events.iter().filter(|e| e.used().iter().any(|i| i.overdue)).count();
    (n > 0).then(|| format!("{n} readings were taken with an instrument past its calibration date"))
}

fn steps_left(record: &Record) -> Option<String> {
    const NAMED: usize = 12;
    let ids: Vec<&str> = record
        .plan()
        .steps
        .iter()
        .filter(|s| record.step_state(&s.id) != StepState::Done)
        .map(|s| s.id.as_str())
        .collect();
    let more = ids.len().saturating_sub(NAMED);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    let named = ids.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
    (!ids.is_empty()).then(|| format!("{} steps are not done: {named}{rest}", ids.len()))
}
