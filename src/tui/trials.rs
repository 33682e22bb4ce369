//! Speed trials from the screens: the log, cautions before a run, the run field by field, the adoption.

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::{Record, TrialEntry};

use super::app::{App, Shown};
use super::ask::{Ask, Field, Purpose};
use super::keys::Act;

/// Lines that a page key moves by.
const PAGE: usize = 15;
/// Answers after the values: second person, instruments, run put right and why.
const AFTER: usize = 4;

/// What is shown of the trials.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trying {
    /// The screen it was asked for on.
    pub from: Shown,
    /// Cautions and plan before a run, in place of the log.
    pub before: bool,
}

/// Short names of what a run asks for.
const SHORT: [(&str, &str); 14] = [
    ("speed", "Rotor speed"),
    ("driver", "Driver speed"),
    ("held", "Held for"),
    ("run-down", "Run-down"),
    ("bearing", "Bearings"),
    ("room", "Room"),
    ("before", "Belt force before"),
    ("after", "Belt force after"),
    ("vibration", "Vibration, unit and place"),
    ("noise", "Noise"),
    ("smell", "Smell"),
    ("result", "Result"),
    ("changed", "The one thing changed"),
    ("stop", "Stopped: planned, by hand, trip"),
];

impl App<'_> {
    /// Shows the trials of the record in hand.
    pub(super) fn open_trials(&mut self) {
        if self.record().is_none() {
            return;
        }
        self.trying = Some(Trying { from: self.shown, before: false });
        self.shown = Shown::Trials;
        self.line = 0;
    }

    pub(super) fn trials_act(&mut self, act: Act) {
        let rows = usize::from(self.size.1.saturating_sub(2));
        let last = super::screens::trials::length(self).saturating_sub(rows);
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(last),
            Act::PageUp => self.line = self.line.saturating_sub(PAGE),
            Act::PageDown => self.line = (self.line + PAGE).min(last),
            Act::NewRun => self.before_run(),
            Act::Yes if self.trying.is_some_and(|t| t.before) => {
                // A caution that was not on the screen was not read.
                if self.line < last {
                    self.message = "Read to the end first: PgDn.".into();
                } else {
                    self.ask_run();
                }
            }
            Act::Adopt => self.ask_adopt(),
            Act::Back => self.leave_trials(),
            _ => {}
        }
    }

    fn leave_trials(&mut self) {
        self.line = 0;
        match &mut self.trying {
            Some(trying) if trying.before => trying.before = false,
            _ => {
                let from = self.trying.take().map_or(Shown::Step, |t| t.from);
                self.shown = from;
                if from == Shown::Record {
                    self.line = usize::MAX;
                }
            }
        }
    }

    /// Cautions and plan first; not at all where no run may be made.
    fn before_run(&mut self) {
        let Some(session) = &self.session else {
            self.message = "This record is only read here; a closed one is opened again first.".into();
            return;
        };
        if let Some(why) = session.record().trial_barred() {
            self.message = format!("No run: {why}.");
            return;
        }
        if let Some(trying) = &mut self.trying {
            trying.before = true;
            self.line = 0;
        }
    }

    fn ask_run(&mut self) {
        let Some(record) = self.record() else { return };
        let checks = record.trial_checks();
        let mut fields: Vec<Field> = checks.iter().map(field).collect();
        fields.push(Field::text("Second person at the run, initials").optional());
        fields.push(Field::text("Instruments, ids with a space between").optional());
        fields.push(Field::text("Puts right run (number; else empty)").optional());
        fields.push(Field::text("Why it is put right").optional());
        let number = record.trials().len() + 1;
        let words =
            "What was not measured stays empty. Put a semicolon between the values of several bearings. Up goes back.";
        self.ask = Some(Ask::new(Purpose::Trial, &format!("Speed trial, run {number}"), words, fields));
    }

    /// Keeps the run that was typed.
    pub(super) fn keep_run(&mut self, ask: &Ask) -> Result<String, String> {
        let by = self.by.clone().ok_or("Say first who is at the bench: key i at a step.")?;
        let checks = self.record().map(Record::trial_checks).unwrap_or_default();
        let typed = |(k, check): (usize, &Check)| {
            let answer = ask.answer(k);
            let several = check.kind == CheckKind::Series;
            let values =
                |a: String| if several { a.split(';').map(|v| v.trim().to_owned()).collect() } else { vec![a] };
            (!answer.is_empty()).then(|| (check.id.clone(), values(answer)))
        };
        let values = checks.iter().enumerate().filter_map(typed).collect();
        let after = ask.fields.len().saturating_sub(AFTER);
        let instruments = ask.answer(after + 1).split_whitespace().map(str::to_owned).collect();
        let witness = Some(ask.answer(after)).filter(|w| !w.is_empty());
        let correct = (!ask.answer(after + 2).is_empty())
            .then(|| ask.answer(after + 2).parse().map(|n| (n, ask.answer(after + 3))))
            .transpose()
            .map_err(|_| "Type the number of the run that is put right.")?;
        let entry = TrialEntry { values, by, instruments, correct, witness, paper: None, bare: true };
        let session = self.session.as_mut().ok_or("No build is open.")?;
        let done = session.trial(&entry).map_err(|e| e.to_string())?;
        if let Some(trying) = &mut self.trying {
            trying.before = false;
        }
        self.line = 0;
        let doubt = done.trial.doubt.map_or_else(String::new, |d| format!(" Look again: {d}."));
        let outside: Vec<String> = done
            .trial
            .values
            .iter()
            .filter(|v| v.verdict.open())
            .map(|v| format!(" {} OUTSIDE, {}.", v.check, v.because))
            .collect();
        Ok(format!(
            "Saved, entry {}.{}{doubt} Before the guard is opened: standstill seen, drive isolated, rotor blocked.",
            done.event,
            outside.concat()
        ))
    }

    fn ask_adopt(&mut self) {
        let Some(record) = self.session.as_ref().map(|s| s.record()) else {
            self.message = "This record is only read here; a closed one is opened again first.".into();
            return;
        };
        let roles: Vec<String> = record.plan().people.keys().cloned().collect();
        let said = crate::traveler::setup_said(&record.plan().setup);
        let words = "Decided by the design side or a role that may release. Balance goes by its speed from now on; leaving it later asks for a reason.";
        let fields =
            vec![Field::text("Why this setup"), Field::choice("Role", roles), Field::text("Initials of who decides")];
        self.ask = Some(Ask::new(Purpose::Adopt, &format!("Adopt {said}"), words, fields));
    }

    /// Keeps the adoption.
    pub(super) fn keep_adoption(&mut self, ask: &Ask) -> Result<String, String> {
        let session = self.session.as_mut().ok_or("No build is open.")?;
        let event = session.adopt(&ask.answer(0), &ask.answer(2), &ask.answer(1)).map_err(|e| e.to_string())?;
        let doubt = session.record().adopted().and_then(|a| a.doubt.clone());
        let doubt = doubt.map_or_else(String::new, |d| format!(" Look again: {d}."));
        Ok(format!("Adopted, entry {event}.{doubt}"))
    }
}

/// A field with its limits beside it; only the speed has to be given.
fn field(check: &Check) -> Field {
    let name = SHORT.iter().find(|(id, _)| *id == check.id).map_or(check.prompt.as_str(), |(_, short)| short);
    let unit = check.unit.as_deref().unwrap_or_default();
    let limits = match (&check.lower, &check.upper) {
        (Some(a), Some(b)) => format!(", {a} to {b} {unit}"),
        (Some(a), None) => format!(", at least {a} {unit}"),
        (None, Some(b)) => format!(", at most {b} {unit}"),
        (None, None) if unit.is_empty() => String::new(),
        (None, None) => format!(", {unit}"),
    };
    let field = Field::text(&format!("{name}{limits}"));
    if check.id == "speed" { field } else { field.optional() }
}
