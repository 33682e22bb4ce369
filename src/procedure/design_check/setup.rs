//! Findings and figures of one setup.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde_json::{Map, Value, json};

use crate::mechanics::{bearing, ream};
use crate::module::{Module, Setup};
use crate::procedure::figures::{self, Figures, NoFigure};
use crate::quantity::{Length, Speed, rounded};
use crate::standards::{bearings, belts, bench};

use super::{Finding, Severity, finding, round};

/// What depends on the setup.
pub(super) fn of_setup(module: &Module, setup: &Setup, f: &Figures, first: &Result<f64, NoFigure>) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(rods(module, setup, f));
    found.extend(slip(module, f));
    found.extend(speed(module, f));
    found.extend(slot(module, f));
    found.extend(pulleys(module, setup));
    found.extend(stress(module, f));
    found.extend(bearing_life(module, f));
    found.extend(bearing_seat(module, f));
    found.extend(critical(module, f, first));
    found.extend(balance_and_bore(module, setup, f));
    found
}

fn rods(module: &Module, setup: &Setup, f: &Figures) -> Option<Finding> {
    let (least, most) = f.rod_needed;
    let line = module.rods.lengths.get(&setup.discs).map_or(module.rods.bolts.count.place.line, |l| l.place.line);
    let Some(length) = f.rod_length else {
        return Some(
            finding(
                "rod-length",
                Severity::Error,
                format!("no rod length is given for {} discs", setup.discs),
                "spec",
                line,
            )
            .mend(format!("Cut rods {} mm long.", next_even(least).mm())),
        );
    };
    let basis = "stack, two washers, nuts and one to three threads at both ends (ISO 4032, ISO 4035, ISO 7089; common practice)";
    if length < least {
        return Some(
            finding(
                "rod-length",
                Severity::Error,
                format!("rods of {} mm are too short, {} mm are needed", length.mm(), rounded(least.mm(), 1)),
                basis,
                line,
            )
            .held(length.mm(), least.mm(), "mm")
            .mend(format!("Cut rods {} mm long.", next_even(least).mm())),
        );
    }
    (length > most).then(|| {
        finding(
            "rod-length",
            Severity::Warning,
            format!(
                "rods of {} mm stand out {} mm further than three threads",
                length.mm(),
                rounded((length - most).mm() / 2.0, 1)
            ),
            basis,
            line,
        )
        .held(length.mm(), most.mm(), "mm")
        .mend(format!(
            "Cut them to {} mm, or cap the ends and count them in the guard's clearance.",
            next_even(least).mm()
        ))
    })
}

/// The next even millimetre, as rods are cut.
fn next_even(least: Length) -> Length {
    Length::from_mm((least.mm() / 2.0).ceil() * 2.0)
}

fn slip(module: &Module, f: &Figures) -> Option<Finding> {
    let (safety, at) = f.slip(module);
    let wanted = module.limits.slip_safety.to_f64()?;
    (safety < wanted).then(|| {
        finding(
            "slip",
            Severity::Error,
            format!("{at} holds only {} times the torque at low friction and least preload", rounded(safety, 2)),
            bench::slip().source.as_str(),
            module.limits.slip_safety.place.line,
        )
        .held(safety, wanted, "")
        .mend("Take larger or more pinch bolts, a higher class, a key, or a smaller torque.")
    })
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

/// The sled must give room to lay the belt on, and travel left for stretch.
fn slot(module: &Module, f: &Figures) -> Vec<Finding> {
    let line = module.belt.length.place.line;
    let (inward, outward) = match belts::allowance(&module.belt.profile, *module.belt.length) {
        Ok(pair) => pair,
        Err(e) => {
            return vec![finding("belt-travel", Severity::Warning, e.to_string(), belts::allowance_source(), line)];
        }
    };
    let (inner, outer) = (*module.sled.inner, *module.sled.inner + *module.sled.travel);
    let (lay, stretched) = (f.drive.centre - inward, f.drive.centre + outward);
    let shorter = |by: Length| rounded(by.mm() * 2.0, 0);
    let mut found = Vec::new();
    if lay < inner {
        let text = format!(
            "to lay the belt on, the centre must come down to {} mm; the sled ends at {} mm",
            rounded(lay.mm(), 1),
            inner.mm()
        );
        found.push(
            finding("belt-fitting", Severity::Error, text, belts::allowance_source(), line)
                .held(lay.mm(), inner.mm(), "mm")
                .mend(format!("A belt about {} mm longer, or slots further in.", shorter(inner - lay))),
        );
    }
    if stretched > outer {
        let text = format!(
            "for take-up the centre must reach {} mm; the sled ends at {} mm",
            rounded(stretched.mm(), 1),
            outer.mm()
        );
        found.push(
            finding("belt-take-up", Severity::Error, text, belts::allowance_source(), line)
                .held(stretched.mm(), outer.mm(), "mm")
                .mend(format!("A belt about {} mm shorter, or longer slots.", shorter(stretched - outer))),
        );
    }
    found
}

fn pulleys(module: &Module, setup: &Setup) -> Option<Finding> {
    let profile = belts::profile(&module.belt.profile).ok()?;
    let step = figures::step_diameter(module, setup);
    let line = module.pulley.steps.get(&setup.step).map_or(0, |d| d.place.line);
    (step < profile.smallest).then(|| {
        finding(
            "pulley-size",
            Severity::Error,
            format!("{} mm is too small for {}", step.mm(), *module.belt.profile),
            belts::source(),
            line,
        )
        .held(step.mm(), profile.smallest.mm(), "mm")
        .mend(format!("At least {} mm.", profile.smallest.mm()))
    })
}

fn stress(module: &Module, f: &Figures) -> Option<Finding> {
    let line = module.discs.outer.place.line;
    let steel = bench::steel(&module.discs.steel).ok()?;
    match &f.hoop {
        Err(e) => Some(finding("hoop-stress", Severity::Warning, e.to_string(), "Shigley, rotating rings", line)),
        Ok(stress) => {
            // The rod holes raise the stress about three times (from memory: Peterson, hole in a plate).
            let (peak, allowed) = (*stress * 3.0, steel.yield_strength / 2.0);
            (peak > allowed).then(|| {
                finding(
                    "hoop-stress",
                    Severity::Error,
                    "the discs are stressed too high at this speed".into(),
                    steel.source,
                    line,
                )
                .held(peak.mpa(), allowed.mpa(), "MPa")
                .mend("Lower the speed or the diameter.")
            })
        }
    }
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
        Ok(first) => (f.speed.rpm() > first * 0.75).then(|| {
            let text = format!("the rotor's speed is too near its first critical of {} rpm", rounded(*first, 0));
            finding("critical-speed", Severity::Error, text, basis, line)
                .held(f.speed.rpm(), first * 0.75, "rpm")
                .mend("Lower the speed, thicken the shaft, or move the bearings together; a bump test tells more.")
        }),
    }
}

