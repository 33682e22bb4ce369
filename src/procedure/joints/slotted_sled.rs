//! The module on its frame, and the sled that carries the driver and tensions the belt.

use crate::module::spec_line;
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, NoFigure};
use crate::procedure::plan::Picture;
use crate::standards::bench;

use super::clamped_stack::rotor_mass;
use super::fasten::of_bolts;
use super::insert_bearing::soft_foot;
use super::{Context, decimal};

/// Freedom of the sled to slide on the frame.
pub const SLIDES: &str = "slide:sled/frame";

/// Freedom of the module to be shifted on the frame.
pub const MOVES: &str = "move:module/frame";

const FRAME: &str = "frame";

/// Puts down sled, module on the frame, hold-downs and lock bolts.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    sheet.group("lock", &[(SLIDES.into(), Stage::Final)]);
    sheet.group("hold-downs", &[(MOVES.into(), Stage::Final)]);
    sheet.add(fit_sled(context));
    sheet.add(fit_module(context));
    hold_downs(context, sheet)?;
    lock(context, sheet)
}

fn fit_sled(context: &Context<'_>) -> Draft {
    let m = context.module;
    let travel = Limits {
        nominal: decimal(m.sled.travel.mm(), 1),
        lower: decimal(m.sled.travel.mm(), 1),
        basis: spec_line(m.sled.travel.place),
        ..Limits::default()
    };
    Draft::new("fit", "sled", &m.sled.part, FRAME)
        .parts([m.sled.part.clone()])
        .slot("part", &m.sled.part)
        .once_after(format!("{} inspected", m.frame.part), "spatter in a slot stops the sled")
        .needs(What::Absent("belt-in-grooves".into()), "the travel cannot be tried once the belt is on")
        .check(draft::measure("travel", "mm", travel))
        .check(draft::confirm("free"))
        .adds(m.sled.part.clone())
        .adds(m.belt.driver.clone())
        .picture(Picture::Belt)
        .minutes(8)
}

fn fit_module(context: &Context<'_>) -> Draft {
    let m = context.module;
    let (mass, _) = rotor_mass(context);
    // The base is not weighed by the spec; a rotor that needs two people needs a hoist with its base.
    let lift = bench::lift(context.figures.mass * 2.0);
    Draft::new("fit", "module on the frame", "module", FRAME)
        .parts([m.base.part.clone(), m.frame.part.clone()])
        .slot("part", &m.frame.part)
        .slot("mass", mass)
        .slot("lift", lift)
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
    t.plain(
        sheet,
        on(t.by_hand()).needs(What::Present("module-on-frame".into()), "the module stands on the frame"),
        on(t.to_share("by passes", Stage::Snug, 0.3)?),
        on(t.to_share("by passes", Stage::Final, 1.0)?)
            .after("belt line aligned", "tight hold-downs fix the module where it stands")
            .after("soft foot under the module", "pulling down a gap twists base and bearings"),
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

fn lock(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let m = context.module;
    let t = of_bolts("lock", "the lock bolts of the sled", &m.sled.lock_bolts, FRAME)?;
    let on = |draft: Draft| draft.parts([m.sled.part.clone()]);
    t.plain(
        sheet,
        on(t.by_hand())
            .needs(What::Present(m.sled.part.clone()), "they hold the sled")
            .once_after("bolts received", "a bolt of unknown class is not tightened"),
        on(t.to_share("by passes", Stage::Snug, 0.15)?)
            .after("belt seated", "the sled must slide while the belt is drawn in, and not tilt afterwards"),
        on(t.to_share("by passes", Stage::Final, 1.0)?)
            .after("belt tensioned", "a locked sled cannot tension any more"),
    );
    Ok(())
}
