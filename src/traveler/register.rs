//! The register of instruments as a file: read, changed and written under one lock, never half written.

use std::io;
use std::path::Path;

use super::instruments::{Register, RegisterError};
use super::lock::{self, Denied};
use super::machine::replace;
use super::store::Store;

/// The file, in the home folder.
const FILE: &str = "instruments.yaml";

impl Register {
    /// Reads the register of a home folder; none is an empty one.
    ///
    /// # Errors
    /// [`RegisterError::Unreadable`].
    pub fn load(home: &Path) -> Result<Self, RegisterError> {
        let path = home.join(FILE);
        let unreadable = |why: String| RegisterError::Unreadable { path: path.display().to_string(), why };
        match std::fs::read_to_string(&path) {
            Ok(text) => serde_yaml::from_str(&text).map_err(|e| unreadable(e.to_string())),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Self::default()),
            Err(e) => Err(unreadable(e.to_string())),
        }
    }
}

impl Store {
    /// Changes the register of the home folder: read, changed and written under one lock, so that of two programs that do
    /// so at once neither loses what the other wrote.
    ///
    /// # Errors
    /// [`RegisterError`]; where the disk said no, with what the register holds now.
    pub fn change_register(
        &self,
        change: impl FnOnce(&mut Register) -> Result<(), RegisterError>,
    ) -> Result<Register, RegisterError> {
        let (home, machine) = (self.root(), self.machine());
        let path = home.join(FILE);
        machine.make_folders(home).map_err(|e| untouched("the register was not changed", home, &e))?;
        let lock = home.join("instruments.lock");
        let _lock = lock::wait_for(&lock).map_err(|denied| match denied {
            Denied::CannotOpen(e) | Denied::CannotLock(e) => untouched("the register cannot be locked", &lock, &e),
            Denied::Held(who) => RegisterError::Entry(format!("the register is open in another program ({who})")),
        })?;
        let before = Register::load(home)?;
        let mut register = before.clone();
        change(&mut register)?;
        let text = serde_yaml::to_string(&register).map_err(|e| RegisterError::Entry(e.to_string()))?;
        let written = replace(machine, &home.join(".instruments.part"), &path, text.as_bytes());
        match written {
            Ok(()) => Ok(register),
            Err(error) => Err(RegisterError::Trouble {
                what: what("the register was not written", &path, &error),
                kept: stands(home, &before, &register),
                todo: TODO.into(),
            }),
        }
    }
}

const TODO: &str =
    "free some space or mend the disk, look with \"runtrue instruments\", and enter it again where it is missing";

fn what(words: &str, path: &Path, error: &io::Error) -> String {
    format!("{words} ({}: {error})", path.display())
}

fn untouched(words: &str, path: &Path, error: &io::Error) -> RegisterError {
    RegisterError::Trouble {
        what: what(words, path, error),
        kept: "it stands as it was".into(),
        todo: "give this user the right to write there, or mend the disk, then enter it again".into(),
    }
}

/// Which of the two the register holds: asked of the disk, since an act told as failed may have been done.
fn stands(home: &Path, before: &Register, after: &Register) -> String {
    match Register::load(home) {
        Ok(now) if now == *before => format!("it stands as it was, with {} instruments", now.instruments.len()),
        Ok(now) if now == *after => "it holds the change, but the disk did not confirm that this lasts".into(),
        Ok(_) => "it holds something else, written by another program".into(),
        Err(e) => format!("it cannot be read now ({e})"),
    }
}
