//! The spec of a new module, section by section.

use crate::module::{Key, Node};
use crate::standards::{bearings, ring_screws, set_screws};

use super::sheet::{Sheet, list, map, mm, up, words};
use super::sizes::{Places, insert};
use super::{Answers, NotSo, drive, stack};

/// Sizes and places of the whole module.
#[derive(Debug, Clone)]
pub struct Whole {
    /// Discs, collars and rods; none on a plain shaft.
    pub stack: Option<stack::Sizes>,
    /// Pulley, belt and sled.
    pub drive: drive::Sizes,
    /// Along the shaft.
    pub places: Places,
}

/// Which setups are left open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Open {
    /// All that were asked for.
    All,
    /// Fewest and most discs, slowest and fastest step: what is found there first is found soonest.
    Ends,
}

/// The spec as a tree.
///
/// # Errors
/// [`NotSo`] for a bearing that no table holds.
pub fn spec(answers: &Answers, sheet: &Sheet<'_>, whole: &Whole, open: Open) -> Result<Node, NotSo> {
    let mut sections = vec![
        ("runtrue", Node::words("spec 1")),
        ("module", Node::words(&answers.name)),
        ("title", Node::words(title(&answers.name))),
        ("revision", sheet.node("revision", "A")),
        ("seen from", sheet.node("seen from", "drive end")),
    ];
    let setup = setup(answers, open);
    if let Some(setup) = setup {
        sections.push(("setup", setup));
    }
    sections.push(("limits", limits(answers, sheet)));
    sections.push(("shaft", shaft(answers, sheet, whole)));
    if let Some(sizes) = &whole.stack {
        sections.push(("discs", discs(answers, sheet, sizes)));
        sections.push(("collars", collars(answers, sheet, sizes)));
        sections.push(("rods", rods(answers, sheet, sizes)));
    }
    sections.push(("bearings", bearing_units(answers, sheet)?));
    sections.push(("base", map([("part", sheet.node("base.part", "base")), ("feet", sheet.node("base.feet", "4"))])));
    sections.push(("pulley", pulley(answers, sheet, &whole.drive)));
    sections.push(("belt", belt(answers, sheet, &whole.drive)));
    sections.push(("sled", sled(sheet, &whole.drive)));
    let hold =
        sheet.bolts("frame.hold-downs", ["4", "M10 x 45", "8.8", "0.12 to 0.16", "60 % of proof", "spring washer"]);
    sections.push(("frame", map([("part", sheet.node("frame.part", "frame")), ("hold-downs", hold)])));
    let clearance = sheet.node("guard.clearance", "at least 10 mm");
    sections.push(("guard", map([("part", sheet.node("guard.part", "guard")), ("clearance", clearance)])));
    sections.push(("people", sheet.whole("people", map([("design", words(["ed"])), ("fitter", words(["fi"]))]))));
    if whole.stack.is_some() {
        sections.push(("critical", words(sheet.list("critical", &["fit/face"]))));
    }
    Ok(map(sections))
}

