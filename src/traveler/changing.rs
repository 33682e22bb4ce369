//! From what somebody wants changed on a build to the way there, and to the round of work that begins with it.

use std::collections::{BTreeMap, BTreeSet};

use crate::module::near::or_near;
use crate::module::{self, Module, Setup, Source};
use crate::procedure::Words;
use crate::procedure::change::{self, Built, Change, Round};
use crate::procedure::design_check::Severity;
use crate::procedure::plan::Visit;

use super::enter::{EntryError, refused};
use super::record::Record;
use super::rounds::{Changed, Kind, Worked};
use super::session::Session;

/// What is wanted: another setup, parts replaced, steps done anew, values as received, another revision of the spec.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Goal {
    /// Axis to value; what is not named stays.
    pub set: BTreeMap<String, String>,
    /// Parts that are replaced.
    pub replace: Vec<String>,
    /// Steps that have to be done anew.
    pub redo: Vec<String>,
    /// Values as received, like `rods.class=4.6`.
    pub as_received: Vec<String>,
    /// Text of a new revision of the spec.
    pub spec: Option<String>,
    /// A visit: what it looks at, and what each was left at.
    pub visit: Option<Visit>,
}

impl Goal {
    /// The kind of round that it makes.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        if self.visit.is_some() {
            Kind::Visit
        } else if self.spec.is_some() || !self.as_received.is_empty() {
            Kind::Substitution
        } else if !self.replace.is_empty() {
            Kind::Service
        } else if !self.redo.is_empty() {
            Kind::Rework
        } else {
            Kind::Changeover
        }
    }
}

/// The way from a build to a goal, before it is begun.
#[derive(Debug, Clone)]
pub struct Prospect {
    /// The module as it will be.
    pub module: Module,
    /// Its setup.
    pub setup: Setup,
    /// Steps, what is undone, stale, judged anew.
    pub way: Change,
    /// Kind of the round.
    pub kind: Kind,
    /// What came otherwise: field of the spec and its value.
    pub received: BTreeMap<String, String>,
    /// Steps and parts that are wrong.
    failed: BTreeSet<String>,
    /// What it looks at, where it is a visit.
    visit: Option<Visit>,
    /// Entries the record had when the way was found.
    seen: usize,
}

impl Prospect {
    /// True where the goal does not add up: such a change is not begun.
    #[must_use]
    pub fn blocked(&self) -> bool {
        self.way.findings.iter().any(|f| f.severity == Severity::Error)
    }

    /// What is said where a changeover leads to the setup that is there already, so that there is nothing to change; none
    /// where there is. Steps of the build that are still to be done are its own, not those of a change.
    #[must_use]
    pub fn nothing_to_do(&self, record: &Record) -> Option<String> {
        let same = self.kind == Kind::Changeover && self.setup.values == record.plan().setup;
        let left = self.way.plan.steps.len();
        let own = left == 0 || record.current_step().is_some();
        (same && own && self.failed.is_empty() && self.way.undone.is_empty()).then(|| {
            let rest = match left {
                0 => String::new(),
                n => format!(" Its own work goes on: {n} steps are still to be done."),
            };
            format!("Nothing to do for this: {} stands in this setup already.{rest}", record.build)
        })
    }
}

/// Why there is no way.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{reason}")]
pub struct CannotChange {
    /// In a line.
    pub reason: String,
    /// With place and mend, where a spec is to blame.
    pub report: Option<String>,
}

pub(super) fn cannot(reason: impl Into<String>) -> CannotChange {
    CannotChange { reason: reason.into(), report: None }
}

/// The way from a build as it stands, which may be the middle of another change, to a goal.
///
/// # Errors
/// [`CannotChange`] for a goal the build or its spec does not know, and where no way exists.
pub fn prospect(record: &Record, goal: &Goal, words: &Words) -> Result<Prospect, CannotChange> {
    let old = read(record.spec(), "the record's spec")?;
    let module = goal_module(record, goal, &old)?;
    let mut wanted: BTreeMap<String, String> = record.plan().setup.clone();
    wanted.extend(goal.set.clone());
    let setup = choose(&module, &wanted)?;
    let adopted = record.adopts(&setup.values);
    let setup = setup.as_adopted(adopted);
    let worked = record.worked();
    let failed = failed(record, &worked, goal, &old)?;
    let way = from_rounds(&worked, &failed, &module, &setup, words, goal.visit.as_ref())?;
    let received = received(goal)?;
    Ok(Prospect {
        module,
        setup,
        way,
        kind: goal.kind(),
        received,
        failed,
        visit: goal.visit.clone(),
        seen: record.events.len(),
    })
}

/// The way from where a record ends to a module in a setup, some steps and parts being wrong, or some joints due.
///
/// # Errors
/// [`CannotChange`] where a spec in the record does not read any more, or no way exists.
pub fn way(
    record: &Record,
    failed: &BTreeSet<String>,
    module: &Module,
    setup: &Setup,
    words: &Words,
    visit: Option<&Visit>,
) -> Result<Change, CannotChange> {
    from_rounds(&record.worked(), failed, module, setup, words, visit)
}

fn from_rounds(
    worked: &[Worked],
    failed: &BTreeSet<String>,
    module: &Module,
    setup: &Setup,
    words: &Words,
    visit: Option<&Visit>,
) -> Result<Change, CannotChange> {
    let modules: Vec<(Module, Setup)> = worked.iter().map(of_round).collect::<Result<_, _>>()?;
    let rounds = worked.iter().zip(&modules).map(|(worked, (module, setup))| Round {
        module,
        setup,
        done: &worked.done,
        begun: &worked.begun,
        failed: &worked.failed,
        visit: worked.visit.as_ref(),
    });
    let rounds: Vec<Round<'_>> = rounds.collect();
    let built = Built { rounds: &rounds, failed };
    let way = match visit {
        Some(visit) => change::visit(&built, module, setup, words, visit),
        None => change::change(&built, module, setup, words),
    };
    way.map_err(|e| cannot(e.to_string()))
}

