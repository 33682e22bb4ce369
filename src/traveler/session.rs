//! One build open for writing: the append, the torn tail, and what happens when the disk does not obey.

use std::fs::{self, File, OpenOptions};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, SecondsFormat};

use super::enter::EntryError;
use super::event::{self, Body, Header, SetAside};
use super::frame;
use super::lock::{self, Denied, Lock};
use super::machine::{Machine, write_new};
use super::record::Record;
use super::remembered::plain;
use super::store::{FILE, StoreError, Trouble};

/// The first lines of every record.
const FRONT: &str = "\
# Record of one build, format 1. One event a document; nothing in it is ever changed.
# To verify by hand: copy an event, from its line of three hyphens (the first event: from the top of this file)
# down to the line before its hash, line ends LF, into a file of its own, and run sha256sum on it. It must
# give the hash; the next event repeats that hash as \"before\". A cut-off end shows only against a code kept elsewhere.
";

/// A build open for writing. The lock goes with it.
#[derive(Debug)]
pub struct Session {
    record: Record,
    folder: PathBuf,
    file: File,
    _lock: Lock,
    machine: Arc<dyn Machine>,
    length: u64,
    last_hash: String,
    /// Set when a write failed in a way that could not be mended.
    broken: Option<Trouble>,
}

impl Session {
    pub(super) fn create(
        build: &str,
        folder: &Path,
        by: &str,
        body: &Body,
        machine: &Arc<dyn Machine>,
    ) -> Result<Self, StoreError> {
        let lock = locked(build, folder, by)?;
        let path = folder.join(FILE);
        if path.exists() {
            set_start_aside(build, folder, machine.as_ref())?;
        }
        let at = stamp(machine.as_ref());
        let header = Header { event: 1, before: "none".into(), at, by: by.to_owned(), what: body.what().into() };
        let (bytes, _) = bytes_of(FRONT, &header, body)?;
        write_new(machine.as_ref(), &path, &bytes).map_err(|e| StoreError::io(&path, e))?;
        let mut session = Self::with_lock(build, folder, lock, machine)?;
        session.tell_what_is_set_aside()?;
        Ok(session)
    }

    pub(super) fn open(build: &str, folder: &Path, machine: &Arc<dyn Machine>) -> Result<Self, StoreError> {
        let lock = locked(build, folder, "")?;
        let mut session = Self::with_lock(build, folder, lock, machine)?;
        if session.record.integrity.torn_tail > 0 {
            session.set_tail_aside()?;
        }
        session.tell_what_is_set_aside()?;
        session.compute_missing().map_err(|e| match e {
            EntryError::Store(e) => e,
            EntryError::Refused(why) => StoreError::ReadOnly { build: build.to_owned(), why },
        })?;
        Ok(session)
    }

    fn with_lock(build: &str, folder: &Path, lock: Lock, machine: &Arc<dyn Machine>) -> Result<Self, StoreError> {
        let path = folder.join(FILE);
        let (file, bytes) = read_for_writing(&path).map_err(|e| cannot_open(build, folder, &path, &e))?;
        let record = Record::read(build, &bytes).map_err(|e| StoreError::NoRecord(e.to_string()))?;
        let why = match (&record.integrity.first_bad, &record.integrity.read_only) {
            (Some(_), _) => Some(record.integrity.words()),
            (None, why) => why.clone(),
        };
        if let Some(why) = why {
            return Err(StoreError::ReadOnly { build: build.to_owned(), why });
        }
        Ok(Self {
            last_hash: last_hash(&record),
            record,
            folder: folder.to_owned(),
            file,
            _lock: lock,
            machine: Arc::clone(machine),
            length: bytes.len() as u64,
            broken: None,
        })
    }

    /// The record as it stands.
    #[must_use]
    pub const fn record(&self) -> &Record {
        &self.record
    }

    /// Folder of the build.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The machine it is written on.
    pub(super) fn machine(&self) -> &dyn Machine {
        self.machine.as_ref()
    }

    /// The time by this machine's clock.
    pub(super) fn now(&self) -> DateTime<FixedOffset> {
        self.machine.now()
    }

