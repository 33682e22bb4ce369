//! Set screws on a shaft: holding by size, point, number, angle between them, and hardness of the shaft.

use crate::quantity::{Angle, Force, Length, Torque};
use crate::standards::set_screws::Load;
use crate::standards::{NotInTable, bench, set_screws};

use super::{OutOfRange, above_zero, not_negative};

/// Set screws of one hub or collar.
#[derive(Debug, Clone, PartialEq)]
pub struct SetScrews {
    /// Thread, "M6" to "M10".
    pub thread: String,
    /// Point: cup, cone, flat, dog, oval.
    pub point: String,
    /// Where each screw stands around the shaft.
    pub at: Vec<Angle>,
    /// Stainless screws: seated less tightly, and softer.
    pub stainless: bool,
    /// Hardness of the shaft, HV.
    pub shaft_hv: f64,
    /// Torque of each screw; that of the chart, where none is stated.
    pub torque: Option<Torque>,
}

/// What set screws hold, by the lowest and the highest published series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hold {
    /// For a limit.
    pub low: Force,
    /// What tests have shown at best.
    pub high: Force,
}

impl Hold {
    /// Torque on a shaft: force times radius.
    ///
    /// ```
    /// use runtrue::{mechanics::set_screw::Hold, quantity::{Force, Length}};
    /// let hold = Hold { low: Force::from_n(2800.0), high: Force::from_n(6100.0) };
    /// let (low, high) = hold.torque(Length::from_mm(25.0));
    /// assert_eq!((low.nm(), high.nm()), (35.0, 76.25));
    /// ```
    #[must_use]
    pub fn torque(&self, shaft: Length) -> (Torque, Torque) {
        (self.low * (shaft / 2.0), self.high * (shaft / 2.0))
    }

    /// What may be asked of them under a kind of load: the lesser of the highest series over the largest safety and of the lowest
    /// series over the least safety (SPS: 1.5 to 2 steady, 4 to 8 dynamic, stated for its own tests, which are the highest series).
    ///
    /// # Errors
    /// [`OutOfRange`] if the table has no safety for the load.
    ///
    /// ```
    /// use runtrue::{mechanics::set_screw::Hold, quantity::Force, standards::set_screws::Load};
    /// let hold = Hold { low: Force::from_n(2600.0), high: Force::from_n(6100.0) };
    /// // 6100/8 = 762.5, 2600/4 = 650 N; steady 6100/2 and 2600/1.5 = 1733 N.
    /// assert_eq!(hold.allowed(Load::Shaking)?.n(), 650.0);
    /// assert!((hold.allowed(Load::Steady)?.n() - 1733.3).abs() < 0.1);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn allowed(&self, load: Load) -> Result<Force, OutOfRange> {
        let safety = set_screws::set_screw_safety(load).map_err(unknown)?;
        let (by_tests, by_least) = (self.high / safety.high, self.low / safety.low);
        Ok(if by_tests < by_least { by_tests } else { by_least })
    }
}

fn unknown(e: NotInTable) -> OutOfRange {
    OutOfRange::new("set screw", e.what, e.range, "SPS set screws and a lower published series")
}

/// Holding of several screws as a multiple of that of one, by where they stand: `(n + |Σ e|)/2`, e a unit vector a screw.
///
/// Statics: every screw rubs on the shaft, and the bore rubs with the sum of their pushes. Two screws side by side hold as
/// two, two at 90° as 1.71, two opposite as one, since they lift the shaft off the bore. Equal friction at point and bore.
///
/// ```
/// use runtrue::{mechanics::set_screw::together, quantity::Angle};
/// let at = |angles: &[f64]| together(&angles.iter().map(|a| Angle::from_deg(*a)).collect::<Vec<_>>());
/// assert!((at(&[0.0, 90.0]) - 1.707).abs() < 5e-4);
/// assert!((at(&[0.0, 180.0]) - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn together(at: &[Angle]) -> f64 {
    let (x, y) = at.iter().fold((0.0, 0.0), |(x, y), a| (x + a.rad().cos(), y + a.rad().sin()));
    f64::midpoint(at.len() as f64, f64::hypot(x, y))
}

