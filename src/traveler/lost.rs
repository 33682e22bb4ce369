//! Parts that a record gives up: scrapped or sent back, and not replaced since.

use std::collections::BTreeMap;

use crate::procedure::remaining::Lost;

use super::event::DispositionKind;
use super::record::Record;

impl Record {
    /// Parts whose reading in force was answered with scrap or return. A new reading within its limits takes that back: another
    /// part was measured in its place.
    #[must_use]
    pub fn lost(&self) -> Vec<Lost> {
        let mut found: BTreeMap<(String, String), Vec<Lost>> = BTreeMap::new();
        for round in (0..=self.round()).filter_map(|r| self.at_end_of(r)) {
            for step in &round.plan().steps {
                for check in &step.checks {
                    let Some(kept) = round.reading(&step.id, &check.id) else { continue };
                    let kind = kept.disposition.map(|(d, _)| d.kind);
                    let gone = kind.filter(|k| matches!(k, DispositionKind::Scrap | DispositionKind::Return));
                    let lost = |part: &String, kind: DispositionKind| Lost {
                        part: part.clone(),
                        because: format!("{} at {}, {}", kind.word(), step.id, check.id),
                        setup: round.plan().setup.clone(),
                    };
                    let lines = gone.map_or_else(Vec::new, |k| step.parts.iter().map(|p| lost(p, k)).collect());
                    found.insert((step.id.clone(), check.id.clone()), lines);
                }
            }
        }
        let mut all: Vec<Lost> = found.into_values().flatten().collect();
        all.sort();
        all.dedup_by(|a, b| a.part == b.part);
        all
    }
}
