//! What is due on a build, when and why: from its record alone. The recorded plan says what is followed up and by which rule;
//! the readings say when the joint was set, run and looked at.

use chrono::{DateTime, Days, FixedOffset, Months, NaiveDate};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use crate::procedure::plan::FollowUp;
use crate::standards::settling::Interval;

use super::event::{Body, Event};
use super::kept::Kept;
use super::record::Record;
use super::session::time;
use super::state::StepState;

/// One thing that is due at some time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Due {
    /// Id of the follow-up.
    pub id: String,
    /// What is done, in a line.
    pub what: String,
    /// Step that does it.
    pub step: String,
    /// Date of the calendar; none where only hours of running count, or no source says when.
    pub on: Option<NaiveDate>,
    /// Hours of running noted since the clock began.
    pub run_h: Decimal,
    /// Hours of running after which it is due.
    pub of_h: Option<u32>,
    /// Entry from which the clock runs, and its date.
    pub since: (u64, NaiveDate),
    /// How often it was looked at before, since the joint was last set.
    pub times: u32,
    /// The rule in words.
    pub rule: String,
    /// Source of the rule.
    pub basis: String,
}

impl Due {
    /// The date has come, or the hours are run.
    #[must_use]
    pub fn now(&self, today: NaiveDate) -> bool {
        self.on.is_some_and(|on| today >= on) || self.hours_run()
    }

    /// The date is past, or the hours are run.
    #[must_use]
    pub fn overdue(&self, today: NaiveDate) -> bool {
        self.on.is_some_and(|on| today > on) || self.hours_run()
    }

    fn hours_run(&self) -> bool {
        self.of_h.is_some_and(|of| self.run_h >= Decimal::from(of))
    }

    /// When, in words: the date, and the hours run of those that count.
    #[must_use]
    pub fn when(&self) -> String {
        let date = self.on.map(|on| on.to_string());
        let hours = self.of_h.map(|of| format!("{} of {of} h run", self.run_h.normalize()));
        match (date, hours) {
            (Some(date), Some(hours)) => format!("{date}, or {hours}"),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => "no source says when".into(),
        }
    }
}

/// What a close-out promises, so that a list of builds needs no more of the record than its end.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Promised {
    /// Id of the follow-up.
    pub id: String,
    /// Step that does it.
    pub step: String,
    /// What is done.
    pub what: String,
    /// Date; none where only hours count.
    pub on: Option<String>,
    /// Hours of running that are left; none where none count.
    pub hours_left: Option<String>,
}

impl Promised {
    /// The date is past, or no hours are left.
    #[must_use]
    pub fn overdue(&self, today: NaiveDate) -> bool {
        let date = self.on.as_deref().and_then(|on| on.parse::<NaiveDate>().ok());
        let left = self.hours_left.as_deref().and_then(|h| h.parse::<Decimal>().ok());
        date.is_some_and(|on| today > on) || left.is_some_and(|left| left <= Decimal::ZERO)
    }

    /// When, in a word: its date, or that its hours are run.
    #[must_use]
    pub fn when(&self) -> &str {
        let run = self.hours_left.as_deref() == Some("0");
        if run { "hours run" } else { self.on.as_deref().unwrap_or("by hours") }
    }

    /// The date has come, or no hours are left.
    #[must_use]
    pub fn now(&self, today: NaiveDate) -> bool {
        self.overdue(today) || self.on.as_deref() == Some(today.to_string().as_str())
    }
}

impl From<&Due> for Promised {
    fn from(due: &Due) -> Self {
        let left = due.of_h.map(|of| (Decimal::from(of) - due.run_h).max(Decimal::ZERO).normalize().to_string());
        Self {
            id: due.id.clone(),
            step: due.step.clone(),
            what: due.what.clone(),
            on: due.on.map(|on| on.to_string()),
            hours_left: left,
        }
    }
}

/// An instrument that readings rest on, and when it is to be calibrated.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Calibration {
    /// Id in the register.
    pub id: String,
    /// Kind.
    pub kind: String,
    /// Date, as the register had it at the last reading.
    pub due: String,
}

impl Record {
    /// True where the plan in hand says what is followed up. Plans of earlier programs do not.
    #[must_use]
    pub fn follows_up(&self) -> bool {
        !self.plan().follow_up.is_empty()
    }

    /// What is due at some time, the earliest first. Nothing before the module has run as it stands.
    #[must_use]
    pub fn due(&self) -> Vec<Due> {
        let mut list: Vec<Due> = self.plan().follow_up.iter().filter_map(|f| self.due_of(f)).collect();
        in_order(&mut list);
        list
    }

