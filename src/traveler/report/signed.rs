//! What a review says of the signatures beside a record. Nothing is called valid that was not checked.

use crate::traveler::record::Record;
use crate::traveler::signature::Signature;

use super::Block;

/// Names and values for the summary: one for each signature, or that there is none.
pub fn facts(record: &Record, signatures: &[Signature]) -> Vec<(String, String)> {
    if signatures.is_empty() {
        let words = if record.closeouts().is_empty() { "no, the record is not closed" } else { "no" };
        return vec![("Signed".into(), words.into())];
    }
    let last = record.closeouts().last().map(|(event, ..)| *event);
    let of = |s: &Signature| {
        let reach = match last {
            Some(event) if event == s.event => format!("of the close-out at entry {event}"),
            _ => format!("of an earlier close-out, entry {}; it says nothing of what came after", s.event),
        };
        ("Signed".to_owned(), format!("{}, {reach} ({})", verdict(s), s.file))
    };
    signatures.iter().map(of).collect()
}

/// What was checked, and what came of it.
fn verdict(s: &Signature) -> String {
    match (s.good, &s.signer) {
        (Some(true), Some(who)) => {
            format!("by {who}: checked, the record is as it was signed, the key is in the list of signers")
        }
        (Some(true), None) => format!(
            "the record is as it was signed; WHOSE KEY it is was NOT CHECKED (name a list of signers with --signers); ssh-keygen says: {}",
            s.said
        ),
        (Some(false), _) => format!("BAD: {}", s.said),
        (None, _) => format!("NOT CHECKED: {}", s.said),
    }
}

/// A signature that does not hold must not be missed.
pub fn warnings(signatures: &[Signature]) -> Vec<Block> {
    let bad = signatures.iter().filter(|s| s.good == Some(false));
    bad.map(|s| Block::Warning("WARNING".into(), format!("The signature {} does not hold: {}.", s.file, s.said)))
        .collect()
}
