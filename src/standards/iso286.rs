//! Limits of size by tolerance class, ISO 286, 1 to 120 mm.
//!
//! js and JS are plus and minus half the grade, as the 2010 edition has it; older tables round odd grades of js7 to js11 down to the
//! even micrometre. Where a computed grade (`i = 0.45·D^(1/3) + 0.001·D`) and the printed one differ, the print holds.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use rust_decimal::Decimal;
use serde::Deserialize;

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    source: String,
    up_to: Vec<u32>,
    grades: BTreeMap<String, Vec<i64>>,
    upper: BTreeMap<String, Vec<i64>>,
    lower: BTreeMap<String, Vec<i64>>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| table("iso286.yaml", include_str!("data/iso286.yaml")));

pub(super) fn read() {
    LazyLock::force(&TABLE);
}

/// Deviations from the nominal size, in µm, lower then upper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Deviations {
    /// Lower deviation, µm.
    pub lower_um: Decimal,
    /// Upper deviation, µm.
    pub upper_um: Decimal,
}

impl Deviations {
    /// Limits of size in mm about the nominal size.
    ///
    /// ```
    /// use rust_decimal::Decimal;
    /// let g6 = runtrue::standards::iso286::class("g6", Decimal::from(25))?;
    /// let (lower, upper) = g6.limits_mm(Decimal::from(25));
    /// assert_eq!((lower.to_string(), upper.to_string()), ("24.980".into(), "24.993".into()));
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn limits_mm(&self, nominal_mm: Decimal) -> (Decimal, Decimal) {
        let thousand = Decimal::ONE_THOUSAND;
        let places = |d: Decimal| {
            let mut d = d.normalize();
            d.rescale(d.scale().max(3));
            d
        };
        (places(nominal_mm + self.lower_um / thousand), places(nominal_mm + self.upper_um / thousand))
    }
}

/// Deviations of a class such as "H7" (hole, capital letters) or "h6" (shaft) at a nominal size.
///
/// # Errors
/// [`NotInTable`] outside 1 to 120 mm; for letters other than d e f g h js k m n p of shafts and D E F G H JS K M N P of holes; for
/// grades other than 5 to 14, of holes K, M and N other than 6 to 8, of P other than 6 to 10.
///
/// ```
/// use rust_decimal::Decimal;
/// let h7 = runtrue::standards::iso286::class("H7", Decimal::from(25))?;
/// assert_eq!((h7.lower_um, h7.upper_um), (Decimal::ZERO, Decimal::from(21)));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn class(class: &str, nominal_mm: Decimal) -> Result<Deviations, NotInTable> {
    let band = band(nominal_mm)?;
    let split = class.find(|c: char| c.is_ascii_digit()).unwrap_or(class.len());
    let (letters, grade) = class.split_at(split);
    let width = |grade: &str| TABLE.grades.get(grade).and_then(|row| row.get(band)).copied();
    let it = width(grade).ok_or_else(|| no_class(class))?;
    let found = if letters.chars().all(char::is_uppercase) {
        hole(letters, grade, it, band)
    } else {
        shaft(letters, grade, it, band)
    };
    found.ok_or_else(|| no_class(class))
}

/// Where the table comes from.
///
/// ```
/// assert!(runtrue::standards::iso286::source().contains("ISO 286-2"));
/// ```
#[must_use]
pub fn source() -> &'static str {
    &TABLE.source
}

fn band(nominal_mm: Decimal) -> Result<usize, NotInTable> {
    let outside = || NotInTable::new(format!("nominal size {nominal_mm} mm"), "1 to 120 mm", &TABLE.source);
    if nominal_mm < Decimal::ONE {
        return Err(outside());
    }
    TABLE.up_to.iter().position(|&top| nominal_mm <= Decimal::from(top)).ok_or_else(outside)
}

/// Hole and shaft given the wrong way round.
pub(crate) fn wrong_way_round(hole: &str, shaft: &str) -> NotInTable {
    NotInTable::new(
        format!("the fit of hole \"{hole}\" and shaft \"{shaft}\""),
        "holes with capital letters and shafts with small ones, like H7 and h6",
        &TABLE.source,
    )
}

fn no_class(class: &str) -> NotInTable {
    NotInTable::new(
        format!("tolerance class \"{class}\""),
        "shafts d e f g h js k m n p with grades 5 to 14; holes D E F G H JS with grades 5 to 14, K M N with 6 to 8, P with 6 to 10",
        &TABLE.source,
    )
}

