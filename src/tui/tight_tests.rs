//! Bolts and values at the bench: what is too tight, listed, refused, typed anew; what is said of a step out of turn.

use super::looking::Look;
use super::tests::{app, build_up_to, enter, flat, good, key, keys, open_at, text};
use super::*;
use crate::procedure::plan::CheckKind;
use crate::traveler::event::{Body, Reading};
use crate::traveler::{EASED, Entry, LEFT_TIGHT, StepState, is_round};
use crossterm::event::{Event, KeyCode};

const PASS: &str = "tighten-rods-pass-1";

/// The guide at a pass over the rods, read to its end; a torque inside, and one that is too tight.
pub(super) fn at_the_pass(home: &std::path::Path) -> (App<'static>, String, String) {
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

pub(super) fn reading(app: &App<'_>, step: &str, check: &str) -> Reading {
    app.record().unwrap().reading(step, check).unwrap().reading.clone()
}

pub(super) fn bar(app: &App<'_>) -> String {
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
    assert!(!text(&app).contains("! NOT FINAL  rod nuts"), "{}", text(&app));
    key(&mut app, KeyCode::Tab);
    assert_ne!(app.step, PASS);
    assert_eq!(app.look(), Look::Other);
    let shown = text(&app);
    assert!(shown.lines().next().unwrap().contains("OTHER STEP"), "{shown}");
    let pages = screens::step::page_count(&app);
    for page in 0..pages {
        app.page = page;
        assert!(text(&app).contains("! NOT FINAL  rod nuts"), "page {page}: {}", text(&app));
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
    assert!(checks > 1, "{other} is done with one value");
    assert_eq!(in_work(&mut app), number(&app, &other));
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
    assert!(!app.listed().is_empty() && app.listed().iter().all(|s| s.id != held.id), "{}", text(&app));
    keys(&mut app, "o");
    app.line = app.listed().iter().position(|s| s.id == held.id).unwrap();
    keys(&mut app, "\n");
    let shown = flat(&app);
    assert!(!shown.contains("may be done now"), "{shown}");
    // Its part is given up, another one is measured: that is work.
    assert_eq!(app.look(), Look::Other);
    assert!(shown.contains("NOT THE STEP IN HAND; held until"), "{shown}");
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
    // Beside other work it stands that a joint is loose yet.
    let sled = app.record().unwrap().step("fit-sled").unwrap().clone();
    enter(&mut app, &sled.id, &sled.checks[0], good(&sled.checks[0]));
    open_at(&mut app, &sled.id);
    assert_eq!(app.open_check().unwrap().asks(), CheckKind::Confirm);
    keys(&mut app, "z");
    app.seen = 9;
    app.message.clear();
    assert!(text(&app).contains("! NOT FINAL"), "{}", text(&app));
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

/// Whatever takes a torque that was too tight away, its trace stays: by hand nobody can tell it from one that was eased.
#[test]
fn no_way_out_of_the_question_loses_what_was_read_too_tight() {
    for way in ["Backspace", "Esc", "u", "paste", "digit"] {
        let home = tempfile::tempdir().unwrap();
        let (mut app, _, high) = at_the_pass(home.path());
        keys(&mut app, &format!("{high}\n"));
        assert!(app.entry.doubt.is_some());
        let before = app.record().unwrap().events.len();
        match way {
            "Backspace" => key(&mut app, KeyCode::Backspace),
            "Esc" => key(&mut app, KeyCode::Esc),
            "paste" => app.update(&Event::Paste("24".into())),
            "digit" => keys(&mut app, "2"),
            _ => keys(&mut app, way),
        }
        assert!(app.entry.doubt.is_none(), "{way}: {:?}", app.entry);
        assert_eq!(app.record().unwrap().events.len(), before + 1, "{way}");
        let note = last_note(&app);
        assert!(note.starts_with("Said to be mistyped") && note.contains(&high), "{way}: {note}");
    }
}
