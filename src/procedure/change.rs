//! From a build as it stands to another setup, a replaced part or a corrected step: what is undone, done, kept and stale.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::module::{Module, Setup};

use super::design_check::{self, Finding};
use super::draft::{self, Draft};
use super::engine::{Item, Path, Stage, State, Undoing};
use super::figures::Figures;
use super::joints::Context;
use super::plan::{Check, Plan, Visit};
use super::standing::Standing;
use super::steps::{Line, PlanError, Prepared, number};
use super::words::{Rendered, Words};

pub use super::engine::RENEWED;
pub use super::standing::Round;

/// A build as it stands.
#[derive(Clone, Copy)]
pub struct Built<'a> {
    /// Its rounds of work, the first build first, each as far as it went.
    pub rounds: &'a [Round<'a>],
    /// Ids of steps and parts that turned out wrong.
    pub failed: &'a BTreeSet<String>,
}

/// A reading that the change touches.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Touched {
    /// Step id.
    pub step: String,
    /// Check id.
    pub check: String,
    /// Why.
    pub because: String,
}

/// A step done, or begun with its part on, that does not stand any more, and the step that undoes it where something has to come off
/// or be eased.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Undone {
    /// Step id.
    pub step: String,
    /// The step that undoes it; none for what is only no longer true.
    pub by: Option<String>,
    /// Why.
    pub because: String,
}

/// A change, before or after it is begun.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Only the steps of the change, in order.
    pub plan: Plan,
    /// Steps undone.
    pub undone: Vec<Undone>,
    /// Readings no longer true.
    pub stale: Vec<Touched>,
    /// Readings still true, held against other limits now.
    pub rejudged: Vec<Touched>,
    /// Steps done that stand.
    pub standing: BTreeSet<String>,
    /// Readings kept.
    pub kept: u32,
    /// Parts in place when it begins.
    pub parts: Vec<String>,
    /// Stage of each group when it begins.
    pub stages: BTreeMap<String, String>,
    /// What the design check finds in the goal, errors first: a change with errors is not begun.
    pub findings: Vec<Finding>,
}

impl Change {
    /// What it comes to, in a sentence.
    #[must_use]
    pub fn sum(&self) -> String {
        let minutes: u32 = self.plan.steps.iter().map(|s| s.minutes).sum();
        format!(
            "{} steps, about {} h {} min of work (common practice). {} readings kept, {} disturbed, {} held against other limits.",
            self.plan.steps.len(),
            minutes / 60,
            minutes % 60,
            self.kept,
            self.stale.len(),
            self.rejudged.len()
        )
    }
}

/// Finds the way from a build to a module in a setup. The build may stand in the middle of another change: what is undone
/// stays undone, what is not may stay.
///
/// # Errors
/// [`PlanError`] where a figure cannot be computed or no order exists.
pub fn change(from: &Built<'_>, module: &Module, setup: &Setup, words: &Words) -> Result<Change, PlanError> {
    way(from, module, setup, words, None)
}

/// Finds the way of a visit to a build: what is due is looked at once more, and what rests on it is done again. Nothing
/// else is.
///
/// # Errors
/// As [`change`].
pub fn visit(
    from: &Built<'_>,
    module: &Module,
    setup: &Setup,
    words: &Words,
    visit: &Visit,
) -> Result<Change, PlanError> {
    way(from, module, setup, words, Some(visit))
}

