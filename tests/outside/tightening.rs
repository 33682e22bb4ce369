//! Orders and passes.

use runtrue::mechanics::tightening::sequence;

use crate::case::{Case, Cases, Origin};

/// Part 3.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    c.from(Origin::Table, "ASME PCC-1 cross patterns as printed on flange work sheets, 4 to 24 bolts");
    let printed: [&[u32]; 6] = [
        &[1, 3, 2, 4],
        &[1, 5, 3, 7, 2, 6, 4, 8],
        &[1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12],
        &[1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16],
        &[1, 11, 6, 16, 3, 13, 8, 18, 5, 15, 10, 20, 2, 12, 7, 17, 4, 14, 9, 19],
        &[1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20, 5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24],
    ];
    for order in printed {
        c.same(format!("{} bolts", order.len()), sequence(order.len() as u32), order);
    }
    c.from(Origin::Table, "chainring page, star of five").same("5 bolts", sequence(5), [1, 3, 5, 2, 4]);
    c.done()
}

/// Seven and nine go by the rule of the star of five: no source prints them (common practice).
#[test]
fn odd_counts_are_stars() {
    assert_eq!(sequence(7), [1, 4, 7, 3, 6, 2, 5]);
    assert_eq!(sequence(9), [1, 5, 9, 4, 8, 3, 7, 2, 6]);
}
