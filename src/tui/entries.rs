//! The record on the screen: what its keys do.

use crate::traveler::event::Event;

use super::app::{App, Shown};
use super::keys::Act;
use super::screens;

/// Lines that a page key moves by.
const PAGE: usize = 15;

impl App<'_> {
    /// The entry of the record that is opened whole.
    #[must_use]
    pub fn opened_entry(&self) -> Option<&Event> {
        let number = self.opened?;
        self.record()?.events.iter().find(|e| e.header.event == number)
    }

    pub(super) fn record_act(&mut self, act: Act) {
        if self.opened.is_some() {
            self.opened_act(act);
            return;
        }
        let numbers: Vec<u64> = self
            .record()
            .map_or_else(Vec::new, |r| screens::record::found(self, r).into_iter().map(|e| e.header.event).collect());
        let last = numbers.len().saturating_sub(1);
        self.line = self.line.min(last);
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(last),
            Act::PageUp => self.line = self.line.saturating_sub(PAGE),
            Act::PageDown => self.line = (self.line + PAGE).min(last),
            Act::Open => {
                self.opened = numbers.get(self.line).copied();
                self.down = 0;
            }
            Act::Find => self.ask_find(),
            Act::Reopen => self.ask_reopen(),
            Act::Trials => self.open_trials(),
            Act::Back if self.session.is_some() => self.shown = Shown::Step,
            Act::Back => self.leave_for_bench(),
            _ => {}
        }
    }

    /// While an entry is open the arrows move in it, and Esc leads back to the list.
    fn opened_act(&mut self, act: Act) {
        // All but the rows of head and keys are its own.
        let rows = usize::from(self.size.1.saturating_sub(2));
        let last = screens::opened::length(self).saturating_sub(rows);
        match act {
            Act::Up => self.down = self.down.saturating_sub(1),
            Act::Down => self.down = (self.down + 1).min(last),
            Act::PageUp => self.down = self.down.saturating_sub(PAGE),
            Act::PageDown => self.down = (self.down + PAGE).min(last),
            Act::Back => self.opened = None,
            _ => {}
        }
    }
}
