//! Findings that hold in every setup.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::{bearing, joint};
use crate::module::{Bolts, Given, Module, RingLock, Securing};
use crate::procedure::figures;
use crate::quantity::{Band, rounded};
use crate::standards::{bearings, bench, measuring, sleeves};

use super::{Finding, Severity, drives, finding, stack};

/// What holds in every setup.
pub(super) fn whole(module: &Module) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(set_screws_bite(module));
    found.extend(bores_fit(module));
    found.extend(housing_bolts(module));
    found.extend(module.stack.iter().flat_map(|s| stack::whole(module, s)));
    found.extend(securing(module));
    found.extend(yields(module));
    found.extend(ring_screws(module));
    found.extend(growth(module));
    found.extend(module.drives.iter().filter_map(|d| drives::stock_length(&d.belt)));
    found
}

fn set_screws_bite(module: &Module) -> Option<Finding> {
    let (most, source) = bench::set_screw_shaft_hv();
    let hv = module.shaft.hardness.to_f64()?;
    (hv > most).then(|| {
        finding(
            "shaft-hardness",
            Severity::Error,
            format!("a shaft of {hv} HV is too hard for cup-point set screws"),
            source,
            module.shaft.hardness.place.line,
        )
        .held(hv, most, "HV")
        .mend("Grind flats or spots under the screws, take a softer shaft, or another lock.")
    })
}

fn bores_fit(module: &Module) -> Vec<Finding> {
    let shaft = module.shaft.diameter.nominal();
    let mut bores: Vec<(&str, &Given<Band>)> = Vec::new();
    if let Some(stack) = &module.stack {
        bores.push(("collars", &stack.collars.bore));
        bores.push(("discs", &stack.discs.finish));
        bores.extend(stack.plates.iter().map(|p| ("end plates", &p.bore)));
    }
    bores.extend(module.drives.iter().map(|d| (d.pulley.part.as_str(), &d.pulley.bore)));
    let mut list: Vec<(&str, Decimal, u32)> =
        bores.into_iter().map(|(name, bore)| (name, bore.nominal(), bore.place.line)).collect();
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
            finding(
                "bore-fit",
                Severity::Error,
                format!("the {what} have a bore of {bore} mm, the shaft {shaft} mm"),
                "spec",
                line,
            )
            .held(bore.to_f64().unwrap_or(0.0), shaft.to_f64().unwrap_or(0.0), "mm")
            .at(what)
            .mend("Give bore and shaft one nominal size.")
        })
        .collect()
}

fn housing_bolts(module: &Module) -> Option<Finding> {
    let unit = bearings::insert(&module.bearings.insert).ok()?;
    let bolts = &module.bearings.base_bolts;
    (unit.bolt != bolts.thread.value || unit.housing != *module.bearings.housing).then(|| {
        finding(
            "housing",
            Severity::Error,
            format!("insert {} goes into housing {} with bolts {}", unit.insert, unit.housing, unit.bolt),
            bearings::source(),
            bolts.thread.place.line,
        )
        .mend(format!("Use housing {} and bolts {}.", unit.housing, unit.bolt))
    })
}

fn securing(module: &Module) -> Vec<Finding> {
    let mut still = vec![("base bolts", &module.bearings.base_bolts), ("hold-downs", &module.frame.hold_downs)];
    still.extend(module.drives.iter().map(|d| ("lock bolts", &d.sled.lock_bolts)));
    still
        .into_iter()
        .filter(|(_, b)| *b.secure == Securing::None)
        .map(|(name, b)| {
            finding(
                "securing",
                Severity::Warning,
                format!("nothing keeps the {name} tight"),
                "common practice",
                b.secure.place.line,
            )
            .at(name)
            .mend("Name what secures them.")
        })
        .collect()
}

/// Bolts that tightening would stretch for good: tension and torsion together above the yield strength.
fn yields(module: &Module) -> Vec<Finding> {
    let stack = module.stack.iter().flat_map(|s| [("rods", &s.rods.bolts), ("pinch bolts", &s.collars.pinch)]);
    let base = [("base bolts", &module.bearings.base_bolts), ("hold-downs", &module.frame.hold_downs)];
    let groups = stack.chain(base);
    let over = |bolts: &Bolts| {
        let tight = figures::tight(bolts).ok()?;
        let mu = bolts.friction.value.lower?.to_f64()?;
        joint::yield_use(tight.thread, &tight.class, tight.preload, mu).ok().filter(|used| *used > 1.0)
    };
    let found = groups.filter_map(|(name, bolts)| over(bolts).map(|used| (name, bolts, used)));
    found
        .map(|(name, bolts, used)| {
            finding(
                "bolt-yield",
                Severity::Error,
                format!(
                    "tightening takes the {name} to {} % of their yield strength, with the torsion of the wrench",
                    rounded(used * 100.0, 0)
                ),
                "VDI 2230-1, equivalent stress while tightening",
                bolts.share.place.line,
            )
            .held(used * 100.0, 100.0, "%")
            .at(name)
            .mend("Take a smaller share of proof, a higher class, or a better lubricant.")
        })
        .collect()
}

