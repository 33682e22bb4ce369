//! Readings as the record keeps them: what is in force, what took its place, what it put right.

use super::event::{Body, Disposition, Event, Reading};
use super::record::{Readings, Record};

/// A reading in the record.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept<'a> {
    /// Number of its event.
    pub event: u64,
    /// When.
    pub at: &'a str,
    /// Who.
    pub by: &'a str,
    /// The reading.
    pub reading: &'a Reading,
    /// A later reading stands in its place, or it is the former part's.
    pub superseded: bool,
    /// Its part was given up after it: it is not of the part that takes its place.
    pub former: bool,
    /// That later reading: the one that corrects it, else the next one.
    pub later: Option<&'a Event>,
    /// The reading that this one corrects.
    pub corrected: Option<&'a Event>,
    /// Disposition in force: with the reading or after it, and who gave it.
    pub disposition: Option<(&'a Disposition, &'a str)>,
}

impl Kept<'_> {
    /// True for who typed it and, from paper, who measured.
    #[must_use]
    pub fn made_by(&self, initials: &str) -> bool {
        self.by == initials || self.reading.paper.as_ref().is_some_and(|p| p.measured_by == initials)
    }

    /// True where it is outside or undecided and was accepted as it is.
    #[must_use]
    pub fn accepted(&self) -> bool {
        self.reading.verdict.open() && self.disposition.is_some_and(|(d, _)| d.kind.accepts())
    }
}

impl Record {
    /// All readings of a check in the round in hand, oldest first.
    #[must_use]
    pub fn readings(&self, step: &str, check: &str) -> Vec<Kept<'_>> {
        let list = self.index.readings.get(&(step.to_owned(), check.to_owned()));
        let list = list.map_or(&[][..], Vec::as_slice);
        (0..list.len()).filter_map(|n| self.kept(list, n)).collect()
    }

    /// The rounds gone of a check that asks which nuts still moved, oldest first: a correction is no round, and what
    /// stood before the step was done anew counts no more.
    #[must_use]
    pub fn rounds_gone(&self, step: &str, check: &str) -> Vec<Kept<'_>> {
        let all = self.readings(step, check).into_iter();
        all.filter(|k| k.reading.corrects.is_none() && !k.former).collect()
    }

    /// All readings of a step over all rounds of work, check by check.
    pub(super) fn readings_of(&self, step: &str) -> Vec<Kept<'_>> {
        let rounds = self.index.earlier.iter().chain([&self.index.readings]);
        let from = (step.to_owned(), String::new());
        let own = rounds.flat_map(|r| r.range(from.clone()..).take_while(|((s, _), _)| s == step));
        own.flat_map(|(_, list)| (0..list.len()).filter_map(|n| self.kept(list, n))).collect()
    }

    /// The reading in force.
    #[must_use]
    pub fn reading(&self, step: &str, check: &str) -> Option<Kept<'_>> {
        let key = (step.to_owned(), check.to_owned());
        // A step that this round does not repeat keeps the reading of an earlier one.
        let earlier =
            || self.index.earlier.iter().rev().find_map(|r| r.get(&key)).filter(|_| self.step(step).is_none());
        let list = self.index.readings.get(&key).or_else(earlier)?;
        let kept = self.kept(list, list.len() - 1)?;
        (!kept.former).then_some(kept)
    }

    /// The latest reading of a check over all rounds of work, and whether it still stands: no later round disturbed it.
    #[must_use]
    pub fn latest(&self, step: &str, check: &str) -> Option<(Kept<'_>, bool)> {
        let key = (step.to_owned(), check.to_owned());
        let rounds: Vec<&Readings> = self.index.earlier.iter().chain([&self.index.readings]).collect();
        let (round, list) = rounds.iter().enumerate().rev().find_map(|(n, r)| Some((n, r.get(&key)?)))?;
        let kept = self.kept(list, list.len() - 1)?;
        // A change may disturb it, and a later one find that nobody had touched it yet.
        let mut stale = false;
        for change in self.changes().into_iter().skip(round) {
            stale = (stale && !change.standing.contains(step))
                || change.stale.iter().any(|t| t.step == step && t.check == check);
        }
        let former = kept.former;
        Some((kept, !stale && !former))
    }

    /// True for a reading of whatever round that no later one, no change and no work begun anew has taken the place of.
    #[must_use]
    pub fn in_force(&self, kept: &Kept<'_>) -> bool {
        let (step, check) = (&kept.reading.step, &kept.reading.check);
        let stands = self.latest(step, check).is_some_and(|(_, stands)| stands);
        stands && self.reading(step, check).is_some_and(|k| k.event == kept.event)
    }

    /// Reading number `n` of a list of places in the events.
    fn kept(&self, list: &[usize], n: usize) -> Option<Kept<'_>> {
        let (event, reading) = self.read_at(*list.get(n)?)?;
        let number = event.header.event;
        let corrects = |e: &&Event| e.corrects(number);
        let after = || list[n + 1..].iter().filter_map(|at| self.events.get(*at));
        let given = self.index.dispositions.get(&number).and_then(|at| match &self.events.get(*at)? {
            Event { body: Body::Disposition(d), header, .. } => Some((&d.disposition, header.by.as_str())),
            _ => None,
        });
        let former = n < self.index.former(&reading.step, &reading.check, list, usize::MAX);
        let own = reading.disposition.as_ref().map(|d| (d, event.header.by.as_str()));
        Some(Kept {
            event: number,
            at: &event.header.at,
            by: &event.header.by,
            reading,
            superseded: former || n + 1 < list.len(),
            former,
            later: after().find(corrects).or_else(|| after().next()),
            corrected: reading
                .corrects
                .as_ref()
                .and_then(|c| self.events.get(usize::try_from(c.event).ok()?.checked_sub(1)?)),
            disposition: given.or(own),
        })
    }

    fn read_at(&self, at: usize) -> Option<(&Event, &Reading)> {
        let event = self.events.get(at)?;
        if let Body::Reading(reading) = &event.body { Some((event, reading)) } else { None }
    }
}
