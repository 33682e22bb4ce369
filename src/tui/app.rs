//! The state of the guide and what events do to it. Drawing only reads it.

use std::collections::BTreeSet;

use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use ratatui::symbols::Marker;

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::instruments::Register;
use crate::traveler::{Begun, CheckState, Listing, Marks, Record, Session, Store, barred};

use super::ask::Ask;
use super::builds::Reading;
use super::changing::Planned;
use super::entry::OpenEntry;
use super::keys::{self, Act, On};
use super::packing::Packing;
use super::theme::Theme;
use super::trouble::Trouble;
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
    /// For the next shift.
    Handover,
    /// A kit to tick off.
    Kit,
    /// What a change of a build means, before it is begun.
    Change,
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
    /// What the records looked like when they were listed.
    pub marks: Marks,
    /// A long list that is being read beside.
    pub(super) listing: Option<Reading>,
    /// When that list comes, the cursor goes to the build worked on last.
    pub(super) in_hand: bool,
    /// Chosen line of the bench.
    pub chosen: usize,
    /// Id of the step shown.
    pub step: String,
    /// It is shown for a look, away from the step in hand.
    pub visiting: bool,
    /// Page of its text.
    pub page: usize,
    /// Pages of it that were seen.
    pub seen: usize,
    /// The picture alone.
    pub picture: bool,
    /// To be read from two metres.
    pub far: bool,
    /// Two people: one reads and types, the other acts and answers.
    pub two: bool,
    /// The step's own words, while a reading outside waits for its answer.
    pub own_words: bool,
    /// The open entry.
    pub entry: OpenEntry,
    /// Keys go into a text entry.
    pub typing: bool,
    /// The register of instruments, as it was when the build was opened.
    pub register: Register,
    /// Instrument of the next readings.
    pub instrument: Option<String>,
    /// Its expanded uncertainty, as stated in the register.
    pub uncertainty: Option<String>,
    /// Line of a list or of the record.
    pub line: usize,
    /// Number of the entry of the record that is opened whole.
    pub opened: Option<u64>,
    /// Lines of it that were scrolled past.
    pub down: usize,
    /// The change that is looked at.
    pub change: Option<Planned>,
    /// Only steps that may be done now.
    pub open_only: bool,
    /// Steps to look at again after an absence.
    pub look_again: Vec<String>,
    /// Words that a listed step or entry of the record has to hold.
    pub filter: String,
    /// The kit that is ticked off.
    pub packing: Option<Packing>,
    /// Questions.
    pub ask: Option<Ask>,
    /// What the disk refused, until it was read.
    pub trouble: Option<Trouble>,
    /// Key page.
    pub help: bool,
    /// What was just said.
    pub message: String,
    /// Values begun and not complete, kept beside the record.
    pub left: Vec<Begun>,
    /// Initials that stand under no role and were said to be helpers.
    pub helpers: BTreeSet<String>,
    /// Digits came that no entry took: the Enter that follows is a caliper's.
    pub burst: bool,
    /// Leave.
    pub quit: bool,
    /// Stop for a while, as the shell does with Ctrl-Z.
    pub suspend: bool,
    /// Waits whose end was told: build and step.
    pub told: BTreeSet<(String, String)>,
    /// Size of the terminal.
    pub size: (u16, u16),
}

impl<'m> App<'m> {
    /// The guide at the bench.
    #[must_use]
    pub fn new(store: Store, modules: &'m dyn Modules, theme: Theme) -> Self {
        let mut app = Self {
            store,
            modules,
            theme,
            marker: Marker::Braille,
            shown: Shown::Bench,
            by: None,
            session: None,
            reading: None,
            builds: Vec::new(),
            marks: Marks::default(),
            listing: None,
            in_hand: false,
            chosen: 0,
            step: String::new(),
            visiting: false,
            page: 0,
            seen: 0,
            picture: false,
            far: false,
            two: false,
            own_words: false,
            entry: OpenEntry::default(),
            typing: true,
            instrument: None,
            register: Register::default(),
            uncertainty: None,
            line: 0,
            opened: None,
            down: 0,
            change: None,
            open_only: false,
            look_again: Vec::new(),
            filter: String::new(),
            packing: None,
            ask: None,
            trouble: None,
            help: false,
            message: String::new(),
            left: Vec::new(),
            helpers: BTreeSet::new(),
            burst: false,
            quit: false,
            suspend: false,
            told: BTreeSet::new(),
            size: (80, 24),
        };
        app.look_at_builds();
        app
    }

    /// The record in work or being read.
    #[must_use]
    pub fn record(&self) -> Option<&Record> {
        self.session.as_ref().map(Session::record).or(self.reading.as_ref())
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
        self.session.is_some() && self.shown_step().is_some_and(|s| barred(record, s).is_none())
    }

