//! Bolts that are tighter than they should be, or were tightened out of their order: what is to be done, until a later
//! reading answers it.
//!
//! A click wrench on a bolt that is tighter than its setting clicks at once and tells nothing, so such a bolt is eased
//! before it is tightened again; a pass out of order is evened out by the next one in order (both common practice).

use rust_decimal::Decimal;

use crate::procedure::plan::{Check, CheckKind, Step};

use super::event::{Body, Reading, Verdict};
use super::judge::{self, is_round};
use super::record::Record;

/// What the note of a pass that was not done in its order begins with; it is found again by these words.
pub const ORDER: &str = "Pass done in the order";

/// What the note of the answer about a bolt that was too tight begins with: it was eased before it was pulled again.
pub const EASED: &str = "Eased before tightening again";
/// What the note begins with where it was left as it was while the pass went on.
pub const LEFT_TIGHT: &str = "Left too tight for now";

/// The upper limit of a bolt's torque, where what was typed lies above it.
#[must_use]
pub fn above(check: &Check, typed: &str) -> Option<Decimal> {
    let (_, upper) = check.limits();
    let upper = upper.filter(|_| check.kind == CheckKind::Torque && !is_round(check))?;
    (judge::value(check, typed, true).ok()? > upper).then_some(upper)
}

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
    /// Bolts of the reading in force of a check that were read too tight and of which nothing says that they were eased
    /// since: a note of their step that speaks of easing, written after it.
    #[must_use]
    pub fn to_ease(&self, step: &Step, check: &Check) -> Vec<u32> {
        let Some(kept) = self.reading(&step.id, &check.id).filter(|_| !check.stays) else { return Vec::new() };
        let settled = |d: &super::event::Disposition| d.kind.accepts() || d.kind.gives_up();
        if kept.reading.verdict != Verdict::Outside || kept.disposition.is_some_and(|(d, _)| settled(d)) {
            return Vec::new();
        }
        let says = |e: &super::event::Event| {
            e.header.event > kept.event
                && matches!(&e.body, Body::Note(n) if n.step == step.id && speaks_of_easing(&n.text))
        };
        if self.events.iter().rev().any(says) { Vec::new() } else { too_tight(check, kept.reading) }
    }

    /// What is doubtful of a new reading of bolts of which some were too tight before.
    pub(super) fn not_eased(&self, step: &str, check: &Check) -> Option<String> {
        let bolts = self.to_ease(self.step(step)?, check);
        let event = self.reading(step, &check.id)?.event;
        let list = bolts.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
        (!bolts.is_empty()).then(|| {
            format!("bolt {list} was too tight before (entry {event}), and no note says that it was eased since")
        })
    }

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

fn speaks_of_easing(text: &str) -> bool {
    let text = text.to_lowercase();
    let words: Vec<&str> = text.split(|c: char| !c.is_alphabetic()).collect();
    words.iter().enumerate().any(|(k, word)| *word == "eased" && (k == 0 || words[k - 1] != "not"))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use std::collections::BTreeMap;

    use crate::module::{Setup, embedded, read};
    use crate::procedure::make_plan;
    use crate::traveler::{Entry, Session, Start, Store};

    use super::*;

    fn begun(home: &std::path::Path) -> Session {
        let module = read(&embedded("flywheel").unwrap()).unwrap();
        let mut plan = make_plan(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
        // Only the rods matter here, so they may be tightened at once.
        plan.steps.iter_mut().for_each(|s| s.after.clear());
        let start = Start {
            plan,
            spec_text: module.text.clone(),
            spec_name: "flywheel".into(),
            serial: "1".into(),
            by: "ak".into(),
            practice: true,
            alone: None,
        };
        Store::locate(Some(home)).unwrap().start(start).unwrap()
    }

    fn torque(session: &mut Session, step: &str, values: &[&str]) -> String {
        let values = values.iter().map(|v| (*v).to_owned()).collect();
        let (step, check, by) = (step.to_owned(), "torque".into(), "ak".into());
        session.enter(&Entry { step, check, values, by, bare: true, ..Entry::default() }).unwrap().message
    }

    #[test]
    fn a_bolt_that_is_too_tight_is_eased_before_it_is_tightened_again() {
        let home = tempfile::tempdir().unwrap();
        let mut s = begun(home.path());
        let step = s.record().step("tighten-rods-final").unwrap().clone();
        let t = step.torque_nm.unwrap();
        let (good, high) = (format!("{t:.1}"), format!("{:.1}", t * 1.4));
        let each = |bad: Option<u32>| -> Vec<String> {
            let one = |n: &u32| format!("{n}={}", if Some(*n) == bad { &high } else { &good });
            step.sequence.as_ref().unwrap().iter().map(one).collect()
        };
        let bad = each(Some(4));
        let said = torque(&mut s, &step.id, &bad.iter().map(String::as_str).collect::<Vec<_>>());
        assert!(said.contains("Ease bolt 4 well below"), "{said}");
        let good = each(None);
        let said = torque(&mut s, &step.id, &good.iter().map(String::as_str).collect::<Vec<_>>());
        assert!(!said.contains("Ease"), "{said}");
    }

    #[test]
    fn a_pass_out_of_order_is_told_until_a_pass_in_order_of_the_same_fasteners() {
        let home = tempfile::tempdir().unwrap();
        let mut s = begun(home.path());
        torque(&mut s, "tighten-rods-snug", &["clicked=6/6"]);
        s.note("tighten-rods-snug", &format!("{ORDER} 1 2 3 4 5 6, given was 1 4 2 5 3 6."), "ak").unwrap();
        let open = |s: &Session| s.record().order_not_kept().iter().map(|(s, _)| s.id.clone()).collect::<Vec<_>>();
        assert_eq!(open(&s), ["tighten-rods-snug"]);
        torque(&mut s, "tighten-pinch-collar-far-snug", &["clicked=2/2"]);
        assert_eq!(open(&s), ["tighten-rods-snug"], "other bolts answer nothing");
        torque(&mut s, "tighten-rods-pass-1", &["clicked=6/6"]);
        assert!(open(&s).is_empty(), "{:?}", open(&s));
    }
}
