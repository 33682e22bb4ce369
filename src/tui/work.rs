//! The step in work: what its keys do, and how values reach the record.

use ratatui::symbols::Marker;

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::follows::by_what_follows;
use crate::traveler::{CheckState, Entry, EntryError, NOT_CONSIDERED, StepState, code, contradicts, pair, plausible};

use super::answers;
use super::app::{App, Shown};
use super::entry::{Doubt, OpenEntry, Taken, nth};
use super::keys::Act;
use super::looking::Look;

impl App<'_> {
    pub(super) fn step_act(&mut self, act: Act) {
        match act {
            Act::Yes | Act::No => self.answer(act == Act::Yes),
            Act::Click => self.click(),
            Act::Undo if self.drop_standing() => {}
            Act::Undo if !self.entry.begun() => self.does_nothing("u"),
            Act::Undo => {
                self.let_tight_go();
                self.entry.undo();
                self.entry.note = None;
                self.keep_begun();
            }
            Act::Next => self.next(),
            Act::Earlier => self.turn_to(-1),
            Act::Later => self.turn_to(1),
            Act::Work if self.shown_step().is_some_and(|s| self.is_in_hand(s)) => self.does_nothing("w"),
            Act::Work => self.show_work(),
            Act::PageDown => self.read_on("PgDn"),
            Act::PageUp => self.page = self.page.saturating_sub(1),
            Act::Picture => self.picture = !self.picture,
            Act::Handover => {
                self.shown = Shown::Handover;
                self.line = 0;
            }
            Act::More => self.menu = Some(0),
            Act::Far => self.far = !self.far,
            Act::Two => self.toggle_two(),
            Act::OwnWords if self.is_outside() => {
                self.own_words = !self.own_words;
            }
            Act::OwnWords => self.message = "o changes between advice and step while a reading is outside.".into(),
            Act::Marks => {
                self.marker = if self.marker == Marker::Braille {
                    super::widgets::section::plain_marker()
                } else {
                    Marker::Braille
                }
            }
            Act::Type if self.open_check().is_some_and(|c| c.asks() == CheckKind::Text) => self.typing = true,
            Act::Type => self.does_nothing("v"),
            Act::Steps => self.list_steps(),
            Act::Record => {
                self.shown = Shown::Record;
                self.filter.clear();
                self.line = usize::MAX;
            }
            Act::Trials => self.open_trials(),
            Act::DecideRun => self.ask_decision(),
            Act::Back => self.leave_for_bench(),
            Act::Person => self.ask_person(),
            Act::Clock => self.clock(),
            Act::Change => {
                if let Some(build) = self.record().map(|r| r.build.clone()) {
                    self.ask_change(&build);
                }
            }
            Act::Finish => self.finish(),
            other => answers::open(self, other),
        }
    }

    fn list_steps(&mut self) {
        self.shown = Shown::Steps;
        self.filter.clear();
        self.line = self.listed().iter().position(|s| s.id == self.step).unwrap_or(0);
    }

    /// The next page; on the last one it is said that there is none.
    fn read_on(&mut self, key: &str) {
        if self.page + 1 < super::screens::step::page_count(self) {
            self.turn_page();
        } else {
            self.does_nothing(key);
        }
    }

    pub(super) fn turn_page(&mut self) {
        let pages = super::screens::step::page_count(self);
        self.page = (self.page + 1).min(pages - 1);
        self.seen = self.seen.max(self.page);
    }

    pub(super) fn leave_for_bench(&mut self) {
        self.just_left = self.record().map(|r| r.build.clone());
        self.put_aside();
        self.entry = OpenEntry::default();
        self.session = None;
        self.reading = None;
        self.look_again.clear();
        self.opened = None;
        self.filter.clear();
        self.look_at_builds();
        self.shown = Shown::Bench;
    }

    fn answer(&mut self, yes: bool) {
        let key = if yes { "y" } else { "n" };
        if !self.at_work() {
            self.does_nothing(key);
            return;
        }
        if !self.text_seen() {
            self.message = "Read to the end first: PgDn.".into();
            return;
        }
        if self.asked_first().is_some() {
            self.answer_first(yes);
            return;
        }
        match self.open_check().map(|c| c.asks()) {
            Some(CheckKind::Confirm) => self.record_values(vec![if yes { "yes" } else { "no" }.into()]),
            Some(CheckKind::Gauge) => self.gauge(yes),
            _ => self.does_nothing(key),
        }
    }

    /// First the go side, then the no-go side.
    fn gauge(&mut self, yes: bool) {
        let Some(check) = self.open_check().cloned() else { return };
        let mut entry = std::mem::take(&mut self.entry);
        let taken = entry.gauge(yes, |values| plausible::of_entry(self.record()?, &check, values));
        self.entry = entry;
        self.taken(taken);
    }

    fn click(&mut self) {
        if !self.text_seen() {
            self.turn_page();
            return;
        }
        let bolts = self.open_check().is_some_and(|c| c.asks() == CheckKind::Torque && !crate::traveler::is_round(c));
        if bolts && self.at_work() {
            if self.by.is_none() {
                return self.ask_person();
            }
            if self.asked_first().is_some() {
                return self.not_used("Space");
            }
            let sequence = self.sequence();
            let taken = if self.anew().is_empty() {
                self.entry.click(&sequence)
            } else {
                Taken::Not(
                    "The others stand with their torques: type this one's too. Or u: all of the pass anew.".into(),
                )
            };
            self.taken(taken);
        } else {
            self.read_on("Space");
        }
    }

    /// Leaves for the next step that can be worked on; an unanswered entry stays behind, said so.
    fn next(&mut self) {
        let Some(record) = self.record() else { return };
        if self.entry.begun() {
            self.message = "An entry is begun here: go on with it, or take it back with u.".into();
            return;
        }
        let done = self.shown_step().is_some_and(|s| record.step_state(&s.id) == StepState::Done);
        let number = self.shown_step().map_or(0, |s| s.number);
        let open = record.open_steps();
        let after = open.iter().find(|s| s.number > number).or_else(|| open.first()).map(|s| s.id.clone());
        let all_done = open.is_empty();
        if done {
            self.show_work();
        } else if let Some(step) = after {
            let left = self.stays_open();
            self.visit(step);
            // The one in hand is worked on; any other one is said to be that until something is entered there.
            self.visiting = self.look() != Look::Work;
            self.message = left;
        }
        if all_done {
            self.message = "Every step is done. x closes the record.".into();
        }
    }

    /// What is still to be answered at the step shown, so that nobody leaves it by mistake.
    fn stays_open(&self) -> String {
        let (Some(record), Some(step)) = (self.record(), self.shown_step()) else {
            return String::new();
        };
        if let Some(role) = step.hold.as_deref().filter(|_| record.waits_for_release(step)) {
            return format!("Step {} waits for its release by {role}; other work goes on meanwhile.", step.number);
        }
        let open = step.checks.iter().filter(|c| record.check_state(step, c) != CheckState::Answered);
        let open: Vec<&str> = open.map(|c| c.prompt.trim_end_matches('?')).collect();
        let first = open.iter().take(2).copied().collect::<Vec<_>>().join("; ");
        let more = open.len().saturating_sub(2);
        let more = if more == 0 { String::new() } else { format!("; and {more} more") };
        format!("Step {} stays open, not answered: {first}{more}. w leads back to it.", step.number)
    }

    /// Starts a wait, or ends it when its time is over.
    fn clock(&mut self) {
        let waits = self.open_check().is_some_and(|c| c.asks() == CheckKind::Wait);
        if !(waits && self.at_work()) {
            self.does_nothing("k");
            return;
        }
        let running = match (self.record(), self.shown_step(), self.open_check()) {
            (Some(r), Some(s), Some(c)) => r.check_state(s, c) == CheckState::Running,
            _ => false,
        };
        self.record_values(vec![if running { "done" } else { "started" }.into()]);
    }

    fn finish(&mut self) {
        let Some(session) = &mut self.session else { return };
        let Some(by) = &self.by else {
            return self.ask_person();
        };
        match session.finish(by) {
            Ok(_) => {
                let plate = session.record().events.last().map_or_else(String::new, |e| code(&e.hash));
                self.message = format!("The record is closed. Code for the plate: {plate}");
                self.shown = Shown::Record;
                self.filter.clear();
                self.line = usize::MAX;
                self.reading = Some(session.record().clone());
                self.session = None;
            }
            Err(error) => self.not_saved(&error),
        }
    }

    pub(super) fn enter(&mut self, check: &Check) {
        // Asked before anything is taken, so that the last value of a series is not taken by nobody.
        if self.by.is_none() {
            return self.ask_person();
        }
        let sequence = self.sequence();
        if self.entry.doubt.is_none()
            && let Some(words) = self.against_it(check)
        {
            // Over words every letter is an answer to the question, so that none of them is lost.
            let how = match check.asks() {
                CheckKind::Text => "y: it is so, keep it. n: type it anew.",
                _ => "y: it is so, keep it. Or type it anew.",
            };
            self.entry.doubt = Some(Doubt::Value(format!("{words}. {how}")));
            return self.taken(Taken::Doubted);
        }
        let taken = self.entry.enter(check, &sequence);
        self.taken(taken);
    }

    fn against_it(&self, check: &Check) -> Option<String> {
        if self.entry.input.trim().is_empty() {
            return None;
        }
        let (record, typed) = (self.record()?, std::slice::from_ref(&self.entry.input));
        let given = &self.entry.given;
        let at = nth(&self.sequence(), given.len());
        let whole = [given.as_slice(), &pair(check, &self.entry.input)].concat();
        // What is said of the part is asked with the first of several values.
        let of_part = || plausible::by_the_record(record, &self.step, check, typed);
        given
            .is_empty()
            .then(of_part)
            .flatten()
            .or_else(|| plausible::not_as_computed(record, check, &whole, given.len()))
            .or_else(|| by_what_follows(record, &self.step, check, &whole))
            .or_else(|| contradicts(record, &self.step, check, typed, at))
    }

    pub(super) fn taken(&mut self, taken: Taken) {
        // What was read to the end stays read, though a joint begun or a reading outside now takes room on the pages.
        if self.text_seen() {
            self.seen = usize::MAX;
        }
        match taken {
            Taken::Ready(values) => return self.record_values(self.with_standing(values)),
            // A series or a pass is saved when its last value is there; no older "saved" may stand beside it until then.
            // A question that stands says all there is to say.
            Taken::More if self.entry.doubt.is_some() => self.message.clear(),
            Taken::More if self.entry.given.is_empty() => self.message = "Nothing is typed yet.".into(),
            Taken::More => {
                self.message =
                    format!("{} taken, not saved yet: they are saved together after the last.", self.entry.given.len());
            }
            Taken::Doubted => self.message.clear(),
            Taken::Again => {
                self.message = "A critical value: type it a second time, from the instrument, not from memory.".into();
            }
            Taken::Not(why) | Taken::ShowBack(why) | Taken::OutOfTurn(why) => self.message = why,
        }
        self.keep_begun();
    }

    /// Records the values for the open check; with two people at work once the second has read them back.
    pub fn record_values(&mut self, values: Vec<String>) {
        if self.by.is_none() {
            self.ask_person();
        } else if self.two {
            self.ask_witness(values);
        } else {
            self.record_with(values, None);
        }
    }

    /// Records the values, with who read them back.
    pub(super) fn record_with(&mut self, values: Vec<String>, witness: Option<String>) {
        let Some(by) = self.by.clone() else { return };
        let (Some(check), Some(step)) = (self.open_check().cloned(), self.shown_step().map(|s| s.id.clone())) else {
            return;
        };
        let (instrument, check) = (self.instrument_for(&check), check.id);
        let entry = Entry { step, check, values, by, instrument, witness, ..self.as_typed() };
        let Some(session) = &mut self.session else {
            return;
        };
        match session.enter(&entry) {
            Ok(outcome) => {
                // What is outside is told in full above the entry.
                if outcome.verdict.open() {
                    self.page = 0;
                }
                self.message = if outcome.verdict.open() {
                    format!("Saved, entry {}: {}.", outcome.event, outcome.verdict.word())
                } else {
                    // That no uncertainty is considered stands beside the limits, once.
                    let words = outcome.message.replace(&format!(", {NOT_CONSIDERED}"), "");
                    format!("Saved, entry {}: {}, {words}.", outcome.event, outcome.verdict.word())
                };
                self.forget_begun(&entry.step, &entry.check);
                // Who enters something here works here.
                self.visiting = false;
                let note = self.entry.note.take();
                self.entry = OpenEntry::default();
                self.typing = true;
                if let Some(note) = note {
                    self.keep_note(&entry, &note);
                }
            }
            Err(error) => {
                self.not_saved(&error);
                // What was not taken stays on the screen, for one more Enter or to be mended, value by value.
                if self.entry.input.is_empty()
                    && let Some(last) = self.entry.given.pop()
                {
                    self.entry.input = last;
                }
                self.entry.refused = matches!(error, EntryError::Refused(_)) && !self.entry.input.is_empty();
            }
        }
    }

    /// How the values were typed.
    fn as_typed(&self) -> Entry {
        Entry { bare: true, twice: self.entry.twice, helper: self.is_helper(), anew: self.anew(), ..Entry::default() }
    }

    /// True where who is at the bench was said to be a helper without a role.
    pub(super) fn is_helper(&self) -> bool {
        self.by.as_ref().is_some_and(|by| self.helpers.contains(by))
    }

    /// The instrument named for the next readings, where the check is read off one: a yes, a count, or words are not.
    pub(super) fn instrument_for(&self, check: &Check) -> Option<String> {
        self.instrument.clone().filter(|_| super::screens::is_read_off(check))
    }

    /// A note that goes with values just saved.
    fn keep_note(&mut self, entry: &Entry, note: &str) {
        if let Some(session) = &mut self.session
            && let Err(error) = session.note(&entry.step, note, &entry.by)
        {
            self.message = format!("{} But the note on the order was not saved: {error}", self.message);
        }
    }
}
