//! People of an entry beside who makes it: initials under no role (a helper, or a slip of the finger), who measured on paper, who
//! read a value back.

use std::collections::BTreeMap;

use super::enter::{Entry, EntryError, refused};
use super::record::Record;
use super::store::initials_fit;

/// What is said of initials that stand under no role; none for those that do, and where the spec names nobody.
#[must_use]
pub fn unknown(people: &BTreeMap<String, Vec<String>>, initials: &str) -> Option<String> {
    let named = people.values().flatten().any(|i| i == initials);
    let list = people.iter().map(|(role, l)| format!("{role}: {}", l.join(", "))).collect::<Vec<_>>().join("; ");
    (!named && !people.is_empty()).then(|| format!("{initials} is not among the people of the spec ({list})"))
}

impl Record {
    /// What is said of initials that stand under no role; none for those that do.
    #[must_use]
    pub fn unknown(&self, initials: &str) -> Option<String> {
        unknown(&self.plan().people, initials)
    }

    /// True where nobody of these initials made an entry after the start.
    #[must_use]
    pub fn is_new(&self, initials: &str) -> bool {
        !self.events.iter().skip(1).any(|e| e.header.by == initials)
    }
}

/// An entry from paper says who measured, and when.
pub(super) fn paper_fits(entry: &Entry) -> Result<(), EntryError> {
    let Some(paper) = &entry.paper else {
        return Ok(());
    };
    initials_fit(&paper.measured_by)?;
    if paper.at.trim().is_empty() {
        return Err(refused("an entry from paper needs the time that stands on the paper"));
    }
    Ok(())
}

/// A value is read back by somebody who did not take it.
pub(super) fn witness_fits(entry: &Entry) -> Result<(), EntryError> {
    let Some(witness) = &entry.witness else {
        return Ok(());
    };
    initials_fit(witness)?;
    // A caliper that types into the question must not become a witness.
    if witness.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(refused(format!("\"{witness}\" is no initials of a witness; they begin with a letter")));
    }
    let measured = entry.paper.as_ref().map(|p| p.measured_by.as_str());
    if *witness == entry.by || measured == Some(witness) {
        return Err(refused(format!("{witness} took the reading, so somebody else reads it back")));
    }
    Ok(())
}
