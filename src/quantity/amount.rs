//! One quantity as somebody wrote it: digits kept, converted exactly.

use rust_decimal::Decimal;

use super::unit::{Kind, Unit, unit};

/// Why a text is not the quantity that is needed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// No number at the front.
    #[error("\"{0}\" does not begin with a number")]
    NoNumber(String),
    /// Comma and point both, or one of them twice.
    #[error("\"{0}\" has more than one decimal sign; use one comma or one point, and no thousands sign")]
    DecimalSigns(String),
    /// Too many digits, or not finite.
    #[error("\"{0}\" has more digits than can be kept exactly")]
    TooLong(String),
    /// A fraction that no decimal holds exactly, such as a third.
    #[error("\"{0}\" is no exact decimal; write it with a comma or point")]
    NoDecimal(String),
    /// A lower limit above the upper.
    #[error("\"{0}\" has its lower limit above its upper")]
    UpsideDown(String),
    /// Limits that are not two deviations from a value.
    #[error("\"{0}\" does not read as a value with two deviations, like \"24.6 mm +0.1 -0.2\"")]
    Deviations(String),
    /// Unknown unit.
    #[error("\"{found}\" is not a unit known here; {kind} is written like {example}")]
    UnknownUnit {
        /// What stood there.
        found: String,
        /// What is needed.
        kind: Kind,
        /// How it is written.
        example: String,
    },
    /// A number without its unit.
    #[error("\"{written}\" has no unit; {kind} is needed, like {example}")]
    NoUnit {
        /// What was written.
        written: String,
        /// What is needed.
        kind: Kind,
        /// How it is written.
        example: String,
    },
    /// A quantity of another kind.
    #[error("\"{written}\" is {found}; {needed} is needed, like {example}")]
    OtherKind {
        /// What was written.
        written: String,
        /// What it is.
        found: Kind,
        /// What is needed.
        needed: Kind,
        /// How it is written.
        example: String,
    },
}

/// A number with its unit, and the text it was read from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// The number, with the digits typed.
    pub number: Decimal,
    /// The unit.
    pub unit: &'static Unit,
    /// What was written, trimmed.
    pub written: String,
}

impl Amount {
    /// Reads a quantity of a given kind. Comma or point, fractions of an inch (`63/64 in`, `1 1/2 in`).
    ///
    /// # Errors
    /// [`QuantityError`], each naming what is needed and how it is written: no number, two decimal signs, more than 28
    /// digits, an unknown unit, no unit, a unit of another kind.
    ///
    /// ```
    /// use runtrue::quantity::{Amount, Kind};
    /// let bore = Amount::parse_as("63/64 in", Kind::Length)?;
    /// assert_eq!((bore.base()?.to_string(), bore.written.as_str()), ("25.003125".to_owned(), "63/64 in"));
    /// let mass = Amount::parse_as("3 kg", Kind::Length).unwrap_err().to_string();
    /// assert!(mass.contains("is a mass; a length is needed"));
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    pub fn parse_as(text: &str, kind: Kind) -> Result<Self, QuantityError> {
        Self::parse_in(text, kind, None)
    }

    /// As [`Amount::parse_as`], but a bare number takes the unit `assumed`.
    ///
    /// # Errors
    /// As [`Amount::parse_as`].
    ///
    /// ```
    /// use runtrue::quantity::{Amount, Kind, unit};
    /// let bare = Amount::parse_in("25,4", Kind::Length, unit("mm"))?;
    /// assert_eq!(bare.unit.symbol, "mm");
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    pub fn parse_in(text: &str, kind: Kind, assumed: Option<&'static Unit>) -> Result<Self, QuantityError> {
        let written = text.trim().to_owned();
        let (digits, rest) = split_number(&written);
        let number = parse_decimal(digits)?;
        let example = || example(kind);
        let unit = match (rest.is_empty(), assumed) {
            (true, Some(assumed)) => assumed,
            (true, None) if kind != Kind::Number => {
                return Err(QuantityError::NoUnit { written, kind, example: example() });
            }
            _ => unit(rest).ok_or_else(|| QuantityError::UnknownUnit {
                found: rest.to_owned(),
                kind,
                example: example(),
            })?,
        };
        if unit.kind != kind {
            return Err(QuantityError::OtherKind { written, found: unit.kind, needed: kind, example: example() });
        }
        Ok(Self { number, unit, written })
    }

