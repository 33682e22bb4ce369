//! Receiving, inspection and preparation of the parts, up to clean parts on the bench.

use rust_decimal::Decimal;

use crate::mechanics::ream;
use crate::module::Given;
use crate::module::{Bolts, RingLock, Securing, Split, spec_line};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::What;
use crate::procedure::figures::{NoFigure, limits};
use crate::procedure::plan::{Picture, SeriesRule, Take};
use crate::quantity::{Band, rounded};

use super::gauging;
use super::heavy_side;
use super::insert_bearing::{lock_key, lock_words};
use super::{Context, Driven, Stacked};

const PLACE: &str = "receiving";
const BENCH: &str = "bench";
/// Faces of a disc, told apart by the number written on one of them.
const FACES: [&str; 2] = ["numbered face", "other face"];
/// Ends of a pulley's bore.
pub(super) const ENDS: [&str; 2] = ["outer end", "inner end"];
const IN_DATE: &str = "a reading with an instrument out of date has to be taken again";

/// Puts down everything that happens to single parts before they meet.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.add(instruments(context));
    sheet.add(bolts(context));
    sheet.add(shaft(context)?);
    if let Some(stacked) = context.stacked() {
        stack_parts(&stacked, sheet)?;
    }
    for bearing in &context.module.bearings.each {
        sheet.add(bearing_part(context, &bearing.value));
    }
    for driven in context.driven() {
        gauging::pulley(&driven, sheet)?;
        sheet.add(belt(&driven));
    }
    for part in [&context.module.frame.part, &context.module.base.part] {
        sheet.add(frame(part));
    }
    clean_shaft_and_pulleys(context, sheet);
    Ok(())
}

fn stack_parts(context: &Stacked<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.add(rods(context));
    for disc in context.discs() {
        sheet.add(inspect_disc(context, &disc)?);
        sheet.add(deburr(context, &disc));
        sheet.add(ream_disc(context, &disc)?);
    }
    let collars = &context.stack.collars;
    for collar in &collars.each {
        let level = if *collars.kind == Split::TwoHalves { ", and the two halves level" } else { "" };
        sheet.add(turned_part("collar", &collar.value, &collars.bore, &collars.width)?.slot("level", level));
    }
    if let Some(plates) = &context.stack.plates {
        for plate in &plates.each {
            sheet.add(turned_part("end plate", &plate.value, &plates.bore, &plates.thickness)?);
        }
    }
    mark_and_clean(context, sheet);
    Ok(())
}

pub(super) fn inspect(entry: &'static str, part: &str) -> Draft {
    Draft::new("inspect", entry, part, PLACE)
        .parts([part])
        .slot("part", part)
        .once_after("instruments checked", IN_DATE)
        .makes(format!("{part} inspected"))
        .picture(Picture::Zone)
}

/// Limits of a toleranced value of the spec, guarded: they come from a drawing.
pub(super) fn drawn(given: &Given<Band>) -> Result<Limits, NoFigure> {
    let (lower, upper, basis) = limits(given)?;
    Ok(Limits { nominal: given.value.nominal, lower, upper, basis, guarded: true })
}

fn instruments(context: &Context<'_>) -> Draft {
    let room = &context.module.limits.temperature;
    let room =
        Limits { lower: room.value.lower, upper: room.value.upper, basis: spec_line(room.place), ..Limits::default() };
    Draft::new("inspect", "instruments", "instruments", PLACE)
        .check(draft::confirm("zero"))
        .check(draft::measure("room", "°C", room))
        .makes("instruments checked")
        .picture(Picture::Zone)
        .minutes(10)
}

fn rods(context: &Stacked<'_>) -> Draft {
    let rods = &context.stack.rods;
    let n = *rods.bolts.count;
    let length = context.stack.rods.lengths.get(&context.setup.discs);
    let (_, most) = context.own.rod_needed;
    let (least, _) = context.own.rod_needed;
    let nuts = n * if *rods.bolts.secure == Securing::SecondNut { 4 } else { 2 };
    let limits = Limits {
        nominal: length.and_then(|l| super::decimal(l.mm(), 1)),
        lower: super::decimal(least.mm(), 2),
        upper: length.and_then(|l| super::decimal(l.mm().max(most.mm()), 2)),
        basis: "stack, washers, nuts and one to three threads at both ends; common practice".into(),
        guarded: true,
    };
    Draft::new("receive", "rods and nuts", &rods.part, PLACE)
        .parts([rods.part.clone()])
        .slot("count", n.to_string())
        .slot("size", &rods.bolts.thread.value)
        .slot("class", &rods.bolts.class.value)
        .slot("nut class", context.own.rod.class.nut.to_string())
        .once_after("instruments checked", IN_DATE)
        .check(draft::wanted("rod-class", &rods.bolts.class.value, &spec_line(rods.bolts.class.place)))
        .check(draft::confirm("nut-class"))
        .check(draft::count("count", n, n, &spec_line(rods.bolts.count.place)))
        .check(draft::count(
            "nuts",
            nuts,
            nuts,
            "a nut at both ends of each rod, and a second one outside where second nuts secure it",
        ))
        .check(draft::series_at("length", "mm", draft::counted("rod", n), SeriesRule::Each, limits))
        .check(draft::text("lot"))
        .makes(format!("{} received", rods.part))
        .keyed(length.map_or_else(String::new, |l| l.written.clone()))
        .picture(Picture::Zone)
        .minutes(8)
}

