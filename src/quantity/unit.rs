//! The units that people write, each with its exact factor.

use std::fmt;
use std::str::FromStr;
use std::sync::LazyLock;

use rust_decimal::Decimal;

/// What a quantity is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, strum::VariantArray)]
pub enum Kind {
    /// Base unit mm.
    Length,
    /// Base unit N.
    Force,
    /// Base unit N·m.
    Torque,
    /// Base unit MPa.
    Stress,
    /// Base unit kg.
    Mass,
    /// Speed of rotation, base unit rpm.
    Speed,
    /// Base unit Hz.
    Frequency,
    /// Base unit degree.
    Angle,
    /// Base unit °C.
    Temperature,
    /// Base unit J.
    Energy,
    /// Base unit W.
    Power,
    /// Base unit s.
    Time,
    /// Base unit N/m.
    Stiffness,
    /// Base unit g·mm.
    Unbalance,
    /// Base unit kg/m3.
    Density,
    /// Base unit %.
    Percent,
    /// Vickers hardness, no conversion.
    Hardness,
    /// Velocity along a line, base unit m/s.
    Velocity,
    /// Moment of inertia of a mass, base unit kg·m².
    Inertia,
    /// Without a unit.
    Number,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Length => "a length",
            Self::Force => "a force",
            Self::Torque => "a torque",
            Self::Stress => "a stress",
            Self::Mass => "a mass",
            Self::Speed => "a speed of rotation",
            Self::Frequency => "a frequency",
            Self::Angle => "an angle",
            Self::Temperature => "a temperature",
            Self::Energy => "an energy",
            Self::Power => "a power",
            Self::Time => "a time",
            Self::Stiffness => "a stiffness",
            Self::Unbalance => "an unbalance",
            Self::Density => "a density",
            Self::Percent => "a percentage",
            Self::Hardness => "a hardness",
            Self::Velocity => "a velocity",
            Self::Inertia => "a moment of inertia",
            Self::Number => "a plain number",
        })
    }
}

impl Kind {
    /// Every kind.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// The unit in which limits of this kind are stated.
    ///
    /// ```
    /// assert_eq!(runtrue::quantity::Kind::Torque.base_symbol(), "N·m");
    /// ```
    #[must_use]
    pub fn base_symbol(self) -> &'static str {
        let base =
            |u: &&Unit| u.kind == self && u.factor == Decimal::ONE && u.divisor == Decimal::ONE && u.offset.is_zero();
        UNITS.iter().find(base).map_or("", |u| u.symbol)
    }
}

impl Kind {
    /// Every spelling of every unit of this kind, the longest first.
    ///
    /// ```
    /// assert_eq!(runtrue::quantity::Kind::Speed.spellings(), ["1/min", "r/min", "/min", "rpm"]);
    /// ```
    #[must_use]
    pub fn spellings(self) -> Vec<&'static str> {
        let rows = ROWS.iter().filter(|(_, _, kind, _)| *kind == self);
        let mut all: Vec<&str> =
            rows.flat_map(|(symbol, others, ..)| std::iter::once(symbol).chain(*others)).copied().collect();
        if self == Self::Temperature {
            all.extend(["°F", "degF", "F"]);
        }
        all.sort_by_key(|s| std::cmp::Reverse(s.chars().count()));
        all
    }
}

/// A unit: symbol, kind, and `base = (written + offset) × factor / divisor`, exact.
#[derive(Debug, PartialEq, Eq)]
pub struct Unit {
    /// As printed.
    pub symbol: &'static str,
    /// What it measures.
    pub kind: Kind,
    /// Exact factor to the base unit, with [`Unit::divisor`].
    pub factor: Decimal,
    /// Divides after the factor, where the quotient is no finite decimal: °F has 5/9, psi is lbf over 645.16 mm².
    pub divisor: Decimal,
    /// Added before the factor; zero but for °F.
    pub offset: Decimal,
}