/// The set screws of the inner rings against what is published for the unit: too low walks, too high splits the ring.
fn ring_screws(module: &Module) -> Option<Finding> {
    let RingLock::SetScrews(screws) = &module.bearings.lock else { return None };
    let (low, high) = bearings::set_screw_range(&module.bearings.insert).ok()?;
    let (torque, line) = (*screws.torque, screws.torque.place.line);
    let limit = match (torque < low, torque > high) {
        (true, _) => low,
        (_, true) => high,
        _ => return None,
    };
    let text = format!(
        "{} N·m on the set screws of {}, where {} to {} N·m are published",
        torque.nm(),
        *module.bearings.insert,
        low.nm(),
        high.nm()
    );
    Some(
        finding(
            "ring-screws",
            Severity::Warning,
            text,
            "bearing makers' mounting instructions, all published figures",
            line,
        )
        .held(torque.nm(), limit.nm(), "N·m")
        .mend("Read the bearing maker's own sheet again."),
    )
}

/// Axial play of an insert bearing, mm (common practice).
const PLAY_MM: f64 = 0.1;

/// Growth between two bearings that are both locked, against the bearings' axial play.
fn growth(module: &Module) -> Option<Finding> {
    let [a, b] = [0, 1].map(|i| module.bearings.each.get(i).map(|id| figures::place(module, &id.value)));
    let between = b? - a?;
    let range = &module.limits.temperature.value;
    let kelvin = (range.upper? - range.lower?).to_f64()?;
    let grows = bearing::growth(between, kelvin).mm();
    let (source, line) = (measuring::expansion_per_k().1, module.limits.temperature.place.line);
    let text =
        format!("over {kelvin} K the shaft grows {} mm more than a cold base between the bearings", rounded(grows, 2));
    let Some(floats) = &module.bearings.floats else {
        // Two fixed rings have their own axial play alone; 0.1 mm as the check of the held shaft allows (common practice).
        let severity = if grows > PLAY_MM { Severity::Warning } else { Severity::Note };
        let text = format!("{text}; both rings are fixed");
        let mend = "Let one bearing float, or keep the bench and the base at one temperature.";
        return Some(finding("growth", severity, text, source, line).held(grows, PLAY_MM, "mm").mend(mend));
    };
    let text = format!("{text}; {} is locked last, after a turn by hand", **floats);
    Some(finding("growth", Severity::Note, text, source, line))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::{Source, embedded, read};

    fn with(from: &str, to: &str) -> Module {
        let text = embedded("flywheel").unwrap().text;
        assert!(text.contains(from), "{from}");
        read(&Source { name: "x".into(), text: text.replacen(from, to, 1) })
            .unwrap_or_else(|p| panic!("{}", p.report()))
    }

    /// M8 8.8 at 90 % of proof, friction 0.20: 522 MPa tension; by the elastic section 16·M/(π·ds³) with an arm of
    /// 0.199 + 0.831 = 1.030 mm, ds 6.827 mm, so shear 0.603 of the tension and 522·sqrt(1 + 3·0.603²) = 754 MPa, 118 % of 640.
    #[test]
    fn tightening_past_yield_is_an_error_at_the_bolts_line() {
        assert!(yields(&read(&embedded("flywheel").unwrap()).unwrap()).is_empty());
        let pinch = "pinch: { count: 2, size: M8 x 35, class: 8.8, friction: 0.12 to 0.16, use: 70 % of proof";
        let rough = pinch.replace("0.12 to 0.16", "0.20 to 0.24").replace("70 %", "90 %");
        let found = yields(&with(pinch, &rough));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].severity, Severity::Error);
        assert!((found[0].value.unwrap() - 118.0).abs() < 1.0, "{:?}", found[0].value);
        assert!(found[0].text.contains("pinch bolts") && found[0].line == Some(50), "{found:?}");
    }
}
