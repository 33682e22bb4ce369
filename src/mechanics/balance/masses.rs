//! Known unbalances: their resultant, and the corrections in two planes that also take their couple away.

use num_complex::Complex64;

use crate::quantity::Length;

use super::super::OutOfRange;
use super::{Vector, useless};

/// An unbalance with its place along the shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct At {
    /// Place.
    pub at: Length,
    /// Unbalance, g·mm at its angle.
    pub unbalance: Vector,
}

/// Sum of unbalances as vectors. What takes it away stands opposite: [`Vector::opposite`].
///
/// ```
/// use runtrue::mechanics::balance::{Vector, resultant};
/// let sum = resultant(&[Vector::polar(3.0, 0.0), Vector::polar(4.0, 90.0)]);
/// assert!((sum.magnitude() - 5.0).abs() < 1e-12 && (sum.degrees() - 53.13).abs() < 0.005);
/// ```
#[must_use]
pub fn resultant(unbalances: &[Vector]) -> Vector {
    Vector(unbalances.iter().map(|u| u.0).sum())
}

/// Corrections in two planes that take away resultant and couple: `C_B = −Σ U·(x − a)/(b − a)`, `C_A = −Σ U·(b − x)/(b − a)`
/// (moments about each plane; statics).
///
/// # Errors
/// [`OutOfRange`] for planes at one place.
///
/// ```
/// use runtrue::{mechanics::balance::{At, Vector, in_two_planes}, quantity::Length};
/// let mm = Length::from_mm;
/// // A third of the way from A: two thirds of it in A, opposite.
/// let [a, b] = in_two_planes(&[At { at: mm(100.0), unbalance: Vector::polar(900.0, 30.0) }], [mm(0.0), mm(300.0)])?;
/// assert!((a.magnitude() - 600.0).abs() < 1e-9 && (b.magnitude() - 300.0).abs() < 1e-9 && (a.degrees() - 210.0).abs() < 1e-9);
/// # Ok::<(), runtrue::mechanics::OutOfRange>(())
/// ```
pub fn in_two_planes(unbalances: &[At], planes: [Length; 2]) -> Result<[Vector; 2], OutOfRange> {
    let [a, b] = planes.map(|p| p.mm());
    if !((b - a).abs() > 0.0 && (b - a).is_finite()) {
        return Err(useless("distance of the planes", format!("{} mm", b - a), "it is not 0"));
    }
    let about = |from: f64, to: f64| -> Vector {
        let sum: Complex64 = unbalances.iter().map(|u| u.unbalance.0 * ((u.at.mm() - from) / (to - from))).sum();
        Vector(-sum)
    };
    Ok([about(b, a), about(a, b)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corrections_leave_neither_resultant_nor_couple() {
        let mm = Length::from_mm;
        let all: Vec<At> = [(10.0, 500.0, 20.0), (60.0, 300.0, 140.0), (200.0, 800.0, 290.0)]
            .map(|(x, u, deg)| At { at: mm(x), unbalance: Vector::polar(u, deg) })
            .to_vec();
        let planes = [mm(30.0), mm(150.0)];
        let found = in_two_planes(&all, planes).unwrap();
        let mut with: Vec<At> = all;
        with.extend([0, 1].map(|k: usize| At { at: planes[k], unbalance: found[k] }));
        for about in [0.0, 77.0, -1000.0] {
            let moment: Complex64 = with.iter().map(|u| u.unbalance.0 * (u.at.mm() - about)).sum();
            assert!(moment.norm() < 1e-6, "{moment}");
        }
        assert!(resultant(&with.iter().map(|u| u.unbalance).collect::<Vec<_>>()).magnitude() < 1e-9);
        assert!(in_two_planes(&with, [mm(5.0), mm(5.0)]).is_err());
    }
}
