//! A stack built many times over from random parts: how likely its lengths are.
//!
//! The numbers come from PCG XSL-RR 128/64 (O'Neill 2014, crate `rand_pcg`), which numerical libraries of other languages draw from too:
//! same seed, same parts, on every machine, and to be repeated with another program.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

use crate::quantity::Length;

use super::OutOfRange;
use super::normal::{self, BLOCK};
use super::stack_up::Link;

/// How a part's length lies between its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// Anywhere between the limits alike: nothing is known but that they are kept.
    Even,
    /// Normal around the middle, limits at three standard deviations: a process in hand. 0.27 % of parts lie outside.
    Normal,
}

/// What the samples told.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// Mean.
    pub mean: Length,
    /// Standard deviation.
    pub deviation: Length,
    /// Least and largest stack that came up.
    pub extremes: (Length, Length),
    /// The length with the share of [`TAIL`] below it, and the bounds within which that length is known by so many samples.
    pub low: Quantile,
    /// The same at the upper end.
    pub high: Quantile,
    stacks: Vec<f64>,
}

/// A sampled quantile: value, and where the true one lies with 95 %.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantile {
    /// Value.
    pub value: Length,
    /// Lower bound.
    pub from: Length,
    /// Upper bound.
    pub to: Length,
}

/// Share of stacks beyond each of the two quantiles: what lies beyond three standard deviations of a normal spread.
pub const TAIL: f64 = 0.001_349_898;

/// So many samples are taken at least, so that the quantiles rest on more than ten of them, and at most.
pub const SAMPLES: std::ops::RangeInclusive<u32> = 10_000..=5_000_000;

/// Stream of the generator; any odd-to-be number will do, this is the one its authors' examples use.
const STREAM: u128 = 0xa02_bdbf_7bb3_c0a7_ac28_fa16_a64a_bf96;

/// Builds a stack so many times. Parts are independent but for links that are alike.
///
/// # Errors
/// [`OutOfRange`] for a number of samples outside [`SAMPLES`], and for no links or more than 1000 parts.
///
/// ```
/// use runtrue::mechanics::{stack_samples::{Spread, sample}, stack_up::Link};
/// let disc = Link::new("7.8".parse()?, "8.2".parse()?, 5);
/// let s = sample(&[disc], Spread::Even, 20_000, 1)?;
/// // Five even spreads of ±0.2: deviation 0.2/√3·√5 = 0.2582; the mean is known within 0.2582/√20000.
/// assert!((s.deviation.mm() - 0.2582).abs() < 0.004 && (s.mean.mm() - 40.0).abs() < 3.0 * 0.0018);
/// assert!(s.high.value.mm() < 41.0 && s.outside(None, Some(runtrue::quantity::Length::from_mm(41.0))) == 0.0);
/// assert_eq!(s, sample(&[disc], Spread::Even, 20_000, 1)?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sample(links: &[Link], spread: Spread, samples: u32, seed: u64) -> Result<Sampled, OutOfRange> {
    let parts: u64 = links.iter().map(|l| u64::from(l.count.unsigned_abs())).sum();
    if !SAMPLES.contains(&samples) || parts == 0 || parts > 1000 {
        return Err(OutOfRange::new(
            "samples of the stack",
            format!("{samples} of {parts} parts"),
            format!("{} to {} samples of 1 to 1000 parts", SAMPLES.start(), SAMPLES.end()),
            "common practice",
        ));
    }
    let mut stacks = vec![0.0; samples as usize];
    let share = share(stacks.len());
    draw(links, spread, seed, &mut stacks, share);
    let (mean, deviation, extremes) = spread_of(&stacks);
    let [low, high] = quantiles(&stacks, mean, deviation);
    Ok(Sampled {
        mean: Length::from_mm(mean),
        deviation: Length::from_mm(deviation),
        extremes: (Length::from_mm(extremes.0), Length::from_mm(extremes.1)),
        low,
        high,
        stacks,
    })
}

