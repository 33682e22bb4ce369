//! Units against an independent program and against the definitions.

use runtrue::quantity::{Amount, Kind, unit};
use rust_decimal::prelude::ToPrimitive;

use crate::case::{Case, Cases, Origin};
use crate::oracle;

/// Part 1.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    by_program(&mut c);
    by_handbook(&mut c);
    by_worked_example(&mut c);
    c.done()
}

fn converted(text: &str, kind: Kind, to: &str) -> f64 {
    let amount = Amount::parse_as(text, kind).unwrap_or_else(|e| panic!("{text}: {e}"));
    amount.in_unit(unit(to).unwrap()).unwrap().to_f64().unwrap()
}

/// What the value file calls a pair, and how a person writes the same.
const PAIRS: &[(&str, &str, Kind, &str)] = &[
    ("in>mm", "1 in", Kind::Length, "mm"),
    ("um>mm", "1 um", Kind::Length, "mm"),
    ("m>mm", "1 m", Kind::Length, "mm"),
    ("cm>mm", "1 cm", Kind::Length, "mm"),
    ("63|64*in>mm", "63/64 in", Kind::Length, "mm"),
    ("3|16*in>mm", "3/16 in", Kind::Length, "mm"),
    ("lbf>N", "1 lbf", Kind::Force, "N"),
    ("kgf>N", "1 kgf", Kind::Force, "N"),
    ("kN>N", "1 kN", Kind::Force, "N"),
    ("lbf*ft>N*m", "1 lbf·ft", Kind::Torque, "N·m"),
    ("lbf*in>N*m", "1 lbf·in", Kind::Torque, "N·m"),
    ("GPa>MPa", "1 GPa", Kind::Stress, "MPa"),
    ("N/mm^2>MPa", "1 N/mm2", Kind::Stress, "MPa"),
    ("N/mm>N/m", "1 N/mm", Kind::Stiffness, "N/m"),
    ("oz>kg", "1 oz", Kind::Mass, "kg"),
    ("lb>kg", "1 lb", Kind::Mass, "kg"),
    ("g>kg", "1 g", Kind::Mass, "kg"),
    ("kJ>J", "1 kJ", Kind::Energy, "J"),
    ("kW>W", "1 kW", Kind::Power, "W"),
    ("hour>s", "1 h", Kind::Time, "s"),
    ("min>s", "1 min", Kind::Time, "s"),
    ("oz*in>g*mm", "1 oz·in", Kind::Unbalance, "g·mm"),
    ("tempC(-40)>tempF", "-40 °C", Kind::Temperature, "°F"),
    ("tempC(20)>tempF", "20 °C", Kind::Temperature, "°F"),
    ("tempC(21.5)>tempF", "21,5 °C", Kind::Temperature, "°F"),
    ("tempC(37)>tempF", "37 °C", Kind::Temperature, "°F"),
];

/// Fifteen figures are printed; the last may be one off.
fn by_program(c: &mut Cases) {
    let printed = oracle::values("units");
    c.from(Origin::Library, "GNU units 2.22 (Debian 2.22-2)");
    for (pair, text, kind, to) in PAIRS {
        let printed = printed[pair].as_f64().unwrap_or_else(|| panic!("units.json has no {pair}"));
        c.share(*pair, converted(text, *kind, to), printed, 2e-15);
    }
}

/// Factors as handbooks print them, within half of the last figure.
fn by_handbook(c: &mut Cases) {
    use Kind::{Force, Length, Mass, Stress, Torque};
    c.from(Origin::Table, "Civil and Structural Manual, appendix E, conversion tables");
    for (text, kind, to, printed, half) in [
        ("1 in", Length, "mm", 25.400, 5e-4),
        ("1 ft", Length, "m", 0.304_800, 5e-7),
        ("1 oz", Mass, "g", 28.349_52, 5e-6),
        ("1 lb", Mass, "kg", 0.453_592, 5e-7),
        ("1 lbf", Force, "N", 4.448_222, 5e-7),
        ("1 N", Force, "lbf", 0.224_809, 5e-7),
        ("1 lbf·in", Torque, "N·m", 0.112_985, 5e-7),
    ] {
        c.near(text, converted(text, kind, to), printed, half);
    }
    c.from(Origin::Table, "Residential Structural Design Guide, appendix B, unit conversions");
    for (text, kind, to, printed, half) in [
        ("1 in", Length, "µm", 25_400.0, 0.0),
        ("1 lb", Mass, "kg", 0.453_592_4, 5e-8),
        ("1 psi", Stress, "MPa", 0.006_894_76, 5e-9),
        ("1000 psi", Stress, "MPa", 6.894_757, 5e-7),
    ] {
        c.near(text, converted(text, kind, to), printed, half);
    }
    c.from(Origin::Table, "Maryland Metrics and Facom, torque guide: 1 N·m = 0,102 kgf·m");
    c.near("0.102 kgf at 1 m", converted("0,102 kgf", Force, "N"), 1.0, 0.005);
}

/// A worked conversion of NIST SP 811, appendix B: 1 lb·ft/s = 0.453 592 4 kg × 0.3048 m/s = 0.138 255 0 kg·m/s.
fn by_worked_example(c: &mut Cases) {
    let product = converted("1 lb", Kind::Mass, "kg") * converted("1 ft", Kind::Length, "m");
    c.from(Origin::Example, "NIST SP 811, appendix B, factor for lb·ft/s").near("lb·ft/s", product, 0.138_255_0, 5e-8);
    // Torques in a machine's manual, both units beside each other, rounded to the whole newton metre.
    c.from(Origin::Example, "Rosco CSV manual, table 2-12, torque in ft·lb and N·m");
    for (foot_pounds, newton_metres) in
        [(31, 42), (49, 66), (109, 148), (267, 362), (474, 643), (644, 873), (1121, 1520), (3162, 4287)]
    {
        let found = converted(&format!("{foot_pounds} ft-lb"), Kind::Torque, "N·m");
        c.near(format!("{foot_pounds} ft·lb"), found, f64::from(newton_metres), 0.5);
    }
}

/// Out and back is the number that was written, for every pair of units of a kind.
#[test]
fn there_and_back_is_the_same() {
    for (_, text, kind, to) in PAIRS {
        let amount = Amount::parse_as(text, *kind).unwrap();
        let there = amount.in_unit(unit(to).unwrap()).unwrap();
        let back = Amount::parse_as(&format!("{there} {to}"), *kind).unwrap().in_unit(amount.unit).unwrap();
        let gap = (back - amount.number).abs().to_f64().unwrap();
        assert!(gap < 1e-24, "{text}: back as {back}");
    }
}
