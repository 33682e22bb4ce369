//! A part that leaves the module: the second look, what is asked again, and what is built in.

use crossterm::event::KeyCode;

use crate::procedure::plan::CheckKind;
use crate::traveler::rounds::Kind;
use crate::traveler::{DispositionKind, StepState};

use super::app::Shown;
use super::keys::Act;
use super::tests::{app, build_up_to, enter, flat, good, key, keys, open_at, read_on, text};

/// Decides on the reading outside at the step shown, up to the second look.
fn decide(app: &mut super::App<'_>, turns: usize) {
    keys(app, "d\n");
    (0..turns).for_each(|_| key(app, KeyCode::Down));
    keys(app, "\nbent\n\nmh\n");
    while app.ask.as_ref().is_some_and(|a| a.sure.is_none()) {
        keys(app, "\n");
    }
}

#[test]
fn a_scrapped_part_takes_its_readings_with_it_after_a_second_look() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-disc-3");
    let step = app.shown_step().unwrap().clone();
    for check in step.checks.iter().take_while(|c| c.id != "flatness") {
        enter(&mut app, &step.id, check, good(check));
    }
    let flatness = step.checks.iter().find(|c| c.id == "flatness").unwrap();
    enter(&mut app, &step.id, flatness, vec!["0.9".into()]);
    let before = app.record().unwrap().events.len();
    decide(&mut app, 3);
    assert!(flat(&app).contains("scrap disc-3: it leaves the module."), "{}", text(&app));
    keys(&mut app, "\n\n");
    assert_eq!(app.record().unwrap().events.len(), before, "Enter answers no second look");
    keys(&mut app, "n");
    assert_eq!(app.record().unwrap().events.len(), before);
    assert!(text(&app).contains("Nothing was decided"), "{}", text(&app));
    while app.ask.as_ref().is_some_and(|a| a.sure.is_none()) {
        keys(&mut app, "\n");
    }
    keys(&mut app, "y");
    let record = app.record().unwrap();
    assert_eq!(record.events.len(), before + 1, "{}", text(&app));
    assert!(app.message.contains("Another part: measure again"), "{}", app.message);
    assert_eq!(record.step_state("inspect-disc-3"), StepState::Held);
    assert!(flat(&app).contains("ANOTHER PART: measure again"), "{}", text(&app));
    assert_eq!(app.open_check().unwrap().id, step.checks[0].id, "the first value of the step is asked again");
    let old = record.readings(&step.id, &step.checks[0].id);
    assert!(old.len() == 1 && old[0].former && old[0].superseded, "the old one stays in the record");
    for check in &step.checks {
        assert_ne!(app.record().unwrap().step_state("inspect-disc-3"), StepState::Done, "before {}", check.id);
        enter(&mut app, &step.id, check, good(check));
    }
    assert_eq!(app.record().unwrap().step_state("inspect-disc-3"), StepState::Done);
    assert!(app.record().unwrap().lost().is_empty() && app.record().unwrap().judged_again().is_empty());
}

#[test]
fn what_was_done_on_the_part_in_other_steps_is_asked_again_too_and_a_decision_taken_back_restores_it() {
    use crate::traveler::Disposition;
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "ream-disc-3");
    let step = app.shown_step().unwrap().clone();
    let bore = step.checks.iter().find(|c| c.id == "bore").unwrap();
    let file = step.checks.iter().find(|c| c.id == "file").unwrap();
    enter(&mut app, &step.id, file, good(file));
    enter(&mut app, &step.id, bore, vec!["25.030".into(); bore.count.unwrap() as usize]);
    let give = |app: &mut super::App<'_>, kind| {
        let disposition = Disposition { kind, reason: "bore too large".into(), role: "design".into() };
        app.session.as_mut().unwrap().dispose("ream-disc-3", "bore", disposition, "mh").unwrap();
    };
    let states = |app: &super::App<'_>| {
        let record = app.record().unwrap();
        ["inspect-disc-3", "deburr-disc-3", "inspect-disc-2", "ream-disc-3"].map(|s| record.step_state(s))
    };
    give(&mut app, DispositionKind::Return);
    assert_eq!(states(&app), [StepState::ToDo, StepState::ToDo, StepState::Done, StepState::Held]);
    let because = app.record().unwrap().another_part("inspect-disc-3").unwrap().to_owned();
    assert_eq!(because, "disc-3: return at ream-disc-3, bore");
    assert!(app.record().unwrap().to_replace().is_empty(), "nothing rests on it yet");
    give(&mut app, DispositionKind::UseAsIs);
    let done = StepState::Done;
    assert_eq!(states(&app)[..3], [done, done, done], "decided otherwise: the readings are of the part in hand");
}

