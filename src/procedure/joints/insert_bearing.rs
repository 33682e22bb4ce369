//! Insert bearings in pillow blocks, locked on the shaft by set screws.

use rust_decimal::Decimal;

use crate::module::{Module, RingLock, SetScrews, spec_line};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, NoFigure};
use crate::procedure::plan::{Picture, SeriesRule};
use crate::standards::bench;

use super::clamped_stack::rotor_mass;
use super::fasten::{hex_key, of_bolts, of_ring};
use super::{Context, Driven, adapter_sleeve, around, at_most, belt_run, decimal, mm};

/// Group of a housing's bolts.
pub fn base_group(bearing: &str) -> String {
    format!("base-{bearing}")
}

/// Group that locks an insert's ring on the shaft: its set screws, or the nut of its sleeve.
pub fn ring_group(module: &Module, bearing: &str) -> String {
    match module.bearings.lock {
        RingLock::SetScrews(_) => format!("set-{bearing}"),
        RingLock::Sleeve(_) => format!("sleeve-{bearing}"),
    }
}

/// Freedom of a housing to move on the base.
pub fn moves(bearing: &str) -> String {
    format!("move:{bearing}/base")
}

/// Freedom of the shaft to slide in a bearing.
pub fn slides(bearing: &str) -> String {
    format!("slide:shaft/{bearing}")
}

const ON_BASE: &str = "rotor-on-base";

/// Puts down both units: on the shaft, on the base, housings tight, then the rings.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let (locating, floating) = context.bearings();
    for bearing in [&locating, &floating] {
        sheet.group(&base_group(bearing), &[(moves(bearing), Stage::Final)]);
        sheet.group(&ring_group(context.module, bearing), &[(slides(bearing), Stage::Snug)]);
        sheet.add(fit(context, bearing));
    }
    sheet.add(on_base(context));
    housings(context, sheet, &locating, &floating)?;
    match &context.module.bearings.lock {
        RingLock::SetScrews(screws) => {
            sheet.add(turn_in_housings(&locating, &floating));
            rings(context, sheet, screws, &locating, &floating)?;
        }
        RingLock::Sleeve(sleeve) => adapter_sleeve::put_down(context, sheet, sleeve, &locating, &floating)?,
    }
    sheet.add(in_bearings(context, &locating, &floating));
    Ok(())
}

fn fit(context: &Context<'_>, bearing: &str) -> Draft {
    let m = context.module;
    let (entry, looked_at) = match m.bearings.lock {
        RingLock::Sleeve(_) => {
            ("bearing on its sleeve", "a unit that does not fit its sleeve is found before it is on")
        }
        RingLock::SetScrews(_) => ("bearing", "a screw point in the bore scores the shaft"),
    };
    let belts = closed_in(context, bearing);
    let (first, hangs) = match belts.as_slice() {
        [] => (String::new(), String::new()),
        [belt] => (
            format!("See that the {belt} hangs over the shaft. Once this bearing is on, it cannot come on any more."),
            format!("The {belt} hangs over the shaft already, not twisted?"),
        ),
        _ => {
            let all = belts.join(" and ");
            (
                format!("See that {all} hang over the shaft. Once this bearing is on, they cannot come on any more."),
                format!("{all} hang over the shaft already, not twisted?"),
            )
        }
    };
    let mut draft = Draft::new("fit", entry, bearing, "bench")
        .parts([bearing])
        .slot("part", bearing)
        .slot("place", mm(figures::place(m, bearing)))
        .slot("set screw", lock_words(m))
        .slot("key wrench", lock_key(m))
        .slot("belt first", first)
        .slot("belt hangs", hangs)
        .needs(What::Open(slides(bearing)), "an inner ring that is locked does not slide")
        .once_after(format!("{bearing} inspected"), looked_at);
    if !belts.is_empty() {
        draft = draft.check(draft::confirm("belt"));
    }
    draft = draft.check(draft::confirm("hand")).adds(bearing).off(entry).minutes(4);
    if m.stack.is_some() {
        draft = draft.once_after("run-out known", "the rotor is opened cheaply only while the bearings are off");
    }
    draft = context.before_those_in_the_way(draft, bearing);
    for part in inner_parts(context, bearing) {
        draft = draft.needs(What::Present(part), "what stands further in goes on first");
    }
    draft
}

