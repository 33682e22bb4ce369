//! How a joint fares over the visits: what it was left at, what was found, what was lost between.

use rust_decimal::Decimal;
use serde::Serialize;

use crate::procedure::plan::{FollowUp, Moment};

use super::changing::CannotChange;
use super::kept::Kept;
use super::record::Record;
use super::session::time;
use super::visits::{loss, numbers, tells, worst};

/// From so many visits on their losses are set against each other.
const ENOUGH: usize = 3;

/// One value of a joint at one time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Point {
    /// Entry.
    pub event: u64,
    /// When.
    pub at: String,
    /// Round of work.
    pub round: u32,
    /// `set`, `found` or `left`.
    pub moment: &'static str,
    /// Each value, as kept.
    pub values: Vec<String>,
    /// The value that counts: the least bolt, the mean of a belt.
    pub value: Decimal,
    /// For what was found: the loss since it was left, in per cent.
    pub loss_percent: Option<Decimal>,
    /// For what was found: days since then, by the clock of the machine.
    pub days: Option<i64>,
    /// Hours of running noted between.
    pub hours: Option<Decimal>,
}

/// A joint over time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Trend {
    /// Id of the follow-up.
    pub joint: String,
    /// What it is called.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// Values, oldest first.
    pub points: Vec<Point>,
    /// What they tell, and no more.
    pub words: String,
}

impl Record {
    /// The joints that have values, one by one.
    ///
    /// # Errors
    /// [`CannotChange`] where the plan says nothing of follow-ups and the spec in the record does not read any more.
    pub fn trends(&self) -> Result<Vec<Trend>, CannotChange> {
        Ok(self.followed()?.iter().filter_map(|f| self.trend(f)).collect())
    }

    fn trend(&self, f: &FollowUp) -> Option<Trend> {
        let mut unit = String::new();
        let mut points: Vec<Point> = Vec::new();
        let steps = f.set_by.iter().chain([&f.step]);
        let mut all: Vec<_> = steps.flat_map(|step| self.readings_of(step)).collect();
        all.sort_by_key(|k| k.event);
        // A reading put right by a correction tells nothing; what was found outside and decided on was found all the same.
        let told = |k: &Kept<'_>| !k.later.is_some_and(|e| e.corrects(k.event)) && self.at_last_torque(k);
        for k in all.into_iter().filter(told) {
            let Some(check) = self.check_answered(&k).filter(|c| tells(f, c)) else { continue };
            let Some(values) = numbers(check, &k.reading.values) else { continue };
            let Some(value) = worst(check, &values) else { continue };
            unit = check.unit.clone().unwrap_or_default();
            let moment = match check.found.as_ref().map(|f| f.moment) {
                None => "set",
                Some(Moment::AsFound) => "found",
                Some(Moment::AsLeft) => "left",
            };
            let before = points.iter().rev().find(|p| p.moment != "found").filter(|_| moment == "found");
            points.push(Point {
                event: k.event,
                at: k.at.to_owned(),
                round: k.reading.round,
                moment,
                values: k.reading.values.clone(),
                value,
                loss_percent: before.and_then(|p| loss(p.value, value)),
                days: before.and_then(|p| Some((time(k.at)? - time(&p.at)?).num_days())),
                hours: before.map(|p| self.hours_since(p.event) - self.hours_since(k.event)),
            });
        }
        let words = words(&points);
        (!points.is_empty()).then(|| Trend { joint: f.id.clone(), name: f.name.clone(), unit, points, words })
    }
}

/// What the losses tell. Nothing is said of a time that nobody has looked at, and losses over unlike times are not compared: most
/// settling is in the first days.
fn words(points: &[Point]) -> String {
    let list: Vec<&Point> = points.iter().filter(|p| p.loss_percent.is_some()).collect();
    match list.as_slice() {
        [] => "No visit yet: nothing is known of what it loses.".into(),
        [one] => format!("One visit, lost {}: one visit is no trend.", listed(&[one])),
        list if list.len() < ENOUGH => {
            format!("{} visits, lost {}: two visits are no trend.", list.len(), listed(list))
        }
        list => {
            let told = if alike(list) { fall_or_rise(list) } else { "over unlike times, so they are not compared" };
            let n = list.len();
            format!("{n} visits, lost {}: {told}. What comes after the last visit is not known.", listed(list))
        }
    }
}

fn fall_or_rise(list: &[&Point]) -> &'static str {
    let falls = list.windows(2).all(|p| p[1].loss_percent < p[0].loss_percent);
    let grows = list.windows(2).all(|p| p[1].loss_percent > p[0].loss_percent);
    match (falls, grows) {
        (true, _) => "each time less: it comes to rest",
        (_, true) => "EACH TIME MORE: something works loose, look for the cause",
        _ => "neither less nor more each time",
    }
}

/// Times are alike where the longest is at most half as long again as the shortest, in days and in hours run (common practice).
fn alike(list: &[&Point]) -> bool {
    let near = |values: Vec<Decimal>| {
        let (least, most) = (values.iter().min().copied(), values.iter().max().copied());
        least.zip(most).is_some_and(|(least, most)| most * Decimal::TWO <= least * Decimal::from(3))
    };
    let days: Option<Vec<Decimal>> = list.iter().map(|p| p.days.map(Decimal::from)).collect();
    let hours: Option<Vec<Decimal>> = list.iter().map(|p| p.hours).collect();
    days.is_some_and(near) && hours.is_some_and(near)
}

fn listed(list: &[&Point]) -> String {
    let one = |p: &&Point| {
        let lost = p.loss_percent.map_or_else(String::new, |l| format!("{l} %"));
        let days = p.days.map_or_else(|| "an unknown time".to_owned(), |d| format!("{d} days"));
        let hours = p.hours.map_or_else(String::new, |h| format!(" and {} h run", h.normalize()));
        format!("{lost} in {days}{hours}")
    };
    list.iter().map(one).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(loss: i64, days: i64, hours: i64) -> Point {
        Point {
            event: 1,
            at: String::new(),
            round: 0,
            moment: "found",
            values: Vec::new(),
            value: Decimal::ONE,
            loss_percent: Some(Decimal::from(loss)),
            days: Some(days),
            hours: Some(Decimal::from(hours)),
        }
    }

    #[test]
    fn losses_are_compared_over_like_times_only() {
        let like = [found(6, 30, 40), found(4, 40, 50), found(2, 35, 45)];
        assert!(words(&like).contains("6 % in 30 days and 40 h run") && words(&like).contains("comes to rest"));
        let unlike = [found(2, 7, 10), found(4, 30, 40), found(6, 90, 120)];
        assert!(words(&unlike).contains("not compared") && !words(&unlike).contains("EACH TIME MORE"));
        let worse = [found(2, 30, 0), found(4, 30, 0), found(6, 31, 0)];
        assert!(words(&worse).contains("EACH TIME MORE"));
    }
}
