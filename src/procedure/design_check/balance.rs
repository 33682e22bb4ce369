//! Whether balancing is worth doing, and whether the spec's way of it can decide.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::balance::{decides, permissible_unbalance, rolling_floor, smallest_findable, worst_reach};
use crate::module::{Balance, Drilling, Method, Module, Rests, Setup, Stack};
use crate::procedure::figures::{Figures, Sources};
use crate::procedure::joints::{OnePlane, Spot};
use crate::quantity::{Torque, Unbalance, rounded};
use crate::standards::drag::seals;

use super::{Finding, Severity, finding, no_figure};

/// What is found in the setup that balancing matters most for.
pub(super) fn whole(module: &Module) -> Option<Vec<Finding>> {
    let grade = module.limits.balance_grade.to_f64().unwrap_or(f64::NAN);
    let of = |setup: Setup| {
        let f = Figures::of(module, &setup).ok()?;
        let permitted = permissible_unbalance(grade, f.mass, *module.limits.speed).ok()?;
        let sources = Sources::of(module, &setup).ok()?;
        Some((setup, f, permitted, sources))
    };
    let all = Setup::all(module).into_iter().filter_map(of);
    let (setup, f, permitted, sources) = all.max_by(|a, b| (a.3.most() / a.2).total_cmp(&(b.3.most() / b.2)))?;
    let mut found = vec![needed(module, &setup, permitted, &sources)];
    if let Some((drill, stack)) = module.balance.as_ref().and_then(|b| b.drilling.as_ref()).zip(module.stack.as_ref()) {
        found.extend(drilled(drill, stack));
    }
    if let Some(balance) = module.balance.as_ref().filter(|_| module.stack.is_some()) {
        match Spot::of(module, &setup, &f) {
            Ok(spot) => {
                found.extend(floor(balance, &f, permitted));
                found.extend(reach(module, balance, &spot, &sources));
                found.extend(couple(balance, &spot));
            }
            Err(e) => found.push(no_figure(&e)),
        }
    }
    Some(found)
}

/// The setup before a colon; without the step of a pulley that has one only, whose name tells nothing.
fn chosen(module: &Module, setup: &Setup) -> String {
    let one = module.drives.first().is_none_or(|d| d.pulley.steps.len() == 1);
    let words = if one { setup.words_of_discs() } else { Some(setup.words()) };
    words.map_or_else(String::new, |w| format!("{w}: "))
}

