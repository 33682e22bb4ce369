//! The list of builds as it was the last time, in the platform's cache folder.
//!
//! It may be deleted at any time, and is believed only for a file that has the same length, time of change and last hash
//! as then; never by `verify`.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{BufReader, BufWriter, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use directories::ProjectDirs;
use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use crate::module::sha256_hex;

use super::listing::Listing;

/// What tells whether a file is the one that was read.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Stamp {
    bytes: u64,
    changed_ns: u128,
    end: String,
}

/// A line of the list and the file it was read from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Known {
    /// The file then.
    pub stamp: Stamp,
    /// The line.
    pub listing: Listing,
}

/// All lines, by build.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Remembered {
    /// Another version may list otherwise.
    program: String,
    builds: BTreeMap<String, Known>,
}

/// Where the list of a folder is remembered: `$RUNTRUE_CACHE`, else the platform's cache folder.
pub(super) fn cache_file(root: &Path) -> Option<PathBuf> {
    let named = std::env::var_os("RUNTRUE_CACHE").filter(|d| !d.is_empty()).map(PathBuf::from);
    let folder = named.or_else(|| Some(ProjectDirs::from("", "", "runtrue")?.cache_dir().to_owned()))?;
    let of = sha256_hex(root.as_os_str().as_encoded_bytes());
    Some(folder.join(format!("builds-{}.json", &of[..16])))
}

fn program() -> String {
    format!("runtrue {} list 3", env!("CARGO_PKG_VERSION"))
}

impl Remembered {
    /// Reads it; nothing where there is none, or none of this program.
    pub(super) fn load(file: Option<&PathBuf>) -> Self {
        let opened = file.and_then(|f| File::open(f).ok()).map(BufReader::new);
        // Never whole in memory beside what is read from it: a list may be long.
        let found: Self = opened.and_then(|f| serde_json::from_reader(f).ok()).unwrap_or_default();
        if found.program == program() { found } else { Self::default() }
    }

    /// The line of a build, if its file is still the one it was read from.
    pub(super) fn of(&self, build: &str, stamp: &Stamp) -> Option<&Known> {
        self.builds.get(build).filter(|k| k.stamp == *stamp)
    }

    /// Takes the line of a build out of the list.
    pub(super) fn take(&mut self, build: &str) -> Known {
        let mut known = self.builds.remove(build).unwrap_or_default();
        known.listing.remembered = true;
        known
    }

    /// How many lines there are.
    pub(super) fn count(&self) -> usize {
        self.builds.len()
    }
}

/// Keeps a list for the next time. Where that is not possible, the next time is slower and nothing else.
pub(super) fn keep(file: Option<&PathBuf>, known: &[Known]) {
    #[derive(Serialize)]
    struct Kept<'a> {
        program: String,
        builds: BTreeMap<&'a str, &'a Known>,
    }
    let Some((file, folder)) = file.and_then(|f| Some((f, f.parent()?))) else { return };
    let builds = known.iter().map(|k| (k.listing.build.as_str(), k)).collect();
    let kept = Kept { program: program(), builds };
    let written = fs::create_dir_all(folder).and_then(|()| {
        let mut new = BufWriter::new(NamedTempFile::new_in(folder)?);
        serde_json::to_writer(&mut new, &kept)?;
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
        changed_ns: changed.as_nanos(),
        end: String::from_utf8_lossy(&end).trim().to_owned(),
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
