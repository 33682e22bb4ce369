//! Set screws on a shaft: holding by size, point, number, angle between them, and hardness of the shaft.

use crate::quantity::{Angle, Force, Length, Torque};
use crate::standards::{bench, set_screws};

use super::OutOfRange;

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
}

/// Holding of several screws against that of one, by where they stand: `(n + |Σ e|)/2`, e a unit vector a screw.
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
    /// Axial force that they hold at their seating torque. Cup-point tests on a soft shaft (SPS, and a lower series), times
    /// the factor of the point, the torque of the steel, and [`together`]; a stainless screw, less than 10 Rockwell points
    /// harder than its shaft, loses 15 % more.
    ///
    /// # Errors
    /// [`OutOfRange`] for a thread without test figures, an unknown point, no screw, or a shaft that a screw does not bite.
    ///
    /// ```
    /// use runtrue::{mechanics::set_screw::SetScrews, quantity::Angle};
    /// let screws = SetScrews {
    ///     thread: "M8".into(),
    ///     point: "cup".into(),
    ///     at: vec![Angle::from_deg(0.0), Angle::from_deg(90.0)],
    ///     stainless: false,
    ///     shaft_hv: 200.0,
    /// };
    /// assert!((screws.hold()?.low.n() - 1.7071 * 2600.0).abs() < 1.0);
    /// assert!(SetScrews { shaft_hv: 600.0, ..screws }.hold().is_err());
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn hold(&self) -> Result<Hold, OutOfRange> {
        self.bites()?;
        let unknown = |e: crate::standards::NotInTable| {
            OutOfRange::new("set screw", e.what, e.range, "SPS set screws and a lower published series")
        };
        let one = set_screws::set_screw_holding_range(&self.thread).map_err(unknown)?;
        let (point, _) = set_screws::point_factor(&self.point).map_err(unknown)?;
        let factor = point * together(&self.at) * self.steel_factor().map_err(unknown)?;
        Ok(Hold { low: Force::from_n(one.low * factor), high: Force::from_n(one.high * factor) })
    }

    /// Holding goes with the torque (SPS); too little difference of hardness costs up to 15 %.
    fn steel_factor(&self) -> Result<f64, crate::standards::NotInTable> {
        if !self.stainless {
            return Ok(1.0);
        }
        let (alloy, _) = set_screws::set_screw_torque(&self.thread, false)?;
        let (own, _) = set_screws::set_screw_torque(&self.thread, true)?;
        Ok(own / alloy * (1.0 - set_screws::hardness_loss().0))
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

/// Torque that a hub holds by `count` cup-point screws of alloy steel, each a quarter turn from the last (common practice), by
/// the lower published series. A shaft too hard for them holds nothing.
///
/// # Errors
/// [`OutOfRange`] as for [`SetScrews::hold`], but for the hardness.
///
/// ```
/// use runtrue::{mechanics::set_screw::hub_torque, quantity::Length};
/// let hub = |hv| hub_torque("M6", 2, Length::from_mm(25.0), hv);
/// assert!((hub(210.0)?.nm() - 1.7071 * 1.3 * 12.5).abs() < 0.01);
/// assert_eq!(hub(600.0)?.nm(), 0.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn hub_torque(thread: &str, count: u32, shaft: Length, shaft_hv: f64) -> Result<Torque, OutOfRange> {
    let at = (0..count).map(|i| Angle::from_deg(90.0 * f64::from(i))).collect();
    let (soft, _) = bench::set_screw_shaft_hv();
    let hard = shaft_hv > soft;
    let screws = SetScrews {
        thread: thread.to_owned(),
        point: "cup".into(),
        at,
        stainless: false,
        shaft_hv: if hard { soft } else { shaft_hv },
    };
    let (low, _) = screws.hold()?.torque(shaft);
    Ok(if hard { Torque::from_nm(0.0) } else { low })
}

/// Screw size by the rule that its diameter is about half that of the shaft (SPS): share of it that a size reaches.
///
/// ```
/// use runtrue::{mechanics::set_screw::size_share, quantity::Length};
/// assert_eq!(size_share(Length::from_mm(10.0), Length::from_mm(20.0)), 1.0);
/// ```
#[must_use]
pub fn size_share(screw: Length, shaft: Length) -> f64 {
    screw / (shaft / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn screws(at: &[f64]) -> SetScrews {
        let at = at.iter().map(|a| Angle::from_deg(*a)).collect();
        SetScrews { thread: "M8".into(), point: "cup".into(), at, stainless: false, shaft_hv: 200.0 }
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
}
