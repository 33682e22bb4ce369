//! Do the parts go on the shaft, do the collars close on it, and do the bearings sit as tightly as load and speed ask?

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::{bearing, closing};
use crate::module::{Given, Module, RingLock, Split, Stack};
use crate::procedure::figures::{self, Figures, HeldBy, NoFigure, StackFigures};
use crate::quantity::{Band, Length, Speed, rounded};
use crate::standards::{bearings, bench, iso286, sleeves};

use super::{Finding, Severity, finding, no_figure};

/// What holds in every setup.
pub(super) fn whole(module: &Module) -> Vec<Finding> {
    let shaft = &module.shaft.diameter;
    let (lower, upper) = match limits(shaft) {
        Ok(limits) => limits,
        Err(e) => return vec![no_figure(&e)],
    };
    let mut found = nominal(module);
    for (what, bore, run_out) in bores(module) {
        if bore.nominal() != shaft.nominal() {
            continue;
        }
        match limits(bore) {
            Ok((least, most)) => {
                found.extend(goes_on(what, bore, least - upper, &shaft.written));
                found.extend(run_out.and_then(|allowed| hub_runs_out(what, bore, most - lower, allowed)));
            }
            Err(e) => found.push(no_figure(&e)),
        }
    }
    found.extend(ring_goes_on(module, upper));
    found.extend(sleeve_seat(module, lower));
    found
}

/// What depends on the setup: load and speed on the bearings' seats, the collars' grip.
pub(super) fn of_setup(module: &Module, f: &Figures) -> Vec<Finding> {
    let mut found = Vec::new();
    if let (Some(stack), Some(own)) = (&module.stack, &f.stack) {
        found.extend(collar_closes(module, stack, own));
    }
    found.extend(seat_by_load(module, f));
    found.extend(seat_by_speed(module));
    found
}

/// Limits of a diameter that has its class, mm.
fn limits(given: &Given<Band>) -> Result<(Decimal, Decimal), NoFigure> {
    let (lower, upper, _) = figures::limits(given)?;
    let none = || NoFigure { line: given.place.line, why: format!("{} has no limits", given.written) };
    lower.zip(upper).ok_or_else(none)
}

/// Every bore that goes over the shaft, with the run-out that is allowed of it.
fn bores(module: &Module) -> Vec<(&str, &Given<Band>, Option<Decimal>)> {
    let mut bores: Vec<(&str, &Given<Band>, Option<Decimal>)> = Vec::new();
    if let Some(stack) = &module.stack {
        bores.push(("collars", &stack.collars.bore, None));
        bores.push(("discs", &stack.discs.finish, None));
        bores.extend(stack.plates.iter().map(|p| ("end plates", &p.bore, None)));
    }
    let hubs = module.drives.iter().map(|d| &d.pulley);
    bores.extend(hubs.map(|p| (p.part.as_str(), &p.bore, p.run_out.value.upper)));
    bores
}

fn nominal(module: &Module) -> Vec<Finding> {
    let shaft = module.shaft.diameter.nominal();
    let mut list: Vec<(&str, Decimal, u32)> =
        bores(module).into_iter().map(|(name, bore, _)| (name, bore.nominal(), bore.place.line)).collect();
    let seat = match module.bearings.lock {
        RingLock::SetScrews(_) => bearings::insert(&module.bearings.insert).map(|u| u.bore),
        RingLock::Sleeve(_) => sleeves::seat(&module.bearings.insert).map(|(seat, _)| seat),
    };
    if let Ok(bore) = seat {
        let bore = Decimal::from_f64_retain(bore).unwrap_or_default();
        list.push(("bearings", bore, module.bearings.insert.place.line));
    }
    list.into_iter()
        .filter(|(_, bore, _)| *bore != shaft)
        .map(|(what, bore, line)| {
            let text = format!("the {what} have a bore of {bore} mm, the shaft {shaft} mm");
            finding("bore-fit", Severity::Error, text, "spec", line)
                .held(bore.to_f64().unwrap_or(0.0), shaft.to_f64().unwrap_or(0.0), "mm")
                .at(what)
                .mend("Give bore and shaft one nominal size.")
        })
        .collect()
}

/// Everything slides on by hand, so the smallest bore still goes over the thickest shaft.
fn goes_on(what: &str, bore: &Given<Band>, least: Decimal, shaft: &str) -> Option<Finding> {
    (least < Decimal::ZERO).then(|| {
        let text = format!(
            "the bore of the {what} ({}) may come {} mm smaller than the shaft ({shaft}), and does not go on by hand",
            bore.written, -least
        );
        finding("bore-clearance", Severity::Error, text, iso286::source(), bore.place.line)
            .held(least.to_f64().unwrap_or(f64::NAN), 0.0, "mm")
            .mend("Give a pair with clearance, such as bore H7 on shaft h6.")
    })
}

