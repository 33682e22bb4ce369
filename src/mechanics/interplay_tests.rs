use super::*;

fn example() -> Stack {
    Stack {
        rods: Force::from_kn(89.2),
        pinch: Force::from_kn(16.3),
        shaft: Length::from_mm(25.0),
        circle: Length::from_mm(100.0),
        shortening: Length::from_mm(0.013),
    }
}

/// The whole example of a stack in one table: rods through the collars, closed at 30 % and at 100 %, low and high.
/// Forces from the tables: six M8 8.8 at 70 % of proof and two M6 8.8 the same.
#[test]
fn both_orders_of_the_example_come_from_the_tables() {
    use crate::mechanics::fastener::preload_by_proof;
    use crate::standards::threads::{class, thread};
    let all = |size: &str, count: f64| {
        let (t, c) = (thread(size).unwrap(), class("8.8", Length::from_mm(8.0)).unwrap());
        preload_by_proof(t, &c, 0.7).unwrap() * count
    };
    let (rods, pinch) = (all("M8", 6.0), all("M6", 2.0));
    assert_eq!(((rods.kn() * 10.0).round(), (pinch.kn() * 10.0).round()), (892.0, 163.0));
    let stack = Stack { rods, pinch, ..example() };
    // The example takes 0.20 for the high friction, what rolled faces have at least, and not that of clean dry ones.
    let high = Case { mu: 0.20, ..Case::high() };
    let at = |share, case| stack.outcome(Topology::ThroughCollars, share, case).unwrap();
    let percent = |x: f64| (x * 100.0).round();
    assert_eq!((percent(at(0.3, Case::low()).grip_lost), percent(at(0.3, high).grip_lost)), (8.0, 33.0));
    assert_eq!((percent(at(1.0, Case::low()).grip_lost), percent(at(1.0, high).grip_lost)), (27.0, 109.0));
    assert_eq!((percent(at(0.3, high).clamp_kept), percent(at(0.3, Case::low()).clamp_kept)), (92.0, 97.0));
    let whole = |case: Case| {
        (case.collar_torque(pinch, stack.shaft).nm().round(), case.stack_torque(rods, stack.circle).nm().round())
    };
    assert_eq!((whole(Case::low()), whole(high)), ((41.0, 446.0), (128.0, 892.0)));
    // Full rods first: in the high case nothing holds the shaft; the discs hold as they did.
    assert_eq!(at(1.0, high).collar.nm(), 0.0);
    assert_eq!(at(1.0, Case::low()).discs.nm().round(), 446.0);
    // The collar is the weak link in every case.
    for case in [Case::low(), high] {
        assert!(at(0.3, case).weakest() == at(0.3, case).collar);
    }
}

/// By hand, clean dry faces at 0.74 and rods at 30 %: 0.74·13.38·2 = 19.8 kN, more than the two M6 pinch with; 30 kN keep 10.2.
#[test]
fn clean_dry_faces_may_leave_a_weak_collar_no_grip() {
    let weak = example().worst(Topology::ThroughCollars, 0.3).unwrap();
    assert_eq!(((weak.grip_lost * 100.0).round(), weak.collar.nm()), (121.0, 0.0));
    let strong = Stack { pinch: Force::from_kn(30.0), ..example() }.worst(Topology::ThroughCollars, 0.3).unwrap();
    assert!((strong.grip_lost - 0.660).abs() < 5e-4 && (strong.collar.nm() - 25.5).abs() < 0.01);
    // What the gripped collar keeps off the discs: 2·π/2·0.74·10.20 = 23.7 of 89.2 kN, so 65.5 kN·0.10·50 mm are left.
    assert!((strong.discs.nm() - 327.4).abs() < 0.5, "{}", strong.discs.nm());
}

/// Through the collars the torque left falls with the rods' share; through end plates the gap does.
#[test]
fn the_two_arrangements_want_opposite_orders() {
    let passes = [0.3, 0.6, 1.0];
    let strong = Stack { pinch: Force::from_kn(40.0), ..example() };
    let worst = |topology, share| {
        let of = strong.worst(topology, share).unwrap();
        (of.weakest().nm(), of.gap.mm())
    };
    for pair in passes.windows(2) {
        assert!(worst(Topology::ThroughCollars, pair[0]).0 > worst(Topology::ThroughCollars, pair[1]).0);
        assert!(worst(Topology::ThroughEndPlates, pair[0]).1 > worst(Topology::ThroughEndPlates, pair[1]).1);
    }
    // Rods full first is the worst order through collars, the only one without a gap through end plates.
    assert_eq!(worst(Topology::ThroughCollars, 1.0).0, 0.0);
    assert_eq!(worst(Topology::ThroughEndPlates, 1.0), (worst(Topology::ThroughEndPlates, 0.3).0, 0.0));
}

#[test]
fn a_collar_takes_no_more_clamp_than_the_rods_still_gain() {
    let strong = Stack { pinch: Force::from_kn(500.0), ..example() };
    let at = |share| strong.outcome(Topology::ThroughCollars, share, Case::high()).unwrap().clamp_kept;
    assert!((at(0.9) - 0.9).abs() < 1e-12 && at(1.0) == 1.0 && at(0.0) == 0.0);
}

#[test]
fn shares_and_forces_out_of_range_are_refused() {
    let stack = example();
    for share in [-0.1, 1.1, f64::NAN] {
        assert!(stack.outcome(Topology::ThroughCollars, share, Case::low()).is_err());
    }
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let (n, mm) = (Force::from_n(bad), Length::from_mm(bad));
        for none in [
            Stack { rods: n, ..stack },
            Stack { pinch: n, ..stack },
            Stack { shaft: mm, ..stack },
            Stack { circle: mm, ..stack },
        ] {
            assert!(none.worst(Topology::ThroughEndPlates, 0.5).is_err(), "{none:?}");
        }
    }
    for bad in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(one_cut_pinch(Force::from_n(bad), Length::from_mm(80.0), Length::from_mm(20.0)).is_err());
        assert!(one_cut_pinch(Force::from_n(1.0), Length::from_mm(bad), Length::from_mm(20.0)).is_err());
        assert!(one_cut_pinch(Force::from_n(1.0), Length::from_mm(80.0), Length::from_mm(bad)).is_err());
    }
    assert!(stack.best(Topology::ThroughCollars, &[]).is_err());
}

#[test]
fn grip_never_falls_below_zero() {
    assert_eq!(Case::high().grip_left(Force::from_kn(1.0), Force::from_kn(500.0)).n(), 0.0);
}

#[test]
fn one_cut_with_the_bolt_at_the_far_edge_doubles() {
    let pinch = one_cut_pinch(Force::from_kn(8.0), Length::from_mm(100.0), Length::from_mm(50.0)).unwrap();
    assert!((pinch.ideal.kn() - 16.0).abs() < 1e-12 && pinch.sure.kn() == 8.0);
}
