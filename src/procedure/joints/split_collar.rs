//! Split collars: their pinch bolts close a split and hold the collar on the shaft.

use crate::module::{Securing, Split, spec_line};
use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, NoFigure};
use crate::procedure::plan::Take;
use crate::standards::threads;
use rust_decimal::Decimal;

use super::fasten::{self, Tightening, hex_bit, of_bolts};
use super::receiving::is_clean;
use super::{Context, Stacked, around, at_most, decimal, insert_bearing, mm};

const BENCH: &str = "bench";

/// Freedom of a collar to slide on the shaft.
pub fn slides(collar: &str) -> String {
    format!("slide:{collar}/shaft")
}

fn closes(collar: &str) -> String {
    format!("close:{collar}")
}

/// Group of a collar's pinch bolts.
pub fn pinch_group(collar: &str) -> String {
    format!("pinch-{collar}")
}

/// Puts down both collars, their pinch bolts, and the proof that they hold.
pub fn put_down(context: &Stacked<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let m = context.module;
    let (datum, sliding) = (figures::datum(m).to_owned(), figures::sliding(m).to_owned());
    for collar in [&datum, &sliding] {
        let holds = [(slides(collar), Stage::Snug), (closes(collar), Stage::Snug)];
        sheet.group(&pinch_group(collar), &holds);
    }
    sheet.add(fit_datum(context, &datum));
    sheet.add(fit_sliding(context, &sliding));
    pinch(context, sheet, &datum, |draft| {
        draft.after(format!("{datum} placed"), "a closed collar cannot be put in its place any more")
    })?;
    let outside = context.stack.plates.is_some();
    pinch(context, sheet, &sliding, |draft| {
        if !outside {
            return draft.slot("closing", CLOSING);
        }
        draft
            .after("stack length known", "the stack shortens to the last pass, and away from a collar closed before")
            .after("collar up to its plate", "a collar off its plate lets the stack walk along the shaft")
    })?;
    if outside {
        sheet.add(up_to_plate(context, &sliding));
    } else {
        sheet.coupled.push((context.stack.rods.part.clone(), pinch_group(&sliding)));
    }
    prove(context, sheet, [&datum, &sliding])?;
    Ok(())
}

/// Said where a collar that the rods go through is closed: before that every step kept it loose.
const CLOSING: &str = "The discs lie together now, so this collar has nothing more to follow: until here it stayed loose, from here it is closed.";

fn up_to_plate(context: &Stacked<'_>, sliding: &str) -> Draft {
    let pinned = context.stack.plates.as_ref().is_some_and(|p| p.pins.is_some());
    let entry = if pinned { "collar to plate over pins" } else { "collar to plate" };
    Draft::new("adjust", entry, sliding, BENCH)
        .parts([sliding])
        .slot("part", sliding)
        .after(format!("{} circular", context.stack.rods.part), "the stack has its length only at the full torque")
        .needs(What::Open(slides(sliding)), "a closed collar cannot be pushed up")
        .needs(What::Present(sliding.to_owned()), "there must be a collar to push")
        .check(draft::measure(
            "gap",
            "mm",
            at_most(Decimal::new(5, 2), "common practice: a 0.05 mm feeler does not go in all the way"),
        ))
        .makes("collar up to its plate")
        .minutes(4)
}

fn fit_datum(context: &Stacked<'_>, datum: &str) -> Draft {
    let m = context.module;
    let face = m.datum_collar().and_then(|c| c.face_at.as_ref());
    let place = face.map_or_else(String::new, |f| mm(f.value));
    let nominal = face.and_then(|f| decimal(f.mm(), 2)).unwrap_or_default();
    let basis = face.map_or_else(String::new, |f| format!("{}; ±0.5 mm common practice", spec_line(f.place)));
    let line = face.map_or(0, |f| f.place.line);
    Draft::new("fit", "datum collar", datum, BENCH)
        .parts([datum])
        .slot("part", datum)
        .slot("place", place)
        .needs(What::Present(m.shaft.part.clone()), "it sits on the shaft")
        .once(is_clean("collars"), "oil between collar and shaft halves the grip")
        .needs_by(What::Open(closes(datum)), "a closed collar does not slide on", line)
        .check(draft::measure("face", "mm", around(nominal, Decimal::new(5, 1), basis)))
        .check(draft::confirm("loose"))
        .adds(datum)
        .makes(format!("{datum} placed"))
        .keyed(nominal.to_string())
        .minutes(6)
}

