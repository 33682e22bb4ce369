//! `change BUILD`: what another setup, a replaced part or a corrected step means for a build; begins it only when asked.

use clap::Args;
use serde_json::json;

use crate::module::Setup;
use crate::procedure::change::{Change as Way, Touched};
use crate::procedure::design_check::Severity;
use crate::procedure::remaining::{self, remaining};
use crate::traveler::{CannotChange, Goal, Record, prospect, setup_words};

use super::load::{self, Chosen};
use super::progress;
use super::record::helper;
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
    #[arg(long = "as-received", value_name = "FIELD=VALUE", value_parser = super::as_typed)]
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
    #[arg(long, value_parser = super::as_typed)]
    reason: Option<String>,
}

impl From<CannotChange> for Failure {
    fn from(e: CannotChange) -> Self {
        let plain = Self::new(e.reason);
        Self { report: e.report.unwrap_or_else(|| plain.report.clone()), ..plain }
    }
}

impl Change {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        let (goal, words) = (self.goal()?, load::words(asked)?);
        let computing = || format!("Computing the way of {} through every order of work …", self.build);
        let found = progress::told(computing, || prospect(&record, &goal, &words))?;
        let left = remaining(&found.module, &record.lost());
        let blocked = found.blocked();
        let mut shown = answer(&record, &found.setup, &found.way);
        shown["setups"] = json!(left);
        let idle = found.nothing_to_do(&record);
        shown["nothing_to_do"] = json!(idle.is_some());
        let mut words = match &idle {
            Some(idle) => format!("{}: {}\n{idle}", record.build, setup_words(&found.setup.values)),
            None => text(&record, &found.setup, &found.way),
        };
        words.push_str(&remaining::words(&left));
        if self.begin && idle.is_some() {
            words.push_str("\nNot begun: there is nothing to change.");
        } else if let (true, false, Some(by)) = (self.begin, blocked, &self.by) {
            helper(&record, by);
            let event = asked.store()?.resume(&self.build)?.begin_change(found, self.reason.as_deref(), by)?;
            shown["event"] = json!(event);
            words.push_str(&format!("\nBegun, entry {event}. Go on with \"runtrue resume {}\".", self.build));
        } else if self.begin {
            words.push_str("\nNot begun: what is asked for does not add up.");
        }
        if asked.json {
            print(&shown);
        } else {
            out(&words);
        }
        Ok(if blocked { Answer::No } else { Answer::Yes })
    }

    fn goal(&self) -> Result<Goal, Failure> {
        let spec = self.spec.as_deref().map(load::module).transpose()?.map(|m| m.text);
        Ok(Goal {
            set: self.chosen.map()?,
            replace: self.replace.clone(),
            redo: self.redo.clone(),
            as_received: self.as_received.clone(),
            spec,
            visit: None,
        })
    }
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
        "leaves_adopted": record.leaves_adopted(&setup.values),
    })
}

fn text(record: &Record, setup: &Setup, way: &Way) -> String {
    let (from, to) = (setup_words(&record.plan().setup), setup_words(&setup.values));
    let mut lines = vec![format!("{}: {from} to {to}", record.build)];
    if let Some(adopted) = record.adopted().filter(|_| record.leaves_adopted(&setup.values)) {
        lines.push(format!(
            "ADOPTED: this build has an adopted setup, {} ({}). Leaving it needs its reason.",
            adopted.said(),
            adopted.reason
        ));
    }
    for finding in &way.findings {
        let mend = finding.mend.as_deref().unwrap_or_default();
        let word = if finding.severity == Severity::Error { "ERROR" } else { "WARNING" };
        lines.push(format!("{word}: {}. {mend}", finding.text));
    }
    lines.push(String::new());
    lines.extend(super::plan::outline(&way.plan.steps));
    lines.push(format!("\n{}", way.sum()));
    lines.extend(by_reason("Disturbed, measure again", &way.stale));
    lines.extend(by_reason("Held against other limits", &way.rejudged));
    lines.join("\n")
}

/// Steps under the reason that touches them, in the order of work.
fn by_reason(head: &str, touched: &[Touched]) -> Vec<String> {
    let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
    for one in touched {
        let at = reasons.iter().position(|(why, _)| *why == one.because).unwrap_or(reasons.len());
        if at == reasons.len() {
            reasons.push((&one.because, Vec::new()));
        }
        let steps = &mut reasons[at].1;
        if steps.last() != Some(&one.step.as_str()) {
            steps.push(&one.step);
        }
    }
    let line = |(why, steps): (&str, Vec<&str>)| format!("{head}: {} ({why})", steps.join(", "));
    reasons.into_iter().map(line).collect()
}
