//! What holds in every setup: bolts, screws, bearings, shaft.

use rust_decimal::prelude::ToPrimitive;

use crate::module::{Bolts, Module, RingLock};
use crate::standards::{bearings, bench, ring_screws};

use super::{Candidate, Finding, Severity, Ways, candidate};

pub fn ways(module: &Module, finding: &Finding) -> Ways {
    match finding.id.as_str() {
        "shaft-hardness" => vec![softer()],
        "bore-fit" => bore(module, finding),
        "housing" => vec![housing(module)],
        "securing" => vec![secured(module, finding)],
        "bolt-yield" => vec![less_share(module, finding)],
        "ring-screws" if finding.at.is_some() => vec![ring_size(module)],
        "ring-screws" => vec![ring_screws(module)],
        "bearing-seat" | "bore-clearance" => vec![seat(module)],
        "growth" => vec![floats(module)],
        "shaft-room" => vec![longer_shaft(finding)],
        _ => Vec::new(),
    }
}

fn softer() -> Vec<Candidate> {
    let hv = format!("{} HV", bench::set_screw_shaft_hv().0);
    vec![candidate(format!("Take a shaft of at most {hv}"), &[("shaft.hardness", hv)])]
}

/// The bore of the shaft's size, in its own class.
fn bore(module: &Module, finding: &Finding) -> Ways {
    let shaft = module.shaft.diameter.nominal();
    let at = finding.at.as_deref().unwrap_or_default();
    let sized = |field: &str, class: Option<&String>| {
        let size = class.map_or_else(|| format!("{shaft} mm"), |c| format!("{shaft} mm {c}"));
        vec![candidate(format!("Bore the {at} {size}"), &[(field, size)])]
    };
    if at == "bearings" {
        return vec![unit(module)];
    }
    let stack = module.stack.as_ref();
    let drive = module.drives.iter().position(|d| d.pulley.part == at);
    let list = match (at, stack, drive) {
        ("collars", Some(s), _) => sized("collars.bore", s.collars.bore.value.class.as_ref()),
        ("end plates", Some(s), _) => sized("plates.bore", s.plates.as_ref().and_then(|p| p.bore.value.class.as_ref())),
        (_, _, Some(0)) => sized("pulley.bore", module.drives[0].pulley.bore.value.class.as_ref()),
        (_, _, Some(k)) => sized("second drive.pulley.bore", module.drives[k].pulley.bore.value.class.as_ref()),
        _ => Vec::new(),
    };
    vec![list]
}

/// The unit of the shaft's bore.
fn unit(module: &Module) -> Vec<Candidate> {
    let shaft = module.shaft.diameter.nominal().to_f64().unwrap_or(f64::NAN);
    let RingLock::SetScrews(_) = module.bearings.lock else { return Vec::new() };
    let fits = bearings::rows().iter().filter(|u| u.insert.starts_with("UC") && (u.bore - shaft).abs() < 1e-9);
    fits.map(|u| {
        let text = format!("Take inserts {} in housings {}", u.insert, u.housing);
        let set = [
            ("bearings.insert", u.insert.clone()),
            ("bearings.housing", u.housing.clone()),
            base_bolts(module, &u.bolt),
        ];
        candidate(text, &set)
    })
    .collect()
}

pub(super) fn base_bolts(module: &Module, thread: &str) -> (&'static str, String) {
    let length = module.bearings.base_bolts.length.map_or_else(String::new, |l| format!(" x {}", l.mm()));
    ("bearings.base bolts.size", format!("{thread}{length}"))
}

fn housing(module: &Module) -> Vec<Candidate> {
    let Ok(unit) = bearings::insert(&module.bearings.insert) else { return Vec::new() };
    let text = format!("Take housings {} and bolts {}", unit.housing, unit.bolt);
    vec![candidate(text, &[("bearings.housing", unit.housing.clone()), base_bolts(module, &unit.bolt)])]
}

