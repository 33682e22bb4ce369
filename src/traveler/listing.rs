//! The list of builds. Of thousands, only those that changed since the last time are read, on every core; a closed record
//! may be listed from its two ends, which is said.

use std::collections::BTreeMap;
use std::fs;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

use super::copies::{Relation, relation};
use super::due::Promised;
use super::ends::{by_ends, by_hashes, origin};
use super::fingerprint::Fingerprint;
use super::progress::Progress;
use super::record::Record;
use super::remembered::{self, Known, Remembered, stamp};
use super::state::BuildState;
use super::store::{FILE, Store, StoreError, may_hold_a_record};

/// From so many builds on it is worth remembering the list, and showing how far it is.
const WORTH: usize = 64;

/// Copies of one build that are compared with each other; more are only counted.
const MOST_COMPARED: usize = 8;

/// From so many milliseconds on a record is told as slow to read.
const SLOW_MS: u64 = 500;

/// How much of a record was read for its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Checked {
    /// Every entry, by its hash.
    #[default]
    Whole,
    /// Only the two ends of a closed record: what lies between is not verified.
    Ends,
}

impl Checked {
    /// The word for programs.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Ends => "ends",
        }
    }
}

/// One line of the list of builds.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Listing {
    /// Folder name.
    pub build: String,
    /// Module id.
    pub module: Arc<str>,
    /// Serial number.
    pub serial: String,
    /// Setup in words.
    pub setup: Arc<str>,
    /// The adopted setup, as people say it.
    #[serde(default)]
    pub adopted: Option<String>,
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
    /// Joints begun and not final, each with the stage it has reached: they look tight and are not.
    #[serde(default)]
    pub half_done: Vec<String>,
    /// What is to be looked at again, and when.
    pub follow: Vec<Promised>,
    /// What is wrong with the record.
    pub problem: Option<String>,
    /// How long the record took to be read the last time, in milliseconds.
    pub read_ms: u64,
    /// Its size in bytes.
    pub bytes: u64,
    /// How much of it was read.
    pub checked: Checked,
    /// The line is from an earlier look: only length, time of change and last hash of the file were looked at now.
    #[serde(skip)]
    pub remembered: bool,
    /// Of its first bytes: two folders with the same one hold copies of one build. None where they could not be read.
    pub origin: Option<Fingerprint>,
    /// Other folders that hold a copy of this build, and how they stand to it.
    #[serde(skip)]
    pub copies: Vec<String>,
}

impl Listing {
    /// True for a record that takes long to read.
    #[must_use]
    pub const fn slow(&self) -> bool {
        self.read_ms >= SLOW_MS
    }
}

/// A setup in a few words, axis by axis: "discs 5, pulley slow".
#[must_use]
pub fn setup_words(setup: &BTreeMap<String, String>) -> String {
    setup.iter().map(|(k, v)| format!("{k} {v}")).collect::<Vec<_>>().join(", ")
}

impl Store {
    /// Of name, length and time of change of every record, without reading one: what tells whether a list of builds is
    /// still true. Of a folder that cannot be read it is that of an empty one; the list says why.
    #[must_use]
    pub fn marks(&self) -> Fingerprint {
        let mark = |name: String| {
            let about = fs::metadata(self.folder(&name).join(FILE)).ok();
            let changed = about.as_ref().and_then(|m| m.modified().ok()?.duration_since(UNIX_EPOCH).ok());
            let (bytes, at) = (about.map_or(0, |m| m.len()), changed.map_or(0, |d| d.as_nanos()));
            // No name holds a slash.
            format!("{name}/{bytes}/{at}/")
        };
        Fingerprint::of_all(self.names().unwrap_or_default().into_iter().map(mark))
    }

    /// Every build with its state, each record read whole unless it is remembered. Never writes into the records.
    ///
    /// # Errors
    /// [`StoreError`] where the folder of the builds cannot be read; a single record that cannot be read is a line of the
    /// list that says so.
    pub fn list(&self) -> Result<Vec<Listing>, StoreError> {
        self.list_to(Checked::Whole, &Progress::default())
    }

    /// The list, read at least so far; `progress` tells others how far it is, and stops it.
    ///
    /// # Errors
    /// As [`Store::list`].
    pub fn list_to(&self, depth: Checked, progress: &Progress) -> Result<Vec<Listing>, StoreError> {
        let names = self.names()?;
        progress.begin(names.len());
        let many = names.len() >= WORTH;
        let mut remembered = if many { Remembered::load(self.cache.as_ref()) } else { Remembered::default() };
        let looked_at = self.look_at(&names, &remembered, depth, progress);
        let stopped = progress.stopped();
        let same = remembered.count() == names.len() && looked_at.values().all(Option::is_none);
        let mut list = if same && !stopped {
            remembered.into_list()
        } else {
            let known =
                looked_at.into_iter().map(|(at, anew)| anew.map_or_else(|| remembered.take(&names[at]), |anew| *anew));
            let known: Vec<Known> = known.collect();
            if many && !stopped {
                remembered::keep(self.cache.as_ref(), &known);
            }
            known.into_iter().map(|k| k.listing).collect()
        };
        self.name_copies(&mut list);
        Ok(list)
    }

