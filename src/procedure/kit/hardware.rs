//! Hardware, joint by joint: rods, nuts, washers, bolts, set screws, with what secures them.

use std::collections::BTreeMap;

use crate::module::{Bolts, Module, RingLock, Rods, Securing, SetScrews};
use crate::procedure::figures::{NoFigure, Tight, tight};
use crate::procedure::joints::{base_group, named, pinch_group, ring_group};
use crate::quantity::Length;
use crate::standards::kit::{cutting, washer_hardness};

use super::{Everything, Kind, Line};

/// Hardware of the module with its spares.
///
/// # Errors
/// [`NoFigure`] for a thread or class of no table, and for a rod longer than a bar.
pub fn lines(module: &Module, all: &Everything) -> Result<Vec<Line>, NoFigure> {
    let mut lines = Vec::new();
    if let Some(stack) = &module.stack {
        lines.extend(rods(module, &stack.rods, all)?);
        let groups: Vec<String> = stack.collars.each.iter().map(|c| pinch_group(&c.value)).collect();
        let pinch = &stack.collars.pinch;
        lines.extend(with_steps(screws("Socket head screw", "collars", pinch, groups.len()), all, &groups));
    }
    let groups: Vec<String> = module.bearings.each.iter().map(|b| base_group(&b.value)).collect();
    lines.extend(through(&module.bearings.base_bolts, "bearing housings", all, &groups)?);
    lines.extend(through(&module.frame.hold_downs, "hold-downs", all, &["hold-downs".to_owned()])?);
    for (k, d) in module.drives.iter().enumerate() {
        lines.extend(through(&d.sled.lock_bolts, &d.sled.part, all, &[named("lock", k, d)])?);
        let hub = set_screws(&d.pulley.set_screws, &d.pulley.part, 1);
        lines.extend(with_steps(vec![(hub, "set screw")], all, &[named("hub", k, d)]));
    }
    if let RingLock::SetScrews(screws) = &module.bearings.lock {
        let groups: Vec<String> = module.bearings.each.iter().map(|b| ring_group(module, &b.value)).collect();
        let ring = set_screws(screws, "bearing rings", groups.len()).joint_note("they come in the inserts; count them");
        lines.extend(with_steps(vec![(ring, "set screw")], all, &groups));
    }
    Ok(lines)
}

/// Adds the steps of the groups and of receiving, and puts the spares behind each.
fn with_steps(lines: Vec<(Line, &str)>, all: &Everything, groups: &[String]) -> Vec<Line> {
    let mut steps = all.on(groups);
    if groups.iter().any(|g| all.steps.iter().all(|s| !s.parts.contains(g))) {
        // No part of that name: bolts, which are received together.
        steps.splice(0..0, all.ids(|s| s.operation == "receive" && s.parts.is_empty()));
    }
    let each = lines.into_iter().flat_map(|(line, sort)| {
        let line = Line { steps: steps.clone(), ..line };
        let spare = line.spares(sort);
        std::iter::once(line).chain(spare)
    });
    each.collect()
}

fn hardware(name: &str, size: String, quantity: u32, joint: &str) -> Line {
    let line = Line::new(Kind::Hardware, name, Some(size), quantity).joint(joint);
    line.note(format!("for the {joint}"))
}

/// Screws of a number of equal groups and what secures them.
fn screws(name: &str, joint: &str, bolts: &Bolts, groups: usize) -> Vec<(Line, &'static str)> {
    let n = *bolts.count * groups as u32;
    let length = bolts.length.map_or_else(String::new, |l| format!(" x {} mm", l.mm()));
    let thread = &bolts.thread.value;
    let mut lines =
        vec![(hardware(name, format!("{thread}{length}"), n, joint).class(bolts.class.value.clone()), "bolt")];
    match *bolts.secure {
        Securing::SpringWasher => lines.push((hardware("Spring washer", thread.clone(), n, joint), "washer")),
        // A bolt with a head stands in a tapped hole, or may: the spec is refused that wants a second nut on it.
        Securing::SecondNut | Securing::ThreadLocker | Securing::None => {}
    }
    lines
}

/// Hexagon bolts in clearance holes or slots: a flat washer under each head; nuts where the hole below is not tapped.
fn through(bolts: &Bolts, joint: &str, all: &Everything, groups: &[String]) -> Result<Vec<Line>, NoFigure> {
    let mut lines = screws("Hexagon bolt", joint, bolts, groups.len());
    let n = *bolts.count * groups.len() as u32;
    let t = tight(bolts)?;
    lines.push((washer(bolts, &t, n, joint), "washer"));
    let nut = hardware("Nut", bolts.thread.value.clone(), n, joint).class(t.class.nut.to_string());
    let nut = nut.note(format!("for the {joint}, only where the holes below are not tapped; the spec does not say"));
    lines.push((nut.advised(), ""));
    Ok(with_steps(lines, all, groups))
}

fn washer(bolts: &Bolts, t: &Tight, n: u32, joint: &str) -> Line {
    let line = hardware("Flat washer", bolts.thread.value.clone(), n, joint);
    match washer_hardness(t.class.rm) {
        Ok((hv, _)) => line.class(format!("{hv} HV or harder")),
        // The table ends with the standard; the list of what to pack does not.
        Err(none) => line
            .class(format!("for class {}", bolts.class.value))
            .joint_note(&format!("{none}; ask the maker of the bolts how hard it must be")),
    }
}

