//! Values typed at a step: limits, verdicts, doubts, and what is asked before a value counts.

use super::tests::{app, build_up_to, enter, flat, key, keys, open_at, read_on, screen, text};
use crate::procedure::plan::CheckKind;

use super::*;
use crossterm::event::KeyCode;
use ratatui::style::Modifier;

#[test]
fn the_entry_shows_limits_and_the_verdict_at_once_in_words_and_style() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y");
    assert!(text(&app).contains("Limits 10 to 35 °C"), "{}", text(&app));
    keys(&mut app, "-4\n");
    let shown = text(&app);
    assert!(shown.contains("OUTSIDE: -4 °C, 14 °C below the lower limit"), "{shown}");
    for advice in [
        "It means: Cold steel",
        "Usually:",
        "Measure again and type the new value",
        "Only mistyped",
        "not by ak who took",
    ] {
        let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(advice), "{advice}: {shown}");
    }
    let terminal = screen(&app);
    let buffer = terminal.backend().buffer();
    let cell = buffer.content().iter().position(|c| c.symbol() == "O" && c.modifier.contains(Modifier::BOLD));
    assert!(cell.is_some(), "the verdict stands out without colour too");
    keys(&mut app, "\n\n\n");
    assert!(text(&app).contains("OUTSIDE"), "nothing is accepted by a reflex of Enter");
    keys(&mut app, "21,5\n");
    assert!(text(&app).contains("within"), "{}", text(&app));
}

/// The form for a mistyped value starts on the reading that is outside, not on the first of the step.
#[test]
fn what_is_corrected_first_is_what_is_outside() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y-4\nc");
    let shown = text(&app);
    assert!(shown.contains("Correct a reading") && shown.contains("Which: room"), "{shown}");
}

#[test]
fn a_value_that_can_hardly_be_is_asked_about_and_enter_keeps_nothing() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y2150\n\n\n");
    let shown = text(&app);
    assert!(shown.contains("2150 °C? Hardly"), "{shown}");
    assert_eq!(app.record().unwrap().events.len(), 2, "only the zero is kept");
    keys(&mut app, "21.5\n");
    assert_eq!(app.record().unwrap().events.len(), 3);
}

#[test]
fn a_narrow_length_opens_after_the_soak_was_answered_and_kept_as_a_note() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    assert!(text(&app).contains("lie side by side"), "{}", text(&app));
    keys(&mut app, "25.004\n");
    assert!(app.entry.input.is_empty() && app.message.contains("Not used"), "{}", app.message);
    keys(&mut app, "n");
    assert!(app.message.contains("about an hour"), "{}", app.message);
    keys(&mut app, "y25.004\n25.0");
    let shown = text(&app);
    assert!(shown.contains("mean 25.004 range 0"), "{shown}");
    assert!(
        matches!(&app.record().unwrap().events.last().unwrap().body, crate::traveler::event::Body::Note(n) if n.step == "inspect-collar-far")
    );
}

#[test]
fn that_no_registered_instrument_can_decide_is_said_before_the_measurement() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    keys(&mut app, "y");
    let said = |app: &App<'_>| text(app).contains("No instrument of the register can decide");
    assert!(!said(&app), "with an empty register nothing is said");
    let instrument = |id: &str, u: &str| crate::traveler::instruments::Instrument {
        id: id.into(),
        kind: "bore gauge".into(),
        uncertainty: Some(u.into()),
        range: None,
        resolution: None,
        due: None,
        retired: false,
        faulty: None,
    };
    app.register.add(instrument("CAL-1", "0.03 mm")).unwrap();
    assert!(said(&app), "{}", text(&app));
    app.register.add(instrument("BG-1", "0.002 mm")).unwrap();
    assert!(!said(&app), "{}", text(&app));
}

#[test]
fn gauge_answers_that_cannot_be_are_kept_only_when_given_a_second_time() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "ream-disc-1");
    open_at(&mut app, "ream-disc-1");
    while app.open_check().is_some_and(|c| c.asks() != crate::procedure::plan::CheckKind::Gauge) {
        keys(&mut app, "y");
        if app.takes_text() {
            keys(&mut app, "25.010\n25.011\n25.012\n25.013\n");
        }
    }
    let before = app.record().unwrap().events.len();
    keys(&mut app, "ny\n\n");
    let shown = flat(&app);
    assert!(shown.contains("no hole is like that") && shown.contains("swapped"), "{shown}");
    keys(&mut app, "yy");
    let shown = flat(&app);
    assert!(shown.contains("no-go enters, but the largest measured is 25.013 mm"), "{shown}");
    assert_eq!(app.record().unwrap().events.len(), before, "nothing is kept by two more keys");
    keys(&mut app, "yn");
    let kept = |app: &App<'_>| app.record().unwrap().reading("ream-disc-1", "plug").unwrap().reading.clone();
    assert_eq!((kept(&app).verdict.word(), kept(&app).doubt), ("within", None));
    app.show("ream-disc-2".into());
    open_at(&mut app, "ream-disc-1");
    build_up_to(&mut app, "ream-disc-2");
    open_at(&mut app, "ream-disc-2");
    while app.open_check().is_some_and(|c| c.asks() != crate::procedure::plan::CheckKind::Gauge) {
        keys(&mut app, "y");
        if app.takes_text() {
            keys(&mut app, "25.010\n25.011\n25.012\n25.013\n");
        }
    }
    keys(&mut app, "nyny");
    let reading = app.record().unwrap().reading("ream-disc-2", "plug").unwrap().reading.clone();
    assert!(reading.verdict.open() && reading.doubt.is_some(), "{reading:?}");
}

