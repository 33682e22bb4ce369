//! Parts: what is made or bought by drawing or designation.

use crate::module::{Module, RingLock, Split};

use super::{Everything, Kind, Line};

/// Parts of the module, with spares where the rule carries any.
pub fn lines(module: &Module, all: &Everything) -> Vec<Line> {
    let mut lines = vec![shaft(module)];
    lines.extend(stack(module));
    lines.extend(bearings(module));
    lines.extend(drives(module));
    for (part, name) in [(&module.base.part, "Base"), (&module.frame.part, "Frame")] {
        lines.push(of(part, name, None, vec![part.clone()]));
    }
    let guard = of(&module.guard.part, "Guard", None, vec![module.guard.part.clone()]);
    lines.push(guard.note(format!("gap to the rotor {}", module.guard.clearance.written)));
    lines.into_iter().flat_map(|line| steps(line, all)).collect()
}

/// The line with its steps, then its spares.
fn steps(line: Line, all: &Everything) -> Vec<Line> {
    let line = Line { steps: all.on(&line.parts), ..line };
    let sort = match line.name.as_str() {
        "Disc" => "disc",
        "Bearing unit" => "bearing",
        "Ribbed belt" => "belt",
        _ => "",
    };
    let spare = line.spares(sort);
    std::iter::once(line).chain(spare).collect()
}

/// A line for these parts, by the id of the one that stands for them.
fn of(id: &str, name: &str, size: Option<String>, parts: Vec<String>) -> Line {
    let quantity = parts.len() as u32;
    Line { id: super::slug(&[id]), parts, ..Line::new(Kind::Part, name, size, quantity) }
}

fn shaft(module: &Module) -> Line {
    let s = &module.shaft;
    let size = format!("{} x {}", s.diameter.written, s.length.written);
    of(&s.part, "Shaft", Some(size), vec![s.part.clone()])
        .class(s.steel.value.clone())
        .note(format!("{}, run-out {}", s.hardness.written, s.run_out.written))
}

fn stack(module: &Module) -> Vec<Line> {
    let Some(stack) = &module.stack else { return Vec::new() };
    let d = &stack.discs;
    let size =
        format!("{} x {}, bore {} for {}", d.outer.written, d.thickness.written, d.bore.written, d.finish.written);
    let ids = (1..=*d.count).map(|k| format!("{}-{k}", d.part)).collect();
    let holes = format!("{} holes {} on {}", *d.holes, d.drill.written, d.on.written);
    let made = d.made_by.as_ref().map_or_else(String::new, |by| format!("; {by}"));
    let mut lines =
        vec![of(&d.part, "Disc", Some(size), ids).class(d.steel.value.clone()).note(format!("{holes}{made}"))];
    let c = &stack.collars;
    let kind = match *c.kind {
        Split::TwoHalves => "two halves",
        Split::OneCut => "one cut",
    };
    let ids: Vec<String> = c.each.iter().map(|c| c.value.clone()).collect();
    let size = format!("{} x {}, bore {}", c.outer.written, c.width.written, c.bore.written);
    lines.push(of("collar", "Shaft collar", Some(size), ids).note(kind));
    if let Some(p) = &stack.plates {
        let ids = p.each.iter().map(|p| p.value.clone()).collect();
        let size = format!("{} x {}, bore {}", p.outer.written, p.thickness.written, p.bore.written);
        lines.push(of("end-plate", "End plate", Some(size), ids).note(holes));
    }
    lines
}

fn bearings(module: &Module) -> Vec<Line> {
    let b = &module.bearings;
    let ids: Vec<String> = b.each.iter().map(|b| b.value.clone()).collect();
    let unit = format!("{} in {}", b.insert.value, b.housing.value);
    let mut lines = vec![of("bearing-unit", "Bearing unit", None, ids.clone()).class(unit)];
    if let RingLock::Sleeve(sleeve) = &b.lock {
        let line = of("adapter-sleeve", "Adapter sleeve", None, ids);
        lines.push(line.class(sleeve.size.value.clone()).note("with nut and tab washer"));
    }
    lines
}

fn drives(module: &Module) -> Vec<Line> {
    let mut lines = Vec::new();
    for d in &module.drives {
        let (p, b, s) = (&d.pulley, &d.belt, &d.sled);
        let steps: Vec<String> = p.steps.iter().map(|(name, d)| format!("{name} {}", d.written)).collect();
        let size = format!("{}, bore {}", steps.join(", "), p.bore.written);
        lines.push(
            of(&p.part, "Ribbed pulley", Some(size), vec![p.part.clone()])
                .class(format!("{}, {} grooves a step", p.profile.value, *p.ribs))
                .note("effective diameters"),
        );
        lines.push(
            of(&b.part, "Ribbed belt", Some(format!("{} effective", b.length.written)), vec![b.part.clone()])
                .class(format!("{}, {} ribs", b.profile.value, *b.ribs)),
        );
        let size = format!("pulley {} effective", b.other_effective.written);
        let other = if b.driver_speed.is_some() { "Driver" } else { "Driven machine" };
        lines.push(of(&b.other, other, Some(size), vec![b.other.clone()]));
        let size = format!("travel {}", s.travel.written);
        lines.push(
            of(&s.part, "Sled", Some(size), vec![s.part.clone()])
                .note(format!("with its adjuster {}", s.adjuster.value)),
        );
    }
    lines
}
