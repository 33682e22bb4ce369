//! From the spec as written to the module as understood.

use std::collections::BTreeMap;

use sha2::{Digest, Sha256};

use crate::quantity::{Kind, Torque};
use crate::standards::set_screws::Load;

use super::balance::{self, End};
use super::drive::{Belt, Drive, Pulley, Sled};
use super::heavy_side::heavy_side;
use super::kinds;
use super::model::{
    Axis, Base, Bearings, Collars, Discs, Edge, Frame, Given, Guard, Limits, Module, OnShaft, Pins, Plates, RingLock,
    Shaft, Sleeve, Split, Stack,
};
use super::raw::{self, Text};
use super::read::{Reader, place};
use super::rods::rods;

/// Largest number of discs and rods that is accepted.
pub(super) const MOST: u32 = 200;

/// Reads every value; the reader holds what went wrong.
pub fn module(spec: &raw::Spec, text: &str, reader: &mut Reader) -> Module {
    header(spec, reader);
    keys(spec, reader);
    Module {
        id: reader.id(&spec.module).value,
        title: reader.text(&spec.title).value,
        revision: reader.text(&spec.revision).value,
        seen_from: reader.word(&spec.seen_from, &End::WORDS).value,
        axes: axes(&spec.setup),
        limits: limits(&spec.limits, reader),
        shaft: shaft(&spec.shaft, reader),
        stack: stack(spec, reader),
        bearings: bearings(&spec.bearings, reader),
        base: Base { part: reader.id(&spec.base.part).value, feet: reader.count(&spec.base.feet, 3, 12) },
        drives: drives(spec, reader),
        frame: Frame { part: reader.id(&spec.frame.part).value, hold_downs: reader.bolts(&spec.frame.hold_downs) },
        balance: spec.balance.as_ref().map(|b| balance::resolve(b, reader)),
        guard: Guard {
            part: reader.id(&spec.guard.part).value,
            clearance: reader.band(&spec.guard.clearance, Kind::Length),
        },
        people: people(&spec.people, reader),
        critical: spec.critical.iter().map(|t| critical(t, reader)).collect(),
        text: text.to_owned(),
        sha256: hex(text.as_bytes()),
        origins: None,
    }
}

/// SHA-256 in hex.
pub fn hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

fn header(spec: &raw::Spec, reader: &mut Reader) {
    if spec.runtrue.value.trim() != "spec 1" {
        reader.problem(
            place(&spec.runtrue),
            format!("\"{}\" is not a form of spec this program reads", spec.runtrue.value),
            "It reads \"runtrue: spec 1\".",
        );
    }
}

/// Names that people choose as keys: roles and steps of the pulley.
fn keys(spec: &raw::Spec, reader: &mut Reader) {
    let second = spec.second.iter().flat_map(|d| &d.pulley.steps);
    let steps = spec.pulley.steps.iter().chain(second).map(|(name, text)| (name, &**text));
    let people = spec.people.iter().filter_map(|(name, list)| Some((name, &**list.first()?)));
    for (name, text) in steps.chain(people) {
        reader.refuse_control_codes(name, place(text));
    }
    let axes = [&spec.setup.discs, &spec.setup.pulley];
    for text in axes.into_iter().flatten().flat_map(|a| a.allowed.iter().chain([&a.first])) {
        reader.refuse_control_codes(&text.value, place(text));
    }
}

fn axes(setup: &raw::Setup) -> Vec<Axis> {
    let axis = |name: &str, raw: &Option<raw::Axis>| {
        raw.as_ref().map(|a| Axis {
            name: name.to_owned(),
            allowed: a.allowed.iter().map(|t| t.value.trim().to_owned()).collect(),
            first: a.first.value.trim().to_owned(),
            place: place(&a.first),
        })
    };
    [axis("discs", &setup.discs), axis("pulley", &setup.pulley)].into_iter().flatten().collect()
}

fn limits(raw: &raw::Limits, reader: &mut Reader) -> Limits {
    Limits {
        speed: reader.speed(&raw.speed),
        torque: reader.torque(&raw.torque),
        slip_safety: reader.number(&raw.slip_safety),
        load: raw.load.as_ref().map(|text| reader.word(text, &Load::WORDS)),
        temperature: reader.band(&raw.temperature, Kind::Temperature),
        balance_grade: reader.worded(&raw.balance_grade, Kind::Number, "G"),
    }
}

fn shaft(raw: &raw::Shaft, reader: &mut Reader) -> Shaft {
    let order = raw.order.iter().map(|p| on_shaft(p, reader)).collect();
    Shaft {
        part: reader.id(&raw.part).value,
        diameter: reader.classed(&raw.diameter),
        length: reader.length(&raw.length),
        steel: reader.text(&raw.steel),
        hardness: reader.worded(&raw.hardness, Kind::Hardness, ""),
        run_out: reader.band(&raw.run_out, Kind::Length),
        order,
    }
}

