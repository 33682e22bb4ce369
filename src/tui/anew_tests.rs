//! Values typed anew: what stands, what is offered again, and what is not.

use super::tests::{app, build_up_to, enter, flat, good, key, keys, open_at, text};
use super::tight_tests::{at_the_pass, bar, reading};
use crate::procedure::plan::CheckKind;
use crate::traveler::{Disposition, DispositionKind, Entry};
use crossterm::event::KeyCode;

#[test]
fn what_was_refused_is_typed_anew_and_letters_are_commands_again() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, good, _) = at_the_pass(home.path());
    keys(&mut app, &format!(" {good}\n"));
    assert!(app.message.contains("begun with clicks") && app.entry.refused, "{}", app.message);
    assert!(bar(&app).contains("u undo"), "{}", bar(&app));
    keys(&mut app, "z");
    assert!(app.far && app.entry.input == good, "z is no letter of it");
    keys(&mut app, "z");
    key(&mut app, KeyCode::Backspace);
    assert_eq!(app.entry.input, good[..good.len() - 1], "Backspace edits it");
    keys(&mut app, "7\n");
    assert!(app.entry.refused);
    keys(&mut app, "9");
    assert_eq!(app.entry.input, "9", "a digit begins anew");
    keys(&mut app, "\nu");
    assert_eq!((app.entry.input.as_str(), app.entry.given.len()), ("", 1), "u drops what was refused");
    keys(&mut app, "9\n ");
    assert!(app.entry.given.len() == 1 && app.message.contains("9 was not taken"), "{}", app.message);
    keys(&mut app, " ");
    assert_eq!(app.entry.given.len(), 2, "Space takes the next bolt: {}", app.message);
}

#[test]
fn one_value_outside_is_typed_anew_and_the_others_stand() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y8.05\n8.5\n8.0\n");
    let outside = app.record().unwrap().events.len();
    let shown = text(&app);
    assert!(
        shown.contains("hole 3 (anew, 1 of 1) >") && shown.contains("hole 1 8.05, hole 3 ?, hole 5 8.0"),
        "{shown}"
    );
    assert!(bar(&app).contains("u all anew"), "{}", bar(&app));
    // Another person signs for no value of this one.
    app.by = Some("jo".into());
    assert!(text(&app).contains("hole 1 (1 of 3) >"), "{}", text(&app));
    app.by = Some("ak".into());
    keys(&mut app, "u");
    assert!(text(&app).contains("hole 1 (1 of 3) >"), "{}", text(&app));
    key(&mut app, KeyCode::Left);
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "8.1\n");
    let kept = reading(&app, "inspect-disc-1", "thickness");
    assert_eq!((kept.verdict.word(), kept.values.join(" ")), ("within", "8.05 8.1 8.0".to_owned()));
    assert_eq!(kept.typed.unwrap(), format!("anew: hole 3; the others stand as in entry {outside}"));
    keys(&mut app, "r\n");
    assert!(flat(&app).contains("anew: hole 3"), "{}", text(&app));
}

#[test]
fn values_typed_anew_outlast_a_look_elsewhere_and_fit_their_places() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y8.5\n8.05\n8.6\n8.1\n");
    assert!(text(&app).contains("hole 5 (anew, 2 of 2) >"), "{}", text(&app));
    key(&mut app, KeyCode::Left);
    open_at(&mut app, "inspect-disc-1");
    assert!(flat(&app).contains("1 of 2 typed by ak") && flat(&app).contains("hole 1 8.1"), "{}", text(&app));
    keys(&mut app, "y8.0\n");
    assert_eq!(reading(&app, "inspect-disc-1", "thickness").values, ["8.1", "8.05", "8.0"], "{}", text(&app));
}

