//! When joints that settle, belts that run in and bearings that want grease are looked at again.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::quantity::Speed;

use super::{NotInTable, table};

/// When something is due: after so many hours of running or so many days, whatever comes first.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Interval {
    /// Hours of running.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours: Option<u32>,
    /// Days of the calendar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days: Option<u32>,
    /// Months of the calendar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub months: Option<u32>,
}

impl Interval {
    /// In words.
    ///
    /// ```
    /// let times = runtrue::standards::settling::rule("pinch").unwrap().times.clone();
    /// assert_eq!(times[0].words(), "after 8 h of running, at the latest after 5 days");
    /// ```
    #[must_use]
    pub fn words(self) -> String {
        let date = match (self.days, self.months) {
            (Some(days), _) => Some(format!("{days} days")),
            (None, Some(months)) => Some(format!("{months} months")),
            (None, None) => None,
        };
        match (self.hours, date) {
            (Some(hours), Some(date)) => format!("after {hours} h of running, at the latest after {date}"),
            (Some(hours), None) => format!("after {hours} h of running"),
            (None, Some(date)) => format!("after {date}"),
            (None, None) => "at no stated time".into(),
        }
    }
}

/// Times of one kind of joint.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Rule {
    /// Kind of joint.
    pub joint: String,
    /// First, second … time; the last repeats.
    pub times: Vec<Interval>,
    /// Source.
    pub source: String,
}

#[derive(Debug, Default, Deserialize)]
struct Table {
    rules: Vec<Rule>,
    grease_source: String,
    grease: Vec<Grease>,
    waits: Vec<Wait>,
    loss: Loss,
}

#[derive(Debug, Deserialize)]
struct Wait {
    wait: String,
    hours: u32,
    source: String,
}

#[derive(Debug, Deserialize)]
struct Grease {
    up_to: f64,
    months: u32,
}

#[derive(Debug, Default, Deserialize)]
struct Loss {
    share: f64,
    source: String,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("settling.yaml", include_str!("data/settling.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// The times of a kind of joint: `rods`, `pinch`, `locked`, `hub`, `ring`, `sleeve`, `base` or `belt`.
///
/// # Errors
/// [`NotInTable`] for another kind.
///
/// ```
/// let rule = runtrue::standards::settling::rule("belt").unwrap();
/// assert_eq!(rule.times[0].hours, Some(24));
/// ```
pub fn rule(joint: &str) -> Result<&'static Rule, NotInTable> {
    let known = || TABLE.rules.iter().map(|r| r.joint.as_str()).collect::<Vec<_>>().join(", ");
    let found = TABLE.rules.iter().find(|r| r.joint == joint);
    found.ok_or_else(|| NotInTable::new(format!("joint \"{joint}\""), known(), "kinds of joint that settle"))
}

/// Months between two greasings of an insert bearing at that speed, eight hours a day, and the source.
///
/// # Errors
/// [`NotInTable`] above the last speed of the table: the maker is asked.
///
/// ```
/// use runtrue::quantity::Speed;
/// use runtrue::standards::settling::grease;
/// assert_eq!(grease(Speed::from_rpm(300.0)).unwrap().0, 12);
/// assert_eq!(grease(Speed::from_rpm(750.1)).unwrap().0, 7);
/// assert!(grease(Speed::from_rpm(3000.1)).is_err());
/// ```
pub fn grease(speed: Speed) -> Result<(u32, &'static str), NotInTable> {
    let last = TABLE.grease.last().map_or(0.0, |g| g.up_to);
    let row = TABLE.grease.iter().find(|g| speed.rpm() > 0.0 && speed.rpm() <= g.up_to);
    row.map(|g| (g.months, TABLE.grease_source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("{} rpm", speed.rpm()), format!("speeds up to {last} rpm"), &TABLE.grease_source)
    })
}

/// Hours between two steps, and the source: `cure` of a thread locker, `settle` of clamped faces before a recheck tells something.
///
/// # Errors
/// [`NotInTable`] for another wait.
///
/// ```
/// use runtrue::standards::settling::wait;
/// assert_eq!((wait("cure").unwrap().0, wait("settle").unwrap().0), (24, 4));
/// assert!(wait("lunch").is_err());
/// ```
pub fn wait(name: &str) -> Result<(u32, &'static str), NotInTable> {
    let known = || TABLE.waits.iter().map(|w| w.wait.as_str()).collect::<Vec<_>>().join(", ");
    let found = TABLE.waits.iter().find(|w| w.wait == name).map(|w| (w.hours, w.source.as_str()));
    found.ok_or_else(|| NotInTable::new(format!("wait \"{name}\""), known(), "waits between two steps"))
}

/// Share of a preload that is lost to settling without anything being wrong, and the source.
///
/// ```
/// assert_eq!(runtrue::standards::settling::plain_loss().0, 0.065);
/// ```
#[must_use]
pub fn plain_loss() -> (f64, &'static str) {
    (TABLE.loss.share, TABLE.loss.source.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_date_so_that_nothing_waits_for_hours_that_nobody_notes() {
        for rule in &TABLE.rules {
            assert!(!rule.times.is_empty() && rule.times.iter().all(|t| t.days.is_some()), "{}", rule.joint);
        }
        assert!(rule("gasket").unwrap_err().to_string().contains("rods, pinch"));
        let both = Interval { hours: Some(8), days: Some(5), months: None };
        assert_eq!(both.words(), "after 8 h of running, at the latest after 5 days");
    }
}