fn on_shaft(raw: &raw::Place, reader: &mut Reader) -> OnShaft {
    OnShaft {
        part: reader.text(&raw.part),
        at: raw.at.as_ref().map(|t| reader.position(t)),
        face_at: raw.face_at.as_ref().map(|t| reader.position(t)),
    }
}

/// Discs, collars and rods belong together: all three or none.
fn stack(spec: &raw::Spec, reader: &mut Reader) -> Option<Stack> {
    let (Some(discs), Some(collars), Some(rods)) = (&spec.discs, &spec.collars, &spec.rods) else {
        let given: Vec<&Text> = [
            spec.discs.as_ref().map(|d| &*d.part),
            spec.collars.as_ref().map(|c| &*c.kind),
            spec.rods.as_ref().map(|r| &*r.part),
            spec.plates.as_ref().map(|p| &*p.outer),
        ]
        .into_iter()
        .flatten()
        .collect();
        if let Some(first) = given.first() {
            let what = "discs, collars and rods belong together, and one of them is missing";
            reader.problem(place(first), what, "Give all three, or none for a plain shaft.");
        }
        return None;
    };
    Some(Stack {
        collars: self::collars(collars, reader),
        plates: spec.plates.as_ref().map(|p| plates(p, reader)),
        rods: self::rods(rods, discs, reader),
        balance_washers: balance::on_rods(spec.balance.as_ref()),
        discs: self::discs(discs, reader),
    })
}

fn plates(raw: &raw::Plates, reader: &mut Reader) -> Plates {
    Plates {
        each: raw.each.iter().map(|t| reader.id(t)).collect(),
        outer: reader.length(&raw.outer),
        thickness: reader.band(&raw.thickness, Kind::Length),
        bore: reader.classed(&raw.bore),
        pins: raw.pins.as_ref().map(|p| pins(p, reader)),
    }
}

fn pins(raw: &raw::Pins, reader: &mut Reader) -> Pins {
    Pins {
        count: reader.count(&raw.count, 1, MOST),
        diameter: reader.length(&raw.diameter),
        on: reader.length(&raw.on),
        depth: reader.length(&raw.depth),
        steel: reader.text(&raw.steel),
    }
}

fn drives(spec: &raw::Spec, reader: &mut Reader) -> Vec<Drive> {
    let mut drives = vec![Drive {
        pulley: pulley(&spec.pulley, reader),
        belt: belt(&spec.belt, reader),
        sled: sled(&spec.sled, reader),
    }];
    drives.extend(spec.second.as_ref().map(|d| Drive {
        pulley: pulley(&d.pulley, reader),
        belt: belt(&d.belt, reader),
        sled: sled(&d.sled, reader),
    }));
    drives
}

fn discs(raw: &raw::Discs, reader: &mut Reader) -> Discs {
    let finish = Text {
        value: raw.bore.finish.value.trim().trim_start_matches("ream").trim().to_owned(),
        ..(*raw.bore.finish).clone()
    };
    let told = reader.problems.len();
    let (outer, finish) = (reader.length(&raw.outer), reader.classed(&finish));
    let both_read = reader.problems.len() == told;
    Discs {
        part: reader.id(&raw.part).value,
        count: reader.count(&raw.count, 1, MOST),
        heavy_side: raw.heavy_side.as_ref().map(|h| heavy_side(h, both_read.then_some((&finish, &outer)), reader)),
        outer,
        thickness: reader.band(&raw.thickness, Kind::Length),
        steel: reader.text(&raw.steel),
        bore: reader.band(&raw.bore.size, Kind::Length),
        edge: reader.word(&raw.bore.edge, &Edge::WORDS),
        finish,
        by_hand: *reader.word(&raw.bore.by, &kinds::BY_HAND),
        holes: reader.count(&raw.holes.count, 2, MOST),
        on: reader.length(&raw.holes.on),
        drill: reader.length(&raw.holes.drill),
        flatness: reader.band(&raw.flatness, Kind::Length),
        made_by: raw.made_by.as_ref().map(|t| reader.text(t).value),
    }
}

fn collars(raw: &raw::Collars, reader: &mut Reader) -> Collars {
    Collars {
        each: raw.each.iter().map(|t| reader.id(t)).collect(),
        kind: reader.word(&raw.kind, &Split::WORDS),
        outer: reader.length(&raw.outer),
        width: reader.band(&raw.width, Kind::Length),
        bore: reader.classed(&raw.bore),
        pinch: reader.bolts(&raw.pinch),
    }
}

