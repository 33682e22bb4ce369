//! Events of the record, as they are written.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::procedure::plan::Plan;

use super::adopted::Adopted;
pub use super::attach::{Attached, Noted};
pub use super::document::{read, write};
pub use super::ending::{ClosedOut, Reopened};
pub use super::given_up::GivenUp;
use super::hours::HoursRun;
use super::parts::PartNoted;
use super::rounds::{Changed, Kind};
use super::trial::Trial;

/// Format of the record that this program writes.
pub const FORMAT: u32 = 1;

/// What stands at the head of every event.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Header {
    /// Number, from 1.
    pub event: u64,
    /// Hash of the event before, `none` for the first.
    pub before: String,
    /// When, local time with its offset.
    pub at: String,
    /// Initials.
    pub by: String,
    /// Kind of event.
    pub what: String,
}

/// One event.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Head.
    pub header: Header,
    /// Rest.
    pub body: Body,
    /// Its own hash.
    pub hash: String,
}

impl Event {
    /// True for a reading that puts the reading of that event right.
    #[must_use]
    pub fn corrects(&self, number: u64) -> bool {
        matches!(&self.body, Body::Reading(r) if r.corrects.as_ref().is_some_and(|c| c.event == number))
    }
}

/// The kinds of event.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// Event 1.
    Started(Box<Started>),
    /// A reading.
    Reading(Box<Reading>),
    /// An answer to a reading outside its limits.
    Disposition(Disposed),
    /// A hold released.
    Release(Released),
    /// A note.
    Note(Noted),
    /// Hours of running.
    Hours(HoursRun),
    /// Something noted of a part.
    Part(PartNoted),
    /// A file kept with a step.
    Attached(Attached),
    /// A torn last event set aside.
    SetAside(SetAside),
    /// The record closed.
    ClosedOut(ClosedOut),
    /// Opened again.
    Reopened(Reopened),
    /// A new round of work, with its own plan.
    Changed(Box<Changed>),
    /// A speed trial.
    Trial(Box<Trial>),
    /// A setup adopted.
    Adopted(Adopted),
    /// Written by a later program.
    Unknown,
}

/// Start of a build: all that is needed to go on, and to read the record years later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Started {
    /// Format of the record.
    pub format: u32,
    /// Program and version that wrote it.
    pub program: String,
    /// Serial number of the module.
    pub serial: String,
    /// A practice build, no real module.
    pub practice: bool,
    /// Declared to be one person's build: why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alone: Option<String>,
    /// File or built-in name of the spec.
    pub spec_name: String,
    /// The spec's text.
    pub spec: String,
    /// The rendered plan; shared, since builds of one module in one setup have the same.
    pub plan: Arc<Plan>,
}

/// Verdict words of the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Verdict {
    /// Inside the limits.
    #[serde(rename = "within")]
    Within,
    /// Beyond a limit.
    #[serde(rename = "outside")]
    Outside,
    /// The instrument is too coarse, or another round is needed.
    #[serde(rename = "undecided")]
    Undecided,
    /// Nothing to judge.
    #[serde(rename = "not judged")]
    NotJudged,
}

impl Verdict {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Outside => "outside",
            Self::Undecided => "undecided",
            Self::NotJudged => "not judged",
        }
    }

    /// True for outside and undecided: something has to be answered.
    #[must_use]
    pub const fn open(self) -> bool {
        matches!(self, Self::Outside | Self::Undecided)
    }
}

/// One reading with the limits it was judged by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Round: 0 for the first build.
    pub round: u32,
    /// As typed.
    pub entered: Vec<String>,
    /// As judged, exact decimals in the check's unit, or words.
    pub values: Vec<String>,
    /// Unit.
    pub unit: Option<String>,
    /// Lower limit.
    pub lower: Option<String>,
    /// Upper limit.
    pub upper: Option<String>,
    /// Verdict.
    pub verdict: Verdict,
    /// Why, in words.
    pub because: String,
    /// Role of the person, as stated by the spec.
    pub role: String,
    /// Computed from another reading, not entered.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub derived: bool,
    /// Instrument.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<Used>,
    /// Correction: number of the event put right, and why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<Corrects>,
    /// Disposition given with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disposition: Option<Disposition>,
    /// Taken from paper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper: Option<Paper>,
    /// Who read the value back before it was saved, by their own initials.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub witness: Option<String>,
    /// A wait ended early: role and reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ended_early: Option<EndedEarly>,
    /// Words that were wanted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wanted: Option<String>,
    /// Why it is hard to believe; it was kept all the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub doubt: Option<String>,
    /// What the disposition given with it gives up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub given_up: Option<GivenUp>,
    /// How it was typed: `twice`, the second time without sight of the first, and both agreed; or which values were typed
    /// anew while the others stood as in the reading before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub typed: Option<String>,
}

