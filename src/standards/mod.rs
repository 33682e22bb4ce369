//! Published values: one data file a table, each with its source. Looked up by name or size, never typed twice.
//!
//! A size outside a table is an error that names the table's range and source; nothing is extrapolated.

pub mod balance_grades;
pub mod bearings;
pub mod belts;
pub mod bench;
pub mod bolting;
pub mod cutting;
pub mod iso286;
pub mod keys;
pub mod kit;
pub mod measuring;
pub mod ribs;
pub mod set_screws;
pub mod sleeves;
pub mod threads;

/// A value that no table holds.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what} is not in the table; it holds {range} ({source_named})")]
pub struct NotInTable {
    /// What was looked up.
    pub what: String,
    /// What the table holds.
    pub range: String,
    /// Where the table comes from.
    pub source_named: String,
}

impl NotInTable {
    fn new(what: impl Into<String>, range: impl Into<String>, source: &str) -> Self {
        Self { what: what.into(), range: range.into(), source_named: source.to_owned() }
    }
}

/// Reads an embedded table. A table that does not read is empty, and a test fails.
fn table<T: serde::de::DeserializeOwned + Default>(text: &str) -> T {
    serde_saphyr::from_str(text).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_reads_and_names_its_source() {
        assert!(threads::sizes().count() >= 24 && !threads::source().is_empty() && !threads::fine_source().is_empty());
        assert!(threads::class_sources().iter().all(|s| s.contains("ISO")));
        assert!(balance_grades::rows().len() == 11 && !balance_grades::source().is_empty());
        assert!(bearings::rows().len() >= 7 && !bearings::source().is_empty());
        assert!(keys::source().len() > 10 && keys::sharing(2).is_ok_and(|s| s.1.len() > 10));
        assert!(keys::permitted_share().1.len() > 10);
        assert!(iso286::source().contains("ISO 286"));
        assert!(!belts::source().is_empty() && belts::stock("PJ").len() > 60);
        for (what, source) in bench::sources() {
            assert!(source.len() > 10, "{what} has no source");
        }
        assert!(bench::sources().len() > 35);
    }
}
