//! The register of measuring instruments.

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use crate::module::near::or_near;
use crate::quantity::{Amount, Kind, Unit};

use super::event::Used;
use super::store::StoreError;

/// What instruments of the bench measure.
const KINDS: [Kind; 10] = [
    Kind::Length,
    Kind::Force,
    Kind::Torque,
    Kind::Temperature,
    Kind::Speed,
    Kind::Time,
    Kind::Mass,
    Kind::Frequency,
    Kind::Angle,
    Kind::Velocity,
];

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
    /// Found to measure wrongly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub faulty: Option<Faulty>,
}

/// An instrument found to measure wrongly: what was read with it is in doubt.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Faulty {
    /// From which day on its readings are in doubt, YYYY-MM-DD: the day it was last known to be good. None: all of them.
    #[serde(default)]
    pub since: Option<String>,
    /// What is wrong with it.
    pub reason: String,
    /// Who found out.
    pub by: String,
    /// When that was entered.
    pub at: String,
}

impl Faulty {
    /// True for a reading of that time, as events carry it.
    #[must_use]
    pub fn doubts(&self, at: &str) -> bool {
        let day = at.get(..10).unwrap_or(at);
        self.since.as_deref().is_none_or(|since| day >= since)
    }
}

impl Instrument {
    /// True if its calibration was due before that day, YYYY-MM-DD.
    #[must_use]
    pub fn overdue(&self, today: &str) -> bool {
        self.due.as_deref().is_some_and(|due| due < today)
    }

    /// Expanded uncertainty in a unit: a width, so that a scale which does not start at zero (°F) does not shift it. None
    /// where nothing is stated or it is of another kind.
    #[must_use]
    pub fn uncertainty_in(&self, to: &'static Unit) -> Option<Decimal> {
        width(self.uncertainty.as_deref()?, to)
    }
}

/// A width as stated ("0.005 mm", "1 K", "1.8 °F") in another unit of its kind; none where it is of another kind.
pub(super) fn width(stated: &str, to: &'static Unit) -> Option<Decimal> {
    let amount = Amount::parse_as(&kelvin_as_degrees(stated), to.kind).ok()?;
    let zero = Amount { number: Decimal::ZERO, ..amount.clone() };
    amount.in_unit(to).ok()?.checked_sub(zero.in_unit(to).ok()?)
}

/// A difference of 1 K is one of 1 °C (BIPM SI brochure, 9th ed., 2.3.1); readings are in °C, so K stands for
/// differences only.
fn kelvin_as_degrees(stated: &str) -> std::borrow::Cow<'_, str> {
    match stated.trim().strip_suffix('K') {
        Some(number) if number.trim_end().ends_with(|c: char| c.is_ascii_digit()) => format!("{number}°C").into(),
        _ => stated.into(),
    }
}

/// True for a day as it is written here, YYYY-MM-DD: days are compared as text.
pub(super) fn is_day(text: &str) -> bool {
    chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d").is_ok_and(|d| d.to_string() == text)
}

/// A day.
fn day(text: &str) -> Result<(), RegisterError> {
    is_day(text)
        .then_some(())
        .ok_or_else(|| RegisterError::Entry(format!("\"{text}\" is not a date; write it like 2027-03-31")))
}

