//! How far a long look over many builds is, for those who wait for it on another thread.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// Counts the builds looked at. Shared: whoever waits asks [`Progress::words`] or stops it.
#[derive(Debug, Default)]
pub struct Progress {
    total: AtomicUsize,
    done: AtomicUsize,
    in_hand: Mutex<Vec<String>>,
    stopped: AtomicBool,
}

impl Progress {
    /// Begins anew with so many builds.
    pub fn begin(&self, total: usize) {
        self.done.store(0, Ordering::Relaxed);
        self.total.store(total, Ordering::Relaxed);
    }

    /// Looks at one build, and counts it when that is over.
    pub fn take<T>(&self, build: &str, look: impl FnOnce() -> T) -> T {
        self.hands(|list| list.push(build.to_owned()));
        let found = look();
        self.hands(|list| list.retain(|b| b != build));
        self.done.fetch_add(1, Ordering::Relaxed);
        found
    }

    fn hands<T>(&self, change: impl FnOnce(&mut Vec<String>) -> T) -> T {
        change(&mut self.in_hand.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Nobody waits for it any more: what is in hand is finished, nothing new is begun.
    pub fn stop(&self) {
        self.stopped.store(true, Ordering::Relaxed);
    }

    /// True once it was stopped.
    #[must_use]
    pub fn stopped(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }

    /// Builds looked at.
    #[must_use]
    pub fn done(&self) -> usize {
        self.done.load(Ordering::Relaxed)
    }

    /// How far it is, with the build that has been in hand the longest: one that does not answer is named.
    #[must_use]
    pub fn words(&self) -> String {
        let oldest = self.hands(|list| list.first().cloned());
        let at = oldest.map_or_else(String::new, |b| format!(", at {b}"));
        match self.total.load(Ordering::Relaxed) {
            0 => "counting them".into(),
            total => format!("{} of {total} builds read{at}", self.done()),
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use super::*;

    #[test]
    fn it_counts_and_names_what_is_in_hand() {
        let progress = Progress::default();
        assert_eq!(progress.words(), "counting them");
        progress.begin(2);
        assert_eq!(progress.words(), "0 of 2 builds read");
        let inside = progress.take("a-1", || progress.words());
        assert_eq!(inside, "0 of 2 builds read, at a-1");
        assert_eq!((progress.words().as_str(), progress.done()), ("1 of 2 builds read", 1));
        progress.begin(5);
        assert_eq!(progress.words(), "0 of 5 builds read");
        progress.stop();
        assert!(progress.stopped());
    }
}
