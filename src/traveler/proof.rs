//! Which events of a file are as they were written.

use std::ops::Range;

use super::event::{Body, Event};
use super::frame::{self, Fault, Frame};
use super::state::Integrity;

/// So many events are worth a core of their own.
const WORTH: usize = 250;

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
    for (read, fault) in in_parts(file, &cut.frames) {
        events.extend(read);
        if let Some(fault) = fault {
            integrity.first_bad = Some((events.len() as u64 + 1, fault.to_string()));
            break;
        }
    }
    (events, integrity)
}

/// The events of one stretch up to its first fault.
type Stretch = (Vec<Event>, Option<Fault>);

/// A long record is read on all cores: each event states the hash of the one before it, so no stretch waits for another.
fn in_parts(file: &[u8], frames: &[Frame]) -> Vec<Stretch> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let length = frames.len().div_ceil(cores).max(WORTH);
    let stretch = |from: usize| stretch(file, frames, from..frames.len().min(from + length));
    let starts = (0..frames.len()).step_by(length);
    if frames.len() <= length {
        return starts.map(stretch).collect();
    }
    std::thread::scope(|all| {
        let running: Vec<_> = starts.map(|from| all.spawn(move || stretch(from))).collect();
        running.into_iter().map(|r| r.join().unwrap_or_else(|p| std::panic::resume_unwind(p))).collect()
    })
}

fn stretch(file: &[u8], frames: &[Frame], range: Range<usize>) -> Stretch {
    let mut events = Vec::with_capacity(range.len());
    for at in range {
        let before = at.checked_sub(1).map_or("none", |before| frames[before].hash.as_str());
        match proved(file, &frames[at], at as u64 + 1, before) {
            Ok(event) => events.push(event),
            Err(fault) => return (events, Some(fault)),
        }
    }
    (events, None)
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

fn proved(file: &[u8], frame: &Frame, n: u64, before: &str) -> Result<Event, Fault> {
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

#[cfg(test)]
mod tests {
    use super::super::document;
    use super::super::event::Noted;
    use super::super::rules_tests::start;
    use super::*;

    /// A build with so many notes, its frames made by hand: a note is no matter of the session here.
    fn long(events: usize) -> Vec<u8> {
        let home = tempfile::tempdir().unwrap();
        let (store, session) = start(home.path());
        let build = session.record().build.clone();
        drop(session);
        let mut file = store.bytes_of(&build).unwrap().1;
        let (first, _) = of_file(&file);
        let mut last = first.last().unwrap().clone();
        for event in first.len() as u64 + 1..=events as u64 {
            last.header = super::super::event::Header { event, before: last.hash, what: "note".into(), ..last.header };
            let note = Body::Note(Noted { step: "fit".into(), text: format!("note {event}") });
            let (bytes, hash) = frame::build("", &document::write(&last.header, &note).unwrap()).unwrap();
            file.extend(bytes);
            last.hash = hash;
        }
        file
    }

    #[test]
    fn a_long_record_is_read_in_stretches_to_the_same_end_as_in_one() {
        let file = long(3 * WORTH + 7);
        let frames = frame::cut(&file).frames;
        let (whole, fault) = stretch(&file, &frames, 0..frames.len());
        assert!(fault.is_none());
        let (events, integrity) = of_file(&file);
        assert_eq!((events, integrity.first_bad), (whole.clone(), None));
        for bad in [1, 2, WORTH - 1, WORTH, WORTH + 1, WORTH + 2, 2 * WORTH, 3 * WORTH + 7] {
            let mut altered = file.clone();
            let at = frames[bad - 1].hashed.end - 2;
            altered[at] ^= 1;
            // A second fault further on is not the first.
            let at = frames.last().unwrap().hashed.end - 3;
            altered[at] ^= 1;
            let (events, integrity) = of_file(&altered);
            assert_eq!(integrity.first_bad.unwrap().0, bad as u64);
            assert_eq!(events, whole[..bad - 1]);
        }
    }
}
