//! From drafts to the plan: words, order, numbers, reasons.

use std::collections::BTreeMap;

use crate::module::{Module, Setup};

use super::draft::{self, Draft, Sheet};
use super::drawing;
use super::engine::{self, Edge, Goal, Id, Item, Path, Refusal, Score, Stage, State, Work};
use super::figures::{Figures, NoFigure};
use super::follow_up::{self, FollowUp};
use super::joints::{self, Context};
use super::plan::{Check, CheckKind, Plan, Running, Step};
use super::score;
use super::words::{ADDED, Rendered, Words, WordsError};

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A figure cannot be computed.
    #[error(transparent)]
    Figure(#[from] NoFigure),
    /// No order exists.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// The spec marks a check as critical that no step asks for.
    #[error(
        "spec, line {line}: no step asks for {name} as a value; take operation and check from \"plan --format json\", like ream/bore"
    )]
    Critical {
        /// Line of the spec.
        line: usize,
        /// As written there.
        name: String,
    },
    /// A file of words cannot be used.
    #[error(transparent)]
    Words(#[from] WordsError),
}

/// Operations of one setup, put down and put into words, before they have an order.
pub struct Prepared<'a> {
    /// What the kinds of joint look at.
    pub context: Context<'a>,
    /// Operations and groups.
    pub sheet: Sheet,
    /// What is looked at again later.
    follow_up: Vec<FollowUp>,
    /// Their words.
    pub rendered: Vec<Rendered>,
    /// As the engine sees them.
    pub works: Vec<Work>,
    /// What runs of the setup are held against.
    running: Running,
    /// The files they come from.
    words: &'a Words,
}

impl<'a> Prepared<'a> {
    /// Puts down the operations of a setup.
    ///
    /// # Errors
    /// [`PlanError`].
    pub fn of(context: Context<'a>, words: &'a Words) -> Result<Self, PlanError> {
        let mut sheet = joints::put_down(&context)?;
        mark_critical(context.module, &mut sheet.drafts)?;
        let follow_up = follow_up::of(&context, &sheet)?;
        let rendered = sheet.drafts.iter().map(|d| words.render(d)).collect::<Result<Vec<_>, _>>()?;
        let works = sheet.drafts.iter().zip(&rendered).map(|(d, r)| work(d, r)).collect();
        let (trial, expected) = joints::trial(&context)?;
        let trial = step(0, &trial, &words.render(&trial)?, Vec::new(), Vec::new());
        let running = joints::running(&context, &expected, trial);
        Ok(Self { context, sheet, follow_up, rendered, works, running, words })
    }

