//! Balance grades and the machines they are meant for.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    source: String,
    rows: Vec<Grade>,
}

/// A grade of the table.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Grade {
    /// G: permissible specific unbalance times angular velocity, mm/s.
    pub grade: f64,
    /// Machines it is meant for.
    #[serde(rename = "for")]
    pub machines: String,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("balance.yaml", include_str!("data/balance.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// The row of a grade, given by its number: eccentricity times angular speed, mm/s.
///
/// # Errors
/// [`NotInTable`] for a grade between the rows or outside them; a drawing may still ask for it.
///
/// ```
/// use runtrue::standards::balance_grades::grade;
/// assert!(grade(16.0)?.machines.contains("agricultural"));
/// assert!(grade(10.0).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn grade(value: f64) -> Result<&'static Grade, NotInTable> {
    let found = TABLE.rows.iter().find(|r| (r.grade - value).abs() < 1e-9);
    found.ok_or_else(|| {
        let all: Vec<String> = TABLE.rows.iter().map(|r| format!("G {}", r.grade)).collect();
        NotInTable::new(format!("balance grade G {value}"), all.join(", "), source())
    })
}

/// Every grade, the coarsest first.
///
/// ```
/// let all = runtrue::standards::balance_grades::rows();
/// assert!(all.len() == 11 && all.windows(2).all(|w| w[0].grade > w[1].grade));
/// ```
#[must_use]
pub fn rows() -> &'static [Grade] {
    &TABLE.rows
}

/// Where the table comes from.
///
/// ```
/// assert!(runtrue::standards::balance_grades::source().contains("ISO 21940-11"));
/// ```
#[must_use]
pub fn source() -> &'static str {
    &TABLE.source
}
