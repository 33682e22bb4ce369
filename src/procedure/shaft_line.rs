//! The shaft as a line: how weights and belt bend it, and where each part stands on it.

use crate::mechanics::bending::{Bent, Load, Shaft, bend};
use crate::mechanics::rotor::weight;
use crate::module::{Module, Setup, Stack};
use crate::quantity::{Angle, Length, Stiffness};
use crate::standards::{bearings, bench, threads};

use super::figures::{DriveFigures, NoFigure, at, masses, place, rods_over, stack_ends, stack_limits};

/// The shaft bent by its weights and the new belts' pull. The spec does not say where the belt pulls to, so it is taken straight down
/// and straight up, and the one with the larger moment is given.
///
/// # Errors
/// [`NoFigure`] for an unknown steel, a belt that does not go round, or a shaft that cannot stand.
pub fn bending(module: &Module, setup: &Setup) -> Result<Bent, NoFigure> {
    let [down, up] = [0.0, 180.0].map(|angle| bent_with(module, setup, Angle::from_deg(angle)));
    let (down, up) = (down?, up?);
    Ok(if up.largest_moment().0 > down.largest_moment().0 { up } else { down })
}

fn bent_with(module: &Module, setup: &Setup, pull: Angle) -> Result<Bent, NoFigure> {
    let steel = at(&module.shaft.steel, bench::steel(&module.shaft.steel))?;
    // The first of the parts is the shaft itself, whose weight is a line load.
    let parts = masses(module, setup)?;
    let weights = parts.iter().skip(1).map(|p| Load::pulling(p.at, weight(p.mass), Angle::from_deg(0.0)));
    let belts = module.drives.iter().enumerate().map(|(k, drive)| {
        let own = DriveFigures::of(module, setup, k)?;
        Ok(Load::pulling(place(module, &drive.pulley.part), own.drive.shaft_pull(own.strand_new), pull))
    });
    let belts = belts.collect::<Result<Vec<_>, NoFigure>>()?;
    let bearing = |i: usize| module.bearings.each.get(i).map_or(Length::from_mm(f64::NAN), |b| place(module, &b.value));
    let shaft = Shaft {
        length: *module.shaft.length,
        diameter: module.shaft.diameter.length(),
        density: steel.density,
        elastic: steel.elastic,
        bearings: [bearing(0), bearing(1)],
        // Soft frames tilt the shaft more.
        stiffness: Some(Stiffness::from_n_per_m(bench::frame_stiffness().low)),
        loads: weights.chain(belts).collect(),
    };
    at(&module.shaft.length, bend(&shaft))
}

/// What a part takes of the shaft's length.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The part, in words.
    pub part: String,
    /// Nearer end.
    pub from: Length,
    /// Farther end.
    pub to: Length,
}

/// Every part's stretch of the shaft in its order: bearings by the longer side of their inner ring, since either may face inwards;
/// the stack at its longest, with the rods that stand out of it; the hub.
///
/// # Errors
/// [`NoFigure`] for a bearing or rod that no table holds.
pub fn along(module: &Module, setup: &Setup) -> Result<Vec<Taken>, NoFigure> {
    let insert = at(&module.bearings.insert, bearings::insert(&module.bearings.insert))?;
    let ring = Length::from_mm(insert.s.max(insert.b - insert.s));
    let around = |part: &str, reach: Length| {
        let middle = place(module, part);
        Taken { part: part.to_owned(), from: middle - reach, to: middle + reach }
    };
    let mut all: Vec<Taken> = module.bearings.each.iter().map(|b| around(&b.value, ring)).collect();
    all.extend(module.drives.iter().map(|d| around(&d.pulley.part, *d.pulley.hub_length / 2.0)));
    if let Some(stack) = &module.stack {
        all.push(stack_with_rods(module, stack, setup)?);
    }
    all.sort_by(|a, b| a.from.mm().total_cmp(&b.from.mm()));
    Ok(all)
}

