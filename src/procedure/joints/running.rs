//! From the guard to the close-out: first run, rechecks, settling, proving run.

use std::f64::consts::PI;

use crate::module::{Bolts, Securing, spec_line};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::figures::{NoFigure, RunDown, run_down};
use crate::procedure::plan::{Check, SeriesRule};
use crate::quantity::{Speed, Temperature, rounded};
use crate::standards::{drag, settling};

use super::insert_bearing::{base_group, ring_group};
use super::split_collar::pinch_group;
use super::{Context, balancing, clamped_stack, decimal, split_collar};

pub(super) const FRAME: &str = "frame";

/// Hot to the touch, °C (common practice).
pub(super) const HOT: Temperature = Temperature::from_c(60.0);

/// Puts down the guard, the runs and what follows them.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.add(guard(context, sheet));
    let expected = run_down(context.module, context.setup, context.figures)?;
    sheet.add(first_run(context, &expected));
    sheet.add(open(context).after("first run done", "the rechecks need hands at the rotor").makes("guard open"));
    sheet.add(
        waiting("settle", "settled")?
            .after("first run done", "running shakes the faces together")
            .after("guard open", "nobody waits beside a drive that can start"),
    );
    after(context, sheet)?;
    balancing::put_down(context, sheet, &rechecked(context))?;
    sheet.add(guard_again(context));
    sheet.add(proving(context));
    sheet.add(close_out(context));
    Ok(())
}

/// The guard opens after a run.
pub(super) fn open(context: &Context<'_>) -> Draft {
    let guard = &context.module.guard.part;
    Draft::new("remove", "guard after the run", guard, FRAME)
        .parts([guard.clone()])
        .slot("part", guard)
        .check(draft::confirm("still"))
        .removes(guard.clone())
        .minutes(3)
}

fn after(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let Some(stacked) = context.stacked() else {
        return Ok(());
    };
    split_collar::after_run(&stacked, sheet)?;
    clamped_stack::after_settling(&stacked, sheet)?;
    let locked = locked(context);
    if !locked.is_empty() {
        let cure = waiting("cure", "cured")?;
        let last_drop = |cure: Draft, group: &String| {
            cure.after(format!("{group} secured"), "the clock starts when the last drop is in")
        };
        sheet.add(locked.iter().fold(cure, last_drop));
    }
    Ok(())
}

/// Groups whose threads are locked: the locker of all of them cures before the module runs again.
fn locked(context: &Context<'_>) -> Vec<String> {
    let Some(stack) = &context.module.stack else { return Vec::new() };
    let is = |bolts: &Bolts| *bolts.secure == Securing::ThreadLocker;
    let collars = stack.collars.each.iter().filter(|_| is(&stack.collars.pinch)).map(|c| pinch_group(&c.value));
    collars.chain(is(&stack.rods.bolts).then(|| stack.rods.part.clone())).collect()
}

/// The guard closes over everything that is tight, marked and counted.
fn guard(context: &Context<'_>, sheet: &Sheet) -> Draft {
    let lined = sheet.drafts.iter().flat_map(|d| &d.makes).filter(|f| f.ends_with(" lined"));
    let mut draft = close(context, "").makes("guard closed").held();
    for driven in context.driven() {
        draft = draft.after(driven.named("ratio counted"), "a wrong ratio is found by hand, not by speed");
    }
    // In a first build these stand long before; in a change nothing else may ask for them.
    draft =
        draft.after("rotor proved", "an inner ring that is not locked and turned by hand lets the rotor walk at speed");
    if context.stacked().is_some() {
        draft = draft
            .after("slip proved", "what has not been proved by hand is not proved by speed")
            .after("run-out known", "a disc that was tilted by the clamping is found before it turns");
    }
    for fact in lined {
        draft = draft.after(fact.clone(), "every joint shows by its line whether it moved in the run");
    }
    balancing::before_guard(context, false, draft)
}

/// Everything that is checked again after the first run, and what secures it.
fn rechecked(context: &Context<'_>) -> Vec<String> {
    let (locating, floating) = context.bearings();
    let m = context.module;
    let mut facts = vec![
        "hold-downs rechecked".to_owned(),
        format!("{} rechecked", ring_group(m, &locating)),
        format!("{} rechecked", ring_group(m, &floating)),
    ];
    for driven in context.driven() {
        facts.extend(["belt rechecked", "hub rechecked"].map(|fact| driven.named(fact)));
    }
    if let Some(stack) = &m.stack {
        facts.push("slip proved again".into());
        facts.push(format!("{} secured", stack.rods.part));
        facts.extend(stack.collars.each.iter().map(|c| format!("{} secured", pinch_group(&c.value))));
    }
    if !locked(context).is_empty() {
        facts.push("cured".into());
    }
    facts
}

