//! Instruments that values were taken with: those of a reading, and those of a speed trial.

use crate::module::near::or_near;

use super::enter::{Entry, EntryError, refused};
use super::event::{Body, Event, Paper, Used};
use super::instruments::{Faulty, Register, is_day};
use super::kept::Kept;
use super::record::Record;
use super::session::Session;
use super::trial::Trial;

impl Event {
    /// The instruments named with the values of an entry.
    #[must_use]
    pub fn used(&self) -> &[Used] {
        match &self.body {
            Body::Reading(reading) => reading.instrument.as_slice(),
            Body::Trial(trial) => &trial.instruments,
            _ => &[],
        }
    }

    /// When its values were measured: by the day on their paper, where there is one, else by the entry.
    #[must_use]
    pub fn measured_at(&self) -> &str {
        let paper = match &self.body {
            Body::Reading(reading) => reading.paper.as_ref(),
            Body::Trial(trial) => trial.paper.as_ref(),
            _ => None,
        };
        measured_at(paper, &self.header.at)
    }
}

impl Kept<'_> {
    /// When it was measured: by the day on its paper, where there is one, else by the entry.
    #[must_use]
    pub fn measured_at(&self) -> &str {
        measured_at(self.reading.paper.as_ref(), self.at)
    }
}

/// When a value was measured that was entered at some time: what its paper says, where that begins with a day (YYYY-MM-DD), else the
/// time of the entry. That is the later one, so an instrument is rather doubted than trusted.
pub(super) fn measured_at<'a>(paper: Option<&'a Paper>, entered: &'a str) -> &'a str {
    let on_paper = paper.map(|p| p.at.trim());
    let day = |at: &&str| at.get(..10).is_some_and(is_day);
    on_paper.filter(day).unwrap_or(entered)
}

impl Record {
    /// Speed trials that stand and were made with an instrument found faulty since: which, and what is wrong with it.
    #[must_use]
    pub fn trials_in_doubt<'r>(&'r self, register: &'r Register) -> Vec<(&'r Trial, &'r Event, &'r Used, &'r Faulty)> {
        let doubted = |(trial, event): (&'r Trial, &'r Event)| {
            let of = |used: &'r Used| Some((trial, event, used, register.doubted(used, event.measured_at())?));
            trial.instruments.iter().find_map(of)
        };
        self.trials_standing().into_iter().filter_map(doubted).collect()
    }
}

