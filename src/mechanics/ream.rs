//! Reaming: is there enough stock, is it soft, and which reamer.

use rust_decimal::{Decimal, RoundingStrategy};

use crate::quantity::Length;
use crate::standards::{NotInTable, bench, iso286};

/// Least and largest stock on each side for a bore, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Least stock on each side.
    pub least: Length,
    /// Largest stock on each side.
    pub most: Length,
    /// Where the limits come from.
    pub basis: String,
}

impl Stock {
    /// True where no stock can be right: the hard skin asks for more than the reamer can take.
    #[must_use]
    pub fn impossible(&self) -> bool {
        self.least > self.most
    }
}

/// Stock on each side that may be reamed. A thermally cut edge needs at least the hard skin and 0.1 mm beyond it,
/// or the reamer cuts nothing but skin.
///
/// # Errors
/// [`NotInTable`] over 50 mm.
pub fn stock(finished: Length, by_hand: bool, hard_skin: bool) -> Result<Stock, NotInTable> {
    let (least, most, source) = bench::ream_stock(finished, by_hand)?;
    let (mut least, most) = (least / 2.0, most / 2.0);
    let mut basis = source.to_owned();
    if hard_skin {
        let skin = bench::skin();
        let beyond = Length::from_mm(skin.most + skin.above);
        if beyond > least {
            least = beyond;
        }
        basis = format!("{basis}; {}", skin.source);
    }
    Ok(Stock { least, most, basis })
}

/// Limits of the reamer for a hole class, mm: its upper limit 0.15 IT under the hole's, its tolerance 0.35 IT wide,
/// both rounded up to 1 µm (DIN 1420 as printed by a reamer maker).
///
/// # Errors
/// [`NotInTable`] for a class outside ISO 286's table.
///
/// ```
/// use rust_decimal::Decimal;
/// let (lower, upper) = runtrue::mechanics::ream::reamer("H7", Decimal::from(25))?;
/// assert_eq!((lower.to_string(), upper.to_string()), ("25.009".into(), "25.017".into())); // DIN 1420 table: +17/+9
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn reamer(class: &str, nominal_mm: Decimal) -> Result<(Decimal, Decimal), NotInTable> {
    let hole = iso286::class(class, nominal_mm)?;
    let it = hole.upper_um - hole.lower_um;
    let rule = bench::reamer();
    let share = |part: f64| {
        let exact = it * Decimal::from_f64_retain(part).unwrap_or_default().round_dp(4);
        exact.round_dp_with_strategy(0, RoundingStrategy::ToPositiveInfinity)
    };
    let upper = hole.upper_um - share(rule.below_top);
    let reamer = iso286::Deviations { lower_um: upper - share(rule.width), upper_um: upper };
    Ok(reamer.limits_mm(nominal_mm))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_laser_edge_cannot_be_reamed_by_hand_at_25_mm() {
        let bored = stock(Length::from_mm(25.0), true, false).unwrap();
        assert!(!bored.impossible() && (bored.least.mm() - 0.15).abs() < 1e-9);
        let laser = stock(Length::from_mm(25.0), true, true).unwrap();
        assert!(laser.impossible(), "{laser:?}");
    }
}
