//! The end of a record, and work after it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// The end of the record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClosedOut {
    /// Steps done.
    pub steps: u32,
    /// Readings kept.
    pub readings: u32,
    /// Dispositions given, by word.
    pub dispositions: BTreeMap<String, u32>,
    /// The adopted setup, as people say it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub adopted: Option<String>,
}

/// Work after a close-out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reopened {
    /// Why.
    pub reason: String,
}
