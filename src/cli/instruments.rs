//! `instruments`: the register.

use clap::{Args, Subcommand};
use serde_json::{Value, json};

use crate::traveler::event::{Body, Event};
use crate::traveler::instruments::{Faulty, Instrument, Register, RegisterError};
use crate::traveler::trial::Taken;
use crate::traveler::{Progress, Record, Store, initials_fit};

use super::{Answer, Asked, Failure, one_line, out, print};

impl From<RegisterError> for Failure {
    fn from(e: RegisterError) -> Self {
        Self::new(e.to_string())
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue instruments\n  runtrue instruments add BG-2 --kind \"bore gauge\" --uncertainty \"0.005 mm\" --due 2027-03-31"
)]
pub struct Instruments {
    #[command(subcommand)]
    action: Option<Action>,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// List the register
    List,
    /// Add an instrument
    Add(Add),
    /// Take an instrument out of use
    Retire {
        /// Id
        id: String,
    },
    /// A new calibration
    Calibrated {
        /// Id
        id: String,
        /// Due again, like 2028-03-31
        #[arg(long)]
        due: String,
        /// Expanded uncertainty U, where it changed
        #[arg(long, value_parser = super::as_typed)]
        uncertainty: Option<String>,
    },
    /// Found to measure wrongly: used no more, and every reading taken with it is listed
    Faulty(Fault),
    /// Every reading taken with an instrument, in every build
    Readings {
        /// Id
        id: String,
    },
}

#[derive(Debug, Args)]
struct Add {
    /// Id, as on its label
    id: String,
    /// Kind, in words
    #[arg(long, value_parser = super::as_typed)]
    kind: String,
    /// Range, in words
    #[arg(long, value_parser = super::as_typed)]
    range: Option<String>,
    /// Resolution, like "0.01 mm"
    #[arg(long, value_parser = super::as_typed)]
    resolution: Option<String>,
    /// Expanded uncertainty U, like "0.005 mm"
    #[arg(long, value_parser = super::as_typed)]
    uncertainty: Option<String>,
    /// Calibration due, like 2027-03-31
    #[arg(long)]
    due: Option<String>,
}

#[derive(Debug, Args)]
struct Fault {
    /// Id
    id: String,
    /// What is wrong with it
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: String,
    /// Readings are in doubt from this day on, like 2026-06-01: when it was last known to be good; else all of them
    #[arg(long, value_name = "DATE")]
    since: Option<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
}

impl Instruments {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let home = store.root();
        match self.action.unwrap_or(Action::List) {
            Action::List => list(&Register::load(home)?, asked),
            Action::Add(a) => list(&store.change_register(|r| r.add(a.instrument()))?, asked),
            Action::Retire { id } => list(&store.change_register(|r| r.retire(&id))?, asked),
            Action::Calibrated { id, due, uncertainty } => {
                list(&store.change_register(|r| r.calibrated(&id, &due, uncertainty))?, asked);
            }
            Action::Faulty(fault) => {
                let id = fault.id.clone();
                let register = store.change_register(|r| r.fault(&id, fault.faulty()?))?;
                readings(&store, &register, &id, asked)?;
            }
            Action::Readings { id } => readings(&store, &Register::load(home)?, &id, asked)?,
        }
        Ok(Answer::Yes)
    }
}

impl Add {
    fn instrument(self) -> Instrument {
        Instrument {
            id: self.id,
            kind: self.kind,
            range: self.range,
            resolution: self.resolution,
            uncertainty: self.uncertainty,
            due: self.due,
            retired: false,
            faulty: None,
        }
    }
}

impl Fault {
    fn faulty(self) -> Result<Faulty, RegisterError> {
        initials_fit(&self.by)?;
        let at = chrono::Local::now().to_rfc3339_opts(chrono::SecondsFormat::Millis, false);
        Ok(Faulty { since: self.since, reason: self.reason, by: self.by, at })
    }
}