/// Set screws push a hub to one side: what it is loose, it runs out.
fn hub_runs_out(what: &str, bore: &Given<Band>, most: Decimal, allowed: Decimal) -> Option<Finding> {
    (most > allowed).then(|| {
        let text = format!(
            "set screws push {what} to one side: loose by up to {most} mm, it runs out as much by that alone, where {allowed} mm are allowed"
        );
        finding("hub-clearance", Severity::Warning, text, "statics: twice the offset, which is half the clearance", bore.place.line)
            .held(most.to_f64().unwrap_or(f64::NAN), allowed.to_f64().unwrap_or(f64::NAN), "mm")
            .mend("Give the hub a closer bore, such as H7, or the shaft a tighter class.")
    })
}

/// The rings slide on and along the shaft by hand: no part of its zone may lie over the nominal size.
fn ring_goes_on(module: &Module, upper: Decimal) -> Option<Finding> {
    let over = upper - module.shaft.diameter.nominal();
    let (what, wanted) = match module.bearings.lock {
        RingLock::SetScrews(_) => ("bearing rings", "h6"),
        RingLock::Sleeve(_) => ("adapter sleeves", bearings::sleeve_shaft().0),
    };
    (over > Decimal::ZERO).then(|| {
        let shaft = &module.shaft.diameter;
        let text = format!(
            "the shaft ({}) may come {over} mm over its nominal size: the {what} do not slide on and along it by hand",
            shaft.written
        );
        finding("bearing-seat", Severity::Error, text, ring_source(module), shaft.place.line)
            .held(over.to_f64().unwrap_or(f64::NAN), 0.0, "mm")
            .mend(format!("Draw the shaft {wanted}."))
    })
}

fn ring_source(module: &Module) -> &'static str {
    let bore = module.shaft.diameter.length();
    match module.bearings.lock {
        RingLock::SetScrews(_) => bearings::bore_um(bore).map_or(bearings::source(), |(_, source)| source),
        RingLock::Sleeve(_) => bearings::sleeve_shaft().1,
    }
}

/// Lower deviation of the shaft, µm, and its nominal size, mm.
fn deviation(module: &Module, lower: Decimal) -> (Decimal, Decimal) {
    let nominal = module.shaft.diameter.nominal();
    ((lower - nominal) * Decimal::ONE_THOUSAND, nominal)
}

/// A sleeve takes up a coarse shaft, though not any.
fn sleeve_seat(module: &Module, lower: Decimal) -> Option<Finding> {
    let RingLock::Sleeve(_) = module.bearings.lock else { return None };
    let (loosest, source) = bearings::sleeve_shaft();
    let (um, nominal) = deviation(module, lower);
    let least = iso286::class(loosest, nominal).ok()?.lower_um;
    let shaft = &module.shaft.diameter;
    (um < least).then(|| {
        let text = format!("the shaft is {}; adapter sleeves ask for {loosest}", shaft.written);
        finding("bearing-seat", Severity::Warning, text, source, shaft.place.line)
            .held(um.to_f64().unwrap_or(f64::NAN), least.to_f64().unwrap_or(f64::NAN), "µm")
            .mend(format!("Draw the shaft {loosest}."))
    })
}

/// The class that the shaft is worth under rings with set screws; an error finding where it is looser than any maker allows.
fn worth(module: &Module) -> Option<Result<&'static str, Finding>> {
    let RingLock::SetScrews(_) = module.bearings.lock else { return None };
    let (lower, _) = limits(&module.shaft.diameter).ok()?;
    let (um, nominal) = deviation(module, lower);
    let shaft = &module.shaft.diameter;
    Some(bearings::worth(um, nominal).ok_or_else(|| {
        let text = format!("the shaft ({}) may come looser than h11, and no maker lets a ring sit so", shaft.written);
        let loosest = iso286::class("h11", nominal).ok().and_then(|d| d.lower_um.to_f64()).unwrap_or(f64::NAN);
        let source = bearings::shaft_class(1.0).map_or("", |(_, source)| source);
        finding("bearing-seat", Severity::Error, text, source, shaft.place.line)
            .held(um.to_f64().unwrap_or(f64::NAN), loosest, "µm")
            .mend("Draw the shaft h6.")
    }))
}

