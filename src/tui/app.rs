//! The state of the guide and what events do to it. Drawing only reads it.

use std::collections::{BTreeMap, BTreeSet};

use ratatui::symbols::Marker;

use crate::procedure::plan::{Check, CheckKind, Step};
use crate::traveler::instruments::Register;
use crate::traveler::{Begun, CheckState, Fingerprint, Listing, Record, Session, Store, barred};

use super::ask::Ask;
use super::begun::Aside;
use super::builds::Reading;
use super::changing::{Computing, Planned};
use super::entry::OpenEntry;
use super::packing::Packing;
use super::theme::Theme;
use super::trials::Trying;
use super::trouble::Trouble;
use super::{ModuleOffer, Modules};

/// Which screen is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, strum::VariantArray)]
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
    /// Speed trials.
    Trials,
}

/// A line of the bench that can be chosen.
#[derive(Debug, Clone, PartialEq)]
pub enum BenchRow {
    /// A module to build.
    Module(usize),
    /// A build, by its place in the list.
    Build(usize),
    /// A build of which something is due, by its place in the list.
    Due(usize),
}

/// The guide.
pub struct App<'m> {
    /// Where the records are.
    pub store: Store,
    /// Modules on offer.
    pub modules: &'m dyn Modules,
    /// What they are, as read when the bench was last looked at.
    pub offers: Vec<ModuleOffer>,
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
    pub marks: Fingerprint,
    /// A long list that is being read beside.
    pub(super) listing: Option<Reading>,
    /// When that list comes, the cursor goes to the build worked on last.
    pub(super) in_hand: bool,
    /// When a list comes, the cursor goes to this build, which was just left.
    pub(super) just_left: Option<String>,
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
    /// What was typed and not taken when its step was left, by build, step and check.
    pub aside: BTreeMap<(String, String, String), Aside>,
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
    /// What is shown of the speed trials.
    pub trying: Option<Trying>,
    /// The change that is looked at.
    pub change: Option<Planned>,
    /// What is computed once its sign was drawn.
    pub computing: Option<Computing>,
    /// What takes long is drawn as such first; false where nobody draws between keys.
    pub draws_first: bool,
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
    /// A window that waits while it is asked who is at the bench.
    pub(super) parked: Option<Ask>,
    /// What the disk refused, until it was read.
    pub trouble: Option<Trouble>,
    /// Key page.
    pub help: bool,
    /// The list of what is seldom wanted is open, at this line.
    pub menu: Option<usize>,
    /// Lines of the window over the screen that were scrolled past.
    pub over: usize,
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
    /// The day, by this machine's clock.
    pub today: chrono::NaiveDate,
    /// Waits whose end was told: build, step, and the end, since a wait may be started a second time.
    pub told: BTreeSet<(String, String, String)>,
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
            offers: Vec::new(),
            theme,
            marker: Marker::Braille,
            shown: Shown::Bench,
            by: None,
            session: None,
            reading: None,
            builds: Vec::new(),
            marks: Fingerprint::default(),
            listing: None,
            in_hand: false,
            just_left: None,
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
            aside: BTreeMap::new(),
            instrument: None,
            register: Register::default(),
            uncertainty: None,
            line: 0,
            opened: None,
            down: 0,
            trying: None,
            change: None,
            computing: None,
            draws_first: false,
            open_only: false,
            look_again: Vec::new(),
            filter: String::new(),
            packing: None,
            ask: None,
            trouble: None,
            help: false,
            menu: None,
            over: 0,
            message: String::new(),
            left: Vec::new(),
            helpers: BTreeSet::new(),
            burst: false,
            quit: false,
            suspend: false,
            today: chrono::Local::now().date_naive(),
            told: BTreeSet::new(),
            parked: None,
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

    /// The check that waits for its answer, if values are asked at all: not derived unless only a derived one is open.
    #[must_use]
    pub fn open_check(&self) -> Option<&Check> {
        let (record, step) = (self.record()?, self.shown_step()?);
        // A part that was given up and is built in is replaced first.
        if !record.stopped_at(&step.id).is_empty() {
            return None;
        }
        let open = |c: &&Check| record.check_state(step, c) != CheckState::Answered;
        let entered = step.checks.iter().filter(|c| c.asks() != CheckKind::Derived);
        entered
            .clone()
            .find(open)
            .or_else(|| step.checks.iter().find(|c| open(c) && record.reading(&step.id, &c.id).is_some()))
    }

    /// Rows of the bench: modules, builds in hand, what is due, builds done.
    #[must_use]
    pub fn bench_rows(&self) -> Vec<BenchRow> {
        let modules = (0..self.offers.len()).map(BenchRow::Module);
        let done = |k: &usize| self.builds[*k].state == Some(crate::traveler::BuildState::Complete);
        let (finished, in_hand): (Vec<usize>, Vec<usize>) = (0..self.builds.len()).partition(done);
        modules
            .chain(in_hand.into_iter().map(BenchRow::Build))
            .chain(
                (0..self.builds.len())
                    .filter(|&k| self.builds[k].follow.iter().any(|p| p.now(self.today)))
                    .map(BenchRow::Due),
            )
            .chain(finished.into_iter().map(BenchRow::Build))
            .collect()
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
            self.put_aside();
            self.entry = OpenEntry::default();
            self.own_words = false;
            self.step = step;
            self.typing = true;
            self.take_back();
            self.seen = 0;
            // An instrument may have been found faulty meanwhile. One that cannot be read is told where it is asked for.
            if let Ok(register) = Register::load(self.store.root()) {
                self.register = register;
            }
        }
        self.visiting = false;
        self.page = 0;
    }

    /// True where a reading outside its limits waits for its answer at the step shown.
    pub(super) fn is_outside(&self) -> bool {
        self.record().is_some_and(|record| super::screens::outside(self, record))
    }
}
