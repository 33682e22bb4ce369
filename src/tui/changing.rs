//! A change of a build from the screens: what is wanted, what it means, and its beginning with role and reason.

use crate::traveler::{Goal, Prospect, Record, Wanted, parts_of, prospect};

use super::app::{App, Shown};
use super::ask::{Ask, Field, Purpose, Wish};
use super::deciding;
use super::keys::Act;

/// A change that is looked at.
#[derive(Debug, Clone)]
pub struct Planned {
    /// Build.
    pub build: String,
    /// The record it was found for.
    pub record: Record,
    /// The way to the goal.
    pub prospect: Prospect,
    /// The screen it was asked for on.
    pub from: Shown,
    /// Lines of its page, for the width they were counted at: the page is laid out once for its keys, not at each.
    pub rows: (u16, usize),
}

impl Planned {
    /// True where it can be begun: its goal adds up, and there is something to change.
    #[must_use]
    pub fn startable(&self) -> bool {
        !self.prospect.blocked() && self.prospect.nothing_to_do(&self.record).is_none()
    }
}

/// What takes long enough that it is said before it is computed.
#[derive(Debug, Clone)]
pub enum Computing {
    /// The way of a change.
    Change {
        /// Build.
        build: String,
        /// What is wanted.
        goal: Goal,
        /// The question that asked for it.
        ask: Option<Box<Ask>>,
    },
    /// Which setups can still be built without a part that was given up; what was said before it.
    SetupsLeft(String),
}

/// What may be wished, with its words.
const WISHES: [(&str, Wish); 4] = [
    ("another setup", Wish::Setup),
    ("a part is replaced", Wish::Part),
    ("what has settled is looked at", Wish::Settled),
    ("a step is done anew", Wish::Anew),
];

/// What of it is looked at.
const SETTLED: [&str; 2] = ["what is due", "everything"];

/// Said while the way of a change is looked for.
const COMPUTING: &str = "Computing what this change means …";

/// Lines that a page key moves by.
const PAGE: usize = 15;

