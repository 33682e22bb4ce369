//! Bolts that are tighter than they should be, or were tightened out of their order: what is to be done, until a later
//! reading answers it.
//!
//! A click wrench on a bolt that is tighter than its setting clicks at once and tells nothing, so such a bolt is eased
//! before it is tightened again; a pass out of order is evened out by the next one in order (both common practice).

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, CheckKind, Step};

use super::event::{Body, Reading, Verdict};
use super::judge::is_round;
use super::record::Record;

/// What the note of a pass that was not done in its order begins with; it is found again by these words.
pub const ORDER: &str = "Pass done in the order";

/// Bolts of a reading whose torque lies above the limit; empty where it was only clicked, or is no tightening of bolts.
#[must_use]
pub fn too_tight(check: &Check, reading: &Reading) -> Vec<u32> {
    let upper = reading.upper.as_deref().and_then(|u| u.parse::<Decimal>().ok());
    let Some(upper) = upper.filter(|_| check.kind == CheckKind::Torque && !is_round(check)) else {
        return Vec::new();
    };
    let above = |typed: &String| {
        let (bolt, torque) = typed.split_once('=')?;
        (torque.parse::<Decimal>().ok()? > upper).then(|| bolt.parse().ok()).flatten()
    };
    let one_each = reading.values.iter().flat_map(|v| v.split(' ')).map(str::to_owned).collect::<Vec<_>>();
    one_each.iter().filter_map(above).collect()
}

/// What is to be done first about bolts that are too tight; none where none is.
#[must_use]
pub fn ease_first(check: &Check, reading: &Reading) -> Option<String> {
    let bolts = too_tight(check, reading);
    let list = bolts.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let upper = reading.upper.as_deref().unwrap_or_default();
    (!bolts.is_empty() && reading.verdict == Verdict::Outside).then(|| {
        format!(
            "Ease bolt {list} well below {upper} N·m first, then tighten to the click: on a tighter bolt the wrench clicks at once and tells nothing"
        )
    })
}

impl Record {
    /// Passes that were not done in their order and that no later pass in order of the same fasteners answered: the step,
    /// and the words of its note.
    #[must_use]
    pub fn order_not_kept(&self) -> Vec<(&Step, &str)> {
        let mut open: Vec<(&Step, &str)> = Vec::new();
        let from = self.begun().last().copied().unwrap_or(0);
        for event in &self.events[from..] {
            match &event.body {
                Body::Reading(r) => {
                    let Some(group) = self.tightens(&r.step, &r.check) else { continue };
                    open.retain(|(step, _)| step.group.as_ref() != Some(group) || r.verdict != Verdict::Within);
                }
                Body::Note(note) if note.text.starts_with(ORDER) => {
                    if let Some(step) = self.step(&note.step).filter(|s| s.group.is_some()) {
                        open.push((step, &note.text));
                    }
                }
                _ => {}
            }
        }
        open
    }

    /// The fasteners that a reading tightened or went round; none for a reading of something else.
    fn tightens(&self, step: &str, check: &str) -> Option<&String> {
        let step = self.step(step)?;
        let torque = step.checks.iter().any(|c| c.id == check && c.kind == CheckKind::Torque);
        step.group.as_ref().filter(|_| torque)
    }
}
