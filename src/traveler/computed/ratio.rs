//! `ratio`: one reading by another, times a figure of the plan.

use super::{Found, Given};

/// `scale` times the one value of the first reading, divided by that of the second; `scale` comes with the plan.
pub(super) fn of(given: &Given<'_>) -> Result<Found, String> {
    let (over, under, scale) = (given.value(0)?, given.value(1)?, given.figure("scale")?);
    if under == 0.0 {
        return Err(format!("{} is nought", given.name(1)));
    }
    Ok(Found::one(scale * over / under, format!("{scale} × {over} / {under}")))
}
