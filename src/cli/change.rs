//! `change BUILD`: what another setup, a replaced part or a corrected step means for a build; begins it only when asked.

use std::collections::{BTreeMap, BTreeSet};

use clap::Args;
use serde_json::json;

use crate::module::{self, Module, Setup, Source};
use crate::procedure::Words;
use crate::procedure::change::{self, Built, Change as Way, Touched};
use crate::procedure::design_check::Severity;
use crate::traveler::Record;
use crate::traveler::rounds::{Changed, Kind};

use super::load::{self, Chosen};
use super::{Answer, Asked, Failure, out, print};

#[derive(Debug, Args)]
#[command(after_help = "Example: runtrue change flywheel-017 --set discs=3
         runtrue change flywheel-017 --replace bearing-far --reason \"runs rough\" --begin --by ak")]
pub struct Change {
    /// Build
    build: String,
    #[command(flatten)]
    chosen: Chosen,
    /// A part that is replaced
    #[arg(long, value_name = "PART")]
    replace: Vec<String>,
    /// A step that has to be done anew
    #[arg(long, value_name = "STEP")]
    redo: Vec<String>,
    /// A value as received, like rods.class=4.6
    #[arg(long = "as-received", value_name = "FIELD=VALUE")]
    as_received: Vec<String>,
    /// A new revision of the spec: a file
    #[arg(long, value_name = "FILE")]
    spec: Option<String>,
    /// Begin it: write it to the record
    #[arg(long, requires = "by")]
    begin: bool,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: Option<String>,
    /// Why
    #[arg(long)]
    reason: Option<String>,
}

impl Change {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        let (module, setup, way) = self.way(&record, &load::words(asked)?)?;
        let blocked = way.findings.iter().any(|f| f.severity == Severity::Error);
        let mut shown = answer(&record, &setup, &way);
        let mut words = text(&record, &setup, &way);
        if let (true, false, Some(by)) = (self.begin, blocked, &self.by) {
            let event = self.begin(asked, &record, &module, way, by)?;
            shown["event"] = json!(event);
            words.push_str(&format!("\nBegun, entry {event}. Go on with \"runtrue resume {}\".", self.build));
        } else if self.begin {
            words.push_str("\nNot begun: the goal does not add up.");
        }
        if asked.json {
            print(&shown);
        } else {
            out(&words);
        }
        Ok(if blocked { Answer::No } else { Answer::Yes })
    }

    fn kind(&self) -> Kind {
        if self.spec.is_some() || !self.as_received.is_empty() {
            Kind::Substitution
        } else if !self.replace.is_empty() {
            Kind::Service
        } else if !self.redo.is_empty() {
            Kind::Rework
        } else {
            Kind::Changeover
        }
    }

    /// The goal, and the way to it.
    fn way(&self, record: &Record, words: &Words) -> Result<(Module, Setup, Way), Failure> {
        let done = record.standing().map_err(|open| {
            Failure::new(format!(
                "the change in hand is not far enough: {} must be done first, until then the machine is neither old nor new",
                open.join(", ")
            ))
        })?;
        let old = read(record.spec(), "the record's spec")?;
        let from = choose(&old, &record.plan().setup)?;
        let module = self.goal_module(record, &old)?;
        let mut wanted: BTreeMap<String, String> = record.plan().setup.clone();
        wanted.extend(self.chosen.map()?);
        let setup = choose(&module, &wanted)?;
        let failed = self.failed(record, &old, &done)?;
        let built = Built { module: &old, setup: &from, done: &done, failed: &failed };
        let way = change::change(&built, &module, &setup, words).map_err(|e| Failure::new(e.to_string()))?;
        Ok((module, setup, way))
    }

    fn goal_module(&self, record: &Record, old: &Module) -> Result<Module, Failure> {
        let text = match &self.spec {
            Some(path) => load::module(path)?.text,
            None => record.spec().to_owned(),
        };
        let text = self
            .received()?
            .into_iter()
            .try_fold(text, |text, (field, value)| module::substitute(&text, field, value).map_err(Failure::new))?;
        let module = read(&text, "the spec as received")?;
        if module.id == old.id {
            Ok(module)
        } else {
            Err(Failure::new(format!("this build is of {}, the spec is of {}", old.id, module.id)))
        }
    }

    /// Fields and values of what came otherwise.
    fn received(&self) -> Result<Vec<(&str, &str)>, Failure> {
        let pairs = self.as_received.iter().map(|pair| {
            let (field, value) = pair.split_once('=').ok_or_else(|| {
                Failure::new(format!("\"--as-received {pair}\" is not FIELD=VALUE; write it like rods.class=4.6"))
            })?;
            Ok((field.trim(), value.trim()))
        });
        pairs.collect()
    }

    /// Parts and steps that do not stand, each known to the build.
    fn failed(&self, record: &Record, old: &Module, done: &BTreeSet<String>) -> Result<BTreeSet<String>, Failure> {
        let first = &record.started().plan.steps;
        let all = first.iter().chain(&record.plan().steps);
        let parts: BTreeSet<&str> = all.flat_map(|s| &s.parts).map(String::as_str).collect();
        if let Some(part) = self.replace.iter().find(|p| !parts.contains(p.as_str())) {
            let known: Vec<&str> = parts.into_iter().collect();
            return Err(Failure::new(format!("{} has no part \"{part}\"; its parts are {}", old.id, known.join(", "))));
        }
        if let Some(step) = self.redo.iter().find(|s| !done.contains(*s)) {
            return Err(Failure::new(format!(
                "\"{step}\" is no step that is done; \"runtrue review {}\" lists them",
                record.build
            )));
        }
        Ok(self.replace.iter().chain(&self.redo).cloned().collect())
    }

    /// Writes it to the record and gives back the entry's number.
    fn begin(&self, asked: &Asked, seen: &Record, module: &Module, way: Way, by: &str) -> Result<u64, Failure> {
        let mut session = asked.store()?.resume(&self.build)?;
        let record = session.record();
        if record.events.len() != seen.events.len() {
            return Err(Failure::new("the record grew meanwhile; look at the change again"));
        }
        let kind = self.kind();
        let reason = match (&self.reason, kind) {
            (Some(reason), _) => reason.clone(),
            (None, Kind::Changeover) => "changeover to another setup".into(),
            (None, _) => return Err(Failure::new("say why with --reason \"…\"")),
        };
        let changed = Changed {
            round: record.round() + 1,
            kind,
            reason,
            role: record.role(by),
            received: self.received()?.into_iter().map(|(f, v)| (f.to_owned(), v.to_owned())).collect(),
            spec: module.text.clone(),
            plan: way.plan.into(),
            undone: way.undone,
            stale: way.stale,
            rejudged: way.rejudged,
            standing: way.standing,
            parts: record.fitted().into_iter().map(str::to_owned).collect(),
            stages: record.stages().into_iter().map(|(g, s)| (g.to_owned(), s.to_owned())).collect(),
        };
        Ok(session.begin(changed, by)?)
    }
}