fn fit_sliding(context: &Stacked<'_>, sliding: &str) -> Draft {
    let entry = match &context.stack.plates {
        None => "sliding collar",
        Some(plates) if plates.pins.is_some() => "sliding collar on pins",
        Some(_) => "sliding collar outside",
    };
    let mut draft = Draft::new("fit", entry, sliding, BENCH)
        .parts([sliding])
        .slot("part", sliding)
        .slot("end", context.end_of(sliding))
        .once(is_clean("collars"), "oil between collar and shaft halves the grip")
        .needs(What::Open(closes(sliding)), "a closed collar does not slide on")
        .needs(What::Present(context.module.shaft.part.clone()), "it sits on the shaft")
        .check(draft::confirm("moves"))
        .adds(sliding)
        .minutes(3);
    let plates = context.stack.plates.iter().flat_map(|p| &p.each).map(|p| p.value.clone());
    for part in context.discs().into_iter().chain(plates) {
        draft = draft.needs(What::Present(part), "it comes on after the discs, from the same end");
    }
    context.before_those_in_the_way(draft, sliding)
}

pub(super) fn tightening<'a>(context: &Stacked<'_>, group: &'a str, collar: &str) -> Result<Tightening<'a>, NoFigure> {
    let pinch = &context.stack.collars.pinch;
    let mut t = of_bolts(group, &format!("the pinch bolts of {collar}"), pinch, BENCH)?;
    t.spanner = hex_bit(figures::at(&pinch.thread, threads::cap_screw_key(&pinch.thread))?);
    Ok(t)
}

fn pinch(
    context: &Stacked<'_>,
    sheet: &mut Sheet,
    collar: &str,
    ready: impl Fn(Draft) -> Draft,
) -> Result<(), NoFigure> {
    let group = pinch_group(collar);
    let t = tightening(context, &group, collar)?;
    // A collar with one cut shows a tilt at its two faces, one of two halves also from split to split.
    let (gaps_are, basis) = match *context.stack.collars.kind {
        Split::TwoHalves => ("the gaps of both splits", "common practice: both splits alike within 0.2 mm"),
        Split::OneCut => {
            ("the gaps at both faces of the collar", "common practice: the cut as wide at both faces, within 0.2 mm")
        }
    };
    let gaps = || draft::measure("gaps", "mm", at_most(Decimal::new(2, 1), basis));
    let on = |draft: Draft| {
        let draft = draft.needs(What::Present(collar.to_owned()), "its bolts sit in it").parts([collar]);
        draft.slot("gaps", gaps_are)
    };
    // They were turned on with the collar, so this is where their threads are brought to their state; that says what the torque holds for.
    let first = on(t.to_share("pinch bolts", Stage::Snug, 0.3)?)
        .slot("ready", &t.threads.ready)
        .slot("oil", t.threads.tool)
        .slot("holds", "");
    let snug = ready(first).check(gaps());
    let last = on(t.to_share("pinch bolts", Stage::Final, 1.0)?)
        .once_after("bolts received", "a bolt of unknown class is not tightened to the torque of a known one")
        .check(gaps());
    sheet.add(snug.once_after("bolts received", "a bolt of unknown class is not tightened"));
    sheet.add(last);
    let rods = &context.stack.rods.part;
    sheet.add(
        on(t.recheck("", false))
            .after(format!("{group} final"), "there must be a torque to check again")
            .after(format!("{rods} circular"), "every pass on the rods shifts the pinch bolts a little")
            .makes(format!("{group} rechecked")),
    );
    let lines = t
        .witness_lines()
        .once_after("slip proved", "the line is drawn over what has been proved")
        .after(format!("{group} final"), "the line is drawn over the final torque");
    sheet.add(lines);
    Ok(())
}

