//! Orders and passes, and the wrench.

use runtrue::mechanics::tightening::{labels, pass_torques, passes, sequence, wrench};
use runtrue::quantity::Torque;
use runtrue::standards::bench;

use crate::case::{Case, Cases, Origin};

/// Part 3.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    orders(&mut c);
    diagrams(&mut c);
    rounds(&mut c);
    tools(&mut c);
    c.done()
}

fn orders(c: &mut Cases) {
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
    c.from(Origin::Table, "robot maintenance manual (Epson C series), hexagon socket bolts on a circle").same(
        "8 bolts",
        sequence(8),
        [1, 5, 3, 7, 2, 6, 4, 8],
    );
}

/// Diagrams print the number in the order beside each bolt.
fn diagrams(c: &mut Cases) {
    c.from(Origin::Table, "flange bolting diagrams (scribd 546575141 and 699216405), numbers beside the bolts");
    for printed in [
        &[1, 5, 9, 3, 7, 11, 2, 6, 10, 4, 8, 12][..],
        &[1, 13, 5, 17, 9, 3, 15, 7, 19, 11, 2, 14, 6, 18, 10, 4, 16, 8, 20, 12],
        &[1, 9, 17, 5, 13, 21, 3, 11, 19, 7, 15, 23, 2, 10, 18, 6, 14, 22, 4, 12, 20, 8, 16, 24],
    ] {
        let found = labels(&sequence(printed.len() as u32)).unwrap();
        c.same(format!("{} bolts, as labelled", printed.len()), found, printed);
    }
}

fn rounds(c: &mut Cases) {
    c.from(Origin::Table, "Hennig flange instructions, 30, 60 and 100 % and once round").same(
        "three passes",
        passes(3),
        [0.3, 0.6, 1.0],
    );
    c.from(Origin::Memory, "ASME PCC-1, legacy: 20 to 30, 50 to 70, 100 %");
    let torques: Vec<f64> = pass_torques(Torque::from_nm(100.0), 3).iter().map(|t| t.nm()).collect();
    c.near("pass 1", torques[0], 25.0, 5.0)
        .near("pass 2", torques[1], 60.0, 10.0)
        .near("pass 3", torques[2], 100.0, 0.0);
}

/// Deviation of a setting wrench, type II class A: 4 % above 10 N·m and 6 % up to 10 N·m; checked from a fifth of its range.
fn tools(c: &mut Cases) {
    c.from(Origin::Table, "Facom S.325DA manual, review of ISO 6789");
    let nm = Torque::from_nm;
    c.near("share above 10 N·m", bench::torque_tool(nm(10.1)).unwrap().0, 0.04, 0.0);
    c.near("share up to 10 N·m", bench::torque_tool(nm(10.0)).unwrap().0, 0.06, 0.0);
    c.near("least of a 50 N·m wrench", wrench(nm(30.0), nm(50.0)).unwrap().least.nm(), 10.0, 1e-12);
    c.same("a tenth of its range", wrench(nm(5.0), nm(50.0)).is_ok(), false);
}

/// Seven and nine go by the rule of the star of five: no source prints them (common practice).
#[test]
fn odd_counts_are_stars() {
    assert_eq!(sequence(7), [1, 4, 7, 3, 6, 2, 5]);
    assert_eq!(sequence(9), [1, 5, 9, 4, 8, 3, 7, 2, 6]);
}