#[test]
fn nothing_typed_for_a_part_is_offered_for_the_one_in_its_place() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-disc-3");
    open_at(&mut app, "inspect-disc-3");
    keys(&mut app, "y8.05\n8.0\n8.0\n");
    let series = app.open_check().unwrap().clone();
    assert_eq!(series.asks(), CheckKind::Series);
    keys(&mut app, "24.6\n24.61\n");
    assert_eq!(app.left.len(), 1);
    // The thickness turns out to be another one, and the disc goes back.
    let values = vec!["9.0".into(), "9.0".into(), "9.0".into()];
    let (step, check, by) = ("inspect-disc-3".to_owned(), "thickness".to_owned(), "ak".to_owned());
    let correct = Some("read the wrong scale".into());
    let session = app.session.as_mut().unwrap();
    session.enter(&Entry { step, check, values, by, correct, bare: true, ..Entry::default() }).unwrap();
    keys(&mut app, "d\n");
    (0..4).for_each(|_| key(&mut app, KeyCode::Down));
    keys(&mut app, "\ntoo thick\n\nmh\n");
    while app.ask.as_ref().is_some_and(|a| a.sure.is_none()) {
        keys(&mut app, "\n");
    }
    keys(&mut app, "y");
    assert!(app.left.is_empty() && !app.entry.begun(), "{:?} {}", app.left, text(&app));
    // With the first value it is asked once whether it is another part.
    keys(&mut app, "y8.05\ny8.0\n8.0\n");
    assert_eq!(app.open_check().map(|c| c.id.clone()), Some(series.id));
    assert!(!flat(&app).contains("take them up") && flat(&app).contains("(1 of"), "{}", text(&app));
}

#[test]
fn what_was_begun_before_a_decision_taken_elsewhere_is_not_offered_either() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "ream-disc-3");
    open_at(&mut app, "inspect-belt");
    key(&mut app, KeyCode::Left);
    open_at(&mut app, "ream-disc-3");
    let step = app.shown_step().unwrap().clone();
    let file = step.checks.iter().find(|c| c.id == "file").unwrap();
    enter(&mut app, &step.id, file, good(file));
    keys(&mut app, "y25.01\n25.0");
    let session = app.session.as_mut().unwrap();
    let bore = step.checks.iter().find(|c| c.id == "bore").unwrap();
    let many = vec!["25.3".to_owned(); bore.count.unwrap() as usize];
    let (id, by) = (step.id.clone(), "ak".to_owned());
    session.enter(&Entry { step: id, check: "bore".into(), values: many, by, bare: true, ..Entry::default() }).unwrap();
    let gone = Disposition { kind: DispositionKind::Scrap, reason: "too large".into(), role: "design".into() };
    session.dispose("ream-disc-3", "bore", gone, "mh").unwrap();
    assert!(app.record().unwrap().another_part_since("ream-disc-3", "bore", 5));
    key(&mut app, KeyCode::Left);
    open_at(&mut app, "ream-disc-3");
    assert!(app.entry.input.is_empty() && app.offered().is_none(), "{}", text(&app));
}

#[test]
fn a_slip_of_the_finger_is_named_and_an_earlier_reading_it_contradicts_too() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-collar-far");
    keys(&mut app, "y25.10\n");
    assert!(flat(&app).contains("two digits swapped, 25.01 would fit"), "{}", text(&app));
    keys(&mut app, "y25.01\n");
    let first = app.record().unwrap().events.len();
    assert!(reading(&app, "inspect-collar-far", "bore").verdict.open());
    keys(&mut app, "25.01\n\n");
    let said = format!("25.10 was entered before (entry {first}), 25.01 now, two digits swapped");
    assert!(flat(&app).contains(&said) && !flat(&app).contains("another part"), "{said}: {}", text(&app));
    keys(&mut app, "y");
    let kept = reading(&app, "inspect-collar-far", "bore");
    assert!(kept.verdict.word() == "within" && kept.doubt.unwrap().contains("likely mistyped"), "{}", text(&app));
}

