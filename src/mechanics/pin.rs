//! Dowel pins that take one part along with another.

use std::f64::consts::PI;

use crate::quantity::{Length, Stress, Torque};
use crate::standards::keys;

use super::OutOfRange;

/// A pin across the joint of two parts that turn together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pin {
    /// Diameter.
    pub diameter: Length,
    /// How deep it stands in the part that holds it least.
    pub depth: Length,
    /// Diameter of the circle it stands on.
    pub circle: Length,
}

impl Pin {
    /// Torque that one pin passes on without yielding: the smaller of shear in the joint, `π/4·d²·Re/√3` (distortion energy), and pressure
    /// in the hole, `d·depth·0.9·Re` of the weaker part (as for keys, [`keys::permitted_share`]), at the radius of its circle. Of several
    /// pins each is asked to pass on the whole torque alone, for nothing makes them bear alike.
    ///
    /// # Errors
    /// [`OutOfRange`] unless every size and strength is above zero, and for a pin that reaches over the axis.
    ///
    /// ```
    /// use runtrue::{mechanics::pin::Pin, quantity::{Length, Stress}};
    /// let mm = Length::from_mm;
    /// let pin = Pin { diameter: mm(6.0), depth: mm(8.0), circle: mm(55.0) };
    /// // By hand: 28.274 mm²·305/√3 = 4978.9 N against 6·8·0.9·305 = 13176 N; 4978.9·27.5 mm = 136.92 N·m.
    /// let holds = pin.torque(Stress::from_mpa(305.0), Stress::from_mpa(305.0))?;
    /// assert!((holds.nm() - 136.92).abs() < 0.01);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn torque(&self, pin: Stress, hole: Stress) -> Result<Torque, OutOfRange> {
        let (d, depth, circle) = (self.diameter.mm(), self.depth.mm(), self.circle.mm());
        let all = [d, depth, circle - d, pin.mpa(), hole.mpa()];
        if !all.iter().all(|v| *v > 0.0 && v.is_finite()) {
            let given = format!("{d} mm, {depth} mm deep, on {circle} mm");
            let range = "sizes and strengths are above 0, and the circle is wider than the pin";
            return Err(OutOfRange::new("dowel pin", given, range, "geometry"));
        }
        let shear = PI / 4.0 * d * d * pin.mpa() / 3.0_f64.sqrt();
        let weaker = pin.mpa().min(hole.mpa());
        let pressure = d * depth * keys::permitted_share().0 * weaker;
        Ok(Torque::from_nm(shear.min(pressure) * circle / 2.0 / 1000.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shallow_pin_fails_in_its_hole_and_a_deep_one_in_shear() {
        let (mm, re) = (Length::from_mm, Stress::from_mpa(300.0));
        let holds = |depth: f64| {
            let pin = Pin { diameter: mm(6.0), depth: mm(depth), circle: mm(60.0) };
            pin.torque(re, re).unwrap().nm()
        };
        // By hand: 6·2·0.9·300·30 mm.
        assert!((holds(2.0) - 97.2).abs() < 1e-9 && (holds(1.0) - 48.6).abs() < 1e-9);
        assert!(holds(8.0) == holds(20.0) && holds(8.0) > holds(2.0));
        assert!(Pin { diameter: mm(6.0), depth: mm(8.0), circle: mm(5.0) }.torque(re, re).is_err());
        assert!(Pin { diameter: mm(f64::NAN), depth: mm(8.0), circle: mm(50.0) }.torque(re, re).is_err());
    }
}
