//! Does the design add up? Every finding and every figure, setup by setup.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::mechanics::{bearing, ream};
use crate::module::{Edge, Module, Securing, Setup, spec_line};
use crate::quantity::{Length, Speed, rounded};
use crate::standards::{bearings, belts, bench, threads};

use super::figures::{self, Figures, NoFigure};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// It does not add up.
    Error,
    /// It may not.
    Warning,
    /// Good to know.
    Note,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Id, stable.
    pub id: String,
    /// Weight.
    pub severity: Severity,
    /// In words.
    pub text: String,
    /// Value found.
    pub value: Option<f64>,
    /// Limit it is held against.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: Option<String>,
    /// What would mend it.
    pub mend: Option<String>,
    /// Where the limit comes from.
    pub basis: String,
    /// Line of the spec.
    pub line: Option<u32>,
    /// Setup it was found in; none where it holds for all.
    pub setup: Option<String>,
}

/// One setup, checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetupChecked {
    /// Axis values.
    pub set: std::collections::BTreeMap<String, String>,
    /// No error found.
    pub ok: bool,
    /// Figures by the names of the contract.
    pub figures: Map<String, Value>,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DesignCheck {
    /// Module id.
    pub module: String,
    /// No error in any setup.
    pub ok: bool,
    /// Findings, errors first.
    pub findings: Vec<Finding>,
    /// Setups.
    pub setups: Vec<SetupChecked>,
    /// Figures not computed yet.
    pub unfinished: Vec<String>,
}

/// Checks the module in every setup.
#[must_use]
pub fn check(module: &Module) -> DesignCheck {
    let mut findings = whole(module);
    let mut setups = Vec::new();
    for setup in Setup::all(module) {
        let words = setup.words();
        let (found, figures) = match Figures::of(module, &setup) {
            Ok(f) => (of_setup(module, &setup, &f), numbers(module, &f)),
            Err(e) => (vec![no_figure(&e)], Map::new()),
        };
        let ok = found.iter().all(|f| f.severity != Severity::Error);
        findings.extend(found.into_iter().map(|f| Finding {
            setup: Some(words.clone()),
            ..f
        }));
        setups.push(SetupChecked {
            set: setup.values,
            ok,
            figures,
        });
    }
    findings.sort_by_key(|f| f.severity);
    DesignCheck {
        module: module.id.clone(),
        ok: findings.iter().all(|f| f.severity != Severity::Error),
        findings,
        setups,
        unfinished: vec!["first_critical_rpm".into()],
    }
}

fn finding(id: &str, severity: Severity, text: String, basis: &str, line: u32) -> Finding {
    Finding {
        id: id.to_owned(),
        severity,
        text,
        value: None,
        limit: None,
        unit: None,
        mend: None,
        basis: basis.to_owned(),
        line: (line > 0).then_some(line),
        setup: None,
    }
}

impl Finding {
    fn held(self, value: f64, limit: f64, unit: &str) -> Self {
        Self {
            value: Some(round(value)),
            limit: Some(round(limit)),
            unit: Some(unit.to_owned()),
            ..self
        }
    }

    fn mend(self, mend: impl Into<String>) -> Self {
        Self {
            mend: Some(mend.into()),
            ..self
        }
    }
}

fn round(v: f64) -> f64 {
    (v * 1000.0).round() / 1000.0
}

fn no_figure(e: &NoFigure) -> Finding {
    finding(
        "no-figure",
        Severity::Error,
        e.why.clone(),
        "range of the table or formula",
        e.line,
    )
    .mend("Change the value, or check this by hand with its maker.")
}