fn way(
    from: &Built<'_>,
    module: &Module,
    setup: &Setup,
    words: &Words,
    visit: Option<&Visit>,
) -> Result<Change, PlanError> {
    let own: Vec<Figures> = from.rounds.iter().map(|r| Figures::of(r.module, r.setup)).collect::<Result<_, _>>()?;
    let each = from.rounds.iter().zip(&own);
    let old = each.map(|(r, figures)| {
        Prepared::of(Context { visit: r.visit, ..Context::new(r.module, r.setup, figures) }, words)
    });
    let old: Vec<Prepared<'_>> = old.collect::<Result<_, _>>()?;
    let mut standing = Standing::of(from.rounds, &old);
    standing.fail(from.failed);
    if visit.is_some() {
        standing.due_again();
    }
    let figures = Figures::of(module, setup)?;
    let context = Context { visit, ..Context::new(module, setup, &figures) };
    let first = Prepared::of(context, words)?;
    let standing = standing.with(&in_the_way(&standing, &first)?, true);
    let state = &standing.state;
    let stays = stays(state, &first.way(state)?);
    // What stays on the shaft is not marked and cleaned again, so the words are put down once more.
    let goal = Prepared::of(Context { fitted: &stays, ..context }, words)?;
    let path = goal.way(state)?;
    let undoing = undoing(&old, &standing, &goal, &path)?;
    let steps = number(&lines(&goal, &path, &standing, &undoing), &path.edges);
    let fallen: BTreeMap<&str, &str> = fallen(state, &path);
    let mut change = Change {
        plan: goal.plan(steps),
        undone: undone(state, &path, &undoing),
        stale: Vec::new(),
        rejudged: Vec::new(),
        standing: BTreeSet::new(),
        kept: 0,
        parts: state.present().into_keys().map(str::to_owned).collect(),
        stages: standing.stages(),
        findings: design_check::of_one(module, setup),
    };
    for draft in &standing.drafts {
        sort_readings(&mut change, draft, &goal, fallen.get(draft.id.as_str()).copied());
    }
    Ok(change)
}

/// What is begun and would have to come off again if its parts are on: then it is taken off, for they may well be.
fn in_the_way(standing: &Standing, goal: &Prepared<'_>) -> Result<BTreeSet<String>, PlanError> {
    let begun = standing.begun();
    if begun.is_empty() {
        return Ok(begun);
    }
    let on = standing.with(&begun, false);
    let undone: BTreeSet<usize> = goal.way(&on.state)?.undone.into_iter().map(|(at, _)| at).collect();
    let ids = on.state.done.iter().enumerate().filter(|(at, _)| undone.contains(at)).map(|(_, work)| work.id.clone());
    Ok(ids.filter(|id| begun.contains(id)).collect())
}

fn fallen<'a>(state: &'a State, path: &'a Path) -> BTreeMap<&'a str, &'a str> {
    path.undone.iter().map(|(at, why)| (state.done[*at].id.as_str(), why.as_str())).collect()
}

/// Parts that are on and stay on.
fn stays(state: &State, path: &Path) -> BTreeSet<String> {
    let gone: BTreeSet<usize> = path.undone.iter().map(|(at, _)| *at).collect();
    state.present().into_iter().filter(|(_, by)| !gone.contains(by)).map(|(part, _)| part.to_owned()).collect()
}

