//! From the guard to the close-out: first run, rechecks, settling, proving run.

use crate::module::{Securing, spec_line};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::Check;
use crate::quantity::{Temperature, rounded};

use super::insert_bearing::{base_group, ring_group};
use super::split_collar::pinch_group;
use super::{Context, clamped_stack, decimal, split_collar};

const FRAME: &str = "frame";

/// Hours that a wicking thread locker cures at room temperature (makers' sheets: 24 h).
const CURE_H: u32 = 24;

/// Hours before a recheck of clamped faces tells something (ASME PCC-1, legacy: at least 4 h).
const SETTLE_H: u32 = 4;

/// Hot to the touch, °C (common practice).
const HOT: Temperature = Temperature::from_c(60.0);

/// Puts down the guard, the runs and what follows them.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.add(guard(context, sheet));
    sheet.add(first_run(context));
    sheet.add(
        Draft::new("remove", "guard after the run", &context.module.guard.part, FRAME)
            .parts([context.module.guard.part.clone()])
            .slot("part", &context.module.guard.part)
            .after("first run done", "the rechecks need hands at the rotor")
            .check(draft::confirm("still"))
            .removes(context.module.guard.part.clone())
            .makes("guard open")
            .minutes(3),
    );
    sheet.add(
        waiting("settle", SETTLE_H, "settled", "ASME PCC-1, legacy: at least 4 h before the last round")
            .after("first run done", "running shakes the faces together")
            .after("guard open", "nobody waits beside a drive that can start"),
    );
    after(context, sheet)?;
    sheet.add(guard_again(context));
    sheet.add(proving(context));
    sheet.add(close_out(context));
    Ok(())
}

fn after(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let Some(stacked) = context.stacked() else {
        return Ok(());
    };
    split_collar::after_run(&stacked, sheet)?;
    clamped_stack::after_settling(&stacked, sheet)?;
    if *stacked.stack.collars.pinch.secure == Securing::ThreadLocker {
        let mut cure = waiting(
            "cure",
            CURE_H,
            "cured",
            "makers' sheets of anaerobic thread lockers: full cure in 24 h at room temperature",
        );
        for collar in &stacked.stack.collars.each {
            cure = cure
                .after(format!("{} secured", pinch_group(&collar.value)), "the clock starts when the last drop is in");
        }
        sheet.add(cure);
    }
    Ok(())
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
    draft
}

fn guard_again(context: &Context<'_>) -> Draft {
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
    let mut draft = close(context, "again").makes("guard closed again").held();
    for fact in facts {
        draft = draft.after(fact, "the state that is released must be the state that ran");
    }
    if m.stack.as_ref().is_some_and(|s| *s.collars.pinch.secure == Securing::ThreadLocker) {
        draft = draft.after("cured", "uncured locker holds nothing");
    }
    draft
}

fn close(context: &Context<'_>, again: &str) -> Draft {
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

fn run(context: &Context<'_>, entry: &'static str, object: &str) -> Draft {
    let f = context.figures;
    let limit = &context.module.limits.speed;
    // Five per cent for the tachometer and the hand on the drive, but never past the limit of the spec.
    let most = (f.speed.rpm() * 1.05).min(limit.rpm());
    let at_limit = most >= limit.rpm();
    let basis = if at_limit {
        format!("the most that the spec allows ({})", spec_line(limit.place))
    } else {
        "driver speed and ratio, and 5 % for tachometer and hand (common practice)".to_owned()
    };
    let speed = Limits { nominal: decimal(f.speed.rpm(), 0), upper: decimal(most, 0), basis, ..Limits::default() };
    let hot = Limits {
        upper: decimal(HOT.c(), 0),
        basis: "common practice: 60 °C burns the hand".into(),
        ..Limits::default()
    };
    Draft::new("spin", entry, object, FRAME)
        .keyed(rounded(f.speed.rpm(), 0))
        .slot("speed", format!("{} rpm", rounded(f.speed.rpm(), 0)))
        .slot("limit", format!("{} rpm", rounded(most, 0)))
        .slot("energy", format!("{} J", rounded(f.energy.j(), 0)))
        // A rotor that ran too fast did so: a slower run after it takes nothing back.
        .check(Check { stays: true, ..draft::measure("speed", "rpm", speed) })
        .check(draft::measure("bearing", "°C", hot))
        .check(draft::confirm("quiet"))
        .minutes(20)
}

fn first_run(context: &Context<'_>) -> Draft {
    let down = Limits {
        lower: decimal(1.0, 0),
        basis: "kept for later comparison; at once means something rubs".into(),
        ..Limits::default()
    };
    let mut draft = run(context, "first run", "first")
        .after("guard closed", "a rotor is never spun without its guard")
        .makes("first run done");
    draft.checks.insert(1, draft::measure("run-down", "s", down));
    draft
}

fn proving(context: &Context<'_>) -> Draft {
    run(context, "proving run", "proving")
        .after("guard closed again", "a rotor is never spun without its guard")
        .makes("proving run done")
}

fn waiting(object: &'static str, hours: u32, fact: &str, basis: &str) -> Draft {
    let mut draft = Draft::new("wait", object, object, FRAME)
        .slot("hours", format!("{hours} h"))
        .check(draft::wait(object, hours, basis))
        .makes(fact)
        .minutes(1);
    draft.wait_h = Some(f64::from(hours));
    draft
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
