//! Each thing that is worked on has a picture of its own, and shows its state.

use super::tests::{app_of, build_up_to, enter, good, let_go, text};
use super::*;
use crate::traveler::Centre;

/// What the caption of the picture must say at a step, by the part worked on.
fn wanted(step: &crate::procedure::plan::Step, app: &App<'_>) -> Option<&'static str> {
    let drawing = &app.record().unwrap().plan().drawing;
    let stand = drawing.stand.as_ref().unwrap();
    let on = |id: &String| step.parts.contains(id);
    let drive = drawing.drives.iter().find(|d| on(&d.belt) || on(&d.sled) || on(&d.other));
    match (step.operation.as_str(), drive) {
        ("hang", _) => None,
        _ if step.group.as_deref() == Some(stand.hold_downs.as_str()) => Some("hold-downs, seen from above"),
        ("inspect", Some(drive)) if on(&drive.belt) => Some("mm effective length"),
        ("align", Some(_)) => Some("the straightedge on both faces"),
        (_, Some(_)) => Some("Travel "),
        ("inspect", None) if on(&stand.base) || on(&stand.frame) => Some("alone, from above"),
        ("inspect" | "deburr" | "ream" | "receive", None) if !step.parts.is_empty() => Some("alone: Ø"),
        (_, None) if on(&stand.guard) => Some("round everything that turns"),
        (_, None) if on(&stand.base) => Some("mm above the"),
        _ => None,
    }
}

#[test]
fn base_frame_sled_belt_driver_and_guard_have_a_picture_and_parts_at_receipt_lie_alone() {
    for name in crate::module::embedded_names() {
        let home = tempfile::tempdir().unwrap();
        let mut app = app_of(&name, home.path(), (100, 40));
        app.picture = true;
        let mut seen = std::collections::BTreeSet::new();
        for step in app.record().unwrap().plan().steps.clone() {
            let Some(words) = wanted(&step, &app) else { continue };
            app.show(step.id.clone());
            let shown = text(&app);
            assert!(shown.contains(words), "{name} {}: \"{words}\"\n{shown}", step.id);
            let drawn = shown.chars().filter(|c| ('\u{2801}'..='\u{28ff}').contains(c)).count();
            assert!(drawn > 60, "{name} {}: {drawn} cells\n{shown}", step.id);
            seen.insert(words);
        }
        assert!(seen.len() >= 6, "{name}: {seen:?}");
    }
}

/// The sled stands at its inner end until the belt lies in the grooves, then where the measured span puts it. By hand, for
/// pulleys of 140 and 250 mm and a span of 488 mm: C = sqrt(488² + 55²) = 491.1 mm.
#[test]
fn the_picture_tells_where_the_sled_stands_now() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app_of("flywheel", home.path(), (100, 40));
    let centre = |app: &App<'_>| {
        let record = app.record().unwrap();
        record.centre_of(&record.plan().drawing.drives[0])
    };
    app.picture = true;
    build_up_to(&mut app, "fit-belt");
    assert_eq!(centre(&app), Centre::Inner);
    app.show("tighten-lock-snug".into());
    assert!(text(&app).contains("now: sled at its inner end, centre 470 mm"), "{}", text(&app));
    let step = app.record().unwrap().step("fit-belt").cloned().unwrap();
    for check in &step.checks {
        enter(&mut app, &step.id, check, good(check));
    }
    assert_eq!(centre(&app), Centre::Between);
    build_up_to(&mut app, "tension-belt-final");
    let step = app.record().unwrap().step("tension-belt-final").cloned().unwrap();
    enter(&mut app, &step.id, &step.checks[0], vec!["488".into()]);
    let Centre::Measured(mm) = centre(&app) else { panic!("{:?}", centre(&app)) };
    assert!((mm - 491.1).abs() < 0.05, "{mm}");
    app.show_work();
    assert!(text(&app).contains("now: centre 491 mm by the measured span"), "{}", text(&app));
    let_go(&mut app, &step);
}

/// An older record, which has neither stand nor sleds, draws what it has.
#[test]
fn a_record_without_them_draws_without_them() {
    let text_of = include_str!("../../tests/samples/format-1.yaml");
    let record = crate::traveler::Record::read("sample", text_of.as_bytes()).unwrap();
    let drawing = &record.plan().drawing;
    assert!(drawing.stand.is_none() && drawing.drives.is_empty() && drawing.belt.is_some());
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("builds/sample");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("traveler.yaml"), text_of).unwrap();
    let mut app =
        App::new(crate::traveler::Store::locate(Some(home.path())).unwrap(), &super::tests::Demo, Theme::coloured());
    app.by = Some("ak".into());
    app.open_build("sample");
    app.look_again.clear();
    (app.picture, app.size) = (true, (100, 40));
    for step in record.plan().steps.iter() {
        app.show(step.id.clone());
        let _ = text(&app);
    }
    app.show("tension-belt-final".into());
    assert!(text(&app).contains("press is drawn larger") && !text(&app).contains("Travel"), "{}", text(&app));
}
