//! A closed record listed from its two ends: what it is stands in the first, that it is closed in the last.
//!
//! Of a record in work the state follows from every entry, so it is read whole. Also where the ends do not tell all: a
//! later round of work has its own setup, which stands somewhere in the middle.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::ops::ControlFlow;
use std::path::Path;

use serde::Deserialize;

use crate::module::sha256_hex;

use super::event::{Body, ClosedOut, Event, FORMAT};
use super::fingerprint::Fingerprint;
use super::frame;
use super::listing::{Checked, Listing, setup_words};
use super::proof;
use super::remembered::plain;
use super::state::BuildState;

/// Bytes read of each end: a spec with what stands around it, and some dozens of entries.
const WINDOW: u64 = 64 << 10;

/// What stands before the spec in event 1.
#[derive(Deserialize)]
struct Front {
    format: u32,
    serial: String,
    practice: bool,
}

/// What stands first in the plan.
#[derive(Deserialize)]
struct PlanHead {
    module: String,
    setup: BTreeMap<String, String>,
}

/// What tells copies of one build from other builds: the hash of its first bytes, up to its plan. They hold serial, spec
/// and the instant of the start. None where there is no plan.
pub(super) fn origin(file: &[u8]) -> Option<Fingerprint> {
    find(file, b"\nplan:\n").map(|end| Fingerprint::of(&file[..end]))
}

fn find(bytes: &[u8], words: &[u8]) -> Option<usize> {
    bytes.windows(words.len()).position(|w| w == words)
}

/// The line of a closed record of one round of work, its middle not read; none where the ends do not tell it.
pub(super) fn by_ends(build: &str, path: &Path) -> Option<Listing> {
    plain(path).ok()?;
    let mut file = File::open(path).ok()?;
    let length = file.metadata().ok()?.len();
    if length <= 2 * WINDOW {
        return None;
    }
    let head = window(&mut file, 0)?;
    let tail = window(&mut file, length - WINDOW)?;
    of_windows(build, &head, &tail, length)
}

/// The line of a closed record of one round of work whose every hash holds: what its ends tell is what the whole tells, and
/// the entries between need not be read one by one. None where the ends do not tell it or a hash does not hold.
pub(super) fn by_hashes(build: &str, file: &[u8]) -> Option<Listing> {
    let window = usize::try_from(WINDOW).ok().filter(|w| file.len() > 2 * w)?;
    let line = of_windows(build, &file[..window], &file[file.len() - window..], file.len() as u64)?;
    proof::hashes_hold(file).then_some(Listing { checked: Checked::Whole, ..line })
}

fn of_windows(build: &str, head: &[u8], tail: &[u8], length: u64) -> Option<Listing> {
    let (last_at, closed) = closed(tail)?;
    let (before, plan) =
        std::str::from_utf8(&head[..find(head, b"\n  spec_sha256: ")?]).ok()?.split_once("\nplan:\n")?;
    let front = before.split_once("\n---\n")?.1.split_once("\nspec:")?.0;
    let front: Front = serde_yaml::from_str(front).ok()?;
    let plan: PlanHead = serde_yaml::from_str(plan).ok()?;
    let steps = usize::try_from(closed.steps).ok()?;
    (front.format <= FORMAT).then(|| Listing {
        build: build.to_owned(),
        module: plan.module.into(),
        serial: front.serial,
        setup: setup_words(&plan.setup).into(),
        adopted: closed.adopted,
        state: Some(BuildState::Complete),
        last_at,
        practice: front.practice,
        steps_done: steps,
        steps_total: steps,
        follow: closed.follow_up,
        origin: origin(head),
        bytes: length,
        checked: Checked::Ends,
        ..Listing::default()
    })
}

fn window(file: &mut File, from: u64) -> Option<Vec<u8>> {
    file.seek(SeekFrom::Start(from)).ok()?;
    let mut bytes = Vec::new();
    file.take(WINDOW).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

/// The close-out in force and the time of the last entry, where the last entries prove themselves, nothing is torn, and
/// the last reading belongs to the first build.
fn closed(tail: &[u8]) -> Option<(String, ClosedOut)> {
    let start = find(tail, b"\n---\n")? + 1;
    let tail = &tail[start..];
    let cut = frame::cut(tail);
    if !cut.tail.is_empty() {
        return None;
    }
    let mut newer: Option<Event> = None;
    let mut last_at = None;
    let mut closed = None;
    for frame in cut.frames.iter().rev() {
        let event = event(tail, frame)?;
        let joins =
            newer.as_ref().is_none_or(|n| n.header.before == event.hash && n.header.event == event.header.event + 1);
        if !joins {
            return None;
        }
        last_at.get_or_insert_with(|| event.header.at.clone());
        match settle(&event, &mut closed) {
            ControlFlow::Continue(()) => newer = Some(event),
            ControlFlow::Break(first_build) => return Some((last_at?, closed.filter(|_| first_build)?)),
        }
    }
    None
}

/// What an entry, looked at from the end, tells; breaks off where it is known whether the ends are enough.
fn settle(event: &Event, closed: &mut Option<ClosedOut>) -> ControlFlow<bool> {
    match &event.body {
        Body::ClosedOut(found) => {
            closed.get_or_insert_with(|| found.clone());
            ControlFlow::Continue(())
        }
        // Before the close-out is found, only what may stand behind one.
        Body::SetAside(_) => ControlFlow::Continue(()),
        _ if closed.is_none() => ControlFlow::Break(false),
        Body::Reading(reading) => ControlFlow::Break(reading.round == 0),
        Body::Changed(_) | Body::Unknown | Body::Started(_) => ControlFlow::Break(false),
        _ => ControlFlow::Continue(()),
    }
}

/// An entry whose bytes are those of its hash.
fn event(bytes: &[u8], frame: &frame::Frame) -> Option<Event> {
    let hashed = &bytes[frame.hashed.clone()];
    let text = std::str::from_utf8(hashed).ok()?.strip_prefix("---\n")?;
    (sha256_hex(hashed) == frame.hash).then(|| super::event::read(text, &frame.hash).ok())?
}