    /// Copies the torn tail away and cuts it off. What is copied is told in an event afterwards.
    fn set_tail_aside(&mut self) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        let bytes = fs::read(&path).map_err(|e| self.disk_said("the torn end could not be read", &path, &e))?;
        let tail = frame::cut(&bytes).tail;
        let aside = self.folder.join(ASIDE);
        let to = free(&aside, &format!("after-event-{}", self.record.events.len()), self.machine.as_ref());
        let copied = self.machine.make_folders(&aside).and_then(|()| {
            write_new(self.machine.as_ref(), &to, &bytes[tail.clone()])?;
            self.machine.sync_folder(&aside)?;
            self.machine.sync_folder(&self.folder)
        });
        copied.map_err(|e| self.disk_said("the torn end could not be set aside", &aside, &e))?;
        self.cut_to(tail.start as u64).map_err(|e| self.disk_said("the torn end could not be cut off", &path, &e))
    }

    /// Writes an event for every file set aside that no event tells of: also one left by a program that was stopped
    /// between the copy and the event.
    fn tell_what_is_set_aside(&mut self) -> Result<(), StoreError> {
        for (name, bytes) in files_in(&self.folder.join(ASIDE)) {
            let file = format!("{ASIDE}/{name}");
            let told = self.record.events.iter().any(|e| matches!(&e.body, Body::SetAside(s) if s.file == file));
            if !told {
                let by = self.record.events.last().map_or_else(String::new, |e| e.header.by.clone());
                self.append(&by, Body::SetAside(SetAside { file, bytes }))?;
            }
        }
        Ok(())
    }

    fn cut_to(&mut self, length: u64) -> std::io::Result<()> {
        self.machine.cut(&self.file, length)?;
        self.machine.sync_folder(&self.folder)?;
        self.length = length;
        self.record.integrity.torn_tail = 0;
        Ok(())
    }

    /// Appends one event: one write, one sync, then it counts.
    ///
    /// # Errors
    /// [`StoreError::Trouble`]: what happened, which entry is the last one kept, what to do.
    pub(super) fn append(&mut self, by: &str, body: Body) -> Result<u64, StoreError> {
        if let Some(trouble) = &self.broken {
            return Err(trouble.clone().into());
        }
        self.refuse_if_changed("before the entry was written")?;
        let number = self.record.events.len() as u64 + 1;
        let header = Header {
            event: number,
            before: self.last_hash.clone(),
            at: stamp(self.machine.as_ref()),
            by: by.to_owned(),
            what: body.what().into(),
        };
        let (bytes, hash) = bytes_of("", &header, &body)?;
        let written = self.machine.write(&mut self.file, &bytes).and_then(|()| self.machine.sync(&self.file));
        if let Err(error) = written {
            return Err(self.after_failed_write(&error));
        }
        self.length += bytes.len() as u64;
        // A file put in place of this one would have the old length still: the entry went into the one that is gone.
        self.refuse_if_changed("while the entry was written")?;
        self.last_hash.clone_from(&hash);
        self.record.push(event::Event { header, body, hash });
        Ok(number)
    }

    pub(super) fn trouble(&self, what: String, todo: &str) -> Trouble {
        Trouble { build: self.record.build.clone(), what, last: self.record.events.len() as u64, todo: todo.to_owned() }
    }

    fn disk_said(&self, what: &str, path: &Path, error: &std::io::Error) -> StoreError {
        let todo = "mend the disk or its permissions, then open the build again; until then it can be read";
        self.trouble(format!("{what} ({}: {error})", path.display()), todo).into()
    }

    /// The path is asked, not the handle: the file may have been replaced or removed under it.
    fn refuse_if_changed(&mut self, when: &str) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        let trouble = match fs::metadata(&path) {
            Ok(m) if m.len() == self.length => return Ok(()),
            Ok(m) => self.trouble(
                format!(
                    "the file changed under this program {when} ({}: {} bytes, {} now)",
                    path.display(),
                    self.length,
                    m.len()
                ),
                &format!("close the editor or the other program, then \"runtrue verify {}\"", self.record.build),
            ),
            Err(error) => self.trouble(
                format!("the file of the record is gone ({}: {error})", path.display()),
                "put the folder or the disk back, then open the build again and enter it once more",
            ),
        };
        self.broken = Some(trouble.clone());
        Err(trouble.into())
    }

    /// Nothing was acknowledged, so nothing of it stays: the file is cut back to the last entry that was. A failed sync
    /// leaves open what is on the disk, so even an entry that can be read back is cut off and not trusted.
    fn after_failed_write(&mut self, error: &std::io::Error) -> StoreError {
        let what = format!("the entry was not saved ({}: {error})", self.folder.join(FILE).display());
        match self.read_again() {
            Ok(()) => self.trouble(what, "free some space or mend the disk, then enter it again").into(),
            Err(_) => {
                let todo = "the record takes no more entries here; copy its folder to another disk and go on there";
                let trouble = self.trouble(what, todo);
                self.broken = Some(trouble.clone());
                trouble.into()
            }
        }
    }

    /// Drops the handle, opens the file again and cuts it back to the last acknowledged entry.
    fn read_again(&mut self) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        let length = self.length;
        let (file, bytes) = read_for_writing(&path).map_err(|e| StoreError::io(&path, e))?;
        self.file = file;
        if (bytes.len() as u64) < length {
            return Err(StoreError::NoRecord("the file is shorter than what was saved".into()));
        }
        self.cut_to(length).map_err(|e| StoreError::io(&path, e))?;
        let kept = Record::integrity_of(&bytes[..usize::try_from(length).unwrap_or(usize::MAX).min(bytes.len())]);
        let same = kept.whole() && kept.events == self.record.events.len() as u64;
        if same { Ok(()) } else { Err(StoreError::NoRecord(kept.words())) }
    }
}

