//! What is seldom wanted at a step stands behind one key, in a small list: the bar keeps to what matters now.

use crossterm::event::{KeyCode, KeyEvent};

use super::app::App;
use super::keys::{self, On, Row};

/// The lines of the list.
pub fn rows() -> impl Iterator<Item = &'static Row> {
    keys::TABLE.iter().filter(|r| r.on == On::More)
}

impl App<'_> {
    /// A letter takes its line, Enter the chosen one; anything else closes the list.
    pub(super) fn menu_key(&mut self, key: &KeyEvent) {
        let Some(at) = self.menu else { return };
        let last = rows().count().saturating_sub(1);
        let letter = |r: &&'static Row| r.code == key.code;
        if self.caliper_unused(key.code, "A list is open here.") {
            return;
        }
        match key.code {
            KeyCode::Up => self.menu = Some(at.saturating_sub(1)),
            KeyCode::Down => self.menu = Some((at + 1).min(last)),
            code => {
                self.menu = None;
                self.burst = false;
                let chosen = if code == KeyCode::Enter { rows().nth(at) } else { rows().find(letter) };
                if let Some(row) = chosen {
                    self.message.clear();
                    self.step_act(row.act);
                }
            }
        }
    }
}