#[test]
fn a_part_that_is_built_in_comes_out_by_a_change_and_no_reading_answers_it() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "fit-disc-3");
    open_at(&mut app, "fit-disc-2");
    let seated = app.shown_step().unwrap().checks.iter().find(|c| c.kind == CheckKind::Confirm).unwrap().clone();
    let session = app.session.as_mut().unwrap();
    let mended = crate::traveler::Entry {
        step: "fit-disc-2".into(),
        check: seated.id.clone(),
        values: vec!["no".into()],
        by: "ak".into(),
        correct: Some("it rocks".into()),
        ..Default::default()
    };
    session.enter(&mended).unwrap();
    app.show_work();
    open_at(&mut app, "fit-disc-2");
    decide(&mut app, 3);
    keys(&mut app, "y");
    assert!(app.message.contains("disc-2 is built in. d: replace it now"), "{}", text(&app));
    assert!(flat(&app).contains("STOPPED: disc-2 was given up and is built in"), "{}", text(&app));
    enter(&mut app, "fit-disc-2", &seated, vec!["yes".into()]);
    let record = app.record().unwrap();
    assert_eq!(record.step_state("fit-disc-2"), StepState::Held, "a reading does not change the part");
    assert_eq!(record.to_replace().into_iter().collect::<Vec<_>>(), ["disc-2"]);
    assert!(app.session.as_mut().unwrap().finish("mh").is_err());
    keys(&mut app, "d\n");
    assert_eq!(app.shown, Shown::Change, "{}", text(&app));
    assert!(text(&app).contains("service"), "{}", text(&app));
    keys(&mut app, "y\nscrapped\n");
    let record = app.record().unwrap();
    assert_eq!(record.changed().map(|c| c.kind), Some(Kind::Service), "{}", text(&app));
    assert!(record.to_replace().is_empty() && record.step("inspect-disc-2").is_some());
    // It rocks where it was pushed on, so it comes off before another one goes on.
    let numbers = ["remove-disc-2", "fit-disc-2"].map(|id| record.step(id).map(|s| s.number));
    assert!(numbers[0].is_some() && numbers[0] < numbers[1], "{numbers:?}");
    assert_eq!(record.step_state("inspect-disc-2"), StepState::ToDo);
}

#[test]
fn any_change_takes_out_what_was_given_up_while_built_in() {
    use crate::traveler::{Disposition, Entry, Goal, prospect};
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "fit-disc-3");
    let session = app.session.as_mut().unwrap();
    let values = vec!["no".into()];
    let correct = Some("it rocks".into());
    let (step, check, by) = ("fit-disc-2".into(), "seated".into(), "ak".into());
    session.enter(&Entry { step, check, values, by, correct, ..Entry::default() }).unwrap();
    let disposition = Disposition { kind: DispositionKind::Scrap, reason: "bent".into(), role: "design".into() };
    session.dispose("fit-disc-2", "seated", disposition, "mh").unwrap();
    let goal = Goal { set: [("pulley".to_owned(), "fast".to_owned())].into(), ..Goal::default() };
    let words = crate::procedure::Words::built_in().unwrap();
    let found = prospect(app.record().unwrap(), &goal, words).unwrap();
    let ids: Vec<&str> = found.way.plan.steps.iter().map(|s| s.id.as_str()).collect();
    assert!(ids.contains(&"inspect-disc-2") && !ids.contains(&"inspect-disc-1"), "{ids:?}");
    assert!(ids.contains(&"remove-disc-2") && !ids.contains(&"remove-disc-1"), "{ids:?}");
}

