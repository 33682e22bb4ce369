//! The list of builds at the bench: read again when it is no longer true, and the latest one in hand found.

use crate::traveler::{BuildState, time};

use super::app::{App, BenchRow, Shown};

impl App<'_> {
    /// At the bench: a build that another program began or went on with shows up; the cursor stays on what it was on.
    pub(super) fn refresh(&mut self) {
        if self.shown == Shown::Bench && self.listing.is_none() && self.store.marks() != self.marks {
            self.look_at_builds();
        }
    }

    /// Puts the cursor on the build that was worked on last, and says what there is to choose.
    pub fn choose_in_hand(&mut self) {
        // A long list is still on its way.
        self.in_hand = self.listing.is_some() && self.builds.is_empty();
        if self.in_hand {
            return;
        }
        let open = |k: usize| self.builds[k].state.is_some_and(|s| s != BuildState::Complete);
        let rows = self.bench_rows();
        let in_hand = rows.iter().enumerate().filter_map(|(at, row)| match row {
            BenchRow::Build(k) if open(*k) => Some((at, *k)),
            _ => None,
        });
        let in_hand: Vec<(usize, usize)> = in_hand.collect();
        let latest = in_hand.iter().max_by_key(|(_, k)| time(&self.builds[*k].last_at)).copied();
        match latest {
            Some((at, k)) => {
                self.chosen = at;
                let build = &self.builds[k].build;
                self.message = match in_hand.len() {
                    1 => format!("One build is in hand, {build}: Enter goes on with it."),
                    n => format!(
                        "{n} builds are in hand. The cursor is on the one worked on last, {build}: Enter goes on with it."
                    ),
                };
            }
            None => self.message = "No build is in hand. Choose a module and press Enter to start one.".into(),
        }
    }
}