/// Fewest stacks that are worth a thread of their own.
const WORTH: usize = 50_000;

/// How many stacks each of the machine's cores takes.
fn share(samples: usize) -> usize {
    let workers = std::thread::available_parallelism().map_or(1, std::num::NonZero::get).min(samples / WORTH).max(1);
    samples.div_ceil(workers)
}

/// Fills in the stacks, each share on a thread. Every share draws from the place in the one row of numbers where it would
/// stand if all were drawn one after the other, so the stacks are the same on every machine.
fn draw(links: &[Link], spread: Spread, seed: u64, stacks: &mut [f64], share: usize) {
    let drawn = Drawn::of(links);
    let each = drawn.parts.len() as u128;
    std::thread::scope(|all| {
        for (k, stacks) in stacks.chunks_mut(share).enumerate() {
            let mut random = Pcg64::new(u128::from(seed), STREAM);
            random.advance(each * (k * share) as u128);
            let drawn = &drawn;
            all.spawn(move || fill(drawn, spread, &mut random, stacks));
        }
    });
}

/// Stacks one after the other, the parts of some of them drawn at a time.
fn fill(of: &Drawn, spread: Spread, random: &mut Pcg64, stacks: &mut [f64]) {
    let each = of.parts.len();
    let some = (BLOCK / each).max(1);
    let mut drawn = vec![0.0; some * each];
    for stacks in stacks.chunks_mut(some) {
        let drawn = &mut drawn[..stacks.len() * each];
        drawn.chunks_mut(BLOCK).for_each(|block| deviations(spread, random, block));
        for (stack, off) in stacks.iter_mut().zip(drawn.chunks_exact(each)) {
            *stack = of.middle + off.iter().zip(&of.parts).map(|(off, part)| off * part).sum::<f64>();
        }
    }
}

/// A stack as it is drawn: exact limits turned into binary numbers once, not for every stack.
struct Drawn {
    /// Middles of all parts, with their direction, mm.
    middle: f64,
    /// What a deviation of 1 of each part that is drawn for itself adds, for all that are like it, with their direction, mm.
    parts: Vec<f64>,
}

impl Drawn {
    fn of(links: &[Link]) -> Self {
        let parts = |link: &Link| {
            let (draws, each) = if link.alike {
                (1, f64::from(link.count))
            } else {
                (link.count.unsigned_abs() as usize, f64::from(link.count.signum()))
            };
            vec![link.half() * each; draws]
        };
        let middle = links.iter().map(|link| link.middle() * f64::from(link.count)).sum();
        Self { middle, parts: links.iter().flat_map(parts).collect() }
    }
}

/// Deviations from the middle, in half widths: one number of the row each.
fn deviations(spread: Spread, random: &mut Pcg64, off: &mut [f64]) {
    off.iter_mut().for_each(|off| *off = unit(random));
    match spread {
        Spread::Even => off.iter_mut().for_each(|off| *off = 2.0 * *off - 1.0),
        Spread::Normal => {
            normal::deviations(off);
            off.iter_mut().for_each(|off| *off /= 3.0);
        }
    }
}

/// Between 0 and 1, and neither: the middle of the step that the 52 upper bits name. They are put behind the point of a number
/// from 1 to 2, and all of it but half a step is taken away; nothing is rounded.
fn unit(random: &mut Pcg64) -> f64 {
    f64::from_bits(1.0_f64.to_bits() | (random.next_u64() >> 12)) - (1.0 - f64::EPSILON / 2.0)
}

