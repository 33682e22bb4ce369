//! Releases of holds, each in the round of work it belongs to.

use crate::traveler::event::Body;
use crate::traveler::record::Record;

use super::sections::{section, when};
use super::{Block, Cell, Filter};

/// Holds released, also those that a later reading took back.
pub fn releases(record: &Record, rounds: &[Record], filter: &Filter) -> Vec<Block> {
    let rows = record.events.iter().filter_map(|e| {
        let Body::Release(r) = &e.body else { return None };
        // A release belongs to the plan of its round of work.
        let own = rounds.iter().find(|round| round.events.len() as u64 >= e.header.event)?;
        let shown = filter.event_fits(own.step(&r.step), &e.header.by, &e.header.at);
        let gone = taken_back(record, own, &r.step, e.header.event);
        let remote = r.remote.as_ref().map_or_else(
            || "in person".to_owned(),
            |m| format!("from afar by {}, taken down by {}", m.channel, m.taken_by),
        );
        let own = if r.alone { ", by who did the work (one-person build)" } else { "" };
        let nobody = if r.nobody_else { ", nobody else present" } else { "" };
        shown.then(|| {
            vec![
                Cell::of(e.header.event.to_string()),
                Cell { struck: gone.is_some(), note: gone.unwrap_or_default(), ..Cell::of(&r.step) },
                Cell::of(format!("{} ({})", e.header.by, r.role)),
                Cell::of(format!("{remote}{own}{nobody}")),
                Cell::of(when(&e.header.at)),
            ]
        })
    });
    section("Released holds", &["entry", "step", "by", "how", "at"], rows.collect())
}

/// Why a release is not in force: what came after it in its own round, or a later round that undid its step.
fn taken_back(record: &Record, own: &Record, step: &str, event: u64) -> Option<String> {
    if own.release(step).is_none_or(|(_, now)| now.header.event != event) {
        return Some("not in force: a later reading or release came after it".into());
    }
    let later = record.changes().into_iter().filter(|c| c.round > own.round());
    let undone = later.filter_map(|c| Some((c.round, c.undone.iter().find(|u| u.step == step)?))).next();
    undone.map(|(round, u)| format!("undone for round {round}: {}", u.because))
}