    /// The number in another unit of the same kind. Into the base unit it is exact and never rounded (but for °F, whose
    /// ninths may not end); out of it a quotient that does not end keeps 28 digits.
    ///
    /// # Errors
    /// [`QuantityError::OtherKind`] for a unit of another kind, [`QuantityError::TooLong`] where the exact value has more
    /// than 28 digits.
    ///
    /// ```
    /// use runtrue::quantity::{Amount, Kind, unit};
    /// let bore = Amount::parse_as("0,984 in", Kind::Length)?;
    /// assert_eq!(unit("mm").map(|mm| bore.in_unit(mm)).transpose()?.unwrap_or_default().to_string(), "24.9936");
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    pub fn in_unit(&self, to: &'static Unit) -> Result<Decimal, QuantityError> {
        if to.kind != self.unit.kind {
            return Err(QuantityError::OtherKind {
                written: self.written.clone(),
                found: self.unit.kind,
                needed: to.kind,
                example: example(to.kind),
            });
        }
        if to == self.unit {
            return Ok(self.number);
        }
        let from = self.unit;
        self.number
            .checked_add(from.offset)
            .and_then(|n| product(n, from.factor))
            .and_then(|n| n.checked_div(from.divisor))
            .and_then(|base| product(base, to.divisor))
            .and_then(|n| n.checked_div(to.factor))
            .and_then(|n| n.checked_sub(to.offset))
            .map(|n| n.normalize())
            .ok_or_else(|| QuantityError::TooLong(self.written.clone()))
    }

    /// The number in the base unit of its kind.
    ///
    /// # Errors
    /// [`QuantityError::TooLong`] where 28 digits do not hold it exactly.
    ///
    /// ```
    /// use runtrue::quantity::{Amount, Kind};
    /// assert_eq!(Amount::parse_as("1/2 in", Kind::Length)?.base()?.to_string(), "12.7");
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    pub fn base(&self) -> Result<Decimal, QuantityError> {
        match unit(self.unit.kind.base_symbol()) {
            Some(base) => self.in_unit(base),
            None => Ok(self.number),
        }
    }

    /// The number in the base unit, taken as a difference: 9 °F are 5 K, not −12.8 °C.
    ///
    /// # Errors
    /// As [`Amount::base`].
    ///
    /// ```
    /// use runtrue::quantity::{Amount, Kind};
    /// assert_eq!(Amount::parse_as("9 °F", Kind::Temperature)?.difference()?.to_string(), "5");
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    pub fn difference(&self) -> Result<Decimal, QuantityError> {
        let unit = self.unit;
        product(self.number, unit.factor)
            .and_then(|n| n.checked_div(unit.divisor))
            .map(|n| n.normalize())
            .ok_or_else(|| QuantityError::TooLong(self.written.clone()))
    }

    /// The value in the base unit for reckoning, rounded to a float.
    ///
    /// ```
    /// use runtrue::quantity::{Amount, Kind};
    /// let force = Amount::parse_as("1 lbf", Kind::Force)?;
    /// assert!((force.as_f64() - 4.448_221_615_260_5).abs() < 1e-15);
    /// # Ok::<(), runtrue::quantity::QuantityError>(())
    /// ```
    #[must_use]
    pub fn as_f64(&self) -> f64 {
        use rust_decimal::prelude::ToPrimitive;
        let float = |d: Decimal| d.to_f64().unwrap_or(f64::NAN);
        match self.base() {
            Ok(exact) => float(exact),
            // More digits than a decimal keeps: a float never needed them.
            Err(_) => {
                (float(self.number) + float(self.unit.offset)) * float(self.unit.factor) / float(self.unit.divisor)
            }
        }
    }
}

/// The product if 28 digits hold it exactly.
fn product(a: Decimal, b: Decimal) -> Option<Decimal> {
    let (a, b) = (a.normalize(), b.normalize());
    let product = a.checked_mul(b)?;
    (product.is_zero() || product.scale() == a.scale() + b.scale()).then_some(product)
}

