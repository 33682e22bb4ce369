//! Stack and lengths.

use rust_decimal::Decimal;
use serde_json::Value;

use runtrue::mechanics::normal;
use runtrue::mechanics::stack_samples::{Spread, TAIL, sample};
use runtrue::mechanics::stack_up::{Link, root_sum_square, worst_case};

use crate::case::{Case, Cases, Origin};
use crate::oracle;

/// Part 9.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    printed(&mut c);
    numpy(&mut c);
    c.done()
}

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// A nominal length, plus and minus.
fn link(nominal: &str, tolerance: &str, count: i32) -> Link {
    Link::new(d(nominal) - d(tolerance), d(nominal) + d(tolerance), count)
}

fn half(links: &[Link]) -> f64 {
    root_sum_square(links).1.mm()
}

fn printed(c: &mut Cases) {
    c.from(Origin::Table, "public article on root sum square: ten of ±0.1 mm, and three of ±0.2, 0.1 and 0.15")
        .same("worst case of ten", worst_case(&[link("1", "0.1", 10)]), (d("9.0"), d("11.0")))
        .near("root sum square of ten", half(&[link("1", "0.1", 10)]), 0.316, 0.000_5)
        .near(
            "root sum square of three",
            half(&[link("9", "0.2", 1), link("5", "0.1", 1), link("3", "0.15", 1)]),
            0.269,
            0.000_5,
        );
    let bushing = [link("20.0", "0.1", 1), link("15.0", "0.05", -1), link("4.8", "0.08", -1), link("0.2", "0.02", -1)];
    c.from(Origin::Example, "public article on stack-up, bushing and clip in a housing").same(
        "worst case",
        worst_case(&bushing),
        (d("-0.25"), d("0.25")),
    );
    let stack = [link("2.000", "0.005", -1), link("1.500", "0.003", -1), link("0.500", "0.002", -1)];
    let gap = [stack[0], stack[1], stack[2], link("4.020", "0.005", 1)];
    c.from(Origin::Example, "public design page, three parts in a housing: worst case and root sum square, worked")
        .same("stack, worst case", worst_case(&stack), (d("-4.010"), d("-3.990")))
        .same("gap, worst case", worst_case(&gap), (d("0.005"), d("0.035")))
        .near("stack, root sum square", half(&stack), 0.006_16, 0.000_005)
        .near("gap, root sum square", half(&gap), 0.007_94, 0.000_005)
        .near("least gap", root_sum_square(&gap).0.mm() - half(&gap), 0.012, 0.000_5)
        .near("largest gap", root_sum_square(&gap).0.mm() + half(&gap), 0.028, 0.000_5);
}

/// The stack that the script samples.
fn links() -> [Link; 3] {
    [link("8", "0.2", 5), link("20", "0.1", 2), link("3", "0.1", -1)]
}

fn numpy(c: &mut Cases) {
    let values = oracle::values("numpy");
    let number = |v: &Value| v.as_f64().unwrap();
    c.from(Origin::Library, "numpy, PCG64 from the same state: the same parts, so the same stacks to the last digits");
    for (name, spread) in [("even", Spread::Even), ("normal", Spread::Normal)] {
        let (found, there) = (sample(&links(), spread, 50_000, 7).unwrap(), &values[name]);
        for (what, value, key) in [
            ("mean", found.mean, "mean"),
            ("deviation", found.deviation, "deviation"),
            ("least", found.extremes.0, "least"),
            ("most", found.extremes.1, "most"),
            ("low quantile", found.low.value, "low"),
            ("high quantile", found.high.value, "high"),
        ] {
            // Sums in another order, the normal distribution of another library: the last bits of 77 mm.
            c.near(format!("{name}: {what}"), value.mm(), number(&there[key]), 1e-9);
        }
    }
    c.from(Origin::Library, "scipy, norm.ppf: the normal distribution turned round");
    for pair in values["deviations"].as_array().unwrap() {
        let (share, there) = (number(&pair[0]), number(&pair[1]));
        c.near(
            format!("deviation with {share} below it"),
            normal::deviation(share),
            there,
            1e-13 * there.abs().max(1.0),
        );
    }
    // A quantile of n samples is known within two standard deviations of its rank, n·q ± 2·√(n·q·(1−q)): for 200 000 and 0.135 %
    // 270 ± 33. The bounds are those order statistics; the exact one lies between them.
    c.from(Origin::Library, "numpy and scipy: quantiles of the folded densities, and of the normal sum");
    for (name, spread) in [("exact_even", Spread::Even), ("exact_normal", Spread::Normal)] {
        let found = sample(&links(), spread, 200_000, 1).unwrap();
        for (quantile, key) in [(found.low, "low"), (found.high, "high")] {
            let there = number(&values[name][key]);
            let (from, to) = (quantile.from.mm(), quantile.to.mm());
            c.near(format!("{name}: {key} quantile"), quantile.value.mm(), there, to - from);
            c.same(format!("{name}: {key} lies within its bounds"), (from..=to).contains(&there), true);
        }
    }
    assert!((TAIL - 0.001_349_898).abs() < 1e-9);
}
