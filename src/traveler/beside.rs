//! The computed value that stands beside a check: what the answer is expected to be, or what it is read against.

use crate::procedure::plan::Check;

use super::kept::Kept;
use super::record::Record;

impl Record {
    /// A check of that step, in the latest plan that has it.
    #[must_use]
    pub fn check_of(&self, step: &str, check: &str) -> Option<&Check> {
        self.plans_back().find_map(|p| p.steps.iter().find(|s| s.id == step)?.checks.iter().find(|c| c.id == check))
    }

    /// Reading that stands beside a check, and its values: where both name places, those of the check's own places.
    #[must_use]
    pub fn beside(&self, check: &Check) -> Option<(Kept<'_>, Vec<String>)> {
        let (step, id) = check.beside.as_deref()?.split_once('/')?;
        let kept = self.reading(step, id)?;
        let places = self.check_of(step, id).map_or(&[][..], |c| c.places.as_slice());
        if places.is_empty() || check.places.is_empty() {
            let values = kept.reading.values.clone();
            return Some((kept, values));
        }
        let at = |place: &String| {
            let k = places.iter().position(|p| p == place)?;
            kept.reading.values.get(k).cloned()
        };
        let values = check.places.iter().map(at).collect::<Option<Vec<_>>>()?;
        Some((kept, values))
    }
}