fn bolts(context: &Context<'_>) -> Draft {
    let m = context.module;
    let groups = m.bolt_groups();
    let line = |(name, b, times): &(&str, &Bolts, usize)| {
        let length = b.length.map_or_else(String::new, |l| format!(" x {}", l.mm()));
        format!("{} {name} {}{length}, class {}.", *b.count * *times as u32, b.thread.value, b.class.value)
    };
    let pins = m.stack.iter().filter_map(|s| s.plates.as_ref()).filter_map(|p| Some((p.each.len(), p.pins.as_ref()?)));
    let pins: Vec<(u32, String)> = pins
        .map(|(plates, p)| (*p.count * plates as u32, format!("dowel pins {} mm, {}.", p.diameter.mm(), p.steel.value)))
        .collect();
    let mut lines: Vec<String> = groups.iter().map(line).collect();
    lines.extend(pins.iter().map(|(n, words)| format!("{n} {words}")));
    let bolts: u32 = groups.iter().map(|(_, b, times)| *b.count * *times as u32).sum();
    let all = bolts + pins.iter().map(|(n, _)| n).sum::<u32>();
    let mut classes: Vec<&str> = groups.iter().map(|(_, b, _)| b.class.value.as_str()).collect();
    classes.sort_unstable();
    classes.dedup();
    Draft::new("receive", "bolts", "bolts", PLACE)
        .slot("groups", lines.join(" "))
        .check(draft::wanted("class", &classes.join(" "), "classes of the groups in the spec"))
        .check(draft::count("count", all, all, "sum of the groups in the spec"))
        .check(draft::text("lot"))
        .makes("bolts received")
        .minutes(8)
}

fn shaft(context: &Context<'_>) -> Result<Draft, NoFigure> {
    let shaft = &context.module.shaft;
    let names: Vec<&str> = shaft.order.iter().map(|on| on.part.value.as_str()).collect();
    let seats = draft::two_ways(&names);
    Ok(inspect("shaft", &shaft.part)
        .slot("seats", names.join(", "))
        .slot("hardness", &shaft.hardness.written)
        .check(draft::series_at("diameter", "mm", seats, SeriesRule::Each, drawn(&shaft.diameter)?))
        .check(draft::measure("run-out", "mm", drawn(&shaft.run_out)?))
        .check(draft::confirm("hardness"))
        .minutes(10))
}

fn inspect_disc(context: &Stacked<'_>, disc: &str) -> Result<Draft, NoFigure> {
    let discs = &context.stack.discs;
    let plain = |given: &Given<Band>| Limits {
        nominal: given.value.nominal,
        lower: given.value.lower,
        upper: given.value.upper,
        basis: spec_line(given.place),
        guarded: true,
    };
    let at_holes = draft::thirds("hole", *context.stack.rods.bolts.count);
    let tapered = if discs.edge.cut_by_heat() {
        format!(" Holes cut by {} are tapered; try both faces.", discs.edge.word())
    } else {
        String::new()
    };
    let number = disc.rsplit('-').next().unwrap_or_default();
    let mut draft = inspect("disc", disc)
        .slot("number", number)
        .slot("tapered", tapered)
        .check(draft::confirm("hole-1"))
        .check(draft::series_at("thickness", "mm", at_holes, SeriesRule::Each, plain(&discs.thickness)))
        .check(draft::series_at("bore", "mm", draft::two_ways(FACES), SeriesRule::Each, plain(&discs.bore)))
        .check(draft::measure("flatness", "mm", plain(&discs.flatness)))
        .minutes(8);
    draft.picture = Picture::Zone;
    gauging::holes(context, draft)
}

