//! `difference`: the largest of one reading less another, as a rise over the room.

use super::{Found, Given};

/// The largest value of the first reading less the one value of the second, in the unit they share.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let largest = given.values(0)?.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let less = given.value(1)?;
    Ok(Found::one(largest - less, format!("{largest} less {less}")))
}
