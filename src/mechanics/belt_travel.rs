//! Room for the sled: where the centre stands for every step of a pulley, how far in the belt is laid on, how far out it is taken up.

use crate::quantity::{Angle, Length};

use super::OutOfRange;
use super::belt::Drive;

/// One step of the pulley on the sled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The drive on this step.
    pub drive: Drive,
    /// Centre at which the belt is laid on.
    pub lay_on: Length,
    /// Centre with the stretch taken up.
    pub taken_up: Length,
}

/// Range of the centre distance over every step of a pulley.
#[derive(Debug, Clone, PartialEq)]
pub struct Slots {
    /// The steps, in the order given.
    pub places: Vec<Place>,
    /// Least centre: the belt goes on at every step.
    pub inner: Length,
    /// Largest centre: stretch is taken up at every step.
    pub outer: Length,
}

impl Slots {
    /// Range over the steps for one belt, with travel inward to lay the belt on and outward for stretch
    /// ([`crate::standards::belts::allowance`]).
    ///
    /// # Errors
    /// [`OutOfRange`] for no step at all, a belt too short for a step, or a centre at which the pulleys would touch while the
    /// belt is laid on.
    ///
    /// ```
    /// use runtrue::{mechanics::belt_travel::Slots, quantity::Length};
    /// let mm = Length::from_mm;
    /// let slots = Slots::new(&[mm(100.0), mm(100.0)], mm(100.0), mm(1114.16), (mm(13.0), mm(18.0)))?;
    /// assert!((slots.inner.mm() - 387.0).abs() < 0.01 && (slots.outer.mm() - 418.0).abs() < 0.01);
    /// assert!((slots.travel().mm() - 31.0).abs() < 1e-9);
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    pub fn new(
        steps: &[Length],
        driver: Length,
        length: Length,
        (inward, outward): (Length, Length),
    ) -> Result<Self, OutOfRange> {
        let place = |step: &Length| -> Result<Place, OutOfRange> {
            let drive = Drive::from_length(*step, driver, length)?;
            let lay_on = Drive::from_centre(*step, driver, drive.centre - inward)?.centre;
            Ok(Place { drive, lay_on, taken_up: drive.centre + outward })
        };
        let places = steps.iter().map(place).collect::<Result<Vec<_>, _>>()?;
        let least = places.iter().map(|p| p.lay_on.mm()).reduce(f64::min);
        let most = places.iter().map(|p| p.taken_up.mm()).reduce(f64::max);
        match (least, most) {
            (Some(inner), Some(outer)) => {
                Ok(Self { places, inner: Length::from_mm(inner), outer: Length::from_mm(outer) })
            }
            _ => Err(OutOfRange::new("pulley", "no step", "at least one effective diameter is needed", "geometry")),
        }
    }

    /// Length of slot the sled needs.
    ///
    /// ```
    /// use runtrue::{mechanics::belt_travel::Slots, quantity::Length};
    /// let mm = Length::from_mm;
    /// let slots = Slots::new(&[mm(100.0)], mm(100.0), mm(1114.16), (mm(13.0), mm(18.0)))?;
    /// assert!((slots.travel().mm() - 31.0).abs() < 1e-9); // one step: both allowances
    /// # Ok::<(), runtrue::mechanics::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn travel(&self) -> Length {
        self.outer - self.inner
    }
}

/// Gap that an angle makes over a distance: `distance·tan angle`. A pulley askew by 0.25° stands 4.36 mm out on a metre of
/// centres, and its rim wobbles by diameter·tan.
///
/// ```
/// use runtrue::{mechanics::belt_travel::gap, quantity::{Angle, Length}};
/// let quarter = Angle::from_deg(0.25);
/// assert!((gap(quarter, Length::from_mm(300.0)).mm() - 1.31).abs() < 0.005);
/// assert!((gap(quarter, Length::from_mm(160.0)).mm() - 0.70).abs() < 0.005);
/// ```
#[must_use]
pub fn gap(angle: Angle, over: Length) -> Length {
    over * angle.rad().tan()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(v: f64) -> Length {
        Length::from_mm(v)
    }

    #[test]
    fn more_steps_never_need_less_slot_and_the_order_does_not_matter() {
        let both = (mm(15.0), mm(23.0));
        let slots = |steps: &[f64]| {
            let steps: Vec<Length> = steps.iter().map(|s| mm(*s)).collect();
            Slots::new(&steps, mm(250.0), mm(1600.0), both).unwrap()
        };
        let (one, three, turned) = (slots(&[140.0]), slots(&[140.0, 110.0, 80.0]), slots(&[80.0, 140.0, 110.0]));
        assert!((one.travel() - both.0 - both.1).mm().abs() < 1e-9);
        assert!(three.travel() > one.travel());
        assert_eq!((three.inner, three.outer), (turned.inner, turned.outer));
        for place in &three.places {
            assert!(three.inner <= place.lay_on && place.taken_up <= three.outer);
        }
    }

    #[test]
    fn a_belt_that_cannot_be_laid_on_is_refused() {
        assert!(Slots::new(&[], mm(250.0), mm(1600.0), (mm(15.0), mm(23.0))).is_err());
        assert!(Slots::new(&[mm(80.0)], mm(250.0), mm(500.0), (mm(15.0), mm(23.0))).is_err());
        let touching = Slots::new(&[mm(100.0)], mm(100.0), mm(520.0), (mm(15.0), mm(23.0))).unwrap_err();
        assert!(touching.to_string().contains("above 100 mm"), "{touching}");
    }
}
