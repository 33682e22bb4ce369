//! A collar of one piece with one cut, drawn close around a shaft that is smaller than its bore.

use crate::quantity::{Force, Length, Stress};

use super::OutOfRange;

/// Force at the cut that draws a ring close by a clearance: `E·I·c/(3·R³)`, `I = width·h³/12` of the wall h, R its middle.
///
/// Two equal and opposite forces at the cut open a thin ring by `3π·F·R³/(E·I)` (Castigliano, bending alone: the integral of
/// `(1 − cos φ)²` round the ring is 3π), and a clearance c on the diameter closes when the cut has closed by `π·c`. A collar has a thick
/// wall, which the formula takes for stiffer than it is: the force comes out on the cautious side.
///
/// # Errors
/// [`OutOfRange`] unless outer diameter, width and modulus are above zero, the bore between nought and the outer diameter, and the
/// clearance not below nought.
///
/// ```
/// use runtrue::{mechanics::closing::closing_force, quantity::{Length, Stress}};
/// let mm = Length::from_mm;
/// // By hand: wall 25, I = 18·25³/12 = 23437.5 mm⁴, R = 27.5 mm: 206000·23437.5·0.034/(3·20796.9) = 2631 N.
/// let force = closing_force(mm(80.0), mm(30.0), mm(18.0), Stress::from_gpa(206.0), mm(0.034))?;
/// assert!((force.n() - 2631.1).abs() < 0.5);
/// assert_eq!(closing_force(mm(80.0), mm(30.0), mm(18.0), Stress::from_gpa(206.0), mm(0.0))?.n(), 0.0);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn closing_force(
    outer: Length,
    bore: Length,
    width: Length,
    elastic: Stress,
    clearance: Length,
) -> Result<Force, OutOfRange> {
    let wall = (outer - bore).mm() / 2.0;
    let fine = [wall, width.mm(), elastic.mpa()].iter().all(|v| *v > 0.0 && v.is_finite());
    if !(fine && bore.mm() >= 0.0 && clearance.mm() >= 0.0 && clearance.mm().is_finite()) {
        let given = format!("{} mm outside, {} mm bore, {} mm loose", outer.mm(), bore.mm(), clearance.mm());
        return Err(OutOfRange::new("collar", given, "it has a wall, and is not smaller than its shaft", "geometry"));
    }
    let middle = (outer + bore).mm() / 4.0;
    let inertia = width.mm() * wall.powi(3) / 12.0;
    Ok(Force::from_n(elastic.mpa() * inertia * clearance.mm() / (3.0 * middle.powi(3))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thicker_wall_and_a_looser_bore_take_more_force() {
        let mm = Length::from_mm;
        let at = |outer: f64, loose: f64| {
            closing_force(mm(outer), mm(30.0), mm(18.0), Stress::from_gpa(206.0), mm(loose)).unwrap()
        };
        assert!(at(80.0, 0.034) > at(60.0, 0.034));
        assert!((at(80.0, 0.068) / at(80.0, 0.034) - 2.0).abs() < 1e-12);
        assert!(closing_force(mm(30.0), mm(30.0), mm(18.0), Stress::from_gpa(206.0), mm(0.01)).is_err());
        assert!(closing_force(mm(80.0), mm(30.0), mm(18.0), Stress::from_gpa(206.0), mm(-0.01)).is_err());
    }
}
