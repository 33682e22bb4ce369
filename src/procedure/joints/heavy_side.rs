//! The heavy side of each disc before it goes on, the index that lets them cancel, and bringing the discs to it.

use rust_decimal::Decimal;

use crate::mechanics::balance::index_can_be_tried;
use crate::module::{End, HeavySide, RollsOn};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::What;
use crate::procedure::figures::{self, HeavyFigures, NoFigure};
use crate::procedure::plan::{Check, Derive, Picture, SeriesRule};
use crate::quantity::rounded;
use crate::standards::bench;

use super::clamped_stack::{clamped_end, ends};
use super::receiving::is_clean;
use super::{Stacked, at_most};

const BENCH: &str = "bench";
/// The step that finds the index, and its computed value with one hole for each disc.
const INDEX: &str = "balance-index";
/// The step that brings the discs to it.
const ALIGN: &str = "align-index";
/// Fact that the discs have their index and a rod passes every hole position.
pub const INDEXED: &str = "discs indexed";
/// Fact that the index is found.
pub const KNOWN: &str = "index known";
const COUNTED_ZERO: &str = "common practice: what drag hides counts as zero, and is known within it";
/// Where each disc is let go, a quarter turn apart.
const LET_GO: [&str; 4] = ["up", "right", "down", "left"];

/// The fact that a disc's heavy side was looked for.
pub fn found(disc: &str) -> String {
    format!("{disc} heavy side known")
}

/// True where the spec looks for the heavy side.
pub fn wanted(context: &Stacked<'_>) -> bool {
    context.stack.discs.heavy_side.is_some()
}

/// Puts down a step for each disc, the index, and bringing the discs to it; nothing where the spec does not ask for it.
pub fn put_down(context: &Stacked<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let Some(way) = &context.stack.discs.heavy_side else { return Ok(()) };
    let discs = context.discs();
    if !index_can_be_tried(*context.stack.discs.holes, discs.len()) {
        let why = format!("{} discs on {} holes have too many indices", discs.len(), *context.stack.discs.holes);
        return Err(NoFigure { line: way.on.place.line, why });
    }
    let own = HeavyFigures::of(context.module, context.stack, way, context.setup, context.figures)?;
    for disc in &discs {
        sheet.add(heavy_side(context, way, &own, disc));
    }
    sheet.add(index(context, way, &own));
    sheet.add(bring(context, way, &own));
    Ok(())
}

/// The checks of one disc that its heavy side is computed from, in the order the computations take them.
fn readings(disc: &str) -> [String; 3] {
    ["rest", "mass", "starts"].map(|check| format!("balance-{disc}/{check}"))
}

/// What both computations take of the plan.
fn with(way: &HeavySide, own: &HeavyFigures) -> Vec<(&'static str, String)> {
    vec![("radius", rounded(way.radius.mm(), 3)), ("play", rounded(own.play.gmm(), 1))]
}

/// What every part of the index takes of the plan.
fn with_index(context: &Stacked<'_>, way: &HeavySide, own: &HeavyFigures) -> Vec<(&'static str, String)> {
    let discs = context.discs();
    let places: Vec<String> = (0..discs.len()).map(|k| rounded((k as f64 + 0.5) * own.pitch.mm(), 3)).collect();
    let bearings: Vec<f64> =
        context.module.bearings.each.iter().map(|b| figures::place(context.module, &b.value).mm()).collect();
    let mut with = with(way, own);
    with.extend([
        ("holes", context.stack.discs.holes.to_string()),
        ("places", places.join(" ")),
        ("permitted", rounded(own.permitted.gmm(), 0)),
        ("discs", discs.join(" ")),
    ]);
    if let [a, b] = bearings.as_slice() {
        with.push(("apart", rounded((b - a).abs(), 1)));
    }
    with
}