/// What holds in every setup.
fn whole(module: &Module) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(set_screws_bite(module));
    found.extend(bores_fit(module));
    found.extend(stock(module));
    found.extend(housing_bolts(module));
    found.extend(rod_holes(module));
    found.extend(securing(module));
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
        (
            "collars",
            module.collars.bore.nominal(),
            line(&module.collars.bore),
        ),
        (
            "pulley",
            module.pulley.bore.nominal(),
            line(&module.pulley.bore),
        ),
        (
            "discs",
            module.discs.finish.nominal(),
            line(&module.discs.finish),
        ),
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
            .held(
                bore.to_f64().unwrap_or(0.0),
                shaft.to_f64().unwrap_or(0.0),
                "mm",
            )
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
            return vec![finding(
                "ream-stock",
                Severity::Error,
                e.to_string(),
                "reaming tables",
                line,
            )];
        }
    };
    if stock.impossible() {
        let text = format!(
            "a {} edge needs at least {} mm of stock on each side to get under its hard skin, and a reamer takes at most {} mm",
            discs.edge.word(),
            round(stock.least.mm()),
            round(stock.most.mm())
        );
        return vec![finding("ream-stock", Severity::Error, text, &stock.basis, discs.edge.place.line)
            .held(stock.least.mm(), stock.most.mm(), "mm")
            .mend("Bore or drill the discs out first, or have the bores machined; then write \"edge: bored\".")];
    }
    let side = |bore: Option<Decimal>| {
        bore.and_then(|b| b.to_f64())
            .map(|b| (discs.finish.length().mm() - b) / 2.0)
    };
    let (least, most) = (side(discs.bore.value.upper), side(discs.bore.value.lower));
    let mut found = Vec::new();
    for (value, limit, bad) in [(least, stock.least, true), (most, stock.most, false)] {
        let Some(value) = value else { continue };
        let outside = if bad {
            value < limit.mm() - 1e-9
        } else {
            value > limit.mm() + 1e-9
        };
        if outside {
            let word = if bad { "at least" } else { "at most" };
            found.push(
                finding("ream-stock", Severity::Error, format!("the drawn bore can leave {} mm of stock on each side; {word} {} mm is reamed", round(value), round(limit.mm())), &stock.basis, line)
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
            format!(
                "insert {} goes into housing {} with bolts {}",
                unit.insert, unit.housing, unit.bolt
            ),
            bearings::source(),
            bolts.thread.place.line,
        )
        .mend(format!(
            "Use housing {} and bolts {}.",
            unit.housing, unit.bolt
        ))
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
        .mend(format!(
            "Drill {} mm, the medium clearance hole.",
            thread.hole
        ))
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

/// Growth between two bearings that are both locked, against the bearings' axial play.
fn growth(module: &Module) -> Option<Finding> {
    let [a, b] = [0, 1].map(|i| {
        module
            .bearings
            .each
            .get(i)
            .map(|id| figures::place(module, &id.value))
    });
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
        bench::expansion_per_k().1,
        module.limits.temperature.place.line,
    ))
}

fn stock_length(module: &Module) -> Option<Finding> {
    let stock = belts::stock(&module.belt.profile);
    let length = module.belt.length.mm();
    if stock.is_empty() || stock.iter().any(|l| (l - length).abs() < 0.5) {
        return None;
    }
    let near = stock
        .iter()
        .copied()
        .min_by(|a, b| (a - length).abs().total_cmp(&(b - length).abs()))?;
    Some(
        finding(
            "belt-length",
            Severity::Note,
            format!(
                "{} of {length} mm is not in the stock range looked at",
                *module.belt.profile
            ),
            "published range of one belt maker",
            module.belt.length.place.line,
        )
        .mend(format!("{near} mm is the nearest; or order to length.")),
    )
}

/// What depends on the setup.
fn of_setup(module: &Module, setup: &Setup, f: &Figures) -> Vec<Finding> {
    let mut found = Vec::new();
    found.extend(rods(module, setup, f));
    found.extend(slip(module, f));
    found.extend(speed(module, f));
    found.extend(slot(module, f));
    found.extend(pulleys(module, setup));
    found.extend(stress(module, f));
    found.extend(bearing_life(module, f));
    found.extend(balance_and_bore(module, setup, f));
    found
}

