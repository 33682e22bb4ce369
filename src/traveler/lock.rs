//! Locks on files, by the system call. That the file exists means nothing; a crash leaves no lock behind.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Write};
use std::path::Path;

/// A lock that is held until it is dropped.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

/// Why there is no lock.
#[derive(Debug)]
pub enum Denied {
    /// Another program holds it; what that one wrote about itself.
    Held(String),
    /// The file system cannot lock.
    CannotLock(io::Error),
    /// The file of the lock cannot be opened.
    CannotOpen(io::Error),
}

/// Takes a lock, or says at once who holds it. `by` stands in the note for others, beside process and machine.
///
/// # Errors
/// [`Denied`].
pub fn take(path: &Path, by: &str) -> Result<Lock, Denied> {
    let mut file = open(path)?;
    match file.try_lock() {
        Ok(()) => {
            let who = if by.is_empty() { String::new() } else { format!(", {by}") };
            let note = format!("process {} on {}{who}\n", std::process::id(), host());
            // The note is for people; a lock without it still holds.
            let _ = file.set_len(0).and_then(|()| file.write_all(note.as_bytes()));
            Ok(Lock { _file: file })
        }
        Err(TryLockError::WouldBlock) => {
            let mut who = String::new();
            let _ = file.read_to_string(&mut who);
            Err(Denied::Held(who.trim().to_owned()))
        }
        Err(TryLockError::Error(e)) => Err(Denied::CannotLock(e)),
    }
}

/// Takes a lock that others hold for moments only, and waits for it.
///
/// # Errors
/// [`Denied`], never `Held`.
pub fn wait_for(path: &Path) -> Result<Lock, Denied> {
    let file = open(path)?;
    file.lock().map_err(Denied::CannotLock)?;
    Ok(Lock { _file: file })
}

fn open(path: &Path) -> Result<File, Denied> {
    let mut options = OpenOptions::new();
    options.create(true).truncate(false).read(true).write(true);
    options.open(path).map_err(Denied::CannotOpen)
}

/// Name of this machine, for the message only.
fn host() -> String {
    let named = std::fs::read_to_string("/proc/sys/kernel/hostname").ok();
    named.or_else(|| std::env::var("COMPUTERNAME").ok()).map_or_else(|| "this machine".into(), |h| h.trim().to_owned())
}
