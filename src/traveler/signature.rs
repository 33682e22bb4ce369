//! A signature of a closed record with an OpenSSH key (SSHSIG), beside the record.
//!
//! Signing and checking are left to `ssh-keygen -Y`: the private key, its passphrase, an agent or a hardware token stay
//! with the program that is made for them and never pass through this one. Signed are the bytes of the record up to and
//! with the close-out, so that anybody can check without this program.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use super::frame;
use super::machine::replace;
use super::record::Record;
use super::store::{FILE, Store, StoreError, Trouble};

/// What a signature is for (`ssh-keygen -n`): one made for something else does not count.
pub const NAMESPACE: &str = "runtrue-record";
/// Folder of the signatures, in the build's.
const FOLDER: &str = "signatures";
const PROGRAM: &str = "ssh-keygen";

/// Why a record was not signed.
#[derive(Debug, thiserror::Error)]
pub enum SignError {
    /// Not closed, not whole.
    #[error("{0}")]
    NotReady(String),
    /// The program that signs cannot be started or refuses.
    #[error("{0}")]
    Program(String),
    /// The file system or the store said no.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// A signature found beside a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// File, from the build's folder.
    pub file: String,
    /// Event of the close-out it is for.
    pub event: u64,
    /// Bytes of the record it is for, from the first.
    pub bytes: u64,
    /// Good or bad; none where it cannot be checked on this machine.
    pub good: Option<bool>,
    /// Who signed, where a list of allowed signers was given and names the key.
    pub signer: Option<String>,
    /// What the checking program said.
    pub said: String,
}

impl Store {
    /// Signs the last close-out of a build with the key in `key` and gives back the signature's file.
    ///
    /// # Errors
    /// [`SignError`] for a record that is not whole or not closed, or a key that `ssh-keygen` refuses.
    pub fn sign(&self, build: &str, key: &Path) -> Result<PathBuf, SignError> {
        let record = self.read(build)?;
        let event = signable(&record)?;
        let folder = self.folder_of(build)?;
        let path = folder.join(FILE);
        let bytes = fs::read(&path).map_err(|e| StoreError::io(&path, e))?;
        let end = end_of(&bytes, event).ok_or_else(|| SignError::NotReady(format!("{build} changed just now")))?;
        let signed = keygen(&["sign", "-n", NAMESPACE, "-f", &key.display().to_string()], &bytes[..end])?;
        if !signed.status.success() {
            return Err(SignError::Program(format!(
                "not signed: {PROGRAM} says: {}",
                String::from_utf8_lossy(&signed.stderr).trim()
            )));
        }
        Ok(self.keep_signature(&record, &folder, event, &signed.stdout)?)
    }

    /// Puts a signature beside the record: whole, or not there.
    pub(super) fn keep_signature(
        &self,
        record: &Record,
        folder: &Path,
        event: u64,
        signature: &[u8],
    ) -> Result<PathBuf, StoreError> {
        let machine = self.machine();
        let beside = folder.join(FOLDER);
        let file = free_name(&beside, event);
        let kept = machine.make_folders(&beside).and_then(|()| {
            replace(machine, &beside.join(format!(".{}.part", std::process::id())), &file, signature)?;
            machine.sync_folder(folder)
        });
        let trouble = |e: std::io::Error| Trouble {
            build: record.build.clone(),
            what: format!("the signature was not kept ({}: {e})", file.display()),
            last: record.events.len() as u64,
            todo: "the record is not touched; free some space or mend the disk, then sign again".into(),
        };
        kept.map(|()| file.clone()).map_err(|e| trouble(e).into())
    }

    /// Every signature beside a record, checked; with a file of allowed signers also whose it is.
    ///
    /// # Errors
    /// [`StoreError`] for a build that is not there or cannot be read from disk.
    pub fn signatures(&self, build: &str, signers: Option<&Path>) -> Result<Vec<Signature>, StoreError> {
        let folder = self.folder_of(build)?;
        let path = folder.join(FILE);
        let bytes = fs::read(&path).map_err(|e| StoreError::io(&path, e))?;
        let Ok(entries) = fs::read_dir(folder.join(FOLDER)) else {
            return Ok(Vec::new());
        };
        let mut names: Vec<String> = entries.filter_map(|e| e.ok()?.file_name().into_string().ok()).collect();
        names.retain(|n| n.ends_with(".sig"));
        names.sort();
        Ok(names.iter().map(|name| checked(&folder.join(FOLDER).join(name), name, &bytes, signers)).collect())
    }
}

