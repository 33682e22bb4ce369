//! Characters that go into the open entry, by hand, by caliper or by paste.

use crossterm::event::{KeyCode, KeyEvent};

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::event::Body;
use crate::traveler::plausible::{self, SOAK};

use super::app::{App, Shown};

impl App<'_> {
    pub(super) fn paste(&mut self, text: &str) {
        let clean = text.chars().filter(|c| !c.is_control());
        if let Some(ask) = &mut self.ask {
            clean.for_each(|c| ask.push(c));
        } else if self.shown == Shown::Step
            && self.in_front()
            && self.takes_text()
            && self.at_work()
            && self.soak_asked().is_none()
            && self.offered().is_none()
        {
            self.typing = true;
            clean.for_each(|c| self.entry.push(c));
        } else {
            self.message = "Pasted text was not used: no entry is open.".into();
        }
    }

    /// Kinds of check that take typed characters.
    #[must_use]
    pub fn takes_text(&self) -> bool {
        self.open_check().is_some_and(|c| {
            matches!(
                c.asks(),
                CheckKind::Measure | CheckKind::Series | CheckKind::Count | CheckKind::Text | CheckKind::Torque
            )
        }) && self.text_seen()
    }

    /// True where letters go into the open field: words, or a value that has begun and may carry its unit.
    #[must_use]
    pub fn letters_are_typed(&self) -> bool {
        if self.shown != Shown::Step || !self.at_work() || !self.takes_text() || self.entry.doubt.is_some() {
            return false;
        }
        let words = self.open_check().is_some_and(|c| c.asks() == CheckKind::Text);
        let unit = self.open_check().is_some_and(|c| c.unit.is_some());
        if words { self.typing } else { unit && !self.entry.input.is_empty() }
    }

    /// The entry opens once every page of cautions and actions was seen.
    #[must_use]
    pub fn text_seen(&self) -> bool {
        self.seen + 1 >= super::screens::step::pages_required(self)
    }

    /// The question before a length with a narrow zone is measured: did part and instrument lie together? Asked once a
    /// step, as the zone is small against the growth of the part, and never where nothing is to be entered.
    #[must_use]
    pub fn soak_asked(&self) -> Option<String> {
        let (record, step, check) = (self.record()?, self.shown_step()?, self.open_check()?);
        if !self.at_work() || !self.text_seen() {
            return None;
        }
        let growth = plausible::soak(check)?;
        let answered = record
            .events
            .iter()
            .any(|e| matches!(&e.body, Body::Note(n) if n.step == step.id && n.text.starts_with(SOAK)));
        let unit = check.unit.as_deref().unwrap_or_default();
        (!answered).then(|| {
            format!("Did part and instrument lie side by side until equally warm? 10 K between them is {growth} {unit} here.")
        })
    }

    /// Yes opens the entry and is kept as a note; no says what to do.
    pub(super) fn soak_answer(&mut self, yes: bool) {
        if !yes {
            self.message = "Let them lie side by side on steel, about an hour for a hand-sized part (common practice), then answer y."
                .into();
            return;
        }
        let Some(by) = self.by.clone() else {
            self.ask_person();
            return;
        };
        let step = self.step.clone();
        if let Some(session) = &mut self.session {
            match session.note(&step, &format!("{SOAK}: yes."), &by) {
                Ok(_) => self.message.clear(),
                Err(error) => self.not_saved(&error),
            }
        }
    }

    /// Keys that belong to the open entry. True if the key was one.
    pub(super) fn entry_key(&mut self, key: &KeyEvent) -> bool {
        if !self.at_work() || !self.takes_text() {
            return false;
        }
        if self.soak_asked().is_some() {
            return self.soak_key(key);
        }
        if self.offered().is_some() {
            return self.offer_key(key);
        }
        let Some(check) = self.open_check().cloned() else {
            return false;
        };
        if self.entry.doubt.is_some()
            && let Some(used) = self.doubt_key(key, &check)
        {
            return used;
        }
        if self.entry.shown_back.is_some()
            && let Some(used) = self.shown_back_key(key, &check)
        {
            return used;
        }
        let words = check.asks() == CheckKind::Text && self.typing;
        match key.code {
            KeyCode::Enter => self.enter(&check),
            KeyCode::Backspace => self.entry.backspace(),
            KeyCode::Esc if words => {
                self.typing = false;
                self.message.clear();
            }
            KeyCode::Esc => self.entry.clear_input(),
            KeyCode::Char(c) if words => self.entry.push(c),
            KeyCode::Char(c) if self.belongs(c, &check) => self.entry.push(c),
            _ => return false,
        }
        true
    }

    /// While the soak question stands, values are said to be unused and the rest are commands.
    fn soak_key(&mut self, key: &KeyEvent) -> bool {
        match key.code {
            KeyCode::Char('y') => self.soak_answer(true),
            KeyCode::Char('n') => self.soak_answer(false),
            KeyCode::Char(c) if c.is_ascii_digit() || matches!(c, ',' | '.' | '-') => {
                self.message = format!("Not used: {c}. Answer first whether part and instrument lay together: y or n.");
            }
            KeyCode::Enter => {}
            _ => return false,
        }
        true
    }

    /// Keys while a doubt stands: y keeps, n drops, digits begin anew; Enter does nothing, whoever sent it.
    fn doubt_key(&mut self, key: &KeyEvent, check: &Check) -> Option<bool> {
        match key.code {
            KeyCode::Char('y') => {
                self.message.clear();
                let taken = self.entry.keep_doubted(check, &self.sequence());
                self.taken(taken);
            }
            KeyCode::Char('n') | KeyCode::Esc | KeyCode::Backspace => {
                self.message.clear();
                self.entry.undo();
                self.keep_begun();
            }
            KeyCode::Enter => {}
            // Words are never commands because a question stands.
            KeyCode::Char(_) if check.asks() == CheckKind::Text => {
                self.message = "Answer first: y keeps it, n drops it.".into();
            }
            KeyCode::Char(c) if c.is_ascii_digit() || matches!(c, ',' | '.' | '-') => return None,
            _ => return Some(false),
        }
        Some(true)
    }

    /// Keys while a converted value is shown back: y or Enter takes it, n leaves what was typed to be edited, digits begin
    /// anew. Other letters do nothing, so that no reflex loses the value.
    fn shown_back_key(&mut self, key: &KeyEvent, check: &Check) -> Option<bool> {
        match key.code {
            KeyCode::Char('y') => self.enter(check),
            KeyCode::Char('n') | KeyCode::Esc => {
                self.entry.shown_back = None;
                self.message = "Not taken. What was typed stays: Backspace edits it, u drops it.".into();
            }
            KeyCode::Char(c) if !(c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | '?')) => {
                self.message = "Enter or y takes the value shown, n leaves it to be edited.".into();
            }
            _ => return None,
        }
        Some(true)
    }

    /// Characters of a value: digits and signs always; letters, spaces and fractions once a number has begun.
    fn belongs(&self, c: char, check: &Check) -> bool {
        if check.asks() == CheckKind::Text {
            return false;
        }
        let bolts = check.asks() == CheckKind::Torque && !crate::traveler::is_round(check);
        let begun = !self.entry.input.is_empty();
        // A bolt's number and Space is a click out of turn; a number and "=" a torque of that bolt.
        if bolts && begun && (c == '=' || (c == ' ' && self.entry.input.bytes().all(|b| b.is_ascii_digit()))) {
            return c == '=';
        }
        // Numbers of those that moved stand apart by a space.
        let round = crate::traveler::is_round(check);
        // An amplitude and its angle in one: 4.2@35, 4.2 at 35.
        let pair = check.asks() == CheckKind::Series && check.unit.is_none();
        c.is_ascii_digit()
            || matches!(c, ',' | '.' | '-')
            || (begun && round && c == ' ')
            || (begun && pair && matches!(c, '@' | '∠' | ' ' | 'a' | 't' | '°'))
            || (begun
                && check.unit.is_some()
                && (c.is_alphabetic() || matches!(c, ' ' | '/' | '·' | '°' | 'µ' | '%' | '"')))
    }
}
