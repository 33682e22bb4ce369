//! The module spec: read, understood, checked. Every mistake is told with line, column, the words meant and a mend.

mod balance;
mod drive;
mod family;
mod fasteners;
mod heavy_side;
mod kinds;
mod model;
pub mod near;
mod parse;
mod problem;
mod raw;
mod read;
mod resolve;
mod rods;
pub mod schema;
mod secured;
mod setup;
mod source;
mod spec_lines;
mod substitute;
#[cfg(test)]
mod tests;
mod tree;
mod validate;
mod write;

pub use balance::{Balance, BalanceWashers, Drilling, End, Means, Method, Rests, nut_mass, washer_mass};
pub use drive::{Belt, Drive, Pulley, Sled};
pub use family::{Origins, beyond, family, family_line, is_put_together};
pub use fasteners::{Bolts, Join, Rods, Securing, SetScrews};
pub use heavy_side::{HeavySide, RollsOn};
pub use model::{
    Axis, Base, Bearings, Collars, Discs, Edge, Frame, Given, Guard, Limits, Module, OnShaft, Plates, RingLock, Shaft,
    Sleeve, Split, Stack,
};
pub use problem::{Place, Problem, Problems, one_line, printable};
pub use resolve::hex as sha256_hex;
pub use setup::{Setup, SetupError};
pub use source::{Source, embedded, embedded_names, embedded_title, load};
pub use spec_lines::{each_spec_line, spec_line};
pub use substitute::{put, substitute};
#[cfg(test)]
pub(crate) use tests::demo_with;
pub use tree::{File, Form, Key, Node, parse as tree};
pub use write::{Remarks, Written, write};

use validate::Places;

/// Reads a spec's text into a module.
///
/// # Errors
/// [`Problems`]: the first mistake of the YAML, or every mistake of the values.
pub fn read(source: &Source) -> Result<Module, Problems> {
    let spec = parse::parse(source)?;
    let mut reader = read::Reader::default();
    let module = resolve::module(&spec, &source.text, &mut reader);
    if reader.problems.is_empty() {
        validate::check(&module, &places(&spec), &mut reader);
    }
    if reader.problems.is_empty() {
        Ok(module)
    } else {
        Err(Problems::new(&source.name, &source.text, reader.problems))
    }
}

/// Loads and reads a spec: a path, or the name of an embedded module. Mistakes are told with the file they stand in, the spec or
/// the family it builds on, and the module knows the origin of its fields.
///
/// # Errors
/// As [`load`] and [`read`].
pub fn open(spec: &str) -> Result<Module, Problems> {
    let opened = source::open(spec)?;
    match (read(&opened.source), opened.origins) {
        (Ok(module), origins) => Ok(Module { origins, ..module }),
        (Err(problems), Some(origins)) => Err(origins.told(&problems)),
        (Err(problems), None) => Err(problems),
    }
}

fn places(spec: &raw::Spec) -> Places {
    let mut texts = vec![&spec.shaft.part, &spec.base.part, &spec.frame.part, &spec.guard.part];
    texts.extend(spec.discs.iter().map(|d| &d.part));
    texts.extend(spec.rods.iter().map(|r| &r.part));
    texts.extend(spec.collars.iter().flat_map(|c| &c.each));
    texts.extend(spec.plates.iter().flat_map(|p| &p.each));
    let second = spec.second.iter().map(|d| (&d.pulley, &d.belt, &d.sled));
    for (pulley, belt, sled) in std::iter::once((&spec.pulley, &spec.belt, &spec.sled)).chain(second) {
        texts.extend([&pulley.part, &belt.part, &sled.part]);
        texts.extend(belt.driver.iter().map(|d| &d.part).chain(belt.driven.iter().map(|d| &d.part)));
    }
    texts.extend(&spec.bearings.each);
    texts.sort_by_key(|t| read::place(t));
    Places {
        ids: texts.iter().map(|t| (t.value.clone(), read::place(t))).collect(),
        people: spec.people.values().flatten().map(|t| read::place(t)).min().unwrap_or_default(),
    }
}
