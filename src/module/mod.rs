//! The module spec: read, understood, checked. Every mistake is told with line, column, the words meant and a mend.

mod fasteners;
mod model;
mod parse;
mod problem;
mod raw;
mod read;
mod resolve;
mod setup;
mod source;
mod substitute;
#[cfg(test)]
mod tests;
mod validate;

pub use fasteners::{Bolts, Join, Rods, Securing, SetScrews};
pub use model::{
    Axis, Base, Bearings, Belt, Collars, Discs, Edge, Frame, Given, Guard, Limits, Module, OnShaft, Pulley, Shaft,
    Sled, Split, spec_line,
};
pub use problem::{Place, Problem, Problems, printable};
pub use resolve::hex as sha256_hex;
pub use setup::{Setup, SetupError};
pub use source::{Source, embedded, embedded_names, load};
pub use substitute::substitute;

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

fn places(spec: &raw::Spec) -> Places {
    let mut texts = vec![
        &spec.shaft.part,
        &spec.discs.part,
        &spec.rods.part,
        &spec.base.part,
        &spec.pulley.part,
        &spec.belt.part,
        &spec.belt.driver.part,
        &spec.frame.part,
        &spec.sled.part,
        &spec.guard.part,
    ];
    texts.extend(&spec.collars.each);
    texts.extend(&spec.bearings.each);
    texts.sort_by_key(|t| read::place(t));
    Places {
        ids: texts.iter().map(|t| (t.value.clone(), read::place(t))).collect(),
        people: spec.people.values().flatten().map(read::place).min().unwrap_or_default(),
    }
}
