//! Adapter sleeves of insert bearings with a tapered bore.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    rows: Vec<Row>,
}

/// An insert with a tapered bore: its sleeve's seat, and the insert of the same size with set screws.
#[derive(Debug, Deserialize)]
struct Row {
    insert: String,
    like: String,
    seat: f64,
    source: String,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("sleeves.yaml", include_str!("data/sleeves.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// The insert with set screws that shares outside and ratings with one on a sleeve.
///
/// ```
/// use runtrue::standards::sleeves::like;
/// assert_eq!((like("UK206"), like("UC206")), (Some("UC206"), None));
/// ```
#[must_use]
pub fn like(name: &str) -> Option<&'static str> {
    TABLE.rows.iter().find(|s| s.insert == name).map(|s| s.like.as_str())
}

/// Shaft diameter under the adapter sleeve of an insert with a tapered bore, mm, and the source.
///
/// # Errors
/// [`NotInTable`] for others than UK205 to UK210.
///
/// ```
/// assert_eq!(runtrue::standards::sleeves::seat("UK206")?.0, 25.0); // H306 on a shaft of 25 mm
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn seat(name: &str) -> Result<(f64, &'static str), NotInTable> {
    let row = TABLE.rows.iter().find(|s| s.insert == name);
    row.map(|s| (s.seat, s.source.as_str()))
        .ok_or_else(|| NotInTable::new(format!("adapter sleeve of \"{name}\""), "UK205 to UK210", "ISO 2982-1"))
}
