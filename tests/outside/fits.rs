//! Limits and fits, reaming, deciding.

use runtrue::mechanics::ream;
use runtrue::standards::iso286;

use crate::case::{Case, Cases, Origin};

/// Part 4.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    limits_of_size(&mut c);
    reamer_limits(&mut c);
    c.done()
}

/// Catalogue tables: a catalogue table of tolerances for K7, N7, H11; SKF table 3a for h6..h9; Dormer for H7; µm.
fn limits_of_size(c: &mut Cases) {
    c.from(Origin::Table, "ISO 286-2 limits as printed in catalogue tables (MIS, SKF table 3a, Dormer)");
    for (class, size, lower, upper) in [
        ("H7", "25", 0, 21),
        ("H7", "50", 0, 25),
        ("H7", "3", 0, 10),
        ("H7", "18", 0, 18),
        ("H8", "30", 0, 33),
        ("H11", "80", 0, 190),
        ("h6", "25", -13, 0),
        ("h7", "40", -25, 0),
        ("h9", "60", -74, 0),
        ("h11", "100", -220, 0),
        ("g6", "25", -20, -7),
        ("f7", "25", -41, -20),
        ("k6", "25", 2, 15),
        ("m6", "12", 7, 18),
        ("n6", "60", 20, 39),
        ("p6", "100", 37, 59),
        ("K7", "25", -15, 6),
        ("N7", "25", -28, -7),
        ("P7", "25", -35, -14),
        ("G7", "25", 7, 28),
        ("F7", "25", 20, 41),
        ("K7", "2", -10, 0),
    ] {
        let d = iso286::class(class, size.parse().unwrap()).unwrap();
        let (lower, upper): (rust_decimal::Decimal, rust_decimal::Decimal) = (lower.into(), upper.into());
        c.same(format!("{class} {size}"), (d.lower_um, d.upper_um), (lower, upper));
    }
}

fn reamer_limits(c: &mut Cases) {
    c.from(Origin::Table, "DIN 1420, reamers for H7, as printed by Dormer");
    for (size, lower, upper) in [
        ("3", "3.004", "3.008"),
        ("6", "6.005", "6.010"),
        ("10", "10.006", "10.012"),
        ("18", "18.008", "18.015"),
        ("25", "25.009", "25.017"),
        ("50", "50.012", "50.021"),
        ("80", "80.014", "80.025"),
    ] {
        let (a, b) = ream::reamer("H7", size.parse().unwrap()).unwrap();
        c.same(size, (a.to_string(), b.to_string()), (lower.to_owned(), upper.to_owned()));
    }
}
