//! What is left when the builder leaves: steps that are not done, and what is looked at again later, each with a date.

use chrono::{DateTime, Local, NaiveDate, NaiveDateTime, TimeZone, Utc};
use serde_json::{Value, json};

use crate::procedure::plan::Plan;
use crate::procedure::{follow_up, schedule};
use crate::traveler::report::{self, CalendarEntry, DueOf};
use crate::traveler::{Due, foreseen};

use super::Failure;

/// A date and a time of day at this place, "2026-12-04 16:00".
///
/// # Errors
/// In words, also for a time that the change of the clocks leaves out or makes twice.
pub fn moment(text: &str) -> Result<DateTime<Local>, String> {
    let read = NaiveDateTime::parse_from_str(text.trim(), "%Y-%m-%d %H:%M");
    let naive = read.map_err(|_| format!("\"{text}\" is no date and time; write it like \"2026-12-04 16:00\""))?;
    match Local.from_local_datetime(&naive) {
        chrono::LocalResult::Single(at) => Ok(at),
        chrono::LocalResult::None => Err(format!("{text} is left out here by the change of the clocks")),
        chrono::LocalResult::Ambiguous(_, _) => {
            Err(format!("{text} comes twice here by the change of the clocks; take a time beside it"))
        }
    }
}

/// What is left for later.
pub struct Leaving {
    module: String,
    title: String,
    /// Hours from the start until then.
    pub hours: f64,
    leave: NaiveDate,
    /// Steps not done by then: id and title.
    steps: Vec<(String, String)>,
    /// The day on which the clock of the settling begins, and whether it lies before the departure.
    from: (NaiveDate, bool),
    due: Vec<Due>,
}

impl Leaving {
    /// What a plan leaves for later.
    ///
    /// # Errors
    /// [`Failure`] where the departure does not lie after the start.
    pub fn of(plan: &Plan, start: DateTime<Local>, leave: DateTime<Local>) -> Result<Self, Failure> {
        // By the clock of the world: a night in which the clocks change is longer or shorter.
        let hours = (leave - start).num_minutes() as f64 / 60.0;
        if hours <= 0.0 {
            return Err(Failure::new("--leave lies before the start of the work"));
        }
        let late = schedule::not_done_by(&plan.steps, hours);
        let proved = schedule::done_after(&plan.steps, follow_up::STARTS).filter(|h| *h <= hours + 1e-9);
        let at = proved.map(|h| start + chrono::Duration::seconds((h * 3600.0).round() as i64));
        let from = at.map_or((leave.date_naive(), false), |at| (at.date_naive(), true));
        Ok(Self {
            module: plan.module.clone(),
            title: plan.title.clone(),
            hours,
            leave: leave.date_naive(),
            steps: late.iter().map(|s| (s.id.clone(), s.title.clone())).collect(),
            due: foreseen(&plan.follow_up, from.0),
            from,
        })
    }

    fn counted(&self) -> String {
        if self.from.1 {
            format!("counted from the proving run on {}, with one pair of hands", self.from.0)
        } else {
            format!("the proving run is not done before departure; counted as if it were done on {}", self.from.0)
        }
    }

    fn document(&self) -> report::Document {
        let of = DueOf {
            build: self.module.clone(),
            title: format!("{}, looked at again after departure", self.title),
            due: self.due.clone(),
            beside: vec![self.counted()],
        };
        report::due(&[of], self.from.0)
    }

    /// For people.
    pub fn words(&self) -> String {
        let line = |d: &Due| format!("  {:<24} {}", d.when(), d.what);
        let lines: Vec<String> = self.due.iter().map(line).collect();
        format!("\n\nLooked at again after departure, {}:\n{}", self.counted(), lines.join("\n"))
    }

    /// For people, as a document.
    pub fn markdown(&self) -> String {
        format!("\n\n{}", report::markdown(&self.document()))
    }

    /// For programs.
    pub fn as_json(&self) -> Value {
        let due: Vec<Value> = self.due.iter().map(|d| super::due::one(d, self.from.0)).collect();
        let steps: Vec<&String> = self.steps.iter().map(|(id, _)| id).collect();
        json!({ "hours": self.hours, "leave": self.leave, "steps": steps, "from": self.from.0, "proved_before": self.from.1, "due": due })
    }

    /// As a calendar: what is not done, on the day of leaving; what is looked at again, on its own.
    pub fn calendar(&self) -> String {
        let step = |(id, title): &(String, String)| CalendarEntry {
            key: format!("{} {id}", self.module),
            summary: format!("{}: not done yet: {title}", self.module),
            description: "Not done by one pair of hands before departure; give it a date and a name.".into(),
            on: self.leave,
        };
        let due = self.due.iter().filter_map(|d| CalendarEntry::of(&self.module, &self.module, d));
        let entries: Vec<CalendarEntry> = self.steps.iter().map(step).chain(due).collect();
        report::calendar(&entries, Utc::now())
    }
}
