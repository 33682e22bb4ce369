//! Whether balancing is worth doing, and whether the spec's way of it can decide.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::balance::{decides, permissible_unbalance, rolling_floor, smallest_findable};
use crate::module::{Balance, Module, Rests, Setup};
use crate::procedure::figures::Figures;
use crate::procedure::joints::{RADIAL_RUN_OUT, Spot};
use crate::quantity::{Torque, Unbalance, rounded};
use crate::standards::drag::seals;

use super::{Finding, Severity, finding, no_figure};

/// What is found in the setup that balancing matters most for.
pub(super) fn whole(module: &Module) -> Option<Vec<Finding>> {
    let grade = module.limits.balance_grade.to_f64().unwrap_or(f64::NAN);
    let of = |setup: Setup| {
        let f = Figures::of(module, &setup).ok()?;
        let permitted = permissible_unbalance(grade, f.mass, *module.limits.speed).ok()?;
        let largest = largest(module, &setup, &f);
        Some((setup, f, permitted, largest))
    };
    let all = Setup::all(module).into_iter().filter_map(of);
    let (setup, f, permitted, largest) = all.max_by(|a, b| (a.3 / a.2).total_cmp(&(b.3 / b.2)))?;
    let mut found = vec![needed(module, &setup, permitted, largest)];
    if let Some(balance) = module.balance.as_ref().filter(|_| module.stack.is_some()) {
        match Spot::of(module, &setup, &f) {
            Ok(spot) => {
                found.extend(floor(balance, &f, permitted));
                found.extend(reach(balance, &spot, largest));
            }
            Err(e) => found.push(no_figure(&e)),
        }
    }
    Some(found)
}

/// Largest unbalance that the spec's tolerances allow: every disc and pulley out of true by its whole run-out, all to one side.
fn largest(module: &Module, setup: &Setup, f: &Figures) -> Unbalance {
    let rim = RADIAL_RUN_OUT.to_f64().unwrap_or(f64::NAN) / 2.0;
    let discs = f.stack.as_ref().map_or(0.0, |s| s.disc_mass.g() * f64::from(setup.discs) * rim);
    let parts = crate::procedure::figures::masses(module, setup).unwrap_or_default();
    // The pulleys stand last in the list of masses.
    let pulleys = parts.iter().rev().zip(module.drives.iter().rev()).map(|(part, drive)| {
        let run_out = drive.pulley.run_out.value.upper.and_then(|u| u.to_f64()).unwrap_or(0.0);
        part.mass.g() * run_out / 2.0
    });
    Unbalance::from_gmm(discs + pulleys.sum::<f64>())
}

fn needed(module: &Module, setup: &Setup, permitted: Unbalance, largest: Unbalance) -> Finding {
    let over = largest.gmm() > permitted.gmm();
    let what = match (&module.balance, over) {
        (None, false) => "no balancing is needed",
        (None, true) => "it may need balancing; a section \"balance\" says how",
        (Some(_), false) => "balancing is not worth doing",
        (Some(_), true) => "balancing is worth doing",
    };
    let text = format!(
        "{}: {} g·mm are permitted at the {} rpm that are never passed; discs and pulleys at the limits of their run-out, all to one side, make {}: {what}",
        setup.words(),
        rounded(permitted.gmm(), 0),
        rounded(module.limits.speed.rpm(), 0),
        rounded(largest.gmm(), 0),
    );
    let basis = "ISO 21940-11; ISO 2768-2 K for the rim, the spec for the pulley";
    finding("balance", Severity::Note, text, basis, module.limits.balance_grade.place.line).held(
        largest.gmm(),
        permitted.gmm(),
        "g·mm",
    )
}

/// A method at rest that hides more than half of the limit decides nothing.
fn floor(balance: &Balance, f: &Figures, permitted: Unbalance) -> Option<Finding> {
    let on = balance.on.as_ref()?;
    let (line, basis) =
        (on.place.line, "mass times rolling arm; a floor over half of the limit decides nothing (common practice)");
    if on.value == Rests::Bearings {
        let drag = seals();
        let [low, high] = [drag.low, drag.high].map(|t| smallest_findable(Torque::from_nm(t)).gmm());
        let text = format!(
            "left to roll in its bearings, a drag of {} to {} N·m (estimated) would hide {} to {} g·mm; the starting masses measure it along, and their scatter is the floor",
            drag.low,
            drag.high,
            rounded(low, 0),
            rounded(high, 0)
        );
        return Some(finding("balance-floor", Severity::Note, text, "statics", line));
    }
    let hidden = rolling_floor(f.mass, balance.arm.as_ref()?.value);
    (!decides(hidden, permitted)).then(|| {
        let text = format!(
            "on {} {} g·mm stay hidden, over half of the {} permitted: this method cannot decide",
            on.written,
            rounded(hidden.gmm(), 0),
            rounded(permitted.gmm(), 0)
        );
        finding("balance-floor", Severity::Warning, text, basis, line)
            .held(hidden.gmm(), permitted.gmm() / 2.0, "g·mm")
            .mend("Use edges with less rolling resistance, or balance at speed.")
    })
}

/// What washers on the rods can take away at most, all of them within a right angle of the light side.
fn reach(balance: &Balance, spot: &Spot, largest: Unbalance) -> Option<Finding> {
    let washers = balance.washers.as_ref().filter(|_| balance.drilling.is_none())?;
    let one = spot.washer.g() * spot.radius_mm * f64::from(*washers.most);
    let pitch = 360.0 / f64::from(spot.holes);
    // Light side half way between two holes, the worse place: half a pitch, then one and a half.
    let share = |half: f64| (pitch * half).to_radians().cos().max(0.0) * 2.0;
    let most = one * (share(0.5) + share(1.5)) * balance.planes.len().max(1) as f64;
    let wanted = largest.gmm() - spot.permitted.gmm();
    (wanted > most).then(|| {
        let text = format!(
            "washers take {} g·mm at most; by the tolerances {} may have to go",
            rounded(most, 0),
            rounded(wanted, 0)
        );
        finding("balance-reach", Severity::Warning, text, "statics; ISO 7089 by nominal sizes", washers.most.place.line)
            .held(most, wanted, "g·mm")
            .mend("Allow more washers on a rod, and drill what they leave.")
    })
}
