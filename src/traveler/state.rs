//! States in words: of the file, of a step, of a build, of a check.

use serde::{Deserialize, Serialize};

/// How whole the file is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Integrity {
    /// Complete events in the file.
    pub events: u64,
    /// First event that is not as it was written.
    pub first_bad: Option<(u64, String)>,
    /// Bytes after the last complete event.
    pub torn_tail: usize,
    /// Why nothing may be written, beside the above.
    pub read_only: Option<String>,
}

impl Integrity {
    /// Every complete event is as it was written.
    #[must_use]
    pub const fn whole(&self) -> bool {
        self.first_bad.is_none()
    }

    /// The state of the record in words.
    #[must_use]
    pub fn words(&self) -> String {
        match (&self.first_bad, self.torn_tail) {
            (Some((n, why)), _) => format!("altered at entry {n}: {why}"),
            (None, 0) => "record unchanged".into(),
            (None, bytes) => format!("last entry incomplete ({bytes} bytes)"),
        }
    }
}

/// State of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepState {
    /// Nothing entered.
    ToDo,
    /// Something entered.
    InHand,
    /// All checks answered, hold released.
    Done,
    /// Answered, waiting for its release; or stopped by a part that is out.
    Held,
}

impl StepState {
    /// The word of the record.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::ToDo => "to do",
            Self::InHand => "in hand",
            Self::Done => "done",
            Self::Held => "held",
        }
    }
}

/// State of a build.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BuildState {
    /// Work goes on.
    Open,
    /// A hold stands in the way of everything that is left.
    Held,
    /// Closed out.
    Complete,
    /// Opened again after a close-out.
    Reopened,
}

impl BuildState {
    /// The word of the record.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Held => "held",
            Self::Complete => "complete",
            Self::Reopened => "reopened",
        }
    }
}

/// Where the answer to a check stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckState {
    /// Nothing recorded.
    Blank,
    /// Begun: a wait that runs.
    Running,
    /// Within, kept, or accepted.
    Answered,
    /// Outside or undecided, without an answer.
    Open,
    /// The part is out.
    Stopped,
}
