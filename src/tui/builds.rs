//! The list of builds at the bench. A long one is read beside the screen, which is never held up by it.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use crate::traveler::{Checked, Fingerprint, Listing, Progress, Store};

use super::app::{App, BenchRow};

/// The marks from before the list, and the list.
type Found = (Fingerprint, Result<Vec<Listing>, String>);

/// A list that is being read on a thread of its own.
#[derive(Default)]
pub struct Reading {
    progress: Arc<Progress>,
    /// None before it was asked for what it has found: the screen stands before the disk is kept busy.
    found: Option<Receiver<Found>>,
    shown: usize,
}

impl Reading {
    /// What was found meanwhile.
    fn take(&mut self, store: &Store) -> Result<Found, TryRecvError> {
        self.found.get_or_insert_with(|| Self::start(store.clone(), Arc::clone(&self.progress))).try_recv()
    }

    fn start(store: Store, far: Arc<Progress>) -> Receiver<Found> {
        let (send, found) = channel();
        std::thread::spawn(move || {
            // Taken first: what changes while the list is read is seen the next time.
            let marks = store.marks();
            // First what can be shown at once, then the same with every hash checked.
            for depth in [Checked::Ends, Checked::Whole] {
                let list = store.list_to(depth, &far).map_err(|e| e.to_string());
                // What is remembered may be checked already.
                let whole = list.as_ref().is_ok_and(|list| list.iter().all(|l| l.checked == Checked::Whole));
                if far.stopped() || send.send((marks, list)).is_err() || whole {
                    return;
                }
            }
        });
        found
    }
}

impl Drop for Reading {
    fn drop(&mut self) {
        self.progress.stop();
    }
}

impl App<'_> {
    /// Looks at the builds anew: at once where they are few, else beside the screen; what was listed stays until then.
    pub(super) fn look_at_builds(&mut self) {
        self.offers = self.modules.list();
        if self.store.has_many() {
            self.listing = Some(Reading::default());
        } else {
            self.listing = None;
            self.marks = self.store.marks();
            self.take_list(self.store.list().map_err(|e| e.to_string()));
        }
    }

    /// Takes what was read meanwhile. True if there is something new to show.
    pub fn list_came(&mut self) -> bool {
        let Some(reading) = &mut self.listing else { return false };
        match reading.take(&self.store) {
            Ok((marks, list)) => {
                self.marks = marks;
                self.take_list(list);
            }
            Err(TryRecvError::Disconnected) => self.listing = None,
            Err(TryRecvError::Empty) => {
                let done = reading.progress.done();
                return std::mem::replace(&mut reading.shown, done) != done;
            }
        }
        true
    }

    /// How far the reading of a long list is; none when all is read.
    #[must_use]
    pub fn listing_words(&self) -> Option<String> {
        let reading = self.listing.as_ref()?;
        Some(format!("Looking at the builds, {}. What is listed is not all verified yet.", reading.progress.words()))
    }

    /// A list in place of the one before; the build that was chosen stays so, and one that was just left is chosen.
    fn take_list(&mut self, list: Result<Vec<Listing>, String>) {
        let builds = match list {
            Ok(builds) => builds,
            // A folder that cannot be read is said, and not shown as an empty one.
            Err(why) => {
                self.message = why;
                return;
            }
        };
        let chosen = self.bench_rows().get(self.chosen).cloned();
        let left = self.just_left.take_if(|build| builds.iter().any(|l| l.build == *build));
        let build = match &chosen {
            _ if left.is_some() => left,
            Some(BenchRow::Build(k) | BenchRow::Due(k)) => self.builds.get(*k).map(|l| l.build.clone()),
            _ => None,
        };
        self.builds = builds;
        let rows = self.bench_rows();
        let same = |row: &BenchRow| match (row, &build) {
            (BenchRow::Build(k) | BenchRow::Due(k), Some(build)) => {
                let due = |row: Option<&BenchRow>| matches!(row, Some(BenchRow::Due(_)));
                self.builds[*k].build == *build && due(Some(row)) == due(chosen.as_ref())
            }
            (row, None) => Some(row) == chosen.as_ref(),
            _ => false,
        };
        self.chosen = rows.iter().position(same).unwrap_or_else(|| self.chosen.min(rows.len().saturating_sub(1)));
        if self.in_hand {
            self.choose_in_hand();
        }
    }
}
