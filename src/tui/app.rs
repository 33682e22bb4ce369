//! The state of the guide and what events do to it. Drawing only reads it.

use std::collections::BTreeMap;

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind};
use ratatui::symbols::Marker;

use crate::procedure::plan::{Check, CheckKind, Plan, Step};
use crate::traveler::{
    CheckState, Entry, Listing, Record, Session, Start, StepState, Store, barred, code,
};

use super::ask::{Ask, Field, Purpose};
use super::entry::{OpenEntry, Taken};
use super::keys::{self, Act, On};
use super::theme::Theme;
use super::{Modules, answers};

/// Which screen is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// Modules and builds.
    Bench,
    /// One step.
    Step,
    /// List of steps.
    Steps,
    /// The record.
    Record,
}

/// A line of the bench that can be chosen.
#[derive(Debug, Clone, PartialEq)]
pub enum BenchRow {
    /// A module to build.
    Module(usize),
    /// A build, by its place in the list.
    Build(usize),
}

/// The guide.
pub struct App<'m> {
    /// Where the records are.
    pub store: Store,
    /// Modules on offer.
    pub modules: &'m dyn Modules,
    /// Styles.
    pub theme: Theme,
    /// Marks in pictures.
    pub marker: Marker,
    /// Screen.
    pub shown: Shown,
    /// Initials of who is at the bench.
    pub by: Option<String>,
    /// The build in work.
    pub session: Option<Session>,
    /// A finished or altered record, to read.
    pub reading: Option<Record>,
    /// Builds, as listed.
    pub builds: Vec<Listing>,
    /// Chosen line of the bench.
    pub chosen: usize,
    /// Id of the step shown.
    pub step: String,
    /// Page of its text.
    pub page: usize,
    /// Pages of it that were seen.
    pub seen: usize,
    /// The picture alone.
    pub picture: bool,
    /// The open entry.
    pub entry: OpenEntry,
    /// Keys go into a text entry.
    pub typing: bool,
    /// Instrument of the next readings.
    pub instrument: Option<String>,
    /// Line of a list or of the record.
    pub line: usize,
    /// Only steps that may be done now.
    pub open_only: bool,
    /// Steps to look at again after an absence.
    pub look_again: Vec<String>,
    /// Questions.
    pub ask: Option<Ask>,
    /// Key page.
    pub help: bool,
    /// What was just said.
    pub message: String,
    /// Leave.
    pub quit: bool,
    /// Size of the terminal.
    pub size: (u16, u16),
}

impl<'m> App<'m> {
    /// The guide at the bench.
    #[must_use]
    pub fn new(store: Store, modules: &'m dyn Modules, theme: Theme) -> Self {
        let builds = store.list();
        Self {
            store,
            modules,
            theme,
            marker: Marker::Braille,
            shown: Shown::Bench,
            by: None,
            session: None,
            reading: None,
            builds,
            chosen: 0,
            step: String::new(),
            page: 0,
            seen: 0,
            picture: false,
            entry: OpenEntry::default(),
            typing: true,
            instrument: None,
            line: 0,
            open_only: false,
            look_again: Vec::new(),
            ask: None,
            help: false,
            message: String::new(),
            quit: false,
            size: (80, 24),
        }
    }

    /// The record in work or being read.
    #[must_use]
    pub fn record(&self) -> Option<&Record> {
        self.session
            .as_ref()
            .map(Session::record)
            .or(self.reading.as_ref())
    }

    /// The step shown.
    #[must_use]
    pub fn shown_step(&self) -> Option<&Step> {
        self.record()?.step(&self.step)
    }

    /// True where the step shown is the one in work, and entries count.
    #[must_use]
    pub fn at_work(&self) -> bool {
        let Some(record) = self.record() else {
            return false;
        };
        self.session.is_some()
            && self
                .shown_step()
                .is_some_and(|s| barred(record, s).is_none())
    }

    /// The check that waits for its answer: not derived unless only a derived one is open.
    #[must_use]
    pub fn open_check(&self) -> Option<&Check> {
        let (record, step) = (self.record()?, self.shown_step()?);
        let open = |c: &&Check| record.check_state(step, c) != CheckState::Answered;
        let entered = step.checks.iter().filter(|c| c.kind != CheckKind::Derived);
        entered.clone().find(open).or_else(|| {
            step.checks
                .iter()
                .find(|c| open(c) && record.reading(&step.id, &c.id).is_some())
        })
    }

