//! What takes the unbalance away: washers on the rods, then holes in the end disc. And the step that makes ready for it.

use rust_decimal::Decimal;

use crate::module::{Balance, Drilling, Means, Method};
use crate::procedure::draft::{self, Draft};
use crate::procedure::figures::{NoFigure, at};
use crate::procedure::plan::{Check, SeriesRule};
use crate::quantity::rounded;
use crate::standards::bench;

use super::super::fasten::{nm, wrench};
use super::super::heavy_side;
use super::{Work, said};

/// Why a correction comes after its reading.
pub const FOUND: &str = "a weight is put on where a reading says, not by eye";

/// Why washers and their nuts come after the witness lines.
pub const LINED: &str = "the line tells whether the tightened nut moved";

/// Why one step of a balance comes after another.
pub const IN_TURN: &str = "each reading is compared with the one before it";

/// Which step and checks tell what is still missing, plane by plane: end, mass, angle.
pub struct Missing {
    /// Step id.
    step: String,
    /// Word that the checks begin with.
    name: &'static str,
    /// Ends that have planes of their own; empty for one plane.
    ends: Vec<&'static str>,
}

impl Missing {
    /// One plane.
    pub fn one(step: &str, name: &'static str) -> Self {
        Self { step: step.to_owned(), name, ends: Vec::new() }
    }

    /// As many planes as the spec names.
    pub fn of(work: &Work<'_>, step: &str, name: &'static str) -> Self {
        let two = *work.balance.method == Method::TwoPlanes;
        let ends = if two { work.balance.planes.iter().map(|p| p.word()).collect() } else { Vec::new() };
        Self { step: step.to_owned(), name, ends }
    }

    /// Suffix of each plane's checks: nothing for one, "-far" and "-drive" for two.
    pub fn planes(&self) -> Vec<String> {
        if self.ends.is_empty() { vec![String::new()] } else { self.ends.iter().map(|e| format!("-{e}")).collect() }
    }

    fn inputs(&self, plane: &str) -> Vec<String> {
        let base = format!("{}/{}{plane}", self.step, self.name);
        vec![base.clone(), format!("{base}-angle")]
    }
}

/// A check of one plane without a unit: counts, or things of several units whose places name them.
pub fn plain(check: Check) -> Check {
    Check { unit: None, ..check }
}

/// The step that makes ready.
pub fn prepare(work: &Work<'_>, place: &'static str, ready: &str, asked: &str, method: &str) -> Draft {
    let holes: Vec<String> = (0..work.spot.holes).map(|k| format!("{}°", rounded(work.spot.angle(k), 0))).collect();
    let weighs = work.balance.washers.is_some();
    let weigh = if weighs {
        "Take balance washers of one box. Weigh ten together and write down a tenth: the size of the hole alone moves it by several per cent."
    } else {
        "Make the drill stop and the scale ready."
    };
    let hole_one = if heavy_side::wanted(work.stacked) {
        "Hole 1 is hole position 1 of the discs, at the line over all rims: what is found is held against their index."
    } else {
        "Any hole may be hole 1."
    };
    let lined = format!("{} lined", work.stacked.stack.rods.part);
    let draft = if weighs {
        retained(work, "prepare", "prepare", place).slot("end", ends(work)).after(lined, LINED)
    } else {
        work.draft("prepare to drill", "prepare", place)
    };
    let mut draft = draft
        .slot("method", method)
        .slot("ready", ready)
        .slot("index first", index_first(work))
        .slot("ready asked", asked)
        .slot("holes", holes.join(", "))
        .slot("count", work.spot.holes.to_string())
        .slot("weigh", weigh)
        .slot("hole one", hole_one)
        .check(draft::confirm("ready"))
        .minutes(15);
    if weighs {
        let washer = draft::Limits {
            nominal: Decimal::from_f64_retain(work.spot.washer.g()).map(|d| d.round_dp(3)),
            basis: "ISO 7089 by nominal sizes and the density of steel; weighed".into(),
            ..draft::Limits::default()
        };
        draft = draft.check(draft::measure("washer", "g", washer)).check(draft::confirm("nuts"));
    }
    draft
}