#[test]
fn another_marking_than_the_wanted_one_is_outside_and_says_what_is_wanted() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-bearing-far");
    assert!(text(&app).contains("Wanted UC205"), "{}", text(&app));
    let bar = text(&app).lines().last().unwrap().to_owned();
    assert!(bar.contains("Enter take it") && bar.contains("Esc keys are commands"), "{bar}");
    assert!(!bar.contains("picture") && !bar.contains("? keys"), "a key that would be typed as text: {bar}");
    keys(&mut app, "UC206?q\ny");
    let shown = flat(&app);
    assert!(shown.contains("OUTSIDE: UC206?q, not what is wanted: UC205"), "{shown}");
    assert!(shown.contains("Another size or kind than the one drawn"), "{shown}");
    assert!(shown.contains("Esc d Have it decided"), "words go on being words: {shown}");
    key(&mut app, KeyCode::Esc);
    assert!(text(&app).contains("KEYS ARE COMMANDS, Esc or v: type words"), "{}", text(&app));
    keys(&mut app, "d");
    assert!(text(&app).contains("Decide on a reading"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "uc 205\n");
    assert!(flat(&app).contains("UC206?q was typed before"), "{}", text(&app));
    keys(&mut app, "y");
    assert!(app.message.contains("within, as wanted, UC205"), "{}", app.message);
}

#[test]
fn a_series_names_the_place_of_the_value_typed_and_of_those_before_it() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y");
    assert!(text(&app).contains("hole 1 (1 of 3) >") && text(&app).contains("each of 3"), "{}", text(&app));
    keys(&mut app, "8.05\n8.5\n");
    let shown = text(&app);
    assert!(shown.contains("hole 5 (3 of 3) >"), "{shown}");
    assert!(shown.contains("hole 1 8.05, hole 3 8.5 OUTSIDE"), "{shown}");
    keys(&mut app, "8\n");
    assert!(text(&app).contains("OUTSIDE: hole 3 (8.5): 0.3 mm above"), "{}", text(&app));
}

#[test]
fn an_instrument_past_its_date_or_faulty_is_told_before_the_value() {
    use crate::traveler::instruments::Instrument;
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    let old = Instrument {
        id: "BG-1".into(),
        kind: "bore gauge".into(),
        uncertainty: Some("0.002 mm".into()),
        range: None,
        resolution: None,
        due: Some("2001-01-31".into()),
        retired: false,
        faulty: None,
    };
    app.store.change_register(|r| r.add(old)).unwrap();
    open_at(&mut app, "inspect-collar-far");
    keys(&mut app, "y");
    assert!(text(&app).contains("no instrument named; t names it"), "{}", text(&app));
    keys(&mut app, "t\n");
    let shown = text(&app);
    assert!(shown.contains("BG-1 is past its calibration date 2001-01-31"), "{shown}");
    assert!(shown.contains("with BG-1, U 0.002 mm"), "{shown}");
    let faulty = crate::traveler::instruments::Faulty {
        since: None,
        reason: "jaw bent".into(),
        by: "mh".into(),
        at: "2026-01-01".into(),
    };
    app.register.instruments[0].faulty = Some(faulty);
    assert!(text(&app).contains("BG-1 was found faulty (jaw bent)"), "{}", text(&app));
}

#[test]
fn the_deflection_computed_from_the_span_stands_in_the_question_for_the_force() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "tension-belt-final");
    open_at(&mut app, "tension-belt-final");
    let nominal = app.open_check().unwrap().nominal.clone().unwrap();
    keys(&mut app, &format!("{nominal}\n"));
    let kept = app.record().unwrap().reading("tension-belt-final", "deflection").unwrap().reading.values[0].clone();
    let wanted = format!("Force at that deflection, three readings (deflection {kept} mm)");
    assert!(text(&app).contains(&wanted), "{wanted}: {}", text(&app));
}

