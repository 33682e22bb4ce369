//! Mass, energy, stress, critical speeds.

use runtrue::mechanics::rotor;
use runtrue::quantity::{Inertia, Length, Mass, Speed, Stress};

use crate::case::{Case, Cases, Origin};

/// Part 7.
pub fn cases() -> Vec<Case> {
    let mut c = Cases::new();
    let omega = 1500.0 / 2500.0 * 10.0;
    let energy = rotor::energy(Inertia::from_kgm2(2500.0), Speed::from_rpm(omega * 30.0 / std::f64::consts::PI)).j();
    c.from(Origin::Example, "Khurmi, Theory of Machines, example 16.2: 2500 kg at 1 m, 1500 N·m for 10 s")
        .near("energy", energy, 45_000.0, 0.5);
    c.done()
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