fn shaft(letter: &str, grade: &str, it: i64, band: usize) -> Option<Deviations> {
    let whole = |lower: i64, upper: i64| Deviations { lower_um: Decimal::from(lower), upper_um: Decimal::from(upper) };
    if letter == "js" {
        let half = Decimal::from(it) / Decimal::TWO;
        return Some(Deviations { lower_um: -half, upper_um: half });
    }
    if let Some(row) = TABLE.upper.get(letter) {
        let es = *row.get(band)?;
        return Some(whole(es - it, es));
    }
    let ei = shaft_lower(letter, grade, band)?;
    Some(whole(ei, ei + it))
}

fn shaft_lower(letter: &str, grade: &str, band: usize) -> Option<i64> {
    // The deviation of k is tabulated for grades 4 to 7 only; beyond them it is zero (ISO 286-1).
    if letter == "k" && !matches!(grade, "5" | "6" | "7") {
        return Some(0);
    }
    TABLE.lower.get(letter)?.get(band).copied()
}

/// Holes by the rules of ISO 286-1: mirrored for D to H; for K to N up to grade 8 and P up to grade 7 with the delta; P of coarser
/// grades without it.
fn hole(letters: &str, grade: &str, it: i64, band: usize) -> Option<Deviations> {
    let letter = letters.to_lowercase();
    if matches!(letter.as_str(), "d" | "e" | "f" | "g" | "h" | "js") {
        let s = shaft(&letter, grade, it, band)?;
        return Some(Deviations { lower_um: Decimal::ZERO - s.upper_um, upper_um: Decimal::ZERO - s.lower_um });
    }
    let number: u32 = grade.parse().ok()?;
    let ei = shaft_lower(&letter, if letter == "k" { "7" } else { grade }, band)?;
    let es = match (letter.as_str(), number) {
        ("p", 8..=10) => -ei,
        ("p", 6..=7) | ("k" | "m" | "n", 6..=8) => -ei + delta(number, it, band)?,
        _ => return None,
    };
    Some(Deviations { lower_um: Decimal::from(es - it), upper_um: Decimal::from(es) })
}

/// What makes a hole of one grade finer fit a shaft of the finer grade: the difference of the two grades; none up to 3 mm.
fn delta(grade: u32, it: i64, band: usize) -> Option<i64> {
    let finer = TABLE.grades.get(&(grade - 1).to_string())?.get(band)?;
    Some(if band == 0 { 0 } else { it - finer })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(name: &str, size: &str) -> (String, String) {
        let d = class(name, size.parse().unwrap()).unwrap();
        (d.lower_um.to_string(), d.upper_um.to_string())
    }

    #[test]
    fn band_edges_belong_to_the_lower_band() {
        assert_eq!(um("H7", "30"), ("0".into(), "21".into()));
        assert_eq!(um("H7", "30.001"), ("0".into(), "25".into()));
        assert_eq!(um("h6", "3"), ("-6".into(), "0".into()));
    }

    #[test]
    fn outside_the_table_is_an_error_with_its_range() {
        for (name, size) in
            [("H7", "0.5"), ("H7", "121"), ("H17", "25"), ("Z7", "25"), ("K9", "25"), ("P11", "25"), ("", "25")]
        {
            let said = class(name, size.parse().unwrap()).unwrap_err().to_string();
            assert!(said.contains("ISO 286"), "{said}");
        }
        // What the message says is held is held, and no grade beside it.
        for (letters, grades) in
            [("K", 6..=8), ("M", 6..=8), ("N", 6..=8), ("P", 6..=10), ("k", 5..=14), ("JS", 5..=14)]
        {
            for grade in 4..=15 {
                let found = class(&format!("{letters}{grade}"), Decimal::from(25)).is_ok();
                assert_eq!(found, grades.contains(&grade), "{letters}{grade}");
            }
        }
    }

    #[test]
    fn limits_are_exact_to_the_micrometre() {
        let d = class("h6", Decimal::from(25)).unwrap();
        let (lower, upper) = d.limits_mm(Decimal::from(25));
        assert_eq!((lower.to_string(), upper.to_string()), ("24.987".into(), "25.000".into()));
    }
}
