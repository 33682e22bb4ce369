//! Permissible unbalance and balancing.

use runtrue::mechanics::rotor;
use runtrue::quantity::{Mass, Speed};

use crate::case::{Case, Cases, Origin};

/// Part 8.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    let u = rotor::permissible_unbalance(2.5, Mass::from_kg(453.592_37), Speed::from_rpm(15_000.0));
    // One ounce-inch is 28.349523125 g × 25.4 mm.
    c.from(Origin::Example, "Energy-Tech: G 2.5, 1000 lb, 15 000 rpm").near(
        "unbalance, oz·in",
        u.gmm() / (28.349_523_125 * 25.4),
        1.0,
        0.05,
    );
    c.done()
}
