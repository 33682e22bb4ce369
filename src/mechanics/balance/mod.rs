//! Balancing of a rigid rotor: what is permitted, what can be found at all, which weight goes where.
//!
//! One angle sense throughout, that of the rotor's marks: an analyser that counts the other way is turned round once, at input.

mod drill;
mod heavy;
mod index;
mod influence;
mod masses;
mod no_phase;
mod permissible;
mod predicted;
mod split;
mod trial;
mod two_plane;
mod washers;
mod weigh;

pub use drill::{cone_height_mm, drill_depth_mm, drilled_mass_g, through_hole_mass_g};
pub use heavy::{HeavySide, Rest, Rolled, heavy_side, rest, wedge_unbalance};
pub use index::{
    Indexed, hole_at_position_1, index, index_can_be_tried, index_uncertainty, index_uncertainty_of, indexed_as,
    indices,
};
pub use influence::{Influence, single_plane};
pub use masses::{At, in_two_planes, resultant};
pub use no_phase::{CONSISTENT, no_phase, two_runs};
pub use permissible::{PlaneShares, achieved_grade, permissible_unbalance, specific_um, split_to_planes};
pub use predicted::{Compared, Fits, as_predicted};
pub use split::{split, split_between};
pub use trial::{Response, response, trial_weight};
pub use two_plane::{TwoPlane, TwoPlaneFound, WELL_CONDITIONED, two_plane, two_plane_for};
pub use washers::{fewest_washers, washers, worst_reach};
pub use weigh::{Weighed, decides, play_floor, rolling_floor, smallest_findable, weigh};

use num_complex::Complex64;

use super::OutOfRange;

/// A length at an angle: vibration, mass or unbalance with its place on the rotor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector(Complex64);

impl Vector {
    /// From magnitude and degrees.
    ///
    /// ```
    /// use runtrue::mechanics::balance::Vector;
    /// assert!((Vector::polar(2.0, -90.0).degrees() - 270.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn polar(magnitude: f64, degrees: f64) -> Self {
        Self(Complex64::from_polar(magnitude, degrees.to_radians()))
    }

    /// Magnitude, in the unit of the vector: of what was read, or g·mm.
    ///
    /// ```
    /// use runtrue::mechanics::balance::Vector;
    /// assert!((Vector::polar(2.0, 77.0).magnitude() - 2.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.0.norm()
    }

    /// Angle from 0 up to 360 degrees.
    ///
    /// ```
    /// use runtrue::mechanics::balance::Vector;
    /// assert!((Vector::polar(1.0, 725.0).degrees() - 5.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn degrees(self) -> f64 {
        let angle = self.0.arg().to_degrees().rem_euclid(360.0);
        if angle >= 360.0 { 0.0 } else { angle }
    }

    /// As many times as long, at the same angle: grams at a radius are gram millimetres.
    ///
    /// ```
    /// use runtrue::mechanics::balance::Vector;
    /// let u = Vector::polar(2.0, 30.0).scaled(40.0);
    /// assert!((u.magnitude() - 80.0).abs() < 1e-9 && (u.degrees() - 30.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }

    /// The change from another reading to this one.
    ///
    /// ```
    /// use runtrue::mechanics::balance::Vector;
    /// assert!((Vector::polar(5.0, 90.0).minus(Vector::polar(5.0, 0.0)).magnitude() - 50f64.sqrt()).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }

    /// The same on the other side: what takes away at one angle what would be added at the other.
    ///
    /// ```
    /// use runtrue::mechanics::balance::Vector;
    /// // Drill where the weight would be too much: opposite to where it would be added.
    /// assert!((Vector::polar(12.0, 40.0).opposite().degrees() - 220.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn opposite(self) -> Self {
        Self(-self.0)
    }
}

fn useless(what: &'static str, value: String, range: &str) -> OutOfRange {
    OutOfRange::new(what, value, range, "common practice")
}

fn above_zero(what: &'static str, value: f64, unit: &str) -> Result<f64, OutOfRange> {
    super::above_zero(what, value, unit, "definition")
}
