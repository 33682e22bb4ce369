//! What single values cannot show: ids that clash, references to nothing, parts that do not go together.

use std::collections::BTreeMap;

use crate::quantity::Length;

use super::drive::Drive;
use super::fasteners::Join;
use super::model::{Axis, Given, Module, Stack};
use super::near;
use super::problem::Place;
use super::read::Reader;

/// Checks the module as a whole.
pub fn check(module: &Module, places: &Places, reader: &mut Reader) {
    ids(module, places, reader);
    references(module, reader);
    axes(module, reader);
    along_the_shaft(module, reader);
    goes_together(module, reader);
    people(module, places, reader);
    super::secured::check(module, reader);
    super::balance::check(module, reader);
}

/// Where each part id is given: id and place, in the order of the spec.
#[derive(Debug, Default)]
pub struct Places {
    /// Every id with its place.
    pub ids: Vec<(String, Place)>,
    /// Where the people stand.
    pub people: Place,
}

fn ids(module: &Module, places: &Places, reader: &mut Reader) {
    if let Some(discs) = module.stack.as_ref().map(|s| &s.discs) {
        let of_disc = |id: &str| (1..=*discs.count).any(|n| id == format!("{}-{n}", discs.part));
        for (id, place) in places.ids.iter().filter(|(id, _)| of_disc(id)) {
            reader.problem(
                *place,
                format!("\"{id}\" is one of the discs already: they are {0}-1 to {0}-{1}", discs.part, *discs.count),
                "Give this part another id.",
            );
        }
    }
    let mut seen: BTreeMap<&str, Place> = BTreeMap::new();
    for (id, place) in &places.ids {
        if let Some(first) = seen.get(id.as_str()) {
            reader.problem(
                *place,
                format!("two parts have the id \"{id}\"; the first is on line {}", first.line),
                "Give one of them another id.",
            );
        }
        seen.entry(id).or_insert(*place);
    }
}

fn references(module: &Module, reader: &mut Reader) {
    let discs = discs_part(module);
    let known = on_the_shaft(module);
    let mut seen: Vec<&str> = Vec::new();
    for on in &module.shaft.order {
        let part = on.part.value.as_str();
        if !is_named(part, &known, discs) {
            reader.problem(on.part.place, format!("\"{part}\" names no part of this module"), suggest(part, &known));
        } else if seen.contains(&part) {
            reader.problem(
                on.part.place,
                format!("\"{part}\" stands twice on the shaft"),
                "Take one of the lines out.",
            );
        }
        seen.push(part);
    }
    let missing = known.iter().filter(|k| !seen.iter().any(|s| is_named(s, &[k], discs)));
    for part in missing {
        reader.problem(
            place_of_order(module),
            format!("\"{part}\" has no place along the shaft"),
            "Add it to \"order\", where it stands between its neighbours.",
        );
    }
    let floats = module.bearings.floats.as_ref();
    if let Some(floats) = floats.filter(|f| !module.bearings.each.iter().any(|b| b.value == f.value)) {
        reader.problem(
            floats.place,
            format!("\"{}\" is not one of the bearings", floats.value),
            "Name the bearing that is locked last, or write \"none\" where both are fixed.",
        );
    }
}

/// Part of the discs; none where there are none.
fn discs_part(module: &Module) -> &str {
    module.stack.as_ref().map_or("", |s| s.discs.part.as_str())
}

/// Every part that has a place along the shaft.
fn on_the_shaft(module: &Module) -> Vec<&str> {
    let mut known: Vec<&str> = Vec::new();
    if let Some(stack) = &module.stack {
        known.push(&stack.discs.part);
        known.extend(stack.collars.each.iter().map(|c| c.value.as_str()));
        known.extend(stack.plates.iter().flat_map(|p| &p.each).map(|p| p.value.as_str()));
    }
    known.extend(module.drives.iter().map(|d| d.pulley.part.as_str()));
    known.extend(module.bearings.each.iter().map(|c| c.value.as_str()));
    known
}

fn place_of_order(module: &Module) -> Place {
    module.shaft.order.first().map_or(module.shaft.length.place, |p| p.part.place)
}

/// In the order along the shaft the discs may be called by their part or as "discs".
fn is_named(word: &str, known: &[&str], disc: &str) -> bool {
    known.contains(&word) || (word == "discs" && !disc.is_empty() && known.contains(&disc))
}

fn suggest(word: &str, known: &[&str]) -> String {
    format!("{}Known are: {}.", near::did_you_mean(word, known.iter().copied()), known.join(", "))
}

fn axes(module: &Module, reader: &mut Reader) {
    for axis in &module.axes {
        let possible = |value: &str| match axis.name.as_str() {
            "discs" => value.parse::<u32>().is_ok_and(|n| (1..=discs_count(module)).contains(&n)),
            _ => steps(module).any(|step| step == value),
        };
        for value in &axis.allowed {
            if !possible(value) {
                reader.problem(
                    axis.place,
                    format!("\"{value}\" is not possible for {}", axis.name),
                    possible_values(module, axis),
                );
            }
        }
        if !axis.allowed.contains(&axis.first) {
            reader.problem(
                axis.place,
                format!("\"{}\" is not among the allowed values of {}", axis.first, axis.name),
                format!("Choose the first from: {}.", axis.allowed.join(", ")),
            );
        }
    }
}

