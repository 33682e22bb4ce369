//! Lengths along the shaft: the stack, its tolerance, and the rod that it needs.

use rust_decimal::Decimal;

use crate::quantity::Length;
use crate::standards::threads::Thread;

/// One toleranced length in a stack, exact, mm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// Lower limit.
    pub lower: Decimal,
    /// Upper limit.
    pub upper: Decimal,
    /// How many of it.
    pub count: u32,
}

/// Worst case of a stack: every part at one of its limits.
#[must_use]
pub fn worst_case(links: &[Link]) -> (Decimal, Decimal) {
    links.iter().fold((Decimal::ZERO, Decimal::ZERO), |(low, high), link| {
        let n = Decimal::from(link.count);
        (low + link.lower * n, high + link.upper * n)
    })
}

/// Rod length needed over a stack: two washers, two nuts, second nuts where they are used, and the thread that must
/// stand out at both ends. Least one pitch, most three (common practice: one to three full threads).
///
/// ```
/// use runtrue::{mechanics::stack_up::rod_needed, quantity::Length, standards::threads::thread};
/// let (least, most) = rod_needed(thread("M8")?, Length::from_mm(80.0), true);
/// // By hand: 80 + 2·1.6 + 2·6.8 + 2·4 = 104.8; one pitch of 1.25 at both ends 107.3, three 112.3.
/// assert!((least.mm() - 107.3).abs() < 1e-9 && (most.mm() - 112.3).abs() < 1e-9);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn rod_needed(thread: &Thread, stack: Length, second_nuts: bool) -> (Length, Length) {
    let second = if second_nuts { thread.thin } else { 0.0 };
    let bare = stack + Length::from_mm(2.0 * (thread.washer + thread.m + second));
    let out = |pitches: f64| bare + Length::from_mm(2.0 * pitches * thread.p);
    (out(1.0), out(3.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_case_adds_every_limit() {
        let d = |t: &str| t.parse::<Decimal>().unwrap();
        let disc = Link { lower: d("7.8"), upper: d("8.2"), count: 5 };
        let collar = Link { lower: d("19.9"), upper: d("20.1"), count: 2 };
        assert_eq!(worst_case(&[disc, collar]), (d("78.8"), d("81.2")));
    }
}
