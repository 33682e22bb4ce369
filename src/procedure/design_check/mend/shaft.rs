//! What holds the shaft up: a thicker one with all that sits on it, a stronger steel, a lower speed.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::whirl::SERVICE_SHARE;
use crate::module::{Given, Module, RingLock, Setup};
use crate::quantity::Band;
use crate::standards::bearings::Unit;
use crate::standards::{bearings, bench, ring_screws};

use super::super::setup;
use super::{Candidate, Finding, Ways, candidate, whole};

/// Sizes tried above the shaft's own; a shaft three sizes thicker is another design.
const SIZES: usize = 3;

pub(super) fn ways(module: &Module, finding: &Finding) -> Ways {
    match finding.id.as_str() {
        "critical-speed" => vec![slower(module), thicker(module)],
        "shaft-bending" => vec![stronger(module), thicker(module)],
        _ => vec![thicker(module)],
    }
}

/// True where no setup comes too near its first critical speed; the other findings are looked for without it.
pub(super) fn clear_of_critical(module: &Module) -> bool {
    lowest_allowed(module).is_some_and(|allowed| module.limits.speed.rpm() <= allowed)
}

/// The largest speed that every setup allows, rpm.
fn lowest_allowed(module: &Module) -> Option<f64> {
    let each = Setup::all(module).into_iter().map(|s| setup::first_critical(module, &s).ok());
    let firsts = each.collect::<Option<Vec<_>>>()?;
    firsts.iter().map(|f| (f.soft * SERVICE_SHARE).rpm()).min_by(f64::total_cmp)
}

/// In tens of revolutions, as a limit is written.
fn slower(module: &Module) -> Vec<Candidate> {
    let Some(rpm) = lowest_allowed(module).map(|rpm| (rpm / 10.0).floor() * 10.0).filter(|rpm| *rpm > 0.0) else {
        return Vec::new();
    };
    vec![candidate(format!("Let the rotor never pass {rpm} rpm"), &[("limits.speed", format!("{rpm} rpm"))])]
}

/// Steels of the table that bear more at this diameter, the weakest of them first.
fn stronger(module: &Module) -> Vec<Candidate> {
    let at = |name: &str| {
        bench::steel(name).and_then(|s| s.tensile_strength(module.shaft.diameter.length())).map(|s| s.mpa()).ok()
    };
    let Some(own) = at(&module.shaft.steel) else { return Vec::new() };
    let mut better: Vec<(f64, &str)> =
        bench::steel_names().filter_map(|name| at(name).map(|mpa| (mpa, name))).filter(|(mpa, _)| *mpa > own).collect();
    better.sort_by(|a, b| a.0.total_cmp(&b.0));
    better
        .iter()
        .map(|(_, name)| candidate(format!("Take a shaft of {name}"), &[("shaft.steel", (*name).to_owned())]))
        .collect()
}

/// The next units of the table, and every bore of the spec as much larger as the shaft is.
fn thicker(module: &Module) -> Vec<Candidate> {
    let own = module.shaft.diameter.nominal();
    let RingLock::SetScrews(_) = module.bearings.lock else { return Vec::new() };
    let larger =
        bearings::rows().iter().filter(|u| u.insert.starts_with("UC") && own.to_f64().is_some_and(|own| u.bore > own));
    larger.take(SIZES).filter_map(|unit| with_unit(module, own, unit)).collect()
}

/// Limits of a size as they stand behind it: " ±0.05", or " +0.1 -0.2" where they are not alike.
fn either_side(size: &Given<Band>) -> String {
    let nominal = size.nominal();
    let (over, under) = (size.upper.unwrap_or(nominal) - nominal, size.lower.unwrap_or(nominal) - nominal);
    if over == -under { format!(" ±{over}") } else { format!(" {over:+} {under:+}") }
}

fn with_unit(module: &Module, own: Decimal, unit: &Unit) -> Option<Candidate> {
    let RingLock::SetScrews(screws) = &module.bearings.lock else { return None };
    let size = Decimal::try_from(unit.bore).ok()?;
    let sized = |class: Option<&String>| class.map_or_else(|| format!("{size} mm"), |c| format!("{size} mm {c}"));
    let range = ring_screws::range(&unit.insert, &screws.from).ok()??;
    let screw = ring_screws::torques(&unit.insert).ok()?.first()?.screw.clone();
    let torque = (range.high.nm() * 10.0).floor() / 10.0;
    let mut set = vec![
        ("shaft.diameter", sized(module.shaft.diameter.class.as_ref())),
        ("bearings.insert", unit.insert.clone()),
        ("bearings.housing", unit.housing.clone()),
        whole::base_bolts(module, &unit.bolt),
        ("bearings.set screws.size", screw),
        ("bearings.set screws.torque", format!("{torque} N·m")),
    ];
    if let Some(stack) = &module.stack {
        let bore = &stack.discs.bore;
        let cut = bore.nominal() + size - own;
        set.push(("discs.bore.size", format!("{cut} mm{}", either_side(bore))));
        set.push(("discs.bore.finish", format!("ream {}", sized(stack.discs.finish.class.as_ref()))));
        // The mandrel that the discs roll on goes through the finished bore.
        let way = stack.discs.heavy_side.as_ref();
        set.extend(way.map(|way| ("discs.heavy side.mandrel", sized(way.mandrel.class.as_ref()))));
        set.push(("collars.bore", sized(stack.collars.bore.class.as_ref())));
        if let Some(plates) = &stack.plates {
            set.push(("plates.bore", sized(plates.bore.class.as_ref())));
        }
    }
    for (drive, field) in module.drives.iter().zip(["pulley.bore", "second drive.pulley.bore"]) {
        set.push((field, sized(drive.pulley.bore.class.as_ref())));
    }
    let text = format!("Take a shaft of {size} mm in units {} and {}, and every bore to it", unit.insert, unit.housing);
    Some(candidate(text, &set))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    #[test]
    fn a_bore_keeps_both_its_limits_when_it_is_made_larger() {
        for (written, wanted) in [("±0.05", "29.6 mm ±0.05"), ("+0.1 -0.2", "29.6 mm +0.1 -0.2")] {
            let size = format!("size: 24.6 mm {written}");
            let module = demo_with("flywheel", &[("size: 24.6 mm ±0.05", &size)]);
            let next = thicker(&module).remove(0);
            let bore = next.set.iter().find(|(field, _)| field == "discs.bore.size").unwrap();
            assert_eq!(bore.1, wanted);
        }
    }
}