/// Slip test: proof that collars and discs carry the torque.
fn prove(context: &Stacked<'_>, sheet: &mut Sheet, collars: [&String; 2]) -> Result<(), NoFigure> {
    let mut draft = slip_test(context, "slip", "before the bearings go on", BENCH)?
        .after(
            format!("{} rechecked", context.stack.rods.part),
            "the proof is only worth something over the final torques",
        )
        .makes("slip proved");
    for collar in collars {
        let group = pinch_group(collar);
        draft = draft.after(format!("{group} rechecked"), "the proof is only worth something over the final torques");
    }
    sheet.add(draft.needs(
        bare_or_locked(context),
        "a slip found before the bearings go on is cheap to mend; later the shaft must at least lie in locked rings",
    ));
    Ok(())
}

/// The shaft is free of bearings, or lies in both with the rings locked.
pub fn bare_or_locked(context: &Context<'_>) -> What {
    let bearings = &context.module.bearings.each;
    let bare = bearings.iter().map(|b| What::Absent(b.value.clone())).collect();
    let locked = bearings.iter().map(|b| What::Closed(insert_bearing::slides(&b.value))).collect();
    What::AtLeast(1, vec![bare, locked])
}

/// The slip test itself, for before and after the first run.
pub fn slip_test(context: &Stacked<'_>, object: &str, moment: &str, place: &'static str) -> Result<Draft, NoFigure> {
    let m = context.module;
    let arm = Decimal::new(5, 1);
    let safety = m.limits.slip_safety.value;
    let torque = decimal(m.limits.torque.nm(), 3).unwrap_or_default() * safety;
    // No more than the weakest joint can hold by computation: the test proves the need, it does not seek the limit.
    let force = (torque / arm).round_dp(1);
    let least = draft::Limits {
        nominal: Some(torque.round_dp(2)),
        lower: Some((torque * Decimal::new(98, 2)).round_dp(2)),
        upper: Some((torque * Decimal::new(110, 2)).round_dp(2)),
        basis: format!(
            "{} times {} of the spec, lines {} and {}",
            safety, m.limits.torque.written, m.limits.slip_safety.place.line, m.limits.torque.place.line
        ),
        guarded: false,
    };
    let pull = draft::Limits {
        nominal: Some(force),
        basis: "read from the scale; judged as torque below".into(),
        ..draft::Limits::default()
    };
    let derive = draft::derive(
        format!("prove-{object}/pull"),
        Take::Largest,
        arm,
        Decimal::ZERO,
        2,
        "scale reading x 0.5 m arm",
    );
    Ok(Draft::new("prove", "slip test", object, place)
        .parts(context.stack.collars.each.iter().map(|c| c.value.clone()))
        .slot("moment", moment)
        .slot("arm", "0.5 m")
        .slot("force", format!("{force} N"))
        .slot("torque", format!("{} N·m", torque.round_dp(1)))
        .check(draft::measure("pull", "N", pull))
        .check(draft::derived("torque", "N·m", least, derive))
        .check(draft::confirm("lines"))
        .held()
        .minutes(15))
}

/// After the run: recheck the pinch bolts and, last of all, lock them.
pub fn after_run(context: &Stacked<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let mut prove = slip_test(context, "slip-after-run", "after the first run", "frame")?
        .after("guard open", "the proof needs hands at the rotor")
        .makes("slip proved again");
    for collar in &context.stack.collars.each {
        let group = pinch_group(&collar.value);
        let t = tightening(context, &group, &collar.value)?;
        sheet.add(
            t.recheck("after-run", true)
                .parts([collar.value.clone()])
                .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
                .makes(format!("{group} rechecked after the run")),
        );
        prove = prove.after(
            format!("{group} rechecked after the run"),
            "running frees the friction that the rods had locked in",
        );
        sheet.add(locked(context, &t, &group));
    }
    sheet.add(prove);
    Ok(())
}

fn locked(context: &Stacked<'_>, t: &fasten::Tightening<'_>, group: &str) -> Draft {
    let why = "what secures the bolts is the last act, they are not turned after it";
    match *context.stack.collars.pinch.secure {
        Securing::ThreadLocker => t
            .locked("thread locker", t.count)
            .picture(crate::procedure::plan::Picture::Circle(group.to_owned()))
            .slot("group", &t.name)
            .once_after("slip proved again", why)
            .after(format!("{group} final"), "only a full torque is locked")
            .makes(format!("{group} secured")),
        _ => t
            .lines_again()
            .once_after("slip proved again", why)
            .after(format!("{group} final"), "the line is drawn over the final torque")
            .makes(format!("{group} secured")),
    }
}
