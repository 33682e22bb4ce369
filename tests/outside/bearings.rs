//! Mounted bearings.

use runtrue::mechanics::bearing;
use runtrue::quantity::{Force, Speed};

use crate::case::{Case, Cases, Origin};

/// Part 6.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    // fh = fn·C/P, so C/P = 2.71/0.382 gives 10 000 h at 600 rpm; two factors of three figures, cubed: 1.5 %.
    let life = |ratio: f64| {
        bearing::life(Force::from_kn(10.0), Force::from_kn(10.0 / ratio), Speed::from_rpm(600.0)).unwrap().h()
    };
    c.from(Origin::Table, "HCH bearing pages, life factor fh and speed factor fn").share(
        "fh 2.71 at fn 0.382",
        life(2.71 / 0.382),
        10_000.0,
        0.015,
    );
    c.done()
}
