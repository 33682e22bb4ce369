//! Masses along the shaft, and what rests on them: critical speeds and bearing life.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::rotor::{self, Ring};
use crate::mechanics::{OutOfRange, bearing, whirl};
use crate::module::{Drive, Module, Setup, Stack};
use crate::quantity::{Density, Force, Inertia, Length, Mass, Speed, Stiffness, Time};
use crate::standards::{bearings, bench};

use super::{NoFigure, at, stack};

/// Something heavy on the shaft.
pub struct Heavy {
    /// Middle.
    pub at: Length,
    /// Mass.
    pub mass: Mass,
    /// About the axis.
    pub inertia: Inertia,
    /// About a diameter, kg·m².
    pub tilt: f64,
}

fn heavy(at: Length, ring: Ring, density: Density) -> Heavy {
    Heavy { at, mass: ring.mass(density), inertia: ring.inertia(density), tilt: ring.tilt_kgm2(density) }
}

/// Masses along the shaft, the shaft itself first.
///
/// # Errors
/// [`NoFigure`] for a steel without a density.
pub fn masses(module: &Module, setup: &Setup) -> Result<Vec<Heavy>, NoFigure> {
    let steel = at(&module.shaft.steel, bench::steel(&module.shaft.steel))?.density;
    let (bore, zero) = (module.shaft.diameter.length(), Length::from_mm(0.0));
    let mut all = vec![heavy(*module.shaft.length / 2.0, Ring::plain(bore, zero, *module.shaft.length), steel)];
    if let Some(stack) = &module.stack {
        all.extend(stack_masses(module, stack, setup)?);
    }
    all.extend(module.drives.iter().map(|drive| pulley(module, drive, steel)));
    Ok(all)
}

/// The pulley counts as a plain cylinder of its middle step: cautious by its grooves.
fn pulley(module: &Module, drive: &Drive, steel: Density) -> Heavy {
    let mut steps: Vec<f64> = drive.pulley.steps.values().map(|d| d.mm()).collect();
    steps.sort_by(f64::total_cmp);
    let outer = Length::from_mm(steps.get(steps.len() / 2).copied().unwrap_or(0.0));
    let ring = Ring::plain(outer, module.shaft.diameter.length(), *drive.pulley.hub_length);
    heavy(place(module, &drive.pulley.part), ring, steel)
}

fn stack_masses(module: &Module, stack: &Stack, setup: &Setup) -> Result<Vec<Heavy>, NoFigure> {
    let steel = at(&stack.discs.steel, bench::steel(&stack.discs.steel))?.density;
    let bore = module.shaft.diameter.length();
    let length = Length::from_mm(stack::length(stack, setup).1.to_f64().unwrap_or(f64::NAN));
    let (from, to) = stack::stack_ends(module, stack, length);
    let middle = (from + to) / 2.0;
    let width = stack.collars.width.length();
    let collar = Ring::plain(*stack.collars.outer, bore, width);
    let thick = stack.discs.thickness.length();
    let first = middle - thick * (f64::from(setup.discs) - 1.0) / 2.0;
    let discs = (0..setup.discs).map(|k| heavy(first + thick * f64::from(k), stack::disc(stack), steel));
    let mut all: Vec<Heavy> = discs.collect();
    all.extend([from + width / 2.0, to - width / 2.0].map(|at| heavy(at, collar, steel)));
    if let Some(plates) = &stack.plates {
        let thick = plates.thickness.length();
        let plate = Ring::plain(*plates.outer, bore, thick);
        all.extend([from + width + thick / 2.0, to - width - thick / 2.0].map(|at| heavy(at, plate, steel)));
    }
    Ok(all)
}

/// Critical speeds of a setup on bearings and frame of that stiffness. Each disc sits on the shaft for itself: the clamped stack is
/// stiffer, so this is the cautious side.
///
/// # Errors
/// [`NoFigure`] for an unknown steel, or a shaft that cannot stand.
pub fn critical_speeds(module: &Module, setup: &Setup, frame: Stiffness) -> Result<whirl::Critical, NoFigure> {
    at(&module.shaft.length, whirl::critical(&swinging(module, setup, frame)?))
}

/// The first critical speed, by the cautious value of the same, alone. Asked for by the design check alone, as it costs most.
///
/// # Errors
/// As [`critical_speeds`].
pub fn first_critical(module: &Module, setup: &Setup, frame: Stiffness) -> Result<Speed, NoFigure> {
    at(&module.shaft.length, whirl::first_critical(&swinging(module, setup, frame)?))
}

/// The shaft with everything heavy on it, on bearings and frame of that stiffness.
///
/// # Errors
/// [`NoFigure`] for an unknown steel.
pub fn swinging(module: &Module, setup: &Setup, frame: Stiffness) -> Result<whirl::Rotor, NoFigure> {
    let steel = at(&module.shaft.steel, bench::steel(&module.shaft.steel))?;
    // The first of the parts is the shaft itself, which is there as a beam.
    let parts = masses(module, setup)?;
    let lumps =
        parts.iter().skip(1).map(|p| whirl::Lump { at: p.at, mass: p.mass, tilt: p.tilt, polar: p.inertia.kgm2() });
    let bearing = |i: usize| module.bearings.each.get(i).map_or(Length::from_mm(f64::NAN), |b| place(module, &b.value));
    Ok(whirl::Rotor {
        length: *module.shaft.length,
        diameter: module.shaft.diameter.length(),
        density: steel.density,
        elastic: steel.elastic,
        bearings: [bearing(0), bearing(1)],
        stiffness: frame,
        lumps: lumps.collect(),
    })
}

/// Where a part's middle stands.
#[must_use]
pub fn place(module: &Module, part: &str) -> Length {
    let on = module.on_shaft(part).and_then(|i| module.shaft.order[i].at.as_ref());
    on.map_or(Length::from_mm(f64::NAN), |at| at.value)
}

/// Load of both bearings, far one first. Each load's share of a bearing counts with its size, whichever way it pulls: the belt's
/// direction is not in the spec, and an overhung load must not relieve the far bearing on paper.
pub fn bearing_loads(module: &Module, parts: &[Heavy], pulls: &[Force]) -> (Force, Force) {
    let mut loads: Vec<(Length, Force)> = parts.iter().map(|p| (p.at, rotor::weight(p.mass))).collect();
    loads.extend(module.drives.iter().zip(pulls).map(|(d, pull)| (place(module, &d.pulley.part), *pull)));
    let [a, b] =
        [0, 1].map(|i| module.bearings.each.get(i).map_or(Length::from_mm(f64::NAN), |id| place(module, &id.value)));
    let shares = loads.iter().map(|load| bearing::reactions(a, b, std::slice::from_ref(load)));
    let (at_a, at_b) = shares.fold((0.0, 0.0), |(x, y), (p, q)| (x + p.n().abs(), y + q.n().abs()));
    (Force::from_n(at_a), Force::from_n(at_b))
}

/// Life of the worse bearing, by [`bearing_loads`].
///
/// # Errors
/// [`NoFigure`] for an insert that no table holds.
pub fn life(
    module: &Module,
    parts: &[Heavy],
    pulls: &[Force],
    speed: Speed,
) -> Result<Result<Time, OutOfRange>, NoFigure> {
    let unit = at(&module.bearings.insert, bearings::insert(&module.bearings.insert))?;
    let (a, b) = bearing_loads(module, parts, pulls);
    let worse = if a > b { a } else { b };
    Ok(bearing::life(Force::from_kn(unit.c), worse, speed))
}
