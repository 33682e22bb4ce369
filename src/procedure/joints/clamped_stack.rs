//! Discs between collars, pulled together by through-rods.

use rust_decimal::Decimal;

use crate::mechanics::tightening::{self, SNUG_SHARE};
use crate::module::{Securing, spec_line};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, NoFigure};
use crate::procedure::plan::{Picture, SeriesRule};
use crate::quantity::rounded;
use crate::standards::bench;

use super::fasten::{Figure, Tightening, basis, nm, source, wrench};
use super::heavy_side;
use super::receiving::is_clean;
use super::split_collar::{bare_or_locked, slides};
use super::thread_state::Threads;
use super::{Context, Stacked, at_most, balancing, rod_ends};

const BENCH: &str = "bench";

/// Freedom of the discs to stand apart.
pub const GAP: &str = "gap:discs";

/// Stage of the rods that draws the discs together: the first pass, or the last where there is only one.
pub fn stage_that_seats(passes: u32) -> Stage {
    if passes > 1 { Stage::Pass(1) } else { Stage::Final }
}

/// Puts down discs, rods and what is measured on the stack.
pub fn put_down(context: &Stacked<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let rods = context.stack.rods.part.as_str();
    sheet
        .group(rods, &[("turn:discs".into(), Stage::Snug), (GAP.into(), stage_that_seats(*context.stack.rods.passes))]);
    discs(context, sheet);
    let t = tighten(context)?;
    sheet.add(fit_rods(context, &t));
    rounds(context, sheet, &t)?;
    measures(context, sheet);
    Ok(())
}

fn discs(context: &Stacked<'_>, sheet: &mut Sheet) {
    let m = context.module;
    let datum = figures::datum(m);
    let mass = context.own.disc_mass;
    let plates: Vec<String> = plates(context);
    let mut behind = plates.first().cloned().unwrap_or_else(|| datum.to_owned());
    for (k, disc) in context.discs().into_iter().enumerate() {
        let indexed = heavy_side::wanted(context);
        // The index was found with each disc at its own place along the shaft.
        let (first, last) = if indexed { (k as u32 + 1, k as u32 + 1) } else { (1, *context.stack.discs.count) };
        let mut draft = Draft::new("fit", if indexed { "disc in its index" } else { "disc" }, &disc, BENCH)
            .parts([disc.clone()])
            .slot("part", &disc)
            .slot("number", (k + 1).to_string())
            .slot("from datum", from_datum(k, datum))
            .slot("mass", format!("{} kg", rounded(mass.kg(), 1)))
            .slot("lift", bench::lift(mass))
            .slot("end", context.end_of(&context.discs_word()))
            .slot("clamped end", clamped_end(context))
            .needs(What::Present(behind.clone()), "each disc is pushed against its neighbour")
            .needs(What::Open("turn:discs".into()), "its angle cannot be set once the rods are snug")
            .once(is_clean(&disc), "oil or chips between the faces halve the grip")
            .check(draft::count("number", first, last, "numbers written on the discs"))
            .adds(disc.clone())
            .off("disc")
            .minutes(3);
        if indexed {
            draft = draft
                .once_after(heavy_side::KNOWN, "before that nobody knows which of its holes stands at the top")
                .check(heavy_side::hole(context, &disc));
        }
        draft = draft.check(draft::confirm("seated"));
        if k == 0 {
            draft = draft
                .once(What::Closed(slides(datum)), "the discs are pushed against it, and its place must not shift");
        }
        draft = context.before_those_in_the_way(draft, &context.discs_word());
        behind = disc;
        sheet.add(draft);
    }
    for (plate, behind) in plates.iter().zip([datum, behind.as_str()]) {
        sheet.add(end_plate(context, plate, behind));
    }
}

/// Where a place of the stack lies, in words.
fn from_datum(k: usize, datum: &str) -> String {
    if k == 0 { format!("nearest to {datum}") } else { format!("counted from {datum}") }
}

/// Ids of the end plates, that at the datum first.
fn plates(context: &Stacked<'_>) -> Vec<String> {
    let datum = context.module.on_shaft(figures::datum(context.module));
    let plates = context.stack.plates.iter().flat_map(|p| &p.each);
    let mut plates: Vec<String> = plates.map(|p| p.value.clone()).collect();
    plates.sort_by_key(|p| context.module.on_shaft(p).zip(datum).map(|(at, datum)| at.abs_diff(datum)));
    plates
}

