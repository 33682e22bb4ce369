//! The end of a record, and work after it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::due::Promised;

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
    /// What is to be looked at again, and when.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub follow_up: Vec<Promised>,
}

/// Work after a close-out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reopened {
    /// Why.
    pub reason: String,
}
