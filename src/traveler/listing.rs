//! The list of builds. Of thousands, only those that changed since the last time are read in full.
//!
//! What is remembered lies in the platform's cache folder and may be deleted at any time. It is believed only for a file
//! that has the same length, time of change and last hash as then, and never by `verify`.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use directories::ProjectDirs;
use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use crate::module::sha256_hex;

use super::copies::{Relation, relation};
use super::record::Record;
use super::state::BuildState;
use super::store::{FILE, Store, StoreError};

/// From so many builds on it is worth remembering.
const WORTH: usize = 64;

/// Copies of one build that are compared with each other; more are only counted.
const MOST_COMPARED: usize = 8;

/// One line of the list of builds.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Listing {
    /// Folder name.
    pub build: String,
    /// Module id.
    pub module: String,
    /// Title.
    pub title: String,
    /// Serial number.
    pub serial: String,
    /// Setup in words.
    pub setup: String,
    /// State; none where the record cannot be read.
    pub state: Option<BuildState>,
    /// Time of the last event.
    pub last_at: String,
    /// Practice build.
    pub practice: bool,
    /// Steps done.
    pub steps_done: usize,
    /// Steps in all.
    pub steps_total: usize,
    /// Waits that run: step and when they end.
    pub due: Vec<(String, String)>,
    /// What is wrong with the record.
    pub problem: Option<String>,
    /// How long the record took to be read the last time, in milliseconds.
    pub read_ms: u64,
    /// Hash of the first event: two folders with the same one hold copies of one build.
    pub first_hash: String,
    /// Other folders that hold a copy of this build, and how they stand to it.
    pub copies: Vec<String>,
}

/// What tells whether a file is the one that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Stamp {
    bytes: u64,
    changed_ns: u128,
    end: String,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
struct Known {
    stamp: Stamp,
    listing: Listing,
}

#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Cache {
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

/// Name, length and time of change of each record: what tells whether a list of builds is still true.
pub type Marks = Vec<(String, u64, u128)>;

impl Store {
    /// The marks of every record, without reading one. Empty where the folder cannot be read; the list says why.
    #[must_use]
    pub fn marks(&self) -> Marks {
        let mark = |name: String| {
            let about = fs::metadata(self.folder(&name).join(FILE)).ok();
            let changed = about.as_ref().and_then(|m| m.modified().ok()?.duration_since(UNIX_EPOCH).ok());
            (name, about.map_or(0, |m| m.len()), changed.map_or(0, |d| d.as_nanos()))
        };
        self.names().unwrap_or_default().into_iter().map(mark).collect()
    }

    /// Every build with its state. Never writes into the records.
    ///
    /// # Errors
    /// [`StoreError`] where the folder of the builds cannot be read; a single record that cannot be read is a line of the
    /// list that says so.
    pub fn list(&self) -> Result<Vec<Listing>, StoreError> {
        let names = self.names()?;
        let remembered = if names.len() < WORTH { Cache::default() } else { self.remembered() };
        let known = self.known_of(&names, &remembered);
        if names.len() >= WORTH {
            self.remember(&remembered, &known);
        }
        let mut list: Vec<Listing> = known.into_iter().map(|k| k.listing).collect();
        self.name_copies(&mut list);
        Ok(list)
    }

    /// Reads what is not remembered, on every core.
    fn known_of(&self, names: &[String], remembered: &Cache) -> Vec<Known> {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let part = names.len().div_ceil(cores).max(1);
        std::thread::scope(|all| {
            let parts: Vec<_> = names
                .chunks(part)
                .map(|names| all.spawn(|| names.iter().map(|n| self.known_one(n, remembered)).collect::<Vec<_>>()))
                .collect();
            let joined = parts.into_iter().zip(names.chunks(part)).map(|(p, names)| {
                // A part that came to nothing is read once more, so that no build is left out.
                p.join().unwrap_or_else(|_| names.iter().map(|n| self.known_one(n, remembered)).collect())
            });
            joined.flatten().collect()
        })
    }

    fn known_one(&self, build: &str, remembered: &Cache) -> Known {
        let path = self.folder(build).join(FILE);
        let stamp = stamp(&path);
        match (remembered.builds.get(build), &stamp) {
            (Some(known), Ok(stamp)) if known.stamp == *stamp => known.clone(),
            _ => Known { stamp: stamp.unwrap_or(Stamp::none()), listing: self.listing(build) },
        }
    }

