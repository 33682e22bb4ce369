//! Reaming: is it needed at all, is there enough stock, is it soft, which drill and which reamer.

use rust_decimal::{Decimal, RoundingStrategy};

use crate::quantity::{Length, Mass, Unbalance};
use crate::standards::{NotInTable, cutting, iso286};

use super::OutOfRange;

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
    ///
    /// ```
    /// use runtrue::{mechanics::ream::stock, quantity::Length};
    /// assert!(stock(Length::from_mm(25.0), true, true)?.impossible()); // a laser edge, by hand
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn impossible(&self) -> bool {
        self.least > self.most
    }

    /// The same in light metal, where the stock is half as much again ([`cutting::light_metal_stock`]).
    ///
    /// ```
    /// use runtrue::{mechanics::ream::stock, quantity::Length};
    /// let steel = stock(Length::from_mm(10.0), true, false)?; // 0.2 to 0.3 mm on the diameter
    /// let light = steel.in_light_metal();
    /// assert!((light.least.mm() - 0.15).abs() < 1e-9 && (light.most.mm() - 0.225).abs() < 1e-9);
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn in_light_metal(self) -> Self {
        let (times, source) = cutting::light_metal_stock();
        Self { least: self.least * times, most: self.most * times, basis: format!("{}; {source}", self.basis) }
    }

    /// Largest drill on sale that leaves the stock, counting what a drill cuts over its size:
    /// `finished − 2·stock − 0.05 mm`, between most and least stock. None where no drill fits in, or the stock is impossible.
    ///
    /// ```
    /// use runtrue::{mechanics::ream::stock, quantity::Length};
    /// let ten = Length::from_mm(10.0);
    /// let drill = stock(ten, true, false)?.drill(ten); // 10 − 0.2 − 0.05 = 9.75, and 9.65 at the most stock
    /// assert_eq!(drill.map(|d| d.mm()), Some(9.7));
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn drill(&self, finished: Length) -> Option<Length> {
        let cuts_over = cutting::drill_oversize().0;
        let largest = finished - self.least * 2.0 - cuts_over;
        let smallest = finished - self.most * 2.0 - cuts_over;
        let (drill, _) = cutting::drill_up_to(largest).ok()?;
        (drill.mm() >= smallest.mm() - 1e-9).then_some(drill)
    }
}

/// Stock on each side that may be reamed. A thermally cut edge needs at least the hard skin and 0.1 mm beyond it,
/// or the reamer cuts nothing but skin.
///
/// The sources differ: for machine reamers inch practice has 0.51 to 0.64 mm on 25 mm where hand reaming has 0.3 to 0.5; by a supplier a
/// laser edge is not hardened at all, by a study it reaches 700 HV. The skin is counted.
///
/// # Errors
/// [`NotInTable`] over 50 mm.
///
/// ```
/// use runtrue::{mechanics::ream::stock, quantity::Length};
/// let bored = stock(Length::from_mm(25.0), true, false)?;
/// assert_eq!((bored.least.mm(), bored.most.mm()), (0.15, 0.25)); // each side
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn stock(finished: Length, by_hand: bool, hard_skin: bool) -> Result<Stock, NotInTable> {
    let (least, most, source) = cutting::ream_stock(finished, by_hand)?;
    let (mut least, most) = (least / 2.0, most / 2.0);
    let mut basis = source.to_owned();
    if hard_skin {
        let skin = cutting::skin();
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
    let reamer = reamer_in(hole.lower_um, hole.upper_um);
    Ok(iso286::Deviations { lower_um: reamer.0, upper_um: reamer.1 }.limits_mm(nominal_mm))
}

/// Lower and upper deviation of the reamer for any hole, µm, by the same rule.
///
/// ```
/// use runtrue::mechanics::ream::reamer_in;
/// use rust_decimal::Decimal;
/// // The maker's example, 10 D8: hole +62/+40, reamer +58/+50.
/// assert_eq!(reamer_in(Decimal::from(40), Decimal::from(62)), (Decimal::from(50), Decimal::from(58)));
/// ```
#[must_use]
pub fn reamer_in(lower_um: Decimal, upper_um: Decimal) -> (Decimal, Decimal) {
    let rule = cutting::reamer();
    let share = |part: f64| {
        let exact = (upper_um - lower_um) * Decimal::from_f64_retain(part).unwrap_or_default().round_dp(4);
        exact.round_dp_with_strategy(0, RoundingStrategy::ToPositiveInfinity)
    };
    let upper = upper_um - share(rule.below_top);
    (upper - share(rule.width), upper)
}

/// Largest clearance of discs on the shaft that balance and run-out still bear: all discs pushed to one side stand half the clearance
/// off centre, so `2·U/m`; run-out (full indicator movement) is twice the eccentricity, so the clearance itself.
///
/// # Errors
/// [`OutOfRange`] for a mass that is not above zero, or an unbalance or run-out below it.
///
/// ```
/// use runtrue::{mechanics::ream::largest_clearance, quantity::{Length, Mass, Unbalance}};
/// // G 6.3 at 300 r/min allows 6380 g·mm; five discs of 6.36 kg each, 0.1 mm off centre, make 3180.
/// let loose = largest_clearance(Unbalance::from_gmm(6380.0), Mass::from_kg(31.8), None)?;
/// assert!((loose.mm() - 0.4).abs() < 0.002);
/// let limit = Some(Length::from_mm(0.25));
/// assert_eq!(largest_clearance(Unbalance::from_gmm(6380.0), Mass::from_kg(31.8), limit)?.mm(), 0.25);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn largest_clearance(permissible: Unbalance, discs: Mass, run_out: Option<Length>) -> Result<Length, OutOfRange> {
    let run_out = run_out.map_or(f64::INFINITY, Length::mm);
    if !(discs.g() > 0.0 && permissible.gmm() >= 0.0 && run_out >= 0.0) {
        return Err(OutOfRange::new(
            "mass, unbalance or run-out",
            format!("{} kg, {} g·mm, {run_out} mm", discs.kg(), permissible.gmm()),
            "the mass is above 0, the others not below",
            "geometry",
        ));
    }
    Ok(Length::from_mm((2.0 * permissible.gmm() / discs.g()).min(run_out)))
}

