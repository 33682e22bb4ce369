//! Where the records are kept: one folder a build, one file in it that counts.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use directories::ProjectDirs;

use crate::module::near::{or_near, some_of};
use crate::procedure::plan::Plan;

use super::event::{Body, FORMAT, Started};
use super::frame;
use super::machine::{Machine, ThisMachine, write_new};
use super::record::Record;
use super::remembered::plain;
use super::session::Session;
use super::state::Integrity;

/// The file that counts.
pub const FILE: &str = "traveler.yaml";

/// For version control: line ends are never converted, and two copies are never merged into one.
const ATTRIBUTES: &[u8] = b"* -text\ntraveler.yaml -merge\n";

/// Builds named where one was asked for that is not there.
const MOST_NAMED: usize = 20;

/// Why the store refuses.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// No folder could be found for the data.
    #[error("no folder for the records is known on this machine; name one with --home or RUNTRUE_HOME")]
    NoHome,
    /// The file system said no.
    #[error("{path}: {error}")]
    Io {
        /// Which file or folder.
        path: String,
        /// What it said.
        error: std::io::Error,
    },
    /// A serial number that cannot be.
    #[error("\"{0}\" cannot be a serial number; use letters, digits and hyphens, a letter or digit first, at most 32")]
    Serial(String),
    /// Initials that cannot be.
    #[error("\"{0}\" cannot be initials; use letters, digits and hyphens, at most 16")]
    Initials(String),
    /// A one-person build without its reason.
    #[error("a one-person build is declared with its reason")]
    AloneWhy,
    /// The folder exists.
    #[error("{0}")]
    Exists(String),
    /// No such build, and what there is.
    #[error("there is no build \"{0}\"; the builds are: {1}")]
    NoBuild(String, String),
    /// The file is no record.
    #[error("{0}")]
    NoRecord(String),
    /// Another program writes it.
    #[error("{0}")]
    Locked(String),
    /// Not to be written.
    #[error("{build} is read-only: {why}")]
    ReadOnly {
        /// Build.
        build: String,
        /// Why.
        why: String,
    },
    /// A build that could not be started.
    #[error(
        "{build} was not started ({what}); no entry of it is kept; free some space, mend the disk or give this user the right to write there, then start it again"
    )]
    NotStarted {
        /// Build.
        build: String,
        /// What happened, and at which file.
        what: String,
    },
    /// Writing went wrong.
    #[error(transparent)]
    Trouble(#[from] Trouble),
}

/// What a fitter needs to hear when writing went wrong: what happened and where, what is kept, what to do now.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{build}: {what}; entry {last} is the last one kept; {todo}")]
pub struct Trouble {
    /// Build.
    pub build: String,
    /// What happened, and at which file.
    pub what: String,
    /// Number of the last entry that is on the disk.
    pub last: u64,
    /// What to do now.
    pub todo: String,
}

impl StoreError {
    /// The same, of a build that could not be started.
    fn at_start(self, build: &str) -> Self {
        let what = match self {
            Self::Io { path, error } => format!("{path}: {error}"),
            Self::Trouble(trouble) => trouble.what,
            other => return other,
        };
        Self::NotStarted { build: build.to_owned(), what }
    }

    pub(super) fn io(path: &Path, error: std::io::Error) -> Self {
        Self::Io { path: path.display().to_string(), error }
    }
}

/// The folder of all records.
#[derive(Debug, Clone)]
pub struct Store {
    root: PathBuf,
    pub(super) machine: Arc<dyn Machine>,
    pub(super) cache: Option<PathBuf>,
}

/// What starts a build.
#[derive(Debug, Clone)]
pub struct Start {
    /// The rendered plan.
    pub plan: Plan,
    /// The spec's text.
    pub spec_text: String,
    /// File or built-in name of the spec.
    pub spec_name: String,
    /// Serial number.
    pub serial: String,
    /// Initials.
    pub by: String,
    /// Practice build.
    pub practice: bool,
    /// One person's build: why.
    pub alone: Option<String>,
}

impl Store {
    /// The folder named, else `$RUNTRUE_HOME`, else the platform's data folder.
    ///
    /// # Errors
    /// [`StoreError::NoHome`].
    pub fn locate(home: Option<&Path>) -> Result<Self, StoreError> {
        if let Some(home) = home {
            return Ok(Self::at(home.to_owned()));
        }
        if let Some(home) = std::env::var_os("RUNTRUE_HOME").filter(|h| !h.is_empty()) {
            return Ok(Self::at(PathBuf::from(home)));
        }
        let dirs = ProjectDirs::from("", "", "runtrue").ok_or(StoreError::NoHome)?;
        Ok(Self::at(dirs.data_dir().to_owned()))
    }

