//! The list of builds as it was the last time, in the platform's cache folder.
//!
//! It may be deleted at any time, and is believed only for a file that has the same length, time of change and last hash
//! as then; never by `verify`.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{BufRead, BufReader, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::UNIX_EPOCH;

use directories::ProjectDirs;
use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use crate::module::sha256_hex;

use super::fingerprint::Fingerprint;
use super::listing::Listing;

/// What tells whether a file is the one that was read.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Stamp {
    bytes: u64,
    changed_ns: u64,
    end: Fingerprint,
}

/// A line of the list and the file it was read from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Known {
    /// The file then.
    pub stamp: Stamp,
    /// The line.
    pub listing: Listing,
}

/// All lines, in the order of their builds' names.
#[derive(Debug, Default)]
pub(super) struct Remembered(Vec<Known>);

/// Where the list of a folder is remembered: `$RUNTRUE_CACHE`, else the platform's cache folder.
pub(super) fn cache_file(root: &Path) -> Option<PathBuf> {
    let named = std::env::var_os("RUNTRUE_CACHE").filter(|d| !d.is_empty()).map(PathBuf::from);
    let folder = named.or_else(|| Some(ProjectDirs::from("", "", "runtrue")?.cache_dir().to_owned()))?;
    let of = sha256_hex(root.as_os_str().as_encoded_bytes());
    Some(folder.join(format!("builds-{}.jsonl", &of[..16])))
}

/// Another version may list otherwise.
fn program() -> String {
    format!("runtrue {} list 4", env!("CARGO_PKG_VERSION"))
}

impl Remembered {
    /// Reads it; nothing where there is none, or none of this program.
    pub(super) fn load(file: Option<&PathBuf>) -> Self {
        let opened = file.and_then(|f| File::open(f).ok()).map(BufReader::new);
        opened.and_then(Self::read).unwrap_or_default()
    }

    /// One line of the file a line of the list, behind the one that names the program: never whole in memory beside what
    /// is read from it.
    fn read(file: impl BufRead) -> Option<Self> {
        let mut lines = file.lines();
        let by: String = serde_json::from_str(&lines.next()?.ok()?).ok()?;
        if by != program() {
            return None;
        }
        let mut words = BTreeSet::new();
        let known = lines.map(|line| {
            let mut known: Known = serde_json::from_str(&line.ok()?).ok()?;
            known.listing.remembered = true;
            share(&mut known.listing.module, &mut words);
            share(&mut known.listing.setup, &mut words);
            Some(known)
        });
        known.collect::<Option<Vec<Known>>>().map(Self)
    }

    fn place(&self, build: &str) -> Option<usize> {
        self.0.binary_search_by(|k| k.listing.build.as_str().cmp(build)).ok()
    }

    /// The line of a build, if its file is still the one it was read from.
    pub(super) fn of(&self, build: &str, stamp: &Stamp) -> Option<&Known> {
        self.place(build).map(|at| &self.0[at]).filter(|k| k.stamp == *stamp)
    }

    /// Takes the line of a build out of the list.
    pub(super) fn take(&mut self, build: &str) -> Known {
        self.place(build).map(|at| std::mem::take(&mut self.0[at])).unwrap_or_default()
    }

    /// How many lines there are.
    pub(super) fn count(&self) -> usize {
        self.0.len()
    }

    /// All of them. The memory of what is remembered becomes that of the list.
    pub(super) fn into_list(self) -> Vec<Listing> {
        self.0.into_iter().map(|k| k.listing).collect()
    }
}

/// Thousands of builds are of a few modules and setups: each of these words stands in memory once.
fn share(word: &mut Arc<str>, words: &mut BTreeSet<Arc<str>>) {
    match words.get(word) {
        Some(known) => *word = Arc::clone(known),
        None => _ = words.insert(Arc::clone(word)),
    }
}

/// Keeps a list for the next time, in the order of the builds' names. Where that is not possible, the next time is slower
/// and nothing else.
pub(super) fn keep(file: Option<&PathBuf>, known: &[Known]) {
    let Some((file, folder)) = file.and_then(|f| Some((f, f.parent()?))) else { return };
    let written = fs::create_dir_all(folder).and_then(|()| {
        let mut new = BufWriter::new(NamedTempFile::new_in(folder)?);
        serde_json::to_writer(&mut new, &program())?;
        for known in known {
            new.write_all(b"\n")?;
            serde_json::to_writer(&mut new, known)?;
        }
        let new = new.into_inner().map_err(std::io::IntoInnerError::into_error)?;
        new.persist(file).map_err(|e| e.error)
    });
    let _ = written;
}

/// Length, time of change, and the last hash, read from the end of the file.
///
/// # Errors
/// What the file system says; also where it is no plain file, which might never end.
pub(super) fn stamp(path: &Path) -> std::io::Result<Stamp> {
    const LAST_LINE: u64 = "hash: \n".len() as u64 + 64;
    plain(path)?;
    let mut file = File::open(path)?;
    let about = file.metadata()?;
    let changed = about.modified()?.duration_since(UNIX_EPOCH).unwrap_or_default();
    file.seek(SeekFrom::Start(about.len().saturating_sub(LAST_LINE)))?;
    let mut end = Vec::new();
    file.read_to_end(&mut end)?;
    Ok(Stamp {
        bytes: about.len(),
        changed_ns: u64::try_from(changed.as_nanos()).unwrap_or(u64::MAX),
        end: Fingerprint::of(&end),
    })
}

/// Refuses what is no plain file before it is opened: a pipe or a device would be waited for without end.
///
/// # Errors
/// What the file system says, or that it is something else.
pub(super) fn plain(path: &Path) -> std::io::Result<()> {
    if fs::metadata(path)?.is_file() {
        Ok(())
    } else {
        Err(std::io::Error::other("it is no plain file; put the record's file in its place"))
    }
}
