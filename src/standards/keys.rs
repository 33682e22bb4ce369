//! Parallel keys: section and keyways by shaft diameter.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::Length;

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Keys {
    source: String,
    rows: Vec<Key>,
    lengths: Vec<f64>,
    sharing: Sharing,
    permitted: Permitted,
}

#[derive(Debug, Default, Deserialize)]
struct Sharing {
    two: f64,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct Permitted {
    share: f64,
    source: String,
}

static KEYS: LazyLock<Keys> = LazyLock::new(|| table("keys.yaml", include_str!("data/keys.yaml")));

pub(super) fn read() {
    LazyLock::force(&KEYS);
}

/// A parallel key with its keyways. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Key {
    /// For shafts above this diameter.
    pub over: f64,
    /// For shafts up to this diameter, included.
    pub up_to: f64,
    /// Width.
    pub b: f64,
    /// Height.
    pub h: f64,
    /// Depth of the keyway in the shaft.
    pub t1: f64,
    /// Depth of the keyway in the hub.
    pub t2: f64,
    /// Shortest and longest stock length.
    pub l: [f64; 2],
}

impl Key {
    /// Height of the flank that bears in the hub, `h − t1` (DIN 6892), mm.
    ///
    /// ```
    /// use runtrue::{quantity::Length, standards::keys::key};
    /// assert_eq!(key(Length::from_mm(25.0))?.in_hub(), 3.0); // 8 x 7: 7 - 4
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    #[must_use]
    pub fn in_hub(&self) -> f64 {
        self.h - self.t1
    }

    /// Lengths in which the key is sold, mm, the shortest first (DIN 6885-1, from memory).
    ///
    /// ```
    /// use runtrue::{quantity::Length, standards::keys::key};
    /// let lengths: Vec<f64> = key(Length::from_mm(25.0))?.stock_lengths().collect();
    /// assert_eq!((lengths[0], lengths[1], *lengths.last().unwrap()), (18.0, 20.0, 90.0));
    /// # Ok::<(), runtrue::standards::NotInTable>(())
    /// ```
    pub fn stock_lengths(&self) -> impl DoubleEndedIterator<Item = f64> {
        let [shortest, longest] = self.l;
        KEYS.lengths.iter().copied().filter(move |l| (shortest..=longest).contains(l))
    }
}

/// Key for a shaft diameter (DIN 6885-1).
///
/// # Errors
/// [`NotInTable`] unless the shaft is above 6 and at most 130 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::keys::key};
/// let k = key(Length::from_mm(50.0))?; // above 44 up to 50 mm: 14 x 9
/// assert_eq!((k.b, k.h, k.t1, k.t2), (14.0, 9.0, 5.5, 3.8));
/// assert!(key(Length::from_mm(6.0)).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn key(shaft: Length) -> Result<&'static Key, NotInTable> {
    let row = KEYS.rows.iter().find(|r| shaft.mm() > r.over && shaft.mm() <= r.up_to);
    row.ok_or_else(|| {
        NotInTable::new(
            format!("parallel key for a shaft of {} mm", shaft.mm()),
            "shafts above 6 up to 130 mm",
            &KEYS.source,
        )
    })
}

/// Share of all keys that carries: one key 1, two 0.75 of their number (DIN 6892 method C), and the source.
///
/// # Errors
/// [`NotInTable`] for none or more than two keys: they never bear alike.
///
/// ```
/// assert_eq!(runtrue::standards::keys::sharing(2)?.0, 0.75);
/// assert!(runtrue::standards::keys::sharing(3).is_err());
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn sharing(keys: u32) -> Result<(f64, &'static str), NotInTable> {
    let share = match keys {
        1 => 1.0,
        2 => KEYS.sharing.two,
        n => return Err(NotInTable::new(format!("{n} keys"), "1 or 2 keys", &KEYS.sharing.source)),
    };
    Ok((share, &KEYS.sharing.source))
}

/// Permitted pressure as a share of the yield strength of the weakest part, and its source.
///
/// ```
/// assert_eq!(runtrue::standards::keys::permitted_share().0, 0.9);
/// ```
#[must_use]
pub fn permitted_share() -> (f64, &'static str) {
    (KEYS.permitted.share, &KEYS.permitted.source)
}

/// Source of the sections.
///
/// ```
/// assert!(runtrue::standards::keys::source().contains("DIN 6885-1"));
/// ```
#[must_use]
pub fn source() -> &'static str {
    &KEYS.source
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_join_and_a_key_stands_in_both_keyways() {
        assert_eq!(KEYS.rows.len(), 16);
        for pair in KEYS.rows.windows(2) {
            assert_eq!(pair[0].up_to, pair[1].over);
            assert!(pair[0].b < pair[1].b && pair[0].l[0] < pair[0].l[1]);
        }
        for k in &KEYS.rows {
            // A little play is left above the key.
            assert!(k.t1 + k.t2 > k.h && k.t1 + k.t2 < k.h + 0.5, "{} mm", k.b);
        }
    }

    #[test]
    fn a_diameter_on_the_edge_belongs_to_the_smaller_key() {
        let b = |d: f64| key(Length::from_mm(d)).unwrap().b;
        assert_eq!((b(22.0), b(22.1), b(30.0), b(130.0)), (6.0, 8.0, 8.0, 32.0));
        assert!(key(Length::from_mm(130.1)).is_err() && key(Length::from_mm(f64::NAN)).is_err());
    }
}
