//! The belt: hung before the bearing closes it in, laid on, drawn, aligned, tensioned, counted.

use rust_decimal::Decimal;

use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::What;
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::{Picture, SeriesRule, Take};
use crate::quantity::{Force, rounded};
use crate::standards::belts;

use super::slotted_sled::{MOVES, SLIDES};
use super::{Context, at_most, decimal, hub, mm};

const FRAME: &str = "frame";

/// Width of the tension limits about the maker's value: the shop's gauge is that coarse.
const TENSION_BAND: f64 = 0.10;

/// Puts down everything the belt needs.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    hang(context, sheet);
    sheet.add(lay(context));
    sheet.add(seating(context));
    sheet.add(
        align(
            context,
            "belt-line",
            "with the hold-downs snug",
            "Shift the module on the frame until the gap is small enough, then snug the hold-downs again.",
        )
        .needs(What::Open(MOVES.into()), "a module held down cannot be shifted into line")
        .once_after("belt seated", "the belt's pull moves the module a little, so it is aligned under pull")
        .once_after("lock snug", "a sled that tilts spoils the line")
        .makes("belt line aligned"),
    );
    sheet.add(tension(context));
    sheet.add(of_record(context));
    sheet.add(
        align(
            context,
            "belt-line-again",
            "with everything tight",
            "Outside the limit ease the hold-downs and align again.",
        )
        .after("belt of record", "locking sled and module moves them a little, this is the value of record")
        .needs(What::Closed(MOVES.into()), "the value of record is taken with the module fixed")
        .makes("belt line of record")
        .held(),
    );
    sheet.add(ratio(context));
    sheet.add(after_run(context));
    Ok(())
}

/// Where the belt runs between two bearings, it must hang before the outer one closes it in.
fn hang(context: &Context<'_>, sheet: &mut Sheet) {
    let m = context.module;
    let Some(at) = m.on_shaft(&m.pulley.part) else {
        return;
    };
    let is_bearing = |part: &str| m.bearings.each.iter().any(|b| b.value == part);
    let outer = m.shaft.order[at + 1..].iter().find(|on| is_bearing(&on.part.value));
    let Some(outer) = outer.filter(|_| m.belt.endless) else {
        return;
    };
    sheet.add(
        Draft::new("hang", "belt over the shaft end", &m.belt.part, "bench")
            .parts([m.belt.part.clone()])
            .slot("part", &m.belt.part)
            .slot("inner", &m.pulley.part)
            .slot("bearing", &outer.part.value)
            .once_after(format!("{} inspected", m.belt.part), "a wrong belt on the shaft costs the bearing side again")
            .needs(What::Present(m.pulley.part.clone()), "it hangs beside the pulley")
            .needs_by(
                What::Absent(outer.part.value.clone()),
                "an endless belt cannot pass a mounted bearing",
                outer.part.place.line,
            )
            .check(draft::confirm("hangs"))
            .adds(m.belt.part.clone())
            .off("belt")
            .minutes(2),
    );
}

fn lay(context: &Context<'_>) -> Draft {
    let m = context.module;
    let mut draft = Draft::new("fit", "belt in the grooves", &m.belt.part, FRAME)
        .parts([m.belt.part.clone()])
        .slot("part", &m.belt.part)
        .slot("step", &context.setup.step)
        .slot("adjuster", &m.sled.adjuster.value)
        .needs(What::Present("module-on-frame".into()), "the belt joins module and driver")
        .needs(What::Present(m.belt.driver.clone()), "the belt joins module and driver")
        .after(format!("{} final", hub::GROUP), "the pulley must be locked before the belt pulls on it")
        .needs(What::Open(SLIDES.into()), "the sled has to stand at its inner end, or the belt would be levered on")
        .check(draft::count("ribs", *m.belt.ribs, *m.belt.ribs, "every rib in a groove"))
        .adds("belt-in-grooves")
        .off("belt from the grooves")
        .keyed(&context.setup.step)
        .picture(Picture::Belt)
        .minutes(5);
    if m.belt.endless {
        draft = draft.needs(What::Present(m.belt.part.clone()), "it hangs on the shaft since before the bearing");
    }
    draft
}

fn seating(context: &Context<'_>) -> Draft {
    let m = context.module;
    Draft::new("tension", "seating", &m.belt.part, FRAME)
        .staged("seating")
        .parts([m.belt.part.clone()])
        .slot("adjuster", &m.sled.adjuster.value)
        .needs(What::Present("belt-in-grooves".into()), "there must be a belt to draw")
        .needs(What::Open(SLIDES.into()), "the sled draws the belt")
        .after("lock hand", "loose bolts let the sled tilt")
        .after("hold-downs snug", "the module must not be dragged along")
        .check(draft::confirm("turned"))
        .makes("belt seated")
        .picture(Picture::Belt)
        .minutes(6)
}

fn align(context: &Context<'_>, object: &str, moment: &str, mend: &str) -> Draft {
    let (angle, source) = belts::alignment();
    let gap = context.figures.drive.centre.mm() * angle.rad().tan();
    let basis = format!("{source}: over the centre distance of {}", mm(context.figures.drive.centre));
    Draft::new("align", "belt line", object, FRAME)
        .parts([context.module.pulley.part.clone(), context.module.belt.driver.clone()])
        .slot("moment", moment)
        .slot("mend", mend)
        .check(draft::measure("gap", "mm", at_most(decimal(gap, 2).unwrap_or_default(), basis)))
        .check(draft::confirm("tracks"))
        .picture(Picture::Belt)
        .minutes(10)
}

