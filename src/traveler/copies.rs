//! Copies of one build on several laptops: how two records stand to each other. They are never merged.

use super::event::Event;
use super::record::Record;

/// How a record stands to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// Another build.
    Unrelated,
    /// The same entries.
    Same,
    /// It has all entries of the other, and so many more.
    Ahead(usize),
    /// The other has all its entries, and so many more.
    Behind(usize),
    /// Both went on after that entry, differently.
    Diverged(u64),
}

impl Relation {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unrelated => "unrelated",
            Self::Same => "same",
            Self::Ahead(_) => "ahead",
            Self::Behind(_) => "behind",
            Self::Diverged(_) => "diverged",
        }
    }
}

/// Compares two records by the hashes of their events.
#[must_use]
pub fn relation(own: &Record, other: &Record) -> Relation {
    let common = common(own, other);
    match (own.events.len() - common, other.events.len() - common) {
        _ if common == 0 => Relation::Unrelated,
        (0, 0) => Relation::Same,
        (more, 0) => Relation::Ahead(more),
        (0, more) => Relation::Behind(more),
        _ => Relation::Diverged(common as u64),
    }
}

/// The entries of each record that the other does not have.
#[must_use]
pub fn apart<'r>(own: &'r Record, other: &'r Record) -> (&'r [Event], &'r [Event]) {
    let common = common(own, other);
    (&own.events[common..], &other.events[common..])
}

/// Entries that both share from the first on: a hash holds the one before it, so the first that differs ends it.
fn common(own: &Record, other: &Record) -> usize {
    own.events.iter().zip(&other.events).take_while(|(a, b)| a.hash == b.hash).count()
}
