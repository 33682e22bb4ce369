//! Readings of vibration as vectors, in the sense of the rotor's marks.

use crate::mechanics::balance::Vector;

use super::Given;

impl Given<'_> {
    /// Amplitude and angle of a reading as vectors, one a sensor. A meter that counts against the sense is turned round here and
    /// nowhere else: the record keeps what it showed.
    ///
    /// # Errors
    /// Words where the values do not come in pairs.
    pub(super) fn vectors(&self, input: usize) -> Result<Vec<Vector>, String> {
        let against = self.word("phase")? == "against";
        let values = self.values(input)?;
        if !values.len().is_multiple_of(2) {
            return Err(format!("{} holds no pairs of amplitude and angle", self.name(input)));
        }
        let of = |pair: &[f64]| Vector::polar(pair[0], if against { -pair[1] } else { pair[1] });
        Ok(values.chunks_exact(2).map(of).collect())
    }

    /// The one vector of a reading.
    ///
    /// # Errors
    /// Words where there is none or more than one.
    pub(super) fn vector(&self, input: usize) -> Result<Vector, String> {
        match self.vectors(input)?.as_slice() {
            [one] => Ok(*one),
            _ => Err(format!("{} is not one amplitude at one angle", self.name(input))),
        }
    }

    /// A weight on the rotor: grams at an angle of its marks, which no meter turns round.
    ///
    /// # Errors
    /// Words where it is no weight at an angle.
    pub(super) fn weight(&self, input: usize) -> Result<Vector, String> {
        match self.values(input)? {
            [mass, angle] => Ok(Vector::polar(*mass, *angle)),
            _ => Err(format!("{} is no weight at an angle", self.name(input))),
        }
    }
}
