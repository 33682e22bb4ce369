//! The belt: hung before the bearing closes it in, laid on, drawn, aligned, tensioned, counted.

use rust_decimal::Decimal;

use crate::mechanics::belt_tension::{DEFLECTED, deflection};
use crate::mechanics::belt_travel::gap;
use crate::module::OnShaft;
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::What;
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::{Check, Picture, SeriesRule, Take};
use crate::quantity::{Force, rounded};
use crate::standards::belts;

use super::fasten::spanner;
use super::slotted_sled::{MOVES, slides};
use super::{Driven, at_most, decimal, hub, mm};

const FRAME: &str = "frame";

/// Width of the tension limits about the maker's value: the shop's gauge is that coarse.
const TENSION_BAND: f64 = 0.10;

/// Puts down everything the belt needs.
pub fn put_down(context: &Driven<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    hang(context, sheet);
    sheet.add(lay(context));
    sheet.add(seating(context));
    sheet.add(
        align(
            context,
            &context.named("belt-line"),
            "with the hold-downs snug",
            "Shift the module on the frame until the gap is small enough, then snug the hold-downs again.",
        )
        .needs(What::Open(MOVES.into()), "a module held down cannot be shifted into line")
        .once_after(
            context.named("belt seated"),
            "the belt's pull moves the module a little, so it is aligned under pull",
        )
        .once_after(format!("{} snug", context.named("lock")), "a sled that tilts spoils the line")
        .makes(context.named("belt line aligned")),
    );
    sheet.add(tension(context));
    sheet.add(of_record(context));
    sheet.add(
        align(
            context,
            &context.named("belt-line-again"),
            "with everything tight",
            "Outside the limit ease the hold-downs and align again.",
        )
        .after(
            context.named("belt of record"),
            "locking sled and module moves them a little, this is the value of record",
        )
        .needs(What::Closed(MOVES.into()), "the value of record is taken with the module fixed")
        .makes(context.named("belt line of record"))
        .held(),
    );
    sheet.add(ratio(context));
    sheet.add(after_run(context));
    Ok(())
}

/// The bearing that closes in a belt between two bearings; none where the belt can come over the end of the shaft.
pub(super) fn trapped_by<'a>(context: &Driven<'a>) -> Option<&'a OnShaft> {
    let m = context.module;
    let (outer, _) = context.around(&context.drive.pulley.part);
    let is_bearing = |on: &&OnShaft| m.bearings.each.iter().any(|b| b.value == on.part.value);
    let outside = outer.iter().filter(is_bearing).count();
    let all = m.bearings.each.len();
    outer.iter().find(is_bearing).filter(|_| outside < all)
}

/// Where the belt runs between two bearings, it must hang before the outer one closes it in.
fn hang(context: &Driven<'_>, sheet: &mut Sheet) {
    let Some(outer) = trapped_by(context) else {
        return;
    };
    sheet.add(
        Draft::new("hang", "belt over the shaft end", &context.drive.belt.part, "bench")
            .parts([context.drive.belt.part.clone()])
            .slot("part", &context.drive.belt.part)
            .slot("inner", &context.drive.pulley.part)
            .slot("bearing", &outer.part.value)
            .once_after(
                format!("{} inspected", context.drive.belt.part),
                "a wrong belt on the shaft costs the bearing side again",
            )
            .needs(What::Present(context.drive.pulley.part.clone()), "it hangs beside the pulley")
            .needs_by(
                What::Absent(outer.part.value.clone()),
                "an endless belt cannot pass a mounted bearing",
                outer.part.place.line,
            )
            .check(draft::confirm("hangs"))
            .adds(context.drive.belt.part.clone())
            .off("belt")
            .minutes(2),
    );
}

fn lay(context: &Driven<'_>) -> Draft {
    let draft = Draft::new("fit", "belt in the grooves", &context.drive.belt.part, FRAME)
        .parts([context.drive.belt.part.clone()])
        .slot("part", &context.drive.belt.part)
        .slot("grooves", context.grooves().replacen("its ", "the ", 1))
        .slot("pulley", &context.drive.pulley.part)
        .slot("other", &context.drive.belt.other)
        .slot("adjuster spanner", spanner(&context.drive.sled.adjuster))
        .needs(What::Present("module-on-frame".into()), "the belt joins module and driver")
        .needs(What::Present(context.drive.belt.other.clone()), "the belt joins module and driver")
        .after(format!("{} final", hub::group(context)), "the pulley must be locked before the belt pulls on it")
        .needs(What::Open(slides(context)), "the sled has to stand at its inner end, or the belt would be levered on")
        .check(draft::count("ribs", *context.drive.belt.ribs, *context.drive.belt.ribs, "every rib in a groove"))
        .adds(context.named("belt-in-grooves"))
        .off("belt from the grooves")
        .keyed(context.step())
        .picture(Picture::Belt)
        .minutes(5);
    let belt = &context.drive.belt.part;
    if trapped_by(context).is_some() {
        draft.needs(What::Present(belt.clone()), "it hangs on the shaft since before the bearing")
    } else {
        draft.once_after(format!("{belt} inspected"), "a wrong belt is found before the drive is set by it")
    }
}

