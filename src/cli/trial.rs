//! `trial BUILD`, `trials BUILD`, `adopt BUILD`: runs of a setup kept, set side by side, and one setup adopted.

use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use crate::module::printable;
use crate::traveler::event::Event;
use crate::traveler::report;
use crate::traveler::{
    Adopted, Disposition, DispositionKind, Paper, Record, SetupRuns, Trial as Run, TrialEntry, setup_said,
};

use super::record::{helper, told};
use super::{Answer, Asked, Failure, csv, out, print, refused, write_line};

#[derive(Debug, Args)]
#[command(
    after_help = "What was not measured is left out. It is refused while the guard step is not done. Values are judged by the limits of the plan; a speed over the limit is kept as outside, stays, and bars further trials, adoption and finish until the design side decides on it (--decide, with --disposition, --reason and --role).\n\nExample: runtrue trial flywheel-014 --speed \"105 rpm\" --run-down \"48 s\" --changed \"baseline\" --by ak --witness jo"
)]
pub struct Trial {
    /// Build
    build: String,
    /// Speed of the rotor that was reached
    #[arg(long, required_unless_present = "decide", value_parser = super::as_typed)]
    speed: Option<String>,
    /// Speed of the driver that was set
    #[arg(long, value_parser = super::as_typed)]
    driver: Option<String>,
    /// Time at that speed
    #[arg(long, value_parser = super::as_typed)]
    held: Option<String>,
    /// Time from cutting the drive to standstill
    #[arg(long, value_parser = super::as_typed)]
    run_down: Option<String>,
    /// Temperature of a bearing after the run; once for each, in the order of the spec
    #[arg(long, value_parser = super::as_typed)]
    bearing: Vec<String>,
    /// Temperature of the room
    #[arg(long, value_parser = super::as_typed)]
    room: Option<String>,
    /// Belt force at its deflection before the run
    #[arg(long, value_parser = super::as_typed)]
    before: Option<String>,
    /// Belt force at its deflection after the run
    #[arg(long, value_parser = super::as_typed)]
    after: Option<String>,
    /// Vibration with unit and place, or in words
    #[arg(long, value_parser = super::as_typed)]
    vibration: Option<String>,
    /// Noise, in words
    #[arg(long, value_parser = super::as_typed)]
    noise: Option<String>,
    /// Smell, in words
    #[arg(long, value_parser = super::as_typed)]
    smell: Option<String>,
    /// What came of it
    #[arg(long, value_parser = super::as_typed)]
    result: Option<String>,
    /// The one thing changed since the run before
    #[arg(long, value_parser = super::as_typed)]
    changed: Option<String>,
    /// Why it was stopped: planned, by hand, tripped
    #[arg(long, value_parser = super::as_typed)]
    stop: Option<String>,
    /// Instrument, as in the register; once for each
    #[arg(long, value_name = "ID")]
    instrument: Vec<String>,
    /// Put this run right; it stays, struck through
    #[arg(long, value_name = "RUN", requires = "reason")]
    correct: Option<u32>,
    /// Decide on this run, which was over its limit
    #[arg(long, value_name = "RUN", conflicts_with_all = ["speed", "correct"], requires_all = ["disposition", "reason", "role"])]
    decide: Option<u32>,
    /// What is decided
    #[arg(long, requires = "decide", value_parser = DispositionKind::ALL.map(|(word, _)| word))]
    disposition: Option<String>,
    /// Role in which it is decided
    #[arg(long, requires = "decide")]
    role: Option<String>,
    /// Why it is put right, or decided so
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: Option<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
    /// The second person at the run
    #[arg(long, value_name = "INITIALS")]
    witness: Option<String>,
    /// Typed from paper
    #[arg(long, requires = "measured_by", requires = "at")]
    from_paper: bool,
    /// Who measured
    #[arg(long, value_name = "INITIALS", requires = "from_paper")]
    measured_by: Option<String>,
    /// When it was measured
    #[arg(long, value_name = "TIME", requires = "from_paper", value_parser = super::as_typed)]
    at: Option<String>,
}

