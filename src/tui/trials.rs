//! Speed trials from the screens: the log, cautions before a run, the run field by field, the adoption.

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::{Disposition, DispositionKind, Record, TrialEntry};

use super::answers::{ROLE, roles};
use super::app::{App, Shown};
use super::ask::{Ask, Field, Purpose};
use super::deciding::DISPOSITION;
use super::keys::Act;
use super::widgets::text::with_titles;

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

impl App<'_> {
    /// Shows the trials of the record in hand.
    pub(super) fn open_trials(&mut self) {
        if self.record().is_none() {
            return;
        }
        // From the trials themselves, by the list behind m, the way back stays what it was.
        let from = self.trying.filter(|_| self.shown == Shown::Trials).map_or(self.shown, |t| t.from);
        self.trying = Some(Trying { from, before: false });
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
            Act::More => self.menu = Some(0),
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
        if let Some(why) = barred_here(session.record()) {
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
        fields.push(Field::initials("Second person at the run, initials").optional());
        fields.push(Field::text("Instruments, ids with a space between").optional());
        fields.push(Field::text("Puts right run (number; else empty)").optional());
        fields.push(Field::text("Why it is put right").optional());
        let number = record.trials().len() + 1;
        let words =
            "What was not measured stays empty. Put a semicolon between the values of several bearings. Up goes back.";
        self.ask = Some(Ask::new(Purpose::Trial, &format!("Speed trial, run {number}"), words, fields));
    }

    /// What of a run is outside or hard to believe: looked at once more before it counts, since a speed over the limit bars all
    /// further runs, and who typed it may not put it right.
    pub(super) fn hardly_run(&self, ask: &Ask) -> Option<String> {
        let trial = self.session.as_ref()?.trial_drafted(&self.typed_run(ask).ok()?).ok()?;
        let checks = self.record().map(Record::trial_checks).unwrap_or_default();
        let outside = trial.values.iter().filter(|v| v.verdict.open());
        let outside =
            outside.map(|v| format!("{} {} is OUTSIDE, {}", named(&checks, &v.check), v.entered.join("; "), v.because));
        let all: Vec<String> = outside.chain(trial.doubt.clone()).collect();
        (!all.is_empty()).then(|| format!("Was it so? {}.", all.join(". ")))
    }

    /// The run as typed.
    fn typed_run(&self, ask: &Ask) -> Result<TrialEntry, String> {
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
        Ok(TrialEntry { values, by, instruments, correct, witness, paper: None, bare: true })
    }

    /// Keeps the run that was typed.
    pub(super) fn keep_run(&mut self, ask: &Ask) -> Result<String, String> {
        let entry = self.typed_run(ask)?;
        let checks = self.record().map(Record::trial_checks).unwrap_or_default();
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
            .map(|v| format!(" {} OUTSIDE, {}.", named(&checks, &v.check), v.because))
            .collect();
        let waits = session.record().run_waits_for(|_| "m, then d".into());
        let waits = waits.map_or_else(String::new, |_| " m, then d has it decided on.".into());
        Ok(format!(
            "Saved, entry {}.{}{waits}{doubt} Before the guard is opened: standstill seen, drive isolated, rotor blocked.",
            done.event,
            outside.concat()
        ))
    }

    /// The window for a decision on the run over its limit that waits for one, over the trials.
    pub(super) fn ask_decision(&mut self) {
        if self.shown != Shown::Trials {
            self.open_trials();
        }
        let Some(record) = self.session.as_ref().map(|s| s.record()) else {
            self.message = "This record is only read here; a closed one is opened again first.".into();
            return;
        };
        let (Some((run, _)), Some(waits)) = (record.run_to_decide(), record.run_waits_for(|_| "here".into())) else {
            self.message = "No run over the limit waits for a decision.".into();
            return;
        };
        let kinds = DispositionKind::ALL.iter().map(|(w, _)| (*w).to_owned()).collect();
        let words = format!(
            "{}. Use as is and repair answer it, by one of the design side who did not make the run; after rework, scrap or return a round of work for it comes first.",
            waits.split(';').next().unwrap_or_default()
        );
        let fields = vec![
            Field::choice(DISPOSITION, kinds),
            Field::text("Why"),
            Field::choice(ROLE, roles(self)),
            Field::initials("Initials of who decides"),
        ];
        let title = format!("Decide on run {}", run.number);
        self.ask = Some(Ask::new(Purpose::DecideRun(run.number), &title, &words, fields));
    }

    /// Keeps the decision on a run.
    pub(super) fn keep_decision(&mut self, run: u32, ask: &Ask) -> Result<String, String> {
        let kind = DispositionKind::of(&ask.answer(0)).ok_or("No such disposition.")?;
        let disposition = Disposition { kind, reason: ask.answer(1), role: ask.answer(2) };
        let session = self.session.as_mut().ok_or("No build is open.")?;
        let event = session.decide_run(run, disposition, &ask.answer(3)).map_err(|e| e.to_string())?;
        self.line = 0;
        let waits = session.record().run_waits_for(|_| "m, then d".into());
        let waits = waits.map_or_else(String::new, |w| format!(" Still open: {w}."));
        Ok(format!("{} of run {run} kept, entry {event}.{waits}", kind.said()))
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
            vec![Field::text("Why this setup"), Field::choice(ROLE, roles), Field::initials("Initials of who decides")];
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

/// Why no run may be made now; of a run that waits for its decision with the keys that give it.
pub(super) fn barred_here(record: &Record) -> Option<String> {
    let why = record.trial_barred()?;
    let here = record.run_waits().filter(|w| *w == why).and_then(|_| record.run_waits_for(|_| "m, then d".into()));
    Some(with_titles(&here.unwrap_or(why), &record.plan().steps))
}

/// What a check of a run is called, as far as a line of a window has room: up to the first comma or colon.
fn short(prompt: &str) -> (&str, &str) {
    let end = prompt.find([',', ':']).unwrap_or(prompt.len());
    (&prompt[..end], prompt[end..].trim_start_matches([',', ':', ' ']))
}

fn named<'c>(checks: &'c [Check], id: &'c str) -> &'c str {
    checks.iter().find(|c| c.id == id).map_or(id, |c| short(&c.prompt).0)
}

/// A field with its limits beside it; only the speed has to be given. What its prompt says beyond its name stands below it.
fn field(check: &Check) -> Field {
    let (name, note) = short(&check.prompt);
    let unit = check.unit.as_deref().unwrap_or_default();
    let limits = check.range_words().unwrap_or_else(|| unit.to_owned());
    let named = if limits.is_empty() { name.to_owned() } else { format!("{name}, {limits}") };
    let field = Field::text(&named).noted(note);
    if check.id == "speed" { field } else { field.optional() }
}
