//! `instruments`: the register.

use clap::{Args, Subcommand};
use serde_json::{Value, json};

use crate::module::printable;
use crate::traveler::Record;
use crate::traveler::event::Body;
use crate::traveler::instruments::{Instrument, Register, RegisterError};

use super::{Answer, Asked, Failure, out, print};

impl From<RegisterError> for Failure {
    fn from(e: RegisterError) -> Self {
        Self::new(e.to_string())
    }
}

#[derive(Debug, Args)]
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
    #[arg(long)]
    kind: String,
    /// Range, in words
    #[arg(long)]
    range: Option<String>,
    /// Resolution, like "0.01 mm"
    #[arg(long)]
    resolution: Option<String>,
    /// Expanded uncertainty U, like "0.005 mm"
    #[arg(long)]
    uncertainty: Option<String>,
    /// Calibration due, like 2027-03-31
    #[arg(long)]
    due: Option<String>,
}

impl Instruments {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let mut register = Register::load(store.root())?;
        match self.action.unwrap_or(Action::List) {
            Action::List => list(&register, asked),
            Action::Add(a) => {
                let new = Instrument {
                    id: a.id,
                    kind: a.kind,
                    range: a.range,
                    resolution: a.resolution,
                    uncertainty: a.uncertainty,
                    due: a.due,
                    retired: false,
                };
                register.add(new)?;
                register.save(store.root())?;
                list(&register, asked);
            }
            Action::Retire { id } => {
                register.retire(&id)?;
                register.save(store.root())?;
                list(&register, asked);
            }
            Action::Readings { id } => {
                let records: Vec<Record> = store.names().iter().filter_map(|n| store.read(n).ok()).collect();
                readings(&records, &id, asked);
            }
        }
        Ok(Answer::Yes)
    }
}

fn list(register: &Register, asked: &Asked) {
    if asked.json {
        print(&json!(register));
        return;
    }
    if register.instruments.is_empty() {
        out("No instrument is registered. Readings are then compared plainly, marked \"uncertainty not considered\".");
    }
    for i in &register.instruments {
        let word = |t: &Option<String>| t.clone().unwrap_or_else(|| "not stated".into());
        let retired = if i.retired { ", retired" } else { "" };
        out(&printable(&format!(
            "{:<12} {:<22} U {:<12} due {}{retired}",
            i.id,
            i.kind,
            word(&i.uncertainty),
            word(&i.due)
        )));
    }
}

fn readings(records: &[Record], id: &str, asked: &Asked) {
    let mut rows: Vec<Value> = Vec::new();
    for record in records {
        for event in &record.events {
            if let Body::Reading(r) = &event.body
                && r.instrument.as_ref().is_some_and(|i| i.id == id)
            {
                rows.push(json!({ "build": record.build, "event": event.header.event, "step": r.step, "check": r.check, "value": r.values.join(" "), "unit": r.unit, "verdict": r.verdict, "at": event.header.at }));
            }
        }
    }
    if asked.json {
        print(&json!({ "instrument": id, "readings": rows }));
        return;
    }
    for row in &rows {
        let t = |k: &str| row.get(k).and_then(Value::as_str).unwrap_or_default();
        out(&printable(&format!(
            "{} {} {} {} {} {}",
            t("build"),
            t("step"),
            t("check"),
            t("value"),
            t("unit"),
            t("verdict")
        )));
    }
    out(&format!("{} readings were taken with {}.", rows.len(), printable(id)));
}
