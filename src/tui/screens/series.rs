//! Values of a series so far: each with its place, mean and range.

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, SeriesRule};
use crate::traveler::{fits, summary, value};

/// Values of a series so far, each with its place; where each is judged, one outside is marked at once. The last ones
/// are shown where there is no room for all.
pub fn list(check: &Check, given: &[String], room: usize) -> String {
    let each = check.rule == Some(SeriesRule::Each);
    let item = |(k, typed): (usize, &String)| {
        if typed.is_empty() {
            // To be typed anew, between values that stand.
            return check.place(k).map_or_else(|| "?".to_owned(), |p| format!("{p} ?"));
        }
        let value = value(check, typed, true).map_or_else(|_| typed.clone(), |v| v.to_string());
        let place = check.place(k).map_or_else(String::new, |p| format!("{p} "));
        let mark = if each && !fits(check, &value) { " OUTSIDE" } else { "" };
        format!("{place}{value}{mark}")
    };
    let items: Vec<String> = given.iter().enumerate().map(item).collect();
    let from = (0..items.len()).find(|&from| items[from..].join(", ").chars().count() + 3 <= room);
    let from = from.unwrap_or(items.len().saturating_sub(1));
    let before = if from == 0 { "" } else { "… " };
    format!("{before}{}", items[from..].join(", "))
}

/// Mean and range of a series so far, in the unit of the check.
pub fn mean_and_range(check: &Check, given: &[String]) -> String {
    // Places without a common unit are different things: amplitude and angle, holes and depth.
    if check.unit.is_none() {
        return String::new();
    }
    let values: Vec<Decimal> = given.iter().filter_map(|g| value(check, g, true).ok()).collect();
    // 355° and 5° lie 10° apart: directions have no mean that is a sum.
    if values.is_empty() || check.unit.as_deref() == Some("°") {
        return String::new();
    }
    let (mean, range, _) = summary(&values);
    format!("mean {} range {}", mean.round_dp(4).normalize(), range.normalize())
}