/// Symbol, other spellings, kind, exact factor to the base unit.
///
/// Inch 25.4 mm, pound 0.453 592 37 kg and standard gravity 9.806 65 m/s² are exact by definition (BIPM SI brochure,
/// 9th ed.; NIST SP 811, appendix B); lbf and its products follow from them. "a/b" is a quotient kept as it is.
const ROWS: &[(&str, &[&str], Kind, &str)] = &[
    ("mm", &[], Kind::Length, "1"),
    ("m", &[], Kind::Length, "1000"),
    ("cm", &[], Kind::Length, "10"),
    ("µm", &["um", "μm"], Kind::Length, "0.001"),
    ("in", &["\"", "inch"], Kind::Length, "25.4"),
    ("ft", &[], Kind::Length, "304.8"),
    ("N", &[], Kind::Force, "1"),
    ("kN", &[], Kind::Force, "1000"),
    ("lbf", &[], Kind::Force, "4.4482216152605"),
    ("kgf", &[], Kind::Force, "9.80665"),
    ("N·m", &["Nm", "N m", "N*m", "N.m"], Kind::Torque, "1"),
    ("N·mm", &["Nmm", "N mm", "N*mm"], Kind::Torque, "0.001"),
    ("cN·m", &["cNm", "cN m"], Kind::Torque, "0.01"),
    (
        "lbf·ft",
        &["lbf ft", "lbfft", "lbf*ft", "ft·lbf", "ft lbf", "ft-lb", "lb-ft", "ft lb"],
        Kind::Torque,
        "1.3558179483314004",
    ),
    (
        "lbf·in",
        &["lbf in", "lbfin", "lbf*in", "in·lbf", "in lbf", "in-lb", "lb-in", "in lb"],
        Kind::Torque,
        "0.1129848290276167",
    ),
    ("MPa", &["N/mm2", "N/mm²"], Kind::Stress, "1"),
    ("GPa", &[], Kind::Stress, "1000"),
    ("psi", &["lbf/in2", "lbf/in²"], Kind::Stress, "4.4482216152605/645.16"),
    ("N/m", &[], Kind::Stiffness, "1"),
    ("N/mm", &[], Kind::Stiffness, "1000"),
    ("rpm", &["1/min", "r/min", "/min"], Kind::Speed, "1"),
    ("Hz", &[], Kind::Frequency, "1"),
    ("kg", &[], Kind::Mass, "1"),
    ("g", &[], Kind::Mass, "0.001"),
    ("oz", &[], Kind::Mass, "0.028349523125"),
    ("lb", &[], Kind::Mass, "0.45359237"),
    ("g·mm", &["gmm", "g mm", "g*mm"], Kind::Unbalance, "1"),
    ("oz·in", &["ozin", "oz in", "oz*in"], Kind::Unbalance, "720.077887375"),
    ("°C", &["C", "degC", "º C", "ºC"], Kind::Temperature, "1"),
    ("°", &["deg"], Kind::Angle, "1"),
    ("J", &[], Kind::Energy, "1"),
    ("kJ", &[], Kind::Energy, "1000"),
    ("W", &[], Kind::Power, "1"),
    ("kW", &[], Kind::Power, "1000"),
    ("s", &["sec"], Kind::Time, "1"),
    ("min", &[], Kind::Time, "60"),
    ("h", &[], Kind::Time, "3600"),
    ("%", &[], Kind::Percent, "1"),
    ("kg/m3", &["kg/m³"], Kind::Density, "1"),
    ("HV", &[], Kind::Hardness, "1"),
    ("m/s", &[], Kind::Velocity, "1"),
    ("mm/s", &[], Kind::Velocity, "0.001"),
    ("kg·m2", &["kg·m²", "kgm2", "kg m2", "kg*m2", "kgm²", "kg m²"], Kind::Inertia, "1"),
    ("", &[], Kind::Number, "1"),
];

static UNITS: LazyLock<Vec<Unit>> = LazyLock::new(|| {
    let decimal = |text: &str| Decimal::from_str(text).unwrap_or(Decimal::ONE);
    let mut units: Vec<Unit> = ROWS
        .iter()
        .map(|(symbol, _, kind, factor)| {
            let (factor, divisor) = factor.split_once('/').unwrap_or((factor, "1"));
            Unit { symbol, kind: *kind, factor: decimal(factor), divisor: decimal(divisor), offset: Decimal::ZERO }
        })
        .collect();
    // (°F − 32) × 5/9, as factor and divisor: 50 °F is 10 °C to the last digit.
    units.push(Unit {
        symbol: "°F",
        kind: Kind::Temperature,
        factor: Decimal::from(5),
        divisor: Decimal::from(9),
        offset: Decimal::from(-32),
    });
    units
});

/// The unit of that symbol or spelling; none for another.
///
/// ```
/// use runtrue::quantity::unit;
/// assert_eq!(unit("Nm"), unit("N·m"));
/// assert!(unit("parsec").is_none());
/// ```
#[must_use]
pub fn unit(symbol: &str) -> Option<&'static Unit> {
    let wanted = symbol.trim();
    let wanted = if wanted == "F" || wanted == "degF" { "°F" } else { wanted };
    let printed =
        ROWS.iter().find(|(s, others, _, _)| *s == wanted || others.contains(&wanted)).map_or(wanted, |(s, _, _, _)| s);
    UNITS.iter().find(|u| u.symbol == printed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_has_a_factor_that_reads_and_no_spelling_twice() {
        let mut seen = std::collections::HashSet::new();
        for (symbol, others, _, factor) in ROWS {
            assert!(factor.split('/').all(|part| Decimal::from_str(part).is_ok()), "{symbol}");
            for spelling in std::iter::once(symbol).chain(others.iter()) {
                assert!(seen.insert(*spelling), "{spelling} twice");
            }
        }
    }

    #[test]
    fn the_pound_force_is_the_exact_product() {
        let product = |a: &str, b: &str| Decimal::from_str(a).unwrap() * Decimal::from_str(b).unwrap();
        let lbf = product("0.45359237", "9.80665");
        assert_eq!(unit("lbf").unwrap().factor, lbf);
        assert_eq!(unit("lbf·ft").unwrap().factor, lbf * Decimal::from_str("0.3048").unwrap());
        assert_eq!(unit("lbf in").unwrap().factor, lbf * Decimal::from_str("0.0254").unwrap());
    }
}
