//! Published values: one data file a table, each with its source. Looked up by name or size, never typed twice.
//!
//! A size outside a table is an error that names the table's range and source; nothing is extrapolated.

use std::sync::{Mutex, PoisonError};

pub mod balance_grades;
pub mod bearings;
pub mod belts;
pub mod bench;
pub mod bolting;
pub mod cutting;
pub mod drag;
pub mod fatigue;
pub mod iso286;
pub mod keys;
pub mod kit;
pub mod measuring;
pub mod ribs;
pub mod ring_screws;
pub mod seats;
pub mod set_screws;
pub mod settling;
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

/// A built-in table that does not read: a fault of the program itself, so nothing is reckoned with any table.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the built-in table {file} does not read: {why}; this copy of the program is faulty, install it again")]
pub struct Unreadable {
    /// File under `src/standards/data`.
    pub file: &'static str,
    /// Where and why.
    pub why: String,
}

static UNREADABLE: Mutex<Vec<Unreadable>> = Mutex::new(Vec::new());

/// Every built-in table, and what reads it.
const TABLES: [(&str, fn()); 16] = [
    ("balance.yaml", balance_grades::read),
    ("bearings.yaml", bearings::read),
    ("bearings.yaml", ring_screws::read),
    ("belts.yaml", belts::read),
    ("bench.yaml", bench::read),
    ("bolting.yaml", bolting::read),
    ("classes.yaml", threads::read_classes),
    ("drag.yaml", drag::read),
    ("fatigue.yaml", fatigue::read),
    ("iso286.yaml", iso286::read),
    ("keys.yaml", keys::read),
    ("kit.yaml", kit::read),
    ("set_screws.yaml", set_screws::read),
    ("settling.yaml", settling::read),
    ("sleeves.yaml", sleeves::read),
    ("threads.yaml", threads::read),
];

/// Reads every built-in table; asked before any command runs.
///
/// # Errors
/// [`Unreadable`] with the first table that does not read, and why.
///
/// ```
/// assert_eq!(runtrue::standards::ready(), Ok(()));
/// ```
pub fn ready() -> Result<(), Unreadable> {
    TABLES.iter().for_each(|(_, read)| read());
    let found = UNREADABLE.lock().unwrap_or_else(PoisonError::into_inner);
    found.first().map_or(Ok(()), |fault| Err(fault.clone()))
}

fn parsed<T: serde::de::DeserializeOwned>(file: &'static str, text: &str) -> Result<T, Unreadable> {
    serde_yaml::from_str(text).map_err(|e| Unreadable { file, why: e.to_string() })
}

/// Reads an embedded table. One that does not read is empty here, and told by [`ready`] before anything rests on it.
fn table<T: serde::de::DeserializeOwned + Default>(file: &'static str, text: &str) -> T {
    parsed(file, text).unwrap_or_else(|fault| {
        UNREADABLE.lock().unwrap_or_else(PoisonError::into_inner).push(fault);
        T::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    /// Whether an entry of a table says where it comes from: by itself, by one beside it, or with the whole file.
    fn sourced(file: &Value, key: &str, row: &Value) -> bool {
        let says = |v: Option<&Value>| v.and_then(Value::as_str).is_some_and(|s| s.len() > 10);
        says(row.get("source")) || says(file.get(format!("{key}_source"))) || says(file.get("source"))
    }

    #[test]
    fn every_file_reads_is_asked_for_and_has_no_empty_list_and_no_row_without_a_source() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/standards/data");
        let mut files = 0;
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            assert!(TABLES.iter().any(|(file, _)| *file == name), "{name} is not read by ready()");
            // The stricter reader: it refuses a key that stands twice.
            let file: Value = serde_saphyr::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
            for (key, value) in file.as_object().unwrap() {
                if let Value::Array(rows) = value {
                    assert!(!rows.is_empty(), "{name}: {key} is empty");
                    assert!(rows.iter().all(|row| sourced(&file, key, row)), "{name}: a row of {key} has no source");
                } else if !key.ends_with("source") {
                    assert!(!value.as_object().is_some_and(serde_json::Map::is_empty), "{name}: {key} is empty");
                    // What all of one subject comes from stands beside its first entry: axial_source for axial_x.
                    let front = key.split('_').next().unwrap_or(key);
                    let inside = value.as_object().is_some_and(|map| {
                        let named = map.iter().filter(|(k, _)| !k.ends_with("source"));
                        named.clone().count() > 0 && named.clone().all(|(k, row)| sourced(value, k, row))
                    });
                    let beside = sourced(&file, key, value) || sourced(&file, front, value);
                    assert!(inside || beside, "{name}: {key} has no source");
                }
            }
            files += 1;
        }
        // One file may hold what two readers take.
        let read: std::collections::BTreeSet<&str> = TABLES.iter().map(|(file, _)| *file).collect();
        assert_eq!(files, read.len());
        assert_eq!(ready(), Ok(()));
    }

    #[test]
    fn a_table_that_does_not_read_is_told_with_its_file_and_place() {
        let said = parsed::<Vec<f64>>("keys.yaml", "- 1\n- two\n").unwrap_err().to_string();
        assert!(said.contains("keys.yaml") && said.contains("line 2"), "{said}");
        assert!(parsed::<Vec<f64>>("keys.yaml", "- 1\n- 2\n").is_ok());
    }

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
