//! The module on its frame, and the sled that carries the driver and tensions the belt.

use crate::module::spec_line;
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, NoFigure};
use crate::procedure::plan::Picture;
use crate::standards::bench;

use super::clamped_stack::rotor_mass;
use super::fasten::{of_bolts, spanner};
use super::insert_bearing::soft_foot;
use super::{Context, Driven, decimal};

/// Freedom of a sled to slide on the frame.
pub fn slides(context: &Driven<'_>) -> String {
    context.named("slide:sled/frame")
}

/// Freedom of the module to be shifted on the frame.
pub const MOVES: &str = "move:module/frame";

const FRAME: &str = "frame";

/// Puts down a sled and its lock bolts.
pub fn put_down(context: &Driven<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.group(&context.named("lock"), &[(slides(context), Stage::Final)]);
    sheet.add(fit_sled(context));
    lock(context, sheet)
}

/// Puts down the module on the frame and its hold-downs.
pub fn module_on_frame(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.group("hold-downs", &[(MOVES.into(), Stage::Final)]);
    sheet.add(fit_module(context));
    hold_downs(context, sheet)
}

fn fit_sled(context: &Driven<'_>) -> Draft {
    let m = context.module;
    let travel = Limits {
        nominal: decimal(context.drive.sled.travel.mm(), 1),
        lower: decimal(context.drive.sled.travel.mm(), 1),
        basis: spec_line(context.drive.sled.travel.place),
        ..Limits::default()
    };
    Draft::new("fit", "sled", &context.drive.sled.part, FRAME)
        .parts([context.drive.sled.part.clone()])
        .slot("part", &context.drive.sled.part)
        .slot("other", &context.drive.belt.other)
        .slot("spanner", spanner(&context.drive.sled.lock_bolts.thread))
        .once_after(format!("{} inspected", m.frame.part), "spatter in a slot stops the sled")
        .needs(What::Absent(context.named("belt-in-grooves")), "the travel cannot be tried once the belt is on")
        .check(draft::measure("travel", "mm", travel))
        .check(draft::confirm("free"))
        .adds(context.drive.sled.part.clone())
        .adds(context.drive.belt.other.clone())
        .picture(Picture::Belt)
        .minutes(8)
}

fn fit_module(context: &Context<'_>) -> Draft {
    let m = context.module;
    let (mass, _) = rotor_mass(context);
    // The base is not weighed by the spec; a rotor that needs two people needs a hoist with its base.
    let heavy = context.figures.mass * 2.0;
    Draft::new("fit", "module on the frame", "module", FRAME)
        .parts([m.base.part.clone(), m.frame.part.clone()])
        .slot("part", &m.frame.part)
        .slot("mass", mass)
        .slot("lift", bench::lift(heavy))
        .slot("lifting gear", bench::lifting_gear(heavy))
        .once_after("rotor proved", "the last look at the rotor without belt pull is over")
        .once_after(format!("{} inspected", m.frame.part), "the frame is the datum of every later alignment")
        .check(draft::confirm("seated"))
        .adds("module-on-frame")
        .off("module")
        .minutes(15)
}

fn hold_downs(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let m = context.module;
    let bolts = &m.frame.hold_downs;
    let t = of_bolts("hold-downs", "the hold-downs", bolts, FRAME)?;
    let on = |draft: Draft| draft.parts([m.base.part.clone(), m.frame.part.clone()]);
    let last = on(t.to_share("by passes", Stage::Final, 1.0)?)
        .after("soft foot under the module", "pulling down a gap twists base and bearings");
    t.plain(
        sheet,
        on(t.by_hand()).needs(What::Present("module-on-frame".into()), "the module stands on the frame"),
        on(t.to_share("by passes", Stage::Snug, 0.3)?),
        last,
    );
    let (foot, source) = bench::soft_foot_mm();
    let spanner = format!("Spanner {} mm", figures::tight(bolts)?.thread.s);
    sheet.add(
        soft_foot("module", *m.base.feet, &spanner, foot, source, FRAME)
            .parts([m.base.part.clone()])
            .after("hold-downs snug", "a foot shows its gap when the others are snug")
            .makes("soft foot under the module"),
    );
    sheet.add(
        t.recheck("settled", true)
            .after("settled", "painted pads bed in")
            .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
            .makes("hold-downs rechecked"),
    );
    Ok(())
}

fn lock(context: &Driven<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let group = context.named("lock");
    let name = format!("the lock bolts of the {}", context.drive.sled.part);
    let t = of_bolts(&group, &name, &context.drive.sled.lock_bolts, FRAME)?;
    let on = |draft: Draft| draft.parts([context.drive.sled.part.clone()]);
    t.plain(
        sheet,
        on(t.by_hand())
            .needs(What::Present(context.drive.sled.part.clone()), "they hold the sled")
            .once_after("bolts received", "a bolt of unknown class is not tightened"),
        on(t.to_share("by passes", Stage::Snug, 0.15)?).after(
            context.named("belt seated"),
            "the sled must slide while the belt is drawn in, and not tilt afterwards",
        ),
        on(t.to_share("by passes", Stage::Final, 1.0)?),
    );
    Ok(())
}
