//! The notes of a record, and what else happened to it, for a review.

use crate::traveler::event::{Body, Event, Noted};
use crate::traveler::plausible::SOAK;
use crate::traveler::record::Record;

use super::sections::{section, when};
use super::{Block, Cell, Filter};

/// Where it was said that part and instrument lay together, all in one line.
fn soaked(record: &Record, filter: &Filter) -> Option<Vec<Cell>> {
    let fits = |n: &Noted, e: &Event| filter.event_fits(record.step_ever(&n.step), &e.header.by, &e.header.at);
    let said = record.events.iter().filter_map(|e| match &e.body {
        Body::Note(n) if n.text.starts_with(SOAK) && fits(n, e) => Some((n.step.as_str(), e.header.by.as_str())),
        _ => None,
    });
    let (mut steps, mut by): (Vec<&str>, Vec<&str>) = said.unzip();
    let count = steps.len();
    for list in [&mut steps, &mut by] {
        list.sort_unstable();
        list.dedup();
    }
    let words = format!("{SOAK}, said {count} times: {}", steps.join(", "));
    (count > 0)
        .then(|| vec![Cell::of(String::new()), Cell::of(words), Cell::of(by.join(", ")), Cell::of(String::new())])
}

/// Notes and what else happened to the record.
pub fn notes(record: &Record, filter: &Filter) -> Vec<Block> {
    let words = |e: &Event| match &e.body {
        // One line for all of these stands below.
        Body::Note(n) if n.text.starts_with(SOAK) => None,
        Body::Note(n) => Some((record.step_ever(&n.step), format!("{}: {}", n.step, n.text))),
        Body::Attached(a) => Some((
            record.step_ever(&a.step),
            format!("{}: {} ({}, {} bytes, SHA-256 {})", a.step, a.text, a.file, a.bytes, a.sha256),
        )),
        Body::Changed(c) => Some((None, format!("round {} begun: {}", c.round, c.reason))),
        Body::Adopted(a) => Some((None, a.words())),
        Body::Hours(h) => Some((None, h.words())),
        Body::SetAside(a) => Some((None, format!("last entry incomplete, {} bytes set aside as {}", a.bytes, a.file))),
        Body::Reopened(r) => Some((None, format!("reopened: {}", r.reason))),
        Body::ClosedOut(_) => Some((None, "closed out".to_owned())),
        Body::Unknown => Some((None, format!("{}: an entry of a later program", e.header.what))),
        _ => None,
    };
    let rows = record.events.iter().filter_map(|e| {
        let (step, words) = words(e)?;
        filter.event_fits(step, &e.header.by, &e.header.at).then(|| {
            vec![
                Cell::of(e.header.event.to_string()),
                Cell::of(words),
                Cell::of(&e.header.by),
                Cell::of(when(&e.header.at)),
            ]
        })
    });
    let mut rows: Vec<Vec<Cell>> = rows.collect();
    rows.extend(soaked(record, filter));
    section("Notes", &["entry", "note", "by", "at"], rows)
}