fn of_round(worked: &Worked) -> Result<(Module, Setup), CannotChange> {
    let module = read(&worked.spec, "the record's spec")?;
    let setup = choose(&module, &worked.setup)?.as_adopted(worked.adopted);
    Ok((module, setup))
}

fn goal_module(record: &Record, goal: &Goal, old: &Module) -> Result<Module, CannotChange> {
    let text = goal.spec.clone().unwrap_or_else(|| record.spec().to_owned());
    let text = goal.as_received.iter().try_fold(text, |text, pair| {
        let (field, value) = field_and_value(pair)?;
        module::substitute(&text, field, value).map_err(cannot)
    })?;
    let module = read(&text, "the spec as received")?;
    if module.id == old.id {
        Ok(module)
    } else {
        Err(cannot(format!("this build is of {}, the spec is of {}", old.id, module.id)))
    }
}

fn field_and_value(pair: &str) -> Result<(&str, &str), CannotChange> {
    let (field, value) = pair
        .split_once('=')
        .ok_or_else(|| cannot(format!("\"--as-received {pair}\" is not FIELD=VALUE; write it like rods.class=4.6")))?;
    Ok((field.trim(), value.trim()))
}

/// Fields and values of what came otherwise.
fn received(goal: &Goal) -> Result<BTreeMap<String, String>, CannotChange> {
    let owned = |(field, value): (&str, &str)| (field.to_owned(), value.to_owned());
    goal.as_received.iter().map(|pair| field_and_value(pair).map(owned)).collect()
}

/// Ids of every part that a step of the build names, in order.
#[must_use]
pub fn parts_of(record: &Record) -> BTreeSet<&str> {
    let first = &record.started().plan.steps;
    first.iter().chain(&record.plan().steps).flat_map(|s| &s.parts).map(String::as_str).collect()
}

/// Parts and steps that do not stand, each known to the build.
fn failed(record: &Record, worked: &[Worked], goal: &Goal, old: &Module) -> Result<BTreeSet<String>, CannotChange> {
    let parts = parts_of(record);
    if let Some(part) = goal.replace.iter().find(|p| !parts.contains(p.as_str())) {
        let known: Vec<&str> = parts.into_iter().collect();
        let near = or_near(part, known.iter().copied());
        return Err(cannot(format!("{} has no part \"{part}\"; its parts are {}{near}", old.id, known.join(", "))));
    }
    let done: BTreeSet<&str> = worked.iter().flat_map(|w| &w.done).map(|s| s.id.as_str()).collect();
    if let Some(step) = goal.redo.iter().find(|s| !done.contains(s.as_str())) {
        let near = or_near(step, done.iter().copied());
        return Err(cannot(format!(
            "\"{step}\" is no step that is done; \"runtrue review {}\" lists them{near}",
            record.build
        )));
    }
    // What was given up while it was built in comes out with whatever is changed next.
    let given_up = record.to_replace();
    Ok(goal.replace.iter().chain(&goal.redo).chain(&given_up).cloned().collect())
}

impl Session {
    /// Begins the change that was looked at, and gives back the entry's number.
    ///
    /// # Errors
    /// [`EntryError`] where the goal does not add up, the record grew since, the reason is missing (a changeover has one
    /// of its own), or [`Session::begin`] refuses.
    pub fn begin_change(&mut self, prospect: Prospect, reason: Option<&str>, by: &str) -> Result<u64, EntryError> {
        if prospect.blocked() {
            return Err(refused("what is asked for does not add up, so it is not begun"));
        }
        let record = self.record();
        if record.events.len() != prospect.seen {
            return Err(refused("the record grew meanwhile; look at the change again"));
        }
        let leaves = record.leaves_adopted(&prospect.setup.values);
        let reason = match (reason, prospect.kind) {
            (Some(reason), _) => reason.to_owned(),
            (None, Kind::Changeover) if leaves => {
                let adopted = record.adopted().map_or_else(String::new, super::adopted::Adopted::said);
                return Err(refused(format!(
                    "this build has an adopted setup ({adopted}); say why it is left with --reason \"…\""
                )));
            }
            (None, Kind::Visit) => "what has settled is due to be looked at".into(),
            (None, Kind::Changeover) => "changeover to another setup".into(),
            (None, _) => return Err(refused("say why with --reason \"…\"")),
        };
        let way = prospect.way;
        let changed = Changed {
            round: record.round() + 1,
            kind: prospect.kind,
            reason,
            role: record.role(by),
            received: prospect.received,
            spec: prospect.module.text,
            plan: way.plan.into(),
            undone: way.undone,
            stale: way.stale,
            rejudged: way.rejudged,
            standing: way.standing,
            parts: way.parts,
            stages: way.stages,
            failed: prospect.failed,
            visit: prospect.visit,
        };
        self.begin(changed, by)
    }
}

fn read(text: &str, name: &str) -> Result<Module, CannotChange> {
    let read = module::read(&Source { name: name.to_owned(), text: text.to_owned() });
    read.map_err(|problems| CannotChange { reason: problems.to_string(), report: Some(problems.report()) })
}

fn choose(module: &Module, values: &BTreeMap<String, String>) -> Result<Setup, CannotChange> {
    Setup::choose(module, values).map_err(|e| cannot(e.to_string()))
}