fn seating(context: &Driven<'_>) -> Draft {
    Draft::new("tension", "seating", &context.drive.belt.part, FRAME)
        .slot("part", &context.drive.belt.part)
        .staged("seating")
        .parts([context.drive.belt.part.clone()])
        .slot("adjuster spanner", spanner(&context.drive.sled.adjuster))
        .needs(What::Present(context.named("belt-in-grooves")), "there must be a belt to draw")
        .needs(What::Open(slides(context)), "the sled draws the belt")
        .after(format!("{} hand", context.named("lock")), "loose bolts let the sled tilt")
        .after("hold-downs snug", "the module must not be dragged along")
        .check(draft::confirm("turned"))
        .makes(context.named("belt seated"))
        .picture(Picture::Belt)
        .minutes(6)
}

/// Gap that the line of the belt may show.
pub(super) fn gap_limits(context: &Driven<'_>) -> Limits {
    let (angle, source) = belts::alignment();
    let gap = gap(angle, context.own.drive.centre).mm();
    let basis = format!("{source}: over the centre distance of {}", mm(context.own.drive.centre));
    at_most(decimal(gap, 2).unwrap_or_default(), basis)
}

fn align(context: &Driven<'_>, object: &str, moment: &str, mend: &str) -> Draft {
    Draft::new("align", "belt line", object, FRAME)
        .parts([context.drive.pulley.part.clone(), context.drive.belt.other.clone()])
        .slot("moment", moment)
        .slot("pulley", &context.drive.pulley.part)
        .slot("other", &context.drive.belt.other)
        .slot("mend", mend)
        .slot("spanner", spanner(&context.module.frame.hold_downs.thread))
        .check(draft::measure("gap", "mm", gap_limits(context)))
        .check(draft::confirm("tracks"))
        .picture(Picture::Belt)
        .minutes(10)
}

/// Span, deflection from the real span, and force: the three checks of a tension reading.
fn reading(draft: Draft, context: &Driven<'_>, step_id: &str, force: Force) -> Draft {
    let span = Limits {
        nominal: decimal(context.own.drive.span().mm(), 1),
        lower: decimal(context.own.drive.span().mm() - 15.0, 0),
        upper: decimal(context.own.drive.span().mm() + 15.0, 0),
        basis: format!(
            "computed from belt and pulleys (spec, line {}); ±15 mm common practice",
            context.drive.belt.length.place.line
        ),
        guarded: false,
    };
    let share = Decimal::ONE / Decimal::from(DEFLECTED);
    let words = format!("span / {DEFLECTED}");
    let derive = draft::derive(format!("{step_id}/span"), Take::Largest, share, Decimal::ZERO, 1, &words);
    draft
        .check(draft::measure("span", "mm", span))
        .check(draft::derived(
            "deflection",
            "mm",
            Limits {
                nominal: decimal(deflection(context.own.drive.span()).mm(), 1),
                basis: "a 64th of the span".into(),
                ..Limits::default()
            },
            derive,
        ))
        .check(Check {
            beside: Some(format!("{step_id}/deflection")),
            ..draft::series("force", "N", 3, SeriesRule::Mean, force_limits(context, force))
        })
        .picture(Picture::Belt)
}

fn force_limits(context: &Driven<'_>, force: Force) -> Limits {
    let tension = &context.drive.belt;
    Limits {
        nominal: decimal(force.n(), 1),
        lower: decimal(force.n() * (1.0 - TENSION_BAND), 1),
        upper: decimal(force.n() * (1.0 + TENSION_BAND), 1),
        basis: format!(
            "strand tension by {} (spec, line {}), force T/16 at span/{DEFLECTED}; ±10 % common practice",
            tension.from, tension.new.place.line
        ),
        guarded: false,
    }
}