    fn listing(&self, build: &str) -> Listing {
        let begun = std::time::Instant::now();
        let listing = match self.read(build) {
            Ok(record) => of_record(build, &record),
            Err(error) => Listing { build: build.to_owned(), problem: Some(error.to_string()), ..Listing::default() },
        };
        Listing { read_ms: u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX), ..listing }
    }

    fn remembered(&self) -> Cache {
        let text = self.cache.as_ref().and_then(|f| fs::read(f).ok()).unwrap_or_default();
        let cache: Cache = serde_json::from_slice(&text).unwrap_or_default();
        if cache.program == program() { cache } else { Cache::default() }
    }

    /// Keeps the list for the next time. Where that is not possible, the next time is slower and nothing else.
    fn remember(&self, before: &Cache, known: &[Known]) {
        let same = before.builds.len() == known.len()
            && known.iter().all(|k| before.builds.get(&k.listing.build).is_some_and(|b| b.stamp == k.stamp));
        let Some((file, folder)) = self.cache.as_ref().and_then(|f| Some((f, f.parent()?))).filter(|_| !same) else {
            return;
        };
        let builds = known.iter().map(|k| (k.listing.build.clone(), k.clone())).collect();
        let cache = Cache { program: program(), builds };
        let written = fs::create_dir_all(folder).and_then(|()| {
            let mut new = NamedTempFile::new_in(folder)?;
            new.write_all(&serde_json::to_vec(&cache)?)?;
            new.persist(file).map_err(|e| e.error)
        });
        let _ = written;
    }

    /// Names copies of one build to each other, and how they stand: the same, ahead, behind, or gone different ways.
    fn name_copies(&self, list: &mut [Listing]) {
        let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (k, listing) in list.iter().enumerate().filter(|(_, l)| !l.first_hash.is_empty()) {
            groups.entry(listing.first_hash.clone()).or_default().push(k);
        }
        for group in groups.into_values().filter(|g| g.len() > 1) {
            if group.len() > MOST_COMPARED {
                let words = format!("one of {} copies of one build", group.len());
                group.iter().for_each(|k| list[*k].copies = vec![words.clone()]);
                continue;
            }
            let records: Vec<Option<Record>> = group.iter().map(|k| self.read(&list[*k].build).ok()).collect();
            for (a, own) in group.iter().zip(&records) {
                let others = group.iter().zip(&records).filter(|(b, _)| *b != a);
                let words = others.map(|(b, other)| match (own, other) {
                    (Some(own), Some(other)) => copy_words(&list[*b].build, relation(own, other)),
                    _ => format!("copy of {}, which cannot be read", list[*b].build),
                });
                let words: Vec<String> = words.collect();
                list[*a].copies = words;
            }
        }
    }
}

fn copy_words(other: &str, relation: Relation) -> String {
    match relation {
        Relation::Same => format!("the same as {other}"),
        Relation::Behind(n) => format!("an older copy of {other}, {n} entries behind it"),
        Relation::Ahead(n) => format!("a copy of {other}, {n} entries ahead of it"),
        Relation::Diverged(n) => {
            format!("DIVERGED from {other} after entry {n}; \"runtrue verify\" with --against shows both")
        }
        Relation::Unrelated => format!("another build than {other}"),
    }
}

fn program() -> String {
    format!("runtrue {} list 1", env!("CARGO_PKG_VERSION"))
}

impl Stamp {
    const fn none() -> Self {
        Self { bytes: 0, changed_ns: 0, end: String::new() }
    }
}

/// Length, time of change, and the last hash, read from the end of the file.
fn stamp(path: &Path) -> std::io::Result<Stamp> {
    const LAST_LINE: u64 = "hash: \n".len() as u64 + 64;
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

fn of_record(build: &str, record: &Record) -> Listing {
    let plan = record.plan();
    let setup: Vec<String> = plan.setup.iter().map(|(k, v)| format!("{k} {v}")).collect();
    let problem = (!record.integrity.whole() || record.integrity.torn_tail > 0).then(|| record.integrity.words());
    Listing {
        build: build.to_owned(),
        module: plan.module.clone(),
        title: plan.title.clone(),
        serial: record.started().serial.clone(),
        setup: setup.join(", "),
        state: Some(record.build_state()),
        last_at: record.events.last().map_or_else(String::new, |e| e.header.at.clone()),
        practice: record.started().practice,
        steps_done: record.steps_done(),
        steps_total: plan.steps.len(),
        due: super::waits::running_waits(record),
        problem,
        first_hash: record.events.first().map_or_else(String::new, |e| e.hash.clone()),
        ..Listing::default()
    }
}
