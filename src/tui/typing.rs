//! Characters that go into the open entry, by hand, by caliper or by paste.

use crossterm::event::{KeyCode, KeyEvent};

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::is_round;

use super::app::{App, Shown};
use super::entry::Doubt;
use super::silent::of_a_value;

impl App<'_> {
    pub(super) fn paste(&mut self, text: &str) {
        let clean = text.chars().filter(|c| !c.is_control());
        if self.too_small() || self.trouble.is_some() || self.help {
            self.message = "Pasted text was not used: what stands in front is closed first.".into();
        } else if let Some(ask) = &mut self.ask {
            clean.for_each(|c| ask.push(c));
        } else if self.shown == Shown::Step
            && self.in_front()
            && self.takes_text()
            && self.at_work()
            && self.asked_first().is_none()
            && self.offered().is_none()
        {
            self.typing = true;
            self.let_tight_go();
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
        // What was refused is not gone on with: its letters are commands again.
        if words { self.typing } else { unit && !self.entry.input.is_empty() && !self.entry.refused }
    }

    /// The entry opens once every page of cautions and actions was seen.
    #[must_use]
    pub fn text_seen(&self) -> bool {
        self.seen.saturating_add(1) >= super::screens::step::pages_required(self)
    }

    /// Keys that belong to the open entry. True if the key was one.
    pub(super) fn entry_key(&mut self, key: &KeyEvent) -> bool {
        if !self.at_work() || !self.takes_text() {
            return false;
        }
        if self.asked_first().is_some() {
            return self.first_key(key);
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
        let text = check.asks() == CheckKind::Text;
        let words = text && self.typing;
        match key.code {
            KeyCode::Enter => self.enter(&check),
            KeyCode::Backspace => self.entry.backspace(),
            // Esc leads out of the words, and back into them.
            KeyCode::Esc if text => {
                self.typing = !self.typing;
                self.message.clear();
            }
            KeyCode::Esc => self.entry.clear_input(),
            KeyCode::Char(c) if words => self.entry.push(c),
            KeyCode::Char(c) if self.belongs(c, &check) => self.entry.push(c),
            _ => return false,
        }
        true
    }

    /// Keys while a doubt stands: y keeps, n drops, digits begin anew; Enter does nothing, whoever sent it.
    fn doubt_key(&mut self, key: &KeyEvent, check: &Check) -> Option<bool> {
        match key.code {
            KeyCode::Char(c @ ('y' | 'n')) if matches!(self.entry.doubt, Some(Doubt::Tight(_))) => {
                self.tight_answer(c == 'y', check);
            }
            KeyCode::Char('y') => {
                self.message.clear();
                let taken = self.entry.keep_doubted(check, &self.sequence());
                self.taken(taken);
            }
            KeyCode::Backspace if !self.entry.input.is_empty() => {
                self.let_tight_go();
                self.entry.backspace();
            }
            KeyCode::Char('n') | KeyCode::Esc | KeyCode::Backspace => {
                self.message.clear();
                self.let_tight_go();
                self.entry.undo();
                self.keep_begun();
            }
            KeyCode::Enter => self.message = "Enter answers no question: y keeps it, n drops it.".into(),
            // Words are never commands because a question stands.
            KeyCode::Char(_) if check.asks() == CheckKind::Text => {
                self.message = "Answer first: y keeps it, n drops it.".into();
            }
            KeyCode::Char(c) if of_a_value(c) => {
                self.let_tight_go();
                return None;
            }
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
                self.entry.refused = true;
                self.message =
                    "Not taken. What was typed stays: Backspace edits it, a digit begins anew, u drops it.".into();
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
        let bolts = check.asks() == CheckKind::Torque && !is_round(check);
        let begun = !self.entry.input.is_empty() && !self.entry.refused;
        // A bolt's number and Space is a click out of turn; a number and "=" a torque of that bolt.
        if bolts && begun && (c == '=' || (c == ' ' && self.entry.input.bytes().all(|b| b.is_ascii_digit()))) {
            return c == '=';
        }
        // An amplitude and its angle in one: 4.2@35, 4.2 at 35.
        let pair = check.asks() == CheckKind::Series && check.unit.is_none();
        c.is_ascii_digit()
            || matches!(c, ',' | '.' | '-')
            // Numbers of those that moved stand apart by a space.
            || (begun && c == ' ' && is_round(check))
            || (begun && pair && matches!(c, '@' | '∠' | ' ' | 'a' | 't' | '°'))
            || (begun
                && check.unit.is_some()
                && (c.is_alphabetic() || matches!(c, ' ' | '/' | '·' | '°' | 'µ' | '%' | '"')))
    }
}