    /// True where the list is long enough that it is read beside other work. No more folders are looked at than that takes,
    /// and none where a long list is remembered.
    #[must_use]
    pub fn has_many(&self) -> bool {
        if self.cache.as_ref().is_some_and(|file| file.exists()) {
            return true;
        }
        let entries = fs::read_dir(self.builds()).into_iter().flatten().flatten();
        entries.filter(|entry| may_hold_a_record(&entry.path())).take(WORTH).count() == WORTH
    }

    /// Reads what is not remembered; nothing, in little room, for what is. Each worker takes the next build, so that a slow one holds up no other.
    fn look_at(
        &self,
        names: &[String],
        remembered: &Remembered,
        depth: Checked,
        progress: &Progress,
    ) -> BTreeMap<usize, Option<Box<Known>>> {
        if names.is_empty() {
            return BTreeMap::new();
        }
        // Reading waits for the disk as much as for the processor.
        let workers = std::thread::available_parallelism().map_or(2, |n| n.get() * 2).min(names.len());
        let next = AtomicUsize::new(0);
        let found = Mutex::new(BTreeMap::new());
        let work = || {
            while let Some((at, name)) =
                Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|n| Some((n, names.get(n)?)))
                && !progress.stopped()
            {
                let anew = progress.take(name, || self.read_anew(name, remembered, depth));
                if let Ok(mut found) = found.lock() {
                    found.insert(at, anew);
                }
            }
        };
        std::thread::scope(|all| {
            for _ in 0..workers {
                all.spawn(work);
            }
        });
        found.into_inner().unwrap_or_default()
    }

    /// A build as it is now; nothing where what is remembered of it still holds.
    fn read_anew(&self, build: &str, remembered: &Remembered, depth: Checked) -> Option<Box<Known>> {
        let path = self.folder(build).join(FILE);
        let stamp = stamp(&path);
        let known = stamp.as_ref().ok().and_then(|s| remembered.of(build, s));
        if known.is_some_and(|k| depth == Checked::Ends || k.listing.checked == Checked::Whole) {
            return None;
        }
        let ends = (depth == Checked::Ends).then(|| by_ends(build, &path)).flatten();
        let listing = ends.unwrap_or_else(|| self.listing(build));
        Some(Box::new(Known { stamp: stamp.unwrap_or_default(), listing }))
    }

    fn listing(&self, build: &str) -> Listing {
        let begun = std::time::Instant::now();
        let read = self.bytes_of(build).and_then(|(name, bytes)| {
            if let Some(line) = by_hashes(build, &bytes) {
                return Ok(line);
            }
            let record = Record::read(&name, &bytes).map_err(|e| StoreError::NoRecord(e.to_string()))?;
            Ok(Listing { origin: origin(&bytes), bytes: bytes.len() as u64, ..of_record(build, &record) })
        });
        let listing = read.unwrap_or_else(|error| Listing {
            build: build.to_owned(),
            problem: Some(error.to_string()),
            ..Listing::default()
        });
        Listing { read_ms: u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX), ..listing }
    }

    /// Names copies of one build to each other, and how they stand: the same, ahead, behind, or gone different ways.
    fn name_copies(&self, list: &mut [Listing]) {
        let mut alike: Vec<usize> = (0..list.len()).filter(|k| list[*k].origin.is_some()).collect();
        alike.sort_by_key(|k| list[*k].origin);
        // Few builds have a copy, and every line may be written to below.
        let same = |a: &usize, b: &usize| list[*a].origin == list[*b].origin;
        let groups = alike.chunk_by(same).filter(|g| g.len() > 1).map(<[usize]>::to_vec);
        for group in groups.collect::<Vec<_>>() {
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
        Relation::Unrelated => format!("begins as {other} does, and its start was altered"),
    }
}

fn of_record(build: &str, record: &Record) -> Listing {
    let plan = record.plan();
    let problem = (!record.integrity.whole() || record.integrity.torn_tail > 0).then(|| record.integrity.words());
    Listing {
        build: build.to_owned(),
        module: plan.module.as_str().into(),
        serial: record.started().serial.clone(),
        setup: setup_words(&plan.setup).into(),
        adopted: record.adopted().map(|a| {
            let other = if a.setup == plan.setup { "" } else { ", not in hand" };
            a.said() + other
        }),
        state: Some(record.build_state()),
        last_at: record.events.last().map_or_else(String::new, |e| e.header.at.clone()),
        practice: record.started().practice,
        steps_done: record.steps_done(),
        steps_total: plan.steps.len(),
        due: super::waits::running_waits(record),
        half_done: record
            .open_joints()
            .iter()
            .map(|j| format!("{} {}", j.name, j.reached.unwrap_or("begun")))
            .collect(),
        follow: record.due().iter().map(Promised::from).collect(),
        problem,
        ..Listing::default()
    }
}
