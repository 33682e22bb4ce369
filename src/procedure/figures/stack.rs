//! Discs between collars: lengths, rods, pinch, and where the stack stands.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::joint::{Faces, Resilience};
use crate::mechanics::pin::Pin;
use crate::mechanics::rotor::Ring;
use crate::mechanics::slip::sure_force;
use crate::mechanics::stack_up::{Link, Nuts, rod_needed, worst_case};
use crate::mechanics::{OutOfRange, disc_stress, joint, tightening};
use crate::module::{Given, Join, Module, Securing, Setup, Stack};
use crate::quantity::{Band, Length, Mass, Speed, Stress};
use crate::standards::threads::Thread;
use crate::standards::{bench, bolting};

use super::slip::{Friction, HeldBy, Joint, lever, stack_joints};
use super::{NoFigure, Tight, at, tight};

/// Roughness Rz of rolled plate and turned collar faces (common practice: 10 to 40 µm).
const FACES: Length = Length::from_mm(0.016);

/// A rod whose least preload is what is left when thread, nuts and every face of the stack have settled (VDI 2230-1).
///
/// The parts are taken as stiff as the whole disc: the stiffer they are, the more of the stretch is lost.
fn settled(rod: Tight, stack: &Stack, length: Length, discs: u32) -> Result<Tight, Box<dyn std::error::Error>> {
    let hole = Length::from_mm(rod.thread.hole);
    let carbon = bolting::modulus("carbon")?.elastic;
    let loss = joint::settling_loss(
        joint::settling(&bolting::embedding(FACES)?, Faces::of_rod(inner_faces(stack, discs))),
        joint::rod_resilience(rod.thread, length)?,
        joint::sleeve_resilience(length, *stack.discs.outer, hole, carbon)?,
    )?;
    Ok(Tight { least: sure_force(rod.least, 1.0, loss)?, ..rod })
}

/// Interfaces between the parts that a rod clamps (VDI 2230-1, washers counted as parts): washer, end, discs, end, washer. The ends are the
/// collars, or the plates in their place. A spring washer lies between nut and washer; a second nut comes when all has settled.
fn inner_faces(stack: &Stack, discs: u32) -> u32 {
    let spring = if *stack.rods.bolts.secure == Securing::SpringWasher { 2 } else { 0 };
    discs + 3 + spring
}

/// A pinch bolt whose least preload is what is left when its thread, its head and both faces on the shaft have settled (VDI 2230-1).
/// The split stays open, so the shaft is the only thing between the halves.
///
/// A short bolt stretches little and loses much. The halves are taken as rigid, which is the most that can be lost.
fn settled_pinch(pinch: Tight, stack: &Stack) -> Result<Tight, Box<dyn std::error::Error>> {
    let long =
        stack.collars.pinch.length.ok_or("the length of the pinch bolts decides what settling takes; none is given")?;
    let (grip, shank) = bolting::cap_screw_grip(pinch.thread, long);
    let settled = joint::settling(&bolting::embedding(FACES)?, Faces::of_screw(2));
    let bolt = joint::bolt_resilience(pinch.thread, grip, shank)?;
    let loss = joint::settling_loss(settled, bolt, Resilience::RIGID)?;
    Ok(Tight { least: sure_force(pinch.least, 1.0, loss)?, ..pinch })
}

/// What is computed for the stack of one setup.
#[derive(Debug, Clone)]
pub struct StackFigures {
    /// Outer face to outer face of what the rods clamp: least, nominal, largest, exact.
    pub length: (Decimal, Decimal, Decimal),
    /// Rod length needed: least over the longest stack, most over the shortest.
    pub rod_needed: (Length, Length),
    /// Rod length given for this setup.
    pub rod_length: Option<Length>,
    /// The rods, settled.
    pub rod: Tight,
    /// The pinch bolts, settled.
    pub pinch: Tight,
    /// What the lever of a one-cut collar would make of its bolts' force at best; 1 for two halves.
    pub lever: f64,
    /// Joints of the stack that pass the torque on, when the sliding collar is closed at the best moment.
    pub joints: Vec<Joint>,
    /// Mass of one disc.
    pub disc_mass: Mass,
    /// Hoop stress of a disc at the speed that is never passed, where the thin disc holds.
    pub hoop: Result<Stress, OutOfRange>,
    /// Largest stress there, beside the holes.
    pub peak: Result<Stress, OutOfRange>,
}

