//! `review BUILD`: a record to read, on the screen or for a program.

use std::path::PathBuf;

use clap::Args;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Value, json};

use crate::module::near::or_near;
use crate::procedure::plan::Step;
use crate::traveler::event::{Body, Event};
use crate::traveler::instruments::Register;
use crate::traveler::report::{self, Beside, Filter};
use crate::traveler::{IndexedDisc, Kept, Record, Signature, StepState, parts_of};

use super::{Answer, Asked, Failure, out, print};

/// What is shown of the readings; the summary is always whole.
#[derive(Debug, Clone, Default, Args)]
pub struct Shown {
    /// Of this step only
    #[arg(long, value_name = "ID")]
    step: Option<String>,
    /// Of this kind of operation only, like tighten
    #[arg(long, value_name = "KIND")]
    operation: Option<String>,
    /// Of work on this part only
    #[arg(long, value_name = "ID")]
    part: Option<String>,
    /// Entered or measured by this person only
    #[arg(long, value_name = "INITIALS")]
    by: Option<String>,
    /// Taken with this instrument only
    #[arg(long, value_name = "ID")]
    instrument: Option<String>,
    /// With this verdict only
    #[arg(long, value_parser = ["within", "outside", "undecided", "not judged"])]
    verdict: Option<String>,
    /// Not before this day, like 2026-07-14
    #[arg(long, value_name = "DATE")]
    from: Option<String>,
    /// Not after this day
    #[arg(long, value_name = "DATE")]
    until: Option<String>,
}

impl Shown {
    pub fn filter(self) -> Filter {
        Filter {
            step: self.step,
            operation: self.operation,
            part: self.part,
            by: self.by,
            instrument: self.instrument,
            verdict: self.verdict,
            from: self.from,
            until: self.until,
        }
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue review flywheel-015\n  runtrue review flywheel-015 --verdict outside\n  runtrue review flywheel-015 --step inspect-shaft"
)]
pub struct Review {
    /// Build, or a path to a folder that holds a record
    build: String,
    #[command(flatten)]
    shown: Shown,
    /// A file of allowed signers (ssh-keygen): tells whose the signatures are
    #[arg(long, value_name = "FILE")]
    signers: Option<PathBuf>,
}

impl Review {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let record = store.read(&self.build)?;
        let register = Register::load(store.root())?;
        let signatures = store.signatures(&self.build, self.signers.as_deref())?;
        let filter = self.shown.filter();
        known(&record, &filter)?;
        let beside = Beside { register: &register, signatures: Some(&signatures) };
        if asked.json {
            print(&as_json(&record, &beside, &filter));
        } else {
            out(&report::text(&report::review(&record, &beside, &filter)));
        }
        Ok(if record.integrity.whole() { Answer::Yes } else { Answer::No })
    }
}

/// A step or part that the build never had is a slip of the fingers, not a review of nothing.
pub fn known(record: &Record, filter: &Filter) -> Result<(), Failure> {
    let plans = [&record.started().plan.steps, &record.plan().steps];
    let mut steps: Vec<&str> = plans.into_iter().flatten().map(|s| s.id.as_str()).collect();
    let parts = parts_of(record);
    let undone =
        record.events.iter().filter_map(|e| if let Body::Changed(c) = &e.body { Some(&c.plan.steps) } else { None });
    steps.extend(undone.flatten().map(|s| s.id.as_str()));
    let asked = [("step", &filter.step, steps), ("part", &filter.part, parts.into_iter().collect())];
    for (what, asked, all) in asked {
        if let Some(word) = asked.as_deref().filter(|w| !all.contains(w)) {
            let near = or_near(word, all);
            let list = if what == "step" { "runtrue review" } else { "runtrue parts" };
            return Err(Failure::new(format!(
                "there is no {what} \"{word}\" in this build; \"{list} {}\" lists them{near}",
                record.build
            )));
        }
    }
    Ok(())
}