/// What a computation rests on: readings as `STEP/CHECK`, and names with their values out of the plan.
pub type Counted = (Vec<String>, Vec<(&'static str, String)>);

/// Readings of every disc and the holes they were counted to stand at, and what the index takes of the plan: for a balance that is held
/// against it. None where the heavy sides are not looked for.
///
/// # Errors
/// As [`put_down`].
pub fn as_counted(context: &Stacked<'_>) -> Result<Option<Counted>, NoFigure> {
    let Some(way) = &context.stack.discs.heavy_side else { return Ok(None) };
    let own = HeavyFigures::of(context.module, context.stack, way, context.setup, context.figures)?;
    Ok(Some((read_and_counted(context), with_index(context, way, &own))))
}

/// Readings of every disc, in order.
fn read(context: &Stacked<'_>) -> Vec<String> {
    context.discs().iter().flat_map(|disc| readings(disc)).collect()
}

/// The same, and the holes that the discs were counted to stand at.
fn read_and_counted(context: &Stacked<'_>) -> Vec<String> {
    let mut inputs = read(context);
    inputs.push(format!("{ALIGN}/holes"));
    inputs
}

/// Limit of the discs' sum, and what else is to be known of it.
fn permitted(context: &Stacked<'_>, own: &HeavyFigures, more: &str) -> Limits {
    let (speed, of) = figures::balanced_at(context.module, context.setup, context.figures);
    let basis = format!(
        "ISO 21940-11 at the {} rpm {of}; undecided where its uncertainty reaches over the limit{more}",
        rounded(speed.rpm(), 0)
    );
    at_most(Decimal::from_f64_retain(own.permitted.gmm()).map(|d| d.round_dp(0)).unwrap_or_default(), basis)
}

fn heavy_side(context: &Stacked<'_>, way: &HeavySide, own: &HeavyFigures, disc: &str) -> Draft {
    let computed = |part: &str, words: &str| -> Derive {
        let with = [with(way, own), vec![("part", part.to_owned())]].concat();
        draft::computed("heavy side", readings(disc), &with, if part == "angle" { 0 } else { 1 }, words)
    };
    let least = |value, basis: &str| Limits { lower: Some(value), basis: basis.into(), ..Limits::default() };
    let kept = |basis: &str| Limits { basis: basis.into(), ..Limits::default() };
    // What all discs together leave open is at most half of what is permitted: each may have its share, as squares.
    let share = own.permitted.gmm() / 2.0 / f64::from(context.setup.discs).sqrt();
    let floor = at_most(
        Decimal::from_f64_retain(share).map(|d| d.round_dp(0)).unwrap_or_default(),
        "half of what ISO 21940-11 permits, shared among the discs as squares; half is common practice",
    );
    let mass = context.own.disc_mass;
    let rollers = *way.on == RollsOn::Rollers;
    let marked = context.module.seen_from == End::Drive;
    Draft::new("balance", "heavy side", disc, BENCH)
        .parts([disc])
        .slot("part", disc)
        .slot("on", if rollers { "the free rollers" } else { "the level edges" })
        .slot("support", if rollers { "Balancing rollers, a pair" } else { "Level edges, hardened, a pair" })
        .slot(
            "set",
            if rollers {
                "See that every roller turns at a breath and is clean."
            } else {
                "Level both edges with the spirit level, along and across, and wipe them."
            },
        )
        .slot("mandrel", &way.mandrel.written)
        .slot("radius", super::mm(*way.radius))
        .slot("face", if marked { "marked face" } else { "face without the mark" })
        .slot("seen", context.module.seen_from.words())
        .slot("floor", format!("{} g", rounded(own.floor.gmm() / way.radius.mm(), 1)))
        .slot("mass", format!("{} kg", rounded(mass.kg(), 1)))
        .slot("lift", bench::lift(mass))
        .once_after(format!("{disc} reamed"), "reaming moves the middle that the disc is heavy about")
        .once_after(format!("{disc} marked"), "a heavy side is of one disc, and discs without numbers get mixed up")
        .once(What::Absent(disc.to_owned()), "it rolls alone on its mandrel")
        .check(Check {
            places: LET_GO.map(|at| format!("hole 1 {at}")).to_vec(),
            ..draft::series("rest", "°", 4, SeriesRule::Each, kept("kept; their spread is judged by what drag hides"))
        })
        .check(draft::measure("mass", "g", least(Decimal::ZERO, "a mass is 0 g or more")))
        .check(draft::measure("starts", "g", least(Decimal::new(1, 1), "the scale tells 0.1 g")))
        .check(draft::derived(
            "spread",
            "°",
            kept("what drag leaves open"),
            computed("spread", "smallest arc of the rest positions"),
        ))
        .check(draft::derived(
            "floor",
            "g·mm",
            floor,
            computed("floor", "the larger of starting mass × radius and unbalance × sin(spread / 2)"),
        ))
        .check(draft::derived("unbalance", "g·mm", kept(COUNTED_ZERO), computed("unbalance", "test mass × radius")))
        .check(draft::derived(
            "angle",
            "°",
            kept("mean direction of the rest positions"),
            computed("angle", "mean rest position"),
        ))
        .makes(found(disc))
        .picture(Picture::Circle(context.stack.rods.part.clone()))
        .minutes(12)
}

fn index(context: &Stacked<'_>, way: &HeavySide, own: &HeavyFigures) -> Draft {
    let discs = context.discs();
    let holes = *context.stack.discs.holes;
    let computed = |part: &str, decimals, words: &str| -> Derive {
        let with = [with_index(context, way, own), vec![("part", part.to_owned())]].concat();
        draft::computed("index", read(context), &with, decimals, words)
    };
    let kept = |basis: &str| Limits { basis: basis.into(), ..Limits::default() };
    let least = "every index tried: least sum first, least couple second";
    let mut draft = Draft::new("balance", "index", "index", BENCH)
        .parts(discs.clone())
        .slot("count", discs.len().to_string())
        .slot("holes", holes.to_string())
        .check(Check {
            unit: None,
            count: u32::try_from(discs.len()).ok(),
            places: discs.clone(),
            ..draft::derived("holes", "", kept(least), computed("holes", 0, "hole that stands at hole position 1"))
        })
        .check(draft::derived(
            "residual",
            "g·mm",
            permitted(context, own, ""),
            computed("residual", 0, "sum of the discs in this index"),
        ))
        .check(draft::derived("residual-angle", "°", kept(least), computed("angle", 0, "direction of that sum")))
        .check(draft::derived(
            "within",
            "g·mm",
            kept("drag and play of every disc add up as squares"),
            computed("within", 0, "what that sum is known within"),
        ))
        .check(Check {
            unit: None,
            ..draft::derived("couple", "", kept(least), computed("couple", 0, "couple about the middle of the discs"))
        })
        .check(draft::confirm("painted"))
        .makes(KNOWN)
        .keyed(format!("{} discs", discs.len()))
        .picture(Picture::Circle(context.stack.rods.part.clone()))
        .minutes(5);
    for disc in &discs {
        draft = draft
            .after(found(disc), "the index rests on the heavy side of every disc")
            .once(is_clean(disc), "degreaser would take the paint of the index off");
    }
    draft
}

/// A count for each disc, which hole stands at position 1, beside the computed index.
pub fn hole(context: &Stacked<'_>, disc: &str) -> Check {
    let check = draft::count("hole", 1, *context.stack.discs.holes, "holes of the disc");
    Check { beside: Some(format!("{INDEX}/holes")), places: vec![disc.to_owned()], ..check }
}

/// Discs that hang loose are turned to their index; a change to another number of discs comes by here again.
fn bring(context: &Stacked<'_>, way: &HeavySide, own: &HeavyFigures) -> Draft {
    let discs = context.discs();
    let n = *context.stack.discs.holes;
    let numbers = Limits {
        lower: Some(Decimal::ONE),
        upper: Some(Decimal::from(n)),
        basis: "holes of the disc".into(),
        ..Limits::default()
    };
    let series = draft::series_at("holes", "", discs.clone(), SeriesRule::Each, numbers);
    let with = [with_index(context, way, own), vec![("part", "stands".to_owned())]].concat();
    let words = "sum of the discs as they were counted to stand";
    let stands = draft::computed("index", read_and_counted(context), &with, 0, words);
    let limit = permitted(context, own, "; as the index asks it was judged with the index");
    let mut draft = Draft::new("align", "index of the discs", "index", BENCH)
        .parts(discs.clone())
        .slot("count", n.to_string())
        .slot("clamped end", clamped_end(context))
        .after(KNOWN, "before that nobody knows which hole stands at the top")
        .needs(What::Open("turn:discs".into()), "its angle cannot be set once the rods are snug")
        .check(Check { unit: None, beside: Some(format!("{INDEX}/holes")), ..series })
        .check(draft::derived("stands", "g·mm", limit, stands))
        .check(draft::confirm("same"))
        .check(draft::count("pass", n, n, "common practice: every hole position is gauged before a nut is turned"))
        .check(draft::confirm("lines"))
        .makes(INDEXED)
        .keyed(format!("{} discs", discs.len()))
        .picture(Picture::Circle(context.stack.rods.part.clone()))
        .minutes(3 + n.div_ceil(2));
    for part in discs.into_iter().chain(ends(context)) {
        draft = draft.needs(What::Present(part), "a rod is tried through all of them at once");
    }
    draft
}
