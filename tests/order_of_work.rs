//! Before and after, written by hand from shop practice: none of these pairs is taken from the planner.
//!
//! Yardstick: mounting pages of bearing makers (housings before inner rings: AMI, Sealmaster G-252), belt makers'
//! installation pages (ContiTech/Goodyear 2012 p. 18 to 23), ASME PCC-1 (legacy passes), 29 CFR 1910.219 and 1910.147
//! (guards, lock-out), and common practice at the bench.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::collections::{BTreeMap, BTreeSet};

use runtrue::module::{Setup, embedded, read};
use runtrue::procedure::make_plan;
use runtrue::procedure::plan::Plan;

/// (before, after, why a fitter says so)
const PAIRS: [(&str, &str, &str); 49] = [
    ("adjust-pulley-plane", "tighten-hub-snug", "a locked hub cannot be moved into the plane"),
    ("inspect-instruments", "inspect-shaft", "instruments are checked before anything is measured"),
    ("inspect-disc-1", "deburr-disc-1", "a disc out of its limits goes back as it came"),
    ("deburr-disc-3", "ream-disc-3", "a burr tilts the disc under the reamer"),
    ("ream-disc-5", "clean-discs", "reaming leaves oil and chips"),
    ("inspect-pulley", "inspect-pulley-step-slow", "a burr in a groove reads false over balls"),
    ("inspect-pulley-step-slow", "clean-pulley", "balls and fingers leave oil"),
    ("mark-discs", "clean-discs", "marks exist before the parts are mixed"),
    ("mark-discs", "fit-disc-1", "places are known before the stack is loaded"),
    ("clean-discs", "fit-disc-1", "faces are bare and dry when they meet"),
    ("clean-shaft", "fit-collar-drive", "oil under a collar costs grip"),
    ("receive-rods", "fit-rods", "the class of the rods is known before they go in"),
    ("fit-collar-drive", "fit-disc-1", "the first collar goes on first"),
    ("fit-disc-1", "fit-disc-2", "discs go on in the order of the list"),
    ("fit-disc-5", "fit-collar-far", "the second collar follows the discs"),
    ("fit-collar-far", "fit-rods", "rods pass through everything at once"),
    ("fit-rods", "tighten-rods-hand", "all rods are entered before one is tightened"),
    ("tighten-rods-hand", "tighten-rods-snug", "fingers before the wrench"),
    ("tighten-rods-snug", "tighten-rods-pass-1", "passes rise"),
    ("tighten-rods-pass-1", "tighten-rods-pass-2", "passes rise"),
    ("tighten-rods-pass-2", "tighten-rods-final", "passes rise"),
    ("tighten-rods-final", "tighten-rods-circular", "the round comes after the cross"),
    ("measure-seating", "tighten-pinch-collar-far-final", "the sliding collar closes on a seated stack"),
    ("tighten-pinch-collar-far-final", "tighten-rods-final", "rods at full force would hold the halves apart"),
    ("tighten-rods-circular", "recheck-pinch-collar-far", "each pass shifts the pinch bolts"),
    ("tighten-rods-circular", "measure-stack", "the stack has its length at full torque"),
    ("recheck-rods", "prove-slip", "the proof is over final torques"),
    ("prove-slip", "fit-bearing-drive", "a slip is found while the stack is open"),
    ("measure-run-out", "fit-bearing-far", "run-out is read on V-blocks at the seats"),
    ("fit-pulley", "fit-bearing-drive", "what lies between the bearings goes on first"),
    ("hang-belt", "fit-bearing-drive", "an endless belt cannot pass a mounted bearing"),
    ("fit-bearing-far", "fit-rotor", "the rotor stands on its bearings"),
    ("measure-soft-foot-base", "tighten-base-bearing-drive-final", "a gap is shimmed, not pulled down"),
    ("tighten-base-bearing-drive-final", "tighten-set-bearing-drive-snug", "housings first, inner rings second"),
    ("tighten-base-bearing-far-final", "tighten-set-bearing-far-snug", "housings first, inner rings second"),
    ("adjust-axial", "tighten-set-bearing-drive-snug", "the axial place is set before a ring locks it"),
    ("tighten-set-bearing-drive-final", "measure-turn-first-ring", "turn and feel between the two rings"),
    ("measure-turn-first-ring", "tighten-set-bearing-far-snug", "both at once would trap thrust"),
    ("measure-rotor", "fit-module", "the rotor is proved before the belt pulls on it"),
    ("fit-sled", "fit-belt", "the travel is tried before the belt is on"),
    ("tighten-hub-final", "fit-belt", "the hub is locked before the belt pulls"),
    ("tension-belt-seating", "align-belt-line", "alignment is read under pull"),
    ("align-belt-line", "tighten-hold-downs-final", "tight hold-downs end the aligning"),
    ("tighten-hold-downs-final", "tension-belt-final", "final tension comes with the module fixed"),
    ("tension-belt-final", "tighten-lock-final", "a locked sled tensions nothing"),
    ("tighten-lock-final", "measure-belt", "bolts drag the sled as they are tightened"),
    ("prove-ratio", "guard-guard", "ten turns by hand before any power"),
    ("guard-guard", "spin-first", "a rotor is never spun without its guard"),
    ("guard-guard-again", "spin-proving", "a rotor is never spun without its guard"),
];

