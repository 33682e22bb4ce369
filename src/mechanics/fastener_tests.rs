use super::*;
use crate::standards::threads::{class, thread};

#[test]
fn torque_grows_with_friction_and_preload() {
    let m8 = thread("M8").unwrap();
    let t = |f: f64, mu: f64| torque(m8, Force::from_kn(f), mu, mu).unwrap().nm();
    assert!(t(10.0, 0.14) > t(10.0, 0.10) && t(12.0, 0.10) > t(10.0, 0.10));
}

/// By hand, M8 at 0.12: 1.3163 mm over 8 mm is K 0.1645, the "0.15 lubricated to 0.20 dry" of the handbooks.
#[test]
fn the_nut_factor_of_the_friction_form_is_that_of_the_handbooks() {
    let m8 = thread("M8").unwrap();
    let f = Force::from_kn(12.0);
    let k = nut_factor(m8, f, torque(m8, f, 0.12, 0.12).unwrap()).unwrap();
    assert!((k - 0.1645).abs() < 5e-5, "{k}");
    assert!((torque_by_nut_factor(m8, f, 0.1645).unwrap().nm() - 15.79).abs() < 0.005);
}

#[test]
fn shares_of_the_torque_make_a_whole_and_friction_changes_undo_each_other() {
    for size in ["M6", "M8x1", "M24"] {
        let t = thread(size).unwrap();
        let s = split(t, 0.10, 0.16).unwrap();
        assert!((s.preload + s.thread + s.head - 1.0).abs() < 1e-12, "{size}");
        let there = friction_change(t, (0.12, 0.12), (0.20, 0.12)).unwrap();
        let back = friction_change(t, (0.20, 0.12), (0.12, 0.12)).unwrap();
        assert!(there > 1.0 && (there * back - 1.0).abs() < 1e-12, "{size}");
    }
    assert!(scatter_band(0.9).is_err() && scatter_band(f64::NAN).is_err());
}

#[test]
fn what_no_source_covers_is_refused() {
    let m8 = thread("M8").unwrap();
    let c = class("8.8", Length::from_mm(8.0)).unwrap();
    assert!(preload_by_proof(m8, &c, 1.0).is_err());
    assert!(preload_by_proof(m8, &c, f64::NAN).is_err());
    assert!(torque(m8, Force::from_kn(1.0), 0.5, 0.1).is_err());
    assert!(least_preload_over(m8, Force::from_kn(1.0), Torque::from_nm(1.0), 0.16, 2.0, 1.0).is_err());
}

/// A narrow range leaves the tightening factor the lesser bound, a wide one the friction.
#[test]
fn the_least_preload_is_the_lesser_of_factor_and_friction() {
    let (m8, f) = (thread("M8").unwrap(), Force::from_kn(12.74));
    let set = torque(m8, f, 0.12, 0.12).unwrap();
    let at = |mu: f64| least_preload_over(m8, f, set, mu, 2.0, 0.04).unwrap().kn();
    // By hand at 0.16: 12.74·1.3163/1.6887·0.96 = 9.53 kN, above the 6.37 of the factor.
    assert!((at(0.16) - 6.37).abs() < 1e-9);
    // At 0.40: arm 0.1988 + 1.6619 + 2.0630 = 3.9237 mm, 12.74·1.3163/3.9237·0.96 = 4.103 kN.
    assert!((at(0.40) - 4.103).abs() < 2e-3);
}
