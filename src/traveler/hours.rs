//! Hours that a module has run, noted by a person. They may be noted on a closed record: a machine in use is no work on it.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use crate::quantity::{Amount, unit};

use super::enter::{EntryError, refused};
use super::event::{Body, Corrects};
use super::record::Record;
use super::session::Session;
use super::store::initials_fit;

/// The most that is taken at once: a year of running day and night.
const MOST_H: u32 = 8784;

/// Hours of running since they were noted the last time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoursRun {
    /// Hours, a decimal.
    pub hours: String,
    /// Stands in the place of an earlier note, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Corrects>,
}

impl HoursRun {
    /// In words: "12 h of running", with what it puts right.
    #[must_use]
    pub fn words(&self) -> String {
        let right = self.corrects.as_ref().map(|c| format!(", in the place of entry {}: {}", c.event, c.reason));
        format!("{} h of running{}", self.hours, right.unwrap_or_default())
    }
}

impl Record {
    /// Hours noted after an entry, exact; what was corrected counts as it was put right.
    #[must_use]
    pub fn hours_since(&self, event: u64) -> Decimal {
        let noted = |e: &super::event::Event| match &e.body {
            Body::Hours(h) => Some((h.corrects.as_ref().map_or(e.header.event, |c| c.event), h.hours.parse().ok()?)),
            _ => None,
        };
        // A correction of a correction stands in the place of the first note as well.
        let mut list: Vec<(u64, u64, Decimal)> = Vec::new();
        for (own, (place, hours)) in self.events.iter().filter_map(|e| Some((e.header.event, noted(e)?))) {
            match list.iter_mut().find(|(_, last, _)| *last == place) {
                Some(found) => (found.1, found.2) = (own, hours),
                None => list.push((own, own, hours)),
            }
        }
        list.iter().filter(|(first, _, _)| *first > event).map(|(_, _, hours)| *hours).sum()
    }

    /// The last note of hours.
    fn last_hours(&self) -> Option<u64> {
        self.events.iter().rev().find(|e| matches!(e.body, Body::Hours(_))).map(|e| e.header.event)
    }
}

impl Session {
    /// Notes hours of running, "12" or "12 h" or "90 min"; `correct` puts the last note right, with its reason.
    ///
    /// # Errors
    /// [`EntryError`] for text that is no time, nothing or more than a year of running, or a correction of nothing.
    pub fn note_hours(&mut self, text: &str, correct: Option<&str>, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        let hour = unit("h").ok_or_else(|| refused("the unit h is not known"))?;
        let hours = Amount::parse_in(text.trim(), hour.kind, Some(hour)).and_then(|a| a.in_unit(hour));
        let hours = hours.map_err(|e| refused(e.to_string()))?;
        let least = if correct.is_some() { Decimal::ZERO } else { Decimal::new(1, 6) };
        if hours < least || hours > Decimal::from(MOST_H) {
            return Err(refused(format!("{hours} h cannot be: from a moment to {MOST_H} h are noted at once")));
        }
        let corrects = match correct {
            None => None,
            Some(reason) if reason.trim().is_empty() => return Err(refused("a correction needs its reason")),
            Some(reason) => {
                let event = self.record().last_hours().ok_or_else(|| refused("no hours are noted yet"))?;
                Some(Corrects { event, reason: reason.to_owned() })
            }
        };
        Ok(self.append(by, Body::Hours(HoursRun { hours: hours.normalize().to_string(), corrects }))?)
    }
}
