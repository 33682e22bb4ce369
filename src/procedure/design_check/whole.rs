//! Findings that hold in every setup.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::{bearing, joint, ream};
use crate::module::{Bolts, Edge, Module, Securing};
use crate::procedure::figures;
use crate::quantity::rounded;
use crate::standards::{bearings, belts, bench, measuring, threads};

use super::{Finding, Severity, finding, round};

/// What holds in every setup.
pub(super) fn whole(module: &Module) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(set_screws_bite(module));
    found.extend(bores_fit(module));
    found.extend(stock(module));
    found.extend(housing_bolts(module));
    found.extend(rod_holes(module));
    found.extend(securing(module));
    found.extend(yields(module));
    found.extend(ring_screws(module));
    found.extend(growth(module));
    found.extend(stock_length(module));
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
    let line = |g: &crate::module::Given<crate::quantity::Band>| g.place.line;
    let mut list = vec![
        ("collars", module.collars.bore.nominal(), line(&module.collars.bore)),
        ("pulley", module.pulley.bore.nominal(), line(&module.pulley.bore)),
        ("discs", module.discs.finish.nominal(), line(&module.discs.finish)),
    ];
    if let Ok(unit) = bearings::insert(&module.bearings.insert) {
        list.push((
            "bearings",
            Decimal::from_f64_retain(unit.bore).unwrap_or_default(),
            module.bearings.insert.place.line,
        ));
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
            .mend("Give bore and shaft one nominal size.")
        })
        .collect()
}

/// Reaming: enough stock, none of it hard skin.
fn stock(module: &Module) -> Vec<Finding> {
    let discs = &module.discs;
    let line = discs.bore.place.line;
    let hard = matches!(*discs.edge, Edge::Laser | Edge::Plasma);
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

fn rod_holes(module: &Module) -> Option<Finding> {
    let thread = threads::thread(&module.rods.bolts.thread).ok()?;
    let hole = module.discs.drill.mm();
    (hole < thread.hole - 1e-9).then(|| {
        finding(
            "rod-hole",
            Severity::Error,
            format!("a hole of {hole} mm is too small for {}", thread.size),
            threads::source(),
            module.discs.drill.place.line,
        )
        .held(hole, thread.hole, "mm")
        .mend(format!("Drill {} mm, the medium clearance hole.", thread.hole))
    })
}

fn securing(module: &Module) -> Vec<Finding> {
    let still = [
        ("base bolts", &module.bearings.base_bolts),
        ("hold-downs", &module.frame.hold_downs),
        ("lock bolts", &module.sled.lock_bolts),
    ];
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
            .mend("Name what secures them.")
        })
        .collect()
}

/// Bolts that tightening would stretch for good: tension and torsion together above the yield strength.
fn yields(module: &Module) -> Vec<Finding> {
    let groups = [("rods", &module.rods.bolts), ("pinch bolts", &module.collars.pinch)];
    let over = |bolts: &Bolts| {
        let tight = figures::tight(bolts).ok()?;
        let mu = bolts.friction.value.lower?.to_f64()?;
        joint::yield_use(tight.thread, &tight.class, tight.preload, mu).ok().filter(|used| *used > 1.0)
    };
    let found = groups.into_iter().filter_map(|(name, bolts)| over(bolts).map(|used| (name, bolts, used)));
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
            .mend("Take a smaller share of proof, a higher class, or a better lubricant.")
        })
        .collect()
}

/// The set screws of the inner rings against what is published for the unit: too low walks, too high splits the ring.
fn ring_screws(module: &Module) -> Option<Finding> {
    let (low, high) = bearings::set_screw_range(&module.bearings.insert).ok()?;
    let (torque, line) = (*module.bearings.set_screws.torque, module.bearings.set_screws.torque.place.line);
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

/// Growth between two bearings that are both locked, against the bearings' axial play.
fn growth(module: &Module) -> Option<Finding> {
    let [a, b] = [0, 1].map(|i| module.bearings.each.get(i).map(|id| figures::place(module, &id.value)));
    let between = b? - a?;
    let range = &module.limits.temperature.value;
    let kelvin = (range.upper? - range.lower?).to_f64()?;
    let grows = bearing::growth(between, kelvin);
    Some(finding(
        "growth",
        Severity::Note,
        format!(
            "over {kelvin} K the shaft grows {} mm more than a cold base between the bearings; {} is locked last, after a turn by hand",
            rounded(grows.mm(), 2),
            *module.bearings.floats
        ),
        measuring::expansion_per_k().1,
        module.limits.temperature.place.line,
    ))
}

fn stock_length(module: &Module) -> Option<Finding> {
    let stock = belts::stock(&module.belt.profile);
    let length = module.belt.length.mm();
    if stock.is_empty() || stock.iter().any(|l| (l - length).abs() < 0.5) {
        return None;
    }
    let near = stock.iter().copied().min_by(|a, b| (a - length).abs().total_cmp(&(b - length).abs()))?;
    Some(
        finding(
            "belt-length",
            Severity::Note,
            format!("{} of {length} mm is not in the stock range looked at", *module.belt.profile),
            "published range of one belt maker",
            module.belt.length.place.line,
        )
        .mend(format!("{near} mm is the nearest; or order to length.")),
    )
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