impl StackFigures {
    /// Computes the figures of the stack; the stress at the speed that is never to be passed, whatever the setup turns.
    ///
    /// # Errors
    /// [`NoFigure`].
    pub fn of(module: &Module, stack: &Stack, setup: &Setup) -> Result<Self, NoFigure> {
        let pinch = &stack.collars.pinch;
        let pinch = at(&pinch.thread, settled_pinch(tight(pinch)?, stack))?;
        let length = length(stack, setup);
        let nominal = Length::from_mm(length.1.to_f64().unwrap_or(f64::NAN));
        let rods = &stack.rods;
        let rod = at(&rods.bolts.thread, settled(tight(&rods.bolts)?, stack, nominal, setup.discs))?;
        let steel = at(&stack.discs.steel, bench::steel(&stack.discs.steel))?;
        let disc = disc(stack);
        let first = tightening::passes(*rods.passes).first().copied().unwrap_or(1.0);
        let speed: Speed = *module.limits.speed;
        let mut own = Self {
            rod_needed: rods_over(stack, setup, rod.thread),
            rod_length: rods.lengths.get(&setup.discs).map(|l| l.value),
            joints: Vec::new(),
            lever: lever(stack)?,
            length,
            rod,
            pinch,
            disc_mass: disc.mass(steel.density),
            hoop: disc_stress::hoop_stress(&disc, steel.density, speed),
            peak: disc_stress::peak_stress(&disc, steel.density, speed),
        };
        own.joints = stack_joints(module, stack, &own, first, Friction::Worse);
        own.joints.extend(pinned(module, stack)?);
        Ok(own)
    }

    /// Nominal length for reckoning.
    #[must_use]
    pub fn nominal(&self) -> Length {
        Length::from_mm(self.length.1.to_f64().unwrap_or(f64::NAN))
    }
}

/// Collars where the rods pass through them, end plates where they end in plates.
fn clamped_ends(stack: &Stack) -> &Given<Band> {
    match (&stack.plates, *stack.rods.join) {
        (Some(plates), Join::IntoPlates) => &plates.thickness,
        _ => &stack.collars.width,
    }
}

/// The lengths between the faces that the rods clamp: discs, then what ends the stack.
#[must_use]
pub fn links(stack: &Stack, setup: &Setup) -> [Link; 2] {
    let link = |g: &Given<Band>, count| {
        let (lower, upper) =
            (g.value.lower.unwrap_or_else(|| g.nominal()), g.value.upper.unwrap_or_else(|| g.nominal()));
        Link::new(lower, upper, count)
    };
    [link(&stack.discs.thickness, setup.discs.try_into().unwrap_or(i32::MAX)), link(clamped_ends(stack), 2)]
}

/// Least, nominal and largest length between the nuts' faces.
pub fn length(stack: &Stack, setup: &Setup) -> (Decimal, Decimal, Decimal) {
    let (disc, end) = (&stack.discs.thickness, clamped_ends(stack));
    let (low, high) = worst_case(&links(stack, setup));
    let nominal = disc.nominal() * Decimal::from(setup.discs) + end.nominal() * Decimal::TWO;
    (low, nominal, high)
}

/// Least and largest length between the nuts' faces, worst case.
#[must_use]
pub fn stack_limits(stack: &Stack, setup: &Setup) -> (Length, Length) {
    let (low, high) = worst_case(&links(stack, setup));
    let mm = |d: Decimal| Length::from_mm(d.to_f64().unwrap_or(f64::NAN));
    (mm(low), mm(high))
}

/// What stands at the ends of the rods.
#[must_use]
pub fn nuts(stack: &Stack) -> Nuts {
    match *stack.rods.bolts.secure {
        Securing::SecondNut => Nuts::SecondNut,
        Securing::SpringWasher => Nuts::SpringWasher,
        Securing::ThreadLocker | Securing::None => Nuts::Plain,
    }
}