/// How loose the discs may sit before balance asks for reamed bores, and whether the bore as it comes needs it.
fn balance_and_bore(module: &Module, setup: &Setup, f: &Figures) -> Option<Finding> {
    let discs = f.disc_mass * f64::from(setup.discs);
    let loose = ream::largest_clearance(f.unbalance, discs, None).ok()?;
    let (comes, words) = as_it_comes(module, loose)?;
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
fn as_it_comes(module: &Module, loose: Length) -> Option<(Length, &'static str)> {
    let length = |d: Option<Decimal>| d.and_then(|d| d.to_f64()).map(Length::from_mm);
    let bore = (length(module.discs.bore.value.lower)?, length(module.discs.bore.value.upper)?);
    let (lower, upper, _) = figures::limits(&module.shaft.diameter).ok()?;
    let shaft = (length(lower)?, length(upper)?);
    let words = match (bore.0 < shaft.1, ream::finishing_needed(bore, shaft, loose)) {
        (true, _) => "; as it comes the bore does not go on, so it is reamed",
        (false, true) => "; as it comes the bore may be looser, so it is reamed",
        (false, false) => "; as it comes the bore is not looser, so balance does not ask for reaming",
    };
    Some((bore.1 - shaft.0, words))
}

pub(super) fn numbers(module: &Module, f: &Figures, first: Option<f64>) -> Map<String, Value> {
    let (safety, at) = f.slip(module);
    let (new, _) = f.belt_forces();
    let span = f.drive.span();
    let value = |v: f64| json!(round(v));
    let maybe = |v: Option<f64>| v.map_or(Value::Null, value);
    let speed: Speed = f.speed;
    let pairs = [
        ("stack_mm", value(f.stack_nominal().mm())),
        ("rod_needed_mm", value(f.rod_needed.0.mm())),
        ("rod_torque_nm", value(f.rod.torque.nm())),
        ("rod_preload_kn", value(f.rod.preload.kn())),
        ("slip_safety", value(safety)),
        ("slip_at", json!(at)),
        ("centre_mm", value(f.drive.centre.mm())),
        ("slot_position_mm", value((f.drive.centre - *module.sled.inner).mm())),
        ("span_mm", value(span.mm())),
        ("belt_deflection_mm", value(span.mm() / 64.0)),
        ("belt_deflection_force_n", value(new.n())),
        ("rotor_mass_kg", value(f.mass.kg())),
        ("rotor_inertia_kgm2", json!((f.inertia.kgm2() * 1e5).round() / 1e5)),
        ("energy_j", value(f.energy.j())),
        ("hoop_stress_mpa", maybe(f.hoop.as_ref().ok().map(|s| s.mpa()))),
        ("first_critical_rpm", maybe(first)),
        ("speed_rpm", value(speed.rpm())),
        ("bearing_life_h", maybe(f.life.as_ref().ok().map(|l| l.h().round()))),
        ("permissible_unbalance_gmm", value(f.unbalance.gmm())),
    ];
    pairs.into_iter().map(|(k, v)| (k.to_owned(), v)).collect()
}