/// The nut outside takes the load of the one inside, so it is a full one of the same class.
fn second_nut(t: &Tight, thread: &str, n: u32, joint: &str) -> Line {
    let nut = hardware("Second nut", thread.to_owned(), n, joint).class(format!("{} or higher", t.class.nut));
    nut.joint_note("full height, outside the first")
}

fn set_screws(screws: &SetScrews, joint: &str, groups: usize) -> Line {
    hardware("Set screw, cup point", screws.thread.value.clone(), *screws.count * groups as u32, joint)
}

/// Rods of every length that a setup needs, and one set of nuts and washers: only one set of rods is in at a time.
fn rods(module: &Module, rods: &Rods, all: &Everything) -> Result<Vec<Line>, NoFigure> {
    let bolts = &rods.bolts;
    let (n, thread, joint) = (*bolts.count, &bolts.thread.value, rods.part.as_str());
    let t = tight(bolts)?;
    let mut lines = cut(module, rods)?;
    let size = || thread.clone();
    lines.push((hardware("Nut", size(), 2 * n, joint).class(format!("{} or higher", t.class.nut)), "nut"));
    lines.push((washer(bolts, &t, 2 * n, joint), "washer"));
    match *bolts.secure {
        Securing::SecondNut => lines.push((second_nut(&t, thread, 2 * n, joint), "nut")),
        Securing::SpringWasher => lines.push((hardware("Spring washer", size(), 2 * n, joint), "washer")),
        Securing::ThreadLocker | Securing::None => {}
    }
    let (most, ends) = module.stack.as_ref().map_or((0, 0), |s| s.balance_washers);
    if most > 0 {
        let nut = hardware("Retaining nut", size(), ends * n, joint).class(t.class.nut.to_string());
        lines.push((nut.joint_note("over the balance washers, outside the tightened nuts"), "nut"));
        let washers = hardware("Balance washer", size(), most * n * ends, joint);
        lines.push((washers.joint_note("of one box, weighed at the bench; as many as the rods carry"), "washer"));
    }
    Ok(with_steps(lines, all, std::slice::from_ref(&rods.part)))
}

/// Rods by length, each length once, and the bars they can be cut from.
fn cut(module: &Module, rods: &Rods) -> Result<Vec<(Line, &'static str)>, NoFigure> {
    let bolts = &rods.bolts;
    let mut lengths: BTreeMap<u64, (Length, Vec<String>, u32)> = BTreeMap::new();
    for (discs, length) in rods.lengths.iter().filter(|(discs, _)| allowed(module, **discs)) {
        let micrometres = (length.mm() * 1000.0).round().max(0.0) as u64;
        let row = lengths.entry(micrometres).or_insert((**length, Vec::new(), length.place.line));
        row.1.push(discs.to_string());
    }
    let mut lines = Vec::new();
    let mut pieces = Vec::new();
    let mut line = bolts.thread.place.line;
    for (length, discs, at) in lengths.values() {
        line = *at;
        let rod = hardware("Rod", format!("{} x {} mm", bolts.thread.value, length.mm()), *bolts.count, &rods.part);
        let word = if discs == &["1"] { "disc" } else { "discs" };
        let rod = rod.class(bolts.class.value.clone()).note(format!(
            "for {} {word}; saw to {} mm, dress both ends to length",
            discs.join(", "),
            cutting().sawn(*length).mm()
        ));
        let spare = rod.spares("rod").map_or(0, |s| s.quantity);
        pieces.extend(std::iter::repeat_n(*length, (rod.quantity + spare) as usize));
        lines.push((rod, "rod"));
    }
    let bars = cutting().bars(&pieces).map_err(|e| NoFigure { line, why: e.to_string() })?;
    let size = format!("{} x {} mm", bolts.thread.value, cutting().bar().mm());
    let bar = hardware("Threaded bar", size, bars, &rods.part).class(bolts.class.value.clone());
    let bar = bar.joint_note("in place of cut rods, spare rods included").advised();
    lines.push((Line { basis: Some(cutting().source.clone()), ..bar }, ""));
    Ok(lines)
}

/// A number of discs that some setup has.
fn allowed(module: &Module, discs: u32) -> bool {
    let axis = module.axes.iter().find(|a| a.name == "discs");
    let most = module.stack.as_ref().map_or(0, |s| *s.discs.count);
    axis.map_or(discs == most, |a| a.allowed.contains(&discs.to_string()))
}

#[cfg(test)]
mod tests {
    use crate::module::demo_with;
    use crate::procedure::Words;
    use crate::procedure::kit::kit;

    /// The table of washers ends at class 10.9: a kit for 12.9 says so at its line and lists all the rest.
    #[test]
    fn a_class_above_the_table_of_washers_still_has_its_kit() {
        let strong = demo_with(
            "flywheel",
            &[
                ("class: 8.8\n  lengths", "class: 12.9\n  lengths"),
                ("use: 60 % of proof\n  passes", "use: 35 % of proof\n  passes"),
            ],
        );
        let kit = kit(&strong, Words::built_in().unwrap()).unwrap();
        let washers: Vec<_> = kit.lines.iter().filter(|l| l.name == "Flat washer").collect();
        let asks = |l: &&&crate::procedure::kit::Line| l.note.as_deref().is_some_and(|n| n.contains("ask the maker"));
        assert!(washers.iter().filter(asks).count() >= 1 && washers.len() > 3, "{washers:?}");
        assert!(washers.iter().filter(asks).all(|l| l.class.as_deref() == Some("for class 12.9")), "{washers:?}");
    }
}
