//! For tests: a machine on which any single act goes wrong, in every way a disk does.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use super::machine::Machine;

/// How an act goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    /// Nothing happens, and the error is told.
    Refused,
    /// A write stops half way, as on a full disk; another act is refused.
    Short,
    /// It is done, and an error is told all the same.
    DoneAndRefused,
    /// As `Short`, and nothing is done any more from then on: the program is gone.
    Gone,
    /// As `Gone`, and what was not synced is lost with the power.
    PowerCut,
}

pub(super) const FAULTS: [Fault; 5] =
    [Fault::Refused, Fault::Short, Fault::DoneAndRefused, Fault::Gone, Fault::PowerCut];

#[derive(Debug, Default)]
pub(super) struct Seen {
    acts: usize,
    pub(super) names: Vec<&'static str>,
    /// Length of the record's file that the disk has confirmed.
    synced: u64,
    /// Files made, where they lie now, and whether their bytes are on the disk.
    made: Vec<(PathBuf, bool)>,
}

/// A machine whose act number `at` goes wrong.
#[derive(Debug)]
pub(super) struct Failing {
    at: usize,
    fault: Fault,
    pub(super) seen: Mutex<Seen>,
}

impl Failing {
    pub(super) fn new(at: usize, fault: Fault) -> Arc<Self> {
        Arc::new(Self { at, fault, seen: Mutex::new(Seen::default()) })
    }

    pub(super) fn acts(&self) -> usize {
        self.seen.lock().unwrap().acts
    }

    /// Counts the act; says whether it is done, and whether an error is told.
    fn turn(&self, name: &'static str) -> (bool, bool) {
        let mut seen = self.seen.lock().unwrap();
        let now = seen.acts;
        seen.acts += 1;
        seen.names.push(name);
        match self.fault {
            Fault::Refused | Fault::Short => (now != self.at, now == self.at),
            Fault::DoneAndRefused => (true, now == self.at),
            Fault::Gone | Fault::PowerCut => (now < self.at, now >= self.at),
        }
    }

    fn act<T>(&self, name: &'static str, done: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        match self.turn(name) {
            (true, false) => done(),
            (true, true) => done().and_then(|_| Err(io::Error::other("told as failed"))),
            (false, _) => Err(io::Error::from_raw_os_error(28)),
        }
    }

    /// What was made and not synced is empty after the power came back.
    pub(super) fn lose_what_was_not_synced(&self) {
        for (path, _) in self.seen.lock().unwrap().made.iter().filter(|(_, synced)| !synced) {
            if self.fault == Fault::PowerCut && path.exists() {
                File::options().write(true).open(path).unwrap().set_len(0).unwrap();
            }
        }
    }

    pub(super) fn power_cut(&self, file: &Path) {
        if self.fault == Fault::PowerCut
            && let Ok(file) = File::options().write(true).open(file)
        {
            let synced = self.seen.lock().unwrap().synced;
            file.set_len(synced.min(file.metadata().unwrap().len())).unwrap();
        }
    }
}

impl Machine for Failing {
    fn make_folders(&self, path: &Path) -> io::Result<()> {
        self.act("make folders", || fs::create_dir_all(path))
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.act("make folder", || fs::create_dir(path))
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.act("remove folder", || fs::remove_dir_all(path))
    }

    fn create(&self, path: &Path) -> io::Result<File> {
        let made = self.act("create", || File::create_new(path));
        if path.exists() {
            self.seen.lock().unwrap().made.push((path.to_owned(), false));
        }
        made
    }

    fn remove_file(&self, path: &Path) -> io::Result<()> {
        self.act("remove file", || fs::remove_file(path))
    }

    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        use io::Write;
        let half = self.fault != Fault::Refused && self.acts() == self.at;
        let written = self.act("write", || file.write_all(bytes));
        if written.is_err() && half && self.fault != Fault::DoneAndRefused {
            file.write_all(&bytes[..bytes.len() / 2])?;
        }
        written
    }

    fn sync(&self, file: &File) -> io::Result<()> {
        let synced = self.act("sync", || file.sync_data());
        if synced.is_ok() {
            let mut seen = self.seen.lock().unwrap();
            seen.synced = file.metadata()?.len();
            if let Some(last) = seen.made.last_mut() {
                last.1 = true;
            }
        }
        synced
    }

    fn cut(&self, file: &File, length: u64) -> io::Result<()> {
        self.act("cut", || file.set_len(length).and_then(|()| file.sync_all()))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let moved = self.act("rename", || fs::rename(from, to));
        if !from.exists() {
            let mut seen = self.seen.lock().unwrap();
            seen.made.iter_mut().filter(|(path, _)| path == from).for_each(|(path, _)| to.clone_into(path));
        }
        moved
    }

    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        self.act("sync folder", || File::open(path)?.sync_all())
    }
}