fn rods(module: &Module, setup: &Setup, f: &Figures) -> Option<Finding> {
    let (least, most) = f.rod_needed;
    let line = module
        .rods
        .lengths
        .get(&setup.discs)
        .map_or(module.rods.bolts.count.place.line, |l| l.place.line);
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
                format!(
                    "rods of {} mm are too short, {} mm are needed",
                    length.mm(),
                    rounded(least.mm(), 1)
                ),
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
            format!(
                "{at} holds only {} times the torque at low friction and least preload",
                rounded(safety, 2)
            ),
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
            return vec![finding(
                "belt-travel",
                Severity::Warning,
                e.to_string(),
                belts::allowance_source(),
                line,
            )];
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
            finding(
                "belt-fitting",
                Severity::Error,
                text,
                belts::allowance_source(),
                line,
            )
            .held(lay.mm(), inner.mm(), "mm")
            .mend(format!(
                "A belt about {} mm longer, or slots further in.",
                shorter(inner - lay)
            )),
        );
    }
    if stretched > outer {
        let text = format!(
            "for take-up the centre must reach {} mm; the sled ends at {} mm",
            rounded(stretched.mm(), 1),
            outer.mm()
        );
        found.push(
            finding(
                "belt-take-up",
                Severity::Error,
                text,
                belts::allowance_source(),
                line,
            )
            .held(stretched.mm(), outer.mm(), "mm")
            .mend(format!(
                "A belt about {} mm shorter, or longer slots.",
                shorter(stretched - outer)
            )),
        );
    }
    found
}

fn pulleys(module: &Module, setup: &Setup) -> Option<Finding> {
    let profile = belts::profile(&module.belt.profile).ok()?;
    let step = figures::step_diameter(module, setup);
    let line = module
        .pulley
        .steps
        .get(&setup.step)
        .map_or(0, |d| d.place.line);
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
        Err(e) => Some(finding(
            "hoop-stress",
            Severity::Warning,
            e.to_string(),
            "Shigley, rotating rings",
            line,
        )),
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
        Err(e) => Some(finding(
            "bearing-life",
            Severity::Error,
            e.to_string(),
            "ISO 281",
            line,
        )),
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

/// How far off centre the discs may sit before balance asks for reamed bores.
fn balance_and_bore(module: &Module, setup: &Setup, f: &Figures) -> Option<Finding> {
    let discs = f.disc_mass * f64::from(setup.discs);
    let off_mm = f.unbalance.gmm() / discs.g();
    let text = format!(
        "{} g·mm are permitted at {} rpm; all discs off centre by {} mm on one side would use them up: the bore may be that much loose before balance asks for reaming",
        rounded(f.unbalance.gmm(), 0),
        rounded(f.speed.rpm(), 0),
        rounded(off_mm, 2)
    );
    Some(
        finding(
            "reaming-needed",
            Severity::Note,
            text,
            "ISO 21940-11, permissible residual unbalance",
            module.limits.balance_grade.place.line,
        )
        .held(off_mm * 2.0, 0.0, "mm"),
    )
}

fn numbers(module: &Module, f: &Figures) -> Map<String, Value> {
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
        (
            "slot_position_mm",
            value((f.drive.centre - *module.sled.inner).mm()),
        ),
        ("span_mm", value(span.mm())),
        ("belt_deflection_mm", value(span.mm() / 64.0)),
        ("belt_deflection_force_n", value(new.n())),
        ("rotor_mass_kg", value(f.mass.kg())),
        (
            "rotor_inertia_kgm2",
            json!((f.inertia.kgm2() * 1e5).round() / 1e5),
        ),
        ("energy_j", value(f.energy.j())),
        (
            "hoop_stress_mpa",
            maybe(f.hoop.as_ref().ok().map(|s| s.mpa())),
        ),
        ("first_critical_rpm", Value::Null),
        ("speed_rpm", value(speed.rpm())),
        (
            "bearing_life_h",
            maybe(f.life.as_ref().ok().map(|l| l.h().round())),
        ),
        ("permissible_unbalance_gmm", value(f.unbalance.gmm())),
    ];
    pairs.into_iter().map(|(k, v)| (k.to_owned(), v)).collect()
}

/// One line of text for the spec's line, for prints.
#[must_use]
pub fn line_words(finding: &Finding) -> String {
    finding.line.map_or_else(String::new, |line| {
        spec_line(crate::module::Place {
            line,
            ..Default::default()
        })
    })
}
