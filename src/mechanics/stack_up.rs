//! Lengths along the shaft: a stack of parts with their tolerances, and the rod that it needs.
//!
//! Worst case is what may be ordered by. Root sum square and samples tell how likely it is; both take parts for independent, which
//! discs cut from one sheet are not: they are [`Link::alike`].

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::quantity::Length;
use crate::standards::threads::Thread;

/// One toleranced length in a stack, exact, mm.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// Lower limit.
    pub lower: Decimal,
    /// Upper limit.
    pub upper: Decimal,
    /// How many of it; below zero for a length that closes a gap instead of opening it.
    pub count: i32,
    /// All of them deviate alike: cut from one sheet, or one and the same part counted twice.
    pub alike: bool,
}

impl Link {
    /// So many parts between two limits, each for itself.
    ///
    /// ```
    /// use runtrue::mechanics::stack_up::Link;
    /// let link = Link::new("7.8".parse()?, "8.2".parse()?, 5);
    /// assert!(link.count == 5 && !link.alike);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn new(lower: Decimal, upper: Decimal, count: i32) -> Self {
        Self { lower, upper, count, alike: false }
    }

    /// The same, all deviating alike.
    ///
    /// ```
    /// use runtrue::mechanics::stack_up::Link;
    /// assert!(Link::new("7.8".parse()?, "8.2".parse()?, 5).from_one_sheet().alike);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn from_one_sheet(self) -> Self {
        Self { alike: true, ..self }
    }

    /// Half the width between the limits.
    pub(super) fn half(&self) -> f64 {
        ((self.upper - self.lower) / Decimal::TWO).to_f64().unwrap_or(f64::NAN)
    }

    /// Middle between the limits.
    pub(super) fn middle(&self) -> f64 {
        ((self.upper + self.lower) / Decimal::TWO).to_f64().unwrap_or(f64::NAN)
    }
}

/// Worst case of a stack: every part at one of its limits; least and largest, exact.
///
/// ```
/// use runtrue::mechanics::stack_up::{Link, worst_case};
/// let d = |t: &str| t.parse::<rust_decimal::Decimal>().unwrap();
/// let (least, most) = worst_case(&[Link::new(d("7.8"), d("8.2"), 5), Link::new(d("19.9"), d("20.1"), 2)]);
/// assert_eq!((least, most), (d("78.8"), d("81.2")));
/// // A length that closes a gap takes from both ends the other way round.
/// assert_eq!(worst_case(&[Link::new(d("1.9"), d("2.1"), -1)]), (d("-2.1"), d("-1.9")));
/// ```
#[must_use]
pub fn worst_case(links: &[Link]) -> (Decimal, Decimal) {
    links.iter().fold((Decimal::ZERO, Decimal::ZERO), |(low, high), link| {
        let n = Decimal::from(link.count);
        let (a, b) = (link.lower * n, link.upper * n);
        (low + a.min(b), high + a.max(b))
    })
}

/// Root sum square of a stack: middle and half width, `t = √(Σ n·tᵢ²)`, of parts that deviate alike `√(Σ (n·tᵢ)²)`. Holds for independent
/// parts whose spread fills the same share of each tolerance around its middle: with limits at three standard deviations, 99.73 % of
/// stacks lie inside.
///
/// ```
/// use runtrue::{mechanics::stack_up::{Link, root_sum_square}, quantity::Length};
/// let ten = Link::new("4.9".parse()?, "5.1".parse()?, 10); // ten parts of ±0.1: 0.1·√10
/// let (middle, half) = root_sum_square(&[ten]);
/// assert!((middle.mm() - 50.0).abs() < 1e-9 && (half.mm() - 0.316).abs() < 0.0005);
/// assert!((root_sum_square(&[ten.from_one_sheet()]).1.mm() - 1.0).abs() < 1e-12); // alike: nothing averages out
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[must_use]
pub fn root_sum_square(links: &[Link]) -> (Length, Length) {
    let middle: f64 = links.iter().map(|l| l.middle() * f64::from(l.count)).sum();
    let square: f64 = links
        .iter()
        .map(|l| {
            let n = f64::from(l.count.abs());
            l.half().powi(2) * if l.alike { n * n } else { n }
        })
        .sum();
    (Length::from_mm(middle), Length::from_mm(square.sqrt()))
}

/// What stands under and over the nuts of a rod.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nuts {
    /// A washer and a nut at each end.
    Plain,
    /// A second full nut over each nut (ISO 4032). A thin nut belongs under the full nut, not outside it, for the outer nut takes the
    /// load (Bolt Science, the use of two nuts); where the preload is made with the first nut, as here by passes, two full nuts do the
    /// same (Machine Design, jam nuts).
    SecondNut,
    /// A spring washer under each nut as well, counted pressed flat.
    SpringWasher,
}

