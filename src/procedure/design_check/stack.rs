//! What is found on the stack: rods, reaming, stress, balance.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::ream;
use crate::mechanics::rotor::Ring;
use crate::mechanics::stack_up::rod_cut;
use crate::module::{Module, Setup, Stack};
use crate::procedure::figures::{self, Figures, StackFigures};
use crate::quantity::{Length, rounded};
use crate::standards::{bench, threads};

use super::{Finding, Severity, finding, round};

/// What holds in every setup.
pub(super) fn whole(stack: &Stack) -> Vec<Finding> {
    let mut found = stock(stack);
    found.extend(rod_holes(stack));
    found.extend(holes(stack));
    found.extend(nut_room(stack));
    found.extend(plates_drive(stack));
    found
}

/// What depends on the setup.
pub(super) fn of_setup(module: &Module, stack: &Stack, setup: &Setup, own: &StackFigures, f: &Figures) -> Vec<Finding> {
    let found = [rods(stack, setup, own), stress(stack, own), balance_and_bore(module, stack, setup, own, f)];
    found.into_iter().flatten().collect()
}

/// Collars that stand outside the plates touch them with no force that could be relied on, so something else takes the plates along.
fn plates_drive(stack: &Stack) -> Option<Finding> {
    let plates = stack.plates.as_ref()?;
    let Some(pins) = &plates.pins else {
        let text = "the torque finds no way from the collars to the end plates: rods that end in the plates do not press the collars";
        return Some(
            finding("plate-drive", Severity::Error, text.into(), "statics", plates.outer.place.line)
                .mend("Give the plates dowel pins to their collars: pins: { count: 2, diameter: 6 mm, on: 55 mm, depth: 8 mm, steel: C45 }."),
        );
    };
    // A pin stands in plate and collar whole.
    let inside = |outer: Length, bore: Length| {
        let ring = Ring {
            holes: *pins.count,
            hole: *pins.diameter,
            circle: *pins.on,
            ..Ring::plain(outer, bore, *pins.depth)
        };
        ring.checked().err()
    };
    let collar = inside(*stack.collars.outer, stack.collars.bore.length());
    let why = collar.or_else(|| inside(*plates.outer, plates.bore.length()))?;
    let text = format!("the pins find no place in collar and end plate: {why}");
    Some(
        finding("plate-drive", Severity::Error, text, "geometry of the ring", pins.on.place.line)
            .mend("Move the pins to a circle between bore and rim of both, or take thinner ones."),
    )
}

/// Holes that cut bore, rim or each other, in the discs and in what the rods end in.
fn holes(stack: &Stack) -> Vec<Finding> {
    let disc = figures::disc(stack);
    let (what, outer, bore) = clamped_end(stack);
    let end = Ring { outer, bore, ..disc };
    let rings = [("discs", disc), (what, end)];
    rings
        .into_iter()
        .filter_map(|(name, ring)| ring.checked().err().map(|why| (name, why)))
        .map(|(name, why)| {
            let text = format!("the {name} cannot be made: {why}");
            finding("disc-holes", Severity::Error, text, "geometry of the ring", stack.discs.on.place.line)
                .mend("Change the circle of the holes, their number or their diameter.")
        })
        .collect()
}

/// What the nuts of the rods bear on: name, outer diameter, bore.
fn clamped_end(stack: &Stack) -> (&'static str, Length, Length) {
    match &stack.plates {
        Some(plates) => ("end plates", *plates.outer, plates.bore.length()),
        None => ("collars", *stack.collars.outer, stack.collars.bore.length()),
    }
}

/// The washers bear whole: inside the rim, and outside the shaft, or outside the collar that stands on the plate.
fn nut_room(stack: &Stack) -> Option<Finding> {
    let thread = threads::thread(&stack.rods.bolts.thread).ok()?;
    let (what, outer, bore) = clamped_end(stack);
    let within = if stack.plates.is_some() { *stack.collars.outer } else { bore };
    let (washer, circle) = (Length::from_mm(thread.washer_outer), *stack.discs.on);
    let (low, high) = (within + washer, outer - washer);
    let limit = if circle < low { low } else { high };
    (circle < low || circle > high).then(|| {
        let inner = if stack.plates.is_some() { "the collars" } else { "their bore" };
        let text = format!(
            "washers of {} mm on a circle of {} mm do not bear whole on the {what}, between {inner} and their rim",
            washer.mm(),
            circle.mm()
        );
        finding("nut-room", Severity::Error, text, threads::source(), stack.discs.on.place.line)
            .held(circle.mm(), limit.mm(), "mm")
            .mend(format!("Put the holes on {} to {} mm, or change the {what}.", low.mm(), high.mm()))
    })
}

