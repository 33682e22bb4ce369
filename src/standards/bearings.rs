//! Mounted ball bearings: inserts UC204 to UC210 in pillow blocks.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    source: String,
    rows: Vec<Unit>,
}

/// An insert with its pillow block; lengths in mm, ratings in kN.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Unit {
    /// Insert.
    pub insert: String,
    /// Housing.
    pub housing: String,
    /// Bore.
    pub bore: f64,
    /// Outer diameter.
    pub outer: f64,
    /// Width of the inner ring.
    pub b: f64,
    /// From the middle to the end without set screws.
    pub s: f64,
    /// Dynamic rating.
    pub c: f64,
    /// Static rating.
    pub c0: f64,
    /// Height of the axis above the foot.
    pub h: f64,
    /// Distance of the bolts.
    pub j: f64,
    /// Width of the foot.
    pub a: f64,
    /// Length of the foot.
    pub l: f64,
    /// Bolt.
    pub bolt: String,
    /// Width of the bolt hole.
    pub hole: f64,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table(include_str!("data/bearings.yaml")));

/// The unit of that insert.
///
/// # Errors
/// [`NotInTable`] for others than UC204 to UC210.
pub fn insert(name: &str) -> Result<&'static Unit, NotInTable> {
    TABLE
        .rows
        .iter()
        .find(|u| u.insert == name)
        .ok_or_else(|| NotInTable::new(format!("insert bearing \"{name}\""), "UC204 to UC210", &TABLE.source))
}

/// Every row.
#[must_use]
pub fn rows() -> &'static [Unit] {
    &TABLE.rows
}

/// Source of the table.
#[must_use]
pub fn source() -> &'static str {
    &TABLE.source
}
