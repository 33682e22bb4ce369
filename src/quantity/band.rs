//! A value with its limits, as a drawing states it.

use rust_decimal::Decimal;

use super::amount::{Amount, QuantityError};
use super::unit::Kind;

/// Nominal value, limits and fit letters. Limits are in the base unit of the kind.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Band {
    /// Nominal value; none for a plain limit.
    pub nominal: Option<Decimal>,
    /// Lower limit.
    pub lower: Option<Decimal>,
    /// Upper limit.
    pub upper: Option<Decimal>,
    /// Tolerance class of ISO 286 ("H7"), its limits not looked up here.
    pub class: Option<String>,
}

impl Band {
    /// Reads "25 mm", "25 mm H7", "24.6 mm ±0.05", "24.6 mm +0.1 -0.2", "25 mm 0/-0.013", "10 °C to 35 °C", "0.12 to 0.16",
    /// "at most 0.03 mm", "at least 3 mm".
    ///
    /// # Errors
    /// [`QuantityError`] of the part that does not read, and for a lower limit above the upper.
    ///
    /// ```
    /// use runtrue::quantity::{Band, Kind};
    /// let hole = Band::parse("25 mm H7", Kind::Length)?;
    /// assert_eq!((hole.class.as_deref(), hole.lower), (Some("H7"), None));
    /// let spacer = Band::parse("24,6 mm +0,1 -0,2", Kind::Length)?;
    /// assert_eq!(spacer.lower.map(|mm| mm.to_string()).as_deref(), Some("24.4"));
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    pub fn parse(text: &str, kind: Kind) -> Result<Self, QuantityError> {
        let text = text.trim();
        let base = |t: &str| Amount::parse_as(t, kind)?.base();
        if let Some(rest) = text.strip_prefix("at most ") {
            return Ok(Self { upper: Some(base(rest)?), ..Self::default() });
        }
        if let Some(rest) = text.strip_prefix("at least ") {
            return Ok(Self { lower: Some(base(rest)?), ..Self::default() });
        }
        if let Some((from, to)) = text.split_once(" to ") {
            return Self::between(from, to, text, kind);
        }
        if let Some((value, width)) = text.split_once('±') {
            return Self::around(value, width, kind);
        }
        if let Some((value, deviations)) = split_deviations(text) {
            return Self::deviating(value, deviations, text, kind);
        }
        let (value, class) = split_class(text);
        let nominal = base(value)?;
        let plain = class.is_none();
        Ok(Self {
            nominal: Some(nominal),
            lower: plain.then_some(nominal),
            upper: plain.then_some(nominal),
            class: class.map(str::to_owned),
        })
    }

    fn between(from: &str, to: &str, text: &str, kind: Kind) -> Result<Self, QuantityError> {
        let upper = Amount::parse_as(to, kind)?;
        let lower = Amount::parse_in(from, kind, Some(upper.unit))?;
        let (lower, upper) = (lower.base()?, upper.base()?);
        if lower > upper {
            return Err(QuantityError::UpsideDown(text.to_owned()));
        }
        Ok(Self { lower: Some(lower), upper: Some(upper), ..Self::default() })
    }

    fn around(value: &str, width: &str, kind: Kind) -> Result<Self, QuantityError> {
        let nominal = Amount::parse_as(value, kind)?;
        let width = Amount::parse_in(width, kind, Some(nominal.unit))?.difference()?.abs();
        Self::deviated(&nominal, -width, width)
    }

    fn deviating(value: &str, two: &str, text: &str, kind: Kind) -> Result<Self, QuantityError> {
        let nominal = Amount::parse_as(value, kind)?;
        // A unit has a stroke as well.
        let apart =
            ["/-", "/−", "/+", "/0"].iter().fold(two.to_owned(), |t, pair| t.replace(pair, &pair.replace('/', " ")));
        let mut words = apart.split_whitespace();
        let deviates = |word: &&str| signed(word) || word.trim_matches(['0', ',', '.']).is_empty();
        let (Some(a), Some(b)) = (words.next().filter(deviates), words.next().filter(deviates)) else {
            return Err(QuantityError::Deviations(text.to_owned()));
        };
        let unit = words.collect::<Vec<_>>().join(" ");
        let deviation = |word: &str| -> Result<Decimal, QuantityError> {
            Amount::parse_in(&format!("{word} {unit}"), kind, Some(nominal.unit))?.difference()
        };
        let (a, b) = (deviation(a)?, deviation(b)?);
        Self::deviated(&nominal, a.min(b), a.max(b))
    }

    fn deviated(nominal: &Amount, below: Decimal, above: Decimal) -> Result<Self, QuantityError> {
        let middle = nominal.base()?;
        let (Some(lower), Some(upper)) = (middle.checked_add(below), middle.checked_add(above)) else {
            return Err(QuantityError::TooLong(nominal.written.clone()));
        };
        Ok(Self { nominal: Some(middle), lower: Some(lower), upper: Some(upper), class: None })
    }
}