const RODS: &str = "longest and shortest stack, washers, nuts and what secures them, one to three threads at both ends (ISO 4032, ISO 4035, ISO 7089, \
     DIN 127; common practice)";

fn rods(stack: &Stack, setup: &Setup, f: &StackFigures) -> Option<Finding> {
    let (least, most) = f.rod_needed;
    let line = stack.rods.lengths.get(&setup.discs).map_or(stack.rods.bolts.count.place.line, |l| l.place.line);
    let cut = rod_cut(least, most);
    // Where no one length serves, rods that serve the longest stack are cut to the stack that is measured.
    let longest = cut.map_or(next_even(least), |_| most);
    let mend = cut.map_or_else(
        || {
            format!(
                "No one length serves every stack: order {} mm, measure the stack, then cut; or hold the thicknesses closer.",
                next_even(least).mm()
            )
        },
        |cut| format!("Cut rods {} mm long.", cut.mm()),
    );
    // The step sets the whole surplus out at the end that carries the washers, so that end has its room where the rod has.
    let surplus = figures::balance_surplus(stack, f.rod.thread);
    let basis = match stack.balance_washers {
        (0, _) => RODS.to_owned(),
        (_, 1) => format!(
            "{RODS}; {} mm of it at the end of the balance washers: all of these and their retaining nut",
            rounded(surplus.mm(), 1)
        ),
        _ => format!(
            "{RODS}; {} mm of it at each end: the most balance washers and their retaining nut",
            rounded(surplus.mm(), 1)
        ),
    };
    let Some(length) = f.rod_length else {
        let text = format!("no rod length is given for {} discs", setup.discs);
        return Some(finding("rod-length", Severity::Error, text, "spec", line).mend(mend));
    };
    if length < least {
        let text = format!(
            "rods of {} mm are too short for the longest stack, which needs {} mm",
            length.mm(),
            rounded(least.mm(), 1)
        );
        let found = finding("rod-length", Severity::Error, text, &basis, line);
        return Some(found.held(length.mm(), least.mm(), "mm").mend(mend));
    }
    (length > longest).then(|| {
        let text = format!(
            "over the shortest stack rods of {} mm stand out {} mm further than three threads at each end",
            length.mm(),
            rounded((length - most).mm() / 2.0, 1)
        );
        finding("rod-length", Severity::Warning, text, &basis, line)
            .held(length.mm(), longest.mm(), "mm")
            .mend(format!("{mend} Or cap the ends and count them in the guard's clearance."))
    })
}

/// The next even millimetre, as rods are cut.
fn next_even(least: Length) -> Length {
    Length::from_mm((least.mm() / 2.0 - 1e-9).ceil() * 2.0)
}

/// Reaming: enough stock, none of it hard skin.
fn stock(stack: &Stack) -> Vec<Finding> {
    let discs = &stack.discs;
    let line = discs.bore.place.line;
    let hard = discs.edge.cut_by_heat();
    let stock = match ream::stock(discs.finish.length(), discs.by_hand, hard) {
        Ok(stock) => stock,
        Err(e) => {
            return vec![finding("ream-stock", Severity::Error, e.to_string(), "reaming tables", line)];
        }
    };
    if stock.impossible() {
        let text = format!(
            "a {} edge needs at least {} mm of stock on each side to get under its hard skin, and a reamer takes at most {} mm",
            discs.edge.word(),
            round(stock.least.mm()),
            round(stock.most.mm())
        );
        return vec![
            finding("ream-stock", Severity::Error, text, &stock.basis, discs.edge.place.line)
                .held(stock.least.mm(), stock.most.mm(), "mm")
                .mend("Bore or drill the discs out first, or have the bores machined; then write \"edge: bored\"."),
        ];
    }
    let side = |bore: Option<Decimal>| bore.and_then(|b| b.to_f64()).map(|b| (discs.finish.length().mm() - b) / 2.0);
    let (least, most) = (side(discs.bore.value.upper), side(discs.bore.value.lower));
    let mut found = Vec::new();
    for (value, limit, bad) in [(least, stock.least, true), (most, stock.most, false)] {
        let Some(value) = value else { continue };
        let outside = if bad { value < limit.mm() - 1e-9 } else { value > limit.mm() + 1e-9 };
        if outside {
            let word = if bad { "at least" } else { "at most" };
            found.push(
                finding(
                    "ream-stock",
                    Severity::Error,
                    format!(
                        "the drawn bore can leave {} mm of stock on each side; {word} {} mm is reamed",
                        round(value),
                        round(limit.mm())
                    ),
                    &stock.basis,
                    line,
                )
                .held(value, limit.mm(), "mm")
                .mend("Change the bore as it comes, or its tolerance."),
            );
        }
    }
    found
}

