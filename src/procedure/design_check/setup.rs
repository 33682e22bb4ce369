//! Findings and figures of one setup.

use rust_decimal::prelude::ToPrimitive;
use serde_json::{Map, Value, json};

use crate::mechanics::bearing;
use crate::mechanics::whirl::SERVICE_SHARE;
use crate::module::{Module, RingLock, Setup};
use crate::procedure::figures::{self, Figures, NoFigure, StackFigures};
use crate::quantity::rounded;
use crate::standards::{bearings, bench};

use super::{Finding, Severity, along, drives, finding, mend, round, stack};

/// What depends on the setup.
pub(super) fn of_setup(
    module: &Module,
    setup: &Setup,
    f: &Figures,
    first: Option<&Result<f64, NoFigure>>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    if let (Some(stack), Some(own)) = (&module.stack, &f.stack) {
        found.extend(stack::of_setup(module, stack, setup, own, f));
    }
    found.extend(slip(module, f));
    found.extend(speed(module, f));
    found.extend(drives::of_setup(module, setup, f));
    found.extend(bearing_life(module, f));
    found.extend(bearing_seat(module, f));
    found.extend(first.and_then(|first| critical(module, f, first)));
    found.extend(along::bending(module, setup));
    found.extend(along::room(module, setup));
    found
}

/// Every joint that holds too little.
fn slip(module: &Module, f: &Figures) -> Vec<Finding> {
    let wanted = module.limits.slip_safety.to_f64().unwrap_or(f64::NAN);
    let weak = f.joints.iter().map(|joint| (joint, joint.holds / *module.limits.torque));
    let weak = weak.filter(|(_, safety)| *safety < wanted);
    weak.map(|(joint, safety)| {
        finding(
            "slip",
            Severity::Error,
            format!(
                "{} holds only {} times the torque at low friction and least preload",
                joint.name,
                rounded(safety, 2)
            ),
            bench::slip().source.as_str(),
            module.limits.slip_safety.place.line,
        )
        .held(safety, wanted, "")
        .at(joint.name.as_str())
        .mend(mend::in_general(joint.by))
    })
    .collect()
}

fn speed(module: &Module, f: &Figures) -> Option<Finding> {
    let limit = module.limits.speed.rpm();
    (f.speed.rpm() > limit).then(|| {
        finding(
            "speed",
            Severity::Error,
            format!("the rotor would turn {} rpm", rounded(f.speed.rpm(), 0)),
            "spec",
            module.limits.speed.place.line,
        )
        .held(f.speed.rpm(), limit, "rpm")
        .mend("Take a larger step, or leave this setup out.")
    })
}

fn bearing_life(module: &Module, f: &Figures) -> Option<Finding> {
    const WANTED_H: f64 = 10_000.0;
    let line = module.bearings.insert.place.line;
    match &f.life {
        Err(e) => Some(finding("bearing-life", Severity::Error, e.to_string(), "ISO 281", line)),
        Ok(life) => (life.h() < WANTED_H).then(|| {
            finding(
                "bearing-life",
                Severity::Warning,
                format!("the worse bearing lives {} h", rounded(life.h(), 0)),
                "ISO 281; 10 000 h common practice",
                line,
            )
            .held(life.h(), WANTED_H, "h")
            .mend("Take a larger unit, or less belt tension.")
        }),
    }
}

/// A shaft looser than the load asks for lets the ring walk and hammer.
fn bearing_seat(module: &Module, f: &Figures) -> Option<Finding> {
    // A sleeve takes up a coarser shaft.
    let RingLock::SetScrews(_) = module.bearings.lock else { return None };
    let life = f.life.as_ref().ok()?;
    let (wanted, source) = bearings::shaft_class(bearing::load_share(*life, f.speed)).ok()?;
    let given = module.shaft.diameter.value.class.as_deref()?;
    let grade = |class: &str| class.strip_prefix('h').and_then(|g| g.parse::<u32>().ok());
    (grade(given)? > grade(wanted)?).then(|| {
        let text = format!("the shaft is {given}; bearings with set screws under this load ask for {wanted}");
        finding("bearing-seat", Severity::Warning, text, source, module.shaft.diameter.place.line)
            .mend(format!("Draw the shaft {wanted}."))
    })
}

/// The cautious first critical speed, rpm: at standstill.
pub(super) fn first_critical(module: &Module, setup: &Setup) -> Result<f64, NoFigure> {
    figures::critical_speeds(module, setup).map(|c| c.standstill.first().map_or(f64::NAN, |s| s.rpm()))
}

/// The speed stays a quarter below the first critical (common practice).
fn critical(module: &Module, f: &Figures, first: &Result<f64, NoFigure>) -> Option<Finding> {
    let line = module.limits.speed.place.line;
    let basis = "beam finite elements, bearings and frame at 1e8 N/m; a quarter below, common practice";
    match first {
        Err(e) => Some(finding("critical-speed", Severity::Error, e.why.clone(), basis, e.line)),
        Ok(first) => (f.speed.rpm() > first * SERVICE_SHARE).then(|| {
            let text = format!("the rotor's speed is too near its first critical of {} rpm", rounded(*first, 0));
            finding("critical-speed", Severity::Error, text, basis, line)
                .held(f.speed.rpm(), first * SERVICE_SHARE, "rpm")
                .mend("Lower the speed, thicken the shaft, or move the bearings together; a bump test tells more.")
        }),
    }
}

/// Figures by the names of the contract; null where the module has no such thing.
pub(super) fn numbers(module: &Module, f: &Figures, first: Option<f64>) -> Map<String, Value> {
    let (safety, at) = f.slip(module);
    let value = |v: f64| json!(round(v));
    let maybe = |v: Option<f64>| v.map_or(Value::Null, value);
    let of_stack = |get: fn(&StackFigures) -> f64| maybe(f.stack.as_ref().map(get));
    let hoop = f.stack.as_ref().and_then(|s| s.hoop.as_ref().ok()).map(|s| s.mpa());
    let pairs = [
        ("stack_mm", of_stack(|s| s.nominal().mm())),
        ("rod_needed_mm", of_stack(|s| s.rod_needed.0.mm())),
        ("rod_torque_nm", of_stack(|s| s.rod.torque.nm())),
        ("rod_preload_kn", of_stack(|s| s.rod.preload.kn())),
        ("slip_safety", value(safety)),
        ("slip_at", json!(at)),
        ("rotor_mass_kg", value(f.mass.kg())),
        ("rotor_inertia_kgm2", json!((f.inertia.kgm2() * 1e5).round() / 1e5)),
        ("energy_j", value(f.energy.j())),
        ("hoop_stress_mpa", maybe(hoop)),
        ("first_critical_rpm", maybe(first)),
        ("speed_rpm", value(f.speed.rpm())),
        ("bearing_life_h", maybe(f.life.as_ref().ok().map(|l| l.h().round()))),
        ("permissible_unbalance_gmm", value(f.unbalance.gmm())),
    ];
    let mut figures: Map<String, Value> = pairs.into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
    let belts: Vec<Map<String, Value>> = drives::numbers(module, f);
    figures.extend(belts.first().cloned().unwrap_or_default());
    if belts.len() > 1 {
        figures.insert("belts".into(), json!(belts));
    }
    figures
}
