//! A hub held on the shaft by set screws: the pulley.

use rust_decimal::Decimal;

use crate::procedure::draft::{self, Draft, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, NoFigure, at};
use crate::procedure::plan::Picture;
use crate::standards::keys;

use super::fasten::{hex_key, of_screws};
use super::receiving::is_clean;
use super::{Driven, at_most, mm};

/// Group of the hub's set screws.
pub fn group(context: &Driven<'_>) -> String {
    context.named("hub")
}

/// Puts down the pulley and its set screws.
pub fn put_down(context: &Driven<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let m = context.module;
    let pulley = &context.drive.pulley;
    let (group, slides) = (group(context), context.named("slide:pulley/shaft"));
    sheet.group(&group, &[(slides.clone(), Stage::Snug)]);
    let entry = if pulley.key.is_some() { "pulley with key" } else { "pulley" };
    let mut fit = Draft::new("fit", entry, &pulley.part, "bench")
        .parts([pulley.part.clone()])
        .slot("part", &pulley.part)
        .slot("place", mm(figures::place(m, &pulley.part)))
        .slot("end", context.end_of(&pulley.part))
        .slot("inwards", if pulley.steps.len() > 1 { ", largest step inwards" } else { "" })
        .slot("key wrench", hex_key(&pulley.set_screws.thread))
        .needs(What::Present(m.shaft.part.clone()), "it sits on the shaft")
        .once(is_clean(&pulley.part), "oil in the bore halves the grip of the hub")
        .needs(What::Open(slides.clone()), "with set screws in the bore it scores the shaft")
        .check(draft::confirm("loose"))
        .adds(pulley.part.clone())
        .minutes(4);
    if let Some(length) = &pulley.key {
        let (key, line) = (at(length, keys::key(m.shaft.diameter.length()))?, length.place.line);
        fit = fit
            .slot("key", format!("{} x {} x {}", key.b, key.h, length.mm()))
            .slot("stands", format!("{} mm", key.h - key.t1))
            .check(draft::confirm("key"))
            .keyed(format!("key {}", length.written));
        fit.checks
            .iter_mut()
            .filter(|c| c.id == "key")
            .for_each(|c| c.basis = format!("DIN 6885-1; spec, line {line}"));
    }
    sheet.add(context.before_those_in_the_way(fit, &pulley.part));
    sheet.add(
        Draft::new("adjust", "pulley plane", &context.named("pulley-plane"), "frame")
            .parts([pulley.part.clone()])
            .slot("grooves", context.grooves())
            .slot("part", &pulley.part)
            .slot("other", &context.drive.belt.other)
            .needs(What::Open(slides.clone()), "a locked hub cannot be moved into the plane")
            .needs(What::Present(context.drive.belt.other.clone()), "the driver gives the plane")
            .once(What::Present("module-on-frame".into()), "the plane is found where the module will run")
            .once_after("hold-downs snug", "the module must stand before the plane is found")
            .check(draft::measure(
                "gap",
                "mm",
                at_most(Decimal::new(5, 1), "common practice: coarse, the belt tells the rest"),
            ))
            .picture(Picture::Belt)
            .makes(context.named("pulley in plane"))
            .keyed(context.step())
            .minutes(6),
    );
    let t = of_screws(&group, &format!("the set screws of the {} hub", pulley.part), &pulley.set_screws, "frame")?;
    let on = |draft: Draft| draft.parts([pulley.part.clone()]);
    sheet.add(on(t.to_share("set screws", Stage::Snug, 0.5)?));
    sheet.add(on(t.to_share("set screws", Stage::Final, 1.0)?));
    sheet.add(
        on(t.recheck("after-run", true))
            .after("guard open", "hands reach in only behind an isolated drive and a blocked rotor")
            .makes(context.named("hub rechecked")),
    );
    Ok(())
}