/// In which order the means are taken, and why: what costs nothing first, what cannot be taken back last (common practice).
fn index_first(work: &Work<'_>) -> String {
    let by = |means: Means| work.balance.correct_by.iter().any(|m| m.value == means);
    let several = work.stacked.setup.discs > 1;
    let means: Vec<&str> =
        [(several, "the index of the discs"), (by(Means::Washers), "washers"), (by(Means::Drilling), "drilling")]
            .into_iter()
            .filter_map(|(is, word)| is.then_some(word))
            .collect();
    if means.len() < 2 {
        return String::new();
    }
    let why: Vec<&str> = [
        (several, "turning discs adds no mass"),
        (by(Means::Washers), "washers come off again"),
        (by(Means::Drilling), "a drilled hole stays for good"),
    ]
    .into_iter()
    .filter_map(|(is, word)| is.then_some(word))
    .collect();
    let turn = match (several, super::super::heavy_side::wanted(work.stacked)) {
        (false, _) => "",
        (true, true) => " See that every disc stands in its index before anything is added.",
        (true, false) => {
            " If more is found than these can take, ease the rods, turn one disc some holes against the others, and do again what was tightened and proved."
        }
    };
    format!("In this order: {} ({}; common practice).{turn}", means.join(", then "), why.join(", "))
}

/// The correction by one means.
pub fn draft(work: &Work<'_>, place: &'static str, by: Means, found: &Missing) -> Result<Draft, NoFigure> {
    let first = work.balance.correct_by.first().is_some_and(|m| m.value == by);
    let trials_off = work.balance.at_speed() && first;
    let before = if !first {
        "Leave the balance washers where they are; hold the rotor with chocks."
    } else if trials_off && !work.balance.first_stays {
        "Take every trial weight off first."
    } else if trials_off {
        "Take every trial weight off first, also the one that stayed on in the second trial run."
    } else {
        "Hold the rotor with chocks."
    };
    let mut draft = match by {
        Means::Washers => washers(work, place, found),
        Means::Drilling => drilling(work, place, found)?,
    };
    if trials_off {
        draft.checks.insert(0, draft::confirm("trials-off"));
    }
    Ok(draft.slot("before", before).slot("end", ends(work)))
}

/// The ends that weights go to, in words.
fn ends(work: &Work<'_>) -> String {
    work.balance.planes.iter().map(|p| p.written.as_str()).collect::<Vec<_>>().join(" and ")
}

/// Whole washers for each hole of one plane. `spare` is what may be left without any being added, g·mm.
pub fn counts(work: &Work<'_>, found: &Missing, plane: &str, name: &str, spare: Option<f64>) -> Check {
    let most = work.balance.washers.as_ref().map_or(0, |w| *w.most);
    let basis = format!(
        "whole washers, at most {most} on a rod end (common practice: every arrangement on the four nearest holes)"
    );
    let mut inputs = found.inputs(plane);
    inputs.push("balance-prepare/washer".into());
    let mut more = vec![("holes", work.spot.holes.to_string()), ("most", most.to_string())];
    more.extend(spare.map(|gmm| ("spare", format!("{gmm:.1}"))));
    let derive =
        draft::computed("washers", inputs, &work.with("counts", &more), 0, "whole washers opposite the heavy side");
    Check {
        places: work.holes(),
        count: Some(work.spot.holes),
        ..plain(draft::derived(&format!("{name}{plane}"), "", said(&basis), derive))
    }
}

fn washers(work: &Work<'_>, place: &'static str, found: &Missing) -> Draft {
    let later = "At every later recheck of the rods retaining nuts and washers come off rod by rod, and go back with the same count.";
    let mut draft = retained(work, "washers", "washers", place)
        .slot("later", later)
        .after(format!("{} lined", work.stacked.stack.rods.part), LINED)
        .adds("balance-washers")
        .off("balance washers")
        .minutes(20);
    for plane in found.planes() {
        let derived = counts(work, found, &plane, "counts", None);
        let places = work.holes();
        let fitted =
            draft::series_at(&format!("fitted{plane}"), "", places, SeriesRule::Each, said("kept for the record"));
        let beside = Some(format!("balance-washers/counts{plane}"));
        draft = draft.check(derived).check(Check { beside, ..plain(fitted) });
    }
    draft.check(draft::confirm("lines")).check(draft::confirm("painted"))
}

/// A step with a retaining nut in it.
pub fn retained(work: &Work<'_>, entry: &'static str, object: &str, place: &'static str) -> Draft {
    let rod = &work.stacked.own.rod;
    work.draft(entry, object, place)
        .slot("torque", nm(work.spot.retaining))
        .slot("flats", format!("{} mm", rod.thread.s))
        .slot("wrench", wrench(work.spot.retaining))
}

