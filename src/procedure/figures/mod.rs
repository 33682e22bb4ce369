//! The figures of one setup: what the mechanics says about it, computed once and used by design check and planner.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::belt::Drive;
use crate::mechanics::rotor::{self, Ring};
use crate::mechanics::slip::sure_force;
use crate::mechanics::stack_up::{Link, rod_needed, worst_case};
use crate::mechanics::{OutOfRange, balance, bearing, belt_tension, disc_stress, fastener, joint, tightening, whirl};
use crate::module::{Bolts, Given, Module, Securing, Setup};
use crate::quantity::{Energy, Force, Inertia, Length, Mass, Speed, Stiffness, Stress, Time, Torque, Unbalance};
use crate::standards::threads::{self, Class, Thread};
use crate::standards::{NotInTable, bearings, bench, bolting, iso286};

mod slip;

pub use slip::{Friction, Joint, bolt_from_axis, joints};

/// Why a figure cannot be computed, with the line of the spec that asks for it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line} of the spec: {why}")]
pub struct NoFigure {
    /// Line.
    pub line: u32,
    /// Why.
    pub why: String,
}

pub(super) fn at<T, U>(given: &Given<U>, result: Result<T, impl std::fmt::Display>) -> Result<T, NoFigure> {
    result.map_err(|why| NoFigure { line: given.place.line, why: why.to_string() })
}

/// A bolt of a group, tightened by the rule of the spec.
#[derive(Debug, Clone, Copy)]
pub struct Tight {
    /// Its thread.
    pub thread: &'static Thread,
    /// Its class.
    pub class: Class,
    /// Full torque, set for the lowest friction so that the preload is never passed.
    pub torque: Torque,
    /// Largest preload of one bolt.
    pub preload: Force,
    /// Least preload of one bolt.
    pub least: Force,
}

/// Torque and preload of a bolt: share of proof at the lowest friction, scatter of a click wrench.
///
/// # Errors
/// [`NoFigure`] for a thread, class or friction that no table holds.
pub fn tight(bolts: &Bolts) -> Result<Tight, NoFigure> {
    let thread = at(&bolts.thread, threads::thread(&bolts.thread))?;
    let class = at(&bolts.class, threads::class(&bolts.class, Length::from_mm(thread.d)))?;
    let preload = at(&bolts.share, fastener::preload_by_proof(thread, &class, *bolts.share))?;
    let mu = bolts.friction.value.lower.and_then(|d| d.to_f64()).unwrap_or(f64::NAN);
    let torque = at(&bolts.friction, fastener::torque(thread, preload, mu, mu))?;
    let (scatter, _) = at(&bolts.share, bench::scatter("click wrench"))?;
    Ok(Tight { thread, class, torque, preload, least: fastener::least_preload(preload, scatter) })
}

/// Roughness Rz of rolled plate and turned collar faces (common practice: 10 to 40 µm).
const FACES: Length = Length::from_mm(0.016);

/// A rod whose least preload is what is left when thread, nuts and every face of the stack have settled (VDI 2230-1).
fn settled(rod: Tight, stack: Length, discs: u32) -> Result<Tight, Box<dyn std::error::Error>> {
    let (hole, outer) = (Length::from_mm(rod.thread.hole), Length::from_mm(rod.thread.washer_outer));
    let carbon = bolting::modulus("carbon")?.elastic;
    let loss = joint::settling_loss(
        joint::settling(&bolting::embedding(FACES)?, 2, discs + 1),
        joint::rod_resilience(rod.thread, stack)?,
        joint::sleeve_resilience(stack, outer, hole, carbon)?,
    );
    Ok(Tight { least: sure_force(rod.least, 1.0, loss)?, ..rod })
}

