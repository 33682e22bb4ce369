use super::*;
use crate::standards::bolting::embedding;
use crate::standards::threads::{class, thread};

const MM: fn(f64) -> Length = Length::from_mm;

/// VDI 2230-1 embedding: 11 µm on M12 costs 3.4 kN at a grip of 30 mm and 0.51 kN at 300 mm, sleeve 40/13.5 mm.
#[test]
fn a_long_rod_loses_less() {
    let m12 = thread("M12").unwrap();
    let loss = |grip: f64| {
        let sleeve = sleeve_resilience(MM(grip), MM(40.0), MM(13.5), Stress::from_gpa(205.0)).unwrap();
        settling_loss(MM(0.011), rod_resilience(m12, MM(grip)).unwrap(), sleeve).unwrap().kn()
    };
    let (short, long) = (loss(30.0), loss(300.0));
    assert!((long - 0.51).abs() < 0.02, "{long}");
    assert!((short - 3.4).abs() < 0.15, "{short}");
}

#[test]
fn settling_counts_every_interface() {
    let smooth = embedding(MM(0.008)).unwrap();
    // Two threads of 3, two faces of 2.5, six interfaces of 1.5 µm: 20 µm.
    assert!((settling(&smooth, Faces::of_rod(6)).mm() - 0.020).abs() < 1e-12);
}

/// M8 x 35 in a collar, 19 mm of grip, 7 of them shank: 7/50.27 + 12/32.84 + 3.2/50.27 + 4/32.84 + 2.64/50.27 = 0.7428 over
/// 205000 is 3.623e-6 mm/N; 3 + 3 + 2·2 = 10 µm cost 2.76 kN of the 14.86 it is tightened to.
#[test]
fn a_pinch_bolt_loses_a_large_share_and_a_shorter_one_more() {
    let m8 = thread("M8").unwrap();
    let settled = settling(&embedding(MM(0.016)).unwrap(), Faces::of_screw(2));
    assert!((settled.mm() - 0.010).abs() < 1e-12);
    let loss = |grip: f64| {
        let bolt = bolt_resilience(m8, MM(grip), MM(7.0)).unwrap();
        settling_loss(settled, bolt, Resilience::RIGID).unwrap().kn()
    };
    assert!((loss(19.0) - 2.760).abs() < 2e-3, "{}", loss(19.0));
    assert!(loss(9.0) > loss(19.0) && loss(19.0) > loss(40.0));
}

#[test]
fn what_is_no_number_is_refused() {
    let m8 = thread("M8").unwrap();
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(bolt_resilience(m8, MM(bad), MM(0.0)).is_err() && bolt_resilience(m8, MM(20.0), MM(bad)).is_err());
        let rod = rod_resilience(m8, MM(80.0)).unwrap();
        assert!(settling_loss(MM(bad), rod, Resilience::RIGID).is_err());
        assert!(nut_turn(m8, Force::from_n(bad), rod, rod).is_err());
        assert!(torsion(m8, Force::from_n(bad), 0.12, MM(80.0)).is_err());
        assert!(torsion(m8, Force::from_n(1.0), bad, MM(80.0)).is_err());
        assert!(sleeve_resilience(MM(80.0), MM(bad), MM(9.0), steel().0).is_err());
        assert!(sleeve_resilience(MM(80.0), MM(20.0), MM(9.0), Stress::from_mpa(bad)).is_err());
    }
    assert!(settling_loss(MM(0.01), Resilience::RIGID, Resilience::RIGID).is_err());
}

#[test]
fn twist_goes_with_length_and_stress_does_not() {
    let m8 = thread("M8").unwrap();
    let at = |l: f64| torsion(m8, Force::from_kn(12.0), 0.12, MM(l)).unwrap();
    assert!((at(200.0).twist / at(100.0).twist - 2.0).abs() < 1e-12);
    assert_eq!(at(200.0).equivalent, at(100.0).equivalent);
    assert!(torsion(m8, Force::from_kn(12.0), 0.12, MM(0.0)).is_err());
}

#[test]
fn at_the_permitted_equivalent_stress_little_yield_is_left() {
    let (m10, strength) = (thread("M10").unwrap(), class("8.8", MM(10.0)).unwrap());
    let full = super::super::fastener::preload_by_equivalent(m10, strength.yield_strength, 0.9, 0.12).unwrap();
    // The permit counts torsion plastically (factor 1.5), this one elastically (2). By hand, with d2/ds = 1.0504 and
    // P/(π·d2) + 1.155·0.12 = 0.1915: 0.9·sqrt(1 + 3·0.4023²)/sqrt(1 + 3·0.3017²) = 0.9·1.2188/1.1282 = 0.972.
    let used = yield_use(m10, &strength, full, 0.12).unwrap();
    assert!((used - 0.972).abs() < 0.001, "{used}");
    assert!(yield_use(m10, &strength, Force::from_n(-1.0), 0.12).is_err());
}

#[test]
fn one_to_three_threads_stand_out() {
    let m8 = thread("M8").unwrap();
    assert_eq!(protrusion(m8, MM(2.5)).unwrap(), 2.0);
    assert!(protrusion(m8, MM(1.25)).is_ok() && protrusion(m8, MM(3.75)).is_ok());
    assert!(protrusion(m8, MM(1.0)).is_err() && protrusion(m8, MM(4.0)).is_err());
    assert!(protrusion(m8, MM(f64::NAN)).is_err());
}

#[test]
fn a_sleeve_no_wider_than_its_hole_is_refused() {
    let e = Stress::from_gpa(206.0);
    assert!(sleeve_resilience(MM(80.0), MM(9.0), MM(9.0), e).is_err());
    assert!(sleeve_resilience(MM(0.0), MM(20.0), MM(9.0), e).is_err());
    assert!(rod_resilience(thread("M8").unwrap(), MM(f64::NAN)).is_err());
}