impl App<'_> {
    /// Asks what is to be changed.
    pub(super) fn ask_change(&mut self, build: &str) {
        let words = "It is shown first what the change means: its steps, what is undone, what has to be measured again. Nothing begins before you say so.";
        let field = Field::choice("What", WISHES.iter().map(|(w, _)| (*w).to_owned()).collect());
        self.ask = Some(Ask::new(Purpose::Change(build.to_owned()), &format!("Change {build}"), words, vec![field]));
    }

    /// The record of a build: the one in hand, or as it is on disk.
    fn record_of(&self, build: &str) -> Result<Record, String> {
        match self.record().filter(|r| r.build == build) {
            Some(record) => Ok(record.clone()),
            None => self.store.read(build).map_err(|e| e.to_string()),
        }
    }

    /// Asks for the setup, the part or the step.
    pub(super) fn ask_change_to(&mut self, build: &str, what: &str) -> Result<String, String> {
        let wish = WISHES.iter().find(|(w, _)| *w == what).map(|(_, wish)| *wish).ok_or("Choose what to change.")?;
        let record = self.record_of(build)?;
        let fields = match wish {
            Wish::Setup => self.setup_fields(&record)?,
            Wish::Part => vec![Field::choice("Part", self.parts_to_choose(&record))],
            Wish::Settled => vec![Field::choice("Which", SETTLED.map(str::to_owned).to_vec())],
            Wish::Anew => {
                let shown = self.shown_step().map_or_else(String::new, |s| s.number.to_string());
                vec![Field::with("Number of the step", if self.shown == Shown::Step { &shown } else { "" })]
            }
        };
        let purpose = Purpose::ChangeTo(build.to_owned(), wish);
        self.ask = Some(Ask::new(purpose, &format!("Change {build}"), what, fields));
        Ok(String::new())
    }

    /// Each axis, the value in force first.
    fn setup_fields(&self, record: &Record) -> Result<Vec<Field>, String> {
        let plan = record.plan();
        let offer = self.offers.iter().find(|o| o.name == plan.module);
        let axes = offer
            .map(|o| self.modules.axes(o))
            .filter(|axes| !axes.is_empty())
            .ok_or("This module has no other setup on offer here; the command \"runtrue change\" takes any.")?;
        let field = |axis: &super::AxisOffer| {
            let mut choices = axis.allowed.clone();
            choices.sort_by_key(|c| plan.setup.get(&axis.name) != Some(c));
            Field::choice(&axis.name, choices)
        };
        Ok(axes.iter().map(field).collect())
    }

    /// Parts by id, those of the step shown first.
    fn parts_to_choose(&self, record: &Record) -> Vec<String> {
        let near = self.shown_step().filter(|_| self.shown == Shown::Step).map(|s| s.parts.clone()).unwrap_or_default();
        let mut parts: Vec<String> = parts_of(record).into_iter().map(str::to_owned).collect();
        parts.sort_by_key(|p| !near.contains(p));
        parts
    }

    /// Finds the way and shows it.
    pub(super) fn plan_change(&mut self, build: &str, wish: Wish, ask: &Ask) -> Result<String, String> {
        let record = self.record_of(build)?;
        let mut goal = Goal::default();
        match wish {
            Wish::Setup => goal.set = ask.fields.iter().map(|f| (f.label.clone(), f.value.clone())).collect(),
            Wish::Part => goal.replace = vec![ask.answer(0)],
            Wish::Settled => {
                let all = ask.answer(0) == SETTLED[1];
                return self.plan_visit(&record, if all { Wanted::All } else { Wanted::DueBy(self.today) });
            }
            Wish::Anew => {
                let number: u32 = ask.answer(0).parse().map_err(|_| "Type the number of the step.")?;
                let step = record.plan().steps.iter().find(|s| s.number == number);
                goal.redo = vec![step.map(|s| s.id.clone()).ok_or_else(|| format!("There is no step {number}."))?];
            }
        }
        self.show_change(build, goal)
    }

    /// Finds the way of a visit and shows it.
    pub(super) fn plan_visit(&mut self, record: &Record, wanted: Wanted) -> Result<String, String> {
        let goal = record.visit(&wanted).map_err(|e| e.to_string())?;
        self.show_change(&record.build, goal)
    }

    /// From what is due at the bench to the visit; a build whose work is not finished is gone on with instead.
    pub(super) fn open_due(&mut self, build: &str) {
        let shown = self.store.read(build).map_err(|e| e.to_string());
        let shown = shown.and_then(|record| self.plan_visit(&record, Wanted::DueBy(self.today)));
        if let Err(why) = shown {
            self.open_build(build);
            self.message = why;
        }
    }

    /// Finds the way to a goal and shows it. Where something can be drawn first, it is said that this takes a while.
    pub(super) fn show_change(&mut self, build: &str, goal: Goal) -> Result<String, String> {
        if self.draws_first {
            let (build, ask) = (build.to_owned(), self.ask.take().map(Box::new));
            self.computing = Some(Computing::Change { build, goal, ask });
            return Ok(COMPUTING.into());
        }
        self.compute_change(build, &goal)
    }

    fn compute_change(&mut self, build: &str, goal: &Goal) -> Result<String, String> {
        let record = self.record_of(build)?;
        let prospect = prospect(&record, goal, &self.modules.words()?).map_err(|e| e.to_string())?;
        self.change = Some(Planned { build: build.to_owned(), record, prospect, from: self.shown, rows: (0, 0) });
        self.shown = Shown::Change;
        self.line = 0;
        Ok(String::new())
    }

    /// True where something was put off until its sign was drawn.
    pub const fn put_off(&self) -> bool {
        self.computing.is_some()
    }

    /// Does what was put off. True if there was something.
    pub fn compute(&mut self) -> bool {
        match self.computing.take() {
            None => return false,
            Some(Computing::SetupsLeft(said)) => self.message = format!("{said}{}", deciding::setups_left(self)),
            Some(Computing::Change { build, goal, ask }) => match (self.compute_change(&build, &goal), ask) {
                (Ok(words), _) | (Err(words), None) => self.message = words,
                // The question comes back with what is wrong about its answer.
                (Err(fault), Some(ask)) => {
                    self.message.clear();
                    self.ask = Some(Ask { fault, ..*ask });
                }
            },
        }
        true
    }

    pub(super) fn change_act(&mut self, act: Act) {
        let rows = usize::from(self.size.1.saturating_sub(2));
        let last = self.change_rows().saturating_sub(rows);
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(last),
            Act::PageUp => self.line = self.line.saturating_sub(PAGE),
            Act::PageDown => self.line = (self.line + PAGE).min(last),
            Act::Yes => self.ask_begin(),
            Act::Back => {
                if let Some(planned) = self.change.take() {
                    self.shown = planned.from;
                }
            }
            _ => {}
        }
    }

    fn change_rows(&mut self) -> usize {
        let width = self.size.0;
        if self.change.as_ref().is_some_and(|c| c.rows.0 != width) {
            let rows = super::screens::change::length(self);
            if let Some(planned) = &mut self.change {
                planned.rows = (width, rows);
            }
        }
        self.change.as_ref().map_or(0, |c| c.rows.1)
    }

    fn ask_begin(&mut self) {
        let Some(planned) = self.change.as_ref().filter(|c| c.startable()) else {
            let blocked = self.change.as_ref().is_some_and(|c| c.prospect.blocked());
            let why = if blocked { "The goal does not add up" } else { "There is nothing to change" };
            self.message = format!("{why}, so it is not begun.");
            return;
        };
        let people: Vec<String> =
            planned.record.plan().people.iter().map(|(role, list)| format!("{role}: {}", list.join(", "))).collect();
        let words = format!(
            "The role follows from the initials ({}). The way shown is written to the record.",
            people.join("; ")
        );
        let by = self.by.clone().unwrap_or_default();
        let fields = vec![Field::with("Your initials", &by), Field::text("Why")];
        self.ask =
            Some(Ask::new(Purpose::Begin, &format!("Begin the {}", planned.prospect.kind.word()), &words, fields));
    }

    /// Writes the change to the record and opens the guide at its first step.
    pub(super) fn begin_change(&mut self, by: &str, reason: &str) -> Result<String, String> {
        let planned = self.change.clone().ok_or("No change is looked at.")?;
        let here = self.session.as_ref().is_some_and(|s| s.record().build == planned.build);
        let mut session = match self.session.take().filter(|_| here) {
            Some(session) => session,
            None => self.store.resume(&planned.build).map_err(|e| e.to_string())?,
        };
        let begun = session.begin_change(planned.prospect, Some(reason), by);
        let event = match begun {
            Ok(event) => event,
            Err(error) => {
                // The build in hand stays in hand.
                self.session = here.then_some(session);
                return Err(error.to_string());
            }
        };
        let (round, kind) = session.record().changed().map_or((0, ""), |c| (c.round, c.kind.word()));
        self.change = None;
        self.reading = None;
        self.by = Some(by.to_owned());
        self.step.clear();
        self.go_on(session);
        self.look_again.clear();
        Ok(format!("Begun, entry {event}: round {round}, {kind}. These are the steps of the change."))
    }
}