fn example(kind: Kind) -> String {
    format!("\"25 {}\"", kind.base_symbol()).replace(" \"", "\"")
}

/// Splits "1 1/2 in" into "1 1/2" and "in", "1e8 N/m" into "1e8" and "N/m".
fn split_number(text: &str) -> (&str, &str) {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let part = |i: usize, c: char| {
        let (before, after) = (text[..i].chars().next_back(), &text[i + c.len_utf8()..]);
        let mut next = after.chars();
        match c {
            '/' => digit(before),
            'e' | 'E' => {
                digit(before)
                    && next.next().is_some_and(|n| n.is_ascii_digit() || (matches!(n, '-' | '+') && digit(next.next())))
            }
            '-' | '+' | '−' => i == 0 || (matches!(before, Some('e' | 'E')) && digit(next.next())),
            c => c.is_ascii_digit() || matches!(c, '.' | ',' | ' '),
        }
    };
    let end = text.char_indices().find(|(i, c)| !part(*i, *c)).map_or(text.len(), |(i, _)| i);
    // "1/min" is a unit and not a fraction.
    let end = match text[..end].strip_suffix('/') {
        Some(before) => before.rfind(' ').map_or(before.len(), |i| i + 1),
        None => end,
    };
    (text[..end].trim(), text[end..].trim())
}

/// Reads a number with comma or point, or a fraction ("63/64", "1 1/2"). Zeros at the end are kept.
///
/// # Errors
/// [`QuantityError`]: no number, two decimal signs, more digits than are kept exactly (28 behind the point), a fraction that no
/// decimal holds.
///
/// ```
/// use runtrue::quantity::parse_decimal;
/// assert_eq!(parse_decimal("24,10")?.to_string(), "24.10");
/// assert!(parse_decimal("1/3").is_err() && parse_decimal("NaN").is_err());
/// # Ok::<(), runtrue::quantity::QuantityError>(())
/// ```
pub fn parse_decimal(text: &str) -> Result<Decimal, QuantityError> {
    let text = text.trim().replace('−', "-");
    let negative = text.starts_with('-');
    let body = text.strip_prefix(['-', '+']).unwrap_or(&text).trim();
    let value = match body.split_once('/') {
        Some((left, right)) => fraction(left, right, &text)?,
        None => plain(body, &text)?,
    };
    Ok(if negative { -value } else { value })
}

fn plain(body: &str, whole: &str) -> Result<Decimal, QuantityError> {
    let signs = body.chars().filter(|c| matches!(c, '.' | ',')).count();
    // "1 234" has a thousands sign too.
    if signs > 1 || body.contains(' ') {
        return Err(QuantityError::DecimalSigns(whole.to_owned()));
    }
    if !body.chars().any(|c| c.is_ascii_digit())
        || !body.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | 'e' | 'E' | '-' | '+'))
    {
        return Err(QuantityError::NoNumber(whole.to_owned()));
    }
    let pointed = body.replace(',', ".");
    if pointed.contains(['e', 'E']) {
        return Decimal::from_scientific(&pointed).map_err(|_| QuantityError::TooLong(whole.to_owned()));
    }
    Decimal::from_str_exact(&pointed).map_err(|_| QuantityError::TooLong(whole.to_owned()))
}

fn fraction(left: &str, right: &str, whole: &str) -> Result<Decimal, QuantityError> {
    let (units, over) = left.trim().rsplit_once(' ').unwrap_or(("0", left));
    let (units, over, under) = (plain(units.trim(), whole)?, plain(over.trim(), whole)?, plain(right.trim(), whole)?);
    let part = over.checked_div(under).ok_or_else(|| QuantityError::NoNumber(whole.to_owned()))?;
    if product(part, under) != Some(over) {
        return Err(QuantityError::NoDecimal(whole.to_owned()));
    }
    part.checked_add(units).ok_or_else(|| QuantityError::TooLong(whole.to_owned()))
}

#[cfg(test)]
#[path = "amount_tests.rs"]
mod tests;
