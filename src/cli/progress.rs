//! How far long work is, on standard error while it lasts.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use crate::traveler::Progress;

use super::one_line;

/// What is done sooner shows nothing.
const TICK: Duration = Duration::from_millis(500);

/// Does a look over many builds, and says how many are read.
pub fn shown<T>(progress: &Progress, work: impl FnOnce() -> T) -> T {
    told(|| progress.words(), work)
}

/// Does work that cannot be counted, and says what it is and for how long it has been done.
pub fn timed<T>(doing: &str, work: impl FnOnce() -> T) -> T {
    let begun = Instant::now();
    told(|| format!("{doing}, {} s", begun.elapsed().as_secs()), work)
}

/// Does work that can say how far it is; where standard error is a terminal, one line there says how far it is, and is wiped at the end.
pub fn told<T>(words: impl Fn() -> String + Sync, work: impl FnOnce() -> T) -> T {
    if !std::io::stderr().is_terminal() {
        return work();
    }
    std::thread::scope(|both| {
        let (working, ended) = channel::<()>();
        let words = &words;
        both.spawn(move || {
            let mut shown = false;
            while ended.recv_timeout(TICK) == Err(RecvTimeoutError::Timeout) {
                tell(&one_line(&words()));
                shown = true;
            }
            if shown {
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