    /// The way from a state to everything in place.
    ///
    /// # Errors
    /// [`Refusal`].
    pub fn way(&self, state: &State) -> Result<Path, Refusal> {
        let stacked = self.context.stacked();
        let score = |order: &[(Id, Stage)]| stacked.as_ref().map_or_else(Score::none, |s| score::of(s, order));
        let couplings: Vec<engine::Coupled<'_>> =
            self.sheet.coupled.iter().map(|(a, b)| (a.clone(), b.clone(), &score as engine::Judge<'_>)).collect();
        engine::path(state, &Goal { works: &self.works, groups: &self.sheet.groups, couplings: &couplings })
    }

    /// The words they are put into.
    pub fn words(&self) -> &'a Words {
        self.words
    }

    /// The plan that holds these steps.
    pub fn plan(&self, steps: Vec<Step>) -> Plan {
        let Context { module, setup, figures, .. } = self.context;
        Plan {
            module: module.id.clone(),
            title: module.title.clone(),
            revision: module.revision.clone(),
            setup: setup.values.clone(),
            spec_sha256: module.sha256.clone(),
            templates: self.words.used(),
            people: module.people.clone(),
            drawing: drawing::of(module, setup, figures),
            running: Some(Box::new(self.running.clone())),
            steps,
            follow_up: self.follow_up.clone(),
        }
    }
}

/// The plan for a first build of the module in one setup, in the program's own words.
///
/// # Errors
/// [`PlanError`].
pub fn plan(module: &Module, setup: &Setup) -> Result<Plan, PlanError> {
    plan_with(module, setup, Words::built_in()?)
}

/// The plan for a first build, in a workshop's words.
///
/// # Errors
/// [`PlanError`].
pub fn plan_with(module: &Module, setup: &Setup, words: &Words) -> Result<Plan, PlanError> {
    let figures = Figures::of(module, setup)?;
    let prepared = Prepared::of(Context::new(module, setup, &figures), words)?;
    let path = prepared.way(&State::default())?;
    let lines: Vec<Line<'_>> = path
        .items
        .iter()
        .filter_map(|item| if let Item::Do(at) = item { Some(*at) } else { None })
        .map(|at| Line { draft: &prepared.sheet.drafts[at], words: &prepared.rendered[at], because: None })
        .collect();
    Ok(prepared.plan(number(&lines, &path.edges)))
}

/// Marks the checks that the spec wants typed twice. Only a value can be: a yes or a click says nothing the second time.
fn mark_critical(module: &Module, drafts: &mut [Draft]) -> Result<(), PlanError> {
    for wanted in &module.critical {
        let mut found = false;
        for draft in &mut *drafts {
            let named = |check: &Check| wanted.value == format!("{}/{}", draft.kind, check.id);
            let a_value =
                |check: &Check| matches!(check.kind, CheckKind::Measure | CheckKind::Series | CheckKind::Count);
            for check in draft.checks.iter_mut().filter(|c| named(c) && a_value(c)) {
                check.critical = true;
                found = true;
            }
        }
        if !found {
            return Err(PlanError::Critical { line: wanted.place.line as usize, name: wanted.value.clone() });
        }
    }
    Ok(())
}

/// A draft as the engine sees it.
pub fn work(draft: &Draft, words: &Rendered) -> Work {
    let first = |list: &[String]| list.first().cloned().unwrap_or_default();
    let torque = draft.torque_nm.map_or_else(String::new, |t| format!("{t} N·m "));
    let mut makes = draft.makes.clone();
    makes.sort_unstable();
    makes.dedup();
    Work {
        id: draft.id.clone(),
        needs: draft.needs.clone(),
        parts: draft.parts.clone(),
        adds: draft.adds.clone(),
        removes: draft.removes.clone(),
        raises: draft.raises.clone(),
        makes,
        key: torque + &draft.key,
        bolts: draft.raises.as_ref().and(draft.sequence.as_ref()).map_or(0, |s| s.len() as u32),
        readings: draft.checks.len() as u32,
        place: draft.place.to_owned(),
        tool: first(&words.tools),
        instrument: first(&words.instruments),
        waits: draft.wait_h.is_some(),
    }
}

/// One step before it has its number.
pub struct Line<'a> {
    /// What is done.
    pub draft: &'a Draft,
    /// In words.
    pub words: &'a Rendered,
    /// Why it has to be at all, for what is undone or done again.
    pub because: Option<String>,
}

