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
    assert!(text(&app).contains("> Rotor speed, at most 320 rpm"), "{}", text(&app));
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
