//! V-ribbed belts and their pulleys.

use runtrue::mechanics::belt::Drive;
use runtrue::quantity::Length;

use crate::case::{Case, Cases};

/// Part 5.
pub fn cases() -> Vec<Case> {
    Cases::new().done()
}

/// The approximate closed form L = 2C + π/2(D+d) + (D−d)²/4C is short by 0.48 mm at 50/200/180.
#[test]
fn the_exact_length_is_above_the_closed_form() {
    let mm = Length::from_mm;
    let drive = Drive { small: mm(50.0), large: mm(200.0), centre: mm(180.0) };
    let closed = 2.0 * 180.0 + std::f64::consts::FRAC_PI_2 * 250.0 + 150.0_f64.powi(2) / (4.0 * 180.0);
    assert!((drive.length().mm() - closed - 0.48).abs() < 0.005, "{}", drive.length().mm() - closed);
    let back = Drive::from_length(mm(50.0), mm(200.0), drive.length()).unwrap();
    assert!((back.centre.mm() - 180.0).abs() < 1e-9);
}
