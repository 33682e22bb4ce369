//! The screen of the speed trials: refused, read, typed, adopted.

use crossterm::event::KeyCode;

use super::app::{App, Shown};
use super::tests::{app, build_up_to, key, keys, text};

/// The screen's words without its line breaks.
fn flat(app: &App<'_>) -> String {
    text(app).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_run_is_refused_read_typed_and_adopted_on_the_smallest_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.look_again.clear();
    keys(&mut app, "mt");
    assert_eq!(app.shown, Shown::Trials);
    keys(&mut app, "n");
    assert!(flat(&app).contains("No run: the rotor is never spun without its guard"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.shown, Shown::Step);
    build_up_to(&mut app, "close-out-module");
    keys(&mut app, "mt");
    assert!(flat(&app).contains("Never above: 320 rpm"), "{}", text(&app));
    keys(&mut app, "n");
    assert!(text(&app).contains("DANGER") && text(&app).contains("They kill."), "{}", text(&app));
    keys(&mut app, "y");
    assert!(app.ask.is_none() && app.message.contains("Read to the end"), "{}", text(&app));
    let mut seen = text(&app);
    for _ in 0..5 {
        key(&mut app, KeyCode::PageDown);
        seen.push_str(&text(&app));
    }
    assert!(seen.contains("27, 53, 80, 106 rpm") && seen.contains("s expected from there"), "{seen}");
    keys(&mut app, "y");
    assert!(app.ask.is_some(), "{}", text(&app));
    assert!(text(&app).contains("> Speed of the rotor reached, at most 320 rpm"), "{}", text(&app));
    keys(&mut app, "\n");
    assert!(text(&app).contains("needs an answer"), "the speed is asked for: {}", text(&app));
    // Speed, driver, held, run-down, bearings, room, belt before and after, six words, witness, instruments, correction.
    keys(&mut app, "104\n60\n15\n48\n41;38\n20\n\n\nsoft\n\n\nquiet\nbaseline\nplanned\n");
    assert!(text(&app).contains("> Second person") && text(&app).contains("above"), "{}", text(&app));
    keys(&mut app, "jo\n\n\n\n");
    assert!(app.ask.is_none() && app.message.starts_with("Saved, entry"), "{} {}", app.message, text(&app));
    let kept = app.record().unwrap().trials()[0].0.clone();
    assert_eq!(
        (kept.number_of("speed"), kept.figure_of("rise"), kept.witness),
        (Some(104.0), Some(21.0), Some("jo".into()))
    );
    keys(&mut app, "aquiet enough\n\nmh\n");
    assert_eq!(app.record().unwrap().adopted().map(|a| a.said()), Some("5 discs, slow".to_owned()), "{}", text(&app));
    assert!(text(&app).lines().next().unwrap().contains("adopted: 5 discs, slow"), "{}", text(&app));
    let mut log = text(&app);
    app.size = (140, 40);
    log.push_str(&text(&app));
    for words in ["Setups side by side", "* 5 discs, slow", "0.148", "changed: baseline"] {
        assert!(log.contains(words), "{words} in {log}");
    }
    app.size = (80, 24);
    key(&mut app, KeyCode::Esc);
    assert!(text(&app).lines().next().unwrap().contains("adopted: 5 discs, slow"), "{}", text(&app));
    keys(&mut app, "mh");
    assert!(flat(&app).contains("Adopted: 5 discs, slow: quiet enough"), "{}", text(&app));
}

/// A run over the limit is decided on where it was typed: behind `m`, from the trials and from the step.
#[test]
fn a_run_over_its_limit_is_decided_on_from_the_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.look_again.clear();
    keys(&mut app, "md");
    assert_eq!(app.shown, Shown::Trials);
    assert!(app.ask.is_none() && text(&app).contains("No run over the limit waits"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    build_up_to(&mut app, "close-out-module");
    keys(&mut app, "mtn");
    (0..5).for_each(|_| key(&mut app, KeyCode::PageDown));
    keys(&mut app, "y330\n");
    let notes = text(&app);
    let events = app.record().unwrap().events.len();
    keys(&mut app, &"\n".repeat(17));
    let asked = flat(&app);
    assert!(
        asked.contains("Was it so?") && asked.contains("330 is OUTSIDE") && asked.contains("y: do it n: not"),
        "{notes} {asked}"
    );
    // Enter answers nothing, n leads back to the values: who typed it could not put it right.
    keys(&mut app, "\nn");
    assert_eq!(app.record().unwrap().events.len(), events);
    assert!(text(&app).contains("> Speed of the rotor reached, at most 320 rpm: 330"), "{}", text(&app));
    keys(&mut app, &"\n".repeat(18));
    keys(&mut app, "y");
    assert!(app.message.contains("m, then d has it decided on"), "{notes} {} {}", app.message, text(&app));
    keys(&mut app, "n");
    let shown = flat(&app);
    assert!(
        shown.contains("No run: run 1 went to 330 rpm, over 320 rpm; the design side decides first (m, then d)"),
        "{shown}"
    );
    assert!(!shown.contains("runtrue trial"), "a screen names its keys: {shown}");
    keys(&mut app, "md");
    let window = text(&app);
    assert!(window.contains("Decide on run 1") && window.contains("run 1 went to 330 rpm, over 320 rpm."), "{window}");
    key(&mut app, KeyCode::Down);
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n\n");
    assert!(text(&app).contains("This needs an answer"), "a reason is asked: {}", text(&app));
    keys(&mut app, "discs measured, none has grown\n\nak\n");
    assert!(flat(&app).contains("\"ak\" does not stand under the role"), "{}", text(&app));
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "mh\n");
    assert!(
        app.ask.is_none() && app.message.starts_with("use as is of run 1 kept, entry"),
        "{} {}",
        app.message,
        text(&app)
    );
    let record = app.record().unwrap();
    assert!(record.run_to_decide().is_none() && record.trial_barred().is_none());
    let mut log = flat(&app);
    for _ in 0..4 {
        key(&mut app, KeyCode::PageDown);
        log.push_str(&flat(&app));
    }
    assert!(log.contains("decided: use as is by mh (design): discs measured, none has grown"), "{log}");
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.shown, Shown::Step, "the list behind m did not bend the way back");
}