/// Whether a bore must be finished: as it comes it may be looser on the least shaft than is borne, or not go on the largest at all.
///
/// ```
/// use runtrue::{mechanics::ream::finishing_needed, quantity::Length};
/// let mm = Length::from_mm;
/// let (shaft, loose) = ((mm(24.987), mm(25.0)), mm(0.4));
/// assert!(!finishing_needed((mm(25.05), mm(25.25)), shaft, loose)); // a plain laser hole of 25.15 ±0.1 will do
/// assert!(finishing_needed((mm(24.6), mm(24.8)), shaft, loose)); // it does not go on
/// assert!(finishing_needed((mm(25.05), mm(25.5)), shaft, loose));
/// ```
#[must_use]
pub fn finishing_needed(bore: (Length, Length), shaft: (Length, Length), loose: Length) -> bool {
    bore.0 < shaft.1 || bore.1 - shaft.0 > loose
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
        assert_eq!(laser.drill(Length::from_mm(25.0)), None);
    }

    #[test]
    fn a_drill_leaves_the_stock_it_was_chosen_for() {
        let mut drilled = 0;
        for (by_hand, mm) in (2..=50).flat_map(|mm| [(true, mm), (false, mm)]) {
            let finished = Length::from_mm(f64::from(mm));
            let stock = stock(finished, by_hand, false).unwrap();
            let Some(drill) = stock.drill(finished) else { continue };
            let left = (finished - drill - cutting::drill_oversize().0) / 2.0;
            assert!(left.mm() >= stock.least.mm() - 1e-9 && left.mm() <= stock.most.mm() + 1e-9, "{by_hand} {mm}");
            drilled += 1;
        }
        assert!(drilled > 50, "a drill for {drilled} bores");
    }

    #[test]
    fn a_reamer_lies_inside_the_hole_it_makes() {
        for class in ["D8", "F7", "H6", "H7", "H8", "H11", "K7", "N7", "P7"] {
            for size in [2, 5, 9, 15, 25, 45, 70, 110].map(Decimal::from) {
                let (low, high) = reamer(class, size).unwrap();
                let hole = iso286::class(class, size).unwrap().limits_mm(size);
                assert!(hole.0 < low && low < high && high < hole.1, "{class} {size}");
            }
        }
    }

    #[test]
    fn more_balance_or_fewer_discs_bear_a_looser_bore() {
        let loose = |u: f64, kg: f64| largest_clearance(Unbalance::from_gmm(u), Mass::from_kg(kg), None).unwrap();
        assert!(loose(6000.0, 30.0) > loose(3000.0, 30.0) && loose(6000.0, 10.0) > loose(6000.0, 30.0));
        assert!(largest_clearance(Unbalance::from_gmm(1.0), Mass::from_kg(0.0), None).is_err());
        assert!(largest_clearance(Unbalance::from_gmm(f64::NAN), Mass::from_kg(1.0), None).is_err());
    }
}
