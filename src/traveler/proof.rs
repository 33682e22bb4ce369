//! Which events of a file are as they were written.

use super::event::{Body, Event};
use super::frame::{self, Fault};
use super::state::Integrity;

/// Every event up to the first that is not as it was written, and how whole the file is.
pub(super) fn of_file(file: &[u8]) -> (Vec<Event>, Integrity) {
    let cut = frame::cut(file);
    let mut integrity =
        Integrity { events: cut.frames.len() as u64, torn_tail: cut.tail.len(), ..Integrity::default() };
    if file.is_empty() {
        // A start cut off before its first byte; an empty file is no whole record.
        integrity.first_bad = Some((1, "the file is empty".into()));
    }
    let mut events = Vec::with_capacity(cut.frames.len());
    let mut before = "none";
    for (n, frame) in (1u64..).zip(&cut.frames) {
        match proved(file, frame, n, before) {
            Ok(event) => events.push(event),
            Err(fault) => {
                integrity.first_bad = Some((n, fault.to_string()));
                break;
            }
        }
        before = &frame.hash;
    }
    (events, integrity)
}

/// True where every event is as it was written and nothing is torn, by hash, number and chain; no event is read as YAML.
pub(super) fn hashes_hold(file: &[u8]) -> bool {
    let cut = frame::cut(file);
    let mut before = "none";
    let mut all = (1u64..).zip(&cut.frames);
    let holds = all.all(|(n, frame)| {
        let good = frame::prove(file, frame, n, before).is_ok();
        before = &frame.hash;
        good
    });
    holds && cut.tail.is_empty() && !cut.frames.is_empty()
}

fn proved(file: &[u8], frame: &frame::Frame, n: u64, before: &str) -> Result<Event, Fault> {
    frame::prove(file, frame, n, before)?;
    let text = std::str::from_utf8(&file[frame.hashed.clone()]).map_err(|e| Fault::Content(e.to_string()))?;
    // Comments stand before the first `---` only; the rest is one document.
    let document = text.split_once("---\n").map_or("", |(_, d)| d);
    let event = super::event::read(document, &frame.hash).map_err(|e| Fault::Content(e.to_string()))?;
    let starts = matches!(event.body, Body::Started(_));
    if starts == (n == 1) {
        Ok(event)
    } else {
        Err(Fault::Content("a build starts with event 1 and only there".into()))
    }
}
