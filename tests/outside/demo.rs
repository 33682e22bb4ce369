//! The demo, worked by hand.

use std::collections::BTreeMap;

use runtrue::module::{Setup, embedded, read};
use runtrue::procedure::Figures;

/// Four figures of the demo, worked by hand.
///
/// Rod length: 5 discs of at most 8.2 mm and 2 collars of at most 20.1 mm are 81.2 mm; 2 washers of 1.6 and 4 nuts of 6.8 are 30.4;
/// one pitch of 1.25 at both ends is 2.5. In all 114.1 mm.
///
/// Centre: 250 and 140 mm effective, belt 1600. First guess (1600 − π/2·390)/2 = 493.69; less (110²/8)/493.69 = 3.06:
/// 490.63; the exact length there is 2·490.63·cos γ + π/2·390 + 110·γ with γ = asin(55/490.63) = 0.112336 rad:
/// 975.07 + 612.61 + 12.36 = 1600.04, so 0.02 less: 490.6 mm.
///
/// Torque: proof load of M8 8.8 is 580·36.61 = 21.23 kN; 60 % are 12.74 kN. Arm at friction 0.12:
/// 0.159·1.25 + 0.578·7.188·0.12 + (11.63 + 9)/4·0.12 = 0.1988 + 0.4986 + 0.6189 = 1.3163 mm; 12.74 kN × 1.3163 mm = 16.8 N·m.
///
/// Slip of the sliding collar: M10 10.9 at 70 % is 0.7·830·57.99 = 33.69 kN, half of it by the scatter 2.0: 16.85 kN. Its grip is
/// 45 − 20 = 25 mm, 13 of it shank: 13/78.54 + 12/52.29 + 4/78.54 + 5/52.29 + 3.3/78.54 = 0.5836, over 205 000 N/mm² 2.847e-6 mm/N;
/// thread 3, head 3 and two faces of 2 µm settle 10 µm, which cost 3.51 kN. Two bolts keep 26.67 kN. The rods at 30 % press a half
/// with 0.3·6·12.74/2 = 11.47 kN; two clean dry faces at 0.74 take 16.97 kN. 9.70 kN are left, 0.10·9.70 kN·25 mm = 24.25 N·m, 1.62
/// times 15 N·m.
#[test]
fn four_figures_of_the_demo_worked_by_hand() {
    let module = read(&embedded("flywheel").unwrap()).unwrap();
    let f = Figures::of(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
    let stack = f.stack.as_ref().unwrap();
    assert!((stack.rod_needed.0.mm() - 114.1).abs() < 0.05);
    assert!((f.drives[0].drive.centre.mm() - 490.6).abs() < 0.05, "{}", f.drives[0].drive.centre.mm());
    assert!((stack.rod.torque.nm() - 16.8).abs() < 0.05, "{}", stack.rod.torque.nm());
    let (safety, at) = f.slip(&module);
    assert!((safety - 1.62).abs() < 0.01 && at.contains("sliding collar"), "{safety} {at}");
    assert!((stack.pinch.least.kn() - 13.33).abs() < 0.01, "{}", stack.pinch.least.kn());
}

/// Slip of the run-in belt at the smallest step, 80 mm: centre 534.0, wrap 180° − 2·asin((250 − 80)/(2·534.0)) = 180° − 18.3° = 161.7°;
/// tensions stand as 4^(161.7/180) = 3.474 at slip; 2·(3.474 − 1)/(3.474 + 1) = 1.106 times 6·44 N on 40 mm: 11.7 N·m. At 140 mm and
/// 490.6: wrap 167.1°, 3.623, 1.135 times 264 N on 70 mm: 21.0 N·m. So only the small step gives way before 15 N·m.
#[test]
fn the_belt_gives_way_first_at_the_smallest_step() {
    let module = read(&embedded("flywheel").unwrap()).unwrap();
    let at = |step: &str| {
        let setup = Setup::choose(&module, &[("pulley".to_owned(), step.to_owned())].into()).unwrap();
        Figures::of(&module, &setup).unwrap().drives[0].slips_at().nm()
    };
    assert!((at("fast") - 11.7).abs() < 0.05 && (at("slow") - 21.0).abs() < 0.05, "{} {}", at("fast"), at("slow"));
    let setups = runtrue::procedure::design_check::check(&module).findings;
    let told: Vec<_> = setups.iter().filter(|f| f.id == "belt-slip").map(|f| f.setup.clone().unwrap()).collect();
    assert!(told.len() == 5 && told.iter().all(|s| s.contains("fast")), "{told:?}");
}
