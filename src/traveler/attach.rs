//! Notes, and files kept with a step: a copy in the build's folder, its size and hash in the record.

use std::fs;
use std::path::{Component, Path};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::enter::{EntryError, no_step, refused};
use super::event::Body;
use super::machine::replace;
use super::record::Record;
use super::session::Session;
use super::store::{StoreError, initials_fit};

/// Folder of the copies, inside the build's folder.
const FOLDER: &str = "attachments";

/// The largest file that is taken, 64 MiB: a record that is carried on a stick stays light.
const LARGEST: u64 = 64 << 20;

/// What to do where a copy could not be written.
const TODO: &str = "free some space or mend the disk, then keep the file once more";

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Noted {
    /// Step id.
    pub step: String,
    /// Text.
    pub text: String,
}

/// A file kept with a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Attached {
    /// Step id.
    pub step: String,
    /// What it shows.
    pub text: String,
    /// Place of the copy inside the build's folder.
    pub file: String,
    /// Its size.
    pub bytes: u64,
    /// SHA-256 of its bytes.
    pub sha256: String,
}

/// Whether the copy of an attachment is still as it was kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CopyState {
    /// Size and hash are those of the record.
    Unchanged,
    /// Another size or hash.
    Changed,
    /// Not there, or not to be read.
    Missing,
}

impl CopyState {
    /// In words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unchanged => "unchanged",
            Self::Changed => "changed",
            Self::Missing => "missing",
        }
    }
}

impl Session {
    /// Copies a file into the build's folder, then keeps its name, size and hash with a step. The file itself stays.
    ///
    /// # Errors
    /// [`EntryError`]: the record is closed, there is no such step, the words are empty, the file cannot be read, is no
    /// plain file, is empty or larger than 64 MiB; or the disk says no. Nothing is recorded then.
    pub fn attach(&mut self, step: &str, source: &Path, text: &str, by: &str) -> Result<u64, EntryError> {
        initials_fit(by)?;
        self.refuse_closed()?;
        if self.record().step(step).is_none() {
            return Err(no_step(self.record(), step));
        }
        if text.trim().is_empty() {
            return Err(refused("say in a few words what the file shows"));
        }
        let bytes = read_whole(source)?;
        let number = self.record().events.len() + 1;
        let file = format!("{FOLDER}/entry-{number}-{}", plain_name(source));
        self.keep_copy(&file, &bytes)?;
        let body = Attached {
            step: step.to_owned(),
            text: text.to_owned(),
            file,
            bytes: bytes.len() as u64,
            sha256: hash(&bytes),
        };
        Ok(self.append(by, Body::Attached(body))?)
    }

    /// The copy is on the disk before the record speaks of it. One left by an entry that failed then is replaced.
    fn keep_copy(&self, file: &str, bytes: &[u8]) -> Result<(), EntryError> {
        let path = self.folder().join(file);
        let folder = self.folder().join(FOLDER);
        let machine = self.machine();
        let written = machine.make_folders(&folder).and_then(|()| {
            replace(machine, &folder.join(".part"), &path, bytes)?;
            machine.sync_folder(self.folder())
        });
        let what = |e| format!("the file was not kept ({}: {e})", path.display());
        Ok(written.map_err(|e| StoreError::from(self.trouble(what(e), TODO)))?)
    }
}

fn read_whole(source: &Path) -> Result<Vec<u8>, EntryError> {
    let cannot = |e: std::io::Error| refused(format!("{} cannot be read: {e}", source.display()));
    let data = fs::metadata(source).map_err(cannot)?;
    if !data.is_file() {
        return Err(refused(format!("{} is no file", source.display())));
    }
    if data.len() > LARGEST {
        return Err(refused(format!(
            "{} has {} bytes; the largest that is kept has {LARGEST}, make it smaller",
            source.display(),
            data.len()
        )));
    }
    let bytes = fs::read(source).map_err(cannot)?;
    if bytes.is_empty() { Err(refused(format!("{} is empty", source.display()))) } else { Ok(bytes) }
}

/// A name that every file system takes: letters, digits, point, hyphen; the last 60 characters of it, for the ending.
fn plain_name(source: &Path) -> String {
    let name = source.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let plain: Vec<char> =
        name.chars().map(|c| if c.is_ascii_alphanumeric() || matches!(c, '.' | '-') { c } else { '-' }).collect();
    let from = plain.len().saturating_sub(60);
    plain[from..].iter().collect::<String>().trim_start_matches('.').to_owned()
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

impl Record {
    /// Files kept with the build, oldest first.
    #[must_use]
    pub fn attachments(&self) -> Vec<&Attached> {
        let kept = self.events.iter().filter_map(|e| match &e.body {
            Body::Attached(a) => Some(a),
            _ => None,
        });
        kept.collect()
    }
}

/// Looks at the copy of an attachment in a build's folder. Never leaves that folder, whatever the record says.
#[must_use]
pub fn copy_state(folder: &Path, kept: &Attached) -> CopyState {
    let inside = Path::new(&kept.file).components().all(|c| matches!(c, Component::Normal(_)));
    // Asked before anything is read: a place outside may be a device that never ends.
    match inside.then(|| fs::read(folder.join(&kept.file)).ok()).flatten() {
        None => CopyState::Missing,
        Some(bytes) if bytes.len() as u64 == kept.bytes && hash(&bytes) == kept.sha256 => CopyState::Unchanged,
        Some(_) => CopyState::Changed,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use super::*;

    #[test]
    fn names_are_made_plain_and_keep_their_ending() {
        assert_eq!(plain_name(Path::new("/tmp/Bild 3 (groß).JPG")), "Bild-3--gro--.JPG");
        assert_eq!(plain_name(Path::new("/x/.profile")), "profile");
        let long = "a".repeat(200) + ".png";
        assert!(plain_name(Path::new(&long)).ends_with(".png") && plain_name(Path::new(&long)).len() == 60);
    }

    proptest::proptest! {
        #![proptest_config(proptest::test_runner::Config { cases: 256, rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_127), failure_persistence: None, ..Default::default() })]
        /// Whatever a file or a build is called: its copy and its folder are one plain component.
        #[test]
        fn no_name_leaves_its_folder(name in "\\PC{0,40}|[A-Za-z0-9-]{1,40}|[./\\\\:~ -]{1,12}|(\\.\\./){1,3}etc") {
            let one = |n: &str| Path::new(n).components().eq([Component::Normal(n.as_ref())]) && !n.contains(['/', '\\', ':']);
            let copy = format!("entry-7-{}", plain_name(Path::new(&name)));
            proptest::prop_assert!(one(&copy), "{copy}");
            let folder = format!("flywheel-{name}");
            let fits = super::super::store::serial_fits(&name).is_ok();
            proptest::prop_assert!(!fits || one(&folder), "{folder}");
            // What is no more than letters, digits and hyphens is not refused, so that folders are looked at above.
            let plain = (1..=32).contains(&name.len()) && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
            proptest::prop_assert_eq!(fits, plain && !name.starts_with('-'), "{}", name);
        }
    }

    #[test]
    fn a_record_that_points_outside_its_folder_finds_nothing() {
        let home = tempfile::tempdir().unwrap();
        std::fs::write(home.path().join("secret"), "x").unwrap();
        let folder = home.path().join("build");
        std::fs::create_dir(&folder).unwrap();
        for file in ["../secret", "/etc/passwd"] {
            let kept = Attached { step: "s".into(), text: "t".into(), file: file.into(), bytes: 1, sha256: hash(b"x") };
            assert_eq!(copy_state(&folder, &kept), CopyState::Missing, "{file}");
        }
    }
}
