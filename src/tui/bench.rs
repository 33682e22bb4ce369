//! The list of builds at the bench: read again when it is no longer true, and the latest one in hand found.

use crate::traveler::{BuildState, time};

use super::app::{App, BenchRow, Shown};

impl App<'_> {
    /// Reads the list of builds again.
    pub(super) fn list_builds(&mut self) {
        self.marks = self.store.marks();
        match self.store.list() {
            Ok(builds) => self.builds = builds,
            Err(e) => self.message = e.to_string(),
        }
    }

    /// At the bench: a build that another program began or went on with shows up; the cursor stays on what it was on.
    pub(super) fn refresh(&mut self) {
        if self.shown != Shown::Bench || self.store.marks() == self.marks {
            return;
        }
        let chosen = self.bench_rows().get(self.chosen).cloned();
        let build = match &chosen {
            Some(BenchRow::Build(k)) => self.builds.get(*k).map(|l| l.build.clone()),
            _ => None,
        };
        self.list_builds();
        let rows = self.bench_rows();
        let same = |row: &BenchRow| match (row, &build) {
            (BenchRow::Build(k), Some(build)) => self.builds[*k].build == *build,
            (row, None) => Some(row) == chosen.as_ref(),
            _ => false,
        };
        self.chosen = rows.iter().position(same).unwrap_or(self.chosen.min(rows.len().saturating_sub(1)));
    }

    /// Puts the cursor on the build that was worked on last, and says what there is to choose.
    pub fn choose_in_hand(&mut self) {
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