    fn at(root: PathBuf) -> Self {
        let cache = super::remembered::cache_file(&root);
        Self { root, machine: Arc::new(ThisMachine), cache }
    }

    /// The same folder, its list never remembered; for tests.
    #[cfg(test)]
    pub(crate) fn forgetful(self) -> Self {
        Self { cache: None, ..self }
    }

    /// The same folder, written by another machine; for tests.
    #[cfg(test)]
    pub(super) fn on(&self, machine: Arc<dyn Machine>) -> Self {
        Self { root: self.root.clone(), machine, cache: None }
    }

    /// The folder.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The machine it is written on.
    pub(super) fn machine(&self) -> &dyn Machine {
        self.machine.as_ref()
    }

    pub(super) fn builds(&self) -> PathBuf {
        self.root.join("builds")
    }

    /// Folder of a build.
    #[must_use]
    pub fn folder(&self, build: &str) -> PathBuf {
        self.builds().join(build)
    }

    /// Names of the builds, in order; none where there is no folder yet.
    ///
    /// # Errors
    /// [`StoreError::Io`] for a folder that is there and cannot be read.
    pub fn names(&self) -> Result<Vec<String>, StoreError> {
        let folder = self.builds();
        let entries = match fs::read_dir(&folder) {
            Ok(entries) => entries,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(e) => return Err(StoreError::io(&folder, e)),
        };
        let mut names = Vec::new();
        for entry in entries {
            let entry = entry.map_err(|e| StoreError::io(&folder, e))?;
            if may_hold_a_record(&entry.path()) {
                // A name that is no text is shown as well as it goes; its record is told as one that cannot be read.
                names.push(entry.file_name().to_string_lossy().into_owned());
            }
        }
        names.sort();
        Ok(names)
    }

    /// Reads a record. Never writes. A build is one of the folder's, or a path to a folder that holds a record.
    ///
    /// # Errors
    /// [`StoreError`] for a build that is not there or no record.
    pub fn read(&self, build: &str) -> Result<Record, StoreError> {
        let (name, bytes) = self.bytes_of(build)?;
        Record::read(&name, &bytes).map_err(|e| StoreError::NoRecord(e.to_string()))
    }

    /// Name of the folder and bytes of the record.
    pub(super) fn bytes_of(&self, build: &str) -> Result<(String, Vec<u8>), StoreError> {
        let folder = self.folder_of(build)?;
        let path = folder.join(FILE);
        let bytes = plain(&path).and_then(|()| fs::read(&path)).map_err(|e| StoreError::io(&path, e))?;
        let name = folder.file_name().map_or_else(|| build.to_owned(), |n| n.to_string_lossy().into_owned());
        Ok((name, bytes))
    }

    /// How whole the file of a build is, said also where [`Store::read`] cannot read it. Never writes.
    ///
    /// # Errors
    /// [`StoreError`] for a build that is not there or a file that cannot be read from disk.
    pub fn integrity(&self, build: &str) -> Result<Integrity, StoreError> {
        Ok(Record::integrity_of(&self.bytes_of(build)?.1))
    }

    /// The folder to read a build from: one of the builds, or a path that was written as one and holds a record.
    ///
    /// # Errors
    /// [`StoreError::NoBuild`].
    pub fn folder_of(&self, build: &str) -> Result<PathBuf, StoreError> {
        let path = Path::new(build);
        let folder = if path.file_name().is_some_and(|n| n == FILE) { path.parent() } else { Some(path) };
        match folder {
            Some(folder) if build.contains(['/', '\\']) && folder.join(FILE).exists() => {
                folder.canonicalize().map_err(|e| StoreError::io(folder, e))
            }
            _ => Ok(self.folder(&self.known(build)?)),
        }
    }

    /// A build's name, proved to be one of the folders: nothing leaves the folder of the builds.
    fn known(&self, build: &str) -> Result<String, StoreError> {
        // One folder is asked for, not all: a name that is one plain component stays where the builds are.
        let plain = Path::new(build).components().eq([std::path::Component::Normal(build.as_ref())]);
        if plain && may_hold_a_record(&self.folder(build)) {
            return Ok(build.to_owned());
        }
        let names = self.names().unwrap_or_default();
        let near = or_near(build, names.iter().map(String::as_str));
        let list = some_of(&names, MOST_NAMED, "\"runtrue builds\" lists them all") + &near;
        Err(StoreError::NoBuild(build.to_owned(), list))
    }

    /// Opens a build for writing: takes the lock, sets a torn tail aside.
    ///
    /// # Errors
    /// [`StoreError`]; a record altered anywhere opens read-only, which is an error here.
    pub fn resume(&self, build: &str) -> Result<Session, StoreError> {
        let folder = self.folder(&self.known(build)?);
        Session::open(build, &folder, &self.machine)
    }