    /// The check that waits for its answer: not derived unless only a derived one is open.
    #[must_use]
    pub fn open_check(&self) -> Option<&Check> {
        let (record, step) = (self.record()?, self.shown_step()?);
        let open = |c: &&Check| record.check_state(step, c) != CheckState::Answered;
        let entered = step.checks.iter().filter(|c| c.asks() != CheckKind::Derived);
        entered
            .clone()
            .find(open)
            .or_else(|| step.checks.iter().find(|c| open(c) && record.reading(&step.id, &c.id).is_some()))
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
            Event::Mouse(mouse) => self.mouse(*mouse),
            Event::FocusGained => self.refresh(),
            Event::Key(key) if key.kind == KeyEventKind::Press => {
                self.refresh();
                self.key(key);
            }
            _ => {}
        }
    }

    /// The keys of the screen shown.
    #[must_use]
    pub const fn on(&self) -> On {
        match self.shown {
            Shown::Bench => On::Bench,
            Shown::Step => On::Step,
            Shown::Steps => On::Steps,
            Shown::Record => On::Record,
            Shown::Handover => On::Handover,
            Shown::Kit => On::Kit,
            Shown::Change => On::Change,
        }
    }

    pub(super) fn key(&mut self, key: &KeyEvent) {
        // Ctrl-C leaves as q does at the bench: the record is safe at any moment.
        let control = key.modifiers.contains(KeyModifiers::CONTROL);
        if control && matches!(key.code, KeyCode::Char('c' | 'z')) {
            self.quit = key.code == KeyCode::Char('c');
            self.suspend = !self.quit;
            return;
        }
        if self.too_small() {
            return;
        }
        if self.trouble_key(key.code) {
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
            self.look_again_key(key);
            return;
        }
        if self.shown == Shown::Step && self.entry_key(key) {
            return;
        }
        let burst = std::mem::take(&mut self.burst);
        match keys::act(self.on(), key) {
            // The Enter of a caliper whose digits found no entry opens no line of a list.
            Some(_) if burst && key.code == KeyCode::Enter => {}
            Some(act) => self.act(act),
            None => self.stray(key),
        }
    }

    /// True where keys go to the screen itself and not to a window over it.
    #[must_use]
    pub const fn in_front(&self) -> bool {
        self.ask.is_none() && self.look_again.is_empty() && !self.help && self.trouble.is_none()
    }

    /// Below 80 x 24 nothing is taken; what was typed stays.
    #[must_use]
    pub const fn too_small(&self) -> bool {
        self.size.0 < 80 || self.size.1 < 24
    }

    fn act(&mut self, act: Act) {
        match act {
            Act::Help => {
                self.help = true;
                return;
            }
            Act::Theme => {
                self.theme = self.theme.next();
                return;
            }
            _ => self.message.clear(),
        }
        match self.shown {
            Shown::Bench => self.bench_act(act),
            Shown::Step => self.step_act(act),
            Shown::Steps => self.steps_act(act),
            Shown::Record => self.record_act(act),
            Shown::Handover => self.handover_act(act),
            Shown::Kit => self.kit_act(act),
            Shown::Change => self.change_act(act),
        }
    }

    /// Shows the step in work.
    pub fn show_work(&mut self) {
        let step = self.record().and_then(|r| r.current_step().or_else(|| r.plan().steps.last())).map(|s| s.id.clone());
        if let Some(step) = step {
            self.show(step);
        }
    }

    /// Shows a step from its first page, the entry empty.
    pub fn show(&mut self, step: String) {
        if self.step != step {
            self.entry = OpenEntry::default();
            self.own_words = false;
            self.step = step;
            self.typing = !self.is_outside();
            self.seen = 0;
            // An instrument may have been found faulty meanwhile. One that cannot be read is told where it is asked for.
            if let Ok(register) = Register::load(self.store.root()) {
                self.register = register;
            }
        }
        self.visiting = false;
        self.page = 0;
    }

    /// True where a reading outside its limits waits for its answer at the step shown: keys are commands there, also
    /// where words are typed.
    pub(super) fn is_outside(&self) -> bool {
        self.record().is_some_and(|record| super::screens::outside(self, record))
    }

    fn ask_key(&mut self, key: &KeyEvent) {
        let Some(ask) = &mut self.ask else { return };
        match key.code {
            KeyCode::Esc => self.leave_ask(),
            KeyCode::Backspace => ask.backspace(),
            KeyCode::Up | KeyCode::Left => ask.turn(-1),
            KeyCode::Down | KeyCode::Right | KeyCode::Tab => ask.turn(1),
            KeyCode::Enter => self.ask_enter(),
            KeyCode::Char(c) if !c.is_control() => ask.push(c),
            _ => {}
        }
    }

    fn ask_enter(&mut self) {
        let answered = self.ask.as_mut().and_then(|ask| ask.enter().then(|| ask.clone()));
        if let Some(ask) = answered {
            answers::apply(self, &ask);
        }
    }
}