/// Pairs beside the list that hold after the first run.
const AFTER_RUN: [(&str, &str); 8] = [
    ("spin-first", "remove-guard"),
    ("remove-guard", "recheck-pinch-collar-drive-after-run"),
    ("recheck-pinch-collar-far-after-run", "prove-slip-after-run"),
    ("prove-slip-after-run", "secure-pinch-collar-far"),
    ("wait-settle", "recheck-rods-settled"),
    ("recheck-rods-settled", "secure-rods"),
    ("wait-cure", "guard-guard-again"),
    ("spin-proving", "close-out-module"),
];

/// Of bearings on adapter sleeves, whose order is the other way round than with set screws.
const ON_SLEEVES: [(&str, &str, &str); 4] = [
    (
        "tighten-sleeve-bearing-drive-snug",
        "tighten-base-bearing-drive-final",
        "a tight housing forces the ring off its seat",
    ),
    (
        "tighten-sleeve-bearing-drive-final",
        "tighten-base-bearing-drive-final",
        "it does so until the nut is drawn up whole",
    ),
    ("tighten-sleeve-bearing-far-final", "tighten-base-bearing-far-final", "it does so at the other bearing as well"),
    ("measure-turn-first-ring", "tighten-sleeve-bearing-far-snug", "both at once trap thrust between them"),
];

/// (before, after, why) of the fan wheel, which is balanced at rest in its bearings.
const AT_REST: [(&str, &str, &str); 9] = [
    ("measure-run-out", "balance-initial", "a tilted disc is put right, not balanced"),
    ("measure-rotor", "balance-initial", "a rotor with open rings walks while it rolls"),
    ("tighten-hub-final", "balance-initial", "the pulley is part of what is balanced"),
    ("balance-prepare", "balance-initial", "the washers are weighed before they are counted"),
    ("balance-initial", "balance-washers", "a weight goes where a reading says"),
    ("secure-rods-lines", "balance-washers", "the line tells whether the tightened nut moved"),
    ("balance-washers", "balance-residual", "what is left is weighed again"),
    ("balance-residual", "fit-belt", "the belt would hold the rotor where it stands"),
    ("balance-residual", "guard-guard", "it is balanced before it first runs"),
];

#[test]
fn a_rotor_balanced_at_rest_is_balanced_before_its_belt_is_on() {
    let module = read(&embedded("blower").unwrap()).unwrap();
    for setup in Setup::all(&module) {
        let plan = make_plan(&module, &setup).unwrap();
        let place =
            |id: &str| plan.steps.iter().position(|s| s.id == id).unwrap_or_else(|| panic!("there is no step {id}"));
        for (before, after, why) in AT_REST {
            assert!(place(before) < place(after), "{before} must come before {after}: {why}");
            // Not only in this order: the later one waits for the earlier one, step by step.
            let mut waits = vec![after.to_owned()];
            let mut at = 0;
            while let Some(id) = waits.get(at).cloned() {
                at += 1;
                let step = &plan.steps[place(&id)];
                let new: Vec<String> = step.after.iter().filter(|a| !waits.contains(a)).cloned().collect();
                waits.extend(new);
            }
            assert!(waits.iter().any(|w| w == before), "{after} does not wait for {before}: {why}");
        }
    }
}

