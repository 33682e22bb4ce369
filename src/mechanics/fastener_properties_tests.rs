use super::*;
use crate::mechanics::joint;
use crate::standards::threads::{sizes, thread};
use proptest::prelude::*;

/// What is no force, length or friction at all.
fn bad() -> impl Strategy<Value = f64> {
    prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY), -1e6..-1e-6]
}

fn any_thread() -> impl Strategy<Value = &'static Thread> {
    prop::sample::select(sizes().collect::<Vec<_>>()).prop_map(|size| thread(size).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_125), ..ProptestConfig::default() })]

    #[test]
    fn torque_and_preload_are_inverses(t in any_thread(), kn in 0.1..200.0, mu in 0.04..0.40, head in 0.04..0.40) {
        let f = Force::from_kn(kn);
        let back = preload_from_torque(t, torque(t, f, mu, head).unwrap(), mu, head).unwrap();
        prop_assert!((back / f - 1.0).abs() < 1e-12);
    }

    #[test]
    fn more_friction_takes_more_torque_and_leaves_less_preload(t in any_thread(), a in 0.04..0.39, more in 0.001..0.01) {
        let (f, b) = (Force::from_kn(10.0), a + more);
        prop_assert!(torque(t, f, b, a).unwrap() > torque(t, f, a, a).unwrap());
        prop_assert!(torque(t, f, a, b).unwrap() > torque(t, f, a, a).unwrap());
        let left = |mu| preload_by_equivalent(t, Stress::from_mpa(640.0), 0.9, mu).unwrap();
        prop_assert!(left(b) < left(a));
    }

    #[test]
    fn no_number_and_no_sign_gets_through(t in any_thread(), bad in bad(), good in 0.1..50.0_f64) {
        let (f, m, mm) = (Force::from_kn, Torque::from_nm, Length::from_mm);
        prop_assert!(torque(t, f(bad), 0.12, 0.12).is_err() && torque(t, f(good), bad, 0.12).is_err());
        prop_assert!(preload_from_torque(t, m(bad), 0.12, 0.12).is_err());
        prop_assert!(torque_by_nut_factor(t, f(bad), 0.2).is_err() && torque_by_nut_factor(t, f(good), bad).is_err());
        prop_assert!(nut_factor(t, f(bad), m(good)).is_err() && nut_factor(t, f(good), m(bad)).is_err());
        prop_assert!(least_preload(f(bad), 2.0).is_err() && least_preload(f(good), bad).is_err());
        for (f, m, mu, scatter, tool) in
            [(bad, good, 0.2, 2.0, 0.04), (good, bad, 0.2, 2.0, 0.04), (good, good, bad, 2.0, 0.04),
             (good, good, 0.2, bad, 0.04), (good, good, 0.2, 2.0, bad)]
        {
            let least = least_preload_over(t, Force::from_kn(f), Torque::from_nm(m), mu, scatter, tool);
            prop_assert!(least.is_err());
        }
        prop_assert!(elongation(t, f(bad), mm(80.0)).is_err() && elongation(t, f(good), mm(bad)).is_err());
        prop_assert!(elongation_of(t, f(good), mm(80.0), Stress::from_mpa(bad)).is_err());
        prop_assert!(preload_by_equivalent(t, Stress::from_mpa(bad), 0.9, 0.12).is_err());
    }

    #[test]
    fn more_friction_or_scatter_never_leaves_more(t in any_thread(), mu in 0.04..0.38, more in 0.0..0.02, tool in 0.0..0.06) {
        let f = Force::from_kn(10.0);
        let set = torque(t, f, 0.04, 0.04).unwrap();
        let left = |mu, scatter, tool| least_preload_over(t, f, set, mu, scatter, tool).unwrap();
        prop_assert!(left(mu + more, 1.6, tool) <= left(mu, 1.6, tool));
        prop_assert!(left(mu, 2.0, tool) <= left(mu, 1.6, tool));
        prop_assert!(left(mu, 1.6, tool) <= left(mu, 1.6, 0.0) && left(mu, 1.6, tool) <= f / 1.6);
    }

    #[test]
    fn a_longer_rod_turns_further_and_settles_away_less(t in any_thread(), grip in 10.0..400.0, more in 1.0..100.0) {
        let of = |mm: f64| {
            let (grip, f) = (Length::from_mm(mm), Force::from_kn(5.0));
            let rod = joint::rod_resilience(t, grip).unwrap();
            let outer = Length::from_mm(t.washer_outer);
            let sleeve = joint::sleeve_resilience(grip, outer, Length::from_mm(t.hole), joint::steel().0).unwrap();
            (joint::nut_turn(t, f, rod, sleeve).unwrap(), joint::settling_loss(Length::from_mm(0.01), rod, sleeve).unwrap())
        };
        let ((turn, loss), (further, less)) = (of(grip), of(grip + more));
        prop_assert!(further > turn && less < loss);
    }
}
