//! What the disk or the record refused: shown whole, over any screen, until it was read.

use crossterm::event::KeyCode;

use crate::traveler::{EntryError, StoreError};

use super::app::App;

/// A refusal that must not be overlooked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// What did not happen.
    pub title: &'static str,
    /// An entry was in hand.
    pub entry: bool,
    /// What happened, what is kept, what to do: a paragraph each.
    pub parts: Vec<String>,
}

impl Trouble {
    fn new(entry: bool, words: &str) -> Self {
        let title = if entry { "NOT SAVED" } else { "Not open for work" };
        Self { title, entry, parts: words.splitn(3, "; ").map(str::to_owned).collect() }
    }
}

impl App<'_> {
    /// An entry was refused. Where the disk did so, a line at the foot is not enough.
    pub(super) fn not_saved(&mut self, error: &EntryError) {
        self.message = error.to_string();
        if matches!(error, EntryError::Store(_)) {
            self.trouble = Some(Trouble::new(true, &self.message));
        }
    }

    /// A build could not be opened for work.
    pub(super) fn not_opened(&mut self, error: &StoreError) {
        self.message = error.to_string();
        self.trouble = Some(Trouble::new(false, &self.message));
    }

    /// True where the key belonged to a refusal that is shown. Only Esc takes it away: a caliper that types does not.
    pub(super) fn trouble_key(&mut self, code: KeyCode) -> bool {
        let shown = self.trouble.is_some();
        if shown && code == KeyCode::Esc {
            self.trouble = None;
        }
        shown
    }
}
