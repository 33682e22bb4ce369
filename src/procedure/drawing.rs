//! Dimensions for the pictures: this machine, to scale.

use std::f64::consts::PI;

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::belt_tension;
use crate::module::{Drive, Module, RingLock, Setup, Split, Stack};
use crate::quantity::Length;
use crate::standards::bearings;

use super::figures::{self, DriveFigures, Figures, StackFigures};
use super::joints::{base_group, named, pinch_group, ring_group};
use super::plan::{Drawing, DrawnBelt, DrawnCircle, DrawnDrive, DrawnPart, DrawnStand, Shape};

/// The drawing of a module in one setup.
#[must_use]
pub fn of(module: &Module, setup: &Setup, figures: &Figures) -> Drawing {
    Drawing {
        shaft_length_mm: module.shaft.length.mm(),
        shaft_diameter_mm: module.shaft.diameter.length().mm(),
        parts: parts(module, setup, figures),
        circles: circles(module),
        belt: belt(module, setup, figures),
        stand: stand(module),
        drives: drives(module, setup, figures),
    }
}

/// Base, frame and guard; none where the housing stands in no table.
fn stand(module: &Module) -> Option<DrawnStand> {
    let unit = bearings::insert(&module.bearings.insert).ok()?;
    Some(DrawnStand {
        base: module.base.part.clone(),
        feet: *module.base.feet,
        frame: module.frame.part.clone(),
        hold_downs: "hold-downs".into(),
        housings_mm: module.bearings.each.iter().map(|b| figures::place(module, &b.value).mm()).collect(),
        foot_mm: (unit.a, unit.l, unit.j),
        hole_mm: unit.hole,
        height_mm: unit.h,
        guard: module.guard.part.clone(),
        gap_mm: module.guard.clearance.value.lower.and_then(|gap| gap.to_f64()),
    })
}

fn drives(module: &Module, setup: &Setup, figures: &Figures) -> Vec<DrawnDrive> {
    let one = |(number, (drive, own)): (usize, (&Drive, &DriveFigures))| DrawnDrive {
        pulley: drive.pulley.part.clone(),
        belt: drive.belt.part.clone(),
        other: drive.belt.other.clone(),
        sled: drive.sled.part.clone(),
        lock: named("lock", number, drive),
        laid: named("belt-in-grooves", number, drive),
        profile: format!("{}, {} ribs", drive.belt.profile.value, *drive.belt.ribs),
        belt_mm: drive.belt.length.mm(),
        driven_mm: figures::step_diameter(module, setup, number).mm(),
        other_mm: drive.belt.other_effective.mm(),
        inner_mm: drive.sled.inner.mm(),
        travel_mm: drive.sled.travel.mm(),
        centre_mm: own.drive.centre.mm(),
        span_mm: own.drive.span().mm(),
        deflection_mm: belt_tension::deflection(own.drive.span()).mm(),
        force_n: own.forces().0.n(),
    };
    module.drives.iter().zip(&figures.drives).enumerate().map(one).collect()
}

/// The first drive.
fn belt(module: &Module, setup: &Setup, figures: &Figures) -> Option<DrawnBelt> {
    let (drive, own) = (module.drives.first()?, figures.drives.first()?);
    Some(DrawnBelt {
        driven_mm: figures::step_diameter(module, setup, 0).mm(),
        driver_mm: drive.belt.other_effective.mm(),
        centre_mm: own.drive.centre.mm(),
        span_mm: own.drive.span().mm(),
        deflection_mm: belt_tension::deflection(own.drive.span()).mm(),
        force_n: own.forces().0.n(),
    })
}

fn parts(module: &Module, setup: &Setup, figures: &Figures) -> Vec<DrawnPart> {
    let shaft = module.shaft.diameter.length().mm();
    let mut parts = match (&module.stack, &figures.stack) {
        (Some(stack), Some(own)) => self::stack(module, stack, setup, own),
        _ => Vec::new(),
    };
    for bearing in &module.bearings.each {
        let unit = bearings::insert(&module.bearings.insert);
        let (width, outer) = unit.map_or((30.0, 60.0), |u| (u.b, u.outer));
        parts.push(centred(
            &bearing.value,
            Shape::Bearing,
            figures::place(module, &bearing.value).mm(),
            width,
            outer,
            shaft,
            Some(ring_group(module, &bearing.value)),
        ));
    }
    for (number, drive) in module.drives.iter().enumerate() {
        let pulley = &drive.pulley;
        parts.push(centred(
            &pulley.part,
            Shape::Pulley,
            figures::place(module, &pulley.part).mm(),
            pulley.hub_length.mm(),
            pulley.steps.values().map(|d| d.mm()).fold(0.0, f64::max),
            shaft,
            Some(named("hub", number, drive)),
        ));
    }
    parts.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm).then_with(|| a.id.cmp(&b.id)));
    parts
}