impl Trial {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let build = self.build.clone();
        let mut session = asked.store()?.resume(&build)?;
        helper(session.record(), &self.by);
        if let Some((run, disposition)) = self.decision() {
            let event = refused::kept(session.decide_run(run, disposition, &self.by), &session)?;
            return Ok(decided(asked, &session, run, event));
        }
        let entry = self.entry();
        let done = refused::ran(session.trial(&entry), &session, &entry)?;
        let limits = done.trial.value("speed").map(|v| (v.lower.clone(), v.upper.clone())).unwrap_or_default();
        if asked.json {
            let next: Vec<String> = session.record().open_steps().iter().map(|s| s.id.clone()).collect();
            let mut answer = run_json(&done.trial, session.record().events.last());
            let more =
                json!({ "recorded": true, "event": done.event, "lower": limits.0, "upper": limits.1, "next": next });
            if let (Some(answer), Value::Object(more)) = (answer.as_object_mut(), more) {
                answer.extend(more);
            }
            print(&answer);
        } else {
            out(&said(&done.trial, done.event));
        }
        if let Some(doubt) = &done.trial.doubt {
            eprintln!("{}", printable(&format!("Look again: {doubt}.")));
        }
        Ok(if done.trial.verdict.open() { Answer::No } else { Answer::Yes })
    }

    fn decision(&self) -> Option<(u32, Disposition)> {
        let kind = self.disposition.as_deref().and_then(DispositionKind::of)?;
        let (reason, role) = (self.reason.clone()?, self.role.clone()?);
        Some((self.decide?, Disposition { kind, reason, role }))
    }

    fn entry(self) -> TrialEntry {
        let one = [
            ("speed", self.speed),
            ("driver", self.driver),
            ("held", self.held),
            ("run-down", self.run_down),
            ("room", self.room),
            ("before", self.before),
            ("after", self.after),
            ("vibration", self.vibration),
            ("noise", self.noise),
            ("smell", self.smell),
            ("result", self.result),
            ("changed", self.changed),
            ("stop", self.stop),
        ];
        let mut values: Vec<(String, Vec<String>)> =
            one.into_iter().filter_map(|(check, typed)| Some((check.to_owned(), vec![typed?]))).collect();
        if !self.bearing.is_empty() {
            values.push(("bearing".into(), self.bearing));
        }
        let paper = match (self.from_paper, self.measured_by, self.at) {
            (true, Some(measured_by), Some(at)) => Some(Paper { measured_by, at }),
            _ => None,
        };
        TrialEntry {
            values,
            by: self.by,
            instruments: self.instrument,
            correct: self.correct.zip(self.reason),
            witness: self.witness,
            paper,
            bare: false,
        }
    }
}

/// A decision just kept; exit code 1 while a run still waits.
fn decided(asked: &Asked, session: &crate::traveler::Session, run: u32, event: u64) -> Answer {
    let waits = session.record().run_waits();
    if asked.json {
        print(&json!({ "recorded": true, "event": event, "run": run, "waits": waits }));
    } else {
        let more = waits.as_ref().map_or_else(String::new, |w| format!(" Still open: {w}."));
        out(&format!("Kept as entry {event}: run {run} is decided on.{more}"));
    }
    if waits.is_some() { Answer::No } else { Answer::Yes }
}

/// A run just kept, in a few lines.
fn said(run: &Run, event: u64) -> String {
    let mut lines = vec![format!("Kept as entry {event}, {}.", run.words())];
    let outside = run.values.iter().filter(|v| v.verdict.open());
    lines.extend(outside.map(|v| format!("OUTSIDE  {}: {}, {}", v.check, v.shown(), v.because)));
    lines.extend(run.figures.iter().map(|f| format!("  {} {} {}: {}", f.name, f.value, f.unit, f.words)));
    lines.push("Before the guard is opened: standstill seen, drive isolated, rotor blocked.".into());
    lines.join("\n")
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Text,
    Markdown,
    Html,
    Csv,
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue trials flywheel-014\n  runtrue trials flywheel-014 --format html > trials.html"
)]
pub struct Trials {
    /// Build, or a path to a folder that holds a record
    build: String,
    /// Form
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

impl Trials {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        if asked.json {
            print(&as_json(&record));
        } else {
            match self.format {
                Form::Text => out(&report::text(&report::trials(&record))),
                Form::Markdown => out(&report::markdown(&report::trials(&record))),
                Form::Html => write_line(report::html(&report::trials(&record)).trim_end()),
                Form::Csv => write_line(csv::trials(&record).trim_end()),
            }
        }
        Ok(if record.integrity.whole() { Answer::Yes } else { Answer::No })
    }
}

