//! One build open for writing: the lock, the append, the torn tail.

use std::fs::{self, File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset, Local, SecondsFormat};

use super::enter::EntryError;
use super::event::{self, Body, Header, SetAside};
use super::frame;
use super::record::Record;
use super::store::{FILE, StoreError, sync_dir, write_new};

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
    _lock: File,
    length: u64,
    last_hash: String,
    /// Set when a write failed in a way that could not be mended.
    broken: Option<String>,
}

impl Session {
    pub(super) fn create(build: &str, folder: &Path, by: &str, body: &Body) -> Result<Self, StoreError> {
        let lock = lock(build, folder, by)?;
        let header = Header { event: 1, before: "none".into(), at: now(), by: by.to_owned(), what: body.what().into() };
        let (bytes, _) = bytes_of(FRONT, &header, body)?;
        write_new(&folder.join(FILE), &bytes)?;
        Self::with_lock(build, folder, lock)
    }

    pub(super) fn open(build: &str, folder: &Path) -> Result<Self, StoreError> {
        let lock = lock(build, folder, "")?;
        let mut session = Self::with_lock(build, folder, lock)?;
        if session.record.integrity.torn_tail > 0 {
            session.set_tail_aside()?;
        }
        session.compute_missing().map_err(|e| match e {
            EntryError::Store(e) => e,
            EntryError::Refused(why) => StoreError::ReadOnly { build: build.to_owned(), why },
        })?;
        Ok(session)
    }

    fn with_lock(build: &str, folder: &Path, lock: File) -> Result<Self, StoreError> {
        let (file, bytes) = read_for_writing(&folder.join(FILE))?;
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

    /// Copies the torn tail away, cuts it off, and says so in an event.
    fn set_tail_aside(&mut self) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        let bytes = fs::read(&path).map_err(|e| StoreError::io(&path, e))?;
        let tail = frame::cut(&bytes).tail;
        let aside = self.folder.join("set-aside");
        fs::create_dir_all(&aside).map_err(|e| StoreError::io(&aside, e))?;
        let name = format!("after-event-{}-{}.yaml", self.record.events.len(), now().replace(':', ""));
        write_new(&aside.join(&name), &bytes[tail.clone()])?;
        sync_dir(&aside)?;
        self.cut_to(tail.start as u64)?;
        let body = Body::SetAside(SetAside { file: format!("set-aside/{name}"), bytes: tail.len() as u64 });
        let by = self.record.events.last().map_or_else(String::new, |e| e.header.by.clone());
        self.append(&by, body).map(|_| ())
    }