fn read(text: &str, name: &str) -> Result<Module, Failure> {
    let read = module::read(&Source { name: name.to_owned(), text: text.to_owned() });
    read.map_err(|problems| Failure { reason: problems.to_string(), report: problems.report(), entry: false })
}

fn choose(module: &Module, values: &BTreeMap<String, String>) -> Result<Setup, Failure> {
    Setup::choose(module, values).map_err(|e| Failure::new(e.to_string()))
}

fn answer(record: &Record, setup: &Setup, way: &Way) -> serde_json::Value {
    json!({
        "build": record.build,
        "from": record.plan().setup,
        "to": setup.values,
        "ok": way.findings.iter().all(|f| f.severity != Severity::Error),
        "findings": way.findings,
        "steps": way.plan.steps,
        "undone": way.undone,
        "stale": way.stale,
        "rejudged": way.rejudged,
        "kept": way.kept,
    })
}

fn text(record: &Record, setup: &Setup, way: &Way) -> String {
    let words =
        |map: &BTreeMap<String, String>| map.iter().map(|(k, v)| format!("{k} {v}")).collect::<Vec<_>>().join(", ");
    let mut lines = vec![format!("{}: {} to {}", record.build, words(&record.plan().setup), words(&setup.values))];
    for finding in &way.findings {
        let mend = finding.mend.as_deref().unwrap_or_default();
        let word = if finding.severity == Severity::Error { "ERROR" } else { "WARNING" };
        lines.push(format!("{word}: {}. {mend}", finding.text));
    }
    lines.push(String::new());
    lines.extend(super::plan::outline(&way.plan.steps));
    let minutes: u32 = way.plan.steps.iter().map(|s| s.minutes).sum();
    lines.push(format!(
        "\n{} steps, about {} h {} min of work (common practice). {} readings kept, {} disturbed, {} held against other limits.",
        way.plan.steps.len(),
        minutes / 60,
        minutes % 60,
        way.kept,
        way.stale.len(),
        way.rejudged.len()
    ));
    lines.extend(by_reason("Disturbed, measure again", &way.stale));
    lines.extend(by_reason("Held against other limits", &way.rejudged));
    lines.join("\n")
}

/// Steps under the reason that touches them.
fn by_reason(head: &str, touched: &[Touched]) -> Vec<String> {
    let mut reasons: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for one in touched {
        let steps = reasons.entry(&one.because).or_default();
        if steps.last() != Some(&one.step.as_str()) {
            steps.push(&one.step);
        }
    }
    let line = |(why, steps): (&str, Vec<&str>)| format!("{head}: {} ({why})", steps.join(", "));
    reasons.into_iter().map(line).collect()
}
