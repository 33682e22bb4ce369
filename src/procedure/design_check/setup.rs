//! Findings and figures of one setup.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;
use serde_json::{Map, Value, json};

use crate::mechanics::whirl::SERVICE_SHARE;
use crate::module::{Module, Setup, Split};
use crate::procedure::figures::{self, Figures, HeldBy, NoFigure, StackFigures};
use crate::quantity::{Speed, Stiffness, rounded};
use crate::standards::bench;

use super::{Finding, Severity, along, drives, finding, heavy_side, mend, round, seats, stack};

/// What depends on the setup.
pub(super) fn of_setup(
    module: &Module,
    setup: &Setup,
    f: &Figures,
    first: Option<&Result<First, NoFigure>>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    if let (Some(stack), Some(own)) = (&module.stack, &f.stack) {
        found.extend(stack::of_setup(module, stack, setup, own, f));
        found.extend(heavy_side::of_setup(module, stack, setup, f));
    }
    found.extend(slip(module, f));
    found.extend(speed(module, f));
    found.extend(drives::of_setup(module, setup, f));
    found.extend(bearing_life(module, f));
    found.extend(seats::of_setup(module, f));
    found.extend(first.and_then(|first| critical(module, first)));
    found.extend(along::bending(module, setup));
    found.extend(along::room(module, setup));
    found
}

/// Every joint that holds too little.
fn slip(module: &Module, f: &Figures) -> Vec<Finding> {
    let wanted = module.limits.slip_safety.to_f64().unwrap_or(f64::NAN);
    let one_cut = module.stack.as_ref().is_some_and(|s| *s.collars.kind == Split::OneCut);
    let weak = f.joints.iter().map(|joint| (joint, joint.holds / *module.limits.torque));
    let weak = weak.filter(|(_, safety)| *safety < wanted);
    weak.map(|(joint, safety)| {
        let by_pinch = matches!(joint.by, HeldBy::Pinch(_));
        let lever =
            if one_cut && by_pinch { "; the lever of a one-cut collar is an ideal and not counted" } else { "" };
        let found = finding(
            "slip",
            Severity::Error,
            format!(
                "{} holds only {} times the torque at low friction and least preload, settled{lever}",
                joint.name,
                rounded(safety, 2)
            ),
            bench::slip().holds_source.as_str(),
            module.limits.slip_safety.place.line,
        )
        .held(safety, wanted, "")
        .at(joint.name.as_str())
        .mend(mend::in_general(joint.by));
        Finding { joint: Some(joint.by), ..found }
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

/// The cautious first critical speeds: at standstill, on a soft frame, which is judged, and on a stiff one, which is shown.
#[derive(Debug, Clone, Copy)]
pub(super) struct First {
    pub(super) soft: Speed,
    pub(super) stiff: Speed,
}

pub(super) fn first_critical(module: &Module, setup: &Setup) -> Result<First, NoFigure> {
    let frame = bench::frame_stiffness();
    let on = |stiffness| figures::first_critical(module, setup, Stiffness::from_n_per_m(stiffness));
    Ok(First { soft: on(frame.low)?, stiff: on(frame.high)? })
}

/// Critical speeds found so far: the pulley counts by its middle step, so they go with the number of discs alone.
#[derive(Debug, Default)]
pub(super) struct Criticals(BTreeMap<u32, Result<First, NoFigure>>);

impl Criticals {
    /// As [`first_critical`], each number of discs reckoned once.
    pub(super) fn first(&mut self, module: &Module, setup: &Setup) -> Result<First, NoFigure> {
        self.0.entry(setup.discs).or_insert_with(|| first_critical(module, setup)).clone()
    }
}

/// The speed that is never passed stays a quarter below the first critical (common practice).
fn critical(module: &Module, first: &Result<First, NoFigure>) -> Option<Finding> {
    let line = module.limits.speed.place.line;
    let frame = bench::frame_stiffness();
    let basis = format!(
        "beam finite elements, bearings and frame at {:e} N/m ({}); a quarter below, common practice",
        frame.low, frame.source
    );
    let speed = *module.limits.speed;
    match first {
        Err(e) => Some(finding("critical-speed", Severity::Error, e.why.clone(), &basis, e.line)),
        Ok(First { soft, stiff }) => (speed > *soft * SERVICE_SHARE).then(|| {
            let text = format!(
                "the largest speed is too near the first critical of {} rpm on a soft frame; on a stiff one it is {} rpm",
                rounded(soft.rpm(), 0),
                rounded(stiff.rpm(), 0)
            );
            finding("critical-speed", Severity::Error, text, &basis, line)
                .held(speed.rpm(), soft.rpm() * SERVICE_SHARE, "rpm")
                .mend("Lower the speed, thicken the shaft, or move the bearings together; a bump test tells more.")
        }),
    }
}

/// Figures by the names of the contract; null where the module has no such thing.
pub(super) fn numbers(module: &Module, f: &Figures, first: Option<First>) -> Map<String, Value> {
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
        ("first_critical_rpm", maybe(first.map(|c| c.soft.rpm()))),
        ("first_critical_stiff_rpm", maybe(first.map(|c| c.stiff.rpm()))),
        ("bearing_speed_rpm", maybe(seats::speed_allowed(module).map(|(s, _)| s.rpm()))),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    /// The lever is a collar's; pins between plate and collar have none, though their joint names a collar too.
    #[test]
    fn the_lever_of_a_one_cut_collar_is_said_of_its_grip_alone() {
        let module = demo_with("testwheel", &[("torque: 9 N·m", "torque: 900 N·m")]);
        let setup = Setup::all(&module).remove(0);
        let found = slip(&module, &Figures::of(&module, &setup).unwrap());
        let lever = |f: &&Finding| f.text.contains("lever");
        let gripped = |f: &&Finding| matches!(f.joint, Some(HeldBy::Pinch(_)));
        assert!(
            found.iter().filter(lever).count() == 2 && found.iter().filter(lever).all(|f| gripped(&f)),
            "{found:?}"
        );
        assert!(found.iter().any(|f| f.joint == Some(HeldBy::Pins)), "{found:?}");
    }
}