    /// Starts a build: folder, first event, lock. A start that was stopped before its first event was whole is taken up
    /// again.
    ///
    /// # Errors
    /// [`StoreError`] for a serial or initials that cannot be, or a folder that exists.
    pub fn start(&self, start: Start) -> Result<Session, StoreError> {
        serial_fits(&start.serial)?;
        initials_fit(&start.by)?;
        if start.alone.as_ref().is_some_and(|reason| reason.trim().is_empty()) {
            return Err(StoreError::AloneWhy);
        }
        let build = format!("{}-{}", start.plan.module, start.serial).to_lowercase();
        let folder = self.folder(&build);
        self.refuse_existing(&build, &folder, &start)?;
        let body = Body::Started(Box::new(Started {
            format: FORMAT,
            program: format!("runtrue {}", env!("CARGO_PKG_VERSION")),
            serial: start.serial,
            practice: start.practice,
            alone: start.alone,
            spec_name: start.spec_name,
            spec: start.spec_text,
            plan: Arc::new(start.plan),
        }));
        let is_new = !folder.exists();
        let refused = |e: StoreError| e.at_start(&build);
        let builds = self.builds();
        self.machine.make_folders(&builds).map_err(|e| refused(StoreError::io(&builds, e)))?;
        if is_new {
            self.machine.make_folder(&folder).map_err(|e| refused(StoreError::io(&folder, e)))?;
        }
        let made = self.fill(&build, &folder, &start.by, &body).map_err(refused);
        if made.is_err() && is_new {
            // A start that failed leaves nothing that stands in the way of the next; nobody else can have used the
            // folder, it was made just now. The reason why it failed is told, not whether clearing up went well.
            let _ = self.machine.remove_folder(&folder);
        }
        made
    }

    fn fill(&self, build: &str, folder: &Path, by: &str, body: &Body) -> Result<Session, StoreError> {
        let attributes = folder.join(".gitattributes");
        if !attributes.exists() {
            write_new(self.machine.as_ref(), &attributes, ATTRIBUTES).map_err(|e| StoreError::io(&attributes, e))?;
        }
        let session = Session::create(build, folder, by, body, &self.machine)?;
        for dir in [folder, &self.builds(), &self.root] {
            self.machine.sync_folder(dir).map_err(|e| StoreError::io(dir, e))?;
        }
        Ok(session)
    }

    fn refuse_existing(&self, build: &str, folder: &Path, start: &Start) -> Result<(), StoreError> {
        if !folder.exists() || never_started(folder) {
            return Ok(());
        }
        let what = match self.read(build) {
            Ok(r) => format!(
                "the build {build} exists: module {}, serial {}; go on with \"runtrue resume {build}\" or choose another serial number than {}",
                r.plan().module,
                r.started().serial,
                start.serial
            ),
            Err(_) => format!(
                "the folder {} exists and holds no record; look into it, or choose another serial number",
                folder.display()
            ),
        };
        Err(StoreError::Exists(what))
    }
}

/// False where there certainly is no record; a folder that may not be looked into may hold one, and is told.
pub(super) fn may_hold_a_record(folder: &Path) -> bool {
    use std::io::ErrorKind::{NotADirectory, NotFound};
    folder.join(FILE).symlink_metadata().map_or_else(|e| !matches!(e.kind(), NotFound | NotADirectory), |_| true)
}

/// True for a folder that holds only what a start makes before its first event is whole: nothing in it was ever said to
/// be kept.
fn never_started(folder: &Path) -> bool {
    let Ok(mut entries) = fs::read_dir(folder) else {
        return false;
    };
    let ours = |name: &str| [FILE, ".gitattributes", "writer.lock", "set-aside"].contains(&name);
    let only_ours = entries.all(|e| e.is_ok_and(|e| e.file_name().to_str().is_some_and(ours)));
    let no_event = match fs::read(folder.join(FILE)) {
        Ok(bytes) => frame::cut(&bytes).frames.is_empty(),
        Err(e) => e.kind() == std::io::ErrorKind::NotFound,
    };
    only_ours && no_event
}

/// Letters, digits, hyphens; never cleaned.
///
/// # Errors
/// [`StoreError::Serial`].
pub fn serial_fits(serial: &str) -> Result<(), StoreError> {
    if word_fits(serial, 32) { Ok(()) } else { Err(StoreError::Serial(serial.to_owned())) }
}

/// Letters, digits, hyphens.
///
/// # Errors
/// [`StoreError::Initials`].
pub fn initials_fit(initials: &str) -> Result<(), StoreError> {
    if word_fits(initials, 16) { Ok(()) } else { Err(StoreError::Initials(initials.to_owned())) }
}

fn word_fits(word: &str, most: usize) -> bool {
    (1..=most).contains(&word.len())
        && word.starts_with(|c: char| c.is_ascii_alphanumeric())
        && word.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
}
