//! `due`: what is to be looked at again, when and why. `hours`: how long a module has run.

use chrono::{Local, NaiveDate, Utc};
use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use crate::traveler::instruments::Register;
use crate::traveler::report::{self, CalendarEntry, DueOf};
use crate::traveler::{Due as One, Record, Store, running_waits};

use super::record::helper;
use super::{Answer, Asked, Failure, out, print, write_line};

/// Of all builds only what comes within so many days is told, unless a day is named.
const AHEAD: u64 = 30;

#[derive(Debug, Args)]
#[command(
    after_help = "Of one build everything is told, and the exit code is 1 while something is overdue. Of all builds what comes within 30 days, exit code 0; practice builds are left out.\n\nExamples:\n  runtrue due flywheel-013\n  runtrue due --until 2026-12-31 --format ics > due.ics"
)]
pub struct Due {
    /// Build, or a path to a folder that holds a record; all builds without it
    build: Option<String>,
    /// Up to this day
    #[arg(long, value_name = "DATE")]
    until: Option<NaiveDate>,
    /// Form
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

/// Forms of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Form {
    Text,
    Markdown,
    Html,
    /// A calendar file (iCalendar)
    Ics,
}

impl Due {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let today = Local::now().date_naive();
        let until = self.until.or_else(|| self.build.is_none().then(|| today + chrono::Days::new(AHEAD)));
        let records = match &self.build {
            Some(build) => vec![store.read(build)?],
            None => with_due(&store, until)?,
        };
        let register = Register::load(store.root())?;
        let lists: Vec<(&Record, Vec<One>)> = records.iter().map(|r| (r, due_until(r, until))).collect();
        if asked.json {
            print(&as_json(&lists, &register, today, until));
        } else {
            let of = |(record, due): &(&Record, Vec<One>)| DueOf {
                build: record.build.clone(),
                title: record.plan().title.clone(),
                due: due.clone(),
                beside: beside(record, &register, today),
            };
            let listed: Vec<DueOf> = lists.iter().map(of).collect();
            let entries = || entries(&lists);
            shown(self.format, &listed, entries, today);
        }
        let overdue = self.build.is_some() && lists.iter().any(|(_, due)| due.iter().any(|d| d.overdue(today)));
        Ok(if overdue { Answer::No } else { Answer::Yes })
    }
}

/// Prints the list in its form.
pub fn shown(form: Form, list: &[DueOf], entries: impl Fn() -> Vec<CalendarEntry>, today: NaiveDate) {
    match form {
        Form::Text => out(&report::text(&report::due(list, today))),
        Form::Markdown => out(&report::markdown(&report::due(list, today))),
        Form::Html => out(&report::html(&report::due(list, today))),
        // The line ends are the standard's; the last one is written with the line.
        Form::Ics => write_line(report::calendar(&entries(), Utc::now()).trim_end_matches('\n')),
    }
}

fn entries(lists: &[(&Record, Vec<One>)]) -> Vec<CalendarEntry> {
    let of = |(record, due): &(&Record, Vec<One>)| {
        // A copy of a record, whatever its folder is called, makes the same entries.
        let whose = record.events.first().map_or_else(String::new, |e| e.hash.clone());
        due.iter().filter_map(|d| CalendarEntry::of(&whose, &record.build, d)).collect::<Vec<_>>()
    };
    lists.iter().flat_map(of).collect()
}

/// The records of which something is due by a day. The list of builds tells which; only those are read.
fn with_due(store: &Store, until: Option<NaiveDate>) -> Result<Vec<Record>, Failure> {
    let by = until.unwrap_or(NaiveDate::MAX);
    let wanted = store.list()?.into_iter().filter(|l| !l.practice && l.follow.iter().any(|p| p.now(by)));
    Ok(wanted.map(|l| store.read(&l.build)).collect::<Result<_, _>>()?)
}

/// What is due by a day; what has no date always.
fn due_until(record: &Record, until: Option<NaiveDate>) -> Vec<One> {
    let mut list = record.due();
    list.retain(|d| until.is_none_or(|until| d.on.is_none() || d.now(until)));
    list
}