/// Belts that this bearing closes in between itself and another: they hang over the shaft before it goes on.
fn closed_in(context: &Context<'_>, bearing: &str) -> Vec<String> {
    let here = |d: &Driven<'_>| belt_run::trapped_by(d).is_some_and(|on| on.part.value == bearing);
    context.driven().filter(here).map(|d| d.drive.belt.part.clone()).collect()
}

/// Parts along the shaft between the datum and the bearing.
fn inner_parts(context: &Context<'_>, bearing: &str) -> Vec<String> {
    let between = context.around(bearing).1;
    between
        .iter()
        .map(|on| on.part.value.clone())
        .flat_map(|part| if part == context.discs_word() { context.discs() } else { vec![part] })
        .collect()
}

fn on_base(context: &Context<'_>) -> Draft {
    let m = context.module;
    let (mass, lift) = rotor_mass(context);
    let mut draft = Draft::new("fit", "rotor on the base", "rotor", "base")
        .parts([m.base.part.clone()])
        .slot("part", &m.base.part)
        .slot("mass", mass)
        .slot("lift", lift)
        .slot("lifting gear", bench::lifting_gear(context.figures.mass))
        .once_after(format!("{} inspected", m.base.part), "a hollow pad bends the housings")
        .once_after("bolts received", "the bolts go in now")
        .check(draft::confirm("seated"))
        .adds(ON_BASE)
        .off("rotor")
        .minutes(10);
    for bearing in &m.bearings.each {
        draft = draft.needs(What::Present(bearing.value.clone()), "the rotor stands on its bearings");
    }
    draft
}

fn housings(context: &Context<'_>, sheet: &mut Sheet, locating: &str, floating: &str) -> Result<(), NoFigure> {
    let m = context.module;
    let (foot, source) = bench::soft_foot_mm();
    let feet = 2 * m.bearings.each.len() as u32;
    let spanner = format!("Spanner {} mm", figures::tight(&m.bearings.base_bolts)?.thread.s);
    let mut soft = soft_foot("base", feet, &spanner, foot, source, "base")
        .parts([m.base.part.clone()])
        .makes("soft foot under the bearings");
    for bearing in [locating, floating] {
        let group = base_group(bearing);
        soft = soft.after(format!("{group} snug"), "a foot shows its gap when the others are snug");
        let t = of_bolts(&group, &format!("the base bolts of {bearing}"), &m.bearings.base_bolts, "base")?;
        let on = |draft: Draft| draft.parts([bearing]);
        let mut last = on(t.to_share("by passes", Stage::Final, 1.0)?)
            .after("soft foot under the bearings", "pulling down a gap bends the housing")
            .makes(format!("{bearing} housed"));
        if bearing == floating {
            last =
                last.once_after(format!("{locating} housed"), "the locating bearing gives the line, the other follows");
        }
        t.plain(
            sheet,
            on(t.by_hand()).needs(What::Present(ON_BASE.into()), "the housings stand on the base"),
            on(t.to_share("by passes", Stage::Snug, 0.3)?),
            last,
        );
    }
    sheet.add(soft);
    Ok(())
}

fn turn_in_housings(locating: &str, floating: &str) -> Draft {
    free_turn("turn-housings", "housings tight, set screws still out")
        .after(format!("{locating} housed"), "it tells whether the housings force the shaft")
        .after(format!("{floating} housed"), "it tells whether the housings force the shaft")
        .needs(What::Open(slides(locating)), "a stiff place found now is the housings', not the screws'")
        .makes("turns in its housings")
}

/// Gap under each foot.
pub fn soft_foot(object: &str, feet: u32, spanner: &str, most: f64, source: &str, place: &'static str) -> Draft {
    Draft::new("measure", "soft foot", &format!("soft-foot-{object}"), place)
        .slot("part", object)
        .slot("spanner", spanner)
        .check(draft::series_at(
            "gap",
            "mm",
            draft::counted("foot", feet),
            SeriesRule::Each,
            at_most(decimal(most, 3).unwrap_or_default(), source),
        ))
        .picture(Picture::Zone)
        .minutes(6)
}

/// Three turns by hand.
pub fn free_turn(object: &str, moment: &str) -> Draft {
    Draft::new("measure", "free turn", object, "base").slot("moment", moment).check(draft::confirm("free")).minutes(2)
}

