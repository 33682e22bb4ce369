//! In which order a group is tightened, in how many passes, and with which wrench.

use crate::quantity::Torque;
use crate::standards::{NotInTable, bench};

use super::OutOfRange;

/// Order of tightening for a group of `count` fasteners numbered clockwise.
///
/// Multiples of four follow the published cross pattern (ASME PCC-1, legacy pattern, table 4 of older editions, as
/// printed on flange work sheets): from each start `k`, `k + n/2`, `k + n/4`, `k + 3n/4`. Other even counts go in
/// opposite pairs, odd counts as a star with the step `n/2` rounded down (common practice). One to three go in turn.
///
/// ```
/// use runtrue::mechanics::tightening::sequence;
/// assert_eq!(sequence(8), [1, 5, 3, 7, 2, 6, 4, 8]); // ASME PCC-1, legacy cross pattern
/// assert_eq!(sequence(6), [1, 4, 2, 5, 3, 6]);
/// assert_eq!(sequence(5), [1, 3, 5, 2, 4]);
/// ```
#[must_use]
pub fn sequence(count: u32) -> Vec<u32> {
    match count {
        0..=3 => (1..=count).collect(),
        n if n % 4 == 0 => cross(n),
        6 => vec![1, 4, 2, 5, 3, 6],
        n if n % 2 == 0 => pairs(n),
        n => star(n),
    }
}

/// Starts of the cross pattern as printed for 4 to 24; beyond, evens and odds interleaved by halves.
fn cross(n: u32) -> Vec<u32> {
    let starts: Vec<u32> = match n {
        4 => vec![1],
        8 => vec![1, 2],
        12 => vec![1, 2, 3],
        16 => vec![1, 3, 2, 4],
        20 => vec![1, 3, 5, 2, 4],
        24 => vec![1, 4, 2, 5, 3, 6],
        _ => (1..=n / 4).step_by(2).chain((2..=n / 4).step_by(2)).collect(),
    };
    let mut order = Vec::with_capacity(n as usize);
    for k in starts {
        order.extend([k, k + n / 2, k + n / 4, k + 3 * n / 4]);
    }
    order
}

/// Opposite pairs, each pair away from the last.
fn pairs(n: u32) -> Vec<u32> {
    let half = n / 2;
    // `half` is odd here, so a step of two visits every pair before it returns.
    let mut order = Vec::with_capacity(n as usize);
    for i in 0..half {
        let k = (2 * i) % half + 1;
        let flip = (2 * i) / half % 2 == 1;
        let (a, b) = if flip { (k + half, k) } else { (k, k + half) };
        order.extend([a, b]);
    }
    order
}

fn star(n: u32) -> Vec<u32> {
    let step = n / 2;
    (0..n).map(|i| i * step % n + 1).collect()
}

/// Shares of the full torque for `passes` passes: 30, 60, 100 % for three, which lies in every band of the legacy
/// passes of ASME PCC-1 (20 to 30, 50 to 70, 100 %); even steps for other counts (common practice).
///
/// ```
/// assert_eq!(runtrue::mechanics::tightening::passes(3), [0.3, 0.6, 1.0]);
/// ```
#[must_use]
pub fn passes(passes: u32) -> Vec<f64> {
    match passes {
        3 => vec![0.3, 0.6, 1.0],
        n => (1..=n).map(|k| f64::from(k) / f64::from(n)).collect(),
    }
}

/// Round after the last pass: all fasteners in turn at the full torque, until none moves (ASME PCC-1, legacy pass 4).
///
/// ```
/// assert_eq!(runtrue::mechanics::tightening::circular(4), [1, 2, 3, 4]);
/// ```
#[must_use]
pub fn circular(count: u32) -> Vec<u32> {
    (1..=count).collect()
}

