//! A record read from its bytes, and the state folded from its events.

use std::collections::BTreeMap;

use crate::procedure::plan::{Check, Plan, Step};

use super::event::{Body, ClosedOut, Event, FORMAT, Released, Started, Verdict};
use super::given_up::Gone;
use super::proof;
use super::state::{BuildState, CheckState, Integrity, StepState};
use super::step_states::Steps;

/// One build's record.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Folder name.
    pub build: String,
    /// Events that are as they were written.
    pub events: Vec<Event>,
    /// How whole the file is.
    pub integrity: Integrity,
    started: Started,
    pub(super) index: Index,
    pub(super) steps: Steps,
}

/// Where what is asked for again and again stands in the list of events; follows from it and is never written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Index {
    /// Readings of a check in the round of work in hand, by step and check.
    pub(super) readings: Readings,
    /// Readings of the rounds before it.
    pub(super) earlier: Vec<Readings>,
    /// Events that began a round.
    begun: Vec<usize>,
    /// The last disposition of a reading, by the number of its event.
    pub(super) dispositions: BTreeMap<u64, usize>,
    /// The release of a step in force; none where a reading came after it.
    releases: BTreeMap<String, Option<usize>>,
    /// Decisions that gave a part up and stand.
    pub(super) given_up: Vec<Gone>,
    /// How the last close-out or re-opening left the build; none before the first.
    ended: Option<BuildState>,
}

/// Events of the readings of each check, oldest first.
pub(super) type Readings = BTreeMap<(String, String), Vec<usize>>;

impl Index {
    fn add(&mut self, at: usize, event: &Event) {
        match &event.body {
            Body::Reading(r) => {
                if let Some(corrects) = &r.corrects {
                    self.given_up.retain(|g| g.reading != corrects.event);
                }
                self.readings.entry((r.step.clone(), r.check.clone())).or_default().push(at);
                // A reading after the release takes it back: what was released is not what stands now.
                self.releases.insert(r.step.clone(), None);
                let (step, check) = (r.step.clone(), r.check.clone());
                let gone = |given| Gone { reading: event.header.event, at, step, check, given };
                self.give_up(r.given_up.clone().map(gone));
            }
            Body::Disposition(d) => {
                self.dispositions.insert(d.reading, at);
                // Decided otherwise: what the former decision gave up is not given up.
                self.given_up.retain(|g| g.reading != d.reading);
                let (step, check) = (d.step.clone(), d.check.clone());
                self.give_up(d.given_up.clone().map(|given| Gone { reading: d.reading, at, step, check, given }));
            }
            Body::Release(r) => {
                self.releases.insert(r.step.clone(), Some(at));
            }
            Body::ClosedOut(_) => self.ended = Some(BuildState::Complete),
            Body::Reopened(_) => self.ended = Some(BuildState::Reopened),
            Body::Changed(_) => {
                // A new round of work has its own readings and holds.
                self.earlier.push(std::mem::take(&mut self.readings));
                self.releases.clear();
                self.begun.push(at);
            }
            _ => {}
        }
    }

    /// From here on readings of the part are the former part's, and what was released with them is not released.
    fn give_up(&mut self, gone: Option<Gone>) {
        let Some(gone) = gone else { return };
        for touched in &gone.given.former {
            self.releases.insert(touched.step.clone(), None);
        }
        self.given_up.push(gone);
    }

    /// How many readings at the head of a list are the former part's, by the decisions before an event.
    pub(super) fn former(&self, step: &str, check: &str, list: &[usize], before: usize) -> usize {
        let gone = self.given_up.iter().filter(|g| g.at < before && g.touches(step, check));
        gone.map(|g| list.partition_point(|at| *at < g.at)).max().unwrap_or(0)
    }
}

/// A file that is no record.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NoRecord(pub String);

impl Event {
    /// The step that work was done at: by a reading or its release. For a correction, and for what is computed from readings
    /// elsewhere, nobody was at the machine.
    fn works_on(&self) -> Option<&str> {
        match &self.body {
            Body::Reading(r) if r.corrects.is_none() && !r.derived => Some(&r.step),
            Body::Release(r) => Some(&r.step),
            _ => None,
        }
    }
}