#[test]
fn words_that_are_not_wanted_are_asked_about_and_kept_with_what_was_wanted() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "receive-rods");
    keys(&mut app, "4.6\n\n");
    assert!(
        flat(&app).contains("4.6 was typed, 8.8 is wanted. y: it is so, keep it. n: type it anew."),
        "{}",
        text(&app)
    );
    let before = app.record().unwrap().events.len();
    key(&mut app, KeyCode::Backspace);
    assert_eq!((app.entry.input.as_str(), app.record().unwrap().events.len()), ("4.", before), "Backspace edits");
    keys(&mut app, "6\ny");
    let kept = reading(&app, "receive-rods", "rod-class");
    assert!(kept.verdict.open() && kept.doubt.unwrap() == "4.6 was typed, 8.8 is wanted");
    keys(&mut app, "8,8\n");
    let said = format!("4.6 was typed before (entry {}), 8,8 now", before + 1);
    assert!(flat(&app).contains(&said), "{said}: {}", text(&app));
    keys(&mut app, "y");
    let kept = reading(&app, "receive-rods", "rod-class");
    assert!(kept.verdict.word() == "within" && kept.doubt.unwrap().contains("4.6 was typed before"));
    open_at(&mut app, "inspect-bearing-far");
    keys(&mut app, "UC205-16\n");
    assert!(flat(&app).contains("UC205-16 was typed, UC205 is wanted"), "{}", text(&app));
}

#[test]
fn esc_leads_out_of_words_and_back_and_the_mode_is_said() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-belt");
    keys(&mut app, "6 PJ");
    key(&mut app, KeyCode::Esc);
    assert!(text(&app).contains("KEYS ARE COMMANDS, Esc or v: type words > 6 PJ"), "{}", text(&app));
    assert!(bar(&app).contains("v type words"), "{}", bar(&app));
    keys(&mut app, "z");
    assert!(text(&app).contains("KEYS; Esc: words"), "{}", text(&app));
    keys(&mut app, "z");
    key(&mut app, KeyCode::Esc);
    keys(&mut app, " 1");
    assert_eq!(app.entry.input, "6 PJ 1", "Esc once more: words again");
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "l");
    key(&mut app, KeyCode::Esc);
    assert!(app.typing && text(&app).contains("Words > 6 PJ 1"), "back from another screen: {}", text(&app));
}

/// A value that cannot be one is refused at its place, not with the last of the series.
#[test]
fn a_value_of_a_series_that_cannot_be_one_is_refused_at_once() {
    let home = tempfile::tempdir().unwrap();
    let (app, _, _) = at_the_pass(home.path());
    let steps = app.record().unwrap().plan().steps.iter();
    let mut series = steps.flat_map(|s| &s.checks).filter(|c| c.asks() == CheckKind::Series).cloned();
    // As of an amplitude and its phase: a series without a unit takes two numbers in one.
    let mut check = series.next().unwrap();
    check.unit = None;
    let mut entry = super::entry::OpenEntry { input: "4..2".into(), ..Default::default() };
    assert!(matches!(entry.enter(&check, &[]), super::entry::Taken::Not(_)), "{entry:?}");
    assert!(entry.given.is_empty() && entry.input == "4..2");
    entry.clear_input();
    "4.2@35".chars().for_each(|c| entry.push(c));
    assert!(!matches!(entry.enter(&check, &[]), super::entry::Taken::Not(_)), "{entry:?}");
}

/// A list in another unit stops at its first bolt to show the value back, and says that the rest is not taken.
#[test]
fn a_list_of_bolts_that_stops_says_that_the_rest_of_it_is_not_taken() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, _, _) = at_the_pass(home.path());
    let order = app.sequence();
    let list = format!("{}=8 ft·lbf {}=8 ft·lbf", order[0], order[1]);
    app.update(&crossterm::event::Event::Paste(list));
    keys(&mut app, "\n");
    let said = &app.message;
    assert!(app.entry.given.is_empty() && said.contains("Nothing after it in the list is taken"), "{said}");
}
