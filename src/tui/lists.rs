//! Bench, list of steps and record: what their keys do, and how a build is started or opened.

use chrono::{DateTime, FixedOffset};

use crate::procedure::plan::{Acceptance, Check, CheckKind, Plan, Step};
use crate::traveler::instruments::Register;
use crate::traveler::{Ability, Session, Start, running_waits, time};

use super::answers;
use super::app::{App, BenchRow, Shown};
use super::ask::{Ask, Field, Purpose};
use super::entry::OpenEntry;
use super::keys::Act;
use super::looking::held;

impl App<'_> {
    pub(super) fn bench_act(&mut self, act: Act) {
        let rows = self.bench_rows();
        match act {
            Act::Up => self.chosen = self.chosen.saturating_sub(1),
            Act::Down => self.chosen = (self.chosen + 1).min(rows.len().saturating_sub(1)),
            Act::Person => self.ask_person(),
            Act::Kit => self.open_kit(),
            Act::Quit => self.quit = true,
            Act::Change => match rows.get(self.chosen) {
                Some(BenchRow::Build(k) | BenchRow::Due(k)) => {
                    let build = self.builds[*k].build.clone();
                    self.ask_change(&build);
                }
                _ => self.message = "Choose a build first; a module is started with Enter.".into(),
            },
            Act::Open => match rows.get(self.chosen) {
                Some(BenchRow::Module(k)) => self.ask_start(*k),
                Some(BenchRow::Build(k)) => {
                    let build = self.builds[*k].build.clone();
                    self.open_build(&build);
                }
                Some(BenchRow::Due(k)) => {
                    let build = self.builds[*k].build.clone();
                    self.open_due(&build);
                }
                None => {}
            },
            _ => {}
        }
    }

    /// Tells waits that are over, each once. True if there is something new to show.
    pub fn due(&mut self, now: DateTime<FixedOffset>) -> bool {
        self.today = now.date_naive();
        let waits: Vec<(String, String, String)> = match &self.session {
            Some(session) => {
                let build = session.record().build.clone();
                running_waits(session.record()).into_iter().map(|(step, at)| (build.clone(), step, at)).collect()
            }
            None => self
                .builds
                .iter()
                .flat_map(|b| b.due.iter().map(|(s, at)| (b.build.clone(), s.clone(), at.clone())))
                .collect(),
        };
        let over = |at: &str| time(at).is_some_and(|at| at <= now);
        let mut new = false;
        for (build, step, at) in waits.into_iter().filter(|(_, _, at)| over(at)) {
            if self.told.insert((build.clone(), step.clone(), at)) {
                let title = self.record().and_then(|r| r.step(&step)).map_or(step.clone(), |s| s.title.clone());
                self.message = format!("DUE: the waiting time is over: {title}, {build}.");
                new = true;
            }
        }
        new
    }

    fn ask_start(&mut self, k: usize) {
        let Some(offer) = self.offers.get(k).cloned() else {
            return;
        };
        let mut fields = vec![
            Field::with("Your initials", self.by.as_deref().unwrap_or_default()),
            Field::text("Serial number of this module"),
        ];
        for axis in self.modules.axes(&offer) {
            fields.push(Field::choice(&axis.name, axis.allowed).starting(&axis.first));
        }
        fields.push(Field::choice("Practice build, no real module", vec!["no".into(), "yes".into()]));
        fields.push(Field::text("You build alone: why (empty: with others)").optional());
        let title = format!("Start a build of {}", offer.name);
        self.ask = Some(Ask::new(Purpose::Start(offer.name), &title, &offer.title, fields));
    }

    /// Asks who is at the bench.
    pub fn ask_person(&mut self) {
        let words = "Who is at the bench? Initials as in the spec; the role follows from them.";
        let field = Field::with("Initials", self.by.as_deref().unwrap_or_default());
        self.ask = Some(Ask::new(Purpose::Person, "Person", words, vec![field]));
    }

    /// After a long pause somebody else may stand here: asks again before anything is entered. A window that is open waits
    /// meanwhile. True if it asks.
    pub fn after_pause(&mut self) -> bool {
        let asks = self.session.is_some() && self.by.take().is_some();
        if asks {
            let open = self.ask.take().filter(|ask| ask.purpose != Purpose::Person);
            self.parked = open.or_else(|| self.parked.take());
            self.ask_person();
        }
        asks
    }

    /// Opens a build: to go on, or to read where it is finished or altered.
    pub fn open_build(&mut self, build: &str) {
        let complete = self.store.read(build).is_ok_and(|r| r.is_closed());
        self.reading = None;
        self.session = None;
        if !complete {
            match self.store.resume(build) {
                Ok(session) => return self.go_on(session),
                Err(error) => self.not_opened(&error),
            }
        }
        match self.store.read(build) {
            Ok(record) => {
                self.reading = Some(record);
                self.shown = Shown::Record;
                self.line = 0;
            }
            Err(error) => self.not_opened(&error),
        }
    }

    /// True where limits are guarded, instruments are registered, and none of them can decide: said before it is measured.
    #[must_use]
    pub fn none_decides(&self, check: &Check) -> bool {
        let offers = self.register.offers(check, "");
        check.acceptance == Acceptance::Guarded
            && !self.register.instruments.is_empty()
            && !matches!(check.asks(), CheckKind::Gauge | CheckKind::Derived)
            && offers.iter().all(|o| !matches!(o.ability, Ability::Decides | Ability::NotStated))
    }

    /// Opens the guide at the step in work.
    pub fn go_on(&mut self, session: Session) {
        self.look_again = session.record().last_done(3).iter().map(|s| s.id.clone()).collect();
        let (left, told) = session.take_begun();
        self.left = left;
        // What was typed in one build is nothing in another; what of it was complete in part is offered from its own.
        self.entry = OpenEntry::default();
        self.step.clear();
        self.session = Some(session);
        // A register that cannot be read is told where an instrument is asked for.
        self.register = Register::load(self.store.root()).unwrap_or_default();
        self.shown = Shown::Step;
        self.show_work();
        if let Some(begun) = self.left.first().map(|b| b.step.clone()) {
            self.show(begun);
        }
        self.message = told.unwrap_or_default();
        if self.by.is_none() {
            self.ask_person();
        } else {
            answers::ask_if_unknown(self);
        }
    }

    /// Starts a build from the answers of the window.
    pub fn start_build(
        &mut self,
        name: &str,
        (plan, spec_text): (Plan, String),
        (serial, by): (String, String),
        practice: bool,
        alone: Option<String>,
    ) -> Result<(), String> {
        let start = Start { plan, spec_text, spec_name: name.to_owned(), serial, by: by.clone(), practice, alone };
        let session = self.store.start(start).map_err(|e| e.to_string())?;
        self.by = Some(by);
        self.go_on(session);
        Ok(())
    }

    pub(super) fn steps_act(&mut self, act: Act) {
        let n = self.listed().len();
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(n.saturating_sub(1)),
            Act::PageUp => self.line = self.line.saturating_sub(10),
            Act::PageDown => self.line = (self.line + 10).min(n.saturating_sub(1)),
            Act::OpenOnly => {
                self.open_only = !self.open_only;
                self.line = 0;
            }
            Act::Open => {
                if let Some(id) = self.listed().get(self.line).map(|s| s.id.clone()) {
                    self.visit(id);
                    self.shown = Shown::Step;
                }
            }
            Act::Find => self.ask_find(),
            Act::Back => self.shown = Shown::Step,
            _ => {}
        }
    }

    pub(super) fn handover_act(&mut self, act: Act) {
        let last = super::screens::handover::length(self).saturating_sub(usize::from(self.size.1).saturating_sub(2));
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(last),
            Act::PageUp => self.line = self.line.saturating_sub(15),
            Act::PageDown => self.line = (self.line + 15).min(last),
            // A closed record has no step in hand.
            Act::Back if self.session.is_none() => {
                self.shown = Shown::Record;
                self.line = usize::MAX;
            }
            Act::Back => self.shown = Shown::Step,
            _ => {}
        }
    }

    /// Only a record that was closed is opened again.
    pub(super) fn ask_reopen(&mut self) {
        if self.reading.as_ref().is_none_or(|r| !r.is_closed()) {
            self.message = "Only a closed record is opened again, and this one is not.".into();
            return;
        }
        let words = "The close-out stays, and so does its code. Work after it needs a new one.";
        let by = self.by.clone().unwrap_or_default();
        let fields = vec![Field::with("Your initials", &by), Field::text("Why")];
        self.ask = Some(Ask::new(Purpose::Reopen, "Open the record again", words, fields));
    }

    /// Opens the closed record being read, with a reason, and goes on with it.
    pub(super) fn reopen(&mut self, by: &str, reason: &str) -> Result<String, String> {
        let build = self.reading.as_ref().map(|r| r.build.clone()).ok_or("No record is being read.")?;
        let mut session = self.store.resume(&build).map_err(|e| e.to_string())?;
        let event = session.reopen(by, reason).map_err(|e| e.to_string())?;
        self.reading = None;
        self.by = Some(by.to_owned());
        self.go_on(session);
        Ok(format!("Opened again, entry {event}."))
    }

    pub(super) fn ask_find(&mut self) {
        let words = "Only lines that hold these words are shown; empty shows all. On the list of steps a number goes to that step.";
        let field = Field::with("Words or a number", &self.filter).optional();
        self.ask = Some(Ask::new(Purpose::Find, "Find", words, vec![field]));
    }

    /// Shows what holds the words; on the list of steps a number goes to its step.
    pub(super) fn find(&mut self, words: &str) -> Result<String, String> {
        if self.shown == Shown::Steps
            && let Ok(number) = words.parse::<u32>()
        {
            self.filter.clear();
            self.open_only = false;
            let at = self.listed().iter().position(|s| s.number == number);
            self.line = at.ok_or_else(|| format!("There is no step {number}."))?;
            return Ok(String::new());
        }
        self.filter = words.to_owned();
        self.line = 0;
        Ok(String::new())
    }

    /// True where every word asked for is in the text, whatever its case.
    #[must_use]
    pub fn found(&self, text: &str) -> bool {
        let text = text.to_lowercase();
        self.filter.to_lowercase().split_whitespace().all(|word| text.contains(word))
    }

    /// Steps on the list of steps.
    #[must_use]
    pub fn listed(&self) -> Vec<&Step> {
        let Some(record) = self.record() else {
            return Vec::new();
        };
        let open = || record.open_steps().into_iter().filter(|s| held(record, s).is_none()).collect();
        let steps: Vec<&Step> = if self.open_only { open() } else { record.plan().steps.iter().collect() };
        let words = |s: &Step| {
            format!("{} {} {} {} {}", s.title, s.id, s.place, s.parts.join(" "), record.step_state(&s.id).word())
        };
        steps.into_iter().filter(|s| self.found(&words(s))).collect()
    }
}
