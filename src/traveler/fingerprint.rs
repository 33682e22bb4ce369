//! What tells bytes apart, in little room.

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// SHA-256 of some bytes as four numbers: a list of thousands of builds holds two of each.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Fingerprint([u64; 4]);

impl Fingerprint {
    /// Of these bytes.
    pub(super) fn of(bytes: &[u8]) -> Self {
        Self::of_all([bytes])
    }

    /// Of these bytes, one after the other.
    pub(super) fn of_all<B: AsRef<[u8]>>(all: impl IntoIterator<Item = B>) -> Self {
        let mut hash = Sha256::new();
        all.into_iter().for_each(|bytes| hash.update(bytes));
        let found: [u8; 32] = hash.finalize().into();
        let (words, _) = found.as_chunks::<8>();
        let mut numbers = [0; 4];
        numbers.iter_mut().zip(words).for_each(|(number, bytes)| *number = u64::from_be_bytes(*bytes));
        Self(numbers)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::sha256_hex;

    #[test]
    fn the_numbers_are_those_of_the_hash() {
        let Fingerprint(numbers) = Fingerprint::of_all(["run", "true"]);
        assert_eq!(numbers.map(|n| format!("{n:016x}")).concat(), sha256_hex(b"runtrue"));
        assert_eq!(Fingerprint::of(b"runtrue"), Fingerprint(numbers));
    }
}
