//! Mounted bearings.

use runtrue::mechanics::bearing;
use runtrue::quantity::{Force, Length, Speed, Time};
use runtrue::standards::{bearings, drag, ring_screws};

use crate::case::{Case, Cases, Origin};

/// Part 6.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    life_factors(&mut c);
    worked(&mut c);
    axial(&mut c);
    seats(&mut c);
    friction(&mut c);
    set_screws(&mut c);
    sizes(&mut c);
    speeds(&mut c);
    c.done()
}

fn kn(value: f64) -> Force {
    Force::from_kn(value)
}

/// Largest speed by the class of the shaft, r/min.
fn speeds(c: &mut Cases) {
    c.from(Origin::Table, "PTI, bearing inserts, maximum permissible speed by shaft tolerance");
    for (insert, printed) in [
        ("UC204", [8500.0, 5300.0, 3800.0, 1300.0, 850.0]),
        ("UC205", [7000.0, 4500.0, 3200.0, 1000.0, 700.0]),
        ("UC206", [6300.0, 4000.0, 2800.0, 900.0, 630.0]),
    ] {
        for (class, rpm) in ["h6", "h7", "h8", "h9", "h11"].into_iter().zip(printed) {
            let (found, _) = bearings::limiting_speed(insert, class).unwrap();
            c.near(format!("{insert} on {class}"), found.rpm(), rpm, 0.0);
        }
    }
}

/// fh = fn·C/P, so C/P = fh/fn. Both are printed to three figures, which together may be 0.4 % off.
fn life_factors(c: &mut Cases) {
    c.from(Origin::Table, "HCH bearing pages, speed factor fn and life factor fh of ball bearings");
    for (rpm, fn_, hours, fh) in [
        (600.0, 0.382, 10_000.0, 2.71),
        (100.0, 0.693, 500.0, 1.00),
        (1000.0, 0.322, 20_000.0, 3.42),
        (900.0, 0.333, 12_000.0, 2.88),
        (1600.0, 0.275, 5_000.0, 2.15),
        (2000.0, 0.255, 8_000.0, 2.52),
        (5000.0, 0.188, 4_000.0, 2.00),
        (10.0, 1.49, 100.0, 0.585),
    ] {
        let needed = bearing::rating_needed(kn(1.0), Time::from_h(hours), Speed::from_rpm(rpm));
        c.share(format!("C/P for {hours} h at {rpm} r/min"), needed.kn(), fh / fn_, 0.004);
    }
}

/// Worked whole in their sources.
fn worked(c: &mut Cases) {
    c.from(Origin::Example, "lecture on rolling bearings, example 1: 6208, C 22.4 kN, 3.2 kN at 650 r/min");
    let life = bearing::life(kn(22.4), kn(3.2), Speed::from_rpm(650.0)).unwrap();
    c.near("million turns", life.h() * 650.0 * 60.0 / 1e6, 343.0, 0.5);
    c.near("hours", life.h(), 8795.0, 0.5);
    c.from(Origin::Example, "examination question: ball bearing, C 16 kN, load 2 kN");
    let turns = bearing::life(kn(16.0), kn(2.0), Speed::from_rpm(1e6 / 60.0)).unwrap();
    c.near("million turns", turns.h(), 512.0, 1e-9);
    // Shigley's table has Fa/C0 without f0; its rows are those of ISO 281 at f0 = 12.3. The outer ring turns: 1.2·Fr. The source
    // rounds Y from 1.5346 to 1.53, worth 0.014 kN.
    c.from(
        Origin::Example,
        "Shigley, chapter 11, 02-65 mm ball bearing (worked in a public notebook): Fr 7 kN, outer ring turning, Fa 3 kN, C0 34 kN",
    );
    let load = bearing::equivalent_load(kn(1.2 * 7.0), kn(3.0), kn(34.0), 12.3).unwrap();
    c.near("equivalent load, kN", load.kn(), 9.294, 0.015);
}

