//! Bolts and values at the bench: what is too tight, listed, refused, typed anew; what is said of a step out of turn.

use crossterm::event::{Event, KeyCode};

use crate::procedure::plan::CheckKind;
use crate::traveler::event::{Body, Reading};
use crate::traveler::{Disposition, DispositionKind, EASED, Entry, LEFT_TIGHT, StepState, is_round};

use super::looking::Look;
use super::tests::{app, build_up_to, enter, flat, good, key, keys, open_at, text};
use super::*;

const PASS: &str = "tighten-rods-pass-1";

/// The guide at a pass over the rods, read to its end; a torque inside, and one that is too tight.
fn at_the_pass(home: &std::path::Path) -> (App<'static>, String, String) {
    let mut app = app(home, (80, 24));
    build_up_to(&mut app, PASS);
    open_at(&mut app, PASS);
    let upper: f64 = app.open_check().unwrap().upper.clone().unwrap().parse().unwrap();
    let good = app.open_check().unwrap().nominal.clone().unwrap();
    (app, good, format!("{:.1}", upper * 1.1))
}

fn last_note(app: &App<'_>) -> String {
    match &app.record().unwrap().events.last().unwrap().body {
        Body::Note(n) => n.text.clone(),
        other => panic!("{other:?}"),
    }
}

fn reading(app: &App<'_>, step: &str, check: &str) -> Reading {
    app.record().unwrap().reading(step, check).unwrap().reading.clone()
}

fn bar(app: &App<'_>) -> String {
    text(app).lines().last().unwrap().to_owned()
}

#[test]
fn a_bolt_read_too_tight_is_asked_about_at_once_and_the_answer_is_kept() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, good, high) = at_the_pass(home.path());
    let order = app.sequence();
    keys(&mut app, &format!("{good}\n{high}\n"));
    let second = order[1];
    assert!(flat(&app).contains(&format!("Too tight: bolt {second} at {high} N·m")), "{}", text(&app));
    let before = app.record().unwrap().events.len();
    keys(&mut app, "\n\n ");
    assert!(app.entry.doubt.is_some() && app.entry.given.len() == 1, "Enter and Space answer nothing");
    keys(&mut app, "y");
    assert_eq!(app.record().unwrap().events.len(), before + 1);
    assert!(last_note(&app).starts_with(EASED) && last_note(&app).contains(&format!("bolt {second}")));
    assert_eq!((app.entry.next_bolt(&app.sequence()), app.entry.input.as_str()), (Some(second), ""));
    keys(&mut app, &format!("{good}\n{high}\n"));
    // Mistyped: typed anew, and the first one leaves its trace.
    keys(&mut app, &format!("{good}\n"));
    assert_eq!((app.entry.given.len(), app.record().unwrap().events.len()), (3, before + 2));
    let note = last_note(&app);
    assert!(note.starts_with("Said to be mistyped") && note.contains(&high), "{note}");
    keys(&mut app, &format!("{high}\nn"));
    assert!(last_note(&app).starts_with(LEFT_TIGHT), "{}", last_note(&app));
    assert_eq!(app.entry.given.last().unwrap(), &format!("{}={high}", order[3]));
}

#[test]
fn a_bolt_that_was_left_too_tight_is_eased_before_it_alone_is_pulled_again() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, good, high) = at_the_pass(home.path());
    let order = app.sequence();
    keys(&mut app, &format!("{high}\nn"));
    keys(&mut app, &format!("{good}\n").repeat(order.len() - 1));
    let outside = app.record().unwrap().events.len();
    assert!(reading(&app, PASS, "torque").verdict.open(), "{}", text(&app));
    assert!(flat(&app).contains("Eased well below it since?"), "{}", text(&app));
    let events = app.record().unwrap().events.len();
    keys(&mut app, &format!(" {good}\n"));
    assert!(app.entry.given.is_empty() && app.message.contains("whether the bolt was eased"), "{}", app.message);
    keys(&mut app, "n");
    assert!(app.message.contains("Ease it first"), "{}", app.message);
    assert_eq!(app.record().unwrap().events.len(), events);
    keys(&mut app, "z");
    assert!(text(&app).contains("Eased first?") && text(&app).contains("EASE FIRST"), "{}", text(&app));
    keys(&mut app, "zy");
    assert_eq!(last_note(&app), format!("{EASED}: bolt {}.", order[0]));
    // The others stand; a click says no torque of this one.
    assert!(text(&app).contains(&format!("Bolt {} (anew, 1 of 1) >", order[0])), "{}", text(&app));
    keys(&mut app, " ");
    assert!(app.message.contains("type this one's too"), "{}", app.message);
    keys(&mut app, &format!("{good}\n"));
    let kept = reading(&app, PASS, "torque");
    assert_eq!((kept.verdict.word(), kept.values.len(), kept.doubt), ("within", order.len(), None));
    let typed = kept.typed.unwrap();
    assert_eq!(typed, format!("anew: bolt {}; the others stand as in entry {outside}", order[0]));
    let all = app.record().unwrap().readings(PASS, "torque");
    assert!(all.len() == 2 && all[0].reading.verdict.open(), "the one outside stays in the record");
}

