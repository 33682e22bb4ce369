//! Numbers against published ones. The source stands beside each value; the tolerance is the rounding of its print.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::collections::BTreeMap;

use runtrue::mechanics::belt::Drive;
use runtrue::mechanics::{bearing, fastener, ream, rotor};
use runtrue::module::{Setup, embedded, read};
use runtrue::procedure::Figures;
use runtrue::quantity::{Force, Inertia, Length, Mass, Speed, Stress};
use runtrue::standards::{iso286, threads};

/// Stress areas printed in ISO 898-1 (from memory), rounded to three figures there.
#[test]
fn stress_areas() {
    for (size, printed, half) in [
        ("M3", 5.03, 0.005),
        ("M4", 8.78, 0.005),
        ("M5", 14.2, 0.05),
        ("M6", 20.1, 0.05),
        ("M8", 36.6, 0.05),
        ("M10", 58.0, 0.05),
        ("M12", 84.3, 0.05),
        ("M14", 115.0, 0.5),
        ("M16", 157.0, 0.5),
        ("M20", 245.0, 0.5),
        ("M24", 353.0, 0.5),
    ] {
        let area = threads::thread(size).unwrap().stress_area_mm2();
        assert!((area - printed).abs() <= half, "{size}: {area} against {printed}");
    }
}

/// Bolt M12 8.8 at friction 0.14 and 90 % of yield: 41.9 kN (a maker's worked example of VDI 2230-1:2015), printed to 0.1.
/// The reference states 41.98 for the formula; the print rounds down.
#[test]
fn preload_by_equivalent_stress() {
    let m12 = threads::thread("M12").unwrap();
    let f = fastener::preload_by_equivalent(m12, Stress::from_mpa(640.0), 0.9, 0.14).unwrap();
    assert!((f.kn() - 41.9).abs() < 0.1, "{}", f.kn());
    // Stainless A2-70, 90 % of 450 MPa (a maker's table after VDI 2230): friction 0.1: M8 13.4 kN, M10 21.3 kN, read to 1.2 %.
    for (size, printed) in [("M5", 5.2), ("M6", 7.3), ("M8", 13.4), ("M10", 21.3)] {
        let f = fastener::preload_by_equivalent(threads::thread(size).unwrap(), Stress::from_mpa(450.0), 0.9, 0.10)
            .unwrap();
        assert!((f.kn() / printed - 1.0).abs() < 0.012, "{size}: {}", f.kn());
    }
}

/// Torques of hexagon head bolts 8.8, friction 0.12, 90 % of 640 MPa (a published table of coarse threads), printed to
/// the nearest unit from M10 on; bearing and hole diameters of the table are not stated, hence 1.5 %.
#[test]
fn torques_by_friction() {
    for (size, printed) in
        [("M5", 5.9), ("M6", 10.1), ("M8", 24.6), ("M10", 48.0), ("M12", 84.0), ("M14", 133.0), ("M16", 206.0)]
    {
        let thread = threads::thread(size).unwrap();
        let f = fastener::preload_by_equivalent(thread, Stress::from_mpa(640.0), 0.9, 0.12).unwrap();
        let t = fastener::torque(thread, f, 0.12, 0.12).unwrap();
        assert!((t.nm() / printed - 1.0).abs() < 0.015, "{size}: {} against {printed}", t.nm());
    }
}

/// ISO 286-2 limits in µm as printed in catalogue tables (a catalogue table of tolerances for K7, N7, H11; SKF table 3a for
/// h6..h9; Dormer for H7), lower then upper.
#[test]
fn limits_of_size() {
    for (class, size, lower, upper) in [
        ("H7", "25", 0, 21),
        ("H7", "50", 0, 25),
        ("H7", "3", 0, 10),
        ("H7", "18", 0, 18),
        ("H8", "30", 0, 33),
        ("H11", "80", 0, 190),
        ("h6", "25", -13, 0),
        ("h7", "40", -25, 0),
        ("h9", "60", -74, 0),
        ("h11", "100", -220, 0),
        ("g6", "25", -20, -7),
        ("f7", "25", -41, -20),
        ("k6", "25", 2, 15),
        ("m6", "12", 7, 18),
        ("n6", "60", 20, 39),
        ("p6", "100", 37, 59),
        ("K7", "25", -15, 6),
        ("N7", "25", -28, -7),
        ("P7", "25", -35, -14),
        ("G7", "25", 7, 28),
        ("F7", "25", 20, 41),
        ("K7", "2", -10, 0),
    ] {
        let d = iso286::class(class, size.parse().unwrap()).unwrap();
        assert_eq!((d.lower_um, d.upper_um), (lower.into(), upper.into()), "{class} {size}");
    }
}