impl Record {
    /// Reads the bytes of a record. A broken event ends the reading; what stands before it is given.
    ///
    /// # Errors
    /// [`NoRecord`] where not even the first event can be trusted.
    pub fn read(build: &str, file: &[u8]) -> Result<Self, NoRecord> {
        let (events, integrity) = proof::of_file(file);
        Self::of_events(build, events, integrity)
    }

    /// How whole the bytes are, said also of a file that is too damaged to be read as a record.
    #[must_use]
    pub fn integrity_of(file: &[u8]) -> Integrity {
        proof::of_file(file).1
    }

    /// Folds events that were proved.
    pub(super) fn of_events(build: &str, events: Vec<Event>, mut integrity: Integrity) -> Result<Self, NoRecord> {
        let started = match events.first().map(|e| &e.body) {
            Some(Body::Started(s)) => (**s).clone(),
            _ => {
                let why = integrity.first_bad.map_or_else(
                    || "its start was never completed; move the folder away and start the build again".into(),
                    |(n, why)| format!("altered at entry {n}: {why}; take a copy of the record from elsewhere"),
                );
                return Err(NoRecord(format!("{build} cannot be read as a record: {why}")));
            }
        };
        if started.format > FORMAT {
            integrity.read_only =
                Some(format!("it was written in format {}, this program writes format {FORMAT}", started.format));
        }
        if events.iter().any(|e| e.body == Body::Unknown) {
            integrity.read_only = Some("it holds a kind of event this program does not know".into());
        }
        let mut index = Index::default();
        for (at, event) in events.iter().enumerate() {
            index.add(at, event);
        }
        Ok(Self { build: build.to_owned(), events, integrity, started, index, steps: Steps::default() })
    }

    /// How it was started.
    #[must_use]
    pub const fn started(&self) -> &Started {
        &self.started
    }

