//! Two people at one step: one reads aloud and types, the other acts and answers with the value. What was typed is read
//! back and counts once the second person has put their initials to it.

use crate::traveler::initials_fit;

use super::app::App;
use super::ask::{Ask, Field, Purpose};
use super::entry::OpenEntry;

/// Asks who read a value back.
pub(super) const READER: &str = "Initials of the reader";

impl App<'_> {
    pub(super) fn toggle_two(&mut self) {
        self.two = !self.two;
        self.far = self.two;
        self.message = if self.two {
            "Two at work: one reads aloud and types, the other acts and answers with the value.".into()
        } else {
            String::new()
        };
    }

    /// The value stands large above the question; nothing is saved yet.
    pub(super) fn ask_witness(&mut self, values: Vec<String>) {
        let unit = self.open_check().and_then(|c| c.unit.clone()).unwrap_or_default();
        let by = self.by.clone().unwrap_or_default();
        let told = format!("{} {unit}", values.join("  "));
        let words = format!(
            "{}. Read it back aloud. If {by} says it is right, the reader puts their own initials; they are kept as witness. Esc: not right, nothing is saved.",
            told.trim_end()
        );
        let field = Field::initials(READER);
        self.ask = Some(Ask::new(Purpose::Witness(values), "Read back", &words, vec![field]));
    }

    /// Whether these initials can be those of who reads back.
    pub(super) fn reads_back(&self, initials: &str) -> Result<(), String> {
        initials_fit(initials).map_err(|e| e.to_string())?;
        if self.by.as_deref() == Some(initials) {
            return Err(format!("{initials} is the one who acts; the reader is somebody else."));
        }
        Ok(())
    }

    /// Records what was read back.
    pub(super) fn witnessed(&mut self, values: Vec<String>, initials: &str) -> Result<String, String> {
        self.reads_back(initials)?;
        let before = self.record().map_or(0, |r| r.events.len());
        self.record_with(values, Some(initials.to_owned()));
        let saved = self.record().is_some_and(|r| r.events.len() > before);
        if saved { Ok(self.message.clone()) } else { Err(self.message.clone()) }
    }

    /// Leaves a window of questions; a value that was not read back right is dropped, and said so.
    pub(super) fn leave_ask(&mut self) {
        // Esc before the window made keys commands once: words are words again.
        self.typing = true;
        let left = self.ask.take().map(|a| a.purpose);
        if left == Some(Purpose::Person) {
            self.ask = self.parked.take();
        }
        if matches!(left, Some(Purpose::Witness(_))) {
            if let Some(check) = self.open_check().map(|c| c.id.clone()) {
                let step = self.step.clone();
                self.forget_begun(&step, &check);
            }
            self.entry = OpenEntry::default();
            self.typing = true;
            self.message = "Not read back right, nothing was saved: enter it again.".into();
        }
    }
}