/// Splits "24.6 mm +0.1 -0.2" and "25 mm 0/-0.013" before the first deviation: a number with its sign, or nought with one behind it.
fn split_deviations(text: &str) -> Option<(&str, &str)> {
    let nought = |t: &str| {
        let rest = t.trim_start_matches(['0', ',', '.']);
        t.starts_with('0') && rest.strip_prefix(['/', ' ']).is_some_and(|behind| signed(behind.trim_start()))
    };
    let at = text.match_indices(' ').map(|(at, _)| at + 1).find(|at| signed(&text[*at..]) || nought(&text[*at..]))?;
    Some((text[..at].trim(), &text[at..])).filter(|(value, _)| !value.is_empty())
}

/// True for what begins with a sign and a number.
fn signed(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-', '−']);
    digits.is_some_and(|d| d.starts_with(|c: char| c.is_ascii_digit() || matches!(c, ',' | '.')))
}

/// Splits "25 mm H7" into "25 mm" and "H7".
fn split_class(text: &str) -> (&str, Option<&str>) {
    let Some((value, last)) = text.rsplit_once(' ') else {
        return (text, None);
    };
    let letters = last.chars().take_while(char::is_ascii_alphabetic).count();
    let digits = &last[letters..];
    let fits =
        (1..=2).contains(&letters) && (1..=2).contains(&digits.len()) && digits.chars().all(|c| c.is_ascii_digit());
    if fits { (value, Some(last)) } else { (text, None) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(text: &str, kind: Kind) -> (String, String, String, String) {
        let band = Band::parse(text, kind).unwrap();
        let show = |d: Option<Decimal>| d.map_or_else(String::new, |d| d.to_string());
        (show(band.nominal), show(band.lower), show(band.upper), band.class.unwrap_or_default())
    }

    fn four(a: &str, b: &str, c: &str, d: &str) -> (String, String, String, String) {
        (a.into(), b.into(), c.into(), d.into())
    }

    #[test]
    fn what_a_drawing_states() {
        assert_eq!(band("25 mm H7", Kind::Length), four("25", "", "", "H7"));
        assert_eq!(band("24.6 mm ±0.05", Kind::Length), four("24.6", "24.55", "24.65", ""));
        assert_eq!(band("24.6 mm ± 50 µm", Kind::Length), four("24.6", "24.55", "24.65", ""));
        assert_eq!(band("10 °C to 35 °C", Kind::Temperature), four("", "10", "35", ""));
        assert_eq!(band("0.12 to 0.16", Kind::Number), four("", "0.12", "0.16", ""));
        assert_eq!(band("at most 0.03 mm", Kind::Length), four("", "", "0.03", ""));
        assert_eq!(band("at least 1 in", Kind::Length), four("", "25.4", "", ""));
        assert_eq!(band("25 mm", Kind::Length), four("25", "25", "25", ""));
        let unequal = four("24.6", "24.4", "24.7", "");
        assert_eq!(band("24.6 mm +0.1 -0.2", Kind::Length), unequal);
        assert_eq!(band("24.6 mm +0,1/-0,2", Kind::Length), unequal);
        assert_eq!(band("24.6 mm -200 +100 µm", Kind::Length), unequal);
        assert_eq!(band("25 mm -0.013 0", Kind::Length), four("25", "24.987", "25", ""));
        for text in ["25 mm 0/-0.013", "25 mm 0 -0.013", "25 mm 0.000/−0.013", "25 mm -0.013/0", "25 mm 0/-13 µm"] {
            assert_eq!(band(text, Kind::Length).1.parse::<f64>().unwrap(), 24.987, "{text}");
            assert_eq!(band(text, Kind::Length).2.parse::<f64>().unwrap(), 25.0, "{text}");
        }
        assert_eq!(band("-5 °C to 35 °C", Kind::Temperature), four("", "-5", "35", ""));
    }

    #[test]
    fn a_deviation_in_fahrenheit_has_no_zero_of_its_own() {
        assert_eq!(band("68 °F ±9", Kind::Temperature), four("20", "15", "25", ""));
        assert_eq!(band("68 °F +9 -18", Kind::Temperature), four("20", "10", "25", ""));
        let most = "79228162514264337593543950335";
        assert!(Band::parse(&format!("{most} mm ±{most}"), Kind::Length).is_err());
        assert!(Band::parse(&format!("{most} mm +{most} -1"), Kind::Length).is_err());
    }

    #[test]
    fn a_range_upside_down_is_refused() {
        let said = |t: &str| Band::parse(t, Kind::Length).unwrap_err().to_string();
        assert!(said("35 mm to 10 mm").contains("lower limit above"));
        assert!(said("24.6 mm +0.1").contains("two deviations"));
        // A minus was forgotten.
        assert!(
            said("25 mm +0.2/0.1").contains("two deviations") && said("25 mm -0.013 0.005").contains("two deviations")
        );
        assert!(Band::parse("0 -0.2", Kind::Length).is_err() && Band::parse("25 mm 0", Kind::Length).is_err());
        assert!(Band::parse("8 mm ±0.2 kg", Kind::Length).is_err());
    }
}
