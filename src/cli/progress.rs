//! How far a long look over many builds is, on standard error while it lasts.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use crate::traveler::Progress;

use super::one_line;

/// What is done sooner shows nothing.
const TICK: Duration = Duration::from_millis(300);

/// Does the work; where standard error is a terminal, one line there says how far it is, and is wiped at the end.
pub fn shown<T>(progress: &Progress, work: impl FnOnce() -> T) -> T {
    said(|| progress.words(), work)
}

/// Does the work; where standard error is a terminal and it takes a while, one line there says what is done.
pub fn said<T>(words: impl Fn() -> String + Sync, work: impl FnOnce() -> T) -> T {
    if !std::io::stderr().is_terminal() {
        return work();
    }
    std::thread::scope(|both| {
        let (working, ended) = channel::<()>();
        let words = &words;
        both.spawn(move || {
            let mut told = false;
            while ended.recv_timeout(TICK) == Err(RecvTimeoutError::Timeout) {
                tell(&one_line(&words()));
                told = true;
            }
            if told {
                tell("");
            }
        });
        let done = work();
        drop(working);
        done
    })
}

/// Writes over the line; a terminal that is gone ends no work.
fn tell(words: &str) {
    let _ = write!(std::io::stderr().lock(), "\r\u{1b}[K{words}").and_then(|()| std::io::stderr().flush());
}
