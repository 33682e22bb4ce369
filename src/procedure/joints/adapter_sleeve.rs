//! Insert bearings on adapter sleeves: the nut is drawn up while the housings are still free, the housings follow.

use crate::module::{Sleeve, spec_line};
use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::Picture;

use super::Context;
use super::fasten::{Figure, Tightening};
use super::insert_bearing::{axial, free_turn, moves, ring_group};
use super::thread_state::Threads;

/// Puts down the sleeves' nuts: place, nut, tab, and a turn by hand after each.
pub fn put_down(
    context: &Context<'_>,
    sheet: &mut Sheet,
    sleeve: &Sleeve,
    locating: &str,
    floating: &str,
) -> Result<(), NoFigure> {
    sheet.add(
        axial(context, locating, floating)
            .needs(What::Present("rotor-on-base".into()), "its place is measured to the housings"),
    );
    for bearing in [locating, floating] {
        let group = ring_group(context.module, bearing);
        let t = nut(&group, bearing, sleeve);
        let on = |draft: Draft| draft.parts([bearing]);
        let mut snug = on(t.to_share("sleeve nut", Stage::Snug, 0.5)?)
            .needs(
                What::Open(moves(bearing)),
                "a housing that is tight forces the inner ring off its seat; with set screws it is the other way round",
            )
            .after("axial place set", "a locked inner ring fixes the shaft along its axis");
        if bearing == floating {
            snug =
                snug.once_after("turns with the first ring locked", "locking both at once traps thrust between them");
        }
        sheet.add(snug);
        let why = "a housing that is tight forces the inner ring off its seat";
        sheet.add(on(t.to_share("sleeve nut", Stage::Final, 1.0)?).needs(What::Open(moves(bearing)), why));
        sheet.add(tab(&group, bearing, sleeve));
        sheet.add(after_run(&group, bearing));
    }
    sheet.add(
        free_turn("turn-first-ring", "the first sleeve drawn up")
            .after(format!("{} final", ring_group(context.module, locating)), "too tight a sleeve takes the play")
            .makes("turns with the first ring locked"),
    );
    Ok(())
}

fn nut<'a>(group: &'a str, bearing: &str, sleeve: &Sleeve) -> Tightening<'a> {
    Tightening {
        group,
        name: format!("the sleeve nut of {bearing}"),
        bolts: format!("nut of {}", sleeve.size.value),
        count: 1,
        torque: *sleeve.torque,
        figure: Figure::Makers(None),
        spanner: sleeve.spanner.clone(),
        threads: Threads::default(),
        counter: "",
        numbers: String::new(),
        counter_tool: String::new(),
        place: "base",
        source: sleeve.from.to_string(),
        basis: format!("{} ({})", sleeve.from, spec_line(sleeve.torque.place)),
    }
}

fn tab(group: &str, bearing: &str, sleeve: &Sleeve) -> Draft {
    Draft::new("secure", "tab washer", group, "base")
        .parts([bearing])
        .slot("group", format!("the sleeve nut of {bearing}"))
        .slot("spanner", &sleeve.spanner)
        .after(format!("{group} final"), "the tab is bent when the nut stands")
        .check(draft::confirm("tab"))
        .makes(format!("{group} lined"))
        .picture(Picture::Section)
        .minutes(3)
}

fn after_run(group: &str, bearing: &str) -> Draft {
    Draft::new("recheck", "tab washer", group, "frame")
        .staged("after-run")
        .parts([bearing])
        .slot("group", format!("the sleeve nut of {bearing}"))
        .after(format!("{group} final"), "there must be a nut to look at")
        .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
        .check(draft::confirm("tab"))
        .makes(format!("{group} rechecked"))
        .picture(Picture::Section)
        .minutes(2)
}
