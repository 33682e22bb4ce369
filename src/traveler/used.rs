//! Instruments that values were taken with: those of a reading, and those of a speed trial.

use super::event::{Body, Event, Used};
use super::instruments::{Faulty, Register};
use super::record::Record;
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
}

impl Record {
    /// Speed trials that stand and were made with an instrument found faulty since: which, and what is wrong with it.
    #[must_use]
    pub fn trials_in_doubt<'r>(&'r self, register: &'r Register) -> Vec<(&'r Trial, &'r Event, &'r Used, &'r Faulty)> {
        let doubted = |(trial, event): (&'r Trial, &'r Event)| {
            let of = |used: &'r Used| Some((trial, event, used, register.doubted(used, &event.header.at)?));
            trial.instruments.iter().find_map(of)
        };
        self.trials_standing().into_iter().filter_map(doubted).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::instruments::Instrument;
    use super::super::trial_tests::{run, started, work};
    use super::super::{Store, TrialEntry};
    use super::*;

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
}