impl SetScrews {
    /// Axial force that they hold at their torque. Cup-point tests on a soft shaft (SPS, and a lower series), times the factor of the
    /// point, the torque against that of the chart, and [`together`]. Holding goes with the torque (SPS: almost in proportion), up
    /// to the chart's, with which the tests were made: more torque is not counted, less is. A stainless screw, less than 10 Rockwell
    /// points harder than its shaft, loses 15 % more.
    ///
    /// # Errors
    /// [`OutOfRange`] for a thread without test figures, an unknown point, no screw, a shaft that a screw does not bite, or a torque
    /// that is not above 0.
    ///
    /// ```
    /// use runtrue::{mechanics::set_screw::SetScrews, quantity::Angle};
    /// let screws = SetScrews {
    ///     thread: "M8".into(),
    ///     point: "cup".into(),
    ///     at: vec![Angle::from_deg(0.0), Angle::from_deg(90.0)],
    ///     stainless: false,
    ///     shaft_hv: 200.0,
    ///     torque: None,
    /// };
    /// assert!((screws.hold()?.low.n() - 1.7071 * 2600.0).abs() < 1.0);
    /// let loose = SetScrews { torque: Some(runtrue::quantity::Torque::from_nm(8.5)), ..screws.clone() };
    /// assert!((loose.hold()?.low.n() - 1.7071 * 1300.0).abs() < 1.0); // half of 17 N·m holds half
    /// assert!(SetScrews { shaft_hv: 600.0, ..screws }.hold().is_err());
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn hold(&self) -> Result<Hold, OutOfRange> {
        self.bites()?;
        let one = set_screws::set_screw_holding_range(&self.thread).map_err(unknown)?;
        let (point, _) = set_screws::point_factor(&self.point).map_err(unknown)?;
        let factor = point * together(&self.at) * self.torque_factor()?;
        Ok(Hold { low: Force::from_n(one.low * factor), high: Force::from_n(one.high * factor) })
    }

    /// Holding goes with the torque (SPS), against that of the alloy screws of the tests; too little difference of hardness costs up
    /// to 15 %.
    fn torque_factor(&self) -> Result<f64, OutOfRange> {
        let (alloy, _) = set_screws::set_screw_torque(&self.thread, false).map_err(unknown)?;
        let (own, _) = set_screws::set_screw_torque(&self.thread, self.stainless).map_err(unknown)?;
        let given = match self.torque {
            Some(torque) => above_zero("torque of the set screws", torque.nm(), "N·m", "SPS set screws")?,
            None => own.nm(),
        };
        let loss = if self.stainless { set_screws::hardness_loss().0 } else { 0.0 };
        Ok(given.min(own.nm()) / alloy.nm() * (1.0 - loss))
    }

    fn bites(&self) -> Result<(), OutOfRange> {
        let (most, _) = bench::set_screw_shaft_hv();
        if !(self.shaft_hv > 0.0 && self.shaft_hv <= most) {
            return Err(OutOfRange::new(
                "hardness of the shaft",
                format!("{} HV", self.shaft_hv),
                format!("a set screw 45H bites up to {most} HV; grind flats or take another lock"),
                "SPS, ISO 898-5, common practice",
            ));
        }
        if self.at.is_empty() || self.at.iter().any(|a| !a.deg().is_finite()) {
            let count = self.at.len().to_string();
            return Err(OutOfRange::new("set screws", count, "at least one, each at an angle", "statics"));
        }
        Ok(())
    }
}

/// What a hub holds by `count` cup-point screws of alloy steel, each a quarter turn from the last (common practice), tightened to a
/// torque. A shaft too hard for them holds nothing.
///
/// # Errors
/// [`OutOfRange`] as for [`SetScrews::hold`], but for the hardness.
///
/// ```
/// use runtrue::{mechanics::set_screw::hub_hold, quantity::{Length, Torque}};
/// let hub = |hv, nm| hub_hold("M6", 2, hv, Torque::from_nm(nm)).map(|h| h.torque(Length::from_mm(25.0)).0.nm());
/// assert!((hub(210.0, 7.2)? - 1.7071 * 1.3 * 12.5).abs() < 0.01);
/// assert!((hub(210.0, 3.6)? - hub(210.0, 7.2)? / 2.0).abs() < 1e-9 && hub(210.0, 8.0)? == hub(210.0, 7.2)?);
/// assert_eq!(hub(600.0, 7.2)?, 0.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn hub_hold(thread: &str, count: u32, shaft_hv: f64, torque: Torque) -> Result<Hold, OutOfRange> {
    let at = (0..count).map(|i| Angle::from_deg(90.0 * f64::from(i))).collect();
    let (soft, _) = bench::set_screw_shaft_hv();
    let hard = shaft_hv > soft;
    let screws = SetScrews {
        thread: thread.to_owned(),
        point: "cup".into(),
        at,
        stainless: false,
        shaft_hv: if hard { soft } else { shaft_hv },
        torque: Some(torque),
    };
    let hold = screws.hold()?;
    Ok(if hard { Hold { low: hold.low * 0.0, high: hold.high * 0.0 } } else { hold })
}

