//! A record's chain made anew, for what only looks right: shared with the bench of the record.

use sha2::{Digest, Sha256};

/// The chain of a changed text, made anew by the rule of the format.
pub fn rehashed(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = "none".to_owned();
    let mut event = String::new();
    for line in text.split_inclusive('\n') {
        if line.starts_with("hash: ") {
            let hash: String = Sha256::digest(event.as_bytes()).iter().map(|b| format!("{b:02x}")).collect();
            out.push_str(&format!("{event}hash: {hash}\n"));
            before = hash;
            event.clear();
        } else if line.starts_with("before: ") {
            event.push_str(&format!("before: {before}\n"));
        } else {
            event.push_str(line);
        }
    }
    out
}
