//! The normal distribution turned round: which deviation has a given share below it.

/// Coefficients of a quotient of two polynomials, the lowest power first.
type Quotient = ([f64; 8], [f64; 8]);

/// How far from the middle a share counts as central.
const CENTRAL: f64 = 0.425;

/// Central shares: in `0.425² - q²`.
const MIDDLE: Quotient = (
    [
        3.387_132_872_796_366_5,
        133.141_667_891_784_38,
        1_971.590_950_306_551_4,
        13_731.693_765_509_46,
        45_921.953_931_549_87,
        67_265.770_927_008_7,
        33_430.575_583_588_13,
        2_509.080_928_730_122_7,
    ],
    [
        1.0,
        42.313_330_701_600_91,
        687.187_007_492_057_9,
        5_394.196_021_424_751,
        21_213.794_301_586_597,
        39_307.895_800_092_71,
        28_729.085_735_721_943,
        5_226.495_278_852_854,
    ],
);

/// Tails down to `e^-25`: in `√(-ln p) - 1.6`.
const TAIL: Quotient = (
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        0.241_780_725_177_450_6,
        0.022_723_844_989_269_184,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        0.689_767_334_985_1,
        0.148_103_976_427_480_08,
        0.015_198_666_563_616_457,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
);

/// Tails beyond: in `√(-ln p) - 5`.
const FAR: Quotient = (
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        0.296_560_571_828_504_87,
        0.026_532_189_526_576_124,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        0.599_832_206_555_888,
        0.136_929_880_922_735_8,
        0.014_875_361_290_850_615,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_7e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
);

fn quotient((above, below): &Quotient, x: f64) -> f64 {
    let of = |list: &[f64; 8]| list.iter().rev().fold(0.0, |sum, c| sum * x + c);
    of(above) / of(below)
}

/// The deviation, in standard deviations, that has this share of a normal distribution below it; to about 1 in 10¹⁶.
/// Infinite for shares of 0 and 1, no number outside of these.
///
/// Source: Wichura, Algorithm AS 241, routine PPND16, Applied Statistics 37 (1988), 477-484; coefficients from memory, held
/// against scipy in `tests/outside/stack_up.rs`.
///
/// ```
/// use runtrue::mechanics::normal::deviation;
/// assert_eq!(deviation(0.5), 0.0);
/// // Table values: 97.5 % lie below 1.959964, 99.865 % below 3.
/// assert!((deviation(0.975) - 1.959_963_984_540_054).abs() < 1e-14);
/// assert!((deviation(0.998_650_101_968_37) - 3.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn deviation(share: f64) -> f64 {
    let off = share - 0.5;
    if off.abs() <= CENTRAL { central(off) } else { tail(share, off) }
}

fn central(off: f64) -> f64 {
    off * quotient(&MIDDLE, 0.180_625 - off * off)
}

/// The share on the far side.
fn beyond(share: f64) -> f64 {
    if share < 0.5 { share } else { 1.0 - share }
}

fn tail(share: f64, off: f64) -> f64 {
    let beyond = beyond(share);
    if beyond == 0.0 {
        return off.signum() * f64::INFINITY;
    }
    let depth = (-beyond.ln()).sqrt();
    let found = if depth <= 5.0 { quotient(&TAIL, depth - 1.6) } else { quotient(&FAR, depth - 5.0) };
    off.signum() * found
}

/// Turns shares into deviations, in place; as many as [`BLOCK`] or fewer. The middle is reckoned for all of them, several at a
/// time; those of the tails, about one in seven, are then put together and reckoned the same way.
pub(super) fn deviations(shares: &mut [f64]) {
    let mut middle = [0.0; BLOCK];
    for (found, share) in middle.iter_mut().zip(shares.iter()) {
        *found = central(share - 0.5);
    }
    let mut tails = [0; BLOCK];
    let mut count = 0;
    for (at, share) in shares.iter().enumerate() {
        tails[count] = at;
        // No branch: which shares lie in the tails cannot be foreseen.
        count += usize::from((share - 0.5).abs() > CENTRAL);
    }
    let tails = &tails[..count];
    let mut found = [0.0; BLOCK];
    for (depth, at) in found.iter_mut().zip(tails) {
        *depth = -beyond(shares[*at]).ln();
    }
    for found in &mut found[..count] {
        *found = quotient(&TAIL, found.sqrt() - 1.6);
    }
    for (found, at) in found.iter().zip(tails) {
        let share = shares[*at];
        let off = share - 0.5;
        middle[*at] = if beyond(share) > FURTHEST { off.signum() * found } else { tail(share, off) };
    }
    shares.copy_from_slice(&middle[..shares.len()]);
}

/// `e^-25` and a little more: shares beyond are looked at one by one.
const FURTHEST: f64 = 1.389e-11;

/// Most shares that are turned at a time.
pub(super) const BLOCK: usize = 256;

#[cfg(test)]
mod tests {
    use super::*;

    /// Shares of the middle, of both tails, and of those beyond, in every mixture that a block can hold.
    #[test]
    fn many_at_a_time_are_each_as_one_alone() {
        let few = [0.5, 0.074, 0.076, 0.925, 0.926, 1e-3, 1.0 - 1e-9, 1e-11, 1.388e-11, 1.389e-11, 1.39e-11, 1e-300];
        for stride in 1..few.len() {
            for count in [0, 1, 2, 255, BLOCK] {
                let shares: Vec<f64> = (0..count).map(|k| few[k * stride % few.len()]).collect();
                let mut found = shares.clone();
                deviations(&mut found);
                assert_eq!(found, shares.iter().map(|s| deviation(*s)).collect::<Vec<_>>());
            }
        }
        let mut all_far = [1e-3; BLOCK];
        deviations(&mut all_far);
        assert_eq!(all_far, [deviation(1e-3); BLOCK]);
    }
}
