//! `sum`: all values of all readings added up.

use super::{Found, Given};

/// Adds up every value of every reading, in the unit they share.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let mut sum = 0.0;
    for input in 0..given.readings.len() {
        sum += given.values(input)?.iter().sum::<f64>();
    }
    Ok(Found::one(sum, "the sum of the readings"))
}
