//! Drag of what a rotor runs in: friction of ball bearings, their seals and grease, a belt that turns along.

use std::sync::LazyLock;

use serde::Deserialize;

use super::bench::Range;
use super::table;

#[derive(Debug, Default, Deserialize)]
struct Table {
    ball: Range,
    seals: Range,
    belt: Range,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("drag.yaml", include_str!("data/drag.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// Friction coefficient of a deep groove ball bearing by load and bore, without seals.
///
/// ```
/// assert_eq!(runtrue::standards::drag::ball().high, 0.0015);
/// ```
#[must_use]
pub fn ball() -> &'static Range {
    &TABLE.ball
}

/// Drag of seals and grease of both bearings of a rotor, N·m; an estimate.
///
/// ```
/// assert!(runtrue::standards::drag::seals().source.contains("common practice"));
/// ```
#[must_use]
pub fn seals() -> &'static Range {
    &TABLE.seals
}

/// Loss of a belt that turns along, as a share of the torque it is made for.
///
/// ```
/// assert_eq!(runtrue::standards::drag::belt().low, 0.0);
/// ```
#[must_use]
pub fn belt() -> &'static Range {
    &TABLE.belt
}
