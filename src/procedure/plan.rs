//! The rendered plan: what the guide shows, what the record keeps, what `plan --format json` prints.
//!
//! A plan stands alone. It holds every word, limit and dimension the guide needs, so that a record written years ago
//! opens without its spec, without the planner and without the texts it was made from.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

pub use super::derive::{Computation, Derive, Take};
pub use super::drawn::{Drawing, DrawnBelt, DrawnCircle, DrawnDrive, DrawnPart, DrawnStand, Shape};
pub use super::follow_up::FollowUp;
pub use super::joints::settling::{Found, Left, Moment, Visit};
pub use super::running::Running;

use super::range::range_words;

/// The order of work for one setup of one module.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Id of the module, as in its spec.
    pub module: String,
    /// What the module is, in words.
    pub title: String,
    /// Revision of the spec.
    pub revision: String,
    /// Value of each setup axis.
    pub setup: BTreeMap<String, String>,
    /// SHA-256 of the spec's bytes.
    pub spec_sha256: String,
    /// The files of words the steps were rendered from.
    pub templates: Vec<TemplateUsed>,
    /// People named by the spec: role to initials.
    pub people: BTreeMap<String, Vec<String>>,
    /// Dimensions for the pictures.
    pub drawing: Drawing,
    /// What runs of this setup are held against and reckoned with; none in records of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub running: Option<Box<Running>>,
    /// The steps, in the order that is proposed.
    pub steps: Vec<Step>,
    /// What is looked at again later; empty in a record made before that was kept.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub follow_up: Vec<FollowUp>,
}

/// One file of words and its hash.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TemplateUsed {
    /// File name inside `procedures/operations/`.
    pub file: String,
    /// SHA-256 of the file's bytes.
    pub sha256: String,
    /// True where a file of the user's stands in for the embedded one.
    pub overridden: bool,
}

/// One line of work: one action, the cautions before it, the checks after it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Place in the proposed order, from 1.
    pub number: u32,
    /// Name made from the operation, its object and its stage; never from the position.
    pub id: String,
    /// Kind of operation, one of the closed list (`ream`, `tighten`, `guard`, …).
    pub operation: String,
    /// The action in one line.
    pub title: String,
    /// Ids of the parts worked on.
    pub parts: Vec<String>,
    /// Where the work is done.
    pub place: String,
    /// Fastener group, for tightening and rechecks.
    pub group: Option<String>,
    /// What people call the joint of that group, without its article: "rod nuts"; none in records of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joint: Option<String>,
    /// Stage that the group reaches (`hand`, `snug`, `pass 1` …, `final`, `circular`).
    pub stage: Option<String>,
    /// Torque to set, in N·m; none for hand and for stages without a torque.
    pub torque_nm: Option<f64>,
    /// Bolt numbers in tightening order.
    pub sequence: Option<Vec<u32>>,
    /// Role that must release the step before what depends on it may begin.
    pub hold: Option<String>,
    /// Working minutes, common practice.
    pub minutes: u32,
    /// Waiting time in hours, for cure and settling.
    pub wait_h: Option<f64>,
    /// Why the step stands here, in words.
    pub why_now: Vec<String>,
    /// Ids of steps that must be done before, each for a reason in `why_now`.
    pub after: Vec<String>,
    /// Cautions, to be read before the action.
    pub cautions: Vec<Caution>,
    /// Tools, with their size.
    pub tools: Vec<String>,
    /// Measuring instruments, with their resolution.
    pub instruments: Vec<String>,
    /// What to do, sentence by sentence.
    #[serde(rename = "do")]
    pub actions: Vec<String>,
    /// What to enter.
    pub checks: Vec<Check>,
    /// Parts that are in place once the step is done.
    pub adds: Vec<String>,
    /// Parts that are off once the step is done.
    pub removes: Vec<String>,
    /// What the picture beside the step shows.
    pub picture: Picture,
}

/// Signal word and the three things a caution says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Caution {
    /// Severity.
    pub signal: Signal,
    /// Hazard, consequence and avoidance, as sentences.
    pub text: String,
}

/// Signal words in the sense of ANSI Z535: will kill or maim, could, minor or moderate harm, property only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "UPPERCASE")]
pub enum Signal {
    /// Will cause death or serious injury if not avoided.
    Danger,
    /// Could cause death or serious injury.
    Warning,
    /// Could cause minor or moderate injury.
    Caution,
    /// Harm to property only.
    Notice,
}

impl Signal {
    /// The word as it is printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Danger => "DANGER",
            Self::Warning => "WARNING",
            Self::Caution => "CAUTION",
            Self::Notice => "NOTICE",
        }
    }
}