/// Mean and standard deviation, least and largest.
fn spread_of(stacks: &[f64]) -> (f64, f64, (f64, f64)) {
    let n = stacks.len() as f64;
    let mean = lanes(stacks, 0.0, |sum, s| sum + s).iter().sum::<f64>() / n;
    let square = lanes(stacks, 0.0, |sum, s| sum + (s - mean).powi(2)).iter().sum::<f64>() / (n - 1.0);
    let least = lanes(stacks, f64::INFINITY, f64::min).into_iter().fold(f64::INFINITY, f64::min);
    let most = lanes(stacks, f64::NEG_INFINITY, f64::max).into_iter().fold(f64::NEG_INFINITY, f64::max);
    (mean, square.sqrt(), (least, most))
}

/// Sums up in eight rows side by side: one row would wait for each of its own sums.
fn lanes(stacks: &[f64], from: f64, with: impl Fn(f64, f64) -> f64) -> [f64; 8] {
    let mut rows = [from; 8];
    for some in stacks.chunks(8) {
        rows.iter_mut().zip(some).for_each(|(row, s)| *row = with(*row, *s));
    }
    rows
}

/// Ranks of the order statistic at a share, and two standard deviations of it to both sides: `n·q ± 2·√(n·q·(1−q))` (binomial; 95 %).
fn ranks(samples: usize, share: f64) -> [usize; 3] {
    let n = samples as f64;
    let wide = 2.0 * (n * share * (1.0 - share)).sqrt();
    [n * share, n * share - wide, n * share + wide].map(|r| (r.max(0.0) as usize).min(samples - 1))
}

/// The quantiles at [`TAIL`] and at what it leaves. Looked for among the few stacks beyond two and a half standard deviations; where
/// these are too few (an even part alone has none there) among all.
fn quantiles(stacks: &[f64], mean: f64, deviation: f64) -> [Quantile; 2] {
    let far = 2.5 * deviation;
    let (low, high) = (ranks(stacks.len(), TAIL), ranks(stacks.len(), 1.0 - TAIL));
    let below: Vec<f64> = stacks.iter().copied().filter(|s| *s < mean - far).collect();
    let low = if low[2] < below.len() { at_ranks(below, low) } else { at_ranks(stacks.to_vec(), low) };
    let above: Vec<f64> = stacks.iter().copied().filter(|s| *s > mean + far).collect();
    let under = stacks.len() - above.len();
    let high =
        if high[1] >= under { at_ranks(above, high.map(|rank| rank - under)) } else { at_ranks(stacks.to_vec(), high) };
    [low, high]
}

/// Stacks are moved about until each asked for stands at its rank; putting all in order would take longer.
fn at_ranks(mut stacks: Vec<f64>, ranks: [usize; 3]) -> Quantile {
    let [value, from, to] = ranks.map(|rank| Length::from_mm(*stacks.select_nth_unstable_by(rank, f64::total_cmp).1));
    Quantile { value, from, to }
}

impl Sampled {
    /// Share of stacks below the lower or above the upper limit.
    ///
    /// ```
    /// use runtrue::mechanics::{stack_samples::{Spread, sample}, stack_up::Link};
    /// use runtrue::quantity::Length;
    /// let disc = Link::new("7.8".parse()?, "8.2".parse()?, 1);
    /// let drawn = sample(&[disc], Spread::Even, 20_000, 7)?;
    /// assert_eq!(drawn.outside(Some(Length::from_mm(7.8)), Some(Length::from_mm(8.2))), 0.0);
    /// // Half of the even ones lie under the middle; 20 000 draws know that to a hundredth.
    /// assert!((drawn.outside(Some(Length::from_mm(8.0)), None) - 0.5).abs() < 0.015);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn outside(&self, lower: Option<Length>, upper: Option<Length>) -> f64 {
        let outside = |s: &&f64| lower.is_some_and(|l| **s < l.mm()) || upper.is_some_and(|u| **s > u.mm());
        self.stacks.iter().filter(outside).count() as f64 / self.stacks.len() as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::stack_up::{root_sum_square, worst_case};
    use rust_decimal::prelude::ToPrimitive;

