//! V-ribbed belts and their pulleys.

use runtrue::mechanics::belt::Drive;
use runtrue::mechanics::belt_tension as tension;
use runtrue::mechanics::groove::Pulley;
use runtrue::quantity::{Angle, Force, Length};
use runtrue::standards::{belts, ribs};

use crate::case::{Case, Cases, Origin};
use crate::oracle;

/// Part 5.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    lengths(&mut c);
    hub_loads(&mut c);
    forces(&mut c);
    travel(&mut c);
    pulleys(&mut c);
    c.done()
}

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

/// The perimeter of the hull of two circles. 4096 chords a quarter leave 2.5e-8 of the arcs, under 0.00005 mm here.
fn lengths(c: &mut Cases) {
    let printed = oracle::values("belt_length");
    c.from(Origin::Library, "Shapely 2.2.0, perimeter of the convex hull of two circles");
    for row in printed.as_array().unwrap() {
        let of = |key: &str| row[key].as_f64().unwrap();
        let drive = Drive::from_centre(mm(of("small")), mm(of("large")), mm(of("centre"))).unwrap();
        let name = format!("length at {} {} {}", of("small"), of("large"), of("centre"));
        c.near(name, drive.length().mm(), of("length"), 5e-5);
    }
}

/// A belt maker's report of an accessory drive, page 8: wrap, tension of both strands, load on the hub, printed in whole newtons.
/// Strands rounded to 0.5 N each and the wrap to 0.05° move the load by up to 2 N.
fn hub_loads(c: &mut Cases) {
    c.from(
        Origin::Example,
        "Gates, accessory belt drive report AG00976 (2025), pages 2 and 8, 880 r/min, as quoted in public notes",
    );
    for (name, before, after, wrap, printed) in [
        ("first", 544.0, 1381.0, 156.2, 1892.0),
        ("second", 1381.0, 1380.0, 52.8, 1228.0),
        ("third", 1380.0, 1023.0, 198.4, 2373.0),
        ("fourth", 1023.0, 1022.0, 64.3, 1089.0),
        ("fifth", 1022.0, 545.0, 157.1, 1539.0),
        ("sixth", 545.0, 544.0, 34.6, 324.0),
    ] {
        let load = tension::hub_load(Force::from_n(after), Force::from_n(before), Angle::from_deg(wrap));
        c.near(format!("{name} pulley"), load.n(), printed, 2.0);
    }
}

/// Printed in pounds a rib to one decimal.
fn forces(c: &mut Cases) {
    c.from(Origin::Table, "ContiTech/Goodyear power transmission manual (2015), p. 31: force a rib at span/64");
    for (profile, inches, pounds) in [
        ("PJ", 1.32, 0.4),
        ("PJ", 1.65, 0.4),
        ("PJ", 1.80, 0.5),
        ("PJ", 2.20, 0.5),
        ("PJ", 2.50, 0.6),
        ("PJ", 2.95, 0.6),
        ("PL", 3.00, 1.7),
        ("PL", 4.00, 2.1),
        ("PL", 5.25, 2.5),
        ("PM", 7.50, 6.4),
        ("PM", 10.0, 7.7),
        ("PM", 14.0, 8.8),
    ] {
        let (force, _) = ribs::deflection_force(profile, mm(inches * 25.4)).unwrap();
        c.near(format!("{profile} {inches} in"), force.n() / 4.448_222, pounds, 0.05);
    }
}

fn travel(c: &mut Cases) {
    c.from(Origin::Example, "ContiTech/Goodyear power transmission manual (2015), p. 30: belt 220J8");
    let (inward, outward) = belts::allowance("PJ", mm(22.0 * 25.4)).unwrap();
    // Half an inch each way; our table keeps whole millimetres.
    c.near("220J8 below nominal", inward.mm(), 12.7, 0.5);
    c.near("220J8 above nominal", outward.mm(), 12.7, 0.5);
    c.from(Origin::Table, "public belt table back-checked against maker's reports: PK, pitch less effective length");
    let drive = Drive::from_length(mm(63.0), mm(160.0), mm(1715.0)).unwrap();
    c.near("PK, 2π·hb", (drive.pitch_length(mm(1.2)) - drive.length()).mm(), 7.54, 0.005);
}

/// Size over balls of a pulley of 200 mm, and the edges of its face.
fn pulleys(c: &mut Cases) {
    c.from(Origin::Table, "ISO 9982:2021, table 2: balls, 2x, pitch, edge");
    for (name, ball, two_x, pitch, edge) in [
        ("PH", 1.00, 0.11, 1.60, 1.30),
        ("PJ", 1.50, 0.23, 2.34, 1.80),
        ("PK", 2.50, 0.99, 3.56, 2.50),
        ("PL", 3.50, 2.36, 4.70, 3.30),
        ("PM", 7.00, 4.53, 9.40, 6.40),
    ] {
        let pulley = Pulley::new(name, mm(200.0)).unwrap();
        c.near(format!("{name} ball"), pulley.profile.ball.mm(), ball, 0.0);
        c.near(format!("{name} over balls"), pulley.over_balls().mm(), 200.0 + two_x, 1e-9);
        c.near(format!("{name} face of 8"), pulley.face_width(8).mm(), 7.0 * pitch + 2.0 * edge, 1e-9);
    }
}

/// The approximate closed form L = 2C + π/2(D+d) + (D−d)²/4C is short by 0.48 mm at 50/200/180.
#[test]
fn the_exact_length_is_above_the_closed_form() {
    let drive = Drive::from_centre(mm(50.0), mm(200.0), mm(180.0)).unwrap();
    let closed = 2.0 * 180.0 + std::f64::consts::FRAC_PI_2 * 250.0 + 150.0_f64.powi(2) / (4.0 * 180.0);
    assert!((drive.length().mm() - closed - 0.48).abs() < 0.005, "{}", drive.length().mm() - closed);
    let back = Drive::from_length(mm(50.0), mm(200.0), drive.length()).unwrap();
    assert!((back.centre.mm() - 180.0).abs() < 1e-9);
}