fn list(register: &Register, asked: &Asked) {
    if asked.json {
        print(&json!(register));
        return;
    }
    if register.instruments.is_empty() {
        out(
            "No instrument is registered. Readings are then held against the limits as they stand, marked \"uncertainty not considered\".",
        );
    }
    let today = chrono::Local::now().date_naive().to_string();
    for i in &register.instruments {
        let word = |t: &Option<String>| t.clone().unwrap_or_else(|| "not stated".into());
        let mut state = if i.retired { ", retired" } else { "" }.to_owned();
        if i.overdue(&today) {
            state.push_str(", OVERDUE");
        }
        if let Some(f) = &i.faulty {
            state.push_str(&format!(", FAULTY since {}: {}", f.since.as_deref().unwrap_or("the beginning"), f.reason));
        }
        out(&one_line(&format!(
            "{:<12} {:<22} U {:<12} due {}{state}",
            i.id,
            i.kind,
            word(&i.uncertainty),
            word(&i.due)
        )));
    }
}

/// Every reading taken with an instrument, in every build; a record that cannot be read is named, not left out.
fn readings(store: &Store, register: &Register, id: &str, asked: &Asked) -> Result<(), Failure> {
    let names = store.names()?;
    let faulty = register.find(id).and_then(|i| i.faulty.as_ref());
    let mut rows: Vec<Value> = Vec::new();
    let mut unread: Vec<Value> = Vec::new();
    let far = Progress::default();
    far.begin(names.len());
    super::progress::shown(&far, || {
        for name in names {
            match far.take(&name, || store.read(&name)) {
                Ok(record) => rows.extend(taken_with(&record, id, faulty)),
                Err(e) => unread.push(json!({ "build": name, "reason": e.to_string() })),
            }
        }
    });
    if asked.json {
        print(&json!({ "instrument": id, "faulty": faulty, "readings": rows, "unread": unread }));
        return Ok(());
    }
    for row in &rows {
        let t = |k: &str| row.get(k).and_then(Value::as_str).unwrap_or_default();
        let doubt = if row["in_doubt"] == true { "  IN DOUBT" } else { "" };
        out(&one_line(&format!(
            "{} {} {} {} {} {} {}{doubt}",
            t("build"),
            t("step"),
            t("check"),
            t("value"),
            t("unit"),
            t("verdict"),
            t("at")
        )));
    }
    for row in &unread {
        let t = |k: &str| row.get(k).and_then(Value::as_str).unwrap_or_default();
        out(&one_line(&format!("{}: NOT READ, {}", t("build"), t("reason"))));
    }
    let doubt = rows.iter().filter(|r| r["in_doubt"] == true).count();
    let doubt = if faulty.is_some() {
        format!(" {doubt} are in doubt: measure again, or have them decided.")
    } else {
        String::new()
    };
    out(&format!("{} readings were taken with {}.{doubt}", rows.len(), one_line(id)));
    Ok(())
}

fn taken_with(record: &Record, id: &str, faulty: Option<&Faulty>) -> Vec<Value> {
    let row = |event: &Event| {
        let (step, check, value, unit, verdict) = match &event.body {
            Body::Reading(r) => (r.step.clone(), r.check.clone(), r.values.join(" "), r.unit.as_deref(), r.verdict),
            Body::Trial(t) => {
                let joined = |of: fn(&Taken) -> String| t.values.iter().map(of).collect::<Vec<_>>().join(", ");
                let values = joined(|v| v.values.join(" "));
                (format!("speed trial, run {}", t.number), joined(|v| v.check.clone()), values, None, t.verdict)
            }
            _ => return None,
        };
        event.used().iter().any(|used| used.id == id).then(|| {
            json!({
                "build": record.build, "event": event.header.event, "step": step, "check": check, "value": value,
                "unit": unit, "verdict": verdict, "at": event.header.at, "by": event.header.by,
                "in_doubt": faulty.is_some_and(|f| f.doubts(event.measured_at())),
            })
        })
    };
    record.events.iter().filter_map(row).collect()
}