/// Numbers the lines and gives each its predecessors and reasons. The edges are between places in the list.
pub fn number(lines: &[Line<'_>], edges: &[Edge]) -> Vec<Step> {
    let mut incoming: BTreeMap<usize, Vec<&Edge>> = BTreeMap::new();
    let mut outgoing: BTreeMap<usize, Vec<&Edge>> = BTreeMap::new();
    for edge in edges {
        incoming.entry(edge.to).or_default().push(edge);
        outgoing.entry(edge.from).or_default().push(edge);
    }
    let numbered = lines.iter().enumerate().map(|(at, line)| {
        let before = incoming.get(&at).map_or(&[][..], Vec::as_slice);
        let later = outgoing.get(&at).map_or(&[][..], Vec::as_slice);
        let mut from: Vec<usize> = before.iter().map(|e| e.from).collect();
        from.sort_unstable();
        from.dedup();
        let after = from.iter().map(|&b| lines[b].draft.id.clone()).collect();
        let mut why = reasons(before, later, lines, at);
        why.extend(line.because.iter().map(|b| format!("Because {b}.")));
        step(at, line.draft, line.words, after, why)
    });
    numbered.collect()
}

/// Reasons in words: a score first, then what would block the way, then what must be there; each once.
fn reasons(before: &[&Edge], later: &[&Edge], lines: &[Line<'_>], at: usize) -> Vec<String> {
    let own: Vec<&str> = lines[at].draft.needs.iter().map(|n| n.why.as_str()).collect();
    let mut list: Vec<(u8, String)> = Vec::new();
    for edge in before {
        let rank = if edge.hard { 2 } else { 0 };
        list.push((rank, format!("After {}: {}.", lines[edge.from].draft.id, edge.why)));
    }
    for edge in later {
        // What this step itself needs open or absent is a reason to do it now.
        if own.contains(&edge.why.as_str()) {
            list.push((1, format!("Before {}: {}.", lines[edge.to].draft.id, edge.why)));
        }
    }
    list.sort();
    list.dedup();
    merge_same(list)
}

/// "After a: why." and "After b: why." become "After a, b: why."
fn merge_same(list: Vec<(u8, String)>) -> Vec<String> {
    let mut merged: Vec<(String, Vec<String>, String)> = Vec::new();
    for (_, text) in list {
        let (head, why) = text.split_once(": ").unwrap_or((&text, ""));
        let (word, id) = head.split_once(' ').unwrap_or((head, ""));
        match merged.iter_mut().find(|(w, _, y)| w == word && y == why) {
            Some((_, ids, _)) => ids.push(id.to_owned()),
            None => merged.push((word.to_owned(), vec![id.to_owned()], why.to_owned())),
        }
    }
    same_steps(merged)
}

/// "After a: why." and "After a: other." become "After a: why; other."
fn same_steps(list: Vec<(String, Vec<String>, String)>) -> Vec<String> {
    let mut merged: Vec<(String, Vec<String>, Vec<String>)> = Vec::new();
    for (word, ids, why) in list {
        let why = why.trim_end_matches('.').to_owned();
        match merged.iter_mut().find(|(w, i, _)| *w == word && *i == ids) {
            Some((_, _, all)) => all.push(why),
            None => merged.push((word, ids, vec![why])),
        }
    }
    merged.into_iter().map(|(word, ids, why)| format!("{word} {}: {}.", ids.join(", "), why.join("; "))).collect()
}

/// One step.
fn step(k: usize, draft: &Draft, words: &Rendered, after: Vec<Id>, why_now: Vec<String>) -> Step {
    let mut checks = draft.checks.clone();
    for check in &mut checks {
        check.prompt = words.prompts.get(&check.id).cloned().unwrap_or_default();
    }
    for (id, prompt) in words.prompts.iter().filter(|(id, _)| id.starts_with(ADDED)) {
        let own = draft::confirm(id);
        checks.push(Check { prompt: prompt.clone(), basis: "the workshop's own words".into(), ..own });
    }
    let (group, stage) = match (&draft.raises, &draft.shows) {
        (Some((group, stage)), _) => (Some(group.clone()), Some(stage.to_string())),
        (None, Some((group, stage))) => (Some(group.clone()), Some(stage.clone())),
        (None, None) => (None, None),
    };
    let joint = group.as_ref().and_then(|_| draft.text("group")).map(|name| name.trim_start_matches("the ").to_owned());
    Step {
        number: u32::try_from(k + 1).unwrap_or(u32::MAX),
        id: draft.id.clone(),
        operation: draft.kind.to_owned(),
        title: words.title.clone(),
        parts: draft.parts.clone(),
        place: draft.place.to_owned(),
        group,
        joint,
        stage,
        torque_nm: draft.torque_nm,
        sequence: draft.sequence.clone(),
        hold: draft.hold.map(str::to_owned),
        minutes: draft.minutes,
        wait_h: draft.wait_h,
        why_now,
        after,
        cautions: words.cautions.clone(),
        tools: words.tools.clone(),
        instruments: words.instruments.clone(),
        actions: words.actions.clone(),
        checks,
        adds: draft.adds.clone(),
        removes: draft.removes.clone(),
        picture: draft.picture.clone(),
    }
}
