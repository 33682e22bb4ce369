//! The rotor runs behind its guard only: which steps are runs, and when the guard has to be closed anew.

use crate::procedure::plan::Step;

use super::record::Record;

/// True where the rotor is driven by power in a step: a run, a trial, and a balancing step that waits for a guard to close.
#[must_use]
pub(super) fn runs(record: &Record, step: &Step) -> bool {
    match step.operation.as_str() {
        "spin" | "trial" => true,
        "balance" => !guards_of(record, step).is_empty(),
        _ => false,
    }
}

/// Guard steps that stand directly before a step.
fn guards_of<'r>(record: &'r Record, step: &Step) -> Vec<&'r Step> {
    step.after.iter().filter_map(|id| record.step(id)).filter(|s| s.operation == "guard").collect()
}

/// Why a balancing run may not be repeated yet: what it found was outside, so weights were changed with the guard open since, and
/// its checks say nothing of how it stands now. A correction of what was mistyped is no run.
pub(super) fn opened_since(record: &Record, step: &Step) -> Option<String> {
    if step.operation != "balance" {
        return None;
    }
    let derived = step.checks.iter().filter(|c| c.derive.is_some()).filter_map(|c| record.reading(&step.id, &c.id));
    let open = derived.filter(|k| k.reading.verdict.open() && !k.accepted()).map(|k| k.event).max()?;
    let newest = |guard: &Step| {
        guard.checks.iter().filter_map(|c| record.reading(&guard.id, &c.id)).map(|k| k.event).max().unwrap_or(0)
    };
    let guard = guards_of(record, step).into_iter().find(|guard| newest(guard) < open)?;
    Some(format!(
        "the run found too much, so the guard was opened for it; close it, enter the checks of {} anew with the reason (--correct --reason \"…\"), and have it released before the rotor runs again",
        guard.id
    ))
}