impl Nuts {
    /// Height of washer, nut and what secures them at one end, largest (ISO 7089, ISO 4032, DIN 127 B).
    ///
    /// ```
    /// use runtrue::{mechanics::stack_up::Nuts, standards::threads::thread};
    /// let m8 = thread("M8")?;
    /// assert!((Nuts::Plain.height(m8).mm() - 8.4).abs() < 1e-9); // 1.6 + 6.8
    /// assert!((Nuts::SecondNut.height(m8).mm() - 15.2).abs() < 1e-9 && (Nuts::SpringWasher.height(m8).mm() - 10.4).abs() < 1e-9);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn height(self, thread: &Thread) -> Length {
        let secured = match self {
            Self::Plain => 0.0,
            Self::SecondNut => thread.m,
            Self::SpringWasher => thread.spring,
        };
        Length::from_mm(thread.washer + thread.m + secured)
    }
}

/// Rod length over a stack that may come out between two lengths: nuts and washers at both ends, and the thread that must stand out of
/// them: at least one pitch over the longest stack, at most three over the shortest (common practice: one to three full threads). Where
/// the first comes out above the second, no one length serves, and rods are cut to the stack measured.
///
/// ```
/// use runtrue::{mechanics::stack_up::{Nuts, rod_needed}, quantity::Length, standards::threads::thread};
/// let (m8, mm) = (thread("M8")?, Length::from_mm);
/// let (least, most) = rod_needed(m8, mm(80.0), mm(80.0), Nuts::SecondNut);
/// // By hand: 80 + 2·1.6 + 4·6.8 = 110.4; one pitch of 1.25 at both ends 112.9, three 117.9.
/// assert!((least.mm() - 112.9).abs() < 1e-9 && (most.mm() - 117.9).abs() < 1e-9);
/// let (least, most) = rod_needed(m8, mm(78.8), mm(81.2), Nuts::SecondNut);
/// assert!((least.mm() - 114.1).abs() < 1e-9 && (most.mm() - 116.7).abs() < 1e-9);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn rod_needed(thread: &Thread, least: Length, most: Length, nuts: Nuts) -> (Length, Length) {
    let out = |stack: Length, pitches: f64| stack + (nuts.height(thread) + Length::from_mm(pitches * thread.p)) * 2.0;
    (out(most, 1.0), out(least, 3.0))
}

/// The length to cut rods to: the next whole even millimetre that serves, else the next whole one, else the next half; none where no one
/// length serves every stack.
///
/// ```
/// use runtrue::{mechanics::stack_up::rod_cut, quantity::Length};
/// let cut = |a: f64, b: f64| rod_cut(Length::from_mm(a), Length::from_mm(b)).map(|l| l.mm());
/// assert_eq!((cut(108.5, 111.1), cut(108.5, 109.4), cut(108.5, 108.9)), (Some(110.0), Some(109.0), Some(108.5)));
/// assert_eq!(cut(112.0, 111.1), None);
/// ```
#[must_use]
pub fn rod_cut(least: Length, most: Length) -> Option<Length> {
    let next = |step: f64| Length::from_mm((least.mm() / step - 1e-9).ceil() * step);
    [2.0, 1.0, 0.5].map(next).into_iter().find(|l| *l <= most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::threads::thread;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn the_root_sum_square_lies_inside_the_worst_case_and_more_parts_spread_more() {
        let stack = |discs: i32| [Link::new(d("7.8"), d("8.2"), discs), Link::new(d("19.9"), d("20.1"), 2)];
        for discs in 1..=8 {
            let (low, high) = worst_case(&stack(discs));
            let (middle, half) = root_sum_square(&stack(discs));
            let worst = (high - low).to_f64().unwrap() / 2.0;
            assert!((middle.mm() - (high + low).to_f64().unwrap() / 2.0).abs() < 1e-9);
            assert!(half.mm() < worst && half < root_sum_square(&stack(discs + 1)).1);
        }
        // One link alone: the same.
        assert!((root_sum_square(&[Link::new(d("7.8"), d("8.2"), 1)]).1.mm() - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_wide_stack_leaves_no_one_rod_length() {
        let m8 = thread("M8").unwrap();
        let mm = Length::from_mm;
        // Four pitches of 1.25 are 5 mm.
        let (least, most) = rod_needed(m8, mm(77.4), mm(82.6), Nuts::Plain);
        assert!(least > most);
        let (least, most) = rod_needed(m8, mm(77.6), mm(82.4), Nuts::Plain);
        assert!(least < most);
    }
}
