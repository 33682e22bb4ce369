//! What of a kit is in hand: a list for each module in the data folder, ticked off while it is ordered and packed.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::lock::{self, Denied};
use super::machine::replace;
use super::store::{Store, StoreError};

const FOLDER: &str = "kits";
/// The form of the file, its first line.
const FORM: &str = "kit 1";

/// One line of a kit as ticked off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tick {
    /// Name of the line, for who reads the file.
    pub name: String,
    /// How many are in hand.
    pub have: u32,
    /// When that was noted: local time with its offset.
    pub at: String,
}

/// The lines of one module's kit that were ticked off, by their ids.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ticks {
    lines: BTreeMap<String, Tick>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    runtrue: String,
    module: String,
    have: BTreeMap<String, Tick>,
}

impl Ticks {
    /// How many of a line are in hand.
    #[must_use]
    pub fn have(&self, id: &str) -> u32 {
        self.lines.get(id).map_or(0, |t| t.have)
    }

    /// Lines ticked off that are none of these: a spec that changed asks for them no more.
    pub fn besides<'a>(&'a self, ids: &'a [&str]) -> impl Iterator<Item = (&'a str, &'a Tick)> {
        self.lines.iter().filter(|(id, t)| t.have > 0 && !ids.contains(&id.as_str())).map(|(id, t)| (id.as_str(), t))
    }
}

impl Store {
    fn kit_file(&self, module: &str) -> PathBuf {
        self.root().join(FOLDER).join(format!("{module}.yaml"))
    }

    /// What of a module's kit is in hand; nothing where no list was begun.
    ///
    /// # Errors
    /// [`StoreError`] for a list that is there and cannot be read, and for a name that is no module's.
    pub fn ticks(&self, module: &str) -> Result<Ticks, StoreError> {
        plain(module)?;
        let path = self.kit_file(module);
        let text = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(Ticks::default()),
            Err(e) => return Err(StoreError::io(&path, e)),
        };
        let shown = path.display();
        let broken = |why: String| {
            StoreError::NoRecord(format!(
                "{shown} cannot be read as the list of a kit: {why}; mend it, or move it away and tick off anew"
            ))
        };
        let file: File = serde_yaml::from_str(&text).map_err(|e| broken(e.to_string()))?;
        if file.runtrue != FORM {
            return Err(broken(format!("it says \"runtrue: {}\", this program reads \"{FORM}\"", file.runtrue)));
        }
        Ok(Ticks { lines: file.have })
    }

    /// Notes how many of some lines are in hand: (id, name, number), each in place of what was noted before. Read, changed and
    /// written under one lock; the new list is on the disk before the old one's place is given to it.
    ///
    /// # Errors
    /// [`StoreError`]; the list then is as it was, or, where only the last sync failed, as it was to be.
    pub fn tick(&self, module: &str, lines: &[(&str, &str, u32)]) -> Result<Ticks, StoreError> {
        plain(module)?;
        let folder = self.root().join(FOLDER);
        self.machine.make_folders(&folder).map_err(|e| StoreError::io(&folder, e))?;
        let lock = folder.join(format!("{module}.lock"));
        let _lock = lock::wait_for(&lock).map_err(|denied| match denied {
            Denied::CannotOpen(e) | Denied::CannotLock(e) => StoreError::io(&lock, e),
            Denied::Held(who) => StoreError::Locked(format!("the list is open in another program ({who})")),
        })?;
        let mut ticks = self.ticks(module)?;
        let at = self.machine.now().to_rfc3339_opts(chrono::SecondsFormat::Millis, false);
        for (id, name, have) in lines {
            ticks.lines.insert((*id).to_owned(), Tick { name: (*name).to_owned(), have: *have, at: at.clone() });
        }
        self.write_ticks(module, &ticks)?;
        Ok(ticks)
    }

    fn write_ticks(&self, module: &str, ticks: &Ticks) -> Result<(), StoreError> {
        let path = self.kit_file(module);
        let file = File { runtrue: FORM.into(), module: module.to_owned(), have: ticks.lines.clone() };
        let text = serde_yaml::to_string(&file).map_err(|e| StoreError::NoRecord(e.to_string()))?;
        let folder = self.root().join(FOLDER);
        let beside = folder.join(format!(".{module}.part"));
        replace(&*self.machine, &beside, &path, text.as_bytes()).map_err(|e| StoreError::io(&path, e))
    }
}

