//! Balance at rest: on edges, on rollers, or in the bearings with their drag measured along.

use crate::module::{Means, Rests};
use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::{Check, SeriesRule};

use super::corrections::{self, Missing};
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
    sheet.add(measured(work, place, "initial", "as assembled", &last, None).makes("balance initial"));
    last = "balance initial".into();
    let mut found = Missing::one("balance-initial", "correction");
    let means: Vec<Means> = work.balance.correct_by.iter().map(|m| m.value).collect();
    for (k, by) in means.iter().enumerate() {
        let fact = format!("balance corrected {}", k + 1);
        sheet.add(corrections::draft(work, place, *by, &found)?.after(&*last, corrections::FOUND).makes(&*fact));
        last = fact;
        if k + 1 < means.len() {
            sheet.add(measured(work, place, "between", "after the washers", &last, None).makes("balance between"));
            last = "balance between".into();
            found = Missing::one("balance-between", "correction");
        }
    }
    let permitted = work.spot.permitted.gmm();
    let mut residual = measured(work, place, "residual", "what is left", &last, Some(permitted));
    residual.checks.extend(corrections::still(work, &Missing::one("balance-residual", "correction"))?);
    sheet.add(residual.makes(DONE));
    Ok(())
}

fn in_bearings(work: &Work<'_>) -> bool {
    work.balance.on.as_ref().is_some_and(|on| on.value == Rests::Bearings)
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
    let of = |name: &str| format!("{id}/{name}");
    let rods_radius = ("rods_radius", work.spot.radius_mm.to_string());
    let (entry, name, checks, inputs, more): (_, _, Vec<Check>, Vec<String>, Vec<(&'static str, String)>) =
        if in_bearings(work) {
            let starts = draft::series_at(
                "starts",
                "g",
                work.holes(),
                SeriesRule::Each,
                said("common practice: kept as weighed"),
            );
            (
                "starting masses",
                "weigh",
                vec![starts],
                vec![of("starts")],
                vec![("angles", work.spot.angles()), rods_radius],
            )
        } else {
            let rests =
                draft::series("rests", "°", 4, SeriesRule::Each, said("common practice: four starts, kept as read"));
            let mass = draft::measure("test-mass", "g", said("common practice: kept as weighed"));
            let arm = work.balance.arm.as_ref().map_or(0.0, |a| a.mm());
            (
                "rest and test mass",
                "at-rest",
                vec![rests, mass],
                vec![of("rests"), of("test-mass")],
                vec![("arm", arm.to_string()), rods_radius],
            )
        };
    let derive =
        |give: &str, decimals, words| draft::computed(name, inputs.clone(), &work.with(give, &more), decimals, words);
    // Each time anew: neither belt nor bearings may come on before the last weighing.
    let mut draft = at_rest_needs(work, work.draft(entry, object, place))
        .slot("moment", moment)
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