fn rings(
    context: &Context<'_>,
    sheet: &mut Sheet,
    screws: &SetScrews,
    locating: &str,
    floating: &str,
) -> Result<(), NoFigure> {
    sheet.add(
        axial(context, locating, floating)
            .after("turns in its housings", "the shaft finds its place only when it turns freely"),
    );
    for bearing in [locating, floating] {
        let group = ring_group(context.module, bearing);
        let t = of_ring(
            &group,
            &format!("the set screws of {bearing}"),
            (&context.module.bearings.insert, screws),
            "base",
        )?;
        let on = |draft: Draft| draft.parts([bearing]);
        let mut snug = on(t.to_share("set screws", Stage::Snug, 0.5)?)
            .needs(
                What::Closed(moves(bearing)),
                "housings first, inner rings second, or the shaft is forced into line; with sleeves it is the other way round",
            )
            .after("axial place set", "a locked inner ring fixes the shaft along its axis");
        if bearing == floating {
            snug =
                snug.once_after("turns with the first ring locked", "locking both at once traps thrust between them");
        }
        sheet.add(snug);
        sheet.add(on(t.to_share("set screws", Stage::Final, 1.0)?));
        sheet.add(
            on(t.recheck("after-run", true))
                .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
                .makes(format!("{group} rechecked")),
        );
    }
    sheet.add(
        free_turn("turn-first-ring", "the first inner ring locked")
            .after(
                format!("{} final", ring_group(context.module, locating)),
                "it tells whether this inner ring sits straight",
            )
            .makes("turns with the first ring locked"),
    );
    Ok(())
}

/// The shaft set to its place along the axis, both rings open.
pub fn axial(context: &Context<'_>, locating: &str, floating: &str) -> Draft {
    let m = context.module;
    let place = figures::place(m, floating);
    let at = m.on_shaft(floating).map_or(0, |i| m.shaft.order[i].part.place.line);
    Draft::new("adjust", "axial position", "axial", "base")
        .parts([m.shaft.part.clone()])
        .slot("place", mm(place))
        .slot("bearing", floating)
        .needs(What::Open(slides(locating)), "a locked inner ring holds the shaft where it is")
        .needs(What::Open(slides(floating)), "a locked inner ring holds the shaft where it is")
        .check(draft::measure(
            "place",
            "mm",
            around(
                decimal(place.mm(), 2).unwrap_or_default(),
                Decimal::ONE,
                format!("spec, line {at}; ±1 mm common practice"),
            ),
        ))
        .makes("axial place set")
        .keyed(mm(place))
        .minutes(4)
}

fn in_bearings(context: &Context<'_>, locating: &str, floating: &str) -> Draft {
    let m = context.module;
    let run_out = Limits {
        upper: m.shaft.run_out.value.upper,
        basis: spec_line(m.shaft.run_out.place),
        guarded: true,
        ..Limits::default()
    };
    Draft::new("measure", "shaft held", "rotor", "base")
        .parts([m.shaft.part.clone()])
        .after(format!("{} final", ring_group(context.module, floating)), "both rings are locked now")
        // In a first build it is locked long before; done anew alone, nothing else would ask for it before a run.
        .after(format!("{} final", ring_group(context.module, locating)), "both rings are locked now")
        .after(format!("{locating} housed"), "both housings are tight now")
        .after(format!("{floating} housed"), "both housings are tight now")
        .check(draft::measure("play", "mm", play()))
        .check(draft::measure("run-out", "mm", run_out))
        .check(draft::confirm("free"))
        .makes("rotor proved")
        .held()
        .picture(Picture::Zone)
        .minutes(8)
}

/// No more than the bearing's own play.
fn play() -> Limits {
    let (most, source) = bench::ring_play_mm();
    at_most(decimal(most, 1).unwrap_or_default(), source)
}

/// Key for what locks a ring: of its set screws by their size, or the spanner of its sleeve.
pub fn lock_key(module: &Module) -> String {
    match &module.bearings.lock {
        RingLock::SetScrews(screws) => hex_key(&screws.thread.value),
        RingLock::Sleeve(sleeve) => sleeve.spanner.clone(),
    }
}

/// What locks a ring, as it is named at the bench.
pub fn lock_words(module: &Module) -> &str {
    match &module.bearings.lock {
        RingLock::SetScrews(screws) => &screws.thread.value,
        RingLock::Sleeve(sleeve) => &sleeve.size.value,
    }
}
