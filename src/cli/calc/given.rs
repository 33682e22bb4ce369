//! Quantities on the command line.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Value, json};

use crate::mechanics::balance::Vector;
use crate::quantity::{Amount, Kind, Length, parse_decimal};

use super::super::{Failure, typed};

/// A quantity with its unit, in the base unit of its kind.
pub fn quantity(name: &str, text: &str, kind: Kind) -> Result<f64, Failure> {
    let amount = Amount::parse_as(&typed(text), kind).map_err(|e| Failure::new(format!("--{name}: {e}")))?;
    Ok(amount.as_f64())
}

/// A quantity above zero.
pub fn positive(name: &str, text: &str, kind: Kind) -> Result<f64, Failure> {
    let value = quantity(name, text, kind)?;
    if value > 0.0 { Ok(value) } else { Err(Failure::new(format!("--{name}: \"{text}\" must be above 0"))) }
}

/// A length above zero.
pub fn length(name: &str, text: &str) -> Result<Length, Failure> {
    positive(name, text, Kind::Length).map(Length::from_mm)
}

/// A length as an exact decimal, mm.
pub fn exact_mm(name: &str, text: &str) -> Result<Decimal, Failure> {
    let amount = Amount::parse_as(&typed(text), Kind::Length).and_then(|a| a.base());
    amount.map_err(|e| Failure::new(format!("--{name}: {e}")))
}

/// A plain number.
pub fn number(name: &str, text: &str) -> Result<f64, Failure> {
    let value = parse_decimal(&typed(text)).map_err(|e| Failure::new(format!("--{name}: {e}")))?;
    value.to_f64().ok_or_else(|| Failure::new(format!("--{name}: \"{text}\" is not a number here")))
}

/// "4.2@35", "4.2 at 35" or "4.2∠35", with or without a unit before the sign.
pub fn vector(name: &str, text: &str, kind: Option<Kind>) -> Result<Vector, Failure> {
    let parts = ["@", "∠", " at "].iter().find_map(|sign| text.split_once(sign));
    let (value, angle) = parts.ok_or_else(|| {
        Failure::new(format!("--{name}: \"{text}\" is not a value at an angle; write it like \"4.2@35\""))
    })?;
    let magnitude = match kind {
        Some(kind) => quantity(name, value, kind)? * if kind == Kind::Mass { 1000.0 } else { 1.0 },
        None => number(name, value.trim())?,
    };
    Ok(Vector::polar(magnitude, number(name, angle.trim().trim_end_matches(['°', ' ']))?))
}

/// Vectors parted by commas, one a sensor: "7.2@238,13.5@296".
pub fn vectors(name: &str, text: &str) -> Result<Vec<Vector>, Failure> {
    text.split(',').map(|part| vector(name, part.trim(), None)).collect()
}

/// A number at an angle, "120=4.0": degrees, then the number.
pub fn at_angle(name: &str, text: &str) -> Result<(f64, f64), Failure> {
    let (angle, value) = text
        .split_once('=')
        .ok_or_else(|| Failure::new(format!("--{name}: \"{text}\" is not ANGLE=VALUE, like 120=4.0")))?;
    Ok((number(name, angle.trim().trim_end_matches('°'))?, number(name, value.trim())?))
}

/// A number for JSON, rounded to what is worth printing.
pub fn shown(value: f64) -> Value {
    let scale = 10f64.powi(6 - value.abs().max(1e-6).log10().floor() as i32);
    json!((value * scale).round() / scale)
}

/// Any error as a failure of the command.
pub fn fail(error: impl std::fmt::Display) -> Failure {
    Failure::new(error.to_string())
}
