//! The rods of a spec and their lengths: one for all, or one for each number of discs.

use std::collections::BTreeMap;

use super::fasteners::{Bolts, Join, Rods, Securing};
use super::model::Given;
use super::raw::{self, Text};
use super::read::{Reader, place};
use super::resolve::MOST;

pub(super) fn rods(raw: &raw::Rods, discs: &raw::Discs, reader: &mut Reader) -> Rods {
    let bolts = Bolts {
        count: reader.count(&raw.count, 2, MOST),
        thread: reader.text(&raw.size),
        length: None,
        class: reader.text(&raw.class),
        friction: reader.friction(&raw.friction),
        share: reader.proof_share(&raw.share),
        secure: reader.word(&raw.secure, &Securing::WORDS),
    };
    Rods {
        part: reader.id(&raw.part).value,
        join: reader.word(&raw.join, &Join::WORDS),
        bolts,
        lengths: rod_lengths(raw, discs, reader),
        passes: reader.count(&raw.passes, 1, 6),
    }
}

/// One length for all, or one for each number of discs.
fn rod_lengths(
    raw: &raw::Rods,
    discs: &raw::Discs,
    reader: &mut Reader,
) -> BTreeMap<u32, Given<crate::quantity::Length>> {
    let most = discs.count.value.trim().parse::<u32>().unwrap_or(1).min(MOST);
    match (&raw.length, &raw.lengths) {
        (Some(one), None) => {
            let length = reader.length(one);
            (1..=most).map(|n| (n, length.clone())).collect()
        }
        (None, Some(list)) => list.iter().filter_map(|(n, text)| counted_length(n, text, most, reader)).collect(),
        _ => {
            reader.problem(
                place(&raw.part),
                "the rods need either \"length\" or \"lengths\"",
                "Give one length, or one for each number of discs: { 4: 102 mm, 5: 110 mm }.",
            );
            BTreeMap::new()
        }
    }
}

fn counted_length(
    n: &str,
    text: &Text,
    most: u32,
    reader: &mut Reader,
) -> Option<(u32, Given<crate::quantity::Length>)> {
    let length = reader.length(text);
    // "04" and "+4" would be a second name of "4".
    let plain = |number: &u32| number.to_string() == n.trim();
    match n.trim().parse::<u32>().ok().filter(|n| (1..=most).contains(n) && plain(n)) {
        Some(n) => Some((n, length)),
        None => {
            reader.problem(
                place(text),
                format!("\"{n}\" is not a number of discs from 1 to {most}"),
                "Name the number of discs the length is for.",
            );
            None
        }
    }
}