/// What is done where the last run finds too much.
pub fn left_too_much(balance: &Balance) -> &'static str {
    let last = balance.correct_by.last().map(|m| m.value);
    match (*balance.method, last) {
        (Method::NoPhase, _) => {
            "Left too much: amplitudes alone do not say where. Isolate, see the standstill, open the guard, take every washer off, and take all runs again from run 1, each with the reason and behind its guard closed and released anew."
        }
        (_, Some(Means::Drilling)) => {
            "Left too much: isolate, see the standstill, open the guard. Drill what is counted below as still to be drilled, clear of every hole; enter the depth of the drilling step anew with the reason, close the guard, enter its checks anew, have it released, and run again."
        }
        _ => {
            "Left too much: isolate, see the standstill, open the guard. Add the washers counted below as still to be added; enter all that are on in the washers step anew with the reason, close the guard, enter its checks anew, have it released, and run again."
        }
    }
}

/// The retaining nuts, looked at after the last run.
pub fn recheck(work: &Work<'_>) -> Result<Draft, NoFigure> {
    let draft = Draft::new("recheck", "retaining nuts", "retaining-nuts", "frame").parts(work.stacked.discs());
    Ok(super::retaining_slots(work.stacked, draft)?
        .check(draft::confirm("mark"))
        .check(draft::confirm("tight"))
        .minutes(5))
}

fn drilling(work: &Work<'_>, place: &'static str, found: &Missing) -> Result<Draft, NoFigure> {
    let drill = drill(work)?;
    let mm = |l: crate::quantity::Length| format!("{} mm", l.mm());
    let mut draft = work
        .draft("drilling", "drilling", place)
        .slot("on", mm(*drill.on))
        .slot("diameter", mm(*drill.diameter))
        .slot("deepest", mm(*drill.deepest))
        .slot("point", format!("{}°", drill.point))
        .minutes(30);
    for plane in found.planes() {
        let deep = draft::Limits {
            upper: super::super::decimal(drill.deepest.mm(), 2),
            basis: crate::module::spec_line(drill.deepest.place),
            ..draft::Limits::default()
        };
        let beside = Some(format!("balance-drilling/holes{plane}"));
        let drilled = draft::measure(&format!("drilled{plane}"), "mm", deep);
        draft = draft.check(bored(work, found, &plane, "holes")?).check(Check { beside, ..drilled });
    }
    Ok(draft.check(draft::confirm("clean")))
}

fn drill<'a>(work: &Work<'a>) -> Result<&'a Drilling, NoFigure> {
    let none = || NoFigure { line: work.balance.place().line, why: "nothing is said of the drilling".into() };
    work.balance.drilling.as_ref().ok_or_else(none)
}

/// What the plan says of a drilled hole.
///
/// # Errors
/// [`NoFigure`] where nothing is said of the drilling, and for a steel without a density.
pub fn hole(work: &Work<'_>) -> Result<Vec<(&'static str, String)>, NoFigure> {
    let drill = drill(work)?;
    let steel = &work.stacked.stack.discs.steel;
    let density = at(steel, bench::steel(steel))?.density;
    Ok(vec![
        ("on", drill.on.mm().to_string()),
        ("diameter", drill.diameter.mm().to_string()),
        ("density", density.kg_m3().to_string()),
        ("point", drill.point.to_string()),
    ])
}

/// Holes of one plane: number, depth, angle of the first, angle between them; none where what is left is permitted.
fn bored(work: &Work<'_>, found: &Missing, plane: &str, name: &str) -> Result<Check, NoFigure> {
    let mut more = hole(work)?;
    more.extend([("deepest", drill(work)?.deepest.mm().to_string()), ("enough", format!("{:.1}", share(work, found)))]);
    let places = ["holes", "depth, mm", "first at, °", "apart, °"].map(str::to_owned).to_vec();
    let with = work.with("holes", &more);
    let holes = draft::computed("drilling", found.inputs(plane), &with, 1, "mass over density and area, point counted");
    let basis = "volume of a drilled hole with its cone, opposite the correction";
    Ok(Check { count: Some(4), places, ..plain(draft::derived(&format!("{name}{plane}"), "", said(basis), holes)) })
}

/// What each plane may keep, g·mm.
fn share(work: &Work<'_>, found: &Missing) -> f64 {
    work.spot.permitted.gmm() / found.planes().len() as f64
}

/// What the last measurement still asks for, by the last means; nothing where what is left is permitted.
pub fn still(work: &Work<'_>, found: &Missing) -> Result<Vec<Check>, NoFigure> {
    let drills = work.balance.drilling.is_some();
    let one = |plane: &String| match drills {
        true => bored(work, found, plane, "more-holes"),
        false => Ok(counts(work, found, plane, "more-washers", Some(share(work, found)))),
    };
    found.planes().iter().map(one).collect()
}