/// Reamer limits for H7 holes, DIN 1420 table as printed by Dormer, µm lower and upper.
#[test]
fn reamer_limits() {
    for (size, lower, upper) in [
        ("3", "3.004", "3.008"),
        ("6", "6.005", "6.010"),
        ("10", "10.006", "10.012"),
        ("18", "18.008", "18.015"),
        ("25", "25.009", "25.017"),
        ("50", "50.012", "50.021"),
        ("80", "80.014", "80.025"),
    ] {
        let (a, b) = ream::reamer("H7", size.parse().unwrap()).unwrap();
        assert_eq!((a.to_string(), b.to_string()), (lower.to_owned(), upper.to_owned()), "{size}");
    }
}

/// Cross patterns of ASME PCC-1 (legacy, table 4 of older editions) as printed on flange work sheets for 4 to 24 bolts.
#[test]
fn tightening_orders() {
    use runtrue::mechanics::tightening::sequence;
    let printed: [&[u32]; 6] = [
        &[1, 3, 2, 4],
        &[1, 5, 3, 7, 2, 6, 4, 8],
        &[1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12],
        &[1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16],
        &[1, 11, 6, 16, 3, 13, 8, 18, 5, 15, 10, 20, 2, 12, 7, 17, 4, 14, 9, 19],
        &[1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20, 5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24],
    ];
    for order in printed {
        assert_eq!(sequence(order.len() as u32), order);
    }
    // Five-bolt star, every other bolt (a bicycle chainring page); seven and nine by the same rule.
    assert_eq!(sequence(5), [1, 3, 5, 2, 4]);
    assert_eq!(sequence(7), [1, 4, 7, 3, 6, 2, 5]);
    assert_eq!(sequence(9), [1, 5, 9, 4, 8, 3, 7, 2, 6]);
}

/// The centre distance of two V-belt pulleys by exact geometry: 311.46 mm, where one public library gives 310.73 by an
/// approximation; and the approximate closed form L = 2C + π/2(D+d) + (D−d)²/4C, which is short by 0.48 mm at 50/200/180.
#[test]
fn belt_geometry() {
    let mm = Length::from_mm;
    let drive = Drive { small: mm(50.0), large: mm(200.0), centre: mm(180.0) };
    let closed = 2.0 * 180.0 + std::f64::consts::FRAC_PI_2 * 250.0 + 150.0_f64.powi(2) / (4.0 * 180.0);
    assert!((drive.length().mm() - closed - 0.48).abs() < 0.005, "{}", drive.length().mm() - closed);
    let back = Drive::from_length(mm(50.0), mm(200.0), drive.length()).unwrap();
    assert!((back.centre.mm() - 180.0).abs() < 1e-9);
}

/// HCH bearing pages: life factor fh = (L10h/500)^(1/3); L10h 10 000 h has fh 2.71; speed factor at 600 rpm is 0.382.
#[test]
fn bearing_life() {
    // fh = fn·C/P, so C/P = 2.71/0.382 gives 10 000 h at 600 rpm within the rounding of the two factors.
    let ratio = 2.71 / 0.382;
    let life = bearing::life(Force::from_kn(10.0), Force::from_kn(10.0 / ratio), Speed::from_rpm(600.0)).unwrap();
    assert!((life.h() / 10_000.0 - 1.0).abs() < 0.015, "{}", life.h());
}

/// Khurmi, Theory of Machines, example 16.2: 2500 kg at a radius of gyration of 1 m, 1500 N·m for 10 s from rest: 45 kJ.
#[test]
fn energy_of_a_flywheel() {
    let inertia = Inertia::from_kgm2(2500.0);
    let omega = 1500.0 / 2500.0 * 10.0;
    let energy = rotor::energy(inertia, Speed::from_rpm(omega * 30.0 / std::f64::consts::PI));
    assert!((energy.j() - 45_000.0).abs() < 0.5);
}

/// Energy-Tech: G 2.5, 1000 lb, 15 000 rpm: 1.0 oz·in. One ounce-inch is 28.349523125 g × 25.4 mm.
#[test]
fn permissible_unbalance() {
    let u = rotor::permissible_unbalance(2.5, Mass::from_kg(453.592_37), Speed::from_rpm(15_000.0));
    assert!((u.gmm() / (28.349_523_125 * 25.4) - 1.0).abs() < 0.05, "{}", u.gmm());
}