fn centred(id: &str, shape: Shape, middle: f64, width: f64, outer: f64, bore: f64, group: Option<String>) -> DrawnPart {
    DrawnPart {
        id: id.to_owned(),
        label: id.to_owned(),
        shape,
        from_mm: middle - width / 2.0,
        to_mm: middle + width / 2.0,
        outer_mm: outer,
        bore_mm: bore,
        group,
    }
}

fn stack(module: &Module, own: &Stack, setup: &Setup, figures: &StackFigures) -> Vec<DrawnPart> {
    let shaft = module.shaft.diameter.length().mm();
    let (from, to) = figures::stack_ends(module, own, figures.nominal());
    let width = own.collars.width.length().mm();
    let thick = own.discs.thickness.length().mm();
    let datum_on_drive_side = module.on_shaft(figures::datum(module)) > module.on_shaft(figures::sliding(module));
    let (far, drive) = if datum_on_drive_side {
        (figures::sliding(module), figures::datum(module))
    } else {
        (figures::datum(module), figures::sliding(module))
    };
    let collar =
        |id: &str, at: f64| centred(id, Shape::Collar, at, width, own.collars.outer.mm(), shaft, Some(pinch_group(id)));
    let mut parts = vec![collar(far, from.mm() + width / 2.0), collar(drive, to.mm() - width / 2.0)];
    let plate = own.plates.as_ref().map_or(0.0, |p| p.thickness.length().mm());
    for (k, id) in own.plates.iter().flat_map(|p| &p.each).enumerate() {
        let outer = own.plates.as_ref().map_or(0.0, |p| p.outer.mm());
        let at = if k == 0 { from.mm() + width + plate / 2.0 } else { to.mm() - width - plate / 2.0 };
        parts.push(centred(&id.value, Shape::Disc, at, plate, outer, shaft, None));
    }
    for k in 0..setup.discs {
        // Disc 1 lies against the datum, or the plate before it.
        let off = width + plate + thick * (f64::from(k) + 0.5);
        let at = if datum_on_drive_side { to.mm() - off } else { from.mm() + off };
        parts.push(centred(
            &format!("{}-{}", own.discs.part, k + 1),
            Shape::Disc,
            at,
            thick,
            own.discs.outer.mm(),
            shaft,
            None,
        ));
    }
    let length = figures.rod_length.unwrap_or(Length::from_mm(0.0)).mm();
    let middle = (from + to).mm() / 2.0;
    let rods = &own.rods;
    parts.push(centred(
        &rods.part,
        Shape::Rods,
        middle,
        length,
        own.discs.on.mm(),
        figures.rod.thread.d,
        Some(rods.part.clone()),
    ));
    parts
}

/// Bolts of a circle, clockwise from the top.
fn around(count: u32, diameter: f64, first_deg: f64) -> Vec<(f64, f64)> {
    (0..count)
        .map(|k| {
            let angle = first_deg.to_radians() + 2.0 * PI * f64::from(k) / f64::from(count);
            (diameter / 2.0 * angle.sin(), diameter / 2.0 * angle.cos())
        })
        .collect()
}

fn circle(group: &str, label: String, bolts_mm: Vec<(f64, f64)>, bolt_mm: f64) -> DrawnCircle {
    DrawnCircle {
        group: group.to_owned(),
        label,
        bolts_mm,
        bolt_mm,
        outer_mm: 0.0,
        bore_mm: 0.0,
        plate_mm: None,
        split_deg: None,
    }
}

fn circles(module: &Module) -> Vec<DrawnCircle> {
    let mut all = Vec::new();
    if let Some(stack) = &module.stack {
        all.push(rod_circle(module, stack));
        all.extend(stack.collars.each.iter().map(|c| pinch(module, stack, &c.value)));
    }
    for bearing in &module.bearings.each {
        all.extend(bearing_circles(module, &bearing.value));
    }
    all.push(hold_downs(module));
    let shaft = module.shaft.diameter.length().mm();
    for (number, drive) in module.drives.iter().enumerate() {
        let hub = &drive.pulley.set_screws;
        let label = format!("{} hub, seen from the {}", drive.pulley.part, module.seen_from);
        let screws = screws(*hub.count, shaft * 1.5);
        all.push(DrawnCircle {
            outer_mm: shaft * 2.0,
            bore_mm: shaft,
            ..circle(&named("hub", number, drive), label, screws, size(&hub.thread))
        });
        let bolts = &drive.sled.lock_bolts;
        all.push(plate(&named("lock", number, drive), "lock bolts", *bolts.count, size(&bolts.thread)));
    }
    all
}