/// A module's id names a file: nothing else may.
fn plain(module: &str) -> Result<(), StoreError> {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if !module.is_empty() && module.chars().all(fits) {
        return Ok(());
    }
    Err(StoreError::NoRecord(format!("\"{module}\" is no module's id; ids are lower case letters, digits and hyphens")))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use std::io;
    use std::path::Path;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::super::machine::Machine;
    use super::*;

    fn store(home: &Path) -> Store {
        Store::locate(Some(home)).unwrap()
    }

    #[test]
    fn what_is_ticked_off_is_kept_and_taken_back() {
        let home = tempfile::tempdir().unwrap();
        let store = store(home.path());
        assert_eq!(store.ticks("wheel").unwrap(), Ticks::default());
        store.tick("wheel", &[("nut-m8-rods", "Nut", 12), ("chalk", "Chalk", 1)]).unwrap();
        let ticks = store.tick("wheel", &[("chalk", "Chalk", 0)]).unwrap();
        assert_eq!((ticks.have("nut-m8-rods"), ticks.have("chalk"), ticks.have("else")), (12, 0, 0));
        assert_eq!(store.ticks("wheel").unwrap(), ticks);
        assert_eq!(store.ticks("shaft").unwrap(), Ticks::default(), "another module's list");
        let left: Vec<&str> = ticks.besides(&["chalk"]).map(|(id, _)| id).collect();
        assert_eq!(left, ["nut-m8-rods"]);
    }

    #[test]
    fn a_list_that_does_not_read_is_told_and_not_written_over() {
        let home = tempfile::tempdir().unwrap();
        let store = store(home.path());
        store.tick("wheel", &[("chalk", "Chalk", 1)]).unwrap();
        let path = home.path().join("kits/wheel.yaml");
        for text in ["have: [", "runtrue: kit 9\nmodule: wheel\nhave: {}\n"] {
            fs::write(&path, text).unwrap();
            assert!(store.ticks("wheel").unwrap_err().to_string().contains("wheel.yaml"));
            assert!(store.tick("wheel", &[("chalk", "Chalk", 2)]).is_err());
            assert_eq!(fs::read_to_string(&path).unwrap(), text);
        }
        for name in ["", "../x", "a/b", "A"] {
            assert!(store.ticks(name).is_err() && store.tick(name, &[]).is_err(), "{name}");
        }
    }

    #[test]
    fn what_two_programs_tick_off_at_once_is_kept() {
        let home = tempfile::tempdir().unwrap();
        std::thread::scope(|all| {
            for n in 0..8 {
                let store = store(home.path());
                all.spawn(move || store.tick("wheel", &[(&format!("line-{n}"), "Line", n + 1)]).unwrap());
            }
        });
        let ticks = store(home.path()).ticks("wheel").unwrap();
        assert!((0..8).all(|n| ticks.have(&format!("line-{n}")) == n + 1), "{ticks:?}");
    }

    /// A machine whose act number `at` is refused; a refused write leaves half of it, as on a full disk.
    #[derive(Debug)]
    struct Failing {
        at: usize,
        acts: AtomicUsize,
    }

    impl Failing {
        fn refuses(&self) -> io::Result<()> {
            let now = self.acts.fetch_add(1, Ordering::SeqCst);
            if now == self.at { Err(io::Error::other("refused")) } else { Ok(()) }
        }
    }

    impl Machine for Failing {
        fn make_folders(&self, path: &Path) -> io::Result<()> {
            self.refuses().and_then(|()| fs::create_dir_all(path))
        }
        fn create(&self, path: &Path) -> io::Result<fs::File> {
            self.refuses().and_then(|()| fs::File::create_new(path))
        }
        fn write(&self, file: &mut fs::File, bytes: &[u8]) -> io::Result<()> {
            use std::io::Write;
            let refused = self.refuses();
            let n = if refused.is_err() { bytes.len() / 2 } else { bytes.len() };
            file.write_all(&bytes[..n]).and(refused)
        }
        fn sync(&self, file: &fs::File) -> io::Result<()> {
            self.refuses().and_then(|()| file.sync_data())
        }
        fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
            self.refuses().and_then(|()| fs::rename(from, to))
        }
        fn sync_folder(&self, _: &Path) -> io::Result<()> {
            self.refuses()
        }
    }

    #[test]
    fn whatever_act_fails_the_list_is_the_old_or_the_new_one_and_the_next_try_works() {
        let mut failed = 0;
        for at in 0..6 {
            let home = tempfile::tempdir().unwrap();
            let good = store(home.path());
            good.tick("wheel", &[("chalk", "Chalk", 1)]).unwrap();
            let bad = good.on(Arc::new(Failing { at, acts: AtomicUsize::new(0) }));
            failed += usize::from(bad.tick("wheel", &[("chalk", "Chalk", 2)]).is_err());
            let have = good.ticks("wheel").unwrap().have("chalk");
            // Only behind the rename is it the new one.
            assert_eq!(have, if at < 5 { 1 } else { 2 }, "act {at}");
            assert_eq!(good.tick("wheel", &[("chalk", "Chalk", 3)]).unwrap().have("chalk"), 3);
        }
        assert_eq!(failed, 6);
    }
}