#[test]
fn every_key_of_the_bar_does_something_now() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (140, 40));
    let mut seen = 0;
    while let Some(step) = app.record().unwrap().current_step().filter(|s| s.number < 63).cloned() {
        app.show_work();
        for look in ["", "held"] {
            let keys: Vec<_> = super::screens::placed(&app, 140).iter().map(|p| (p.row.act, p.row.code)).collect();
            // What writes to the record or leaves is pressed elsewhere; here it is asked whether it would do nothing.
            let writes = |act: &Act| {
                matches!(act, Act::Yes | Act::No | Act::Click | Act::Take | Act::Back | Act::Clock | Act::Help)
            };
            for (act, code) in keys.into_iter().filter(|(act, _)| !writes(act)) {
                let (shown, at) = (app.shown, app.step.clone());
                app.message.clear();
                let before = text(&app);
                key(&mut app, code);
                assert_ne!(text(&app), before, "{act:?} at {}{look} came to nothing", step.id);
                let nothing = app.message.contains("does nothing") || app.message.contains("Nothing here");
                assert!(!nothing, "{act:?} at {}{look}: {}", step.id, app.message);
                seen += 1;
                while app.ask.is_some() || app.help {
                    key(&mut app, KeyCode::Esc);
                }
                app.shown = shown;
                app.picture = false;
                app.far = false;
                app.step = at;
                app.visiting = false;
                app.typing = true;
            }
            if look.is_empty() {
                for check in step.checks.iter().filter(|c| c.asks() != CheckKind::Derived) {
                    enter(&mut app, &step.id, check, good(check));
                }
            }
        }
        super::tests::let_go(&mut app, &step);
    }
    assert!(seen > 200, "{seen}");
}

#[test]
fn a_value_shown_back_and_not_taken_stays_to_be_edited() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y");
    keys(&mut app, "70 °F\n");
    assert!(app.entry.shown_back.is_some(), "{}", text(&app));
    keys(&mut app, "n");
    assert_eq!(app.entry.input, "70 °F", "n drops nothing");
    assert!(app.message.contains("What was typed stays"), "{}", app.message);
    key(&mut app, KeyCode::Backspace);
    keys(&mut app, "F\nq");
    assert_eq!(app.entry.input, "70 °F", "a letter drops nothing either: {}", text(&app));
    keys(&mut app, "y");
    assert!(app.message.contains("within"), "{}", text(&app));
}

#[test]
fn what_is_typed_outlasts_the_keys_that_lead_away() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-belt");
    keys(&mut app, "PJ 6");
    key(&mut app, KeyCode::Left);
    assert_ne!(app.step, "inspect-belt");
    open_at(&mut app, "inspect-belt");
    assert_eq!(app.entry.input, "PJ 6");
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "q");
    app.open_build("flywheel-1");
    app.look_again.clear();
    open_at(&mut app, "inspect-belt");
    assert_eq!(app.entry.input, "PJ 6", "{}", text(&app));
    assert!(text(&app).contains("words: type, Enter; Esc for keys"), "{}", text(&app));
}

#[test]
fn a_stray_value_is_shown_whole_with_what_to_do() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "25.01\n");
    assert!(
        app.message.starts_with("Not used: 25.01. A yes or no is asked, no value. y or n answers"),
        "{}",
        app.message
    );
}

#[test]
fn another_bolt_is_offered_only_where_there_is_a_choice() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "tighten-pinch-collar-drive-snug");
    read_on(&mut app);
    assert!(text(&app).contains("or Space at the click") && !text(&app).contains("names bolt"), "{}", text(&app));
    build_up_to(&mut app, "tighten-rods-snug");
    read_on(&mut app);
    assert!(text(&app).contains("Space\" names bolt"), "{}", text(&app));
    keys(&mut app, " 2 ");
    assert!(flat(&app).contains("Bolt 2 is tight before"), "{}", text(&app));
    keys(&mut app, "3 ");
    assert!(flat(&app).contains("Bolt 2 is tight before"), "it stays in sight: {}", text(&app));
    (0..2).for_each(|_| keys(&mut app, " "));
    keys(&mut app, "yyy");
    while app.entry.begun() {
        keys(&mut app, " y");
    }
    assert_eq!(app.record().unwrap().order_not_kept().len(), 1, "{}", text(&app));
    build_up_to(&mut app, "tighten-rods-pass-1");
    read_on(&mut app);
    assert!(text(&app).contains("! ORDER  step"), "{}", text(&app));
    let step = app.shown_step().unwrap().clone();
    let values = step.sequence.as_ref().unwrap().iter().map(|n| format!("{n}={}", if *n == 2 { "7.5" } else { "5.0" }));
    enter(&mut app, &step.id, &step.checks[0], values.collect());
    let shown = text(&app);
    assert!(shown.contains("Eased well below it since?"), "{shown}");
    keys(&mut app, "y");
    let shown = text(&app);
    assert!(shown.contains("Bolt 2 (anew, 1 of 1) > _"), "{shown}");
}
