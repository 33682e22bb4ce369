//! Parts that a record gives up: scrapped or sent back, and not replaced since.

use std::collections::BTreeMap;

use crate::module::{self, Source};
use crate::procedure::remaining::{Lost, Remaining, remaining};

use super::event::DispositionKind;
use super::record::Record;
use super::rounds::Kind;

impl Record {
    /// Setups that can still be built without the parts given up; none where the record's spec does not read any more. Derived on
    /// demand from the spec in the record, and kept nowhere.
    #[must_use]
    pub fn setups_left(&self) -> Option<Vec<Remaining>> {
        let source = Source { name: "the record's spec".into(), text: self.spec().to_owned() };
        module::read(&source).ok().map(|module| remaining(&module, &self.lost()))
    }

    /// Parts whose reading in force was answered with scrap or return. A new reading within its limits takes that back: another
    /// part was measured in its place.
    #[must_use]
    pub fn lost(&self) -> Vec<Lost> {
        let mut found: BTreeMap<(String, String), Vec<Lost>> = BTreeMap::new();
        for round in (0..=self.round()).filter_map(|r| self.at_end_of(r)) {
            // A service has another part for what it replaces.
            if let Some(service) = round.changed().filter(|c| c.kind == Kind::Service) {
                found.values_mut().for_each(|lines| lines.retain(|l| !service.failed.contains(&l.part)));
            }
            for step in &round.plan().steps {
                for check in &step.checks {
                    if round.reading(&step.id, &check.id).is_none() {
                        continue;
                    }
                    let gone = round.given_up_at(step, &check.id);
                    let lost = |part: &String, kind: DispositionKind| Lost {
                        part: part.clone(),
                        because: format!("{} at {}, {}", kind.word(), step.id, check.id),
                        setup: round.plan().setup.clone(),
                    };
                    let lines =
                        gone.map_or_else(Vec::new, |(kind, parts)| parts.iter().map(|p| lost(p, kind)).collect());
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