#[test]
fn too_fast_stays_open_after_a_slower_run() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "spin-first");
    open_at(&mut app, "spin-first");
    keys(&mut app, "20\n27\n53\n80\n106\n");
    let most: f64 = app.open_check().unwrap().upper.clone().unwrap().parse().unwrap();
    keys(&mut app, &format!("{:.0}\n", most + 5.0));
    assert!(text(&app).contains("OUTSIDE"), "{}", text(&app));
    keys(&mut app, &format!("{:.0}\n", most - 5.0));
    assert_eq!(app.open_check().map(|c| c.id.as_str()), Some("speed"), "it waits for its decision");
    assert!(flat(&app).contains("stays open until it is decided"), "{}", text(&app));
    keys(&mut app, "d\n");
    key(&mut app, KeyCode::Down);
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\nrods and discs looked at\n\nmh\n");
    assert!(app.message.contains("use-as-is kept"), "{} {}", app.message, text(&app));
    assert_ne!(app.open_check().map(|c| c.id.as_str()), Some("speed"));
    assert!(!text(&app).contains("320"), "a run of another speed names its own limit: {}", text(&app));
}

#[test]
fn one_disc_does_not_sit_in_two_places_without_a_question() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let places: Vec<String> = {
        let steps = &app.record().unwrap().plan().steps;
        steps.iter().filter(|s| s.checks.iter().any(|c| c.id == "number")).map(|s| s.id.clone()).collect()
    };
    build_up_to(&mut app, &places[1]);
    open_at(&mut app, &places[1]);
    while app.open_check().is_some_and(|c| c.id != "number") {
        keys(&mut app, "y");
    }
    let first = app.record().unwrap().reading(&places[0], "number").unwrap().reading.values[0].clone();
    let before = app.record().unwrap().events.len();
    keys(&mut app, &format!("{first}\n\n"));
    assert!(flat(&app).contains("a part sits in one place"), "{}", text(&app));
    assert_eq!(app.record().unwrap().events.len(), before, "Enter answers no question");
    keys(&mut app, "n");
    let other = if first == "2" { "3" } else { "2" };
    keys(&mut app, &format!("{other}\n"));
    assert_eq!(app.record().unwrap().reading(&places[1], "number").unwrap().reading.values, [other]);
}

/// A correction is asked about as a first value is, and what is still kept with a doubt says so.
#[test]
fn a_correction_that_can_hardly_be_is_asked_about_before_it_counts() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\nc");
    assert!(text(&app).contains("Which: room"), "{}", text(&app));
    let events = app.record().unwrap().events.len();
    keys(&mut app, "\n2150\nread again\n");
    let asked = flat(&app);
    assert!(asked.contains("Is it so? 2150: 2150 °C can hardly be") && asked.contains("y: do it n: not"), "{asked}");
    keys(&mut app, "\nn");
    assert_eq!(app.record().unwrap().events.len(), events, "nothing counts before the answer");
    assert!(text(&app).contains("> Right value: 2150"), "{}", text(&app));
    (0..4).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "21.5\n\n");
    assert!(app.ask.is_none() && app.message.starts_with("Corrected, entry"), "{} {}", app.message, text(&app));
}

/// An instrument is named for what is read off it: a yes, a count and words are said without.
#[test]
fn the_instrument_stands_with_what_was_read_off_it_only() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.instrument = Some("CA-1".into());
    let checks = app.record().unwrap().plan().steps.iter().flat_map(|s| &s.checks);
    let with: Vec<(CheckKind, bool)> = checks.map(|c| (c.asks(), app.instrument_for(c).is_some())).collect();
    for kind in [CheckKind::Confirm, CheckKind::Count, CheckKind::Text, CheckKind::Wait] {
        assert!(with.iter().any(|w| w.0 == kind) && with.iter().all(|w| w.0 != kind || !w.1), "{kind:?}");
    }
    for kind in [CheckKind::Measure, CheckKind::Gauge, CheckKind::Torque] {
        assert!(with.iter().any(|w| w.0 == kind && w.1), "{kind:?}");
    }
    keys(&mut app, "y");
    let last = app.record().unwrap().events.last().unwrap();
    assert!(matches!(&last.body, crate::traveler::event::Body::Reading(r) if r.instrument.is_none()));
}

/// What lay beside the instrument was the part before: one fresh from the car is asked about again.
#[test]
fn another_part_is_asked_about_its_warmth_again() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    keys(&mut app, "y");
    assert!(app.soak_asked().is_none(), "{}", text(&app));
    let step = app.shown_step().unwrap().clone();
    enter(&mut app, &step.id, &step.checks[0], vec!["25.9".into(); step.checks[0].count.unwrap_or(1) as usize]);
    let scrap = crate::traveler::Disposition {
        kind: crate::traveler::DispositionKind::Scrap,
        reason: "bored out".into(),
        role: "design".into(),
    };
    app.session.as_mut().unwrap().dispose_of(&step.id, &step.checks[0].id, scrap, &step.parts[..1], "mh").unwrap();
    app.show("inspect-instruments".into());
    app.show(step.id.clone());
    read_on(&mut app);
    assert!(app.soak_asked().is_some(), "{}", text(&app));
}