/// The review as JSON.
pub fn as_json(record: &Record, beside: &Beside<'_>, filter: &Filter) -> Value {
    let register = beside.register;
    let steps: Vec<Value> = (0..=record.round()).flat_map(|round| steps_of(record, round, register, filter)).collect();
    json!({
        "build": record.build,
        "module": record.plan().module,
        "serial": record.started().serial,
        "setup": record.plan().setup,
        "state": record.build_state().word(),
        "record": if record.integrity.whole() { "unchanged" } else { "altered" },
        "record_words": record.integrity.words(),
        "practice": record.started().practice, "alone": record.alone(),
        "filtered": !filter.is_empty(),
        "clock_set_back": record.clock_set_back(),
        "closeouts": closeouts(record),
        "signatures": beside.signatures.map(|list| list.iter().map(signature).collect::<Vec<_>>()),
        "parts": super::parts::as_json(record),
        "balance": balance(record),
        "index": index(record),
        "adopted": record.adoptions().last().map(|(a, e)| super::trial::adopted_json(a, e)),
        "trials": super::trial::as_json(record),
        "notes": notes(record),
        "attachments": attachments(record),
        "steps": steps,
    })
}

/// Heavy sides, index and predicted unbalance; null where the plan looks for none.
fn index(record: &Record) -> Value {
    let Some(kept) = record.index_kept() else { return Value::Null };
    let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
    let disc = |d: &IndexedDisc| {
        json!({
            "disc": d.disc, "unbalance_gmm": d.unbalance.to_f64(), "heavy_deg": d.angle.to_f64(), "floor_gmm": d.floor.to_f64(),
            "findable": d.findable(), "hole": number(&d.hole), "hole_found": number(&d.stands),
        })
    };
    json!({
        "step": kept.step, "discs": kept.discs.iter().map(disc).collect::<Vec<_>>(),
        "predicted_gmm": number(&kept.residual), "predicted_deg": number(&kept.angle), "known_within_gmm": number(&kept.within),
        "couple_gmm2": number(&kept.couple), "permitted_gmm": number(&kept.permitted),
        "stands_gmm": number(&kept.stands),
    })
}

/// The steps of one round: what a later round undid is stale, what it took over unfinished is not needed.
fn steps_of(record: &Record, round: u32, register: &Register, filter: &Filter) -> Vec<Value> {
    let Some(then) = record.at_end_of(round) else { return Vec::new() };
    let over = round < record.round();
    let state = |step: &Step| match then.step_state(&step.id) {
        StepState::Done if record.fallen_since(round, &step.id) => "stale",
        StepState::Done => "done",
        StepState::ToDo if !over && then.another_part(&step.id).is_some() => "stale",
        _ if over => "not needed",
        open => open.word(),
    };
    let shown = then.plan().steps.iter().filter(|s| filter.step_fits(s));
    shown.map(|s| step_json(&then, s, (round, state(s)), register, filter)).collect()
}

fn step_json(record: &Record, step: &Step, (round, state): (u32, &str), register: &Register, filter: &Filter) -> Value {
    let kept = step.checks.iter().flat_map(|c| record.readings(&step.id, &c.id));
    let readings: Vec<Value> = kept.filter(|k| filter.fits(step, k)).map(|k| reading_json(&k, register)).collect();
    let release = record.release(&step.id).map(|(r, e)| {
        json!({
            "event": e.header.event, "by": e.header.by, "role": r.role, "at": e.header.at,
            "remote": r.remote.as_ref().map(|r| &r.channel), "taken_by": r.remote.as_ref().map(|r| &r.taken_by),
            "alone": r.alone, "nobody_else": r.nobody_else,
        })
    });
    json!({
        "id": step.id, "round": round, "title": step.title, "state": state, "hold": step.hold,
        "confirmed": record.release(&step.id).map(|(r, _)| r.remote.is_none()), "release": release, "readings": readings,
    })
}