    /// Rows of the bench: modules, builds in hand, builds done.
    #[must_use]
    pub fn bench_rows(&self) -> Vec<BenchRow> {
        let modules = (0..self.modules.list().len()).map(BenchRow::Module);
        let done = |k: &usize| self.builds[*k].state == Some(crate::traveler::BuildState::Complete);
        let (finished, in_hand): (Vec<usize>, Vec<usize>) = (0..self.builds.len()).partition(done);
        modules
            .chain(in_hand.into_iter().map(BenchRow::Build))
            .chain(finished.into_iter().map(BenchRow::Build))
            .collect()
    }

    /// What an event does.
    pub fn update(&mut self, event: &Event) {
        match event {
            Event::Resize(w, h) => {
                self.size = (*w, *h);
                self.page = 0;
            }
            // A paste goes into an open field and never fires a key.
            Event::Paste(text) => self.paste(text),
            Event::Key(key) if key.kind == KeyEventKind::Press => self.key(key),
            _ => {}
        }
    }

    fn paste(&mut self, text: &str) {
        let clean = text.chars().filter(|c| !c.is_control());
        if let Some(ask) = &mut self.ask {
            clean.for_each(|c| ask.push(c));
        } else if self.shown == Shown::Step && self.takes_text() && self.at_work() {
            clean.for_each(|c| self.entry.push(c));
        } else {
            self.message = "Pasted text was not used: no entry is open.".into();
        }
    }

    fn key(&mut self, key: &KeyEvent) {
        // Ctrl-C leaves as q does at the bench: the record is safe at any moment.
        if key.code == KeyCode::Char('c')
            && key
                .modifiers
                .contains(crossterm::event::KeyModifiers::CONTROL)
        {
            self.quit = true;
            return;
        }
        if self.too_small() {
            return;
        }
        if self.help {
            self.help = false;
            return;
        }
        if self.ask.is_some() {
            self.ask_key(key);
            return;
        }
        if !self.look_again.is_empty() {
            if matches!(key.code, KeyCode::Char('w') | KeyCode::Tab | KeyCode::Esc) {
                self.look_again.clear();
            }
            return;
        }
        if self.shown == Shown::Step && self.entry_key(key) {
            return;
        }
        let on = match self.shown {
            Shown::Bench => On::Bench,
            Shown::Step => On::Step,
            Shown::Steps => On::Steps,
            Shown::Record => On::Record,
        };
        match keys::act(on, key) {
            Some(act) => self.act(act),
            None => self.stray(key),
        }
    }

    /// Below 80 x 24 nothing is taken; what was typed stays.
    #[must_use]
    pub const fn too_small(&self) -> bool {
        self.size.0 < 80 || self.size.1 < 24
    }

    /// A caliper may type at any time; what finds no entry is said, not guessed.
    fn stray(&mut self, key: &KeyEvent) {
        if let KeyCode::Char(c) = key.code
            && (c.is_ascii_digit() || matches!(c, ',' | '.' | '-'))
        {
            self.message = format!("Not used: {c}. No entry for a value is open here.");
        }
    }

    /// Kinds of check that take typed characters.
    #[must_use]
    pub fn takes_text(&self) -> bool {
        self.open_check().is_some_and(|c| {
            matches!(
                c.kind,
                CheckKind::Measure
                    | CheckKind::Series
                    | CheckKind::Count
                    | CheckKind::Text
                    | CheckKind::Torque
            )
        }) && self.text_seen()
    }

    /// The entry opens once every page of cautions and actions was seen.
    #[must_use]
    pub fn text_seen(&self) -> bool {
        self.seen + 1 >= super::screens::step::page_count(self)
    }

    /// Keys that belong to the open entry. True if the key was one.
    fn entry_key(&mut self, key: &KeyEvent) -> bool {
        if !self.at_work() || !self.takes_text() {
            return false;
        }
        let Some(check) = self.open_check().cloned() else {
            return false;
        };
        let words = check.kind == CheckKind::Text && self.typing;
        match key.code {
            KeyCode::Enter => self.enter(&check),
            KeyCode::Backspace => self.entry.backspace(),
            KeyCode::Esc if words => {
                self.typing = false;
                self.message = "Keys are commands now; v types words again.".into();
            }
            KeyCode::Esc => self.entry.input.clear(),
            KeyCode::Char(c) if words => self.entry.push(c),
            KeyCode::Char(c) if self.belongs(c, &check) => self.entry.push(c),
            _ => return false,
        }
        true
    }