fn rod_holes(stack: &Stack) -> Option<Finding> {
    let thread = threads::thread(&stack.rods.bolts.thread).ok()?;
    let hole = stack.discs.drill.mm();
    (hole < thread.hole - 1e-9).then(|| {
        finding(
            "rod-hole",
            Severity::Error,
            format!("a hole of {hole} mm is too small for {}", thread.size),
            threads::source(),
            stack.discs.drill.place.line,
        )
        .held(hole, thread.hole, "mm")
        .mend(format!("Drill {} mm, the medium clearance hole.", thread.hole))
    })
}

fn stress(stack: &Stack, f: &StackFigures) -> Option<Finding> {
    let line = stack.discs.outer.place.line;
    let steel = bench::steel(&stack.discs.steel).ok()?;
    match &f.peak {
        Err(e) => Some(finding("hoop-stress", Severity::Error, e.to_string(), "Shigley, rotating rings", line)),
        Ok(peak) => {
            let strength = match steel.yield_strength(stack.discs.thickness.length()) {
                Ok(strength) => strength,
                Err(e) => return Some(finding("hoop-stress", Severity::Error, e.to_string(), steel.source, line)),
            };
            let allowed = strength / 2.0;
            (*peak > allowed).then(|| {
                let text = "the discs are stressed too high beside their holes at the largest speed".into();
                let basis = format!("{}; half of it, common practice", steel.source);
                finding("hoop-stress", Severity::Error, text, &basis, line)
                    .held(peak.mpa(), allowed.mpa(), "MPa")
                    .mend("Lower the speed or the diameter.")
            })
        }
    }
}

/// How loose the discs may sit before balance asks for reamed bores, and whether the bore as it comes needs it.
fn balance_and_bore(module: &Module, stack: &Stack, setup: &Setup, own: &StackFigures, f: &Figures) -> Option<Finding> {
    let discs = own.disc_mass * f64::from(setup.discs);
    let loose = ream::largest_clearance(f.unbalance, discs, None).ok()?;
    let (comes, words) = as_it_comes(module, stack, loose)?;
    let text = format!(
        "{} g·mm are permitted at {} rpm; discs {} mm loose on the shaft, all pushed to one side, would use them up{words}",
        rounded(f.unbalance.gmm(), 0),
        rounded(f.speed.rpm(), 0),
        rounded(loose.mm(), 2)
    );
    Some(
        finding(
            "reaming-needed",
            Severity::Note,
            text,
            "ISO 21940-11, permissible residual unbalance",
            module.limits.balance_grade.place.line,
        )
        .held(comes.mm(), loose.mm(), "mm"),
    )
}