/// What a flange diagram prints: at each position, going round, its number in the order. The inverse of an order; mistaken
/// for one, it tightens another pattern.
///
/// # Errors
/// [`OutOfRange`] unless the order has every number from 1 up once.
///
/// ```
/// use runtrue::mechanics::tightening::{labels, sequence};
/// // ASME PCC-1, legacy: twelve bolts are labelled so around the flange.
/// assert_eq!(labels(&sequence(12))?, [1, 5, 9, 3, 7, 11, 2, 6, 10, 4, 8, 12]);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn labels(order: &[u32]) -> Result<Vec<u32>, OutOfRange> {
    let mut labels = vec![0; order.len()];
    for (nth, position) in (1..).zip(order) {
        match (*position as usize).checked_sub(1).and_then(|i| labels.get_mut(i)) {
            Some(label) if *label == 0 => *label = nth,
            _ => {
                let range = format!("every number from 1 to {} once", order.len());
                return Err(OutOfRange::new("order of tightening", format!("{order:?}"), range, "counting"));
            }
        }
    }
    Ok(labels)
}

/// Torque of each pass, by [`passes`].
///
/// ```
/// use runtrue::{mechanics::tightening::pass_torques, quantity::Torque};
/// let nm: Vec<f64> = pass_torques(Torque::from_nm(50.0), 3).iter().map(|t| t.nm()).collect();
/// assert_eq!(nm, [15.0, 30.0, 50.0]);
/// ```
#[must_use]
pub fn pass_torques(full: Torque, count: u32) -> Vec<Torque> {
    passes(count).into_iter().map(|share| full * share).collect()
}

/// A torque wrench at one setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// Least torque the wrench is used at.
    pub least: Torque,
    /// Largest torque of the wrench.
    pub most: Torque,
    /// The fastener may get so much less or more than the setting.
    pub deviation: Torque,
}

/// Checks a torque against the range of a setting wrench, from 20 % of its largest torque, and gives the permissible
/// deviation there: 6 % up to 10 N·m, 4 % above (ISO 6789, type II class A).
///
/// ISO 6789-1:2017 lets the range start at the lowest marked value; the fifth of the edition of 2003 is kept as the cautious
/// end for a wrench whose lowest mark is not known.
///
/// # Errors
/// [`OutOfRange`] for a torque outside the usable range, or a wrench above 2000 N·m.
///
/// ```
/// use runtrue::{mechanics::tightening::wrench, quantity::Torque};
/// let set = wrench(Torque::from_nm(17.0), Torque::from_nm(50.0))?;
/// assert!(set.least.nm() == 10.0 && (set.deviation.nm() - 0.68).abs() < 1e-12);
/// assert!(wrench(Torque::from_nm(17.0), Torque::from_nm(100.0)).is_err()); // 17 % of it
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn wrench(torque: Torque, largest: Torque) -> Result<Setting, OutOfRange> {
    let least = largest * bench::wrench_share().0;
    if !(torque.nm() > 0.0 && torque >= least && torque <= largest) {
        return Err(OutOfRange::new(
            "torque for this wrench",
            format!("{} N·m", torque.nm()),
            format!("it is used from {} to {} N·m, from 20 % of its largest torque", least.nm(), largest.nm()),
            "ISO 6789",
        ));
    }
    let deviation = torque * deviation_share(torque).map_err(|e| over(&e))?;
    Ok(Setting { least, most: largest, deviation })
}

/// Largest torques between which a wrench must lie for a torque: the torque itself, and that over 20 %.
///
/// For passes of one group the first pass asks for the smaller wrench: give the least and the largest torque.
///
/// # Errors
/// [`OutOfRange`] unless the least torque is above 0 and at most the largest, or where no one wrench reaches from the one
/// to the other.
///
/// ```
/// use runtrue::{mechanics::tightening::wrench_for, quantity::Torque};
/// // Passes of 5.1, 10.2 and 17 N·m: a wrench of 17 to 25.5 N·m does them all.
/// let (least, most) = wrench_for(Torque::from_nm(5.1), Torque::from_nm(17.0))?;
/// assert!(least.nm() == 17.0 && (most.nm() - 25.5).abs() < 1e-12);
/// assert!(wrench_for(Torque::from_nm(5.0), Torque::from_nm(50.0)).is_err());
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn wrench_for(least: Torque, largest: Torque) -> Result<(Torque, Torque), OutOfRange> {
    let most = least / bench::wrench_share().0;
    if least.nm() > 0.0 && least <= largest && largest <= most {
        return Ok((largest, most));
    }
    Err(OutOfRange::new(
        "torques for one wrench",
        format!("{} to {} N·m", least.nm(), largest.nm()),
        "the least is above 0, at most the largest, and at least 20 % of it",
        "ISO 6789",
    ))
}