    /// Characters of a value: digits and signs always; letters, spaces and fractions once a number has begun.
    fn belongs(&self, c: char, check: &Check) -> bool {
        if check.kind == CheckKind::Text {
            return false;
        }
        let begun = !self.entry.input.is_empty();
        c.is_ascii_digit()
            || matches!(c, ',' | '.' | '-')
            || (begun
                && check.unit.is_some()
                && (c.is_alphabetic() || matches!(c, ' ' | '/' | '·' | '°' | 'µ' | '%' | '"')))
    }

    fn enter(&mut self, check: &Check) {
        let sequence = self.sequence();
        let taken = self.entry.enter(check, &sequence);
        self.taken(taken);
    }

    fn sequence(&self) -> Vec<u32> {
        self.shown_step()
            .and_then(|s| s.sequence.clone())
            .unwrap_or_default()
    }

    fn taken(&mut self, taken: Taken) {
        match taken {
            Taken::Ready(values) => self.record_values(values),
            Taken::More => {}
            Taken::Not(why) | Taken::ShowBack(why) => self.message = why,
        }
    }

    /// Records the values for the open check.
    pub fn record_values(&mut self, values: Vec<String>) {
        let Some(by) = self.by.clone() else {
            self.ask_person();
            return;
        };
        let (Some(check), Some(step)) = (
            self.open_check().map(|c| c.id.clone()),
            self.shown_step().map(|s| s.id.clone()),
        ) else {
            return;
        };
        let entry = Entry {
            step,
            check,
            values,
            by,
            instrument: self.instrument.clone(),
            bare: true,
            ..Entry::default()
        };
        let Some(session) = &mut self.session else {
            return;
        };
        match session.enter(&entry) {
            Ok(outcome) => {
                self.message = format!(
                    "Saved, entry {}: {}, {}.",
                    outcome.event,
                    outcome.verdict.word(),
                    outcome.message
                );
                self.entry = OpenEntry::default();
                self.typing = true;
            }
            Err(error) => {
                self.message = error.to_string();
                // A series that does not count stays to be mended, value by value.
                if self.entry.input.is_empty() {
                    self.entry.given.pop();
                }
            }
        }
    }

    fn act(&mut self, act: Act) {
        self.message.clear();
        match self.shown {
            Shown::Bench => self.bench_act(act),
            Shown::Step => self.step_act(act),
            Shown::Steps => self.steps_act(act),
            Shown::Record => self.record_act(act),
        }
    }

    fn bench_act(&mut self, act: Act) {
        let rows = self.bench_rows();
        match act {
            Act::Up => self.chosen = self.chosen.saturating_sub(1),
            Act::Down => self.chosen = (self.chosen + 1).min(rows.len().saturating_sub(1)),
            Act::Person => self.ask_person(),
            Act::Help => self.help = true,
            Act::Quit => self.quit = true,
            Act::Open => match rows.get(self.chosen) {
                Some(BenchRow::Module(k)) => self.ask_start(*k),
                Some(BenchRow::Build(k)) => {
                    let build = self.builds[*k].build.clone();
                    self.open_build(&build);
                }
                None => {}
            },
            _ => {}
        }
    }

    fn ask_start(&mut self, k: usize) {
        let Some(offer) = self.modules.list().into_iter().nth(k) else {
            return;
        };
        let mut fields = vec![
            Field::with("Your initials", self.by.as_deref().unwrap_or_default()),
            Field::text("Serial number of this module"),
        ];
        for axis in &offer.axes {
            let mut choices = axis.allowed.clone();
            choices.sort_by_key(|c| *c != axis.first);
            fields.push(Field::choice(&axis.name, choices));
        }
        fields.push(Field::choice(
            "Practice build, no real module",
            vec!["no".into(), "yes".into()],
        ));
        let title = format!("Start a build of {}", offer.name);
        self.ask = Some(Ask::new(
            Purpose::Start(offer.name),
            &title,
            &offer.title,
            fields,
        ));
    }

    /// Asks who is at the bench.
    pub fn ask_person(&mut self) {
        let words = "Who is at the bench? Initials as in the spec; the role follows from them.";
        let field = Field::with("Initials", self.by.as_deref().unwrap_or_default());
        self.ask = Some(Ask::new(Purpose::Person, "Person", words, vec![field]));
    }

