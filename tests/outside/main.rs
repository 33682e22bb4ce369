//! Numbers against published ones, by topic. The source stands beside each value; the tolerance is the rounding of its print.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod balance;
mod bearings;
mod belts;
mod case;
mod demo;
mod fasteners;
mod fits;
mod oracle;
mod quantity;
mod rotor;
mod stack_up;
mod tightening;

use case::Case;

/// The parts that rest on enough; one is never taken off this list.
const HELD: &[u8] = &[1, 2, 3, 4, 5, 6, 7, 8, 9];

/// The parts of the calculation, each with its cases.
fn parts() -> Vec<(u8, &'static str, Vec<Case>)> {
    vec![
        (1, "quantity", quantity::cases()),
        (2, "fasteners", fasteners::cases()),
        (3, "tightening", tightening::cases()),
        (4, "fits", fits::cases()),
        (5, "belts", belts::cases()),
        (6, "bearings", bearings::cases()),
        (7, "rotor", rotor::cases()),
        (8, "balance", balance::cases()),
        (9, "stack-up", stack_up::cases()),
    ]
}

#[test]
fn every_value_is_met() {
    case::hold(parts().into_iter().flat_map(|(_, _, cases)| cases).collect());
}

/// Prints how many values of how many sources hold each part: `cargo test --test outside count -- --nocapture`.
#[test]
fn count_by_part() {
    for (number, name, cases) in parts() {
        let count = case::Count::of(&cases);
        println!("{number} {name}: {count}");
        if HELD.contains(&number) {
            count.enough(name);
        }
    }
}