/// The instrument a reading was taken with, as the register had it then.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Used {
    /// Id.
    pub id: String,
    /// Kind.
    pub kind: String,
    /// Expanded uncertainty, with unit; none where nobody stated it.
    pub uncertainty: Option<String>,
    /// Calibration due.
    pub due: Option<String>,
    /// Past its date when the reading was taken.
    pub overdue: bool,
}

/// What a correction puts right.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Corrects {
    /// Event.
    pub event: u64,
    /// Why.
    pub reason: String,
}

/// Kinds of disposition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DispositionKind {
    /// Brought back to the drawing; a new reading follows.
    Rework,
    /// Usable, not fully to the drawing.
    Repair,
    /// Accepted as it is.
    UseAsIs,
    /// Not usable.
    Scrap,
    /// Back to the supplier.
    Return,
}

impl DispositionKind {
    /// All kinds, with the word used on command line and screens.
    pub const ALL: [(&'static str, Self); 5] = [
        ("rework", Self::Rework),
        ("repair", Self::Repair),
        ("use-as-is", Self::UseAsIs),
        ("scrap", Self::Scrap),
        ("return", Self::Return),
    ];

    /// The word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(_, k)| *k == self).map_or("", |(w, _)| w)
    }

    /// The word as it is said: without hyphens, which a line would break at.
    #[must_use]
    pub fn said(self) -> String {
        self.word().replace('-', " ")
    }

    /// The kind of that word.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(w, _)| *w == word).map(|(_, k)| *k)
    }

    /// The part is not used: it is out.
    #[must_use]
    pub const fn gives_up(self) -> bool {
        matches!(self, Self::Scrap | Self::Return)
    }

    /// Work goes on with the part as it is.
    #[must_use]
    pub const fn accepts(self) -> bool {
        matches!(self, Self::Repair | Self::UseAsIs)
    }
}

/// An answer to a reading outside its limits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Disposition {
    /// Kind.
    pub kind: DispositionKind,
    /// Why.
    pub reason: String,
    /// Role of who decided.
    pub role: String,
}

/// A disposition given after the reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Disposed {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Event of the reading.
    pub reading: u64,
    /// The disposition.
    pub disposition: Disposition,
    /// What it gives up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub given_up: Option<GivenUp>,
}

/// Entry typed from paper.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Paper {
    /// Who measured.
    pub measured_by: String,
    /// When, as written on the paper.
    pub at: String,
}

/// A wait ended before its time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct EndedEarly {
    /// Role.
    pub role: String,
    /// Why.
    pub reason: String,
}

/// A hold released.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Released {
    /// Step id.
    pub step: String,
    /// Role, as stated.
    pub role: String,
    /// Remote: by which channel, and who took it down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remote: Option<Remote>,
    /// Released by who did the work, as the declared one-person build allows.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub alone: bool,
    /// Said with it: nobody else is present.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub nobody_else: bool,
}

/// A release from afar.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remote {
    /// Telephone, mail, ….
    pub channel: String,
    /// Who took it down.
    pub taken_by: String,
}

/// A torn tail moved out of the way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SetAside {
    /// File under `set-aside/`.
    pub file: String,
    /// Bytes.
    pub bytes: u64,
}

impl Body {
    /// The word in `what:`.
    #[must_use]
    pub fn what(&self) -> &'static str {
        match self {
            Self::Started(_) => "started",
            Self::Reading(_) => "reading",
            Self::Disposition(_) => "disposition",
            Self::Release(_) => "release",
            Self::Note(_) => "note",
            Self::Hours(_) => "hours",
            Self::Part(_) => "part",
            Self::Attached(_) => "attached",
            Self::SetAside(_) => "set-aside",
            Self::ClosedOut(_) => "closed-out",
            Self::Reopened(_) => "reopened",
            // A kind of its own, so that a program that knows no visits reads it and writes nothing.
            Self::Changed(c) if c.kind == Kind::Visit => "visit",
            Self::Changed(_) => "changed",
            Self::Trial(_) => "trial",
            Self::Adopted(_) => "adopted",
            Self::Unknown => "unknown",
        }
    }
}