    fn due_of(&self, f: &FollowUp) -> Option<Due> {
        let set = self.last_set(f).unwrap_or(0);
        let visits: Vec<(u64, DateTime<FixedOffset>)> =
            self.times_done(&f.step).into_iter().filter(|(event, _)| *event > set).collect();
        let ran = || self.times_done(&f.after).into_iter().find(|(event, _)| *event > set);
        let (event, since) = visits.last().copied().or_else(ran)?;
        let rule = f.times.get(visits.len()).or(f.times.last()).copied().unwrap_or_default();
        Some(Due {
            id: f.id.clone(),
            what: f.what.clone(),
            step: f.step.clone(),
            on: date_after(since.date_naive(), rule),
            run_h: self.hours_since(event),
            of_h: rule.hours,
            since: (event, since.date_naive()),
            times: u32::try_from(visits.len()).unwrap_or(u32::MAX),
            rule: rule.words(),
            basis: f.basis.clone(),
        })
    }

    /// Entry of the last reading of the steps that set a joint. A correction dates from the reading that it puts right: nobody was
    /// at the joint for it.
    #[must_use]
    pub fn last_set(&self, f: &FollowUp) -> Option<u64> {
        let all = f.set_by.iter().flat_map(|step| self.readings_of(step));
        all.map(|k| self.first_entered(&k).0).max()
    }

    /// Joints of a module that has run which were set since and have not run as they stand: the clock of these does not go.
    #[must_use]
    pub fn not_run(&self) -> Vec<&FollowUp> {
        let set = |f: &&FollowUp| self.last_set(f).is_some() && self.due_of(f).is_none();
        let ran = |f: &&FollowUp| !self.times_done(&f.after).is_empty();
        self.plan().follow_up.iter().filter(set).filter(ran).collect()
    }

    /// Entry and time of a reading, or of the first of those that it puts right in turn.
    fn first_entered<'a>(&'a self, k: &Kept<'a>) -> (u64, &'a str) {
        let (mut event, mut at, mut corrects) = (k.event, k.at, k.reading.corrects.as_ref());
        while let Some(c) = corrects.filter(|c| c.event < event) {
            let place = usize::try_from(c.event).ok().and_then(|n| n.checked_sub(1));
            let Some(found) = place.and_then(|n| self.events.get(n)) else { break };
            let Body::Reading(reading) = &found.body else { break };
            (event, at, corrects) = (found.header.event, &found.header.at, reading.corrects.as_ref());
        }
        (event, at)
    }

    /// Each time a step was done: the entry that finished it, and when.
    fn times_done(&self, step: &str) -> Vec<(u64, DateTime<FixedOffset>)> {
        let mut done = Vec::new();
        for round in 0..=self.round() {
            let planned = self.plan_of(round).and_then(|p| p.steps.iter().find(|s| s.id == step));
            let Some(planned) = planned else { continue };
            let own: Vec<Kept<'_>> = self.readings_of(step).into_iter().filter(|k| k.reading.round == round).collect();
            let all = planned.checks.iter().all(|c| own.iter().any(|k| k.reading.check == c.id));
            let stands = round < self.round() || self.step_state(step) == StepState::Done;
            let last = own.iter().map(|k| self.first_entered(k)).max_by_key(|(event, _)| *event);
            if let (true, true, Some((event, at))) = (all, stands, last) {
                done.extend(time(at).map(|at| (event, at)));
            }
        }
        done
    }

    /// The instruments of all readings, each with its date when it was last used.
    #[must_use]
    pub fn calibrations(&self) -> Vec<Calibration> {
        let mut list: Vec<Calibration> = Vec::new();
        for used in self.events.iter().flat_map(Event::used) {
            let Some(due) = used.due.clone() else { continue };
            list.retain(|c| c.id != used.id);
            list.push(Calibration { id: used.id.clone(), kind: used.kind.clone(), due });
        }
        list
    }
}

/// What is looked at again of a plan whose clock begins on a day that is foreseen: nothing of it is in a record yet.
#[must_use]
pub fn foreseen(follow_up: &[FollowUp], from: NaiveDate) -> Vec<Due> {
    let one = |f: &FollowUp| {
        let rule = f.times.first().copied().unwrap_or_default();
        Due {
            id: f.id.clone(),
            what: f.what.clone(),
            step: f.step.clone(),
            on: date_after(from, rule),
            run_h: Decimal::ZERO,
            of_h: rule.hours,
            since: (0, from),
            times: 0,
            rule: rule.words(),
            basis: f.basis.clone(),
        }
    };
    let mut list: Vec<Due> = follow_up.iter().map(one).collect();
    in_order(&mut list);
    list
}

/// What has run its hours first, then by date.
fn in_order(list: &mut [Due]) {
    let key = |d: &Due| (!d.hours_run(), d.on.is_none(), d.on, d.id.clone());
    list.sort_by_key(key);
}

/// The day that so many days or months lie after another; the last day of a month where the month is shorter.
fn date_after(day: NaiveDate, rule: Interval) -> Option<NaiveDate> {
    match (rule.days, rule.months) {
        (Some(days), _) => day.checked_add_days(Days::new(days.into())),
        (None, Some(months)) => day.checked_add_months(Months::new(months)),
        (None, None) => None,
    }
}
