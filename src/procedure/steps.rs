//! From drafts to the plan: words, order, numbers, reasons.

use std::collections::BTreeMap;

use crate::mechanics::interplay::Case;
use crate::mechanics::tightening::{self, SNUG_SHARE};
use crate::module::{Module, Setup};
use crate::quantity::{Force, rounded};

use super::draft::{Draft, Sheet};
use super::drawing;
use super::engine::{self, Edge, Id, Path, Refusal, Score, Stage, Work};
use super::figures::{self, Figures, NoFigure};
use super::joints::{self, Context};
use super::plan::{Plan, Step};
use super::words::{Rendered, Words, WordsError};

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// A figure cannot be computed.
    #[error(transparent)]
    Figure(#[from] NoFigure),
    /// No order exists.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// A file of words cannot be used.
    #[error(transparent)]
    Words(#[from] WordsError),
}

/// The plan for a first build of the module in one setup.
///
/// # Errors
/// [`PlanError`].
pub fn plan(module: &Module, setup: &Setup) -> Result<Plan, PlanError> {
    let figures = Figures::of(module, setup)?;
    let context = Context { module, setup, figures: &figures };
    let sheet = joints::put_down(&context)?;
    let words = Words::built_in()?;
    let rendered = sheet.drafts.iter().map(|d| words.render(d)).collect::<Result<Vec<_>, _>>()?;
    let works: Vec<Work> = sheet.drafts.iter().zip(&rendered).map(|(d, r)| work(d, r)).collect();
    let path = find_path(&context, &sheet, &works)?;
    Ok(Plan {
        module: module.id.clone(),
        title: module.title.clone(),
        revision: module.revision.clone(),
        setup: setup.values.clone(),
        spec_sha256: module.sha256.clone(),
        templates: words.used(),
        people: module.people.clone(),
        drawing: drawing::of(module, setup, &figures),
        steps: number(&sheet, &rendered, &path),
    })
}

fn work(draft: &Draft, words: &Rendered) -> Work {
    let first = |list: &[String]| list.first().cloned().unwrap_or_default();
    Work {
        id: draft.id.clone(),
        needs: draft.needs.clone(),
        adds: draft.adds.clone(),
        raises: draft.raises.clone(),
        makes: facts(draft),
        place: draft.place.to_owned(),
        tool: first(&words.tools),
        instrument: first(&words.instruments),
        opens_joint: draft.raises.as_ref().is_some_and(|(_, stage)| *stage < Stage::Final),
    }
}

/// Facts of a draft, that of its stage included.
fn facts(draft: &Draft) -> Vec<Id> {
    let mut facts = draft.makes.clone();
    facts.sort_unstable();
    facts.dedup();
    facts
}

fn find_path(context: &Context<'_>, sheet: &Sheet, works: &[Work]) -> Result<Path, PlanError> {
    let rods = &context.module.rods.part;
    let score = |order: &[(Id, Stage)]| score(context, rods, order);
    let coupled: Vec<engine::Coupled<'_>> =
        sheet.coupled.iter().map(|(a, b)| (a.clone(), b.clone(), &score as &dyn Fn(&[(Id, Stage)]) -> Score)).collect();
    Ok(engine::path(works, &sheet.groups, &coupled)?)
}

/// What an order of rods and sliding collar is worth: the least slip safety when the pinch is made final with the rods
/// at the share they have reached by then.
fn score(context: &Context<'_>, rods: &str, order: &[(Id, Stage)]) -> Score {
    let share = share_at_pinch(context, rods, order);
    let f = context.figures;
    let joints = figures::joints(context.module, &f.rod, &f.pinch, share).unwrap_or_default();
    let least = joints.iter().take(3).min_by(|a, b| a.holds.nm().total_cmp(&b.holds.nm()));
    let safety = least.map_or(0.0, |j| j.holds / *context.module.limits.torque);
    // Least lost: low friction against the full preload; most: high friction against the least preload of a click wrench.
    let lost = |case: Case, one_bolt: Force| {
        let all = f.rod.preload * f64::from(*context.module.rods.bolts.count);
        let pinch = one_bolt * f64::from(*context.module.collars.pinch.count);
        (case.grip_lost(all * share / 2.0) / pinch * 100.0).round()
    };
    Score {
        safety,
        refused: (safety <= 0.0).then(|| format!("with the rods at {:.0} % no grip may be left", share * 100.0)),
        words: format!(
            "with the rods at {:.0} % when the sliding collar closes, {:.0} to {:.0} % of its grip is lost to friction on its faces, and the weakest joint keeps a slip safety of {}",
            share * 100.0,
            lost(Case::low(), f.pinch.preload),
            lost(Case::high(), f.pinch.least),
            rounded(safety, 1),
        ),
    }
}

fn share_at_pinch(context: &Context<'_>, rods: &str, order: &[(Id, Stage)]) -> f64 {
    let shares = tightening::passes(*context.module.rods.passes);
    let pinched = order.iter().position(|(g, s)| g != rods && *s == Stage::Final).unwrap_or(order.len());
    let reached = order[..pinched].iter().rev().find(|(g, _)| g == rods).map(|(_, s)| *s);
    match reached {
        Some(Stage::Snug) => SNUG_SHARE,
        Some(Stage::Pass(k)) => shares.get(usize::from(k) - 1).copied().unwrap_or(1.0),
        Some(Stage::Final | Stage::Circular) => 1.0,
        _ => 0.0,
    }
}

fn number(sheet: &Sheet, rendered: &[Rendered], path: &Path) -> Vec<Step> {
    let mut incoming: BTreeMap<usize, Vec<&Edge>> = BTreeMap::new();
    let mut outgoing: BTreeMap<usize, Vec<&Edge>> = BTreeMap::new();
    for edge in &path.edges {
        incoming.entry(edge.to).or_default().push(edge);
        outgoing.entry(edge.from).or_default().push(edge);
    }
    let place: BTreeMap<usize, usize> = path.order.iter().enumerate().map(|(k, &at)| (at, k)).collect();
    let mut steps = Vec::with_capacity(path.order.len());
    for (k, &at) in path.order.iter().enumerate() {
        let edges = incoming.get(&at).map_or(&[][..], Vec::as_slice);
        let mut before: Vec<usize> = edges.iter().map(|e| e.from).collect();
        before.sort_by_key(|b| place.get(b));
        before.dedup();
        let after = before.iter().map(|&b| sheet.drafts[b].id.clone()).collect();
        let why = reasons(edges, outgoing.get(&at).map_or(&[][..], Vec::as_slice), sheet, at);
        steps.push(step(k, &sheet.drafts[at], &rendered[at], after, why));
    }
    steps
}

/// Reasons in words: a score first, then what would block the way, then what must be there; each once.
fn reasons(before: &[&Edge], later: &[&Edge], sheet: &Sheet, at: usize) -> Vec<String> {
    let own: Vec<&str> = sheet.drafts[at].needs.iter().map(|n| n.why.as_str()).collect();
    let mut list: Vec<(u8, String)> = Vec::new();
    for edge in before {
        let rank = if edge.hard { 2 } else { 0 };
        list.push((rank, format!("After {}: {}.", sheet.drafts[edge.from].id, edge.why)));
    }
    for edge in later {
        // What this step itself needs open or absent is a reason to do it now.
        if own.contains(&edge.why.as_str()) {
            list.push((1, format!("Before {}: {}.", sheet.drafts[edge.to].id, edge.why)));
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
    merged.into_iter().map(|(word, ids, why)| format!("{word} {}: {why}", ids.join(", "))).collect()
}

fn step(k: usize, draft: &Draft, words: &Rendered, after: Vec<Id>, why_now: Vec<String>) -> Step {
    let mut checks = draft.checks.clone();
    for check in &mut checks {
        check.prompt = words.prompts.get(&check.id).cloned().unwrap_or_default();
    }
    let (group, stage) = match (&draft.raises, &draft.shows) {
        (Some((group, stage)), _) => (Some(group.clone()), Some(stage.to_string())),
        (None, Some((group, stage))) => (Some(group.clone()), Some(stage.clone())),
        (None, None) => (None, None),
    };
    Step {
        number: u32::try_from(k + 1).unwrap_or(u32::MAX),
        id: draft.id.clone(),
        operation: draft.kind.to_owned(),
        title: words.title.clone(),
        parts: draft.parts.clone(),
        place: draft.place.to_owned(),
        group,
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
