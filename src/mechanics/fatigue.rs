//! The stress that a rotating shaft bears for ever.

use crate::quantity::{Length, Stress};
use crate::standards::{NotInTable, fatigue};

/// Stress of rotating bending that a machined shaft bears for ever with hubs, collars and bearings fixed on it:
/// `0.5·Rm · surface · size · reliability / (notch · safety)`, see [`crate::standards::fatigue`].
///
/// # Errors
/// [`NotInTable`] outside the ranges of the factors.
///
/// ```
/// use runtrue::{mechanics::fatigue::allowed, quantity::{Length, Stress}};
/// // C45 of 25 mm, by hand: 290·0.8354·0.8787·0.814/(2.439·1.2) = 59.2 MPa.
/// let stress = allowed(Stress::from_mpa(580.0), Length::from_mm(25.0))?;
/// assert!((stress.mpa() - 59.2).abs() < 0.1);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn allowed(tensile: Stress, diameter: Length) -> Result<Stress, NotInTable> {
    let factors = fatigue::surface("machined", tensile)? * fatigue::size(diameter)? * fatigue::reliability();
    Ok(fatigue::specimen(tensile)? * (factors / (fatigue::notch(tensile) * fatigue::safety())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stronger_steel_bears_more_though_it_minds_notches_more_and_a_thick_shaft_less() {
        let at = |rm: f64, d: f64| allowed(Stress::from_mpa(rm), Length::from_mm(d)).unwrap();
        assert!(at(580.0, 25.0) > at(360.0, 25.0) && at(580.0, 25.0) > at(580.0, 50.0));
        assert!(allowed(Stress::from_mpa(580.0), Length::from_mm(300.0)).is_err());
        assert!(allowed(Stress::from_mpa(f64::NAN), Length::from_mm(25.0)).is_err());
    }
}