fn deviation_share(torque: Torque) -> Result<f64, NotInTable> {
    bench::torque_tool(torque).map(|(share, _)| share)
}

fn over(e: &NotInTable) -> OutOfRange {
    OutOfRange::new("torque of a setting wrench", e.what.clone(), e.range.clone(), "ISO 6789")
}

/// Share of the full torque that is only snug: the legacy install round of ASME PCC-1 stays at or below 20 %.
pub const SNUG_SHARE: f64 = 0.15;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_count_is_a_permutation_without_neighbours_in_a_row() {
        for n in 1..=60 {
            let order = sequence(n);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert_eq!(sorted, (1..=n).collect::<Vec<_>>(), "{n}");
            if n >= 5 {
                for pair in order.windows(2) {
                    let gap = pair[0].abs_diff(pair[1]);
                    assert!(gap != 1 && gap != n - 1, "{n}: {} then {}", pair[0], pair[1]);
                }
            }
        }
    }

    #[test]
    fn even_counts_go_in_opposite_pairs() {
        for n in (4..=60).step_by(2) {
            for pair in sequence(n).chunks(2) {
                assert_eq!(pair[0].abs_diff(pair[1]), n / 2, "{n}");
            }
        }
    }

    #[test]
    fn labels_and_orders_are_inverses() {
        for n in 0..=60 {
            let order = sequence(n);
            assert_eq!(labels(&labels(&order).unwrap()).unwrap(), order, "{n}");
        }
        for wrong in [&[1, 1][..], &[0, 1], &[1, 3], &[2]] {
            assert!(labels(wrong).is_err(), "{wrong:?}");
        }
    }

    #[test]
    fn a_star_has_one_step_all_round() {
        for n in (5..=59).step_by(2) {
            let order = sequence(n);
            assert!(order.windows(2).all(|w| (w[0] + n / 2 - 1) % n + 1 == w[1]), "{n}");
        }
    }

    #[test]
    fn a_wrench_is_used_from_a_fifth_of_its_range() {
        let nm = Torque::from_nm;
        assert!(wrench(nm(10.0), nm(50.0)).is_ok() && wrench(nm(50.0), nm(50.0)).is_ok());
        for bad in [9.9, 50.1, 0.0, -5.0, f64::NAN] {
            assert!(wrench(nm(bad), nm(50.0)).is_err(), "{bad}");
        }
        assert!(wrench(nm(2500.0), nm(3000.0)).unwrap_err().to_string().contains("2000 N·m"));
        // What is asked for is what is found to do.
        let (least, most) = wrench_for(nm(5.1), nm(17.0)).unwrap();
        for size in [least, most] {
            assert!(wrench(nm(5.1), size).is_ok() && wrench(nm(17.0), size).is_ok(), "{}", size.nm());
        }
        assert!(wrench_for(nm(0.0), nm(1.0)).is_err() && wrench_for(nm(2.0), nm(1.0)).is_err());
    }

    #[test]
    fn three_passes_lie_in_the_bands_of_the_legacy_pattern() {
        let three = passes(3);
        assert!((0.2..=0.3).contains(&three[0]) && (0.5..=0.7).contains(&three[1]) && SNUG_SHARE <= 0.2);
    }

    #[test]
    fn passes_end_at_the_full_torque() {
        for n in 1..=6 {
            let p = passes(n);
            assert_eq!(p.len(), n as usize);
            assert!(p.windows(2).all(|w| w[0] < w[1]) && p.last() == Some(&1.0));
        }
    }
}