/// Drafts and words of what is undone, in the order of the way.
fn undoing(
    old: &[Prepared<'_>],
    standing: &Standing,
    goal: &Prepared<'_>,
    path: &Path,
) -> Result<Vec<(Draft, Rendered)>, PlanError> {
    let words = goal.words();
    let taken: BTreeSet<&str> = goal.sheet.drafts.iter().map(|d| d.id.as_str()).collect();
    let mut list: Vec<(Draft, Rendered)> = Vec::new();
    for item in &path.items {
        let Item::Undo(undoing, _) = item else { continue };
        let draft = match undoing {
            Undoing::TakeOff { part, by } => standing.drafts.get(*by).map(|d| take_off(d, part)),
            Undoing::Release { group, from, to } => raise_of(old, group).map(|d| release(d, group, *from, *to)),
        };
        let Some(mut draft) = draft else { continue };
        while taken.contains(draft.id.as_str()) || list.iter().any(|(d, _)| d.id == draft.id) {
            draft.id.push_str("-for-change");
        }
        let rendered = words.render(&draft)?;
        list.push((draft, rendered));
    }
    Ok(list)
}

/// A draft that tightens the group by wrench, for its words and its order; of the last round that has one.
fn raise_of<'a>(old: &'a [Prepared<'_>], group: &str) -> Option<&'a Draft> {
    let raises = |d: &&Draft| d.raises.as_ref().is_some_and(|(g, _)| g == group);
    old.iter().rev().find_map(|own| own.sheet.drafts.iter().filter(raises).max_by_key(|d| d.sequence.is_some()))
}

fn take_off(fit: &Draft, part: &str) -> Draft {
    let mut draft = Draft::new("remove", fit.off, part, fit.place)
        .parts(fit.parts.clone())
        .check(draft::confirm("taken-off"))
        .removes(part)
        .picture(fit.picture.clone())
        .minutes(fit.minutes);
    if fit.adds.len() > 1 {
        draft = draft.slot("part", part);
    }
    draft.slots.extend(fit.slots.clone());
    if draft.slots.iter().all(|(name, _)| *name != "part") {
        draft = draft.slot("part", part);
    }
    draft
}

fn release(raise: &Draft, group: &str, from: Stage, to: Option<Stage>) -> Draft {
    let words = to.unwrap_or(Stage::Loose).to_string();
    let sequence: Vec<u32> = raise.sequence.iter().flatten().rev().copied().collect();
    let n = sequence.len().max(1) as u32;
    let end = match to {
        None | Some(Stage::Loose | Stage::Hand) => "all turn by the fingers",
        Some(_) => "all hold the parts together and no more",
    };
    let listed = sequence.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let mut draft = Draft::new("release", "group", group, raise.place)
        .staged(&format!("to {words}"))
        .parts(raise.parts.clone())
        .slot("from", from.to_string())
        .slot("to", words.clone())
        .slot("sequence", if listed.is_empty() { "given".to_owned() } else { listed })
        .slot("end", end)
        .check(draft::count("eased", n, n, "every one"))
        .picture(raise.picture.clone())
        .minutes(2 + n.div_ceil(3));
    draft.slots.extend(raise.slots.clone());
    draft.shows = Some((group.to_owned(), words));
    draft.sequence = Some(sequence).filter(|s| !s.is_empty());
    draft
}

/// The lines of the way: what is undone says why, and so does what is done again.
fn lines<'a>(
    goal: &'a Prepared<'_>,
    path: &Path,
    standing: &Standing,
    undoing: &'a [(Draft, Rendered)],
) -> Vec<Line<'a>> {
    let mut fallen = fallen(&standing.state, path);
    for (id, why) in &standing.before {
        fallen.entry(id).or_insert(why);
    }
    let mut undone = undoing.iter();
    let line = |item: &Item| match item {
        Item::Undo(_, why) => undone.next().map(|(draft, words)| Line {
            draft,
            words,
            because: Some(why.clone()).filter(|w| !w.is_empty()),
        }),
        Item::Do(at) => {
            let draft = &goal.sheet.drafts[*at];
            let because = fallen.get(draft.id.as_str()).map(|why| format!("it was undone: {why}"));
            Some(Line { draft, words: &goal.rendered[*at], because })
        }
    };
    path.items.iter().filter_map(line).collect()
}

fn undone(state: &State, path: &Path, undoing: &[(Draft, Rendered)]) -> Vec<Undone> {
    let steps: Vec<(&Undoing, &str)> = path
        .items
        .iter()
        .filter_map(|i| if let Item::Undo(u, _) = i { Some(u) } else { None })
        .zip(undoing.iter().map(|(d, _)| d.id.as_str()))
        .collect();
    let by = |at: usize| {
        let work = &state.done[at];
        let undoes = |u: &Undoing| match (u, &work.raises) {
            (Undoing::TakeOff { by, .. }, _) => *by == at,
            (Undoing::Release { group, from, to }, Some((g, stage))) => {
                g == group && stage <= from && Some(*stage) > *to
            }
            _ => false,
        };
        steps.iter().find(|(u, _)| undoes(u)).map(|(_, id)| (*id).to_owned())
    };
    let all = path.undone.iter();
    all.map(|(at, why)| Undone { step: state.done[*at].id.clone(), by: by(*at), because: why.clone() }).collect()
}

/// Puts the readings of a step that was done among the kept, the re-judged or the stale.
fn sort_readings(change: &mut Change, old: &Draft, goal: &Prepared<'_>, fallen: Option<&str>) {
    let touched = |check: &Check, because: String| Touched { step: old.id.clone(), check: check.id.clone(), because };
    if let Some(why) = fallen {
        change.stale.extend(old.checks.iter().map(|c| touched(c, why.to_owned())));
        return;
    }
    change.standing.insert(old.id.clone());
    change.kept += old.checks.len() as u32;
    let Some(new) = goal.sheet.drafts.iter().find(|d| d.id == old.id) else { return };
    for check in &old.checks {
        let Some(now) = new.checks.iter().find(|c| c.id == check.id) else { continue };
        if (&check.lower, &check.upper, &check.wanted) != (&now.lower, &now.upper, &now.wanted) {
            change.rejudged.push(touched(check, format!("{} before, {} now", words(check), words(now))));
        }
    }
}

fn words(check: &Check) -> String {
    if let Some(wanted) = &check.wanted {
        return wanted.clone();
    }
    check.range_words().unwrap_or_else(|| "no limit".into())
}