/// A value or confirmation that a step asks for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Check {
    /// Unique in its step.
    pub id: String,
    /// How it is entered and judged.
    pub kind: CheckKind,
    /// What is asked.
    pub prompt: String,
    /// Unit of the limits; none for words and counts.
    pub unit: Option<String>,
    /// Nominal value, a decimal.
    pub nominal: Option<String>,
    /// Lower limit, included.
    pub lower: Option<String>,
    /// Upper limit, included.
    pub upper: Option<String>,
    /// Whether a guard band is taken off the limits.
    pub acceptance: Acceptance,
    /// Marked critical in the spec: typed twice.
    pub critical: bool,
    /// Where the limits come from: standard and clause, handbook, the spec's line, or common practice.
    pub basis: String,
    /// For a series: what is judged.
    pub rule: Option<SeriesRule>,
    /// For a series: how many values; for words: how many numbers they list.
    pub count: Option<u32>,
    /// For a derived value: what it is computed from.
    pub derive: Option<Derive>,
    /// For words: what has to stand there; none where any words are kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wanted: Option<String>,
    /// For a series: the place of each value, in order; empty where one place is measured again and again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<String>,
    /// `STEP/CHECK` that belongs to it: for a gauge the measured size of the same feature, else the computed value that
    /// has to be known before this one is measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beside: Option<String>,
    /// A value outside stays open until it is decided; a better one after it does not answer it. What happened, happened.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub stays: bool,
    /// In a visit: read as found or as left, and what it was left at the last time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Found>,
}

impl Check {
    /// A check that asks nothing yet: no words, unit or limits, judged plainly. Callers lay over it what they know.
    #[must_use]
    pub fn blank(id: &str, kind: CheckKind) -> Self {
        Self {
            id: id.to_owned(),
            kind,
            prompt: String::new(),
            unit: None,
            nominal: None,
            lower: None,
            upper: None,
            acceptance: Acceptance::Simple,
            critical: false,
            basis: String::new(),
            rule: None,
            count: None,
            derive: None,
            wanted: None,
            places: Vec::new(),
            beside: None,
            stays: false,
            found: None,
        }
    }

    /// What is asked for at the bench. Where words are wanted, what stands on the part is typed rather than confirmed, since a
    /// `y` reads nothing; a program may still confirm it.
    #[must_use]
    pub const fn asks(&self) -> CheckKind {
        if self.wanted.is_some() { CheckKind::Text } else { self.kind }
    }

    /// Where the value of that number is taken, from 0; none where no places are named.
    #[must_use]
    pub fn place(&self, k: usize) -> Option<&str> {
        self.places.get(k).map(String::as_str)
    }
}

/// A limit as it is kept, exact; none where there is none.
#[must_use]
pub fn limit(kept: Option<&String>) -> Option<Decimal> {
    kept.and_then(|text| text.parse().ok())
}

impl Check {
    /// Lower and upper limit, exact.
    #[must_use]
    pub fn limits(&self) -> (Option<Decimal>, Option<Decimal>) {
        (limit(self.lower.as_ref()), limit(self.upper.as_ref()))
    }

    /// Its limits in words with the unit: [`range_words`]; none where it has none.
    #[must_use]
    pub fn range_words(&self) -> Option<String> {
        range_words(self.lower.as_ref(), self.upper.as_ref(), self.unit.as_deref().unwrap_or_default())
    }
}

/// Kinds of check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckKind {
    /// One measured value.
    Measure,
    /// Several measured values under a rule.
    Series,
    /// Go and no-go gauge.
    Gauge,
    /// Torques bolt by bolt, clicks n of n, or nuts that moved.
    Torque,
    /// Yes or no.
    Confirm,
    /// A whole number.
    Count,
    /// Words: lot, heat, serial number, class mark.
    Text,
    /// Elapsed time.
    Wait,
    /// Computed from other readings, never entered.
    Derived,
}

/// Whether measurement uncertainty is taken off the limits (ISO 14253-1) or the limit already allows for the shop tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Acceptance {
    /// Limits from a drawing or a fit: inside by at least U is within, beyond by at least U is outside.
    Guarded,
    /// Plain comparison.
    Simple,
}

/// What is judged of a series.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SeriesRule {
    /// Every value lies inside the limits.
    Each,
    /// The arithmetic mean.
    Mean,
    /// Largest less smallest.
    Range,
    /// The largest value.
    Largest,
}

/// What the picture beside a step shows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Picture {
    /// The section along the shaft.
    Section,
    /// The end view on the circle of a fastener group, by the group's id.
    Circle(String),
    /// The belt span with its force.
    Belt,
    /// The tolerance zone of the first measured check.
    Zone,
}