#[test]
fn without_the_screen_a_bolt_not_eased_is_kept_with_that_doubt() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, good, high) = at_the_pass(home.path());
    let order = app.sequence();
    let check = app.open_check().unwrap().clone();
    let all = |first: &str| -> Vec<String> {
        let value = |n: &u32| format!("{n}={}", if *n == 1 { first } else { good.as_str() });
        order.iter().map(value).collect()
    };
    enter(&mut app, PASS, &check, all(&high));
    enter(&mut app, PASS, &check, all(&high));
    let doubt = reading(&app, PASS, "torque").doubt.unwrap();
    assert!(
        doubt.contains("bolt 1 was too tight before") && doubt.contains("no note says that it was eased"),
        "{doubt}"
    );
    app.session.as_mut().unwrap().note(PASS, "Bolt 1 eased by half a turn.", "ak").unwrap();
    enter(&mut app, PASS, &check, all(&good));
    assert_eq!(reading(&app, PASS, "torque").doubt, None);
}

#[test]
fn a_list_of_bolts_is_looked_at_before_any_of_it_is_taken() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, good, high) = at_the_pass(home.path());
    let order = app.sequence();
    let list = |bolts: &[u32]| bolts.iter().map(|n| format!("{n}={good}")).collect::<Vec<_>>().join(" ");
    keys(&mut app, &format!("{}\n", list(&[1, 2, 2, 4, 5])));
    let said = "Bolt 2 stands twice, bolt 6, 3 is missing";
    assert!(app.message.contains("Bolt 2 stands twice") && app.message.contains("3"), "{said}: {}", app.message);
    assert!(app.entry.given.is_empty(), "{:?}", app.entry.given);
    keys(&mut app, "9=1 1=1\n");
    assert!(app.message.contains("There is no bolt 9") && app.entry.given.is_empty(), "{}", app.message);
    app.update(&Event::Paste("1 2 2 4 5".into()));
    keys(&mut app, "\n");
    assert!(app.message.contains("a list names each bolt") && app.entry.given.is_empty(), "{}", app.message);
    // One that is too tight in the middle: asked about, what follows it is not taken.
    keys(&mut app, &format!("{}={good} {}={high} {}={good}\n", order[0], order[1], order[2]));
    assert!(flat(&app).contains("Nothing after it in the list is taken"), "{}", text(&app));
    assert_eq!(app.entry.bolts_done(), [order[0]]);
    keys(&mut app, &format!("{good}\n{}\n", list(&order[2..])));
    assert_eq!(reading(&app, PASS, "torque").verdict.word(), "within", "{}", text(&app));
}

#[test]
fn the_places_of_the_discs_are_a_list_in_which_each_stands_once() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "mark-discs");
    open_at(&mut app, "mark-discs");
    keys(&mut app, "1 2 2 4 5\n\n");
    assert!(
        flat(&app).contains("2 stands twice, 3 not named. y: it is so, keep it. n: type it anew."),
        "{}",
        text(&app)
    );
    keys(&mut app, "n");
    assert!(app.entry.input.is_empty() && app.open_check().is_some(), "asked again");
    keys(&mut app, "1 2 3 4 5\n");
    assert_eq!(reading(&app, "mark-discs", "places").doubt, None);
    // Without the screen nothing is refused, and the doubt is kept.
    let check = app.record().unwrap().step("mark-discs").unwrap().checks[0].clone();
    let values = vec!["1 2 2 4 5".to_owned()];
    let (step, by, correct) = ("mark-discs".into(), "ak".into(), Some("looked again".into()));
    let again = Entry { step, check: check.id, values, by, correct, ..Entry::default() };
    let kept = app.session.as_mut().unwrap().enter(&again).unwrap();
    assert!(kept.doubt.unwrap().contains("2 stands twice"));
}