/// A shaft looser than the load asks for lets the ring walk and hammer.
fn seat_by_load(module: &Module, f: &Figures) -> Option<Finding> {
    let given = match worth(module)? {
        Ok(given) => given,
        Err(found) => return Some(found),
    };
    let life = f.life.as_ref().ok()?;
    let share = bearing::load_share(*life, f.speed);
    let (wanted, source) = bearings::shaft_class(share).ok()?;
    let rank = |class: &str| bearings::SHAFT_CLASSES.iter().position(|c| *c == class);
    let shaft = &module.shaft.diameter;
    (rank(given)? > rank(wanted)?).then(|| {
        let text = format!(
            "the shaft is {}, as loose as {given}; bearings with set screws under {} % of their rating ask for {wanted}",
            shaft.written,
            rounded(share * 100.0, 1)
        );
        finding("bearing-seat", Severity::Warning, text, source, shaft.place.line)
            .mend(format!("Draw the shaft {wanted}."))
    })
}

/// The speed that the bearings may turn on this shaft; none where no table holds it, as on sleeves.
pub(super) fn speed_allowed(module: &Module) -> Option<(Speed, &'static str)> {
    let class = worth(module)?.ok()?;
    bearings::limiting_speed(&module.bearings.insert, class).ok()
}

/// A loose ring hammers the more the faster it turns: judged at the speed that is never passed.
fn seat_by_speed(module: &Module) -> Option<Finding> {
    let (allowed, source) = speed_allowed(module)?;
    let speed = *module.limits.speed;
    (speed > allowed).then(|| {
        let class = |c: &&&str| bearings::limiting_speed(&module.bearings.insert, c).is_ok_and(|(s, _)| s >= speed);
        let tighter = bearings::SHAFT_CLASSES.iter().rev().find(class);
        let mend = tighter.map_or_else(
            || "No shaft lets this insert turn so fast: take another bearing, or lower the speed.".to_owned(),
            |class| format!("Draw the shaft {class}, or lower the speed."),
        );
        let shaft = &module.shaft.diameter;
        let text = format!(
            "on a shaft {} the inserts {} may turn {} rpm",
            shaft.written,
            *module.bearings.insert,
            rounded(allowed.rpm(), 0)
        );
        finding("bearing-speed", Severity::Error, text, source, shaft.place.line)
            .held(speed.rpm(), allowed.rpm(), "rpm")
            .mend(mend)
    })
}