/// A group by its name at the bench: where its bolts stand in the spec, and the bolts.
fn group<'a>(module: &'a Module, finding: &Finding) -> Option<(&'static str, &'a Bolts)> {
    let stack = module.stack.as_ref();
    let lock = |k: usize| module.drives.get(k).map(|d| &d.sled.lock_bolts);
    Some(match finding.at.as_deref()? {
        "rods" => ("rods", &stack?.rods.bolts),
        "pinch bolts" => ("collars.pinch", &stack?.collars.pinch),
        "base bolts" => ("bearings.base bolts", &module.bearings.base_bolts),
        "hold-downs" => ("frame.hold-downs", &module.frame.hold_downs),
        "lock bolts" => ("sled.lock bolts", lock(0)?),
        "lock bolts of the second drive" => ("second drive.sled.lock bolts", lock(1)?),
        _ => return None,
    })
}

fn secured(module: &Module, finding: &Finding) -> Vec<Candidate> {
    if finding.severity == Severity::Note {
        return Vec::new();
    }
    let Some((field, _)) = group(module, finding) else { return Vec::new() };
    let secure = format!("{field}.secure");
    vec![candidate("Put spring washers under the heads", &[(&secure, "spring washer".to_owned())])]
}

/// Shares of proof in steps of five percent, downwards.
fn less_share(module: &Module, finding: &Finding) -> Vec<Candidate> {
    let Some((field, bolts)) = group(module, finding) else { return Vec::new() };
    let shares = (4..20u32).rev().map(|n| n * 5).filter(|percent| f64::from(*percent) < *bolts.share * 100.0);
    shares
        .map(|p| {
            candidate(format!("Tighten to {p} % of proof"), &[(&format!("{field}.use"), format!("{p} % of proof"))])
        })
        .collect()
}

fn ring_screws(module: &Module) -> Vec<Candidate> {
    let RingLock::SetScrews(screws) = &module.bearings.lock else { return Vec::new() };
    // Without a maker's name there is no range to set it into; the finding says so.
    let Ok(Some(range)) = ring_screws::range(&module.bearings.insert, &screws.from) else { return Vec::new() };
    let torque =
        if *screws.torque < range.low { (range.low.nm() * 10.0).ceil() } else { (range.high.nm() * 10.0).floor() }
            / 10.0;
    let text = format!("If the maker's sheet allows it, set {torque} N·m, the nearest published torque");
    vec![candidate(text, &[("bearings.set screws.torque", format!("{torque} N·m"))])]
}

/// The screws that the ring is made for.
fn ring_size(module: &Module) -> Vec<Candidate> {
    let Some(screw) = ring_screws::torques(&module.bearings.insert).ok().and_then(|t| Some(&t.first()?.screw)) else {
        return Vec::new();
    };
    vec![candidate(format!("Write the ring's set screws as {screw}"), &[("bearings.set screws.size", screw.clone())])]
}

fn seat(module: &Module) -> Vec<Candidate> {
    let size = module.shaft.diameter.nominal();
    let classes = ["h9", "h8", "h7", "h6", "h5"];
    classes.map(|c| candidate(format!("Draw the shaft {c}"), &[("shaft.diameter", format!("{size} mm {c}"))])).into()
}

/// As long as the parts need it, in whole millimetres.
fn longer_shaft(finding: &Finding) -> Vec<Candidate> {
    let needed = finding.limit.filter(|needed| finding.value.is_some_and(|own| own > 0.0 && own < *needed));
    let length = needed.map(|n| format!("{} mm", n.ceil()));
    length.map(|l| candidate(format!("Take a shaft {l} long"), &[("shaft.length", l)])).into_iter().collect()
}

fn floats(module: &Module) -> Vec<Candidate> {
    let each = module.bearings.each.iter();
    each.map(|b| candidate(format!("Let {} float", b.value), &[("bearings.floats", b.value.clone())])).collect()
}