/// Everything computed for one setup.
#[derive(Debug, Clone)]
pub struct Figures {
    /// Collar face to collar face: least, nominal, largest, exact.
    pub stack: (Decimal, Decimal, Decimal),
    /// Rod length needed, least and most.
    pub rod_needed: (Length, Length),
    /// Rod length given for this setup.
    pub rod_length: Option<Length>,
    /// The rods.
    pub rod: Tight,
    /// The pinch bolts.
    pub pinch: Tight,
    /// Joints that pass the torque on.
    pub joints: Vec<Joint>,
    /// The belt drive.
    pub drive: Drive,
    /// Static strand tension, new, whole belt.
    pub strand_new: Force,
    /// Static strand tension, run in.
    pub strand_used: Force,
    /// Rotor speed.
    pub speed: Speed,
    /// Mass of one disc.
    pub disc_mass: Mass,
    /// Mass of the rotor.
    pub mass: Mass,
    /// Its inertia.
    pub inertia: Inertia,
    /// Its energy at speed.
    pub energy: Energy,
    /// Hoop stress at speed, where the thin disc holds.
    pub hoop: Result<Stress, OutOfRange>,
    /// Life of the worse bearing.
    pub life: Result<Time, OutOfRange>,
    /// Permissible residual unbalance.
    pub unbalance: Unbalance,
    /// Turns of the rotor for one of the driver.
    pub ratio: f64,
}

impl Figures {
    /// Computes the figures of a setup.
    ///
    /// # Errors
    /// [`NoFigure`] where a table or formula has no value for what the spec says.
    pub fn of(module: &Module, setup: &Setup) -> Result<Self, NoFigure> {
        let pinch = tight(&module.collars.pinch)?;
        let stack = stack(module, setup);
        let nominal = Length::from_mm(stack.1.to_f64().unwrap_or(f64::NAN));
        let rod = at(&module.rods.bolts.thread, settled(tight(&module.rods.bolts)?, nominal, setup.discs))?;
        let step = step_diameter(module, setup);
        let drive =
            at(&module.belt.length, Drive::from_length(step, *module.belt.driver_effective, *module.belt.length))?;
        let ratio = *module.belt.driver_effective / step;
        let speed = *module.belt.driver_speed * ratio;
        let ribs = f64::from(*module.belt.ribs);
        let strand_new = *module.belt.new * ribs;
        let parts = masses(module, setup, nominal)?;
        let mass: Mass = parts.iter().map(|p| p.mass).sum();
        let inertia: Inertia = parts.iter().map(|p| p.inertia).sum();
        let steel = at(&module.discs.steel, bench::steel(&module.discs.steel))?;
        let grade = module.limits.balance_grade.to_f64().unwrap_or(f64::NAN);
        let disc = disc(module);
        let first = tightening::passes(*module.rods.passes).first().copied().unwrap_or(1.0);
        Ok(Self {
            stack,
            rod_needed: rod_needed(rod.thread, nominal, *module.rods.bolts.secure == Securing::SecondNut),
            rod_length: module.rods.lengths.get(&setup.discs).map(|l| l.value),
            joints: joints(module, &rod, &pinch, first, Friction::Worse)?,
            rod,
            pinch,
            life: life(module, &parts, drive.shaft_pull(strand_new), speed)?,
            drive,
            strand_new,
            strand_used: *module.belt.used * ribs,
            speed,
            disc_mass: disc.mass(steel.density),
            mass,
            inertia,
            energy: rotor::energy(inertia, speed),
            hoop: disc_stress::hoop_stress(&disc, steel.density, speed),
            unbalance: at(&module.limits.balance_grade, balance::permissible_unbalance(grade, mass, speed))?,
            ratio,
        })
    }

    /// The weakest joint on the torque path and its safety against the torque of the spec.
    #[must_use]
    pub fn slip(&self, module: &Module) -> (f64, &str) {
        let weakest = self.joints.iter().min_by(|a, b| a.holds.nm().total_cmp(&b.holds.nm()));
        weakest.map_or((f64::NAN, ""), |j| (j.holds / *module.limits.torque, j.name.as_str()))
    }

    /// Stack length for reckoning.
    #[must_use]
    pub fn stack_nominal(&self) -> Length {
        Length::from_mm(self.stack.1.to_f64().unwrap_or(f64::NAN))
    }

    /// Force at mid span, deflected by a 64th of the span: new and run in.
    #[must_use]
    pub fn belt_forces(&self) -> (Force, Force) {
        (belt_tension::deflection_force(self.strand_new), belt_tension::deflection_force(self.strand_used))
    }
}