fn tension(context: &Driven<'_>) -> Draft {
    let (new, _) = context.own.forces();
    let id = format!("tension-{}-final", context.drive.belt.part);
    let draft = Draft::new("tension", "final", &context.drive.belt.part, FRAME)
        .slot("part", &context.drive.belt.part)
        .slot("sled", &context.drive.sled.part)
        .staged("final")
        .parts([context.drive.belt.part.clone()])
        .slot("force", format!("{} N", rounded(new.n(), 1)))
        .slot("deflection", mm(deflection(context.own.drive.span())))
        .slot("span", mm(context.own.drive.span()))
        .slot("tension", &context.drive.belt.new.written)
        .slot("source", &context.drive.belt.from)
        .slot("adjuster spanner", spanner(&context.drive.sled.adjuster))
        .needs(
            What::Closed(MOVES.into()),
            "a loose module holds less than the belt pulls, and would be drawn out of line",
        )
        .needs(What::Open(slides(context)), "the tension is made with the sled alone")
        .after(context.named("belt seated"), "a belt not yet turned in reads false")
        .makes(context.named("belt tensioned"))
        .minutes(10);
    reading(draft, context, &id, new)
}

fn of_record(context: &Driven<'_>) -> Draft {
    let (new, _) = context.own.forces();
    let id = format!("measure-{}", context.drive.belt.part);
    let draft = Draft::new("measure", "belt of record", &context.drive.belt.part, FRAME)
        .slot("part", &context.drive.belt.part)
        .slot("force", format!("{} N", rounded(new.n(), 1)))
        .slot("deflection", mm(deflection(context.own.drive.span())))
        .slot("span", mm(context.own.drive.span()))
        .parts([context.drive.belt.part.clone()])
        .needs(What::Closed(slides(context)), "tightening the lock bolts drags the sled a little")
        .makes(context.named("belt of record"))
        .minutes(6);
    reading(draft, context, &id, new)
}

fn ratio(context: &Driven<'_>) -> Draft {
    let (least, most) = context.own.ratios;
    let turns = f64::midpoint(least, most) * 10.0;
    let whole = |t: f64| t.max(0.0) as u32;
    Draft::new("prove", "ratio by hand", &context.named("ratio"), FRAME)
        .slot("other", &context.drive.belt.other)
        .parts([context.drive.pulley.part.clone(), context.drive.belt.other.clone()])
        .after(context.named("belt line of record"), "only now is the drive as it will run")
        .check(draft::count(
            "turns",
            whole((least * 10.0).floor()),
            whole((most * 10.0).ceil()),
            &format!(
                "ten turns by the pitch diameters: {} (effective line difference as belt makers print it)",
                rounded(turns, 1)
            ),
        ))
        .check(draft::confirm("direction"))
        .makes(context.named("ratio counted"))
        .keyed(rounded(turns, 1))
        .picture(Picture::Belt)
        .minutes(4)
}

/// Limits of a belt that has run: the value of a used belt, less what is drawn again; as found it may still be as high as a new one.
pub(super) fn found(context: &Driven<'_>) -> Limits {
    let (new, used) = context.own.forces();
    let mut limits = force_limits(context, used);
    limits.upper = decimal(new.n() * (1.0 + TENSION_BAND), 1);
    limits.basis = format!(
        "run-in strand tension by {} (spec, line {}), force T/16 at span/{DEFLECTED}; less 10 %, and at most a new belt's {} N and 10 % (common practice)",
        context.drive.belt.from,
        context.drive.belt.used.place.line,
        rounded(new.n(), 1)
    );
    limits
}

/// Limits of a belt that has run, as it is left: the value of a used belt, both ways.
pub(super) fn left(context: &Driven<'_>) -> Limits {
    let belt = &context.drive.belt;
    let basis = format!(
        "run-in strand tension by {} (spec, line {}), force T/16 at span/{DEFLECTED}; ±10 % common practice",
        belt.from, belt.used.place.line
    );
    Limits { basis, ..force_limits(context, context.own.forces().1) }
}

/// After run-in the value of a used belt holds.
fn after_run(context: &Driven<'_>) -> Draft {
    let limits = found(context);
    Draft::new("measure", "belt after the run", &context.drive.belt.part, FRAME)
        .slot("part", &context.drive.belt.part)
        .slot("deflection", mm(deflection(context.own.drive.span())))
        .slot("span", mm(context.own.drive.span()))
        .staged("after-run")
        .parts([context.drive.belt.part.clone()])
        .after("settled", "a new belt stretches and seats in its first hours")
        .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
        .check(Check {
            // The sled is locked since that reading, so the span and its deflection are the same.
            beside: Some(format!("measure-{}/deflection", context.drive.belt.part)),
            ..draft::series("force", "N", 3, SeriesRule::Mean, limits)
        })
        .makes(context.named("belt rechecked"))
        .picture(Picture::Belt)
        .minutes(8)
}
