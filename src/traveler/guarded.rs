//! The rotor runs behind its guard only: which steps are runs, and when the guard has to be closed anew.

use crate::procedure::plan::Step;

use super::event::Verdict;
use super::record::Record;
use super::trial::Trial;

/// Kinds of step in which the rotor is always driven by power.
pub(super) const POWER: [&str; 2] = ["spin", "trial"];

/// True where the rotor is driven by power in a step: a run, a trial, and a balancing step that waits for a guard to close.
#[must_use]
pub(super) fn runs(record: &Record, step: &Step) -> bool {
    match step.operation.as_str() {
        operation if POWER.contains(&operation) => true,
        "balance" => !guards_of(record, step).is_empty(),
        _ => false,
    }
}

/// Guard steps that stand directly before a step.
fn guards_of<'r>(record: &'r Record, step: &Step) -> Vec<&'r Step> {
    step.after.iter().filter_map(|id| record.step(id)).filter(|s| s.operation == "guard").collect()
}

/// Why the guard counts as open after a speed trial: the belt force after it was read with the guard open. Every check of the last
/// guard step is entered anew, and released where it is held. A run that puts another right opened no guard, unless it brings the
/// force that the other was kept without.
pub(super) fn opened_by_run(record: &Record) -> Option<String> {
    let round = record.round();
    let trials = record.trials();
    let had = |event: u64| trials.iter().any(|(t, e)| e.header.event == event && t.value("after").is_some());
    let opened = |t: &Trial| t.value("after").is_some() && !t.corrects.as_ref().is_some_and(|c| had(c.event));
    let read = trials.iter().filter(|(t, _)| t.round == round && opened(t));
    let (trial, event) = read.max_by_key(|(_, e)| e.header.event)?;
    let said = format!("the guard was opened to read the belt force after run {}", trial.number);
    let Some(guard) = record.plan().steps.iter().rfind(|s| s.operation == "guard") else {
        return Some(format!("{said}, and this round of work has no guard step; begin one that closes it"));
    };
    let entered = guard.checks.iter().filter(|c| c.derive.is_none());
    let mut newest = entered.map(|c| record.reading(&guard.id, &c.id).map_or(0, |k| k.event));
    newest.any(|at| at < event.header.event).then(|| {
        format!(
            "{said}; close it, enter every check of {} anew with the reason (--correct --reason \"…\"), and have it released",
            guard.id
        )
    })
}

/// Why a balancing run may not be repeated yet: what it found was outside, so weights were changed with the guard open since, and
/// its checks say nothing of how it stands now. What was put on or drilled has to be entered before. A correction of what was
/// mistyped is no run; the caller tells the two apart.
pub(super) fn opened_since(record: &Record, step: &Step) -> Option<String> {
    if step.operation != "balance" {
        return None;
    }
    let derived = step.checks.iter().filter(|c| c.derive.is_some()).filter_map(|c| record.reading(&step.id, &c.id));
    let open: Vec<_> = derived.filter(|k| k.reading.verdict.open() && !k.accepted()).collect();
    let last = open.iter().map(|k| k.event).max()?;
    let newest = |step: &Step, of: &dyn Fn(&str) -> bool| {
        let checks = step.checks.iter().filter(|c| of(&c.id));
        checks.filter_map(|c| record.reading(&step.id, &c.id)).map(|k| k.event).max()
    };
    let weights = |id: &str| id.starts_with("fitted") || id.starts_with("drilled");
    let earlier = record.plan().steps.iter().rev().filter(|s| s.number < step.number && s.operation == "balance");
    let put_on = earlier.filter_map(|s| newest(s, &weights).map(|event| (s, event))).next();
    let too_much = open.iter().any(|k| k.reading.verdict == Verdict::Outside);
    if let Some((corrected, _)) = put_on.filter(|(_, event)| too_much && *event < last) {
        return Some(format!(
            "the run found too much, and nothing was put on or drilled since; enter what is on now in {} with the reason (--correct --reason \"…\"), then the guard; what was only mistyped is corrected by another person",
            corrected.id
        ));
    }
    let since = put_on.map_or(last, |(_, event)| event.max(last));
    let guard = guards_of(record, step).into_iter().find(|guard| newest(guard, &|_| true).unwrap_or(0) < since)?;
    Some(format!(
        "the run found too much, so the guard was opened for it; close it, enter the checks of {} anew with the reason (--correct --reason \"…\"), and have it released before the rotor runs again; what was only mistyped is corrected by another person",
        guard.id
    ))
}