/// Id of the located collar.
#[must_use]
pub fn datum(module: &Module) -> &str {
    module.datum_collar().map_or("", |c| c.part.value.as_str())
}

/// Id of the collar that follows the discs.
#[must_use]
pub fn sliding(module: &Module) -> &str {
    let datum = datum(module);
    module.collars.each.iter().map(|c| c.value.as_str()).find(|c| *c != datum).unwrap_or("")
}

/// Effective diameter of the chosen step.
#[must_use]
pub fn step_diameter(module: &Module, setup: &Setup) -> Length {
    module.pulley.steps.get(&setup.step).map_or(Length::from_mm(f64::NAN), |d| d.value)
}

/// The lengths between the outer faces of the collars: discs, then both collars.
#[must_use]
pub fn stack_links(module: &Module, setup: &Setup) -> [Link; 2] {
    let link = |g: &Given<crate::quantity::Band>, count| {
        let (lower, upper) =
            (g.value.lower.unwrap_or_else(|| g.nominal()), g.value.upper.unwrap_or_else(|| g.nominal()));
        Link::new(lower, upper, count)
    };
    [link(&module.discs.thickness, setup.discs.try_into().unwrap_or(i32::MAX)), link(&module.collars.width, 2)]
}

pub(super) fn stack(module: &Module, setup: &Setup) -> (Decimal, Decimal, Decimal) {
    let (disc, collar) = (&module.discs.thickness, &module.collars.width);
    let (low, high) = worst_case(&stack_links(module, setup));
    let nominal = disc.nominal() * Decimal::from(setup.discs) + collar.nominal() * Decimal::TWO;
    (low, nominal, high)
}

fn disc(module: &Module) -> Ring {
    Ring {
        outer: *module.discs.outer,
        bore: module.discs.finish.length(),
        thickness: module.discs.thickness.length(),
        holes: *module.discs.holes,
        hole: *module.discs.drill,
        circle: *module.discs.on,
    }
}

pub(super) struct Heavy {
    pub(super) at: Length,
    pub(super) mass: Mass,
    inertia: Inertia,
    tilt: f64,
}

/// Masses along the shaft. The pulley counts as a plain cylinder of its middle step: cautious by its grooves.
pub(super) fn masses(module: &Module, setup: &Setup, stack: Length) -> Result<Vec<Heavy>, NoFigure> {
    let steel = at(&module.discs.steel, bench::steel(&module.discs.steel))?.density;
    let shaft_steel = at(&module.shaft.steel, bench::steel(&module.shaft.steel))?.density;
    let bore = module.shaft.diameter.length();
    let heavy = |at: Length, ring: Ring, count: u32, density| Heavy {
        at,
        mass: ring.mass(density) * f64::from(count),
        inertia: ring.inertia(density) * f64::from(count),
        tilt: ring.tilt_kgm2(density) * f64::from(count),
    };
    let zero = Length::from_mm(0.0);
    let middle = stack_middle(module, stack);
    let collar = Ring::plain(*module.collars.outer, bore, module.collars.width.length());
    let mut steps: Vec<f64> = module.pulley.steps.values().map(|d| d.mm()).collect();
    steps.sort_by(f64::total_cmp);
    let pulley = Length::from_mm(steps.get(steps.len() / 2).copied().unwrap_or(0.0));
    let pulley_at = place(module, &module.pulley.part);
    let mut all = vec![
        heavy(*module.shaft.length / 2.0, Ring::plain(bore, zero, *module.shaft.length), 1, shaft_steel),
        heavy(middle, collar, 2, steel),
        heavy(pulley_at, Ring::plain(pulley, bore, *module.pulley.hub_length), 1, steel),
    ];
    let thick = module.discs.thickness.length();
    let first = middle - thick * (f64::from(setup.discs) - 1.0) / 2.0;
    all.extend((0..setup.discs).map(|k| heavy(first + thick * f64::from(k), disc(module), 1, steel)));
    Ok(all)
}

/// Stiffness of a bearing with its frame: an estimate; it counts for a few percent at 1e8 and for a tenth at 1e7 N/m.
pub(super) const FRAME: Stiffness = Stiffness::from_n_per_m(1e8);

