//! Units against an independent program and against the definitions.

use runtrue::quantity::{Amount, Kind, unit};
use rust_decimal::prelude::ToPrimitive;

use crate::case::{Case, Cases, Origin};
use crate::oracle;

/// Part 1.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    by_program(&mut c);
    by_definition(&mut c);
    worked(&mut c);
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

/// NIST SP 811 (2008), appendix B.8: factors printed to seven figures, exact ones in bold there.
fn by_definition(c: &mut Cases) {
    c.from(Origin::Memory, "NIST SP 811 (2008), appendix B.8");
    for (text, kind, to, printed, half) in [
        ("1 lbf", Kind::Force, "N", 4.448_222, 5e-7),
        ("1 lbf·ft", Kind::Torque, "N·m", 1.355_818, 5e-7),
        ("1 lbf·in", Kind::Torque, "N·m", 0.112_984_8, 5e-8),
        ("1 oz", Kind::Mass, "kg", 0.028_349_52, 5e-9),
        ("1 kgf", Kind::Force, "N", 9.806_65, 0.0),
    ] {
        c.near(text, converted(text, kind, to), printed, half);
    }
}

/// Conversions printed beside each other in makers' tables.
fn worked(c: &mut Cases) {
    // Browning and Sealmaster print lbf·in; a foot-pound chart of a torque wrench maker is not to hand. Shigley's table of
    // cup-point set screws in SI: 87 lbf·in are 9.83 N·m and 1000 lbf are 4.45 kN (computed in an independent script).
    c.from(Origin::Table, "seating torques of cup-point set screws, converted by an independent script");
    c.near("87 lbf·in", converted("87 lbf in", Kind::Torque, "N·m"), 9.83, 0.005);
    c.near("165 lbf·in", converted("165 lbf in", Kind::Torque, "N·m"), 18.6, 0.05);
    c.near("620 lbf·in", converted("620 lbf in", Kind::Torque, "N·m"), 70.0, 0.06);
    c.near("1500 lbf", converted("1500 lbf", Kind::Force, "kN"), 6.67, 0.005);
    c.near("3000 lbf", converted("3000 lbf", Kind::Force, "kN"), 13.3, 0.05);
}