fn stated_with_unit(text: &str) -> Result<(), RegisterError> {
    let entry = |why: String| RegisterError::Entry(why);
    let plain = kelvin_as_degrees(text);
    let read = KINDS.into_iter().find_map(|k| Amount::parse_as(&plain, k).ok());
    let read = read.ok_or_else(|| entry(format!("\"{text}\" is not a value with its unit; write it like 0.005 mm")))?;
    if read.number < Decimal::ZERO {
        return Err(entry(format!("\"{text}\" is less than nothing; write it without a sign, like 0.005 mm")));
    }
    Ok(())
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
    /// The file system said no: what happened and where, what the register holds now, what to do.
    #[error("{what}; {kept}; {todo}")]
    Trouble {
        /// What happened, and at which file.
        what: String,
        /// What the register holds now.
        kept: String,
        /// What to do now.
        todo: String,
    },
    /// What is entered beside it cannot be.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl Register {
    /// The instrument of that id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|i| i.id == id)
    }

    /// What was found wrong with an instrument since a time at which it was used; none where nothing was.
    #[must_use]
    pub fn doubted(&self, used: &Used, at: &str) -> Option<&Faulty> {
        self.find(&used.id)?.faulty.as_ref().filter(|f| f.doubts(at))
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
        instrument.due.as_deref().map_or(Ok(()), day)?;
        [&instrument.resolution, &instrument.uncertainty]
            .into_iter()
            .flatten()
            .try_for_each(|t| stated_with_unit(t))?;
        self.instruments.push(instrument);
        Ok(())
    }

    fn known(&mut self, id: &str) -> Result<&mut Instrument, RegisterError> {
        let Some(at) = self.instruments.iter().position(|i| i.id == id) else {
            let near = or_near(id, self.instruments.iter().map(|i| i.id.as_str()));
            let what = format!("there is no instrument \"{id}\"; \"runtrue instruments\" lists them{near}");
            return Err(RegisterError::Entry(what));
        };
        Ok(&mut self.instruments[at])
    }

    /// Takes an instrument out of use.
    ///
    /// # Errors
    /// [`RegisterError::Entry`] for an unknown id.
    pub fn retire(&mut self, id: &str) -> Result<(), RegisterError> {
        self.known(id).map(|i| i.retired = true)
    }

    /// Marks an instrument as found faulty. It is used no more; its readings since that day are in doubt. What was measured with it
    /// before and stands on paper may still be typed in.
    ///
    /// # Errors
    /// [`RegisterError::Entry`] for an unknown id, a day that does not read, or no reason.
    pub fn fault(&mut self, id: &str, faulty: Faulty) -> Result<(), RegisterError> {
        faulty.since.as_deref().map_or(Ok(()), day)?;
        if faulty.reason.trim().is_empty() {
            return Err(RegisterError::Entry("what is wrong with it has to be said".into()));
        }
        self.known(id).map(|i| i.faulty = Some(faulty))
    }

    /// A new calibration: when it is due again, and U where it changed. What was found faulty is mended by it, for
    /// readings from now on; readings in the records keep what they were taken with.
    ///
    /// # Errors
    /// [`RegisterError::Entry`] for an unknown id, a day or a value that does not read.
    pub fn calibrated(&mut self, id: &str, due: &str, uncertainty: Option<String>) -> Result<(), RegisterError> {
        day(due)?;
        uncertainty.as_deref().map_or(Ok(()), stated_with_unit)?;
        let found = self.known(id)?;
        found.due = Some(due.to_owned());
        found.uncertainty = uncertainty.or_else(|| found.uncertainty.take());
        Ok(())
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::store::Store;
    use super::*;

    pub(in crate::traveler) fn gauge(id: &str) -> Instrument {
        Instrument {
            id: id.into(),
            kind: "bore gauge".into(),
            range: None,
            resolution: None,
            uncertainty: Some("0.005 mm".into()),
            due: Some("2027-03-31".into()),
            retired: false,
            faulty: None,
        }
    }

    #[test]
    fn a_register_is_kept_and_found_again() {
        let home = tempfile::tempdir().unwrap();
        let store = Store::locate(Some(home.path())).unwrap();
        store.change_register(|r| r.add(gauge("BG-1"))).unwrap();
        assert!(store.change_register(|r| r.add(gauge("BG-1"))).is_err());
        store.change_register(|r| r.retire("BG-1")).unwrap();
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
        assert!(register.calibrated("e", "2027-03-31", None).is_err(), "unknown");
        assert!(register.add(Instrument { due: Some("2027-2-3".into()), ..gauge("f") }).is_err());
    }

    #[test]
    fn a_difference_of_temperature_is_stated_in_kelvin_or_degrees() {
        let celsius = crate::quantity::unit("°C").unwrap();
        for (stated, degrees) in [("1 K", "1"), ("0,5K", "0.5"), ("1.8 °F", "1"), ("2 °C", "2")] {
            let mut register = Register::default();
            register.add(Instrument { uncertainty: Some(stated.into()), ..gauge("T-1") }).unwrap();
            let width = register.instruments[0].uncertainty_in(celsius).unwrap();
            assert_eq!(width.normalize(), degrees.parse().unwrap(), "{stated}");
        }
        assert_eq!(width("1 K", crate::quantity::unit("mm").unwrap()), None);
        assert!(Register::default().add(Instrument { uncertainty: Some("K".into()), ..gauge("T-2") }).is_err());
    }

    #[test]
    fn what_two_programs_add_at_once_is_kept() {
        let home = tempfile::tempdir().unwrap();
        let store = &Store::locate(Some(home.path())).unwrap();
        std::thread::scope(|all| {
            for n in 0..8 {
                all.spawn(move || store.change_register(|r| r.add(gauge(&format!("BG-{n}")))).unwrap());
            }
        });
        assert_eq!(Register::load(home.path()).unwrap().instruments.len(), 8);
        assert!(store.change_register(|r| r.add(gauge("BG-1"))).is_err());
        assert_eq!(Register::load(home.path()).unwrap().instruments.len(), 8);
    }

    #[test]
    fn a_faulty_one_doubts_its_readings_from_the_day_on() {
        let mut register = Register::default();
        register.add(gauge("BG-1")).unwrap();
        let faulty = |since: Option<&str>| Faulty {
            since: since.map(str::to_owned),
            reason: "jaw bent".into(),
            by: "ak".into(),
            at: "2026-07-14T09:00:00.000+02:00".into(),
        };
        assert!(register.fault("BG-1", faulty(Some("July"))).is_err());
        register.fault("BG-1", faulty(Some("2026-07-01"))).unwrap();
        let found = register.find("BG-1").unwrap().faulty.clone().unwrap();
        assert!(found.doubts("2026-07-01T00:00:01.000+02:00") && !found.doubts("2026-06-30T23:59:59.000+02:00"));
        assert!(faulty(None).doubts("1999-01-01T00:00:00.000+02:00"));
    }
}