/// What stands beside the list: waits, instruments, and what the record does not say.
fn beside(record: &Record, register: &Register, today: NaiveDate) -> Vec<String> {
    let mut lines: Vec<String> =
        running_waits(record).into_iter().map(|(step, at)| format!("{step} is over at {at}")).collect();
    for c in calibrations(record, register) {
        let word = if c.1.as_str() < today.to_string().as_str() { "calibration was due" } else { "calibration due" };
        lines.push(format!("{word} {}: instrument {}, readings of this build rest on it", c.1, c.0));
    }
    if !record.follows_up() {
        lines.push(NOT_SAID.into());
    } else if record.due().is_empty() {
        lines.push("the clock of what is looked at again runs from the proving run, which is not done".into());
    }
    lines.extend(
        record
            .not_run()
            .iter()
            .map(|f| format!("{}: not run since it was set, its clock runs from the next run", f.name)),
    );
    if record.on_visit() {
        lines.push("a visit is in hand; what it has looked at counts when its step is done".into());
    }
    lines
}

const NOT_SAID: &str = "this record was made before its plan said what is looked at again; \"runtrue visit BUILD --all\" finds it from the spec";

/// Instruments of the build with the date the register has now; retired ones are left out.
fn calibrations(record: &Record, register: &Register) -> Vec<(String, String)> {
    let now = |c: crate::traveler::Calibration| match register.find(&c.id) {
        Some(i) if i.retired => None,
        Some(i) => Some((format!("{} ({})", i.id, i.kind), i.due.clone()?)),
        None => Some((format!("{} ({})", c.id, c.kind), c.due)),
    };
    record.calibrations().into_iter().filter_map(now).collect()
}

fn as_json(lists: &[(&Record, Vec<One>)], register: &Register, today: NaiveDate, until: Option<NaiveDate>) -> Value {
    let builds = lists.iter().map(|(record, due)| {
        let due: Vec<Value> = due.iter().map(|d| one(d, today)).collect();
        let waits: Vec<Value> =
            running_waits(record).into_iter().map(|(step, at)| json!({ "step": step, "at": at })).collect();
        let calibration: Vec<Value> = calibrations(record, register)
            .into_iter()
            .map(|(instrument, on)| json!({ "instrument": instrument, "on": on }))
            .collect();
        json!({
            "build": record.build, "module": record.plan().module, "serial": record.started().serial,
            "state": record.build_state().word(), "said_by_plan": record.follows_up(), "hours_run": record.hours_since(0),
            "due": due, "not_run": record.not_run().iter().map(|f| &f.id).collect::<Vec<_>>(), "waits": waits, "calibration": calibration,
        })
    });
    json!({ "today": today, "until": until, "builds": builds.collect::<Vec<_>>() })
}

/// One thing due, for programs.
pub fn one(d: &One, today: NaiveDate) -> Value {
    json!({
        "id": d.id, "what": d.what, "step": d.step, "on": d.on, "hours_run": d.run_h, "hours_of": d.of_h,
        "due": d.now(today), "overdue": d.overdue(today), "since": d.since.1, "since_event": d.since.0, "times": d.times,
        "rule": d.rule, "basis": d.basis,
    })
}

#[derive(Debug, Args)]
#[command(
    after_help = "Hours since they were noted the last time, not the stand of a meter. A closed record takes them as well.\n\nExamples:\n  runtrue hours flywheel-013 12 --by ak\n  runtrue hours flywheel-013 \"90 min\" --by ak\n  runtrue hours flywheel-013 1.2 --correct --reason \"slipped point\" --by ak"
)]
pub struct Hours {
    /// Build
    build: String,
    /// Hours run since the last note; without it the sum is told
    #[arg(requires = "by")]
    hours: Option<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: Option<String>,
    /// Put the last note right
    #[arg(long, requires = "reason")]
    correct: bool,
    /// Why it is put right
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: Option<String>,
}

impl Hours {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let (event, sum) = match (&self.hours, &self.by) {
            (Some(hours), Some(by)) => {
                let mut session = store.resume(&self.build)?;
                helper(session.record(), by);
                let reason = self.reason.as_deref().filter(|_| self.correct);
                let event = session.note_hours(hours, reason, by)?;
                (Some(event), session.record().hours_since(0))
            }
            _ => (None, store.read(&self.build)?.hours_since(0)),
        };
        if asked.json {
            print(&json!({ "recorded": event.is_some(), "event": event, "hours_run": sum }));
        } else {
            let kept = event.map_or_else(String::new, |e| format!("Kept as entry {e}. "));
            out(&format!("{kept}{} has run {} h in all, as noted.", self.build, sum.normalize()));
        }
        Ok(Answer::Yes)
    }
}
