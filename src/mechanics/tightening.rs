//! In which order a group is tightened, and in how many passes.

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
#[must_use]
pub fn passes(passes: u32) -> Vec<f64> {
    match passes {
        3 => vec![0.3, 0.6, 1.0],
        n => (1..=n).map(|k| f64::from(k) / f64::from(n)).collect(),
    }
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
    fn passes_end_at_the_full_torque() {
        for n in 1..=6 {
            let p = passes(n);
            assert_eq!(p.len(), n as usize);
            assert!(p.windows(2).all(|w| w[0] < w[1]) && p.last() == Some(&1.0));
        }
    }
}