fn bearings(raw: &raw::Bearings, reader: &mut Reader) -> Bearings {
    Bearings {
        each: raw.each.iter().map(|t| reader.id(t)).collect(),
        insert: reader.text(&raw.insert),
        housing: reader.text(&raw.housing),
        base_bolts: reader.bolts(&raw.base_bolts),
        lock: ring_lock(raw, reader),
        floats: Some(reader.text(&raw.floats)).filter(|f| f.value != "none"),
    }
}

fn ring_lock(raw: &raw::Bearings, reader: &mut Reader) -> RingLock {
    match (&raw.set_screws, &raw.sleeve) {
        (Some(screws), None) => RingLock::SetScrews(reader.set_screws(screws)),
        (None, Some(sleeve)) => RingLock::Sleeve(Sleeve {
            size: reader.text(&sleeve.size),
            torque: reader.torque(&sleeve.torque),
            spanner: reader.text(&sleeve.spanner).value,
            from: reader.text(&sleeve.from).value,
        }),
        _ => {
            let what = "the bearings are locked either by \"set screws\" or by a \"sleeve\"";
            reader.problem(place(&raw.insert), what, "Give one of the two.");
            RingLock::Sleeve(Sleeve {
                size: reader.text(&raw.insert),
                torque: reader.given(&raw.insert, Torque::from_nm(1.0)),
                spanner: String::new(),
                from: String::new(),
            })
        }
    }
}

fn pulley(raw: &raw::Pulley, reader: &mut Reader) -> Pulley {
    Pulley {
        part: reader.id(&raw.part).value,
        profile: reader.text(&raw.profile),
        ribs: reader.count(&raw.ribs, 1, 100),
        steps: raw.steps.iter().map(|(name, t)| (name.clone(), reader.length(t))).collect(),
        hub_length: reader.length(&raw.hub_length),
        bore: reader.classed(&raw.bore),
        run_out: reader.band(&raw.run_out, Kind::Length),
        key: raw.key.as_ref().map(|key| reader.length(key)),
        set_screws: reader.set_screws(&raw.set_screws),
    }
}

fn belt(raw: &raw::Belt, reader: &mut Reader) -> Belt {
    let (other, effective) = match (&raw.driver, &raw.driven) {
        (Some(d), None) => (&d.part, &d.effective),
        (None, Some(d)) => (&d.part, &d.effective),
        _ => {
            let what = "a belt has either a \"driver\" or something \"driven\"";
            reader.problem(place(&raw.part), what, "Give one of the two.");
            (&raw.part, &raw.length)
        }
    };
    reader.word(&raw.kind, &kinds::BELTS);
    Belt {
        part: reader.id(&raw.part).value,
        profile: reader.text(&raw.profile),
        ribs: reader.count(&raw.ribs, 1, 100),
        length: reader.length(&raw.length),
        other: reader.id(other).value,
        other_effective: reader.length(effective),
        driver_speed: raw.driver.as_ref().map(|d| reader.speed(&d.speed)),
        new: reader.force_per_rib(&raw.tension.new),
        used: reader.force_per_rib(&raw.tension.used),
        from: reader.text(&raw.tension.from).value,
    }
}

fn sled(raw: &raw::Sled, reader: &mut Reader) -> Sled {
    Sled {
        part: reader.id(&raw.part).value,
        travel: reader.length(&raw.travel),
        inner: reader.length(&raw.centre_at_inner_end),
        adjuster: reader.text(&raw.adjuster),
        lock_bolts: reader.bolts(&raw.lock_bolts),
    }
}

/// A check by operation and id; whether there is such a one, the plan tells.
fn critical(text: &Text, reader: &mut Reader) -> Given<String> {
    let fits = |t: &str| !t.is_empty() && t.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    if text.value.split_once('/').is_none_or(|(operation, check)| !fits(operation) || !fits(check)) {
        reader.problem(
            place(text),
            format!("\"{}\" names no check", text.value),
            "Write operation and check as \"plan --format json\" names them, like ream/bore.",
        );
    }
    reader.text(text)
}

fn people(raw: &BTreeMap<String, Vec<raw::As<kinds::Initials>>>, reader: &mut Reader) -> BTreeMap<String, Vec<String>> {
    let fits = |t: &str| {
        (1..=16).contains(&t.len())
            && t.starts_with(|c: char| c.is_ascii_alphanumeric())
            && t.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
    };
    for text in raw.values().flatten() {
        if !fits(&text.value) {
            reader.problem(
                place(text),
                format!("\"{}\" cannot be initials", text.value),
                "Use up to 16 letters, digits and hyphens.",
            );
        }
    }
    raw.iter().map(|(role, list)| (role.clone(), list.iter().map(|t| t.value.clone()).collect())).collect()
}