fn deburr(context: &Stacked<'_>, disc: &str) -> Draft {
    let cut = *context.stack.discs.edge;
    let edge = if cut.cut_by_heat() {
        format!(
            "Take the dross of the {} cut off the exit side with a scraper, then break every edge by 0.2 to 0.5 mm.",
            cut.word()
        )
    } else {
        "Break every edge by 0.2 to 0.5 mm.".to_owned()
    };
    Draft::new("deburr", "disc", disc, BENCH)
        .parts([disc])
        .slot("part", disc)
        .slot("edge", edge)
        .once_after(format!("{disc} inspected"), "a disc out of its limits goes back as it came")
        .check(draft::confirm("burr"))
        .makes(format!("{disc} deburred"))
        .minutes(4)
}

/// Reaming, with the stock worked out from the bore that was measured.
fn ream_disc(context: &Stacked<'_>, disc: &str) -> Result<Draft, NoFigure> {
    let discs = &context.stack.discs;
    let finish = &discs.finish;
    let line = finish.place.line;
    let no = |e: crate::standards::NotInTable| NoFigure { line, why: e.to_string() };
    let hard = discs.edge.cut_by_heat();
    let stock = ream::stock(finish.length(), discs.by_hand, hard).map_err(no)?;
    let class = finish.value.class.clone().unwrap_or_default();
    let (low, high) = ream::reamer(&class, finish.nominal()).map_err(no)?;
    let stock_limits = Limits {
        lower: super::decimal(stock.least.mm(), 3),
        upper: super::decimal(stock.most.mm(), 3),
        basis: stock.basis,
        ..Limits::default()
    };
    let half = Decimal::new(5, 1);
    // Where the bore is smallest most has to be cut, where it is largest the reamer may only rub: both are judged.
    let derive = |take, which: &str| {
        let words = format!("({} mm - {which} bore as it came) / 2", finish.nominal());
        draft::derive(format!("inspect-{disc}/bore"), take, -half, finish.nominal() * half, 3, &words)
    };
    let finished = finish.written.trim_start_matches("ream").trim().to_owned();
    let edge = discs.edge.word();
    let file = if hard {
        format!(
            "A {edge} cut leaves a hard skin. Try the bore with a fine file. It must cut. If the file skates, answer no and stop."
        )
    } else {
        format!(
            "Try the bore with a fine file. It must cut. If the file skates, the bore is not {edge} as the spec says; answer no and stop."
        )
    };
    Ok(Draft::new("ream", "disc bore", disc, BENCH)
        .parts([disc])
        .slot("part", disc)
        .slot("finished", &finished)
        .slot("file", file)
        .slot("reamer limits", format!("{low} to {high} mm"))
        .once_after(format!("{disc} deburred"), "a burr holds the disc off the table, and the reamer goes in crooked")
        .check(draft::derived("stock", "mm", stock_limits.clone(), derive(Take::Smallest, "smallest")))
        .check(draft::derived("stock-least", "mm", stock_limits, derive(Take::Largest, "largest")))
        .check(draft::confirm("file"))
        .check(draft::series_at("bore", "mm", draft::two_ways(FACES), SeriesRule::Each, drawn(finish)?))
        .check(draft::gauge(
            "plug",
            &format!("ream-{disc}/bore"),
            &format!("ISO 286-2 {class}: go at the lower, no-go at the upper limit"),
        ))
        .makes(format!("{disc} reamed"))
        .picture(Picture::Zone)
        .minutes(12))
}

/// A collar or an end plate: bore, width, clamping face.
fn turned_part(entry: &'static str, id: &str, bore: &Given<Band>, width: &Given<Band>) -> Result<Draft, NoFigure> {
    Ok(inspect(entry, id)
        .check(draft::series_at("bore", "mm", draft::two_ways(["bore"]), SeriesRule::Each, drawn(bore)?))
        .check(draft::measure("width", "mm", drawn(width)?))
        .check(draft::confirm("face"))
        .minutes(5))
}

fn bearing_part(context: &Context<'_>, id: &str) -> Draft {
    let b = &context.module.bearings;
    let entry = if matches!(b.lock, RingLock::Sleeve(_)) { "bearing on its sleeve" } else { "bearing" };
    inspect(entry, id)
        .slot("insert", &b.insert.value)
        .slot("housing", &b.housing.value)
        .slot("set screw", lock_words(context.module))
        .slot("key wrench", lock_key(context.module))
        .check(draft::wanted("marking", &b.insert.value, &spec_line(b.insert.place)))
        .check(draft::wanted("housing", &b.housing.value, &spec_line(b.housing.place)))
        .check(draft::confirm("turns"))
        .check(draft::confirm("screws"))
        .picture(Picture::Section)
        .minutes(4)
}