/// What washers for balance take of a rod end that carries any, at their most, with the nut that retains them.
#[must_use]
pub fn balance_surplus(stack: &Stack, thread: &Thread) -> Length {
    match stack.balance_washers.0 {
        0 => Length::from_mm(0.0),
        most => Length::from_mm(f64::from(most) * thread.washer + thread.m),
    }
}

/// The same, for all ends that carry washers.
#[must_use]
pub fn balance_washers(stack: &Stack, thread: &Thread) -> Length {
    balance_surplus(stack, thread) * f64::from(stack.balance_washers.1)
}

/// Rod length that serves every stack of the setup: [`rod_needed`] between the shortest and the longest.
#[must_use]
pub fn rods_over(stack: &Stack, setup: &Setup, thread: &Thread) -> (Length, Length) {
    let (low, high) = stack_limits(stack, setup);
    let (least, most) = rod_needed(thread, low, high, nuts(stack));
    let washers = balance_washers(stack, thread);
    (least + washers, most + washers)
}

/// What the pins between plates and collars hold; nothing where there are none.
fn pinned(module: &Module, stack: &Stack) -> Result<Option<Joint>, NoFigure> {
    let Some(pins) = stack.plates.as_ref().and_then(|p| p.pins.as_ref()) else { return Ok(None) };
    let pin = Pin { diameter: *pins.diameter, depth: *pins.depth, circle: *pins.on };
    let re = at(&pins.steel, bench::steel(&pins.steel).and_then(|s| s.yield_strength(*pins.diameter)))?;
    // The spec does not name the steel of plates and collars: taken no stronger than the shaft's.
    let soft = at(&module.shaft.steel, bench::steel(&module.shaft.steel))?;
    let soft = at(&module.shaft.steel, soft.yield_strength(module.shaft.diameter.length()))?;
    let holds = at(&pins.diameter, pin.torque(re, soft))?;
    Ok(Some(Joint { name: "end plate on its collar by one pin".into(), by: HeldBy::Pins, holds }))
}

/// One disc as a ring.
pub fn disc(stack: &Stack) -> Ring {
    let discs = &stack.discs;
    Ring {
        outer: *discs.outer,
        bore: discs.finish.length(),
        thickness: discs.thickness.length(),
        holes: *discs.holes,
        hole: *discs.drill,
        circle: *discs.on,
    }
}

/// Far and drive end of stack and collars together.
#[must_use]
pub fn stack_ends(module: &Module, stack: &Stack, clamped: Length) -> (Length, Length) {
    let face = module.datum_collar().and_then(|c| c.face_at.as_ref()).map_or(Length::from_mm(f64::NAN), |f| f.value);
    let width = stack.collars.width.length();
    // The rods clamp the collars too, unless these stand outside the plates.
    let whole = if stack.plates.is_some() { clamped + width * 2.0 } else { clamped };
    let datum_on_drive_side = module.on_shaft(super::datum(module)) > module.on_shaft(super::sliding(module));
    if datum_on_drive_side { (face + width - whole, face + width) } else { (face - width, face - width + whole) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;

    /// Counted along a rod: washer | collar | 5 discs | collar | washer are 9 parts, 8 faces between them. With plates in the collars' place
    /// it is the same; spring washers make two more parts.
    #[test]
    fn every_face_between_two_parts_on_a_rod_settles_once() {
        let faces = |demo: &str, change: (&str, &str), discs| {
            inner_faces(demo_with(demo, &[change]).stack.as_ref().unwrap(), discs)
        };
        assert_eq!(faces("flywheel", ("flywheel", "flywheel"), 5), 8);
        assert_eq!(faces("flywheel", ("secure: second nut", "secure: thread locker"), 1), 4);
        let washers = ("passes: 3\n  secure: spring washer", "passes: 3\n  secure: spring washer");
        assert_eq!(faces("testwheel", washers, 3), 8);
        assert_eq!(faces("testwheel", (washers.0, "passes: 3\n  secure: second nut"), 3), 6);
    }
}