/// Critical speeds of a setup, on bearings and frame of an estimated stiffness. Each disc sits on the shaft for itself:
/// the clamped stack is stiffer, so this is the cautious side. Asked for by the design check alone, as it costs most.
///
/// # Errors
/// [`NoFigure`] for an unknown steel, or a shaft that cannot stand.
pub fn critical_speeds(module: &Module, setup: &Setup) -> Result<whirl::Critical, NoFigure> {
    let nominal = Length::from_mm(stack(module, setup).1.to_f64().unwrap_or(f64::NAN));
    let steel = at(&module.shaft.steel, bench::steel(&module.shaft.steel))?;
    // The first of the parts is the shaft itself, which is there as a beam.
    let parts = masses(module, setup, nominal)?;
    let lumps =
        parts.iter().skip(1).map(|p| whirl::Lump { at: p.at, mass: p.mass, tilt: p.tilt, polar: p.inertia.kgm2() });
    let bearing = |i: usize| module.bearings.each.get(i).map_or(Length::from_mm(f64::NAN), |b| place(module, &b.value));
    let rotor = whirl::Rotor {
        length: *module.shaft.length,
        diameter: module.shaft.diameter.length(),
        density: steel.density,
        elastic: steel.elastic,
        bearings: [bearing(0), bearing(1)],
        stiffness: FRAME,
        lumps: lumps.collect(),
    };
    at(&module.shaft.length, whirl::critical(&rotor))
}

/// Where a part's middle stands.
#[must_use]
pub fn place(module: &Module, part: &str) -> Length {
    let on = module.on_shaft(part).and_then(|i| module.shaft.order[i].at.as_ref());
    on.map_or(Length::from_mm(f64::NAN), |at| at.value)
}

/// Far and drive end of the clamped stack, collars included.
#[must_use]
pub fn stack_ends(module: &Module, stack: Length) -> (Length, Length) {
    let face = module.datum_collar().and_then(|c| c.face_at.as_ref()).map_or(Length::from_mm(f64::NAN), |f| f.value);
    let width = module.collars.width.length();
    let datum_on_drive_side = module.on_shaft(datum(module)) > module.on_shaft(sliding(module));
    if datum_on_drive_side { (face + width - stack, face + width) } else { (face - width, face - width + stack) }
}

fn stack_middle(module: &Module, stack: Length) -> Length {
    let (a, b) = stack_ends(module, stack);
    (a + b) / 2.0
}

/// Life of the worse bearing: weights and belt pull taken in one direction, which is the cautious sum.
fn life(module: &Module, parts: &[Heavy], pull: Force, speed: Speed) -> Result<Result<Time, OutOfRange>, NoFigure> {
    let unit = at(&module.bearings.insert, bearings::insert(&module.bearings.insert))?;
    let mut loads: Vec<(Length, Force)> = parts.iter().map(|p| (p.at, rotor::weight(p.mass))).collect();
    loads.push((place(module, &module.pulley.part), pull));
    let [a, b] =
        [0, 1].map(|i| module.bearings.each.get(i).map_or(Length::from_mm(f64::NAN), |id| place(module, &id.value)));
    let (at_a, at_b) = bearing::reactions(a, b, &loads);
    let worse = Force::from_n(at_a.n().abs().max(at_b.n().abs()));
    Ok(bearing::life(Force::from_kn(unit.c), worse, speed))
}

/// Limits of a toleranced diameter, mm, with its basis; plain limits where no class is given.
///
/// # Errors
/// [`NoFigure`] for a class outside ISO 286.
pub fn limits(given: &Given<crate::quantity::Band>) -> Result<(Option<Decimal>, Option<Decimal>, String), NoFigure> {
    match (&given.value.class, given.value.nominal) {
        (Some(class), Some(nominal)) => {
            let found: Result<_, NotInTable> = iso286::class(class, nominal);
            let (lower, upper) = at(given, found)?.limits_mm(nominal);
            Ok((Some(lower), Some(upper), format!("ISO 286-2 {class}; {}", crate::module::spec_line(given.place))))
        }
        _ => Ok((given.value.lower, given.value.upper, crate::module::spec_line(given.place))),
    }
}
