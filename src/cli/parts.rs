//! `parts BUILD`: what is known of each part and where it sat. `part BUILD PART`: note something of one.

use std::collections::BTreeMap;

use clap::Args;
use serde_json::{Value, json};

use crate::module::near::or_near;
use crate::traveler::{PartHistory, PartNoted, Record, parts};

use super::record::{helper, told};
use super::{Answer, Asked, Failure, one_line, out, print};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue parts flywheel-017\n  runtrue parts flywheel-017 disc-3")]
pub struct Parts {
    /// Build, or a path to a folder that holds a record
    build: String,
    /// This part only
    part: Option<String>,
}

impl Parts {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        let mut list = parts(&record);
        if let Some(part) = &self.part {
            list.retain(|p| p.part == *part);
            if list.is_empty() {
                let known = parts(&record);
                let near = or_near(part, known.iter().map(|p| p.part.as_str()));
                let all = &self.build;
                return Err(Failure::new(format!(
                    "there is no part \"{part}\" in this build; \"runtrue parts {all}\" lists them{near}"
                )));
            }
        }
        if asked.json {
            print(&json!({ "build": record.build, "parts": list.iter().map(row).collect::<Vec<_>>() }));
            return Ok(Answer::Yes);
        }
        for part in list.iter().filter(|p| self.part.is_some() || !p.history.is_empty()) {
            lines(part).iter().for_each(|line| out(&one_line(line)));
        }
        Ok(Answer::Yes)
    }
}

/// All parts, for programs.
pub fn as_json(record: &Record) -> Value {
    parts(record).iter().map(row).collect()
}

fn row(part: &PartHistory) -> Value {
    let history: Vec<Value> = part
        .history
        .iter()
        .map(|h| {
            json!({
                "event": h.event, "at": h.at, "by": h.by, "step": h.step, "what": h.what, "value": h.value,
                "superseded": h.superseded,
            })
        })
        .collect();
    json!({ "part": part.part, "facts": part.facts(), "history": history })
}

fn lines(part: &PartHistory) -> Vec<String> {
    let line = |h: &crate::traveler::PartEvent| {
        let step = h.step.as_ref().map_or_else(String::new, |s| format!(" in {s}"));
        format!("    {}{step}, entry {}, {}, {}", h.words(), h.event, h.by, h.at)
    };
    std::iter::once(part.part.clone()).chain(part.history.iter().map(line)).collect()
}

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue part flywheel-017 disc-3 --serial L-0042 --mark \"two dots\" --index 2 --by ak"
)]
pub struct Part {
    /// Build
    build: String,
    /// Part id, as "runtrue parts" lists it
    part: String,
    /// Lot
    #[arg(long, value_parser = super::as_typed)]
    lot: Option<String>,
    /// Heat of the steel
    #[arg(long, value_parser = super::as_typed)]
    heat: Option<String>,
    /// Serial number of the part
    #[arg(long, value_parser = super::as_typed)]
    serial: Option<String>,
    /// Where it sits
    #[arg(long, value_parser = super::as_typed)]
    position: Option<String>,
    /// Match mark
    #[arg(long, value_parser = super::as_typed)]
    mark: Option<String>,
    /// Index: holes it is turned by
    #[arg(long, value_parser = super::as_typed)]
    index: Option<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: String,
}

impl Part {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let said = [
            ("lot", self.lot),
            ("heat", self.heat),
            ("serial", self.serial),
            ("position", self.position),
            ("mark", self.mark),
            ("index", self.index),
        ];
        let facts: BTreeMap<String, String> = said.into_iter().filter_map(|(k, v)| Some((k.to_owned(), v?))).collect();
        let mut session = asked.store()?.resume(&self.build)?;
        helper(session.record(), &self.by);
        let event = session.note_part(PartNoted { part: self.part, facts }, &self.by)?;
        told(asked, &session, event, "The part's data are kept");
        Ok(Answer::Yes)
    }
}