fn belt(context: &Driven<'_>) -> Draft {
    let b = &context.drive.belt;
    let printed = format!("{} {} {}", *b.ribs, b.profile.value, rounded(b.length.mm(), 0));
    inspect("belt", &b.part)
        .slot("ribs", b.ribs.to_string())
        .slot("profile", &b.profile.value)
        .slot("length", super::mm(*b.length))
        .check(draft::wanted("marking", &printed, &spec_line(b.length.place)))
        .check(draft::count("ribs", *b.ribs, *b.ribs, &spec_line(b.ribs.place)))
        .check(draft::confirm("sound"))
        .picture(Picture::Belt)
        .minutes(3)
}

fn frame(part: &str) -> Draft {
    let (foot, source) = crate::standards::bench::soft_foot_mm();
    inspect("frame", part)
        .check(draft::confirm("slots"))
        .check(draft::measure("pads", "mm", super::at_most(super::decimal(foot, 3).unwrap_or_default(), source)))
        .minutes(8)
}

fn mark_and_clean(context: &Stacked<'_>, sheet: &mut Sheet) {
    let discs = context.discs();
    // What stays on the shaft keeps its mark and its faces.
    let loose: Vec<String> = discs.iter().filter(|d| !context.fitted.contains(*d)).cloned().collect();
    let mut mark = Draft::new("mark", "discs", "discs", BENCH)
        .parts(loose.clone())
        .slot("count", discs.len().to_string())
        .slot("datum", super::super::figures::datum(context.module))
        .check(draft::numbers("places", u32::try_from(discs.len()).unwrap_or(u32::MAX)))
        .minutes(4);
    let mut clean = clean("discs", loose, &context.stack.discs.part).check(draft::confirm("marks"));
    clean.entry = "discs";
    for disc in &discs {
        mark = mark
            .once_after(format!("{disc} reamed"), "chips and oil would take the marks off again")
            .makes(format!("{disc} marked"));
        clean = clean
            .once_after(format!("{disc} reamed"), "reaming brings oil and chips on the faces")
            .once_after(
                format!("{disc} marked"),
                "degreasing mixes discs up and takes paint off, so each has its tag before it",
            )
            .makes(format!("{disc} clean"));
        if heavy_side::wanted(context) {
            clean = clean.once_after(heavy_side::found(disc), "mandrel, putty and fingers leave oil");
        }
    }
    sheet.add(mark);
    sheet.add(clean);
    let mut turned: Vec<String> = context.stack.collars.each.iter().map(|c| c.value.clone()).collect();
    let plates = context.stack.plates.iter().flat_map(|p| &p.each);
    turned.extend(plates.map(|p| p.value.clone()));
    let collars = self::clean("collars", turned.clone(), "collars");
    let collars = discs.iter().fold(collars, |d, disc| d.once_after(format!("{disc} reamed"), CHIPS));
    let inspected = |d: Draft, part: &String| d.once_after(format!("{part} inspected"), "gauges and fingers leave oil");
    sheet.add(turned.iter().fold(collars, inspected));
}

const CHIPS: &str = "reaming throws chips and oil over the bench, so what is clean waits until it is over";

fn clean_shaft_and_pulleys(context: &Context<'_>, sheet: &mut Sheet) {
    let m = context.module;
    let parts = std::iter::once(&m.shaft.part).chain(m.drives.iter().map(|d| &d.pulley.part));
    for part in parts {
        let draft = self::clean(part, vec![part.clone()], part)
            .once_after(format!("{part} inspected"), "gauges and fingers leave oil");
        let own = m.drives.iter().filter(|d| d.pulley.part == *part).flat_map(|d| d.pulley.steps.keys());
        let draft =
            own.fold(draft, |d, step| d.once_after(gauging::gauged(part, step), "gauges and fingers leave oil"));
        let draft = context.discs().iter().fold(draft, |d, disc| d.once_after(format!("{disc} reamed"), CHIPS));
        let draft = if *part == m.shaft.part { draft.adds(part.clone()) } else { draft };
        sheet.add(draft);
    }
}

fn clean(object: &str, parts: Vec<String>, word: &str) -> Draft {
    let name = if parts.len() > 1 { format!("the {object}") } else { format!("the {word}") };
    Draft::new("clean", "rotor parts", object, BENCH)
        .parts(parts)
        .slot("part", name)
        .check(draft::confirm("dry"))
        .makes(format!("{object} clean"))
        .minutes(4)
}

/// The need for a clean part, used where faces meet.
pub fn is_clean(object: &str) -> What {
    What::Fact(format!("{object} clean"))
}
