//! What is gauged at receipt beyond a plain size: pulley grooves over balls, run-out, and the circle of the rod holes.

use rust_decimal::Decimal;

use crate::mechanics::groove;
use crate::module::spec_line;
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::Id;
use crate::procedure::figures::{NoFigure, at};
use crate::procedure::plan::{Picture, SeriesRule};
use crate::quantity::Length;
use crate::standards::ribs;

use super::receiving::{ENDS, drawn, inspect};
use super::{Driven, Stacked, decimal};

/// Most pairs of holes that are measured of one disc, evenly round.
const PAIRS: u32 = 3;

/// The fact that a step of a pulley was gauged.
pub fn gauged(pulley: &str, step: &str) -> Id {
    format!("{pulley} step {step} gauged")
}

/// A pulley as a whole, then each of its steps over balls: whatever setup is built first, all steps are wanted later.
pub fn pulley(context: &Driven<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let p = &context.drive.pulley;
    sheet.add(
        inspect("pulley", &p.part)
            .slot("ribs", p.ribs.to_string())
            .slot("profile", &p.profile.value)
            .check(draft::confirm("grooves"))
            .check(draft::count("ribs", *p.ribs, *p.ribs, &spec_line(p.ribs.place)))
            .check(draft::series_at("bore", "mm", draft::two_ways(ENDS), SeriesRule::Each, drawn(&p.bore)?))
            .check(draft::measure("run-out", "mm", drawn(&p.run_out)?))
            .minutes(8),
    );
    for step in p.steps.keys() {
        sheet.add(over_balls(context, step)?);
    }
    Ok(())
}

/// One step over balls. The effective diameter cannot be gauged by itself: it is this size less `2x` (ISO 9982).
fn over_balls(context: &Driven<'_>, step: &str) -> Result<Draft, NoFigure> {
    let p = &context.drive.pulley;
    let Some(effective) = p.steps.get(step) else {
        return Err(NoFigure { line: p.ribs.place.line, why: format!("the pulley has no step \"{step}\"") });
    };
    let gauge = at(effective, groove::Pulley::new(&p.profile, **effective))?;
    let quality = ribs::quality();
    let basis = if quality.profile == *p.profile {
        quality.source.clone()
    } else {
        format!("{}; taken for {} too, common practice", quality.source, *p.profile)
    };
    let (size, width) = (decimal(gauge.over_balls().mm(), 3), decimal(quality.over_balls, 3).unwrap_or_default());
    let size_limits = Limits {
        nominal: size,
        lower: size.map(|s| s - width),
        upper: size.map(|s| s + width),
        basis: format!("{} of {}, ISO 9982; {basis}", effective.written, spec_line(effective.place)),
        guarded: true,
    };
    let spread = Limits { upper: decimal(quality.between_grooves, 3), basis, guarded: true, ..Limits::default() };
    let grooves = (*p.ribs).clamp(1, 3);
    let series = format!("inspect-{}-step-{step}/over-balls", p.part);
    Ok(Draft::new("inspect", "pulley step", &p.part, "receiving")
        .staged(&format!("step {step}"))
        .parts([p.part.clone()])
        .slot("part", &p.part)
        .slot("step", step)
        .slot("effective", &effective.written)
        .slot("ball", format!("{} mm", gauge.profile.ball.mm()))
        .slot("count", grooves.to_string())
        .once_after(format!("{} inspected", p.part), "a pulley with a burr in a groove reads false")
        .check(draft::series_at("over-balls", "mm", draft::counted("groove", grooves), SeriesRule::Each, size_limits))
        .check(draft::derived("between", "mm", spread, draft::spread(&series, 3)))
        .makes(gauged(&p.part, step))
        .picture(Picture::Zone)
        .minutes(5))
}

/// The rod holes of a disc: does a rod go through, and how far two holes stand apart over their far edges.
///
/// Rule of the floating fastener: holes wider than the rod by `H − F` may each lie off by half of it. The distance of two
/// holes is held to that half: the cautious side, since both may be off. `chord = D·sin(π·k/n) + H`.
pub fn holes(context: &Stacked<'_>, disc: Draft) -> Result<Draft, NoFigure> {
    let discs = &context.stack.discs;
    let n = *discs.holes;
    let apart = if n.is_multiple_of(2) { n / 2 } else { 1 };
    let chord = f64::from(apart) * std::f64::consts::PI / f64::from(n.max(1));
    let over = *discs.on * chord.sin() + *discs.drill;
    let room = discs.drill.mm() - context.own.rod.thread.d;
    if room.is_nan() || room <= 0.0 {
        let why = format!("a rod of {} mm does not enter holes of {} mm", context.own.rod.thread.d, discs.drill.mm());
        return Err(NoFigure { line: discs.drill.place.line, why });
    }
    let half = decimal(room / 2.0, 3).unwrap_or(Decimal::ZERO);
    let nominal = decimal(over.mm(), 2);
    let limits = Limits {
        nominal,
        lower: nominal.map(|v| v - half),
        upper: nominal.map(|v| v + half),
        basis: format!(
            "{} on {} mm, {} wider than the rod; half of that, rule of the floating fastener (from memory: ASME Y14.5)",
            spec_line(discs.holes.place),
            discs.on.mm(),
            super::mm(Length::from_mm(room)),
        ),
        guarded: true,
    };
    let each = if apart == 1 { n } else { n / 2 };
    let pairs = each.clamp(1, PAIRS);
    let places = (0..pairs).map(|k| {
        let first = 1 + k * each / pairs;
        format!("holes {first} and {}", (first - 1 + apart) % n + 1)
    });
    let rule = SeriesRule::Each;
    Ok(disc
        .slot("pairs", pairs.to_string())
        .slot("which", if apart == 1 { "neighbouring" } else { "opposite" })
        .slot("rod", &context.stack.rods.bolts.thread.value)
        .check(draft::confirm("rod-holes"))
        .check(draft::series_at("hole-circle", "mm", places.collect(), rule, limits)))
}