/// Span, deflection from the real span, and force: the three checks of a tension reading.
fn reading(draft: Draft, context: &Context<'_>, step_id: &str, force: Force) -> Draft {
    let m = context.module;
    let span = Limits {
        nominal: decimal(context.figures.drive.span().mm(), 1),
        lower: decimal(context.figures.drive.span().mm() - 15.0, 0),
        upper: decimal(context.figures.drive.span().mm() + 15.0, 0),
        basis: format!(
            "computed from belt and pulleys (spec, line {}); ±15 mm common practice",
            m.belt.length.place.line
        ),
        guarded: false,
    };
    let derive =
        draft::derive(format!("{step_id}/span"), Take::Largest, Decimal::new(15_625, 6), Decimal::ZERO, 1, "span / 64");
    draft
        .check(draft::measure("span", "mm", span))
        .check(draft::derived(
            "deflection",
            "mm",
            Limits { basis: "a 64th of the span".into(), ..Limits::default() },
            derive,
        ))
        .check(draft::series("force", "N", 3, SeriesRule::Mean, force_limits(context, force)))
        .picture(Picture::Belt)
}

fn force_limits(context: &Context<'_>, force: Force) -> Limits {
    let tension = &context.module.belt;
    Limits {
        nominal: decimal(force.n(), 1),
        lower: decimal(force.n() * (1.0 - TENSION_BAND), 1),
        upper: decimal(force.n() * (1.0 + TENSION_BAND), 1),
        basis: format!(
            "strand tension by {} (spec, line {}), force T/16 at span/64; ±10 % common practice",
            tension.from, tension.new.place.line
        ),
        guarded: false,
    }
}

fn tension(context: &Context<'_>) -> Draft {
    let m = context.module;
    let (new, _) = context.figures.belt_forces();
    let id = format!("tension-{}-final", m.belt.part);
    let draft = Draft::new("tension", "final", &m.belt.part, FRAME)
        .staged("final")
        .parts([m.belt.part.clone()])
        .slot("force", format!("{} N", rounded(new.n(), 1)))
        .slot("deflection", mm(context.figures.drive.span() / 64.0))
        .slot("tension", &m.belt.new.written)
        .slot("source", &m.belt.from)
        .slot("adjuster", &m.sled.adjuster.value)
        .needs(
            What::Closed(MOVES.into()),
            "a loose module holds less than the belt pulls, and would be drawn out of line",
        )
        .needs(What::Open(SLIDES.into()), "the tension is made with the sled alone")
        .after("belt seated", "a belt not yet turned in reads false")
        .makes("belt tensioned")
        .minutes(10);
    reading(draft, context, &id, new)
}

fn of_record(context: &Context<'_>) -> Draft {
    let m = context.module;
    let (new, _) = context.figures.belt_forces();
    let id = format!("measure-{}", m.belt.part);
    let draft = Draft::new("measure", "belt of record", &m.belt.part, FRAME)
        .parts([m.belt.part.clone()])
        .needs(What::Closed(SLIDES.into()), "tightening the lock bolts drags the sled a little")
        .makes("belt of record")
        .minutes(6);
    reading(draft, context, &id, new)
}

fn ratio(context: &Context<'_>) -> Draft {
    let turns = context.figures.ratio * 10.0;
    let whole = |t: f64| t.max(0.0) as u32;
    Draft::new("prove", "ratio by hand", "ratio", FRAME)
        .parts([context.module.pulley.part.clone(), context.module.belt.driver.clone()])
        .after("belt line of record", "only now is the drive as it will run")
        .check(draft::count(
            "turns",
            whole(turns.floor()),
            whole(turns.ceil()),
            &format!("ten turns by the effective diameters: {}", rounded(turns, 1)),
        ))
        .check(draft::confirm("direction"))
        .makes("ratio counted")
        .keyed(rounded(turns, 1))
        .picture(Picture::Belt)
        .minutes(4)
}

/// After run-in the value of a used belt holds.
fn after_run(context: &Context<'_>) -> Draft {
    let m = context.module;
    let (new, used) = context.figures.belt_forces();
    let mut limits = force_limits(context, used);
    // As found it may still be as high as a new belt; below the used value's limit it is drawn again.
    limits.upper = decimal(new.n() * (1.0 + TENSION_BAND), 1);
    limits.basis = format!(
        "run-in strand tension by {} (spec, line {}), force T/16 at span/64; -10 % common practice, at most the new value",
        m.belt.from, m.belt.used.place.line
    );
    Draft::new("measure", "belt after the run", &m.belt.part, FRAME)
        .staged("after-run")
        .parts([m.belt.part.clone()])
        .after("settled", "a new belt stretches and seats in its first hours")
        .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
        .check(draft::series("force", "N", 3, SeriesRule::Mean, limits))
        .makes("belt rechecked")
        .picture(Picture::Belt)
        .minutes(8)
}
