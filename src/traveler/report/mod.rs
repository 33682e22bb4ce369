//! A record, a comparison or a blank traveler as a document: what it says stands here once, how it is set stands in one
//! file a form (text, Markdown, HTML).

mod balance;
mod blank;
mod calendar;
mod chart;
mod comparison;
mod drawing;
mod figure;
mod filter;
mod html;
mod index;
mod kit;
mod markdown;
mod notes;
mod releases;
mod sections;
mod settling;
mod signed;
mod summary;
#[cfg(test)]
mod tests;
mod text;
mod trials;

pub use blank::blank;
pub use calendar::{Entry as CalendarEntry, calendar};
pub use comparison::compared;
pub use figure::Figure;
pub use filter::Filter;
pub use html::html;
pub use kit::{Packed, kit, note, packed, sheets, what};
pub use markdown::markdown;
pub use settling::{DueOf, due, trends};
pub use text::text;
pub use trials::{charts as trial_charts, trials};

use super::instruments::Register;
use super::record::Record;
use super::signature::Signature;

/// A document, in order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// What it is of.
    pub title: String,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// One thing in a document. All words may be people's: a form makes them harmless when it sets them.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// Heading of level 2 or 3.
    Heading(u8, String),
    /// A paragraph.
    Text(String),
    /// A paragraph that must not be missed: signal word and text.
    Warning(String, String),
    /// Names and values.
    Facts(Vec<(String, String)>),
    /// Sentences to be done in turn.
    List(Vec<String>),
    /// A table.
    Table(Table),
    /// A drawing to scale, or a chart.
    Figure(Figure),
}

/// A table with its heads.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// Heads of the columns.
    pub head: Vec<&'static str>,
    /// Rows of as many cells.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// What stands in it.
    pub text: String,
    /// Superseded: struck through and still readable.
    pub struck: bool,
    /// What is said beside it, as by whom and why it was struck.
    pub note: String,
    /// Must not be missed.
    pub strong: bool,
    /// To be filled by hand.
    pub blank: bool,
}

impl Cell {
    fn of(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    fn blank() -> Self {
        Self { blank: true, ..Self::default() }
    }
}

/// The record as it was at the end of each round of work; the first build is round 0, the last is the record itself.
#[must_use]
pub fn rounds(record: &Record) -> Vec<Record> {
    (0..=record.round()).filter_map(|round| record.at_end_of(round)).collect()
}

/// What lies beside a record and is asked for its review.
#[derive(Debug, Clone, Copy)]
pub struct Beside<'a> {
    /// The register: it tells which instruments were found faulty since.
    pub register: &'a Register,
    /// Its signatures, looked at; none where they were not looked for.
    pub signatures: Option<&'a [Signature]>,
}

/// The review of a record: summary first, then deviations, then everything; `filter` leaves out readings, never the
/// summary.
#[must_use]
pub fn review(record: &Record, beside: &Beside<'_>, filter: &Filter) -> Document {
    let register = beside.register;
    let rounds = rounds(record);
    let mut blocks = summary::summary(record, &rounds, beside);
    blocks.extend(sections::changes(record));
    if filter.is_empty() {
        blocks.extend(trials::blocks_of(record));
    }
    blocks.extend(sections::deviations(&rounds, filter));
    blocks.extend(sections::doubts(&rounds, register, filter));
    blocks.extend(releases::releases(record, &rounds, filter));
    if filter.is_empty() {
        blocks.extend(index::index(record));
        blocks.extend(sections::parts(record));
        blocks.extend(sections::instruments(record, register));
    }
    if filter.is_empty() {
        blocks.extend(balance::balance(&rounds));
        blocks.extend(settling::section(record));
    }
    blocks.extend(drawing::drawings(record));
    blocks.extend(rounds.iter().flat_map(|r| sections::steps(record, r, filter)));
    blocks.extend(notes::notes(record, filter));
    Document { title: format!("{}, serial {}", record.plan().title, record.started().serial), blocks }
}