impl Session {
    /// The instrument named with an entry, as the register has it on the day of the measurement.
    ///
    /// # Errors
    /// [`EntryError::Refused`] for one that is not in the register, retired, or found faulty; from paper only where it was faulty on the day that stands there.
    pub(super) fn instrument(&self, entry: &Entry) -> Result<Option<Used>, EntryError> {
        let Some(id) = &entry.instrument else {
            return Ok(None);
        };
        let register = Register::load(&self.home()).map_err(|e| refused(e.to_string()))?;
        let found = register.find(id).ok_or_else(|| {
            let near = or_near(id, register.instruments.iter().map(|i| i.id.as_str()));
            refused(format!(
                "there is no instrument \"{id}\" in the register; \"runtrue instruments\" lists them, \"runtrue instruments add\" adds one{near}"
            ))
        })?;
        if found.retired {
            return Err(refused(format!("instrument {id} is retired; take another")));
        }
        let today = self.now().date_naive().to_string();
        let measured = measured_at(entry.paper.as_ref(), &today);
        if let Some(faulty) = found.faulty.as_ref().filter(|f| entry.paper.is_none() || f.doubts(measured)) {
            return Err(refused(format!("instrument {id} was found faulty ({}); take another", faulty.reason)));
        }
        let overdue = found.overdue(measured.get(..10).unwrap_or(measured));
        Ok(Some(Used {
            id: found.id.clone(),
            kind: found.kind.clone(),
            uncertainty: found.uncertainty.clone(),
            due: found.due.clone(),
            overdue,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::super::instruments::Instrument;
    use super::super::rules_tests::{entry, start};
    use super::super::trial_tests::{run, started, work};
    use super::super::{Store, TrialEntry};
    use super::*;

    /// Measured on paper on Monday, found faulty since Tuesday, typed on Wednesday: Monday's reading stands.
    #[test]
    fn what_stands_on_paper_was_measured_on_the_day_that_stands_there() {
        let paper = |at: &str| Paper { measured_by: "jo".into(), at: at.into() };
        let faulty = Faulty {
            since: Some("2026-11-24".into()),
            reason: "dropped".into(),
            by: "mh".into(),
            at: "2026-11-24T08:00:00.000+01:00".into(),
        };
        let typed = "2026-11-25T08:00:00.000+01:00";
        for (on_paper, doubted) in [
            (Some("2026-11-23 14:00"), false),
            (Some(" 2026-11-24 "), true),
            (Some("Monday, two o'clock"), true),
            (Some("2026-13-01"), true),
            (Some("2026-11-3 14:00"), true),
            (Some("2026-11-3"), true),
            (None, true),
        ] {
            let paper = on_paper.map(paper);
            assert_eq!(faulty.doubts(measured_at(paper.as_ref(), typed)), doubted, "{on_paper:?}");
        }
    }

    #[test]
    fn a_trial_made_with_a_faulty_instrument_is_in_doubt_as_a_reading_is() {
        let home = tempfile::tempdir().unwrap();
        let gauge = |id: &str, faulty| Instrument {
            id: id.into(),
            kind: "stop watch".into(),
            range: None,
            resolution: None,
            uncertainty: None,
            due: None,
            retired: false,
            faulty,
        };
        let store = Store::locate(Some(home.path())).unwrap();
        for id in ["TM-1", "SW-2"] {
            store.change_register(|r| r.add(gauge(id, None))).unwrap();
        }
        let mut s = started(home.path());
        work(&mut s, "");
        let values = run(&[("speed", &["100 rpm"]), ("run-down", &["48 s"])]);
        let with = TrialEntry { instruments: vec!["TM-1".into(), "SW-2".into()], ..values };
        let trial = s.trial(&with).unwrap();
        let event = s.record().events.last().unwrap();
        assert_eq!(event.used().iter().map(|u| u.id.as_str()).collect::<Vec<_>>(), ["TM-1", "SW-2"]);
        assert!(s.record().trials_in_doubt(&Register::default()).is_empty());
        let since = |since: Option<&str>| {
            let (reason, by, at) = ("shows 3 % less".into(), "mh".into(), "2999-01-02T10:00:00+01:00".into());
            let mut register = Register::default();
            let faulty = Faulty { since: since.map(str::to_owned), reason, by, at };
            register.add(gauge("SW-2", Some(faulty))).unwrap();
            let list = s.record().trials_in_doubt(&register);
            list.into_iter().map(|(t, e, used, _)| (t.number, e.header.event, used.id.clone())).collect::<Vec<_>>()
        };
        assert_eq!(since(None), [(trial.trial.number, trial.event, "SW-2".to_owned())]);
        assert_eq!(since(Some("2999-01-01")), [], "taken before the instrument went wrong");
    }
    /// BG-1 is faulty since 1 June, BG-2 past its date since 1 May: each by the day on which the paper says it was used.
    #[test]
    fn an_instrument_is_taken_as_it_was_on_the_day_of_the_paper() {
        let home = tempfile::tempdir().unwrap();
        let (store, mut s) = start(home.path());
        let at = "2020-06-02T08:00:00.000+01:00".to_owned();
        let faulty = Faulty { since: Some("2020-06-01".into()), reason: "dropped".into(), by: "mh".into(), at };
        for (id, due, faulty) in [("BG-1", None, Some(faulty)), ("BG-2", Some("2020-05-01".into()), None)] {
            let (id, kind) = (id.to_owned(), "bore gauge".to_owned());
            let gauge =
                Instrument { id, kind, range: None, resolution: None, uncertainty: None, due, retired: false, faulty };
            store.change_register(|r| r.add(gauge)).unwrap();
        }
        let mut with = |id: &str, on_paper: Option<&str>| {
            let there = s.record().reading("inspect-disc", "bore").is_some();
            let typed = Entry {
                instrument: Some(id.into()),
                correct: there.then(|| "on another sheet".into()),
                paper: on_paper.map(|at| Paper { measured_by: "jo".into(), at: at.into() }),
                ..entry("inspect-disc", "bore", &["24.60 mm", "24.59 mm"], "ak")
            };
            let done = s.enter(&typed).map(|_| ()).map_err(|e| e.to_string());
            let kept = s.record().reading("inspect-disc", "bore").and_then(|k| k.reading.instrument.clone());
            done.map(|()| kept.unwrap().overdue)
        };
        for day in [None, Some("2020-06-01 09:00"), Some("a Monday")] {
            assert!(with("BG-1", day).unwrap_err().contains("found faulty"), "{day:?}");
        }
        assert_eq!(with("BG-1", Some("2020-05-31 16:00")), Ok(false));
        assert_eq!(with("BG-2", Some("2020-05-01 16:00")), Ok(false));
        assert_eq!((with("BG-2", Some("2020-05-02")), with("BG-2", None)), (Ok(true), Ok(true)));
    }
}