fn rod_circle(module: &Module, stack: &Stack) -> DrawnCircle {
    let (rods, on) = (&stack.rods, stack.discs.on.mm());
    let label = format!("rods, seen from the {}", module.seen_from);
    DrawnCircle {
        outer_mm: stack.discs.outer.mm().min(on * 1.6),
        bore_mm: module.shaft.diameter.length().mm(),
        ..circle(&rods.part, label, around(*rods.bolts.count, on, 0.0), size(&rods.bolts.thread))
    }
}

/// Base bolts from above, and what locks the ring, seen along the shaft.
fn bearing_circles(module: &Module, bearing: &str) -> Vec<DrawnCircle> {
    let shaft = module.shaft.diameter.length().mm();
    let half = bearings::insert(&module.bearings.insert).map_or(50.0, |u| u.j / 2.0);
    let base = circle(
        &base_group(bearing),
        format!("{bearing}, seen from above"),
        vec![(-half, 0.0), (half, 0.0)],
        size(&module.bearings.base_bolts.thread),
    );
    let mut all = vec![DrawnCircle { plate_mm: Some((half + 18.0, 20.0)), ..base }];
    if let RingLock::SetScrews(set) = &module.bearings.lock {
        let label = format!("{bearing}, seen from the {}", module.seen_from);
        let screws = screws(*set.count, shaft * 1.3);
        all.push(DrawnCircle {
            outer_mm: shaft * 1.6,
            bore_mm: shaft,
            ..circle(&ring_group(module, bearing), label, screws, size(&set.thread))
        });
    }
    all
}

fn size(thread: &str) -> f64 {
    thread.trim_start_matches('M').parse().unwrap_or(8.0)
}

/// Set screws stand 90° apart from the top.
fn screws(count: u32, diameter: f64) -> Vec<(f64, f64)> {
    (0..count)
        .map(|k| {
            let angle = f64::from(k) * PI / 2.0;
            (diameter / 2.0 * angle.sin(), diameter / 2.0 * angle.cos())
        })
        .collect()
}

/// Pinch bolts cross the split on both sides of the shaft; a one-cut collar has them on the open side only.
fn pinch(module: &Module, stack: &Stack, collar: &str) -> DrawnCircle {
    let off = figures::bolt_from_axis(stack).mm();
    let n = *stack.collars.pinch.count;
    let bolts = (0..n)
        .map(|k| {
            let row = f64::from(k / 2) * 12.0;
            match *stack.collars.kind {
                Split::TwoHalves if k % 2 == 1 => (-off, -row),
                _ => (off, -row),
            }
        })
        .collect();
    DrawnCircle {
        outer_mm: stack.collars.outer.mm(),
        bore_mm: module.shaft.diameter.length().mm(),
        split_deg: Some(90.0),
        ..circle(
            &pinch_group(collar),
            format!("{collar}, seen from the {}", module.seen_from),
            bolts,
            size(&stack.collars.pinch.thread),
        )
    }
}

/// Hold-downs round the base, as large as the housings ask for: the spec states neither its outline nor their places.
fn hold_downs(module: &Module) -> DrawnCircle {
    let bolts = &module.frame.hold_downs;
    let plain = plate("hold-downs", "hold-downs", *bolts.count, size(&bolts.thread));
    let Some(stand) = stand(module) else { return plain };
    let ((from, to), (_, across, _)) = (stand.reach_mm(), stand.foot_mm);
    let (half_long, half_wide) = ((to - from) / 2.0, across * 0.75);
    let (wide, high) = plain.plate_mm.unwrap_or((80.0, 55.0));
    let place = |(x, y): (f64, f64)| (x / wide * half_long * 0.8, y / high * half_wide);
    DrawnCircle {
        bolts_mm: plain.bolts_mm.into_iter().map(place).collect(),
        plate_mm: Some((half_long, half_wide)),
        label: "hold-downs, seen from above, far end left; where they sit on the base is not in the spec".into(),
        ..plain
    }
}

/// Bolts on a plate, numbered clockwise from the left rear corner.
fn plate(group: &str, name: &str, count: u32, bolt: f64) -> DrawnCircle {
    let top = count.div_ceil(2);
    let row = |n: u32, y: f64, reverse: bool| {
        (0..n).map(move |k| {
            let k = if reverse { n - 1 - k } else { k };
            let x = if n == 1 { 0.0 } else { -60.0 + 120.0 * f64::from(k) / f64::from(n - 1) };
            (x, y)
        })
    };
    let bolts = row(top, 35.0, false).chain(row(count - top, -35.0, true)).collect();
    DrawnCircle {
        plate_mm: Some((80.0, 55.0)),
        ..circle(group, format!("{name}, seen from above, not to scale"), bolts, bolt)
    }
}
