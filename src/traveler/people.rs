//! Initials that stand under no role of the module: a helper, or a slip of the finger.

use std::collections::BTreeMap;

use super::record::Record;

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