/// "seed-mill-2" as "Seed mill 2".
fn title(name: &str) -> String {
    let spaced = name.replace('-', " ");
    let mut letters = spaced.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What stays open: several numbers of discs, several steps.
fn setup(answers: &Answers, open: Open) -> Option<Node> {
    let ends = |mut list: Vec<String>| {
        if open == Open::Ends && list.len() > 2 {
            list.drain(1..list.len() - 1);
        }
        list
    };
    let axis = |allowed: Vec<String>, first: String| map([("allowed", words(allowed)), ("first", Node::words(first))]);
    let mut axes = Vec::new();
    let (least, most) = answers.discs;
    if most > least {
        axes.push(("discs", axis(ends((least..=most).map(|n| n.to_string()).collect()), most.to_string())));
    }
    if answers.speeds.len() > 1 {
        let names = drive::names(answers.speeds.len());
        axes.push(("pulley", axis(ends(names.iter().map(|&n| n.to_owned()).collect()), names[0].to_owned())));
    }
    (!axes.is_empty()).then(|| map(axes))
}

/// The fastest speed asked for and a twentieth more, in tens: makers' line differences alone move it by up to 2 %.
fn limits(answers: &Answers, sheet: &Sheet<'_>) -> Node {
    let fastest = answers.speeds.last().copied().unwrap_or(0.0);
    map([
        ("speed", sheet.computed("limits.speed", format!("{} rpm", up(fastest * 1.05, 10.0)))),
        ("torque", sheet.computed("limits.torque", format!("{} N·m", answers.torque))),
        ("slip safety", sheet.node("limits.slip safety", "1.5")),
        ("load", Node::words(answers.load.word())),
        ("temperature at the bench", sheet.node("limits.temperature at the bench", "10 °C to 35 °C")),
        ("balance grade", sheet.node("limits.balance grade", "G 16")),
    ])
}

fn shaft(answers: &Answers, sheet: &Sheet<'_>, whole: &Whole) -> Node {
    let at = |part: &str, place: f64| map([("part", Node::words(part)), ("at", Node::words(mm(place)))]);
    let alone = |part: &str| map([("part", Node::words(part))]);
    let bearings = pair(sheet, "bearings.each", ["bearing-far", "bearing-drive"]);
    let pulley = at(&sheet.said("pulley.part", "pulley"), whole.places.pulley);
    let (far, drive) = (at(&bearings[0], whole.places.far), at(&bearings[1], whole.places.drive));
    let mut order = Vec::new();
    if whole.stack.is_some() {
        let collars = pair(sheet, "collars.each", ["collar-far", "collar-drive"]);
        order.push(alone(&collars[0]));
        order.push(alone("discs"));
        order.push(map([("part", Node::words(&collars[1])), ("face at", Node::words(mm(whole.places.face)))]));
    }
    order.insert(if answers.overhung { order.len() } else { 0 }, far);
    order.extend([pulley, drive]);
    map([
        ("part", sheet.node("shaft.part", "shaft")),
        ("diameter", sheet.computed("shaft.diameter", format!("{} mm h6", answers.shaft))),
        ("length", sheet.computed("shaft.length", mm(whole.places.length))),
        ("steel", sheet.node("shaft.steel", "C45")),
        ("hardness", sheet.node("shaft.hardness", "210 HV")),
        ("run-out", sheet.node("shaft.run-out", "at most 0.05 mm")),
        ("order", list(order)),
    ])
}

/// Far and drive part of two, by the family's ids where it has two.
fn pair(sheet: &Sheet<'_>, path: &str, usual: [&str; 2]) -> [String; 2] {
    <[String; 2]>::try_from(sheet.list(path, &usual)).unwrap_or_else(|_| usual.map(str::to_owned))
}

fn bored(answers: &Answers) -> String {
    format!("{} mm H7", answers.shaft)
}

fn discs(answers: &Answers, sheet: &Sheet<'_>, sizes: &stack::Sizes) -> Node {
    let bore = map([
        ("size", sheet.computed("discs.bore.size", sizes.bore.clone())),
        ("edge", sheet.node("discs.bore.edge", "bored")),
        ("finish", Node::words(format!("ream {}", bored(answers)))),
        ("by", sheet.node("discs.bore.by", "hand")),
    ]);
    let holes = map([
        ("count", Node::words(answers.rods.to_string())),
        ("on", Node::words(mm(sizes.circle))),
        ("drill", sheet.computed("discs.holes.drill", mm(sizes.thread.hole))),
    ]);
    let mut fields = vec![
        ("part", sheet.node("discs.part", "disc")),
        ("count", Node::words(answers.discs.1.to_string())),
        ("outer", Node::words(mm(answers.outer))),
        ("thickness", Node::words(format!("{} ±{}", mm(answers.thickness), sizes.tolerance))),
        ("steel", sheet.node("discs.steel", "S355")),
        ("bore", bore),
        ("holes", holes),
        ("flatness", sheet.node("discs.flatness", "at most 0.4 mm")),
    ];
    let by = sheet.said("discs.made by", "");
    if !by.is_empty() {
        fields.push(("made by", Node::words(by)));
    }
    map(fields)
}

fn collars(answers: &Answers, sheet: &Sheet<'_>, sizes: &stack::Sizes) -> Node {
    // The halves' bolts are as long as two fifths of the collar, in stock lengths of five (common practice).
    let long = format!("M10 x {}", ((sizes.collar * 0.4 / 5.0).round() * 5.0).max(30.0));
    let pinch = ["2", long.as_str(), "10.9", "0.12 to 0.16", "70 % of proof", "thread locker"];
    map([
        ("each", words(pair(sheet, "collars.each", ["collar-far", "collar-drive"]))),
        ("kind", sheet.node("collars.kind", "two halves")),
        ("outer", Node::words(mm(sizes.collar))),
        ("width", Node::words(sizes.width_written.clone())),
        ("bore", sheet.computed("collars.bore", bored(answers))),
        ("pinch", sheet.bolts("collars.pinch", pinch)),
    ])
}

fn rods(answers: &Answers, sheet: &Sheet<'_>, sizes: &stack::Sizes) -> Node {
    let lengths: Vec<(String, Node)> = sizes.rods.iter().map(|(n, l)| (n.to_string(), Node::words(mm(*l)))).collect();
    map([
        ("part", sheet.node("rods.part", "rods")),
        ("join", Node::words("through the collars")),
        ("count", Node::words(answers.rods.to_string())),
        ("size", Node::words(&sizes.thread.size)),
        ("class", sheet.node("rods.class", "8.8")),
        ("lengths", map(lengths.iter().map(|(n, node)| (n.as_str(), node.clone())))),
        ("friction", sheet.node("rods.friction", "0.12 to 0.16")),
        ("use", sheet.node("rods.use", "60 % of proof")),
        ("passes", sheet.node("rods.passes", "3")),
        ("secure", sheet.node("rods.secure", "second nut")),
    ])
}

fn bearing_units(answers: &Answers, sheet: &Sheet<'_>) -> Result<Node, NotSo> {
    let none = |e: crate::standards::NotInTable| NotSo::new("shaft", e.to_string());
    let insert = insert(answers);
    let unit = bearings::insert(&insert).map_err(none)?;
    // Through foot and base plate (common practice): four to five diameters.
    let bolt = match unit.bolt.as_str() {
        "M10" => "M10 x 40",
        "M14" => "M14 x 50",
        _ => "M16 x 60",
    };
    let share = if unit.bolt == "M10" { "60 % of proof" } else { "50 % of proof" };
    // The size is the housing's, whatever bolts a family's other modules have.
    let mut own = sheet.clone();
    own.changed.entry("bearings.base bolts.size".into()).or_insert_with(|| bolt.to_owned());
    let bolts = own.bolts("bearings.base bolts", ["2", bolt, "8.8", "0.12 to 0.16", share, "spring washer"]);
    let each = pair(sheet, "bearings.each", ["bearing-far", "bearing-drive"]);
    let floats = sheet.node("bearings.floats", &each[0]);
    Ok(map([
        ("each", words(each)),
        ("insert", Node::words(&insert)),
        ("housing", Node::words(&unit.housing)),
        ("base bolts", bolts),
        ("set screws", ring(&insert, sheet).map_err(none)?),
        ("floats", floats),
    ]))
}

/// The largest torque, in tenths, of a ring whose maker prints one for its size; the family's where that is in range for the insert.
fn ring(insert: &str, sheet: &Sheet<'_>) -> Result<Node, crate::standards::NotInTable> {
    let (own, maker) = (sheet.said("bearings.set screws.torque", ""), sheet.said("bearings.set screws.from", ""));
    let size = sheet.said("bearings.set screws.size", "");
    let torques = ring_screws::torques(insert)?;
    let known = torques.iter().find(|t| t.ring == "zone-hardened").or(torques.first());
    let screw = known.map_or(size.as_str(), |t| t.screw.as_str());
    let nm: Option<f64> = own.split_whitespace().next().and_then(|n| n.replace(',', ".").parse().ok());
    let in_range = match (nm, ring_screws::range(insert, &maker)?) {
        (Some(nm), Some(range)) if !maker.is_empty() => size == screw && nm >= range.low.nm() && nm <= range.high.nm(),
        _ => false,
    };
    let (torque, from) = match known {
        Some(row) if !in_range => {
            // The source ends with the inch thread that the maker prints.
            let (sheet, thread) = row.source.rsplit_once(", ").unwrap_or((&row.source, ""));
            let from = if thread.contains('/') { sheet } else { &row.source };
            (format!("{} N·m", (row.high * 10.0).floor() / 10.0), from.to_owned())
        }
        _ => (own, maker),
    };
    Ok(map([
        ("count", sheet.node("bearings.set screws.count", "2")),
        ("size", Node::words(screw)),
        ("torque", Node::words(torque)),
        ("from", Node::words(from)),
    ]))
}

fn pulley(answers: &Answers, sheet: &Sheet<'_>, sizes: &drive::Sizes) -> Node {
    let steps: Vec<(&str, Node)> = sizes.steps.iter().map(|(n, d)| (n.as_str(), Node::words(mm(*d)))).collect();
    let size = sheet.said("pulley.set screws.size", if answers.shaft > 25 { "M8" } else { "M6" });
    let maker = set_screws::set_screw_torque(&size, false).map(|(t, _)| format!("{} N·m", t.nm())).unwrap_or_default();
    let from = format!("set screw maker's table, alloy steel {size}");
    let screws = map([
        ("count", sheet.node("pulley.set screws.count", "2")),
        ("size", Node::words(size)),
        ("torque", sheet.node("pulley.set screws.torque", &maker)),
        ("from", sheet.node("pulley.set screws.from", &from)),
    ]);
    let mut fields = vec![
        ("part", sheet.node("pulley.part", "pulley")),
        ("profile", Node::words(drive::PROFILE)),
        ("ribs", Node::words(sizes.ribs.to_string())),
        ("steps", map(steps)),
        ("hub length", Node::words(mm(sizes.hub))),
        ("bore", sheet.computed("pulley.bore", bored(answers))),
        ("run-out", sheet.node("pulley.run-out", "at most 0.25 mm")),
    ];
    if let Some(key) = sheet.changed.get("pulley.key") {
        fields.push(("key", Node::words(key)));
    }
    fields.push(("set screws", screws));
    map(fields)
}

fn belt(answers: &Answers, sheet: &Sheet<'_>, sizes: &drive::Sizes) -> Node {
    let driver = map([
        ("part", sheet.node("belt.driver.part", "driver")),
        ("effective", Node::words(mm(sizes.driver))),
        ("speed", Node::words(format!("{} rpm", answers.driver))),
    ]);
    let tension = map([
        ("new", sheet.node("belt.tension.new", drive::TENSION.0)),
        ("used", sheet.node("belt.tension.used", drive::TENSION.1)),
        ("from", sheet.node("belt.tension.from", "belt maker's sheet")),
    ]);
    map([
        ("part", sheet.node("belt.part", "belt")),
        ("profile", Node::words(drive::PROFILE)),
        ("ribs", Node::words(sizes.ribs.to_string())),
        ("length", Node::words(mm(sizes.belt))),
        ("kind", Node::words("endless")),
        ("driver", driver),
        ("tension", tension),
    ])
}

fn sled(sheet: &Sheet<'_>, sizes: &drive::Sizes) -> Node {
    let bolts = ["4", "M10 x 35", "8.8", "0.12 to 0.16", "60 % of proof", "spring washer"];
    map([
        ("part", sheet.node("sled.part", "sled")),
        ("travel", sheet.computed("sled.travel", mm(sizes.sled.1))),
        ("centre at inner end", sheet.computed("sled.centre at inner end", mm(sizes.sled.0))),
        ("adjuster", sheet.node("sled.adjuster", "M10")),
        ("lock bolts", sheet.bolts("sled.lock bolts", bolts)),
    ])
}

/// What stands behind a field for whoever reads the file.
pub fn remark(path: &str, _: &Key, node: &Node) -> Option<String> {
    if node.text() == Some("~") {
        return Some("the family's is not here".to_owned());
    }
    let said = match path {
        "builds on" => "what is not stated here is stated there",
        "seen from" => "angles count clockwise from hole 1, which stands at the top",
        "setup" => "what stays open until the bench",
        "limits.speed" => "of the rotor, never to be passed",
        "limits.torque" => "largest at the rotor's shaft, start and stop included",
        "limits.slip safety" => "least wanted of any joint that passes this torque on",
        "limits.load" => "what the set screws are asked to carry",
        "limits.balance grade" => "ISO 21940-11; G 16 is agricultural machinery",
        "shaft.hardness" => "not hardened: cup-point set screws bite",
        "shaft.order" => "along the shaft, from the far end to the drive end",
        "shaft.order.collar-drive" => "located; the far one is pushed up by the rods",
        "discs.bore" => "cut by laser: machine it first, or leave another allowance to ream",
        "discs.holes" => "hole 1 is marked",
        "collars" => "same for both",
        "collars.width" => "the pinch bolts' holes take at most 55 % of it",
        "rods.lengths" => "cut for each number of discs: the longest stack, nuts, second nuts",
        "rods.passes" => "crosswise, then round until none moves",
        "rods.secure" => "a second nut is a full nut outside, after the last pass",
        "bearings.set screws" => "the torque is this maker's; read the sheet of yours",
        "bearings.floats" => "its set screws come last",
        "pulley.steps" => "effective diameters",
        "pulley.key" => "DIN 6885-1: carries what set screws alone would not",
        "belt.length" => "effective, from stock",
        "belt.tension" => "take it from your belt maker's sheet",
        "sled.travel" => "room to lay the belt on at every step, and to take it up",
        "guard" => "no rotor is spun without it",
        "people" => "put your own initials: who may release and decide, who builds",
        "critical" => "values typed twice: everything stands where this collar stands",
        _ => return None,
    };
    Some(said.to_owned())
}