/// A signature, and what came of checking it.
pub fn signature(s: &Signature) -> Value {
    json!({ "file": s.file, "event": s.event, "bytes": s.bytes, "good": s.good, "signer": s.signer, "said": s.said })
}

pub fn closeouts(record: &Record) -> Vec<Value> {
    let list = record.closeouts();
    list.iter().map(|(event, code, _, sha)| json!({ "event": event, "code": code, "sha256": sha })).collect()
}

/// What the record tells of balancing, in the last round that had steps for it; null where none had.
fn balance(record: &Record) -> Value {
    let rounds = report::rounds(record);
    let Some((record, method)) = rounds.iter().rev().find_map(|r| Some((r, r.balance_method()?))) else {
        return Value::Null;
    };
    let values: Vec<Value> = record
        .balance_values()
        .iter()
        .map(|v| {
            let r = v.kept.reading;
            json!({
                "step": v.step.id, "check": v.check.id, "values": v.numbers(), "unit": r.unit, "places": v.check.places,
                "upper": r.upper, "verdict": r.verdict, "because": r.because,
            })
        })
        .collect();
    // What stands last is what the rotor was handed over with.
    let last = |name: &str| {
        let found = record.balance_values().into_iter().rev().find(|v| v.check.id == name)?;
        found.numbers().first().copied()
    };
    let residual =
        last("residual").map(|gmm| vec![gmm]).or_else(|| Some(vec![last("residual-1")?, last("residual-2")?]));
    json!({ "method": method, "residual_gmm": residual, "grade": last("grade"), "values": values })
}

fn notes(record: &Record) -> Vec<Value> {
    let note = |e: &Event| match &e.body {
        Body::Note(n) => Some(
            json!({ "event": e.header.event, "step": n.step, "text": n.text, "by": e.header.by, "at": e.header.at }),
        ),
        _ => None,
    };
    record.events.iter().filter_map(note).collect()
}

fn attachments(record: &Record) -> Vec<Value> {
    let kept = |e: &Event| match &e.body {
        Body::Attached(a) => Some(json!({
            "event": e.header.event, "step": a.step, "text": a.text, "file": a.file, "bytes": a.bytes,
            "sha256": a.sha256, "by": e.header.by, "at": e.header.at,
        })),
        _ => None,
    };
    record.events.iter().filter_map(kept).collect()
}

fn reading_json(kept: &Kept<'_>, register: &Register) -> Value {
    let r = kept.reading;
    let used = r.instrument.as_ref();
    let in_doubt = used.is_some_and(|u| register.doubted(u, kept.measured_at()).is_some());
    json!({
        "in_doubt": in_doubt, "uncertainty": used.and_then(|u| u.uncertainty.as_ref()),
        "check": r.check, "event": kept.event, "entered": r.entered.join(" "), "value": r.values.join(" "), "unit": r.unit,
        "lower": r.lower, "upper": r.upper, "wanted": r.wanted, "verdict": r.verdict, "because": r.because,
        "doubt": r.doubt, "typed": r.typed, "by": kept.by, "role": r.role,
        "instrument": r.instrument.as_ref().map(|i| &i.id), "at": kept.at, "superseded": kept.superseded, "former_part": kept.former, "derived": r.derived,
        "disposition": kept.disposition.map(|(d, _)| d.kind.word()),
        "decided_by": kept.disposition.map(|(_, by)| by),
        "corrects": r.corrects.as_ref().map(|c| c.event), "ended_early": r.ended_early.is_some(),
        "measured_by": r.paper.as_ref().map(|p| &p.measured_by), "measured_at": r.paper.as_ref().map(|p| &p.at), "witness": r.witness,
        "instrument_overdue": r.instrument.as_ref().is_some_and(|i| i.overdue),
        "reason": kept.disposition.map(|(d, _)| d.reason.clone()).or_else(|| r.corrects.as_ref().map(|c| c.reason.clone())),
    })
}
