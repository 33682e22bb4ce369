//! The mouse: it may do what keys do, and nothing needs it.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers, MouseButton, MouseEvent, MouseEventKind};

use super::app::{App, Shown};
use super::screens;

impl App<'_> {
    /// The wheel turns pages and lines; a click takes a key of the key bar or a line of a list.
    pub(super) fn mouse(&mut self, mouse: MouseEvent) {
        if self.too_small() || !self.in_front() {
            return;
        }
        let paged = self.shown == Shown::Step;
        match mouse.kind {
            MouseEventKind::ScrollUp => self.press(if paged { KeyCode::PageUp } else { KeyCode::Up }),
            MouseEventKind::ScrollDown => self.press(if paged { KeyCode::PageDown } else { KeyCode::Down }),
            MouseEventKind::Down(MouseButton::Left) => self.click_at(mouse.column, mouse.row),
            _ => {}
        }
    }

    fn press(&mut self, code: KeyCode) {
        self.key(&KeyEvent::new(code, KeyModifiers::NONE));
    }

    fn click_at(&mut self, column: u16, row: u16) {
        if row + 1 == self.size.1 {
            let hit = screens::placed(self, self.size.0).into_iter().find(|k| (k.from..k.to).contains(&column));
            if let Some(key) = hit {
                self.press(key.row.code);
            }
            return;
        }
        // The first click chooses a line, the second on the same line opens it.
        match self.shown {
            Shown::Bench => {
                if let Some(k) = screens::bench::row_at(self, row) {
                    if self.chosen == k { self.press(KeyCode::Enter) } else { self.chosen = k }
                }
            }
            Shown::Steps => {
                if let Some(k) = screens::steps::row_at(self, row) {
                    if self.line == k { self.press(KeyCode::Enter) } else { self.line = k }
                }
            }
            Shown::Kit => {
                if let Some(k) = screens::kit::row_at(self, row) {
                    if self.line == k { self.press(KeyCode::Char(' ')) } else { self.line = k }
                }
            }
            Shown::Record if self.opened.is_none() => {
                if let Some(k) = screens::record::row_at(self, row) {
                    if self.line == k { self.press(KeyCode::Enter) } else { self.line = k }
                }
            }
            Shown::Step | Shown::Record | Shown::Handover | Shown::Change | Shown::Trials => {}
        }
    }
}