fn stack_with_rods(module: &Module, stack: &Stack, setup: &Setup) -> Result<Taken, NoFigure> {
    let rods = &stack.rods;
    let thread = at(&rods.bolts.thread, threads::thread(&rods.bolts.thread))?;
    let (low, high) = stack_limits(stack, setup);
    let rod = rods.lengths.get(&setup.discs).map_or(rods_over(stack, setup, thread).1, |l| l.value);
    let (from, to) = stack_ends(module, stack, high);
    // Over the shortest stack the rods stand out furthest; a rod shorter than the stack takes nothing more, and one
    // that ends in plates stands out into the width of the collars outside them.
    let collars = stack.plates.as_ref().map_or(Length::from_mm(0.0), |_| stack.collars.width.length());
    let out = (rod - low) / 2.0 - collars;
    let out = if out.mm() > 0.0 { out } else { Length::from_mm(0.0) };
    Ok(Taken { part: "stack with its rods".into(), from: from - out, to: to + out })
}

/// Room on the shaft for one setup.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Length of shaft that the parts need from the far end.
    pub needed: Length,
    /// Least gap between two neighbours; below zero they overlap.
    pub least_gap: Length,
    /// The two it lies between.
    pub between: (String, String),
    /// How far the first part stands off the far end; below zero it stands out.
    pub before: Length,
}

/// Room on the shaft: the far end of the last part, and the narrowest gap.
///
/// # Errors
/// [`NoFigure`] as [`along`].
pub fn room(module: &Module, setup: &Setup) -> Result<Room, NoFigure> {
    let all = along(module, setup)?;
    let gaps = all.windows(2).map(|pair| (pair[1].from - pair[0].to, (pair[0].part.clone(), pair[1].part.clone())));
    let least = gaps.min_by(|a, b| a.0.mm().total_cmp(&b.0.mm()));
    let (least_gap, between) = least.unwrap_or((Length::from_mm(f64::NAN), (String::new(), String::new())));
    let needed = all.iter().map(|t| t.to.mm()).fold(0.0, f64::max);
    let before = all.first().map_or(Length::from_mm(f64::NAN), |t| t.from);
    Ok(Room { needed: Length::from_mm(needed), least_gap, between, before })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::module::demo_with;
    use crate::procedure::design_check::check;

    fn with(from: &str, to: &str) -> Module {
        demo_with("flywheel", &[(from, to)])
    }

    #[test]
    fn the_parts_of_the_demo_stand_in_order_and_fit() {
        let module = with("flywheel", "flywheel");
        let setup = Setup::all(&module).into_iter().find(|s| s.discs == 5).unwrap();
        let names: Vec<String> = along(&module, &setup).unwrap().into_iter().map(|t| t.part).collect();
        assert_eq!(names, ["bearing-far", "stack with its rods", "pulley", "bearing-drive"]);
        // By hand: the drive bearing at 510 mm and 34.1 − 14.3 mm of its ring.
        assert!((room(&module, &setup).unwrap().needed.mm() - 529.8).abs() < 1e-9);
    }

    #[test]
    fn a_short_shaft_and_a_crowded_one_are_found() {
        let found = |module: &Module| check(module).findings.iter().any(|f| f.id == "shaft-room");
        assert!(!found(&with("flywheel", "flywheel")));
        assert!(found(&with("length: 560 mm", "length: 525 mm")));
        assert!(found(&with("face at: 210 mm", "face at: 120 mm")));
    }

    #[test]
    fn a_hard_pulling_belt_bends_the_shaft_too_far() {
        let module = with("flywheel", "flywheel");
        let setup = Setup::all(&module).remove(0);
        let bent = bending(&module, &setup).unwrap();
        let heavy = with("new: 55 N per rib", "new: 550 N per rib");
        let worse = bending(&heavy, &setup).unwrap();
        assert!(worse.stress().mpa() > 5.0 * bent.stress().mpa());
        assert!(check(&heavy).findings.iter().any(|f| f.id == "shaft-bending"));
    }
}