    /// The plan of the round of work in hand.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        self.changed().map_or(&self.started.plan, |c| &c.plan)
    }

    /// Places in the list of events at which a round began.
    pub(super) fn begun(&self) -> &[usize] {
        &self.index.begun
    }

    /// Where the answer to a check stands.
    #[must_use]
    pub fn check_state(&self, step: &Step, check: &Check) -> CheckState {
        if self.stopped_until_replaced(&step.id, &check.id).is_some() {
            return CheckState::Stopped;
        }
        let Some(kept) = self.reading(&step.id, &check.id) else {
            return CheckState::Blank;
        };
        if kept.reading.values.first().is_some_and(|v| v == "started")
            && check.kind == crate::procedure::plan::CheckKind::Wait
        {
            return CheckState::Running;
        }
        // What stays open is asked for before what stands now.
        let kept = self.lasting(&step.id, check).unwrap_or(kept);
        match (kept.reading.verdict, kept.disposition) {
            (Verdict::Within | Verdict::NotJudged, _) if self.outside_through(step, check) => CheckState::Open,
            (Verdict::Within | Verdict::NotJudged, _) => CheckState::Answered,
            (_, Some((d, _))) if d.kind.accepts() => CheckState::Answered,
            (_, Some((d, _))) if d.kind.gives_up() => CheckState::Stopped,
            _ => CheckState::Open,
        }
    }

    /// True where what is computed from this reading in its own step is outside and not decided: the test is done again.
    fn outside_through(&self, step: &Step, check: &Check) -> bool {
        let of = format!("{}/{}", step.id, check.id);
        let resting =
            step.checks.iter().filter(|c| c.derive.as_ref().is_some_and(|d| d.rests_on().contains(&of.as_str())));
        resting.filter_map(|c| self.reading(&step.id, &c.id)).any(|k| {
            // Rework is the decision to do it again; one that lets it be, or gives the part up, ends the matter here.
            let settled = k.disposition.as_ref().is_some_and(|(d, _)| d.kind.accepts() || d.kind.gives_up());
            k.reading.verdict.open() && !settled
        })
    }

    /// True where a step is held and nothing but its release is missing: everything is answered, and no part of it is out.
    #[must_use]
    pub fn waits_for_release(&self, step: &Step) -> bool {
        let answered = |c: &Check| self.check_state(step, c) == CheckState::Answered;
        step.hold.is_some() && self.release(&step.id).is_none() && step.checks.iter().all(answered)
    }

    /// The release of a step in force: given after its last reading.
    #[must_use]
    pub fn release(&self, step: &str) -> Option<(&Released, &Event)> {
        let event = self.events.get((*self.index.releases.get(step)?)?)?;
        match &event.body {
            Body::Release(r) => Some((r, event)),
            _ => None,
        }
    }

    /// Ids of the steps in `after` that are not done.
    #[must_use]
    pub fn missing_before(&self, step: &Step) -> Vec<String> {
        step.after.iter().filter(|id| self.step_state(id) != StepState::Done).cloned().collect()
    }

    /// Steps that may be worked on now.
    #[must_use]
    pub fn open_steps(&self) -> Vec<&Step> {
        let done = |id: &String| self.step_state(id) == StepState::Done;
        self.plan().steps.iter().filter(|s| !done(&s.id) && s.after.iter().all(done)).collect()
    }

    /// The step the guide opens at: the first that can be worked on, held ones last.
    #[must_use]
    pub fn current_step(&self) -> Option<&Step> {
        let open = self.open_steps();
        let waits = |s: &&&Step| {
            let running = s.checks.iter().any(|c| self.check_state(s, c) == CheckState::Running);
            self.step_state(&s.id) == StepState::Held || running
        };
        open.iter().find(|s| !waits(s)).or_else(|| open.first()).copied()
    }

    /// Steps done, in the order in which they were worked on last, newest last.
    #[must_use]
    pub fn last_done(&self, n: usize) -> Vec<&Step> {
        let mut seen: Vec<&str> = Vec::new();
        for event in self.events.iter().rev() {
            if seen.len() == n {
                break;
            }
            let Some(id) = event.works_on() else { continue };
            if !seen.contains(&id) && self.step_state(id) == StepState::Done {
                seen.push(id);
            }
        }
        seen.iter().rev().filter_map(|id| self.step(id)).collect()
    }

    /// How many steps are done.
    #[must_use]
    pub fn steps_done(&self) -> usize {
        self.plan().steps.iter().filter(|s| self.step_state(&s.id) == StepState::Done).count()
    }

    /// Events that are stated to be earlier than the event before them: the clock was set back.
    #[must_use]
    pub fn clock_set_back(&self) -> Vec<u64> {
        let at = |e: &Event| super::session::time(&e.header.at);
        let pairs = self.events.windows(2);
        let back = pairs.filter(|p| matches!((at(&p[0]), at(&p[1])), (Some(a), Some(b)) if b < a));
        back.map(|p| p[1].header.event).collect()
    }

    /// State of the build.
    #[must_use]
    pub fn build_state(&self) -> BuildState {
        if let Some(state) = self.index.ended {
            return state;
        }
        let open = self.open_steps();
        let all_held = !open.is_empty() && open.iter().all(|s| self.step_state(&s.id) == StepState::Held);
        if all_held { BuildState::Held } else { BuildState::Open }
    }

    /// True where it is closed and was not opened again.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.index.ended == Some(BuildState::Complete)
    }

    /// Close-outs with their codes.
    #[must_use]
    pub fn closeouts(&self) -> Vec<(u64, String, &ClosedOut, &str)> {
        let list = self.events.iter().filter_map(|e| match &e.body {
            Body::ClosedOut(c) => Some((e.header.event, code(&e.hash), c, e.hash.as_str())),
            _ => None,
        });
        list.collect()
    }

    /// Role of a person, as the spec states it.
    #[must_use]
    pub fn role(&self, initials: &str) -> String {
        let role = self.plan().people.iter().find(|(_, list)| list.iter().any(|i| i == initials));
        role.map_or_else(|| "helper".to_owned(), |(role, _)| role.clone())
    }

    /// True if the person stands under that role.
    #[must_use]
    pub fn has_role(&self, initials: &str, role: &str) -> bool {
        self.plan().people.get(role).is_some_and(|list| list.iter().any(|i| i == initials))
    }
}

/// The code for the plate: the first 16 hex digits in groups of four.
#[must_use]
pub fn code(hash: &str) -> String {
    let digits: Vec<char> = hash.chars().take(16).collect();
    digits.chunks(4).map(|c| c.iter().collect::<String>()).collect::<Vec<_>>().join("-")
}

impl Record {
    /// Adds an event that is on disk.
    pub(super) fn push(&mut self, event: Event) {
        self.steps.forget(&event);
        self.index.add(self.events.len(), &event);
        self.integrity.events += 1;
        self.events.push(event);
    }
}
