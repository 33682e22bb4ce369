//! Balance at rest: on edges, on rollers, or in the bearings with their drag measured along.

use crate::module::{Means, Rests};
use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::{Check, SeriesRule};

use super::corrections::{self, Missing};
use super::predicted::{self, Correction, Told};
use super::{DONE, Work, at_rest_needs, said};

/// Puts down the steps.
pub fn put_down(work: &Work<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let place = if in_bearings(work) { "frame" } else { "bench" };
    let ready = if in_bearings(work) {
        "Drive isolated and locked, belt off, rotor free in its bearings. Wipe oil and chips off the rotor."
    } else {
        "Set up two level edges or pairs of rollers that carry the rotor's weight, on a firm floor. Mark the pulley to the shaft, so that it goes back as it was."
    };
    let asked = if in_bearings(work) {
        "Belt off, drive locked, rotor free?"
    } else {
        "Edges or rollers level, pulley marked to the shaft?"
    };
    sheet
        .add(at_rest_needs(work, corrections::prepare(work, place, ready, asked, "at rest").makes("balance prepared")));
    let mut last = "balance prepared".to_owned();
    let mut initial = measured(work, place, "initial", "as assembled", &last, None);
    initial.checks.extend(predicted::against_index(work, &told(work, "balance-initial"))?);
    sheet.add(initial.makes("balance initial"));
    last = "balance initial".into();
    let mut found = Missing::one("balance-initial", "correction");
    let means: Vec<Means> = work.balance.correct_by.iter().map(|m| m.value).collect();
    for (k, by) in means.iter().enumerate() {
        let fact = format!("balance corrected {}", k + 1);
        sheet.add(corrections::draft(work, place, *by, &found)?.after(&*last, corrections::FOUND).makes(&*fact));
        last = fact;
        if k + 1 < means.len() {
            let mut between = measured(work, place, "between", "after the washers", &last, None);
            between.checks.extend(against(work, "balance-initial", "balance-between", *by)?);
            sheet.add(between.makes("balance between"));
            last = "balance between".into();
            found = Missing::one("balance-between", "correction");
        }
    }
    let permitted = work.spot.permitted.gmm();
    let mut residual = measured(work, place, "residual", "what is left", &last, Some(permitted));
    let (before, by) = match means.as_slice() {
        [.., _, last] => ("balance-between", *last),
        one => ("balance-initial", one.first().copied().unwrap_or(Means::Washers)),
    };
    residual.checks.extend(against(work, before, "balance-residual", by)?);
    residual.checks.extend(corrections::still(work, &Missing::one("balance-residual", "correction"))?);
    sheet.add(residual.makes(DONE));
    Ok(())
}

fn in_bearings(work: &Work<'_>) -> bool {
    work.balance.on.as_ref().is_some_and(|on| on.value == Rests::Bearings)
}

/// What was to be expected after a correction, against what was found.
fn against(work: &Work<'_>, before: &str, now: &str, by: Means) -> Result<Vec<Check>, NoFigure> {
    let (before, now) = (told(work, before), told(work, now));
    predicted::after(work, &Correction { before: &before, now: &now, by })
}

/// Readings of one measurement and what its computation takes of the plan.
fn told(work: &Work<'_>, id: &str) -> Told {
    let radius = ("rods_radius", work.spot.radius_mm.to_string());
    if in_bearings(work) {
        Told { name: "weigh", inputs: vec![format!("{id}/starts")], with: vec![("angles", work.spot.angles()), radius] }
    } else {
        let arm = work.balance.arm.as_ref().map_or(0.0, |a| a.mm());
        let inputs = ["rests", "test-mass"].map(|check| format!("{id}/{check}")).to_vec();
        Told { name: "at-rest", inputs, with: vec![("arm", arm.to_string()), radius] }
    }
}

/// One measurement with what is computed from it; judged where a limit is given.
fn measured(
    work: &Work<'_>,
    place: &'static str,
    object: &str,
    moment: &str,
    last: &str,
    permitted: Option<f64>,
) -> Draft {
    let id = format!("balance-{object}");
    let told = told(work, &id);
    let weighed = || said("common practice: kept as weighed");
    let (entry, checks) = if in_bearings(work) {
        ("starting masses", vec![draft::series_at("starts", "g", work.holes(), SeriesRule::Each, weighed())])
    } else {
        let rests = said("common practice: four starts, kept as read");
        let rests = draft::series("rests", "°", 4, SeriesRule::Each, rests);
        ("rest and test mass", vec![rests, draft::measure("test-mass", "g", weighed())])
    };
    let derive = |give: &str, decimals, words| {
        draft::computed(told.name, told.inputs.clone(), &work.with(give, &told.with), decimals, words)
    };
    let then = if permitted.is_some() {
        work.spot.couple_words()
    } else {
        "What is missing is computed below; the next step puts it on.".to_owned()
    };
    // Each time anew: neither belt nor bearings may come on before the last weighing.
    let mut draft = at_rest_needs(work, work.draft(entry, object, place))
        .slot("moment", moment)
        .slot("then", then)
        .after(last, corrections::IN_TURN)
        .minutes(25);
    if !in_bearings(work) {
        draft = draft.slot("rest", work.balance.on.as_ref().map_or("edges", |on| on.written.as_str()));
    }
    draft.checks.extend(checks);
    let how = "statics: mass times radius opposite the heavy side";
    let value = |id: &str, unit: &str, give: &str, decimals, words| {
        draft::derived(id, unit, said(how), derive(give, decimals, words))
    };
    if in_bearings(work) {
        draft = draft.check(value("drag", "N·m", "drag", 4, "starting masses with the heavy side taken out"));
    }
    draft = draft.check(value("heavy", "°", "heavy", 0, "where the heavy side stands"));
    let Some(gmm) = permitted else {
        return draft
            .check(value("unbalance", "g·mm", "unbalance", 0, "unbalance found"))
            .check(value("correction", "g", "mass", 2, "unbalance over the radius of the rods"))
            .check(value("correction-angle", "°", "angle", 1, "opposite the heavy side"));
    };
    let residual = derive("residual", 0, "unbalance found");
    draft
        .check(draft::derived("residual", "g·mm", work.permitted(gmm), residual))
        .check(value("correction", "g", "mass", 2, "what is still missing, at the radius of the rods"))
        .check(value("correction-angle", "°", "angle", 1, "where it goes"))
        .check(draft::derived("grade", "mm/s", said(&work.spot.basis), derive("grade", 2, "G = U·ω/m")))
}