    /// Opens a build: to go on, or to read where it is finished or altered.
    pub fn open_build(&mut self, build: &str) {
        let complete = self
            .store
            .read(build)
            .is_ok_and(|r| r.build_state() == crate::traveler::BuildState::Complete);
        self.reading = None;
        self.session = None;
        if !complete {
            match self.store.resume(build) {
                Ok(session) => return self.go_on(session),
                Err(error) => self.message = error.to_string(),
            }
        }
        match self.store.read(build) {
            Ok(record) => {
                self.reading = Some(record);
                self.shown = Shown::Record;
                self.line = 0;
            }
            Err(error) => self.message = error.to_string(),
        }
    }

    /// Opens the guide at the step in work.
    pub fn go_on(&mut self, session: Session) {
        self.look_again = session
            .record()
            .last_done(3)
            .iter()
            .map(|s| s.id.clone())
            .collect();
        self.session = Some(session);
        self.shown = Shown::Step;
        self.to_work();
        if self.by.is_none() {
            self.ask_person();
        }
    }

    /// Starts a build from the answers of the window.
    pub fn start_build(
        &mut self,
        name: &str,
        setup: &BTreeMap<String, String>,
        serial: String,
        by: String,
        practice: bool,
    ) -> Result<(), String> {
        let (plan, spec_text): (Plan, String) = self.modules.plan(name, setup)?;
        let start = Start {
            plan,
            spec_text,
            spec_name: name.to_owned(),
            serial,
            by: by.clone(),
            practice,
        };
        let session = self.store.start(start).map_err(|e| e.to_string())?;
        self.by = Some(by);
        self.go_on(session);
        Ok(())
    }

    /// Shows the step in work.
    pub fn to_work(&mut self) {
        let step = self
            .record()
            .and_then(|r| r.current_step().or_else(|| r.plan().steps.last()))
            .map(|s| s.id.clone());
        if let Some(step) = step {
            self.show(step);
        }
    }

    /// Shows a step from its first page, the entry empty.
    pub fn show(&mut self, step: String) {
        if self.step != step {
            self.entry = OpenEntry::default();
            self.typing = true;
            self.step = step;
            self.seen = 0;
        }
        self.page = 0;
    }

    fn step_act(&mut self, act: Act) {
        match act {
            Act::Yes | Act::No => self.answer(act == Act::Yes),
            Act::Click => self.click(),
            Act::Undo => self.entry.undo(),
            Act::Next => self.next(),
            Act::Earlier => self.look(-1),
            Act::Later => self.look(1),
            Act::Work => self.to_work(),
            Act::PageDown => self.turn_page(),
            Act::PageUp => self.page = self.page.saturating_sub(1),
            Act::Picture => self.picture = !self.picture,
            Act::Marks => {
                self.marker = if self.marker == Marker::Braille {
                    super::widgets::section::plain_marker()
                } else {
                    Marker::Braille
                }
            }
            Act::Help => self.help = true,
            Act::Type => self.typing = true,
            Act::Steps => self.list_steps(),
            Act::Record => {
                self.shown = Shown::Record;
                self.line = usize::MAX;
            }
            Act::Back => self.to_bench(),
            Act::Person => self.ask_person(),
            Act::Clock => self.clock(),
            Act::Finish => self.finish(),
            other => answers::open(self, other),
        }
    }

    fn list_steps(&mut self) {
        self.shown = Shown::Steps;
        self.line = self
            .listed()
            .iter()
            .position(|s| s.id == self.step)
            .unwrap_or(0);
    }

    /// Steps on the list of steps.
    #[must_use]
    pub fn listed(&self) -> Vec<&Step> {
        let Some(record) = self.record() else {
            return Vec::new();
        };
        if self.open_only {
            record.open_steps()
        } else {
            record.plan().steps.iter().collect()
        }
    }

    fn turn_page(&mut self) {
        let pages = super::screens::step::page_count(self);
        self.page = (self.page + 1).min(pages - 1);
        self.seen = self.seen.max(self.page);
    }

    fn to_bench(&mut self) {
        self.session = None;
        self.reading = None;
        self.builds = self.store.list();
        self.chosen = self.chosen.min(self.bench_rows().len().saturating_sub(1));
        self.shown = Shown::Bench;
    }

    fn answer(&mut self, yes: bool) {
        if !self.at_work() {
            return;
        }
        if !self.text_seen() {
            self.message = "Read to the end first: PgDn.".into();
            return;
        }
        match self.open_check().map(|c| c.kind) {
            Some(CheckKind::Confirm) => {
                self.record_values(vec![if yes { "yes" } else { "no" }.into()])
            }
            Some(CheckKind::Gauge) => self.gauge(yes),
            _ => {}
        }
    }