/// How loose the bore as it comes may be on the shaft, below zero where it does not go on, and what that says.
fn as_it_comes(module: &Module, stack: &Stack, loose: Length) -> Option<(Length, &'static str)> {
    let length = |d: Option<Decimal>| d.and_then(|d| d.to_f64()).map(Length::from_mm);
    let bore = (length(stack.discs.bore.value.lower)?, length(stack.discs.bore.value.upper)?);
    let (lower, upper, _) = figures::limits(&module.shaft.diameter).ok()?;
    let shaft = (length(lower)?, length(upper)?);
    let words = match (bore.0 < shaft.1, ream::finishing_needed(bore, shaft, loose)) {
        (true, _) => "; as it comes the bore does not go on, so it is reamed",
        (false, true) => "; as it comes the bore may be looser, so it is reamed",
        (false, false) => "; as it comes the bore is not looser, so balance does not ask for reaming",
    };
    Some((bore.1 - shaft.0, words))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    fn found(module: &Module) -> Vec<Finding> {
        let stack = module.stack.as_ref().unwrap();
        let mut all = whole(stack);
        for setup in Setup::all(module) {
            let f = Figures::of(module, &setup).unwrap();
            all.extend(of_setup(module, stack, &setup, f.stack.as_ref().unwrap(), &f));
        }
        all.retain(|f| f.severity != Severity::Note);
        all
    }

    #[test]
    fn every_setup_of_the_demos_adds_up() {
        for demo in ["flywheel", "testwheel"] {
            assert_eq!(found(&demo_with(demo, &[])), [], "{demo}");
        }
    }

    /// Five discs of 8 ± 0.2 and two collars of 20 ± 0.1 are 78.8 to 81.2 mm; washers, nuts and second nuts 30.4; a pitch of 1.25 at
    /// both ends 2.5: 114.1 mm. The nominal stack would need 112.9.
    #[test]
    fn rods_serve_the_longest_stack_and_the_next_length_is_named() {
        let one = |length: &str| found(&demo_with("flywheel", &[("5: 116 mm", &format!("5: {length}"))]));
        let short = one("113 mm");
        assert!(short.iter().all(|f| f.severity == Severity::Error && f.limit == Some(114.1)), "{short:?}");
        assert_eq!(short[0].mend.as_deref(), Some("Cut rods 116 mm long."));
        let long = one("118 mm");
        assert!(long.iter().all(|f| f.severity == Severity::Warning && f.limit == Some(116.7)), "{long:?}");
        assert_eq!((short.len(), long.len(), one("115 mm").len()), (3, 3, 0)); // three pulleys each
        // A thickness held less closely leaves no one length: 75.8 to 84.2 mm.
        let wide = found(&demo_with("flywheel", &[("thickness: 8 mm ±0.2", "thickness: 8 mm ±0.8")]));
        assert!(wide.iter().any(|f| f.mend.as_ref().is_some_and(|m| m.starts_with("No one length"))), "{wide:?}");
    }

    #[test]
    fn holes_that_cut_and_washers_without_room_are_errors() {
        let at = |circle: &str| found(&demo_with("flywheel", &[("on: 80 mm, drill", &format!("on: {circle}, drill"))]));
        let ids = |found: Vec<Finding>| found.into_iter().map(|f| f.id).collect::<Vec<_>>();
        // The collars end at 110 mm, a washer of M8 has 16, so 94 is the last circle; 32 cuts the bore of 25 mm.
        assert_eq!(ids(at("94 mm")), Vec::<String>::new());
        assert_eq!(ids(at("96 mm")), ["nut-room"]);
        assert_eq!(ids(at("32 mm"))[..3], ["disc-holes", "disc-holes", "nut-room"]);
    }

    #[test]
    fn plates_without_pins_pass_no_torque_on_and_pins_need_a_place() {
        let pins = "  pins: { count: 2, diameter: 6 mm, on: 55 mm, depth: 8 mm, steel: C45 }";
        let without = found(&demo_with("testwheel", &[(pins, "")]));
        assert_eq!(
            without.iter().map(|f| (f.id.as_str(), f.severity)).collect::<Vec<_>>(),
            [("plate-drive", Severity::Error)]
        );
        let off = found(&demo_with("testwheel", &[("on: 55 mm", "on: 78 mm")]));
        assert!(off.iter().any(|f| f.id == "plate-drive" && f.text.contains("no place")), "{off:?}");
    }

    /// 380 mm, bore 25, holes of 9 on 80: 0.3836 MPa at 300 rpm by hand (see `peak_stress`), so half of 355 at 6453 rpm.
    #[test]
    fn the_discs_are_held_at_the_speed_that_is_never_passed() {
        let at = |rpm: &str| found(&demo_with("flywheel", &[("speed: 320 rpm ", &format!("speed: {rpm} rpm "))]));
        assert!(at("6400").is_empty());
        assert!(at("6500").iter().all(|f| f.id == "hoop-stress" && f.limit == Some(177.5)) && !at("6500").is_empty());
    }
}