/// Pairs of the wheel whose discs are weighed for their heavy side (balancing handbooks: single parts before they are assembled,
/// finished bores first; reference index before clamping).
const HEAVY_SIDE: [(&str, &str, &str); 9] = [
    ("ream-disc-1", "balance-disc-1", "reaming moves the middle"),
    ("mark-discs", "balance-disc-3", "a reading without a name is of no disc"),
    ("balance-disc-2", "clean-discs", "mandrel and putty leave oil"),
    ("balance-disc-3", "balance-index", "the index rests on every disc"),
    ("balance-index", "fit-disc-1", "the hole to be put on top is known first"),
    ("fit-disc-3", "align-index", "the index is set with all discs on"),
    ("fit-plate-far", "align-index", "a rod is tried through everything"),
    ("align-index", "fit-rods", "with the rods in nothing turns any more"),
    ("align-index", "tighten-rods-snug", "the hole circle is gauged before a nut is turned"),
];

/// Collars that stand outside end plates. These hold for other hands too, who are offered each step that waits for nothing.
const OUTSIDE_PLATES: [(&str, &str, &str); 5] = [
    ("tighten-rods-circular", "measure-stack", "the stack has its length at full torque"),
    ("measure-stack", "tighten-pinch-collar-far-snug", "a stack out of its length is opened again, collar and all"),
    ("adjust-collar-far", "tighten-pinch-collar-far-snug", "a collar off its plate lets the stack walk"),
    ("tighten-pinch-collar-far-final", "prove-slip", "the proof is over final torques"),
    ("fit-plate-far", "fit-rods", "rods pass through both plates"),
];

fn places(discs: &str) -> BTreeMap<String, usize> {
    let module = read(&embedded("flywheel").unwrap()).unwrap();
    let setup = Setup::choose(&module, &[("discs".to_owned(), discs.to_owned())].into()).unwrap();
    make_plan(&module, &setup).unwrap().steps.iter().enumerate().map(|(k, s)| (s.id.clone(), k)).collect()
}

#[test]
fn what_a_fitter_does_first_comes_first() {
    let at = places("5");
    let place = |id: &str| *at.get(id).unwrap_or_else(|| panic!("there is no step {id}"));
    for (before, after, why) in PAIRS {
        assert!(place(before) < place(after), "{before} must come before {after}: {why}");
    }
    for (before, after) in AFTER_RUN {
        assert!(place(before) < place(after), "{before} must come before {after}");
    }
}

#[test]
fn the_order_does_not_hang_on_the_number_of_discs() {
    for discs in ["1", "2", "3", "4"] {
        let at = places(discs);
        for (before, after, why) in PAIRS {
            if let (Some(a), Some(b)) = (at.get(before), at.get(after)) {
                assert!(a < b, "{discs} discs: {before} must come before {after}: {why}");
            }
        }
    }
}

#[test]
fn heavy_sides_are_found_between_reaming_and_stacking() {
    let module = read(&embedded("testwheel").unwrap()).unwrap();
    for discs in ["1", "2", "3"] {
        let setup = Setup::choose(&module, &[("discs".to_owned(), discs.to_owned())].into()).unwrap();
        let steps = make_plan(&module, &setup).unwrap().steps;
        let at = |id: &str| steps.iter().position(|s| s.id == id);
        for (before, after, why) in HEAVY_SIDE {
            match (at(before), at(after)) {
                (Some(a), Some(b)) => assert!(a < b, "{discs} discs: {before} must come before {after}: {why}"),
                _ => assert!(discs != "3", "{before} or {after} is not there"),
            }
        }
    }
}

/// Steps that a step waits for, however far back.
fn waits<'a>(plan: &'a Plan, later: &'a str) -> BTreeSet<&'a str> {
    let after: BTreeMap<&str, &[String]> = plan.steps.iter().map(|s| (s.id.as_str(), s.after.as_slice())).collect();
    let (mut waits, mut open) = (BTreeSet::new(), vec![later]);
    while let Some(id) = open.pop() {
        open.extend(after[id].iter().map(String::as_str).filter(|need| waits.insert(*need)));
    }
    waits
}

#[test]
fn what_comes_first_comes_first_by_need_and_not_by_chance() {
    let lists = [("flywheel", &PAIRS[..]), ("testwheel", &OUTSIDE_PLATES[..]), ("countershaft", &ON_SLEEVES[..])];
    for (module, pairs) in lists {
        let module = read(&embedded(module).unwrap()).unwrap();
        let plan = make_plan(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
        for (before, later, why) in pairs {
            assert!(waits(&plan, later).contains(before), "{later} does not wait for {before}: {why}");
        }
    }
}