    /// First the go side, then the no-go side.
    fn gauge(&mut self, yes: bool) {
        let word = if yes { "yes" } else { "no" };
        let side = if self.entry.given.is_empty() {
            "go"
        } else {
            "no-go"
        };
        self.entry.given.push(format!("{side}={word}"));
        if self.entry.given.len() == 2 {
            let values = self.entry.given.clone();
            self.record_values(values);
        }
    }

    fn click(&mut self) {
        if !self.text_seen() {
            self.turn_page();
            return;
        }
        let bolts = self
            .open_check()
            .is_some_and(|c| c.kind == CheckKind::Torque && !crate::traveler::is_round(c));
        if bolts && self.at_work() {
            let sequence = self.sequence();
            let taken = self.entry.click(&sequence);
            self.taken(taken);
        } else {
            self.turn_page();
        }
    }

    /// Leaves for the next step that can be worked on; an unanswered entry stays behind, said so.
    fn next(&mut self) {
        let Some(record) = self.record() else { return };
        if !self.entry.given.is_empty() || !self.entry.input.is_empty() {
            self.message = "An entry is begun: Enter records it, u takes it back.".into();
            return;
        }
        let done = self
            .shown_step()
            .is_some_and(|s| record.step_state(&s.id) == StepState::Done);
        let number = self.shown_step().map_or(0, |s| s.number);
        let open = record.open_steps();
        let after = open
            .iter()
            .find(|s| s.number > number)
            .or_else(|| open.first())
            .map(|s| s.id.clone());
        let all_done = open.is_empty();
        if done {
            self.to_work();
        } else if let Some(step) = after {
            self.message = "The step before is not finished; it stays open.".into();
            self.show(step);
        }
        if all_done {
            self.message = "Every step is done. x closes the record.".into();
        }
    }

    fn look(&mut self, by: isize) {
        let Some(record) = self.record() else { return };
        let steps = &record.plan().steps;
        let at = steps.iter().position(|s| s.id == self.step).unwrap_or(0);
        let to = at
            .saturating_add_signed(by)
            .min(steps.len().saturating_sub(1));
        let id = steps[to].id.clone();
        self.show(id);
    }

    /// Starts a wait, or ends it when its time is over.
    fn clock(&mut self) {
        let waits = self.open_check().is_some_and(|c| c.kind == CheckKind::Wait);
        if !(waits && self.at_work()) {
            return;
        }
        let running = match (self.record(), self.shown_step(), self.open_check()) {
            (Some(r), Some(s), Some(c)) => r.check_state(s, c) == CheckState::Running,
            _ => false,
        };
        self.record_values(vec![if running { "done" } else { "started" }.into()]);
    }

    fn finish(&mut self) {
        let (Some(session), Some(by)) = (&mut self.session, &self.by) else {
            return;
        };
        match session.finish(by) {
            Ok(_) => {
                let plate = session
                    .record()
                    .events
                    .last()
                    .map_or_else(String::new, |e| code(&e.hash));
                self.message = format!("The record is closed. Code for the plate: {plate}");
                self.shown = Shown::Record;
                self.line = usize::MAX;
                self.reading = Some(session.record().clone());
                self.session = None;
            }
            Err(error) => self.message = error.to_string(),
        }
    }

    fn steps_act(&mut self, act: Act) {
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
                    self.show(id);
                    self.shown = Shown::Step;
                }
            }
            Act::Back => self.shown = Shown::Step,
            Act::Help => self.help = true,
            _ => {}
        }
    }

    fn record_act(&mut self, act: Act) {
        let last = super::screens::record::last_line(self);
        self.line = self.line.min(last);
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(last),
            Act::PageUp => self.line = self.line.saturating_sub(15),
            Act::PageDown => self.line = (self.line + 15).min(last),
            Act::Back if self.session.is_some() => self.shown = Shown::Step,
            Act::Back => self.to_bench(),
            Act::Help => self.help = true,
            _ => {}
        }
    }

    fn ask_key(&mut self, key: &KeyEvent) {
        let Some(ask) = &mut self.ask else { return };
        match key.code {
            KeyCode::Esc => self.ask = None,
            KeyCode::Backspace => ask.backspace(),
            KeyCode::Up | KeyCode::Left => ask.turn(-1),
            KeyCode::Down | KeyCode::Right | KeyCode::Tab => ask.turn(1),
            KeyCode::Enter => {
                if ask.enter() {
                    let done = ask.clone();
                    answers::apply(self, &done);
                }
            }
            KeyCode::Char(c) if !c.is_control() => ask.push(c),
            _ => {}
        }
    }
}