fn guard_again(context: &Context<'_>) -> Draft {
    let mut draft = close(context, "again").makes("guard closed again").held();
    for fact in rechecked(context) {
        let why = match fact.as_str() {
            "cured" => "uncured locker holds nothing",
            _ => "the state that is released must be the state that ran",
        };
        draft = draft.after(fact, why);
    }
    balancing::before_guard(context, true, draft)
}

pub(super) fn close(context: &Context<'_>, again: &str) -> Draft {
    let guard = &context.module.guard;
    let gap =
        Limits { lower: guard.clearance.value.lower, basis: spec_line(guard.clearance.place), ..Limits::default() };
    let draft = Draft::new("guard", "close", &guard.part, FRAME)
        .parts([guard.part.clone()])
        .slot("part", &guard.part)
        .check(draft::confirm("tools"))
        .check(draft::measure("gap", "mm", gap))
        .check(draft::confirm("closed"))
        .adds(guard.part.clone())
        .off("guard")
        .minutes(8);
    if again.is_empty() { draft } else { draft.staged(again) }
}

/// What a run at a speed may reach: five per cent for the tachometer and the hand on the drive (common practice), but never past the
/// limit of the spec.
pub(super) fn at_most_turned(speed: Speed, limit: Speed) -> Speed {
    let most = speed * 1.05;
    if most < limit { most } else { limit }
}

/// A run up to the setup's speed: room, speed reached, bearings with their rise, and whether all stayed quiet.
fn run(context: &Context<'_>, entry: &'static str, object: &str) -> Draft {
    let f = context.figures;
    let limit = &context.module.limits.speed;
    let most = at_most_turned(f.speed, **limit).rpm();
    let at_limit = most >= limit.rpm();
    let basis = if at_limit {
        format!("the most that the spec allows ({})", spec_line(limit.place))
    } else {
        "driver speed and ratio, and 5 % for tachometer and hand (common practice)".to_owned()
    };
    let speed = Limits { nominal: decimal(f.speed.rpm(), 0), upper: decimal(most, 0), basis, ..Limits::default() };
    Draft::new("spin", entry, object, FRAME)
        .keyed(rounded(f.speed.rpm(), 0))
        .slot("speed", format!("{} rpm", rounded(f.speed.rpm(), 0)))
        .slot("limit", format!("{} rpm", rounded(most, 0)))
        .slot("energy", format!("{} J", rounded(f.energy.j(), 0)))
        .slot("hot", format!("{} °C", rounded(HOT.c(), 0)))
        .check(draft::measure("room", "°C", kept("the rise of the bearings is reckoned from it")))
        // A rotor that ran too fast did so: a slower run after it takes nothing back.
        .check(Check { stays: true, ..draft::measure("speed", "rpm", speed) })
        .check(warm(context))
        .check(rise(object))
        .check(draft::confirm("quiet"))
        .minutes(20)
}

/// Nothing to judge by.
pub(super) fn kept(why: &str) -> Limits {
    Limits { basis: format!("kept for comparison; {why}"), ..Limits::default() }
}

/// Both bearings by their names.
pub(super) fn warm(context: &Context<'_>) -> Check {
    let hot = Limits {
        upper: decimal(HOT.c(), 0),
        basis: "common practice: 60 °C burns the hand".into(),
        ..Limits::default()
    };
    let places = context.module.bearings.each.iter().map(|b| b.value.clone()).collect();
    draft::series_at("bearing", "°C", places, SeriesRule::Each, hot)
}

/// The rise is the figure that runs are compared by: a warm room warms both.
fn rise(object: &str) -> Check {
    let of = |check: &str| format!("spin-{object}/{check}");
    let derive = draft::computed("difference", [of("bearing"), of("room")], &[], 1, "warmer bearing less room");
    // Kelvin as degrees: a difference.
    let limits = kept("look for the cause where it is more than in the run before");
    draft::derived("rise", "°C", limits, derive)
}

/// Four equal steps up to the speed of the setup, with their names.
pub(super) fn quarters(context: &Context<'_>) -> [(&'static str, f64); 4] {
    let speed = context.figures.speed.rpm();
    [("¼", 0.25), ("½", 0.5), ("¾", 0.75), ("full", 1.0)].map(|(name, share)| (name, speed * share))
}

