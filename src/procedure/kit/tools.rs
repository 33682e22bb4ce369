//! What the steps name: tools, gauges, consumables, protective equipment; and what is packed beside them.

use std::collections::BTreeMap;

use crate::module::Module;
use crate::procedure::plan::Step;
use crate::standards::kit::{self, Packed};

use super::{Everything, Kind, Line};

/// First words of what is set to a torque.
const WRENCH: &str = "Torque wrench";

/// Lines for everything that steps name or cautions ask for.
pub fn lines(module: &Module, all: &Everything) -> Vec<Line> {
    let mut lines: BTreeMap<&str, Line> = BTreeMap::new();
    let people = people(module);
    for step in &all.steps {
        for name in &step.tools {
            let line = lines.entry(name).or_insert_with(|| tool(name, people));
            add(line, step);
            if let (Some(torque), true) = (step.torque_nm, name.starts_with(WRENCH)) {
                line.torques_nm.push(torque);
            }
        }
        for name in &step.instruments {
            add(lines.entry(name).or_insert_with(|| gauge(name)), step);
        }
    }
    let mut lines: Vec<Line> = lines.into_values().collect();
    for line in &mut lines {
        line.torques_nm.sort_by(f64::total_cmp);
        line.torques_nm.dedup();
    }
    lines.extend(kit::always().iter().filter_map(|packed| always(packed, people, all)));
    lines
}

fn add(line: &mut Line, step: &Step) {
    if !line.steps.contains(&step.id) {
        line.steps.push(step.id.clone());
    }
}

/// People that the spec names, each once; one where it names none.
fn people(module: &Module) -> u32 {
    let mut all: Vec<&String> = module.people.values().flatten().collect();
    all.sort_unstable();
    all.dedup();
    (all.len() as u32).max(1)
}

fn many(packed: &Packed, people: u32) -> u32 {
    packed.quantity * if packed.each { people } else { 1 }
}

fn tool(name: &str, people: u32) -> Line {
    let Some((row, size)) = kit::named(name) else {
        return Line { id: super::slug(&[name]), ..Line::new(Kind::Tool, name, size(name), 1) };
    };
    let size = Some(size.to_owned()).filter(|s| !s.is_empty());
    let line = Line::new(row.kind, name, size, many(row, people)).unit(&row.unit);
    Line { id: super::slug(&[name]), ..line }
}

fn gauge(name: &str) -> Line {
    Line { id: super::slug(&[name]), ..Line::new(Kind::Gauge, name, size(name), 1) }
}

/// The size in a name: from its first digit on, "16 mm" in "Socket 16 mm".
fn size(name: &str) -> Option<String> {
    name.find(|c: char| c.is_ascii_digit()).map(|at| name[at..].to_owned())
}

/// What is packed always, or where a caution asks for it.
fn always(packed: &Packed, people: u32, all: &Everything) -> Option<Line> {
    let says = |step: &Step| {
        let text = |c: &crate::procedure::plan::Caution| c.text.to_lowercase();
        step.cautions.iter().any(|c| packed.words.iter().any(|w| text(c).contains(w.as_str())))
    };
    let steps = all.ids(says);
    if steps.is_empty() && !packed.words.is_empty() {
        return None;
    }
    let line = Line::new(packed.kind, &packed.name, None, many(packed, people)).unit(&packed.unit);
    Some(Line { steps, required: !packed.advised, basis: Some(packed.source.clone()), ..line })
}