/// Runs, setups side by side, and what is adopted.
pub fn as_json(record: &Record) -> Value {
    let run = |(t, e): (&Run, &Event)| {
        let mut run = run_json(t, Some(e));
        run["superseded"] = json!(record.corrected_run(e.header.event).is_some());
        run["too_fast"] = json!(t.too_fast());
        run["answer"] = json!(record.run_answer(t, e).filter(|_| t.too_fast()));
        run
    };
    let runs: Vec<Value> = record.trials().into_iter().map(run).collect();
    let setups: Vec<Value> = record.setups_run().iter().map(setup_json).collect();
    json!({
        "build": record.build, "module": record.plan().module, "setup": record.plan().setup,
        "adopted": record.adoptions().last().map(|(a, e)| adopted_json(a, e)),
        "adoptions": record.adoptions().into_iter().map(|(a, e)| adopted_json(a, e)).collect::<Vec<_>>(),
        "refused": record.trial_barred(), "waits": record.run_waits(), "plan": record.running(), "runs": runs, "setups": setups,
    })
}

fn run_json(t: &Run, event: Option<&Event>) -> Value {
    let header = event.map(|e| &e.header);
    json!({
        "run": t.number, "event": header.map(|h| h.event), "at": header.map(|h| &h.at), "by": header.map(|h| &h.by),
        "role": t.role, "round": t.round, "setup": t.setup, "said": setup_said(&t.setup), "verdict": t.verdict.word(),
        "doubt": t.doubt, "corrects": t.corrects, "witness": t.witness, "paper": t.paper, "instruments": t.instruments,
        "values": t.values, "figures": t.figures,
    })
}

fn setup_json(s: &SetupRuns<'_>) -> Value {
    let parts = s.parts.as_ref().and_then(|p| p.as_ref().ok());
    json!({
        "setup": s.setup, "said": s.said, "adopted": s.adopted, "runs": s.runs.len(),
        "speed_rpm": s.most("speed"), "run_down_s": s.last("run-down"), "drag_nm": s.last("drag"),
        "drag_constant_nm": parts.map(|d| d.constant.nm()), "drag_by_speed_nms": parts.map(|d| d.by_speed),
        "drag_why_not": s.parts.as_ref().and_then(|p| p.as_ref().err()),
        "slip_percent": s.last("slip"), "rise_c": s.most("rise"), "tension_lost_percent": s.most("tension-lost"),
        "vibration": s.said_last("vibration"), "noise": s.said_last("noise"), "smell": s.said_last("smell"),
        "result": s.said_last("result"),
    })
}

/// An adoption for programs.
pub fn adopted_json(a: &Adopted, e: &Event) -> Value {
    json!({
        "event": e.header.event, "at": e.header.at, "by": e.header.by, "role": a.role, "setup": a.setup, "said": a.said(),
        "round": a.round, "reason": a.reason, "speed_rpm": a.speed_rpm, "balance_grade": a.balance_grade,
        "permissible_gmm": a.permissible_gmm, "doubt": a.doubt,
    })
}

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue adopt flywheel-014 --reason \"quiet, and the thresher takes no more\" --by mh --role design"
)]
pub struct Adopt {
    /// Build; the setup in hand is adopted
    build: String,
    /// Why this setup
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: String,
    /// Initials of who decides
    #[arg(long, value_name = "INITIALS")]
    by: String,
    /// Role in which it is decided
    #[arg(long)]
    role: String,
}

impl Adopt {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let mut session = asked.store()?.resume(&self.build)?;
        helper(session.record(), &self.by);
        let event = refused::kept(session.adopt(&self.reason, &self.by, &self.role), &session)?;
        let adoptions = session.record().adoptions();
        let Some((adopted, entry)) = adoptions.last() else {
            return Err(Failure::new("the entry is not in the record"));
        };
        if let Some(doubt) = &adopted.doubt {
            eprintln!("{}", printable(&format!("Look again: {doubt}.")));
        }
        if asked.json {
            let mut answer = adopted_json(adopted, entry);
            answer["recorded"] = json!(true);
            print(&answer);
        } else {
            told(asked, &session, event, &format!("Adopted: {}", adopted.said()));
        }
        Ok(Answer::Yes)
    }
}