fn needed(module: &Module, setup: &Setup, permitted: Unbalance, sources: &Sources) -> Finding {
    let largest = sources.most();
    let over = largest.gmm() > permitted.gmm();
    let what = match (&module.balance, over) {
        (None, false) => "no balancing is needed",
        (None, true) => "it may need balancing; a section \"balance\" says how",
        (Some(_), false) => "balancing is not worth doing",
        (Some(_), true) => "balancing is worth doing",
    };
    let text = format!(
        "{}{} g·mm are permitted at the {} rpm that are never passed; discs and pulleys at the limits of play, thickness and run-out, all to one side, make {}, each to a side of its own {}: {what}",
        chosen(module, setup),
        rounded(permitted.gmm(), 0),
        rounded(module.limits.speed.rpm(), 0),
        rounded(largest.gmm(), 0),
        rounded(sources.likely().gmm(), 0),
    );
    let basis = "ISO 21940-11; ISO 2768-2 K for the rim, the spec for bore, thickness and pulley; each to its own side: root of the sum of squares";
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

/// Drilled holes keep their own diameter from rod holes and rim, clear what stands on the end disc, and stay inside it with their cone.
fn drilled(drill: &Drilling, stack: &Stack) -> Vec<Finding> {
    const BASIS: &str = "geometry; a web of one drill diameter is common practice";
    let (d, circle) = (drill.diameter.mm(), drill.on.mm());
    let (radius, rods, hole) = (circle / 2.0, stack.discs.on.mm() / 2.0, stack.discs.drill.mm());
    let (what, end) = match &stack.plates {
        Some(plates) => ("end plates", plates.outer.mm()),
        None => ("collars", stack.collars.outer.mm()),
    };
    let rim = stack.discs.outer.mm() / 2.0;
    let cone = d / 2.0 / (drill.point.to_radians() / 2.0).tan();
    let thin = stack.discs.thickness.value.lower.and_then(|t| t.to_f64()).unwrap_or(f64::NAN);
    let deep = drill.deepest.mm() + cone;
    let near = |text: String, is: f64, limit: f64| {
        finding("balance-drill", Severity::Error, text, BASIS, drill.on.place.line)
            .held(is, limit, "mm")
            .mend("Move the circle of the drill, or take a smaller drill.")
    };
    let web = (radius - rods).abs() - hole / 2.0 - d / 2.0;
    let edge = rim - radius - d / 2.0;
    let clear = radius - d / 2.0 - end / 2.0;
    let mut found = Vec::new();
    if web < d {
        let text =
            format!("holes drilled on {circle} mm come within {} mm of the rod holes, {d} mm stay", rounded(web, 1));
        found.push(near(text, web, d));
    }
    if edge < d {
        let text = format!("holes drilled on {circle} mm come within {} mm of the rim, {d} mm stay", rounded(edge, 1));
        found.push(near(text, edge, d));
    }
    if clear < 0.0 {
        let text = format!("a drill on {circle} mm meets the {what} of {end} mm that stand on the end disc");
        found.push(near(text, radius - d / 2.0, end / 2.0));
    }
    if deep >= thin {
        let text = format!(
            "holes of {} mm and {} mm of cone go through the thinnest disc of {thin} mm",
            drill.deepest.mm(),
            rounded(cone, 1)
        );
        found.push(
            finding("balance-drill", Severity::Error, text, "geometry of the drill's point", drill.deepest.place.line)
                .held(deep, thin, "mm")
                .mend("Drill less deep."),
        );
    }
    found
}

/// What washers on the rods can take away at most, wherever the light side stands.
///
/// A warning where they do not even take what is likely, every tolerance at its limit but each to a side of its own: then they will
/// seldom do. A note where they take that and not the worst. Never an error: what a rotor has is measured, and what is left is judged.
fn reach(module: &Module, balance: &Balance, spot: &Spot, sources: &Sources) -> Option<Finding> {
    let washers = balance.washers.as_ref().filter(|_| balance.drilling.is_none())?;
    let one = spot.washer.g() * spot.radius_mm * f64::from(*washers.most);
    let most = one * worst_reach(spot.holes) * balance.planes.len().max(1) as f64;
    let [worst, likely] = [sources.most(), sources.likely()].map(|u| u.gmm() - spot.permitted.gmm());
    if worst <= most {
        return None;
    }
    let severity = if likely > most { Severity::Warning } else { Severity::Note };
    let text = format!(
        "washers take {} g·mm at most; {} would have to go with every tolerance at its limit, each to a side of its own, {} with all to one side",
        rounded(most, 0),
        rounded(likely.max(0.0), 0),
        rounded(worst, 0)
    );
    let basis = "statics; ISO 7089 by nominal sizes; root of the sum of squares for sides of their own";
    let found = finding("balance-reach", severity, text, basis, washers.most.place.line);
    let wanted = if likely > most { likely } else { worst };
    Some(found.held(most, wanted, "g·mm").mend(more_reach(module, sources, wanted, most)))
}

/// What would let the correction reach: less to take away, or more that takes it.
fn more_reach(module: &Module, sources: &Sources, wanted: f64, most: f64) -> String {
    let mut ways = Vec::new();
    let stack = module.stack.as_ref();
    if let Some(stack) = stack {
        if stack.discs.heavy_side.is_none() {
            ways.push(
                "find the heavy side of the discs first (\"heavy side\") and index them against each other".to_owned(),
            );
        }
        // A web of one drill diameter to the rim, as the drilled holes are held to.
        let on = stack.discs.outer.mm() / 2.0 - 1.5 * DRILL_MM;
        ways.push(format!(
            "drill as well: {} g on a circle of {} mm take the rest",
            rounded((wanted - most) / on, 0),
            rounded(on * 2.0, 0)
        ));
        ways.push(format!("narrow {}", sources.largest_term));
    }
    ways.push(format!("rods on a circle {0} times as wide, or washers {0} times as heavy", rounded(wanted / most, 1)));
    let mut text = ways.join("; ");
    if let Some(first) = text.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    text + "."
}

/// A drill that a bench has, for the mend alone, mm (common practice).
const DRILL_MM: f64 = 8.0;

/// A balance in one plane leaves the couple where it is.
fn couple(balance: &Balance, spot: &Spot) -> Option<Finding> {
    if *balance.method == Method::TwoPlanes {
        return None;
    }
    let ((most, likely), half) = (spot.couple_at_bearings(), spot.permitted.gmm() / 2.0);
    let severity = if spot.one_plane() == OnePlane::TwoWanted { Severity::Warning } else { Severity::Note };
    let text = format!(
        "a balance in one plane leaves the couple: likely {} g·mm at each bearing, {} at worst; half of what is permitted is {}. {}",
        rounded(likely, 0),
        rounded(most, 0),
        rounded(half, 0),
        spot.one_plane().words().trim_end_matches('.')
    );
    let basis = "statics; largest couple over the distance of the bearings, ISO 21940-11, 4.5.2, and half of what is permitted, ISO 1940-1 (both from memory)";
    let found = finding("balance-couple", severity, text, basis, balance.place().line);
    let found = found.held(likely, half, "g·mm");
    Some(if spot.one_plane() == OnePlane::Enough {
        found
    } else {
        let mend =
            "Write \"method: two planes\", narrow the tolerances of the discs, or stand the bearings further apart.";
        found.mend(mend)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    /// Discs of 300 x 10 -0.2 mm, rod holes of 9 on 100, end plates of 120; a drill of 8 mm with 118° has a cone of 4/tan 59° = 2.4 mm.
    /// By hand: web to the rod holes r - 50 - 4.5 - 4, to the rim 150 - r - 4, clear of the plates r - 4 - 60.
    #[test]
    fn drilled_holes_keep_away_from_rods_rim_and_plates_and_stay_in_the_disc() {
        let drilled = |on: &str, deepest: &str| {
            let drilling = format!(
                "correct by: [washers, drilling]\n  drilling: {{ diameter: 8 mm, on: {on}, deepest: {deepest}, point: 118° }}"
            );
            let module = demo_with("blower", &[("correct by: [washers]", &drilling)]);
            let balance = module.balance.as_ref().unwrap();
            let found = super::drilled(balance.drilling.as_ref().unwrap(), module.stack.as_ref().unwrap());
            assert!(found.iter().all(|f| f.severity == Severity::Error));
            found.into_iter().map(|f| f.text).collect::<Vec<_>>()
        };
        assert!(drilled("260 mm", "7 mm").is_empty());
        let one = |on: &str, deepest: &str, word: &str| {
            let found = drilled(on, deepest);
            assert!(found.len() == 1 && found[0].contains(word), "{found:?}");
        };
        assert!(drilled("276 mm", "7 mm").is_empty()); // 8 mm to the rim
        one("278 mm", "7 mm", "the rim");
        one("132 mm", "7 mm", "rod holes"); // 7.5 mm
        assert!(drilled("134 mm", "7 mm").is_empty());
        one("260 mm", "7.5 mm", "through the thinnest disc"); // 9.9 of 9.8 mm
        assert!(drilled("126 mm", "7 mm").iter().any(|t| t.contains("end plates of 120 mm")));
    }

    /// Discs as by hand beside the heavy side, 14,405 g·mm, and the run-out of the pulley on top: one number, wherever it is told.
    #[test]
    fn the_largest_unbalance_has_every_term() {
        let module = demo_with("testwheel", &[]);
        let setup = Setup::all(&module).pop().unwrap();
        let sources = Sources::of(&module, &setup).unwrap();
        let discs: f64 = sources.each.iter().take(3).map(|s| s.most.gmm()).sum();
        assert!((discs - 14_405.0).abs() < 30.0, "{discs}");
        assert!(sources.most().gmm() > discs);
        let text = whole(&module).unwrap().remove(0).text;
        assert!(!text.contains("no balancing is needed"), "{text}");
    }
}
