//! The machine under the record: the few acts that change its disk, and its clock.
//!
//! All writing goes through here, so that a test can let any single act fail, come short, or be the last one.

use std::fmt;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use chrono::{DateTime, FixedOffset, Local};

/// What the record asks of the machine it is written on. The methods are the real acts; only tests replace them.
pub trait Machine: fmt::Debug + Send + Sync {
    /// Local time with its offset.
    fn now(&self) -> DateTime<FixedOffset> {
        Local::now().fixed_offset()
    }

    /// Makes a folder and those above it.
    ///
    /// # Errors
    /// What the file system says.
    fn make_folders(&self, path: &Path) -> io::Result<()> {
        fs::create_dir_all(path)
    }

    /// Makes one folder that must not be there yet.
    ///
    /// # Errors
    /// What the file system says; also where it exists.
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        fs::create_dir(path)
    }

    /// Removes a folder with all that is in it.
    ///
    /// # Errors
    /// What the file system says.
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir_all(path)
    }

    /// Removes a file.
    ///
    /// # Errors
    /// What the file system says; also where there is none.
    fn remove_file(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    /// Makes a file that must not be there yet.
    ///
    /// # Errors
    /// What the file system says; also where it exists.
    fn create(&self, path: &Path) -> io::Result<File> {
        File::create_new(path)
    }

    /// Writes all bytes at once.
    ///
    /// # Errors
    /// What the file system says; a part of the bytes may be in the file then.
    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        file.write_all(bytes)
    }

    /// Waits until the bytes of a file are on the disk.
    ///
    /// # Errors
    /// What the file system says.
    fn sync(&self, file: &File) -> io::Result<()> {
        file.sync_data()
    }

    /// Cuts a file and waits until that is on the disk.
    ///
    /// # Errors
    /// What the file system says.
    fn cut(&self, file: &File, length: u64) -> io::Result<()> {
        file.set_len(length).and_then(|()| file.sync_all())
    }

    /// Puts a file in another's place.
    ///
    /// # Errors
    /// What the file system says.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    /// Waits until the entries of a folder are on the disk, where the platform can do that.
    ///
    /// # Errors
    /// What the file system says.
    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        // Folders cannot be opened for syncing everywhere; where they can, a failure counts.
        if cfg!(unix) { File::open(path).and_then(|d| d.sync_all()) } else { Ok(()) }
    }
}

/// The real one.
#[derive(Debug, Clone, Copy)]
pub struct ThisMachine;

impl Machine for ThisMachine {}

/// Puts bytes in the place of a file, or makes it: first whole and synced under the name `beside` in the same folder, then
/// in its place, so that whoever reads it finds the old bytes or the new ones and never a part.
///
/// # Errors
/// What the file system says; the file may then hold the old bytes or the new ones.
pub fn replace(machine: &dyn Machine, beside: &Path, path: &Path, bytes: &[u8]) -> io::Result<()> {
    // One may be left by a program that was stopped.
    match machine.remove_file(beside) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    write_new(machine, beside, bytes)?;
    machine.rename(beside, path)?;
    path.parent().map_or(Ok(()), |folder| machine.sync_folder(folder))
}

/// Writes a new file, its bytes on the disk when it returns.
///
/// # Errors
/// What the file system says.
pub fn write_new(machine: &dyn Machine, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = machine.create(path)?;
    machine.write(&mut file, bytes)?;
    machine.sync(&file)
}