/// What the discs are set against, in words.
pub fn clamped_end(context: &Stacked<'_>) -> &'static str {
    if context.stack.plates.is_some() { "end plate" } else { "collar" }
}

/// What the rods end in, on both sides of the discs.
pub fn ends(context: &Stacked<'_>) -> Vec<String> {
    let collars = context.stack.collars.each.iter().map(|c| c.value.clone());
    if context.stack.plates.is_some() { plates(context) } else { collars.collect() }
}

fn end_plate(context: &Stacked<'_>, plate: &str, behind: &str) -> Draft {
    let pinned = context.stack.plates.as_ref().is_some_and(|p| p.pins.is_some());
    let entry = if pinned { "end plate on pins" } else { "end plate" };
    let draft = Draft::new("fit", entry, plate, BENCH)
        .parts([plate])
        .slot("part", plate)
        .slot("end", context.end_of(plate))
        .needs(What::Present(behind.to_owned()), "each part is pushed against its neighbour")
        .needs(What::Open("turn:discs".into()), "its angle cannot be set once the rods are snug")
        .once(is_clean("collars"), "oil or chips between the faces halve the grip")
        .once(
            What::Closed(slides(figures::datum(context.module))),
            "the stack is pushed against the first collar, and its place must not shift",
        )
        .check(draft::confirm("seated"))
        .adds(plate)
        .minutes(3);
    context.before_those_in_the_way(draft, plate)
}

/// The rods as a group.
pub fn tighten<'a>(context: &Stacked<'a>) -> Result<Tightening<'a>, NoFigure> {
    let rods = &context.stack.rods;
    let rod = context.own.rod;
    let tight = figures::tight(&rods.bolts)?;
    Ok(Tightening {
        group: &rods.part,
        name: "the rod nuts".into(),
        bolts: format!("{}", *rods.bolts.count),
        count: *rods.bolts.count,
        torque: rod.torque,
        figure: Figure::Reckoned,
        spanner: format!("Socket {} mm", rod.thread.s),
        threads: Threads::of(&rods.bolts)?,
        counter: "Hold the far nut with the second spanner; the line on the rod end must not turn.",
        numbers: format!("Number 1 stands at hole 1; count clockwise, seen from the {}.", context.module.seen_from),
        counter_tool: format!("Spanner {} mm", rod.thread.s),
        place: BENCH,
        source: source(&rods.bolts),
        basis: basis(&rods.bolts, &tight),
    })
}

fn fit_rods(context: &Stacked<'_>, t: &Tightening<'_>) -> Draft {
    let rods = &context.stack.rods;
    let n = *rods.bolts.count;
    let mut draft = Draft::new("fit", "rods", &rods.part, BENCH)
        .parts([rods.part.clone()])
        .slot("count", n.to_string())
        .once_after(format!("{} received", rods.part), "the class of rods and nuts decides the torque")
        .slot("stands", rod_ends::standing_out(context).0)
        .slot("through", if context.stack.plates.is_some() { "end plates and discs" } else { "collars and discs" })
        .slot("ready", &t.threads.ready)
        .slot("oil", t.threads.tool)
        .check(draft::count("entered", n, n, &spec_line(rods.bolts.count.place)))
        .adds(rods.part.clone())
        .off("rods")
        .keyed(context.stack.rods.lengths.get(&context.setup.discs).map_or_else(String::new, |l| l.written.clone()))
        .picture(Picture::Circle(rods.part.clone()))
        .minutes(6);
    for part in context.discs().into_iter().chain(ends(context)) {
        draft = draft.needs(What::Present(part), "a rod passes through all of them at once");
    }
    if heavy_side::wanted(context) {
        draft = draft.after(heavy_side::INDEXED, "once the rods are in, the discs keep the index they have");
    }
    draft
}

