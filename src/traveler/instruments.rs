//! The register of measuring instruments.

use std::io::Write;
use std::path::Path;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use crate::quantity::{Amount, Kind};

use super::store::{StoreError, sync_dir};

const FILE: &str = "instruments.yaml";

/// What instruments of the bench measure.
const KINDS: [Kind; 7] =
    [Kind::Length, Kind::Force, Kind::Torque, Kind::Temperature, Kind::Speed, Kind::Time, Kind::Mass];

/// One instrument.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Instrument {
    /// Id, as on its label.
    pub id: String,
    /// Kind, in words.
    pub kind: String,
    /// Range, in words.
    #[serde(default)]
    pub range: Option<String>,
    /// Resolution, with unit.
    #[serde(default)]
    pub resolution: Option<String>,
    /// Expanded uncertainty U, with unit.
    #[serde(default)]
    pub uncertainty: Option<String>,
    /// Calibration due, YYYY-MM-DD.
    #[serde(default)]
    pub due: Option<String>,
    /// No longer used.
    #[serde(default)]
    pub retired: bool,
}

/// All instruments.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Register {
    /// In the order in which they were added.
    pub instruments: Vec<Instrument>,
}

/// What is wrong with an instrument or the register.
#[derive(Debug, thiserror::Error)]
pub enum RegisterError {
    /// The file cannot be read as a register.
    #[error("{path} cannot be read as the register of instruments: {why}")]
    Unreadable {
        /// File.
        path: String,
        /// Why.
        why: String,
    },
    /// The entry cannot be.
    #[error("{0}")]
    Entry(String),
    /// The file system said no.
    #[error(transparent)]
    Store(#[from] StoreError),
}

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
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(Self::default()),
            Err(e) => Err(unreadable(e.to_string())),
        }
    }

    /// The instrument of that id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|i| i.id == id)
    }

    /// Adds an instrument.
    ///
    /// # Errors
    /// [`RegisterError::Entry`] for an id in use, a date or a value with unit that does not read.
    pub fn add(&mut self, instrument: Instrument) -> Result<(), RegisterError> {
        let entry = |why: String| RegisterError::Entry(why);
        if self.find(&instrument.id).is_some() {
            return Err(entry(format!("there is an instrument \"{}\" already", instrument.id)));
        }
        if instrument.id.trim().is_empty()
            || instrument.id.contains(char::is_whitespace)
            || instrument.id.chars().any(char::is_control)
        {
            return Err(entry(format!("\"{}\" cannot be an instrument's id; use one word", instrument.id)));
        }
        if let Some(due) = &instrument.due {
            chrono::NaiveDate::parse_from_str(due, "%Y-%m-%d")
                .map_err(|_| entry(format!("\"{due}\" is not a date; write it like 2027-03-31")))?;
        }
        for text in [&instrument.resolution, &instrument.uncertainty].into_iter().flatten() {
            let read = KINDS.into_iter().find_map(|k| Amount::parse_as(text, k).ok());
            let read =
                read.ok_or_else(|| entry(format!("\"{text}\" is not a value with its unit; write it like 0.005 mm")))?;
            if read.number < Decimal::ZERO {
                return Err(entry(format!("\"{text}\" is less than nothing; write it without a sign, like 0.005 mm")));
            }
        }
        self.instruments.push(instrument);
        Ok(())
    }

    /// Takes an instrument out of use.
    ///
    /// # Errors
    /// [`RegisterError::Entry`] for an unknown id.
    pub fn retire(&mut self, id: &str) -> Result<(), RegisterError> {
        let found = self.instruments.iter_mut().find(|i| i.id == id);
        found.map(|i| i.retired = true).ok_or_else(|| RegisterError::Entry(format!("there is no instrument \"{id}\"")))
    }

    /// Writes the register: a new file, synced, then in the old one's place.
    ///
    /// # Errors
    /// [`RegisterError`].
    pub fn save(&self, home: &Path) -> Result<(), RegisterError> {
        let io = |e: std::io::Error| RegisterError::Store(StoreError::io(home, e));
        std::fs::create_dir_all(home).map_err(io)?;
        let text = serde_yaml::to_string(self).map_err(|e| RegisterError::Entry(e.to_string()))?;
        let mut file = NamedTempFile::new_in(home).map_err(io)?;
        file.write_all(text.as_bytes()).and_then(|()| file.as_file().sync_all()).map_err(io)?;
        file.persist(home.join(FILE)).map_err(|e| io(e.error))?;
        Ok(sync_dir(home)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gauge(id: &str) -> Instrument {
        Instrument {
            id: id.into(),
            kind: "bore gauge".into(),
            range: None,
            resolution: None,
            uncertainty: Some("0.005 mm".into()),
            due: Some("2027-03-31".into()),
            retired: false,
        }
    }

    #[test]
    fn a_register_is_kept_and_found_again() {
        let home = tempfile::tempdir().unwrap();
        let mut register = Register::load(home.path()).unwrap();
        register.add(gauge("BG-1")).unwrap();
        assert!(register.add(gauge("BG-1")).is_err());
        register.retire("BG-1").unwrap();
        register.save(home.path()).unwrap();
        assert!(Register::load(home.path()).unwrap().find("BG-1").unwrap().retired);
    }

    #[test]
    fn what_does_not_read_is_refused() {
        let mut register = Register::default();
        assert!(register.add(Instrument { due: Some("31.3.2027".into()), ..gauge("a") }).is_err());
        assert!(register.add(Instrument { uncertainty: Some("5".into()), ..gauge("b") }).is_err());
        assert!(register.add(gauge("c d")).is_err());
        let negative = register.add(Instrument { uncertainty: Some("-0.5 mm".into()), ..gauge("d") }).unwrap_err();
        assert!(negative.to_string().contains("less than nothing"), "{negative}");
    }
}