    fn links() -> Vec<Link> {
        let d = |t: &str| t.parse().unwrap();
        vec![Link::new(d("7.8"), d("8.2"), 5), Link::new(d("19.9"), d("20.1"), 2), Link::new(d("2.9"), d("3.1"), -1)]
    }

    #[test]
    fn samples_stay_inside_the_worst_case_and_their_normal_tails_meet_the_root_sum_square() {
        let (low, high) = worst_case(&links());
        let even = sample(&links(), Spread::Even, 50_000, 7).unwrap();
        assert!(even.extremes.0.mm() >= low.to_f64().unwrap() && even.extremes.1.mm() <= high.to_f64().unwrap());
        let normal = sample(&links(), Spread::Normal, 50_000, 7).unwrap();
        let (middle, half) = root_sum_square(&links());
        let (from, to) = (normal.high.from, normal.high.to);
        assert!(from < middle + half && middle + half < to, "{normal:?}");
        assert!(normal.low.from < middle - half && middle - half < normal.low.to);
    }

    #[test]
    fn stacks_drawn_in_shares_are_those_drawn_one_after_the_other() {
        let one_sheet: Vec<Link> = links().into_iter().map(Link::from_one_sheet).collect();
        for (links, spread) in [(links(), Spread::Even), (links(), Spread::Normal), (one_sheet, Spread::Normal)] {
            let drawn = |share| {
                let mut sums = vec![0.0; 1_000];
                draw(&links, spread, 7, &mut sums, share);
                sums
            };
            let mut whole = drawn(1_000);
            assert_eq!(whole, drawn(301));
            let found = at_ranks(whole.clone(), ranks(1_000, 0.9));
            whole.sort_by(f64::total_cmp);
            // Ranks 900 and two deviations of √(1000·0.9·0.1) = 9.49 to both sides.
            assert_eq!([found.value, found.from, found.to].map(|l| l.mm()), [whole[900], whole[881], whole[918]]);
        }
    }

    /// Ten thousand stacks: rank 13, and two deviations of √(10000·0.00135·0.99865) = 3.67 to both sides; the upper ones from the far
    /// end. An even part alone has nothing beyond √3 deviations, so all are looked through.
    #[test]
    fn quantiles_are_the_stacks_of_their_ranks() {
        let alone = vec![links().remove(0).from_one_sheet()];
        for (links, spread) in [(links(), Spread::Even), (links(), Spread::Normal), (alone, Spread::Even)] {
            let found = sample(&links, spread, 10_000, 3).unwrap();
            let mut sorted = found.stacks.clone();
            sorted.sort_by(f64::total_cmp);
            let of = |q: Quantile| [q.from, q.value, q.to].map(|l| l.mm());
            assert_eq!(of(found.low), [6, 13, 20].map(|rank| sorted[rank]));
            assert_eq!(of(found.high), [9_979, 9_986, 9_993].map(|rank| sorted[rank]));
            assert_eq!((found.extremes.0.mm(), found.extremes.1.mm()), (sorted[0], sorted[9_999]));
        }
    }

    #[test]
    fn parts_alike_spread_more_and_another_seed_gives_other_parts() {
        let one_sheet: Vec<Link> = links().into_iter().map(Link::from_one_sheet).collect();
        let of = |links: &[Link], seed| sample(links, Spread::Normal, 20_000, seed).unwrap();
        assert!(of(&one_sheet, 1).deviation.mm() > 1.5 * of(&links(), 1).deviation.mm());
        assert_ne!(of(&links(), 1).mean, of(&links(), 2).mean);
        let all = of(&links(), 1);
        let limit = all.high.value;
        assert!((all.outside(None, Some(limit)) - TAIL).abs() < 2e-4);
        assert_eq!(all.outside(Some(all.extremes.0), Some(all.extremes.1)), 0.0);
        assert!(sample(&links(), Spread::Even, 9_999, 1).is_err() && sample(&[], Spread::Even, 10_000, 1).is_err());
    }
}