fn rounds(context: &Stacked<'_>, sheet: &mut Sheet, t: &Tightening<'_>) -> Result<(), NoFigure> {
    let m = context.module;
    let rods = context.stack.rods.part.as_str();
    let sliding = figures::sliding(m);
    let must_follow = |draft: Draft| {
        draft
            .needs(What::Open(slides(sliding)), "the sliding collar has to follow the discs as they are drawn together")
    };
    sheet.add(by_hand(context, t));
    sheet.add(must_follow(t.to_share("by passes", Stage::Snug, SNUG_SHARE)?.parts([rods])));
    let shares = tightening::passes(*context.stack.rods.passes);
    let last = shares.len();
    let seats = stage_that_seats(*context.stack.rods.passes);
    let looked =
        |draft: Draft| draft.once_after("discs drawn together", "a burr found now is let out by easing the rods");
    for (k, share) in (1u8..).zip(shares) {
        let stage = if usize::from(k) == last { Stage::Final } else { Stage::Pass(k) };
        let draft = t.to_share("by passes", stage, share)?.parts([rods]);
        sheet.add(if stage == seats { must_follow(draft) } else { looked(draft) });
    }
    sheet.add(looked(t.round().parts([rods])));
    sheet.add(
        t.recheck("", false)
            .parts([rods])
            .after(format!("{rods} circular"), "there must be a torque to check again")
            .after(format!("pinch-{sliding} rechecked"), "the pinch bolts are checked before the rods, they moved most")
            .makes(format!("{rods} rechecked")),
    );
    sheet.add(
        t.witness_lines()
            .once_after("slip proved", "the line is drawn over what has been proved")
            .after(format!("{rods} circular"), "the line is drawn over the final torque"),
    );
    Ok(())
}

fn by_hand(context: &Stacked<'_>, t: &Tightening<'_>) -> Draft {
    let rods = &context.stack.rods;
    let thread = context.own.rod.thread;
    let (stands, further) = rod_ends::standing_out(context);
    let out = rod_ends::least(context);
    let n = *rods.bolts.count;
    let mut draft = t
        .by_hand()
        .parts([rods.part.clone()])
        .slot("pitch", format!("{} mm", thread.p))
        .slot("stands", stands)
        .slot("further", further.as_ref().map_or("", |f| f.0))
        .needs(
            What::Present(rods.part.clone()),
            "all rods are entered before one is tightened, a tight one shifts the discs",
        )
        .check(draft::series_at("out", "mm", draft::counted("rod", n), SeriesRule::Each, out))
        .minutes(8);
    if let Some((_, limits)) = further {
        draft = draft.check(draft::series_at("out-washers", "mm", draft::counted("rod", n), SeriesRule::Each, limits));
    }
    draft.entry = "rods by hand";
    draft
}

/// What the discs are pressed between, and what is looked at of the collar that is still loose. Where the rods go through it they
/// hold it by now, so it neither slides nor turns by hand; its split tells that it is open.
fn beside_the_discs(context: &Stacked<'_>) -> (&'static str, String) {
    let sliding = figures::sliding(context.module);
    if context.stack.plates.is_some() {
        let words = format!("See that {sliding} is still loose on the shaft; it is pushed up to its plate later.");
        return ("end plates", words);
    }
    let words = format!(
        "See that the pinch bolts of {sliding} are still loose, so that it followed the discs; the rods hold it by now, it need not turn."
    );
    ("collars", words)
}