/// A collar with one cut bends close on a loose shaft before it grips: what that takes is lost to the grip.
fn collar_closes(module: &Module, stack: &Stack, own: &StackFigures) -> Option<Finding> {
    let collars = &stack.collars;
    if *collars.kind != Split::OneCut {
        return None;
    }
    let ((lower, _), (_, most)) = (limits(&module.shaft.diameter).ok()?, limits(&collars.bore).ok()?);
    let loose = Length::from_mm((most - lower).to_f64()?.max(0.0));
    let elastic = bench::steel(&module.shaft.steel).ok()?.elastic;
    let bore = collars.bore.length();
    let takes = closing::closing_force(*collars.outer, bore, collars.width.length(), elastic, loose).ok()?;
    let all = own.pinch.least * f64::from(*collars.pinch.count);
    let left = (1.0 - takes / all).max(0.0);
    let grips = own.joints.iter().filter(|j| matches!(j.by, HeldBy::Pinch(_)));
    let least = grips.map(|j| j.holds / *module.limits.torque).fold(f64::INFINITY, f64::min);
    let (safety, wanted) = (least * left, module.limits.slip_safety.to_f64()?);
    (safety < wanted).then(|| {
        let text = format!(
            "to close {} mm of clearance a collar with one cut takes {} of the {} kN of its bolts; what is left holds {} times the torque",
            rounded(loose.mm(), 3),
            rounded(takes.kn(), 1),
            rounded(all.kn(), 1),
            rounded(safety, 2)
        );
        let basis = "bending of a ring with one cut (Castigliano); least preload, low friction";
        finding("collar-closes", Severity::Error, text, basis, collars.bore.place.line)
            .held(safety, wanted, "")
            .mend("Take a closer bore, a thinner wall, collars in two halves, or more and larger pinch bolts.")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{Setup, Source, demo_with, embedded, read};

    fn with(demo: &str, from: &str, to: &str) -> Module {
        demo_with(demo, &[(from, to)])
    }

    fn found(module: &Module) -> Vec<Finding> {
        let setup = Setup::all(module).remove(0);
        let mut all = whole(module);
        all.extend(of_setup(module, &Figures::of(module, &setup).unwrap()));
        all
    }

    fn ids(module: &Module) -> Vec<(String, Severity)> {
        let mut all: Vec<_> = found(module).into_iter().map(|f| (f.id, f.severity)).collect();
        all.dedup();
        all
    }

    #[test]
    fn the_demos_go_together_on_their_shafts() {
        for demo in ["flywheel", "testwheel", "countershaft"] {
            assert_eq!(ids(&with(demo, demo, demo)), [], "{demo}");
        }
    }

    /// ISO 286 at 25 mm by hand, µm: k6 +2/+15, H7 0/+21, g6 −7/−20 (h7 is −21), f7 −20/−41 (h9 is −52), d11 −65/−195 (h11 is −130).
    #[test]
    fn a_shaft_of_another_letter_is_judged_by_its_limits() {
        let shaft = |class: &str| with("flywheel", "diameter: 25 mm h6", &format!("diameter: 25 mm {class}"));
        let error = |id: &str| (id.to_owned(), Severity::Error);
        // Collars, discs and pulley do not go on, nor do the rings.
        for tight in ["k6", "m6", "n6", "js6"] {
            assert_eq!(ids(&shaft(tight)), [error("bore-clearance"), error("bearing-seat")], "{tight}");
        }
        let clear = found(&shaft("k6"));
        assert_eq!(clear.iter().filter(|f| f.id == "bore-clearance").count(), 3);
        assert!(
            clear.iter().all(|f| f.value == Some(if f.id == "bearing-seat" { 0.015 } else { -0.015 })),
            "{clear:?}"
        );
        // 630 N of belt and 440 N of weights on 14 kN ask for more than f7.
        for loose in ["f7", "h9"] {
            let found = found(&shaft(loose));
            assert_eq!(found.len(), 1, "{loose}: {found:?}");
            assert!(found[0].severity == Severity::Warning && found[0].text.contains("as loose as h9"), "{found:?}");
            assert!(found[0].mend.as_ref().is_some_and(|m| m.starts_with("Draw the shaft h")));
        }
        assert_eq!(ids(&shaft("d11")), [error("bearing-seat")]);
    }

    /// UC205 on h9 may turn 1000 rpm (PTI).
    #[test]
    fn the_speed_that_is_never_passed_is_held_against_the_seat() {
        let fast = with("flywheel", "speed: 320 rpm ", "speed: 1200 rpm ");
        assert!(!ids(&fast).iter().any(|(id, _)| id == "bearing-speed"));
        let text = embedded("flywheel").unwrap().text.replacen("speed: 320 rpm ", "speed: 1200 rpm ", 1);
        let text = text.replacen("diameter: 25 mm h6", "diameter: 25 mm h9", 1);
        let loose = read(&Source { name: "x".into(), text }).unwrap();
        let speed = found(&loose).into_iter().find(|f| f.id == "bearing-speed").unwrap();
        assert_eq!((speed.value, speed.limit, speed.severity), (Some(1200.0), Some(1000.0), Severity::Error));
        assert_eq!(speed.mend.as_deref(), Some("Draw the shaft h8, or lower the speed."));
    }

    #[test]
    fn a_sleeve_takes_h9_and_no_looser() {
        let shaft = |class: &str| ids(&with("countershaft", "diameter: 20 mm h9", &format!("diameter: 20 mm {class}")));
        assert_eq!(shaft("h11"), [("bearing-seat".to_owned(), Severity::Warning)]);
        assert!(shaft("k6").contains(&("bearing-seat".to_owned(), Severity::Error)));
    }

    #[test]
    fn a_loose_hub_runs_out_and_a_loose_collar_of_one_cut_does_not_grip() {
        let hub = with(
            "flywheel",
            "hub length: 60 mm\n  bore: 25 mm H7\n  run-out: at most 0.25 mm",
            "hub length: 60 mm\n  bore: 25 mm H11\n  run-out: at most 0.1 mm",
        );
        // H11 of 25 mm is 0/+130, h6 0/−13: 0.143 mm.
        let found_hub = found(&hub).remove(0);
        assert_eq!((found_hub.id.as_str(), found_hub.value), ("hub-clearance", Some(0.143)));
        let collar = with("testwheel", "width: 18 mm ±0.1\n  bore: 30 mm H7", "width: 18 mm ±0.1\n  bore: 30 mm H12");
        let found_collar = found(&collar).remove(0);
        assert_eq!((found_collar.id.as_str(), found_collar.severity), ("collar-closes", Severity::Error));
    }
}
