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
        for kept in self.events.iter().filter_map(given_up) {
            for part in self.step_ever(&kept.step).into_iter().flat_map(|s| &s.parts) {
                if !all.iter().any(|e| e.part == *part) {
                    let because = format!("{} at {}; another one was measured since", kept.kind, kept.step);
                    all.push(Exchanged { part: part.clone(), because, replaced: true });
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
    step: String,
    kind: &'static str,
}

fn given_up(event: &Event) -> Option<GivenUp> {
    let (step, decided) = match &event.body {
        Body::Disposition(d) => (&d.step, &d.disposition),
        Body::Reading(r) => (&r.step, r.disposition.as_ref()?),
        _ => return None,
    };
    decided.kind.gives_up().then(|| GivenUp { step: step.clone(), kind: decided.kind.word() })
}
