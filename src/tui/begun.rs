//! Values of a series or a pass that are typed and not complete: kept with every value, offered when somebody comes back.

use crossterm::event::{KeyCode, KeyEvent};

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::{Begun, is_round};

use super::app::App;
use super::entry::OpenEntry;

impl App<'_> {
    /// Keeps what is typed of the open check, beside the record; what is empty is not kept any more.
    pub(super) fn keep_begun(&mut self) {
        let Some(check) = self.open_check().filter(|c| collects(c)).cloned() else { return };
        let begun = !self.entry.given.is_empty() || self.entry.first.is_some();
        let mut left = self.others_begun(&self.step, &check.id);
        if !begun && left.len() == self.left.len() {
            return;
        }
        let by = self.by.clone().unwrap_or_default();
        let Some(session) = &self.session else { return };
        if begun {
            let only = self.anew();
            let values = session.begun(&self.step, &check.id, &by, &self.entry.given, self.entry.first.as_ref());
            left.push(Begun { only, ..values });
        }
        if let Err(error) = session.keep_begun(&left) {
            self.message = format!("These values are on the screen only: {error}");
        }
        self.left = left;
    }

    /// The values of a check are in the record, or not wanted: nothing is kept of them beside it.
    pub(super) fn forget_begun(&mut self, step: &str, check: &str) {
        let left = self.others_begun(step, check);
        if left.len() == self.left.len() {
            return;
        }
        // One that cannot be removed has served, which is found out when the build is opened next.
        if let Some(Err(error)) = self.session.as_ref().map(|s| s.keep_begun(&left)) {
            self.message.push_str(&format!(" {error}"));
        }
        self.left = left;
    }

    /// What is typed and not taken is kept while its step is left, so that a key that leads away loses nothing. What was taken
    /// of a series or a pass is kept beside the record.
    pub(super) fn put_aside(&mut self) {
        let Some(at) = self.entry_at().filter(|_| !self.entry.input.is_empty()) else { return };
        let now = self.record().map_or((0, 0), |r| (r.events.len() as u64, r.round()));
        let (after, round) = match self.begun_of(&at.1, &at.2) {
            // After values that were taken it is of the part that those were measured on.
            Some(begun) => (begun.after, begun.round),
            // Those are of a check that is not the open one any more.
            None if !self.entry.given.is_empty() || self.entry.first.is_some() => return,
            None => now,
        };
        self.aside.insert(at, Aside { input: self.entry.input.clone(), after, round });
    }

    /// What was typed here before stands in the field again.
    pub(super) fn take_back(&mut self) {
        if self.entry_at().is_some_and(|(_, step, check)| self.begun_of(&step, &check).is_none()) {
            self.take_back_here();
        }
    }

    fn take_back_here(&mut self) {
        if let Some(at) = self.entry_at()
            && let Some(aside) = self.aside.remove(&at)
            && self.of_this_part(&at.1, &at.2, aside.after, aside.round)
        {
            self.entry.input = aside.input;
        }
    }

    /// True where the part that is measured is still the one that was there after so many entries, in that round of work.
    fn of_this_part(&self, step: &str, check: &str, after: u64, round: u32) -> bool {
        self.record().is_some_and(|r| r.round() == round && !r.another_part_since(step, check, after))
    }

    /// A part was given up: nothing typed for it and not saved is kept for the one in its place.
    pub(super) fn drop_former(&mut self) {
        self.entry = OpenEntry::default();
        let stays = |b: &&Begun| self.of_this_part(&b.step, &b.check, b.after, b.round);
        let left: Vec<Begun> = self.left.iter().filter(stays).cloned().collect();
        if left.len() == self.left.len() {
            return;
        }
        if let Some(Err(error)) = self.session.as_ref().map(|s| s.keep_begun(&left)) {
            self.message.push_str(&format!(" {error}"));
        }
        self.left = left;
    }

    fn entry_at(&self) -> Option<(String, String, String)> {
        let build = self.record()?.build.clone();
        Some((build, self.step.clone(), self.open_check()?.id.clone()))
    }

    /// Values of a check that are typed and not complete.
    fn begun_of(&self, step: &str, check: &str) -> Option<&Begun> {
        self.left.iter().find(|b| b.step == step && b.check == check)
    }

    fn others_begun(&self, step: &str, check: &str) -> Vec<Begun> {
        self.left.iter().filter(|b| !(b.step == step && b.check == check)).cloned().collect()
    }

    /// Values typed before a break for the check that waits here, until they are taken up or dropped.
    #[must_use]
    pub fn offered(&self) -> Option<&Begun> {
        let check = self.open_check()?;
        let here = !self.entry.begun() && self.text_seen() && self.at_work() && self.asked_first().is_none();
        let of_it = |b: &&Begun| {
            b.step == self.step && b.check == check.id && self.of_this_part(&b.step, &b.check, b.after, b.round)
        };
        self.left.iter().filter(|_| here).find(of_it)
    }

    /// Keys while they are offered: y takes them up, n drops them; values have to wait, Enter answers nothing.
    pub(super) fn offer_key(&mut self, key: &KeyEvent) -> bool {
        match key.code {
            KeyCode::Char('y') => self.take_up(),
            KeyCode::Char('n') => {
                if let Some((step, check)) = self.offered().map(|b| (b.step.clone(), b.check.clone())) {
                    self.message = "They are dropped; begin with the first.".into();
                    // What was typed after them was the value of a later place.
                    if let Some(at) = self.entry_at() {
                        self.aside.remove(&at);
                    }
                    self.forget_begun(&step, &check);
                }
            }
            KeyCode::Enter => {}
            KeyCode::Char(c) if c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | ' ' | 'u') => {
                self.message =
                    format!("Not used: {c}. Say first whether the values typed before are taken up: y or n.");
            }
            _ => return false,
        }
        true
    }

    /// Who typed them takes them up: whoever completes a series signs for all of it.
    fn take_up(&mut self) {
        let Some(begun) = self.offered().cloned() else { return };
        if self.by.as_ref() != Some(&begun.by) {
            self.message = format!(
                "{} typed them and takes them up (i: who is at the bench). n: drop them, measure anew.",
                begun.by
            );
            return;
        }
        self.entry.all_anew = begun.only.is_empty();
        if self.anew() != begun.only {
            self.entry.all_anew = false;
            self.message = "They belong to values that stood beside them, taken with another instrument: name that one (t). n: drop them, measure anew."
                .into();
            return;
        }
        let of = self.asked_count();
        self.entry.given = begun.given;
        self.entry.first = begun.first;
        if self.entry.given.len() == of
            && let Some(last) = self.entry.given.pop()
            && self.open_check().is_some_and(|c| c.asks() == CheckKind::Series)
        {
            self.entry.input = last;
        }
        if self.entry.input.is_empty() {
            self.take_back_here();
        }
        let n = self.entry.given.len();
        self.message = format!("{n} of {of} taken up, not saved yet: they are saved together after the last.");
    }

    /// How many values are asked for.
    #[must_use]
    pub fn asked_count(&self) -> usize {
        let anew = self.anew().len();
        if anew > 0 { anew } else { self.open_check().and_then(|c| c.count).unwrap_or(1) as usize }
    }

    /// Somebody else is at the bench: values of the one before wait for him, and are not signed for by another.
    pub(super) fn part_from_begun(&mut self, initials: &str) {
        let check = self.open_check().map(|c| c.id.clone());
        let here = |b: &&Begun| b.step == self.step && Some(&b.check) == check.as_ref();
        if self.left.iter().find(here).is_some_and(|b| b.by != initials) {
            self.entry = OpenEntry::default();
        }
    }
}

/// What was typed and not taken when its step was left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Aside {
    /// The text.
    input: String,
    /// Entries of the record then.
    after: u64,
    /// Round of work then.
    round: u32,
}

/// Checks whose values come one by one and are saved together.
fn collects(check: &Check) -> bool {
    check.asks() == CheckKind::Series || (check.asks() == CheckKind::Torque && !is_round(check))
}
