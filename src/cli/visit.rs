//! `visit BUILD`: what is due on a module that has run is looked at again. `trend`: what its joints lost from visit to visit.

use chrono::{Local, NaiveDate};
use clap::Args;
use serde_json::json;

use crate::traveler::report;
use crate::traveler::{Record, Trend as OfJoint, Wanted, prospect};

use super::export::Page;
use super::record::helper;
use super::{Answer, Asked, Failure, load, out, print};

#[derive(Debug, Args)]
#[command(
    after_help = "Without --by it is only shown. A closed record is opened again for it. Each joint is read as found before anything is changed, and as left after.\n\nExamples:\n  runtrue visit flywheel-013 --joint rods\n  runtrue visit flywheel-013 --joint rods --by ak"
)]
pub struct Visit {
    /// Build
    build: String,
    /// Only this joint, by its id in "runtrue due"
    #[arg(long, value_name = "ID")]
    joint: Vec<String>,
    /// Everything that is looked at again, due or not
    #[arg(long, conflicts_with = "joint")]
    all: bool,
    /// What is due by this day, instead of by today
    #[arg(long, value_name = "DATE", conflicts_with_all = ["joint", "all"])]
    due_by: Option<NaiveDate>,
    /// Your initials: begins it
    #[arg(long, value_name = "INITIALS")]
    by: Option<String>,
    /// Why, if it is not that it is due
    #[arg(long, value_name = "TEXT", value_parser = super::as_typed)]
    reason: Option<String>,
}

impl Visit {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let record = store.read(&self.build)?;
        self.by.iter().for_each(|by| helper(&record, by));
        let wanted = match (self.all, self.joint.is_empty()) {
            (true, _) => Wanted::All,
            (false, false) => Wanted::Named(self.joint.clone()),
            (false, true) => Wanted::DueBy(self.due_by.unwrap_or_else(|| Local::now().date_naive())),
        };
        let goal = record.visit(&wanted)?;
        let joints: Vec<String> = goal.visit.iter().flatten().map(|(id, _)| id.clone()).collect();
        let found = prospect(&record, &goal, &load::words(asked)?)?;
        let blocked = found.blocked();
        let mut words = format!("{}: a visit to {}\n\n", record.build, joints.join(", "));
        words.push_str(&super::plan::outline(&found.way.plan.steps).join("\n"));
        words.push_str(&format!("\n\n{}", found.way.sum()));
        let mut shown = json!({
            "build": record.build, "joints": joints, "steps": found.way.plan.steps, "undone": found.way.undone,
            "stale": found.way.stale, "kept": found.way.kept, "findings": found.way.findings,
        });
        match &self.by {
            Some(by) if !blocked => {
                let event = store.resume(&self.build)?.begin_change(found, self.reason.as_deref(), by)?;
                shown["event"] = json!(event);
                words.push_str(&format!("\nBegun, entry {event}. Go on with \"runtrue resume {}\".", self.build));
            }
            Some(_) => {
                words.push_str("\nNot begun: the module does not add up by its own spec; see \"runtrue change\".")
            }
            None => words.push_str("\nNot begun; --by INITIALS begins it."),
        }
        if asked.json {
            print(&shown);
        } else {
            out(&words);
        }
        Ok(if blocked { Answer::No } else { Answer::Yes })
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue trend flywheel-013 --joint rods\n  runtrue trend flywheel-013 flywheel-014 --joint belt --format html > belt.html"
)]
pub struct Trend {
    /// Builds, or paths to folders that hold records
    #[arg(required = true, num_args = 1.., value_name = "BUILD")]
    builds: Vec<String>,
    /// This joint only, by its id in "runtrue due"
    #[arg(long, value_name = "ID")]
    joint: Option<String>,
    /// The joint that this step sets or looks at
    #[arg(long, value_name = "ID", conflicts_with = "joint")]
    step: Option<String>,
    /// Form
    #[arg(long, value_enum, default_value_t = Page::Text)]
    format: Page,
}

impl Trend {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let of = |build: &String| -> Result<(String, Vec<OfJoint>), Failure> {
            let record = store.read(build)?;
            let trends = self.wanted(&record)?;
            Ok((record.build, trends))
        };
        let list: Vec<(String, Vec<OfJoint>)> = self.builds.iter().map(of).collect::<Result<_, _>>()?;
        if list.iter().all(|(_, trends)| trends.is_empty()) {
            return Err(Failure::new(
                "no such joint has a torque or a force in these records; \"runtrue due\" names them",
            ));
        }
        if asked.json {
            let one = |(build, trends): &(String, Vec<OfJoint>)| json!({ "build": build, "joints": trends });
            print(&json!({ "builds": list.iter().map(one).collect::<Vec<_>>() }));
        } else {
            self.format.print(&report::trends(&list));
        }
        Ok(Answer::Yes)
    }

    fn wanted(&self, record: &Record) -> Result<Vec<OfJoint>, Failure> {
        let set = |id: &str| {
            let step = self.step.as_ref()?;
            let followed = record.followed().ok()?;
            followed.iter().find(|f| f.id == id).map(|f| f.set_by.contains(step) || f.step == *step)
        };
        let all = record.trends()?;
        Ok(all
            .into_iter()
            .filter(|t| self.joint.as_ref().is_none_or(|j| *j == t.joint))
            .filter(|t| self.step.is_none() || set(&t.joint) == Some(true))
            .collect())
    }
}