/// The speed held at each of them.
fn stages(context: &Context<'_>, most: Limits) -> Check {
    let places = quarters(context).map(|(share, rpm)| format!("{share} ({} rpm)", rounded(rpm, 0))).to_vec();
    Check { stays: true, ..draft::series_at("stages", "rpm", places, SeriesRule::Each, most) }
}

/// Drag from inertia, speed and run-down: `T = J·ω/t` (rigid body).
fn mean_drag(context: &Context<'_>, expected: &RunDown) -> Check {
    let inertia = context.figures.inertia.kgm2();
    let scale = decimal(inertia * PI / 30.0, 6).unwrap_or_default();
    let words = format!("J·ω/t with J = {} kg·m², {scale} × rpm / s", rounded(inertia, 4));
    let inputs = ["spin-first/speed", "spin-first/run-down"];
    let with = [
        ("scale", scale.to_string()),
        ("least", expected.drag.0.nm().to_string()),
        ("most", expected.drag.1.nm().to_string()),
    ];
    let derive = draft::computed("run-down", inputs, &with, 3, &words);
    let basis = format!(
        "kept for comparison; rigid body, T = J·ω/t; expected {} to {} N·m: {}",
        rounded(expected.drag.0.nm(), 2),
        rounded(expected.drag.1.nm(), 2),
        rests_on()
    );
    let limits = Limits { basis, ..Limits::default() };
    draft::derived("drag", "N·m", limits, derive)
}

/// What the expected drag and time rest on.
pub(super) fn rests_on() -> String {
    let (seals, belt) = (drag::seals(), drag::belt());
    format!(
        "μ·P·d/2 of the balls (JTEKT/Koyo), seals {} to {} N·m estimated, each belt none to {} % of the torque",
        seals.low,
        seals.high,
        rounded(belt.high * 100.0, 0)
    )
}

/// The expected run-down in words.
pub(super) fn expected_words(expected: &RunDown) -> String {
    format!("{} to {} s", rounded(expected.time.0.s(), 0), rounded(expected.time.1.s(), 0))
}

/// Limits of a run-down: no more than that something rubs, since the expectation is wide.
pub(super) fn down(expected: &RunDown) -> Limits {
    let (least, most) = (expected.time.0.s(), expected.time.1.s());
    let basis = format!("at once means something rubs; {} expected: {}", expected_words(expected), rests_on());
    // The middle of a range of shares.
    Limits { nominal: decimal((least * most).sqrt(), 0), lower: decimal(1.0, 0), basis, ..Limits::default() }
}

fn first_run(context: &Context<'_>, expected: &RunDown) -> Draft {
    let mut draft = run(context, "first run", "first")
        .after("guard closed", "a rotor is never spun without its guard")
        .makes("first run done");
    let speed = draft.checks.iter().position(|c| c.id == "speed").unwrap_or(0);
    let (lower, upper) = draft.checks[speed].limits();
    let most = Limits { lower, upper, basis: draft.checks[speed].basis.clone(), ..Limits::default() };
    draft.checks.insert(speed + 1, mean_drag(context, expected));
    draft.checks.insert(speed + 1, draft::measure("run-down", "s", down(expected)));
    let stages = stages(context, most);
    let list = stages.places.join(", ");
    draft.checks.insert(speed, stages);
    draft.slot("stages", list).slot("expected", expected_words(expected))
}

fn proving(context: &Context<'_>) -> Draft {
    run(context, "proving run", "proving")
        .after("guard closed again", "a rotor is never spun without its guard")
        .makes("proving run done")
}

fn waiting(object: &'static str, fact: &str) -> Result<Draft, NoFigure> {
    let (hours, basis) = settling::wait(object).map_err(|e| NoFigure { line: 0, why: e.to_string() })?;
    let mut draft = Draft::new("wait", object, object, FRAME)
        .slot("hours", format!("{hours} h"))
        .check(draft::wait(object, hours, basis))
        .makes(fact)
        .minutes(1);
    draft.wait_h = Some(f64::from(hours));
    Ok(draft)
}

fn close_out(context: &Context<'_>) -> Draft {
    let (locating, floating) = context.bearings();
    let mut draft = Draft::new("close-out", "review", "module", FRAME)
        .after("proving run done", "nothing is handed over that has not run as it stands")
        .check(draft::count("open", 0, 0, "nothing may be open"))
        .check(draft::confirm("complete"))
        .held()
        .minutes(15);
    for bearing in [locating, floating] {
        draft = draft.after(format!("{} lined", base_group(&bearing)), "every joint carries its line");
    }
    draft
}