/// Critical speeds against ross-rotordynamics (PyPI, Euler-Bernoulli elements, bearings 1e10 N/m) and the closed form of a
/// bare shaft, in Hz as printed there to three places.
#[test]
fn critical_speeds() {
    use runtrue::mechanics::rotor::Ring;
    use runtrue::mechanics::whirl::{Lump, Rotor, critical};
    use runtrue::quantity::{Density, Stiffness};
    let steel = Density::from_kg_m3(7850.0);
    let rotor = |length: f64, diameter: f64, bearings: [f64; 2], lumps: Vec<Lump>| Rotor {
        length: Length::from_m(length),
        diameter: Length::from_m(diameter),
        density: steel,
        elastic: Stress::from_gpa(206.0),
        bearings: bearings.map(Length::from_m),
        stiffness: Stiffness::from_n_per_m(1e10),
        lumps,
    };
    let hz = |r: &Rotor| critical(r).unwrap().standstill.iter().map(|s| s.rpm() / 60.0).collect::<Vec<_>>();
    let near =
        |found: f64, printed: f64, within: f64| assert!((found - printed).abs() <= within, "{found} against {printed}");
    let one = hz(&rotor(1.0, 0.025, [0.0, 1.0], vec![]));
    near(one[0], 50.292, 0.001);
    near(one[1], 201.162, 0.005);
    let two = hz(&rotor(
        0.8,
        0.030,
        [0.0, 0.8],
        vec![Lump { at: Length::from_m(0.4), mass: Mass::from_kg(15.0), tilt: 0.05, polar: 0.10 }],
    ));
    near(two[0], 33.667, 0.001);
    near(two[1], 218.064, 0.005);
    let mm = Length::from_mm;
    let disc = Ring::plain(mm(300.0), mm(30.0), mm(10.0));
    let pulley = Ring::plain(mm(100.0), mm(30.0), mm(25.0));
    let lump = |x: f64, ring: &Ring| Lump {
        at: mm(x),
        mass: ring.mass(steel),
        tilt: ring.tilt_kgm2(steel),
        polar: ring.inertia(steel).kgm2(),
    };
    let mut lumps: Vec<Lump> = [200.0, 250.0, 300.0, 350.0, 400.0].iter().map(|x| lump(*x, &disc)).collect();
    lumps.push(lump(620.0, &pulley));
    let three = rotor(0.65, 0.030, [0.10, 0.50], lumps);
    near(hz(&three)[0], 78.010, 0.002);
    near(hz(&three)[1], 232.994, 0.01);
    // Forward synchronous whirl: 86.963 there, with gyroscopic terms of the shaft that are left out here (0.04 %).
    near(critical(&three).unwrap().forward[0].rpm() / 60.0, 86.963, 0.05);
    let soft = |k: f64| hz(&Rotor { stiffness: Stiffness::from_n_per_m(k), ..three.clone() })[0];
    near(soft(1e8), 77.0848, 0.002);
    near(soft(1e7), 69.1829, 0.002);
}

/// Three figures of the demo, worked by hand.
///
/// Rod length: 5 discs of 8 mm and 2 collars of 20 mm are 80 mm; 2 washers of 1.6, 2 nuts of 6.8, 2 thin nuts of 4 are
/// 24.8; one pitch of 1.25 at both ends is 2.5. In all 107.3 mm.
///
/// Centre: 250 and 140 mm effective, belt 1600. First guess (1600 − π/2·390)/2 = 493.69; less (110²/8)/493.69 = 3.06:
/// 490.63; the exact length there is 2·490.63·cos γ + π/2·390 + 110·γ with γ = asin(55/490.63) = 0.112336 rad:
/// 975.07 + 612.61 + 12.36 = 1600.04, so 0.02 less: 490.6 mm.
///
/// Torque: proof load of M8 8.8 is 580·36.61 = 21.23 kN; 60 % are 12.74 kN. Arm at friction 0.12:
/// 0.159·1.25 + 0.578·7.188·0.12 + (11.63 + 9)/4·0.12 = 0.1988 + 0.4986 + 0.6189 = 1.3163 mm; 12.74 kN × 1.3163 mm = 16.8 N·m.
#[test]
fn three_figures_of_the_demo_worked_by_hand() {
    let module = read(&embedded("flywheel").unwrap()).unwrap();
    let f = Figures::of(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
    assert!((f.rod_needed.0.mm() - 107.3).abs() < 0.05);
    assert!((f.drive.centre.mm() - 490.6).abs() < 0.05, "{}", f.drive.centre.mm());
    assert!((f.rod.torque.nm() - 16.8).abs() < 0.05, "{}", f.rod.torque.nm());
}
