//! Balancing of the assembled rotor: at rest before the drive is on, or by runs at speed after everything is rechecked.

mod at_rest;
mod at_speed;
mod corrections;
mod predicted;
mod spot;
mod told;

use crate::module::{Balance, Rests};
use crate::procedure::draft::{Draft, Limits, Sheet};
use crate::procedure::engine::What;
use crate::procedure::figures::NoFigure;

use super::{Context, Stacked, decimal, hub};

pub(in crate::procedure) use spot::{OnePlane, Spot};

/// Fact that the rotor is balanced.
const DONE: &str = "balanced";

/// Puts down what balances the rotor, where the spec asks for it. `rechecked` is what stands before a rotor is balanced at speed.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet, rechecked: &[String]) -> Result<(), NoFigure> {
    let (Some(balance), Some(stacked)) = (&context.module.balance, context.stacked()) else {
        return Ok(());
    };
    let spot = Spot::of(context.module, context.setup, context.figures)?;
    let work = Work { balance, stacked: &stacked, spot: &spot };
    if balance.at_speed() { at_speed::put_down(&work, sheet, rechecked) } else { at_rest::put_down(&work, sheet) }
}

/// The recheck of the rods where balance washers stand over their nuts: other words, and what goes back on is counted.
/// `on` says whether they are on by then.
pub fn under_washers(
    stacked: &Stacked<'_>,
    mut draft: Draft,
    entry: &'static str,
    on: bool,
) -> Result<Draft, NoFigure> {
    let washers = stacked.module.balance.as_ref().is_some_and(|b| b.washers.is_some());
    if !(on && washers) {
        return Ok(draft);
    }
    draft.entry = entry;
    Ok(retaining_slots(stacked, draft)?.check(crate::procedure::draft::confirm("back")))
}

/// End, torque and wrench of the nuts that hold balance washers, for the words of a recheck.
pub fn retaining_slots(stacked: &Stacked<'_>, draft: Draft) -> Result<Draft, NoFigure> {
    let spot = Spot::of(stacked.module, stacked.setup, stacked.figures)?;
    let planes = stacked.module.balance.iter().flat_map(|b| &b.planes);
    let ends: Vec<&str> = planes.map(|p| p.written.as_str()).collect();
    Ok(draft
        .slot("weights end", ends.join(" and "))
        .slot("retaining", super::fasten::nm(spot.retaining))
        .slot("retaining wrench", super::fasten::wrench(spot.retaining))
        .slot("flats", format!("{} mm", stacked.own.rod.thread.s)))
}

/// True where the rotor is balanced before it first runs, so that its washers are on at the recheck after that run.
pub fn before_first_run(stacked: &Stacked<'_>) -> bool {
    stacked.module.balance.as_ref().is_some_and(|b| !b.at_speed())
}

/// The guard closes over a rotor that is balanced: at rest before the first run, at speed before the proving run.
pub fn before_guard(context: &Context<'_>, again: bool, draft: Draft) -> Draft {
    match &context.module.balance {
        Some(balance) if context.module.stack.is_some() && balance.at_speed() == again => {
            draft.after(DONE, "what is proved and handed over is the balanced rotor")
        }
        _ => draft,
    }
}

/// What every step of balancing looks at.
struct Work<'a> {
    balance: &'a Balance,
    stacked: &'a Stacked<'a>,
    spot: &'a Spot,
}

impl Work<'_> {
    /// A step with the slots that all of them share.
    fn draft(&self, entry: &'static str, object: &str, place: &'static str) -> Draft {
        let (m, rods) = (self.stacked.module, &self.stacked.stack.rods);
        Draft::new("balance", entry, object, place)
            .parts(self.stacked.discs())
            .slot("sense", "clockwise")
            .slot("side", m.seen_from.words())
            .slot("radius", format!("{} mm", self.spot.radius_mm))
            .slot("mass", format!("{} kg", crate::quantity::rounded(self.spot.mass.kg(), 1)))
            .picture(crate::procedure::plan::Picture::Circle(rods.part.clone()))
    }

    /// Limits of a residual.
    fn permitted(&self, gmm: f64) -> Limits {
        Limits { upper: decimal(gmm, 0), basis: self.spot.basis.clone(), ..Limits::default() }
    }

    /// "hole 1" and so on.
    fn holes(&self) -> Vec<String> {
        crate::procedure::draft::counted("hole", self.spot.holes)
    }

    /// What every computation takes.
    fn with(&self, give: &str, more: &[(&'static str, String)]) -> Vec<(&'static str, String)> {
        let spot = self.spot;
        let mut with = vec![
            ("give", give.to_owned()),
            ("radius", spot.radius_mm.to_string()),
            ("permitted", format!("{:.1}", spot.permitted.gmm())),
            ("mass_kg", format!("{:.3}", spot.mass.kg())),
            ("rpm", spot.judged.rpm().to_string()),
        ];
        with.extend(more.iter().cloned());
        with
    }
}

/// A limit that only says where a value comes from.
fn said(basis: &str) -> Limits {
    Limits { basis: basis.to_owned(), ..Limits::default() }
}

/// What has to be off and on while the rotor is balanced at rest.
fn at_rest_needs(work: &Work<'_>, mut draft: Draft) -> Draft {
    let (context, rods) = (work.stacked, work.stacked.stack.rods.part.as_str());
    for driven in context.driven() {
        draft =
            draft.needs(What::Absent(driven.named("belt-in-grooves")), "the belt would hold the rotor where it stands");
    }
    draft = draft
        .after(format!("{rods} circular"), "what is tightened later shifts the discs")
        .after("run-out known", "a tilted disc is put right before it is balanced");
    if work.balance.on.as_ref().is_some_and(|on| on.value == Rests::Bearings) {
        for driven in context.driven() {
            draft = draft
                .after(format!("{} final", hub::group(&driven)), "the pulley is part of the rotor and turns with it");
        }
        return draft
            .after("rotor proved", "inner rings that are not locked let the rotor walk")
            .once(What::Present("module-on-frame".into()), "the hub is locked where the belt runs");
    }
    for driven in context.driven() {
        draft = draft
            .needs(What::Present(driven.drive.pulley.part.clone()), "the pulley is part of the rotor")
            .needs(What::Absent(driven.drive.belt.part.clone()), "a belt that hangs on the shaft pulls it round");
    }
    for bearing in &context.module.bearings.each {
        draft = draft.needs_by(
            What::Absent(bearing.value.clone()),
            "the bare shaft rolls on edges or rollers; where a bearing goes on before the pulley, balance \"on: bearings\"",
            work.balance.on.as_ref().map_or(0, |on| on.place.line),
        );
    }
    draft
}
