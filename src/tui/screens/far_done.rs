//! From two metres: what was entered at a step that is done.

use crate::procedure::plan::Step;
use crate::traveler::{Kept, Record};

use super::far::{Far, SHORT_TITLE_WORDS, few, step_number};

/// The last value of a step that is done.
pub(super) fn done(record: &Record, step: &Step) -> Far {
    let measured = step.checks.iter().rev().filter(|c| c.unit.is_some());
    let kept = measured.filter_map(|c| record.reading(&step.id, &c.id).map(|k| (c, k))).find(|(_, k)| numeric(k));
    match (kept, step.torque_nm) {
        (Some((check, kept)), _) => {
            let unit = check.unit.clone().unwrap_or_default();
            Far {
                numbers: span(&kept.reading.values, unit),
                value: few(&check.prompt, SHORT_TITLE_WORDS),
                ..Far::default()
            }
        }
        (None, Some(torque)) => Far { numbers: vec![(format!("{torque:.1}"), "N·m".into())], ..Far::default() },
        (None, None) => Far { numbers: vec![step_number(step)], ..Far::default() },
    }
}

fn numeric(kept: &Kept<'_>) -> bool {
    !kept.reading.values.is_empty() && kept.reading.values.iter().all(|v| v.parse::<f64>().is_ok())
}

/// One value, or the smallest and the largest of several.
pub(super) fn span(values: &[String], unit: String) -> Vec<(String, String)> {
    let key = |v: &&String| v.parse::<f64>().unwrap_or(f64::NAN);
    let least = values.iter().min_by(|a, b| key(a).total_cmp(&key(b)));
    let most = values.iter().max_by(|a, b| key(a).total_cmp(&key(b)));
    match (least, most) {
        (Some(a), Some(b)) if a == b => vec![(a.clone(), unit)],
        (Some(a), Some(b)) => vec![(a.clone(), "to".into()), (b.clone(), unit)],
        _ => Vec::new(),
    }
}