/// Folder of what was set aside, in the build's.
const ASIDE: &str = "set-aside";

/// A file that is not there yet, named by what it holds and the time; numbered where one millisecond saw two.
fn free(folder: &Path, what: &str, machine: &dyn Machine) -> PathBuf {
    let stem = format!("{what}-{}", stamp(machine).replace(':', ""));
    let numbered = (2..).map(|n| folder.join(format!("{stem}-{n}.yaml")));
    let plain = folder.join(format!("{stem}.yaml"));
    std::iter::once(plain.clone()).chain(numbered).find(|p| !p.exists()).unwrap_or(plain)
}

/// Names and lengths of the files in a folder, in order; none where there is no folder.
fn files_in(folder: &Path) -> Vec<(String, u64)> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let named = entries.filter_map(|e| {
        let e = e.ok()?;
        Some((e.file_name().into_string().ok()?, e.metadata().ok()?.len()))
    });
    let mut files: Vec<_> = named.collect();
    files.sort();
    files
}

/// A start that was stopped before its first event was whole left nothing that counts; its bytes are kept beside.
fn set_start_aside(build: &str, folder: &Path, machine: &dyn Machine) -> Result<(), StoreError> {
    let path = folder.join(FILE);
    let bytes = fs::read(&path).map_err(|e| StoreError::io(&path, e))?;
    if !frame::cut(&bytes).frames.is_empty() {
        return Err(StoreError::Exists(format!("the build {build} was started by another program just now")));
    }
    let aside = folder.join(ASIDE);
    let to = free(&aside, "start", machine);
    let moved = machine.make_folders(&aside).and_then(|()| {
        machine.rename(&path, &to)?;
        machine.sync_folder(&aside)?;
        machine.sync_folder(folder)
    });
    moved.map_err(|e| StoreError::io(&to, e))
}

fn read_for_writing(path: &Path) -> std::io::Result<(File, Vec<u8>)> {
    plain(path)?;
    let mut file = OpenOptions::new().read(true).append(true).open(path)?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)?;
    Ok((file, bytes))
}

fn last_hash(record: &Record) -> String {
    record.events.last().map_or_else(|| "none".to_owned(), |e| e.hash.clone())
}

fn bytes_of(front: &str, header: &Header, body: &Body) -> Result<(Vec<u8>, String), StoreError> {
    let text =
        event::write(header, body).map_err(|e| StoreError::NoRecord(format!("the entry cannot be written: {e}")))?;
    frame::build(front, &text).map_err(|e| StoreError::NoRecord(e.to_string()))
}

/// Local time with its offset, to the millisecond, as events carry it.
pub(super) fn stamp(machine: &dyn Machine) -> String {
    machine.now().to_rfc3339_opts(SecondsFormat::Millis, false)
}

/// A time of the record.
#[must_use]
pub fn time(text: &str) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(text).ok()
}

fn locked(build: &str, folder: &Path, by: &str) -> Result<Lock, StoreError> {
    let path = folder.join("writer.lock");
    lock::take(&path, by).map_err(|denied| match denied {
        Denied::Held(who) => {
            StoreError::Locked(format!("{build} is open in another program ({who}); nothing was written here; close it there first, or read it with \"runtrue review {build}\""))
        }
        Denied::CannotLock(e) => StoreError::ReadOnly {
            build: build.to_owned(),
            why: format!(
                "the file system of {} cannot lock ({e}), so two programs could write at once; copy the folder to a disk that can",
                folder.display()
            ),
        },
        Denied::CannotOpen(e) => cannot_open(build, folder, &path, &e),
    })
}

/// The build cannot be written at all; how far it goes is read, without writing.
fn cannot_open(build: &str, folder: &Path, path: &Path, error: &std::io::Error) -> StoreError {
    let kept = fs::read(folder.join(FILE)).map_or(0, |bytes| Record::integrity_of(&bytes).events);
    let what = format!("the record cannot be opened for writing ({}: {error})", path.display());
    let todo = "give this user the right to write there, or copy the folder to another disk; \"runtrue review\" reads it meanwhile";
    StoreError::Trouble(Trouble { build: build.to_owned(), what, last: kept, todo: todo.to_owned() })
}