fn possible_values(module: &Module, axis: &Axis) -> String {
    match axis.name.as_str() {
        "discs" => format!("The module has 1 to {} discs.", discs_count(module)),
        _ => format!("The pulley has the steps {}.", steps(module).collect::<Vec<_>>().join(", ")),
    }
}

fn discs_count(module: &Module) -> u32 {
    module.stack.as_ref().map_or(0, |s| s.discs.count.value)
}

/// Steps of the first pulley.
fn steps(module: &Module) -> impl Iterator<Item = &str> {
    module.drives.first().into_iter().flat_map(|d| d.pulley.steps.keys()).map(String::as_str)
}

fn along_the_shaft(module: &Module, reader: &mut Reader) {
    let shaft = *module.shaft.length;
    let mut last: Option<&Given<Length>> = None;
    for at in module.shaft.order.iter().filter_map(|on| on.at.as_ref().or(on.face_at.as_ref())) {
        if at.value > shaft {
            reader.problem(
                at.place,
                format!("{} lies beyond the shaft's end at {}", at.written, module.shaft.length.written),
                "Places are counted from the far end.",
            );
        }
        if last.is_some_and(|l| l.value >= at.value) {
            reader.problem(
                at.place,
                format!("{} does not lie after the part before it", at.written),
                "The list runs from the far end to the drive end.",
            );
        }
        last = Some(at);
    }
    placed(module, reader);
    if let Some(stack) = &module.stack {
        datum(module, stack, reader);
    }
}

/// Forces on the shaft are reckoned from where the bearings and pulleys stand.
fn placed(module: &Module, reader: &mut Reader) {
    let bearings = module.bearings.each.iter().map(|b| b.value.as_str());
    let wanted: Vec<&str> = bearings.chain(module.drives.iter().map(|d| d.pulley.part.as_str())).collect();
    let without = module.shaft.order.iter().filter(|on| on.at.is_none() && wanted.contains(&on.part.value.as_str()));
    for on in without {
        reader.problem(
            on.part.place,
            format!("\"{}\" does not say where on the shaft it stands", on.part.value),
            format!("Give its middle, counted from the far end: {{ part: {}, at: 120 mm }}.", on.part.value),
        );
    }
}

fn datum(module: &Module, stack: &Stack, reader: &mut Reader) {
    let is_collar = |part: &str| stack.collars.each.iter().any(|c| c.value == part);
    let located = module.shaft.order.iter().filter(|on| on.face_at.is_some() && is_collar(&on.part.value));
    match located.count() {
        1 => {}
        0 => reader.problem(
            place_of_order(module),
            "no collar is located on the shaft",
            "Give one collar \"face at\"; the other is pushed up by the rods.",
        ),
        _ => reader.problem(
            place_of_order(module),
            "two collars are located on the shaft",
            "Only one collar can be the datum; the other must follow the discs.",
        ),
    }
}

fn goes_together(module: &Module, reader: &mut Reader) {
    if let Some(stack) = &module.stack {
        stack_goes_together(stack, reader);
    }
    if module.bearings.each.len() != 2 {
        let place = module.bearings.insert.place;
        reader.problem(
            place,
            format!("{} bearings are named, the shaft has two", module.bearings.each.len()),
            "Name the far and the drive bearing.",
        );
    }
    for (k, drive) in module.drives.iter().enumerate() {
        drive_goes_together(k, drive, reader);
    }
}

fn stack_goes_together(stack: &Stack, reader: &mut Reader) {
    if stack.collars.each.len() != 2 {
        reader.problem(
            stack.collars.kind.place,
            format!("{} collars are named, a stack has two", stack.collars.each.len()),
            "Name the far and the drive collar.",
        );
    }
    let rods = &stack.rods;
    if rods.bolts.count.value != stack.discs.holes.value {
        reader.problem(
            rods.bolts.count.place,
            format!(
                "{} rods, but the discs have {} holes (line {})",
                rods.bolts.count.value, stack.discs.holes.value, stack.discs.holes.place.line
            ),
            "Give as many rods as holes.",
        );
    }
    let plates = stack.plates.as_ref().map_or(0, |p| p.each.len());
    let wanted = if *rods.join == Join::IntoPlates { 2 } else { 0 };
    if plates != wanted {
        reader.problem(
            rods.join.place,
            format!("rods that join \"{}\" want {wanted} end plates, {plates} are named", rods.join.written),
            "Add a section \"plates\" with the far and the drive plate, or join through the collars.",
        );
    }
}

fn drive_goes_together(k: usize, drive: &Drive, reader: &mut Reader) {
    let (belt, pulley) = (&drive.belt, &drive.pulley);
    if belt.profile.value != pulley.profile.value || belt.ribs.value > pulley.ribs.value {
        reader.problem(
            belt.profile.place,
            format!(
                "belt {} with {} ribs does not fit the pulley: {} with {} grooves",
                belt.profile.value, belt.ribs.value, pulley.profile.value, pulley.ribs.value
            ),
            "Belt and pulley need one profile, and a groove for every rib.",
        );
    }
    if (k == 0) != belt.driver_speed.is_some() {
        let what = "the first belt comes from the driver, the second goes to what the shaft drives";
        reader.problem(belt.length.place, what, "Write \"driver\" in \"belt\", \"driven\" in \"second drive\".");
    }
}

fn people(module: &Module, places: &Places, reader: &mut Reader) {
    if module.people.get("design").is_none_or(Vec::is_empty) {
        reader.problem(
            places.people,
            "nobody stands for the design side",
            "Add \"design: [initials]\"; holds are released by that role.",
        );
    }
}