/// Screw size by the rule that its diameter is about half that of the shaft (SPS): share of it that a size reaches.
///
/// # Errors
/// [`OutOfRange`] for a screw below 0, a shaft that is not above 0, or either no number.
///
/// ```
/// use runtrue::{mechanics::set_screw::size_share, quantity::Length};
/// assert_eq!(size_share(Length::from_mm(10.0), Length::from_mm(20.0))?, 1.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn size_share(screw: Length, shaft: Length) -> Result<f64, OutOfRange> {
    let half = above_zero("diameter of the shaft", shaft.mm(), "mm", "geometry")? / 2.0;
    Ok(not_negative("diameter of the screw", screw.mm(), "mm", "geometry")? / half)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn screws(at: &[f64]) -> SetScrews {
        let at = at.iter().map(|a| Angle::from_deg(*a)).collect();
        SetScrews { thread: "M8".into(), point: "cup".into(), at, stainless: false, shaft_hv: 200.0, torque: None }
    }

    #[test]
    fn turning_all_screws_changes_nothing() {
        for turn in [0.0, 17.0, 133.3, 359.0] {
            let turned = screws(&[turn, turn + 90.0, turn + 210.0]).hold().unwrap();
            let straight = screws(&[0.0, 90.0, 210.0]).hold().unwrap();
            assert!((turned.low - straight.low).n().abs() < 1e-9, "{turn}");
        }
    }

    #[test]
    fn nearer_screws_hold_more_and_never_less_than_half_their_number() {
        let at = |angle: f64| screws(&[0.0, angle]).hold().unwrap().low.n();
        let mut last = f64::INFINITY;
        for angle in (0..=180).step_by(15) {
            let now = at(f64::from(angle));
            assert!(now <= last && now >= screws(&[0.0]).hold().unwrap().low.n() - 1e-9, "{angle}");
            last = now;
        }
        assert!((at(0.0) / at(180.0) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn stainless_and_blunt_points_hold_less_and_hard_shafts_nothing() {
        let cup = screws(&[0.0]).hold().unwrap().low;
        let stainless = SetScrews { stainless: true, ..screws(&[0.0]) }.hold().unwrap().low;
        // 13.6 for 17 N·m, and 15 % for its hardness.
        assert!((stainless / cup - 0.8 * 0.85).abs() < 1e-12);
        assert!((SetScrews { point: "oval".into(), ..screws(&[0.0]) }.hold().unwrap().low / cup - 0.9).abs() < 1e-12);
        assert!(SetScrews { shaft_hv: 271.0, ..screws(&[0.0]) }.hold().unwrap_err().to_string().contains("270 HV"));
        assert!(SetScrews { shaft_hv: f64::NAN, ..screws(&[0.0]) }.hold().is_err());
        assert!(SetScrews { thread: "M4".into(), ..screws(&[0.0]) }.hold().is_err());
        assert!(SetScrews { point: "soft".into(), ..screws(&[0.0]) }.hold().is_err());
        assert!(screws(&[]).hold().is_err());
    }

    /// Stainless M8 are seated with 13.6 N·m: 6.8 hold half of that, 20 no more, and what is no torque nothing.
    #[test]
    fn less_torque_holds_less_and_more_than_the_chart_no_more() {
        let at = |nm: f64, stainless: bool| {
            SetScrews { torque: Some(Torque::from_nm(nm)), stainless, ..screws(&[0.0]) }.hold().map(|h| h.low.n())
        };
        for (stainless, chart) in [(false, 17.0), (true, 13.6)] {
            let whole = at(chart, stainless).unwrap();
            assert!((at(chart / 2.0, stainless).unwrap() / whole - 0.5).abs() < 1e-12);
            assert_eq!(at(20.0, stainless).unwrap(), whole);
        }
        assert!((at(20.0, false).unwrap() - 2600.0).abs() < 1e-9);
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(at(bad, false).is_err(), "{bad}");
        }
    }
}