#[test]
fn tab_leads_to_another_step_that_says_so_and_what_is_not_final_stays_in_sight() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, _, _) = at_the_pass(home.path());
    // The step itself is about its own joint.
    assert!(!text(&app).contains("! NOT FINAL  rods"), "{}", text(&app));
    key(&mut app, KeyCode::Tab);
    assert_ne!(app.step, PASS);
    assert_eq!(app.look(), Look::Other);
    let shown = text(&app);
    assert!(shown.lines().next().unwrap().contains("OTHER STEP"), "{shown}");
    let pages = screens::step::page_count(&app);
    for page in 0..pages {
        app.page = page;
        assert!(text(&app).contains("! NOT FINAL  rods"), "page {page}: {}", text(&app));
    }
    // The list marks the step in hand, as the head says; once something is entered here, this one.
    let in_work = |app: &mut App<'_>| {
        keys(app, "l");
        let shown = text(app);
        key(app, KeyCode::Esc);
        let marked: Vec<&str> = shown.lines().filter(|l| l.contains("<- in work")).collect();
        assert_eq!(marked.len(), 1, "{shown}");
        marked[0].trim_start_matches('>').split_whitespace().next().unwrap().parse::<u32>().unwrap()
    };
    let number = |app: &App<'_>, id: &str| app.record().unwrap().step(id).unwrap().number;
    assert_eq!(in_work(&mut app), number(&app, PASS));
    let (other, check) = (app.step.clone(), app.open_check().unwrap().clone());
    let checks = app.shown_step().unwrap().checks.len();
    enter(&mut app, &other, &check, good(&check));
    app.visiting = false;
    if checks > 1 {
        assert_eq!(in_work(&mut app), number(&app, &other));
    }
    keys(&mut app, "w");
    assert!(app.step == PASS && !text(&app).contains("OTHER STEP"), "{}", text(&app));
}

#[test]
fn a_step_that_is_held_is_not_said_to_be_open_now() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let held = app.record().unwrap().plan().steps.iter().find(|s| s.hold.is_some()).unwrap().clone();
    build_up_to(&mut app, &held.id);
    for check in held.checks.iter().filter(|c| c.asks() != CheckKind::Derived) {
        enter(&mut app, &held.id, check, good(check));
    }
    assert_eq!(app.record().unwrap().step_state(&held.id), StepState::Held);
    keys(&mut app, "l");
    app.line = app.listed().iter().position(|s| s.id == held.id).unwrap();
    let shown = flat(&app);
    assert!(
        shown.contains("It is held until the role design releases it") && !shown.contains("May be done now"),
        "{shown}"
    );
    keys(&mut app, "o");
    assert!(app.listed().iter().all(|s| s.id != held.id), "{}", text(&app));
    keys(&mut app, "o");
    app.line = app.listed().iter().position(|s| s.id == held.id).unwrap();
    keys(&mut app, "\n");
    let shown = flat(&app);
    assert!(!shown.contains("may be done now"), "{shown}");
    // Its part is given up, another one is measured: that is work.
    if app.look() == Look::Other {
        assert!(shown.contains("NOT THE STEP IN HAND; held until"), "{shown}");
    }
}

#[test]
fn a_pass_out_of_order_says_from_two_metres_what_to_ease_and_what_is_loose() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, _, _) = at_the_pass(home.path());
    let order = app.sequence();
    keys(&mut app, &format!(" {} z", order[2]));
    app.message.clear();
    let said = format!("! EASE: {}, LOOSE: {}", order[2], order[1]);
    assert!(text(&app).contains(&said), "{said}: {}", text(&app));
    keys(&mut app, "z");
    keys(&mut app, "uu");
    key(&mut app, KeyCode::Tab);
    keys(&mut app, "z");
    app.seen = 9;
    app.message.clear();
    let open = app.open_check().unwrap().clone();
    // Where a short question leaves words for it, the joint that is loose yet is named.
    if open.asks() == CheckKind::Confirm {
        assert!(text(&app).contains("! NOT FINAL: rods"), "{}", text(&app));
    }
}

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
fn space_is_offered_where_a_click_counts_only() {
    let home = tempfile::tempdir().unwrap();
    let (mut app, good, _) = at_the_pass(home.path());
    assert!(bar(&app).contains("Space clicked"), "{}", bar(&app));
    keys(&mut app, &format!("{good}\n"));
    assert!(!bar(&app).contains("clicked") && !text(&app).contains("or Space"), "{}", text(&app));
    keys(&mut app, "u ");
    assert!(bar(&app).contains("Space clicked") && text(&app).contains("Space at the click"), "{}", text(&app));
    keys(&mut app, "u");
    let round = app.record().unwrap().plan().steps.iter().find(|s| s.checks.iter().any(is_round)).unwrap().id.clone();
    build_up_to(&mut app, &round);
    open_at(&mut app, &round);
    assert!(app.open_check().is_some_and(is_round) && !bar(&app).contains("clicked"), "{}", bar(&app));
    app.page = screens::step::page_count(&app) - 1;
    keys(&mut app, " ");
    assert!(app.message.contains("Type the numbers of the nuts"), "{}", app.message);
    keys(&mut app, "1 2 2 4 5\n");
    assert!(app.message.contains("names a nut twice") && app.entry.refused, "{}", app.message);
    keys(&mut app, "2 5\n");
    assert_eq!(reading(&app, &round, &app.open_check().unwrap().id.clone()).values, ["moved=2,5"]);
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