    fn cut_to(&mut self, length: u64) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        let cut = self.file.set_len(length).and_then(|()| self.file.sync_all());
        cut.map_err(|e| StoreError::io(&path, e))?;
        sync_dir(&self.folder)?;
        self.length = length;
        self.record.integrity.torn_tail = 0;
        Ok(())
    }

    /// Appends one event: one write, one sync, then it counts.
    ///
    /// # Errors
    /// [`StoreError`]: what happened, which entry is the last one kept, what to do.
    pub(super) fn append(&mut self, by: &str, body: Body) -> Result<u64, StoreError> {
        if let Some(why) = &self.broken {
            return Err(self.read_only(why.clone()));
        }
        self.refuse_if_grown()?;
        let number = self.record.events.len() as u64 + 1;
        let header = Header {
            event: number,
            before: self.last_hash.clone(),
            at: now(),
            by: by.to_owned(),
            what: body.what().into(),
        };
        let (bytes, hash) = bytes_of("", &header, &body)?;
        if let Err(error) = self.file.write_all(&bytes).and_then(|()| self.file.sync_data()) {
            return Err(self.after_failed_write(&error));
        }
        self.length += bytes.len() as u64;
        self.last_hash.clone_from(&hash);
        self.record.push(event::Event { header, body, hash });
        Ok(number)
    }

    fn read_only(&self, why: String) -> StoreError {
        StoreError::ReadOnly { build: self.record.build.clone(), why }
    }

    fn refuse_if_grown(&mut self) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        // The path is asked, not the handle: the file may have been replaced under it.
        let length = fs::metadata(&path).map(|m| m.len()).map_err(|e| StoreError::io(&path, e))?;
        if length == self.length {
            return Ok(());
        }
        let why = format!(
            "the file changed under this program ({} bytes, {length} now); entry {} is the last one kept; close the editor or the other program, then \"runtrue verify {}\"",
            self.length,
            self.record.events.len(),
            self.record.build
        );
        self.broken = Some(why.clone());
        Err(self.read_only(why))
    }

    /// Nothing was acknowledged: what the disk holds decides.
    fn after_failed_write(&mut self, error: &std::io::Error) -> StoreError {
        let before = self.record.events.len();
        let mended = self.read_again();
        let kept = self.record.events.len();
        let then = match mended {
            Ok(()) if kept > before => {
                "it reached the file, but the disk did not confirm it; look at the last entry before you go on"
            }
            Ok(()) => "free some space or mend the disk, then enter it again",
            Err(_) => "the record takes no more entries; copy its folder to another disk and go on there",
        };
        let why = format!("the entry was not saved: {error}; entry {kept} is the last one kept; {then}");
        if mended.is_err() {
            self.broken = Some(why.clone());
        }
        self.read_only(why)
    }

    /// Drops the handle, takes the record from the disk again, and cuts off what is not whole.
    fn read_again(&mut self) -> Result<(), StoreError> {
        let path = self.folder.join(FILE);
        let (file, bytes) = read_for_writing(&path)?;
        let record = Record::read(&self.record.build, &bytes).map_err(|e| StoreError::NoRecord(e.to_string()))?;
        if !record.integrity.whole() || record.events.len() < self.record.events.len() {
            return Err(self.read_only(record.integrity.words()));
        }
        self.file = file;
        self.length = bytes.len() as u64;
        self.last_hash = last_hash(&record);
        self.record = record;
        match self.record.integrity.torn_tail as u64 {
            0 => Ok(()),
            torn => self.cut_to(self.length - torn),
        }
    }
}

fn read_for_writing(path: &Path) -> Result<(File, Vec<u8>), StoreError> {
    let mut file = OpenOptions::new().read(true).append(true).open(path).map_err(|e| StoreError::io(path, e))?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).map_err(|e| StoreError::io(path, e))?;
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

/// Local time with its offset, to the millisecond.
pub(super) fn now() -> String {
    Local::now().to_rfc3339_opts(SecondsFormat::Millis, false)
}

/// A time of the record.
#[must_use]
pub fn time(text: &str) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(text).ok()
}

/// Name of this machine, for the message only.
fn host() -> String {
    let named = fs::read_to_string("/proc/sys/kernel/hostname").ok();
    named.or_else(|| std::env::var("COMPUTERNAME").ok()).map_or_else(|| "this machine".into(), |h| h.trim().to_owned())
}

/// Takes the lock of a build. The file's existence means nothing, the lock on it does.
fn lock(build: &str, folder: &Path, by: &str) -> Result<File, StoreError> {
    let path = folder.join("writer.lock");
    let mut file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .read(true)
        .write(true)
        .open(&path)
        .map_err(|e| StoreError::io(&path, e))?;
    match file.try_lock() {
        Ok(()) => {
            let who = if by.is_empty() { String::new() } else { format!(", {by}") };
            let note = format!("process {} on {}{who}\n", std::process::id(), host());
            // The note is for people; a lock without it still holds.
            let _ = file.set_len(0).and_then(|()| file.write_all(note.as_bytes()));
            Ok(file)
        }
        Err(fs::TryLockError::WouldBlock) => {
            let mut who = String::new();
            let _ = file.read_to_string(&mut who);
            Err(StoreError::Locked(format!(
                "{build} is open in another program ({}); close it there first",
                who.trim()
            )))
        }
        Err(fs::TryLockError::Error(e)) => {
            Err(StoreError::ReadOnly { build: build.to_owned(), why: format!("this file system cannot lock ({e})") })
        }
    }
}