/// The event to sign: the close-out of a record that is whole and closed.
fn signable(record: &Record) -> Result<u64, SignError> {
    let build = &record.build;
    if !record.integrity.whole() || record.integrity.torn_tail > 0 {
        return Err(SignError::NotReady(format!("{build} is not signed: {}", record.integrity.words())));
    }
    match record.closeouts().last() {
        Some((event, ..)) if record.is_closed() => Ok(*event),
        _ => Err(SignError::NotReady(format!(
            "{build} is not closed, and only a closed record is signed; close it with \"runtrue finish {build}\""
        ))),
    }
}

/// Where event number `event` ends.
fn end_of(bytes: &[u8], event: u64) -> Option<usize> {
    let index = usize::try_from(event.checked_sub(1)?).ok()?;
    frame::cut(bytes).frames.get(index).map(|f| f.bytes.end)
}

fn free_name(folder: &Path, event: u64) -> PathBuf {
    let plain = folder.join(format!("close-out-{event}.sig"));
    let more = (2..).map(|n| folder.join(format!("close-out-{event}-{n}.sig")));
    std::iter::once(plain.clone()).chain(more).find(|p| !p.exists()).unwrap_or(plain)
}

/// The close-out that a signature's name tells: `close-out-207.sig`, `close-out-207-2.sig`.
fn event_of(name: &str) -> Option<u64> {
    name.strip_prefix("close-out-")?.strip_suffix(".sig")?.split('-').next()?.parse().ok()
}

fn checked(file: &Path, name: &str, bytes: &[u8], signers: Option<&Path>) -> Signature {
    let event = event_of(name).unwrap_or_default();
    let end = end_of(bytes, event);
    let signature = Signature {
        file: format!("{FOLDER}/{name}"),
        event,
        bytes: end.unwrap_or_default() as u64,
        good: Some(false),
        signer: None,
        said: format!("the record has no entry {event}"),
    };
    let Some(end) = end else {
        return signature;
    };
    let sig = file.display().to_string();
    match keygen(&["check-novalidate", "-n", NAMESPACE, "-s", &sig], &bytes[..end]) {
        Err(e) => Signature { good: None, said: e.to_string(), ..signature },
        Ok(output) if output.status.success() => {
            let signer = signers.and_then(|s| signer_of(s, &sig, &bytes[..end]));
            let good = Some(signers.is_none() || signer.is_some());
            let known = if good == Some(false) { "; its key is not among the allowed signers" } else { "" };
            Signature { good, signer, said: words(&output) + known, ..signature }
        }
        Ok(output) => Signature { said: words(&output), ..signature },
    }
}

/// Whose key it is, by a file of allowed signers, and whether that one's signature holds.
fn signer_of(signers: &Path, sig: &str, bytes: &[u8]) -> Option<String> {
    let list = signers.display().to_string();
    let found = keygen(&["find-principals", "-f", &list, "-s", sig], &[]).ok()?;
    let name = String::from_utf8(found.stdout).ok()?.lines().next()?.trim().to_owned();
    let held = keygen(&["verify", "-f", &list, "-I", &name, "-n", NAMESPACE, "-s", sig], bytes).ok()?;
    (found.status.success() && held.status.success()).then_some(name)
}

fn words(output: &Output) -> String {
    let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    String::from_utf8_lossy(&text).trim().replace('\n', "; ")
}

/// Runs `ssh-keygen -Y`, the message on its input.
fn keygen(arguments: &[&str], message: &[u8]) -> Result<Output, SignError> {
    let started = Command::new(PROGRAM)
        .arg("-Y")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn();
    let failed = |e: std::io::Error| {
        SignError::Program(format!("{PROGRAM} cannot be run ({e}); install the OpenSSH client, then try again"))
    };
    let mut child = started.map_err(failed)?;
    if let Some(mut input) = child.stdin.take() {
        // A program that refuses its key closes its input early; what it says then is the reason.
        let _ = input.write_all(message);
    }
    child.wait_with_output().map_err(failed)
}