fn measures(context: &Stacked<'_>, sheet: &mut Sheet) {
    let m = context.module;
    let rods = &context.stack.rods.part;
    let seats = stage_that_seats(*context.stack.rods.passes);
    let (ends, loose) = beside_the_discs(context);
    sheet.add(
        Draft::new("measure", "seating of the stack", "seating", BENCH)
            .parts(context.discs())
            .slot("ends", ends)
            .slot("loose", loose)
            .after(format!("{rods} {seats}"), "before the first pass the discs are not drawn together")
            .needs(
                What::Open(slides(figures::sliding(m))),
                "a collar closed with the discs still apart keeps them apart; a burr found now is let out by easing the rods alone",
            )
            .check(draft::count("gap", 0, 0, "common practice: a 0.05 mm feeler does not enter"))
            .makes("discs drawn together")
            .minutes(5),
    );
    let plates = context.stack.plates.as_ref();
    let (low, nominal, high) = context.own.length;
    let basis = format!(
        "worst case of {} discs and two {}; spec, lines {} and {}",
        context.setup.discs,
        if plates.is_some() { "end plates" } else { "collars" },
        context.stack.discs.thickness.place.line,
        plates.map_or(context.stack.collars.width.place.line, |p| p.thickness.place.line)
    );
    let beside = draft::thirds("rod", *context.stack.rods.bolts.count);
    let ends = if plates.is_some() { "from end plate to end plate" } else { "collar face to collar face" };
    let length = Limits { nominal: Some(nominal), lower: Some(low), upper: Some(high), basis, guarded: true };
    sheet.add(
        Draft::new("measure", "stack length", "stack", BENCH)
            .parts(context.discs())
            .slot("ends", ends)
            .makes("stack length known")
            .after(format!("{rods} circular"), "the stack has its length only at the full torque")
            .check(draft::series_at("length", "mm", beside, SeriesRule::Mean, length))
            .check(draft::derived(
                "spread",
                "mm",
                at_most(Decimal::new(1, 1), "common practice: 0.1 mm"),
                draft::spread("measure-stack/length", 2),
            ))
            .picture(Picture::Zone)
            .minutes(5),
    );
    sheet.add(run_out(context));
}

fn run_out(context: &Stacked<'_>) -> Draft {
    let discs = context.discs();
    let each = || discs.to_vec();
    let mut draft = Draft::new("measure", "run-out of the discs", "run-out", BENCH)
        .parts(discs.clone())
        .slot("datum", figures::datum(context.module))
        .after(format!("{} circular", context.stack.rods.part), "clamping can tilt a disc")
        .check(draft::series_at(
            "radial",
            "mm",
            each(),
            SeriesRule::Each,
            at_most(figures::RADIAL_RUN_OUT, "ISO 2768-2 K, circular run-out (from memory)"),
        ))
        .check(draft::series_at(
            "face",
            "mm",
            each(),
            SeriesRule::Each,
            at_most(Decimal::new(5, 1), "common practice: half a millimetre in all at the rim"),
        ))
        .makes("run-out known")
        .picture(Picture::Zone)
        .minutes(10);
    for collar in &context.stack.collars.each {
        draft = draft.after(format!("pinch-{} final", collar.value), "closing a collar can tilt the stack");
    }
    draft.needs(
        bare_or_locked(context),
        "the V-blocks stand where the bearings will sit; with these on, the shaft turns in them, rings locked",
    )
}

/// After settling: recheck the rods and, last of all, secure them.
pub fn after_settling(context: &Stacked<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let t = tighten(context)?;
    let rods = context.stack.rods.part.as_str();
    let washers = balancing::before_first_run(context);
    let recheck = balancing::under_washers(context, t.recheck("settled", true), "after the run, washers on", washers)?;
    sheet.add(
        recheck
            .parts([rods])
            .after("settled", "clamped faces bed in, only then does a recheck tell something")
            .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
            .makes(format!("{rods} rechecked settled")),
    );
    let secure = match *context.stack.rods.bolts.secure {
        Securing::SecondNut => Draft::new("secure", "second nut", rods, "frame")
            .slot("flats", format!("{} mm", context.own.rod.thread.s))
            .slot("nut class", context.own.rod.class.nut.to_string())
            .slot("friction state", &t.threads.said)
            .slot("torque", nm(t.torque))
            .slot("wrench", wrench(t.torque))
            .check(draft::count("fitted", 2 * t.count, 2 * t.count, "one at each end of each rod"))
            .check(draft::confirm("lines"))
            .minutes(10),
        Securing::ThreadLocker => t.locked("thread locker, nuts", 2 * t.count),
        Securing::SpringWasher | Securing::None => t.lines_again(),
    };
    sheet.add(
        secure
            .picture(Picture::Circle(rods.to_owned()))
            .slot("group", &t.name)
            .once_after(
                format!("{rods} rechecked settled"),
                "what secures the nuts is the last act, they are not turned after it",
            )
            .after(format!("{rods} circular"), "only a full torque is secured")
            .makes(format!("{rods} secured")),
    );
    Ok(())
}

/// Weight of the rotor in words, for lifting.
pub fn rotor_mass(context: &Context<'_>) -> (String, &'static str) {
    let mass = context.figures.mass;
    (format!("{} kg", rounded(mass.kg(), 0)), bench::lift(mass))
}