fn axial(c: &mut Cases) {
    c.from(Origin::Table, "FYH catalogue 3310, table 5.4");
    for (ratio, e, y) in [(0.172, 0.19, 2.30), (0.689, 0.26, 1.71), (2.07, 0.34, 1.31), (6.89, 0.44, 1.00)] {
        let f = bearings::axial_factors(ratio).unwrap();
        c.near(format!("e at {ratio}"), f.e, e, 1e-12);
        c.near(format!("Y at {ratio}"), f.y, y, 1e-12);
    }
    // The same factors by Fa/C0, at f0 = 12.3 within the rounding of that ratio.
    c.from(Origin::Memory, "Shigley, table 11-1: Fa/C0, e and Y");
    for (ratio, e, y) in [(0.021, 0.21, 2.15), (0.070, 0.27, 1.63), (0.110, 0.30, 1.45), (0.17, 0.34, 1.31)] {
        let f = bearings::axial_factors(ratio * 12.3).unwrap();
        c.near(format!("e at Fa/C0 {ratio}"), f.e, e, 0.01);
        c.near(format!("Y at Fa/C0 {ratio}"), f.y, y, 0.03);
    }
}

/// Shaft classes by load, bores of inserts.
fn seats(c: &mut Cases) {
    c.from(Origin::Table, "SKF, Y-bearing units, table 2: shaft tolerance by P/C");
    for (share, class) in [(0.06, "h6"), (0.05, "h7"), (0.036, "h7"), (0.035, "h8"), (0.021, "h8"), (0.02, "h9")] {
        c.same(format!("P/C {share}"), bearings::shaft_class(share).unwrap().0, class);
    }
    c.from(Origin::Table, "NTN bearing units, table 3.1: bore of cylindrical inserts");
    for (bore, high) in [(15.0, 18.0), (20.0, 21.0), (30.0, 21.0), (35.0, 25.0), (50.0, 25.0)] {
        c.near(format!("bore {bore}"), bearings::bore_um(Length::from_mm(bore)).unwrap().0, high, 0.0);
    }
    c.from(Origin::Table, "GLD technical reference: radial clearance");
    for (bore, low, high) in [(20.0, 12.0, 28.0), (25.0, 12.0, 28.0), (35.0, 13.0, 33.0), (50.0, 14.0, 36.0)] {
        let found = bearings::clearance_um(Length::from_mm(bore)).unwrap();
        c.same(format!("clearance {bore}"), (found.low, found.high), (low, high));
    }
}

/// Friction torque by load and bore, as two public pages print the coefficients.
fn friction(c: &mut Cases) {
    let of = |mu: f64| bearing::friction_torque(Force::from_n(1000.0), Length::from_mm(25.0), mu).unwrap().nm();
    c.from(Origin::Table, "JTEKT/Koyo bearing knowledge, table 8-1: deep groove ball bearings 0.0010 to 0.0015");
    c.near("low", drag::ball().low, 0.0010, 0.0).near("high", drag::ball().high, 0.0015, 0.0);
    // roymech prints M = F·f·d/2 with f = 0.0015: 1000 N on a bore of 25 mm make 18.75 N·mm.
    c.from(Origin::Table, "roymech, rolling bearing friction: single row ball bearing, f = 0.0015, M = F·f·d/2");
    c.near("1000 N on 25 mm, N·mm", of(drag::ball().high) * 1000.0, 1000.0 * 0.0015 * 12.5, 1e-9);
}

/// Printed in kg-cm, whole tens.
fn set_screws(c: &mut Cases) {
    c.from(Origin::Table, "GLD technical reference: set screws, recommended torque (max), kg-cm");
    for (insert, kg_cm) in [("UC205", 50.0), ("UC208", 110.0), ("UC210", 210.0)] {
        let torques = ring_screws::torques(insert).unwrap();
        let gld = torques.iter().find(|t| t.source.contains("GLD")).unwrap();
        c.near(insert, gld.high / 0.098_066_5, kg_cm, 0.5);
    }
}

/// A second table of pillow blocks beside the one our data come from. It has 37 mm for P205, where ours has 36.5.
fn sizes(c: &mut Cases) {
    c.from(Origin::Table, "second public table of UCP pillow blocks: height, bolt distance");
    for (insert, h, j) in [
        ("UC204", 33.3, 95.0),
        ("UC206", 42.9, 121.0),
        ("UC207", 47.6, 127.0),
        ("UC208", 49.2, 137.0),
        ("UC209", 54.0, 146.0),
        ("UC210", 57.2, 159.0),
    ] {
        let unit = bearings::insert(insert).unwrap();
        c.same(insert, (unit.h, unit.j), (h, j));
    }
    let p205 = bearings::insert("UC205").unwrap();
    c.near("UC205 height, sources differ by half a millimetre", p205.h, 37.0, 0.5);
}
