//! What the next shift has to know beside the steps: parts given up or replaced, and what was noted in the shift that ends.

use chrono::Duration;

use super::changing::parts_of;
use super::event::{Body, Event};
use super::plausible::SOAK;
use super::record::Record;
use super::rounds::Kind;
use super::session::time;

/// A break of that many hours between two entries parts two shifts (common practice).
const BREAK_H: i64 = 4;

/// A part that is not the one first received, or not there any more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchanged {
    /// Part id.
    pub part: String,
    /// Why, in words; steps are named by id.
    pub because: String,
    /// True where another part has taken its place.
    pub replaced: bool,
}

impl Record {
    /// Parts sent back or scrapped, each with what became of it: those without another in their place first.
    #[must_use]
    pub fn exchanged(&self) -> Vec<Exchanged> {
        let lost = self.lost();
        let mut all: Vec<Exchanged> =
            lost.into_iter().map(|l| Exchanged { part: l.part, because: l.because, replaced: false }).collect();
        for kept in self.events.iter().filter_map(given_up).filter(|g| self.stands(g)) {
            let of_step = || self.step_ever(&kept.step).map_or_else(Vec::new, |s| s.parts.clone());
            for part in kept.parts.clone().unwrap_or_else(of_step) {
                if self.measured_since(&part, kept.event) && !all.iter().any(|e| e.part == part) {
                    let because = format!("{} at {}; another one was measured since", kept.kind, kept.step);
                    all.push(Exchanged { part, because, replaced: true });
                }
            }
        }
        let parts = parts_of(self);
        for change in self.changes().into_iter().filter(|c| matches!(c.kind, Kind::Service | Kind::Substitution)) {
            // Steps stand among what failed, too.
            for part in change.failed.iter().filter(|id| parts.contains(id.as_str())) {
                all.push(Exchanged { part: part.clone(), because: change.reason.clone(), replaced: true });
            }
            if !change.received.is_empty() {
                let fields: Vec<String> = change.received.iter().map(|(f, v)| format!("{f} {v}")).collect();
                let because = format!("{}: {}", fields.join(", "), change.reason);
                all.push(Exchanged { part: "came otherwise".into(), because, replaced: true });
            }
        }
        all
    }

    /// False where it was decided otherwise since, or the reading it was about was put right.
    fn stands(&self, given: &GivenUp) -> bool {
        let last =
            self.index.dispositions.get(&given.reading).map_or(given.reading, |at| self.events[*at].header.event);
        last == given.event && !self.events.iter().any(|e| e.corrects(given.reading))
    }

    /// True where a step on that part was given a reading after an event.
    fn measured_since(&self, part: &str, event: u64) -> bool {
        self.events.iter().filter(|e| e.header.event > event).any(|e| {
            let Body::Reading(r) = &e.body else { return false };
            !r.derived && self.step_ever(&r.step).is_some_and(|s| s.parts.iter().any(|p| p == part))
        })
    }

    /// Entries of the shift that ends with the last one: since the last break of four hours.
    #[must_use]
    pub fn this_shift(&self) -> &[Event] {
        let at = |e: &Event| time(&e.header.at);
        let pause = |pair: &[Event]| match (at(&pair[0]), at(&pair[1])) {
            (Some(a), Some(b)) => b.signed_duration_since(a) >= Duration::hours(BREAK_H),
            _ => false,
        };
        let from = self.events.windows(2).rposition(pause).map_or(0, |k| k + 1);
        &self.events[from..]
    }

    /// Notes and files of this shift, oldest first: who, step, words. That parts were soaked is asked anew anyway.
    #[must_use]
    pub fn notes_of_shift(&self) -> Vec<(&Event, &str, &str)> {
        let told = self.this_shift().iter().filter_map(|event| match &event.body {
            Body::Note(n) if n.text.starts_with(SOAK) => None,
            Body::Note(n) => Some((event, n.step.as_str(), n.text.as_str())),
            Body::Attached(a) => Some((event, a.step.as_str(), a.text.as_str())),
            _ => None,
        });
        told.collect()
    }
}

/// A decision that gave a part up.
struct GivenUp {
    event: u64,
    /// The reading it was decided on.
    reading: u64,
    step: String,
    /// The parts that were named; none in records of older programs.
    parts: Option<Vec<String>>,
    kind: &'static str,
}

fn given_up(event: &Event) -> Option<GivenUp> {
    let number = event.header.event;
    let (step, decided, given, reading) = match &event.body {
        Body::Disposition(d) => (&d.step, &d.disposition, &d.given_up, d.reading),
        Body::Reading(r) => (&r.step, r.disposition.as_ref()?, &r.given_up, number),
        _ => return None,
    };
    let parts = given.as_ref().map(|g| g.parts.clone());
    decided.kind.gives_up().then(|| GivenUp {
        event: number,
        reading,
        step: step.clone(),
        parts,
        kind: decided.kind.word(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::rules_tests::{accept, enter, entry, start};
    use super::super::{Disposition, DispositionKind, Entry};
    use super::*;

    fn words(record: &Record) -> Vec<(String, bool)> {
        record.exchanged().into_iter().map(|e| (e.part, e.replaced)).collect()
    }

    /// Another part is told of once something was measured on it, and not where the first one was let be after all.
    #[test]
    fn a_part_counts_as_another_one_once_another_one_was_measured() {
        let home = tempfile::tempdir().unwrap();
        let (_, mut s) = start(home.path());
        let mut plan = s.record().plan().clone();
        plan.steps.iter_mut().filter(|s| s.id == "inspect-disc").for_each(|s| s.parts = vec!["disc-1".into()]);
        drop(s);
        let again = tempfile::tempdir().unwrap();
        let store = super::super::Store::locate(Some(again.path())).unwrap();
        s = store.start(super::super::Start { plan, ..super::super::rules_tests::small() }).unwrap();
        enter(&mut s, "inspect-disc", "bore", &["24.90 mm", "24.59 mm"]);
        let scrap = Disposition { kind: DispositionKind::Scrap, ..accept("design") };
        s.dispose("inspect-disc", "bore", scrap.clone(), "ed").unwrap();
        assert_eq!(words(s.record()), [("disc-1".to_owned(), false)]);
        s.dispose("inspect-disc", "bore", accept("design"), "ed").unwrap();
        assert_eq!(words(s.record()), [], "let be after all");
        s.dispose("inspect-disc", "bore", scrap, "ed").unwrap();
        s.enter(&Entry { ..entry("inspect-disc", "bore", &["24.60 mm", "24.59 mm"], "ak") }).unwrap();
        assert_eq!(words(s.record()), [("disc-1".to_owned(), true)]);
    }
}
