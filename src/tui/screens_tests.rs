//! What screens show and take, and what they do not: keys, calipers, pastes, the mouse, colours, lists.

use super::tests::{Demo, app, app_of, build_up_to, flat, key, keys, read_on, screen, text};
use super::*;
use crate::traveler::StepState;
use crossterm::event::{Event, KeyCode, KeyModifiers};

#[test]
fn fifty_caliper_values_change_nothing_but_an_open_entry() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    let events = app.record().unwrap().events.len();
    assert_eq!(app.record().unwrap().step_state("inspect-instruments"), StepState::Done);
    for shown in [app::Shown::Step, app::Shown::Steps, app::Shown::Record, app::Shown::Handover] {
        let step = app.step.clone();
        for n in 0..50 {
            app.shown = shown;
            keys(&mut app, &format!("25.0{n:02}"));
            assert!(app.message.contains("Not used"), "{}", app.message);
            // A caliper types Enter behind its digits; on a list that opens a line, and records nothing.
            keys(&mut app, "\n");
            assert_eq!(app.record().unwrap().events.len(), events, "{shown:?}");
        }
        assert_eq!(app.step, step);
    }
    assert_eq!(app.record().unwrap().events.len(), events);
}

#[test]
fn a_paste_fires_no_keys() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.update(&Event::Paste("yyyq\nq".into()));
    assert!(!app.quit && app.shown == app::Shown::Step);
    assert_eq!(app.record().unwrap().events.len(), 1);
    assert!(app.message.contains("not used"));
}

#[test]
fn control_codes_of_names_and_notes_never_reach_the_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    app.session.as_mut().unwrap().note("inspect-instruments", "a\u{1b}]0;x\u{7}b\u{9b}31m", "ak").unwrap();
    // The library that draws leaves such codes out without a trace; here they are seen for what they are.
    for (shown, seen) in [(app::Shown::Bench, "Flywheel ␛[2J"), (app::Shown::Record, "a␛]0;x␇b\u{fffd}31m")] {
        app.shown = shown;
        let shown = text(&app);
        assert!(shown.contains(seen) && !shown.chars().any(|c| c.is_control() && c != '\n'), "{shown:?}");
    }
}

#[test]
fn looking_at_another_step_enters_nothing() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    for _ in 0..40 {
        key(&mut app, KeyCode::Right);
    }
    assert!(text(&app).contains("LOOKING ONLY"));
    keys(&mut app, "yn 25.0\nu");
    assert_eq!(app.record().unwrap().events.len(), 1);
    keys(&mut app, "w");
    assert!(text(&app).contains("step 1 of"));
}

#[test]
fn without_colour_every_state_keeps_its_word() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "n");
    let coloured = text(&app);
    app.theme = Theme::plain();
    assert_eq!(text(&app), coloured);
    assert!(coloured.contains("OUTSIDE") && coloured.contains("zero ✗"), "{coloured}");
    let terminal = screen(&app);
    assert!(terminal.backend().buffer().content().iter().all(|c| c.fg == ratatui::style::Color::Reset));
}

#[test]
fn no_screen_names_a_step_by_its_id_in_why_now() {
    let home = tempfile::tempdir().unwrap();
    for name in crate::module::embedded_names() {
        let mut app = app_of(&name, home.path(), (120, 36));
        let steps = app.record().unwrap().plan().steps.clone();
        for step in steps.iter().filter(|s| !s.after.is_empty()) {
            app.show(step.id.clone());
            let mut shown = String::new();
            for page in 0..screens::step::page_count(&app) {
                app.page = page;
                shown += &flat(&app);
            }
            assert!(shown.contains("Why now") && shown.contains("After "), "{}: {shown}", step.id);
            for id in &step.after {
                assert!(!shown.contains(&format!("After {id}")), "{}: {id}\n{shown}", step.id);
            }
        }
    }
}

#[test]
fn the_list_of_steps_and_the_record_are_searched_and_a_number_goes_to_its_step() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    keys(&mut app, "l/pinch final\n");
    assert!(app.listed().len() > 1 && app.listed().iter().all(|s| s.title.contains("pinch")), "{}", text(&app));
    keys(&mut app, "/");
    (0..12).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "47\n");
    assert_eq!(app.listed()[app.line].number, 47);
    keys(&mut app, "/no such word\n");
    assert!(text(&app).contains("No step holds these words"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "r/temperature within\n");
    let shown = text(&app);
    let found = "✓ step 1: 21 °C within: Temperature at the bench";
    assert!(shown.contains(found) && !shown.contains("in date and at zero"), "{shown}");
}

fn click(app: &mut App<'_>, column: u16, row: u16) {
    use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
    let kind = MouseEventKind::Down(MouseButton::Left);
    app.update(&Event::Mouse(MouseEvent { kind, column, row, modifiers: KeyModifiers::NONE }));
}

#[test]
fn a_mouse_does_what_keys_do() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let bar = text(&app).lines().last().unwrap().to_owned();
    let at = |word: &str| u16::try_from(bar.chars().collect::<String>().find(word).unwrap()).unwrap();
    click(&mut app, at("yes"), 23);
    assert_eq!(app.record().unwrap().events.len(), 2, "{bar}");
    click(&mut app, 40, 3);
    click(&mut app, at("yes"), 10);
    assert_eq!(app.record().unwrap().events.len(), 2, "the picture and the words take no clicks");
    keys(&mut app, "l");
    click(&mut app, 10, 5);
    assert_eq!((app.line, app.shown), (4, app::Shown::Steps));
    click(&mut app, 10, 5);
    assert_eq!((app.step.as_str(), app.shown), (app.record().unwrap().plan().steps[4].id.as_str(), app::Shown::Step));
    keys(&mut app, "q");
    // The cursor stands on the build just left, where one click would open it.
    app.chosen = 0;
    let row = text(&app).lines().position(|l| l.contains("flywheel-1")).unwrap();
    click(&mut app, 10, u16::try_from(row).unwrap());
    assert_eq!(app.shown, app::Shown::Bench);
    click(&mut app, 10, u16::try_from(row).unwrap());
    assert_eq!(app.shown, app::Shown::Step);
}

#[test]
fn light_paper_has_no_pale_ink_and_plain_has_none() {
    use ratatui::style::Color;
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    let used = |app: &App<'_>| {
        let terminal = screen(app);
        terminal.backend().buffer().content().iter().map(|c| c.fg).collect::<std::collections::HashSet<_>>()
    };
    let (coloured, dark) = (text(&app), used(&app));
    assert!(dark.contains(&Color::Cyan), "{dark:?}");
    keys(&mut app, "g");
    let light = used(&app);
    assert!(
        ![Color::Yellow, Color::Cyan, Color::LightRed, Color::LightBlue].iter().any(|c| light.contains(c)),
        "{light:?}"
    );
    keys(&mut app, "g");
    assert_eq!(used(&app), [Color::Reset].into());
    assert_eq!(text(&app), coloured, "the words are the same whatever the colours");
    app.theme = Theme::plain();
    keys(&mut app, "g");
    assert_eq!(app.theme, Theme::plain(), "NO_COLOR is not argued with");
}

#[test]
fn a_wait_that_is_over_is_told_once_and_nothing_is_drawn_for_nothing() {
    use chrono::{Duration, Local};
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let wait = app.record().unwrap().plan().steps.iter().find(|s| s.operation == "wait").unwrap().id.clone();
    build_up_to(&mut app, &wait);
    app.show(wait);
    keys(&mut app, "k");
    let now = Local::now().fixed_offset();
    assert!(!app.due(now), "it runs");
    assert!(app.due(now + Duration::days(3)) && app.message.contains("DUE"), "{}", app.message);
    assert!(!app.due(now + Duration::days(3)), "told once");
    keys(&mut app, "q");
    assert!(text(&app).contains("! DUE"), "{}", text(&app));
}

#[test]
fn a_key_that_does_nothing_says_what_is_possible() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    for (typed, said) in [
        ("Z", "Z does nothing here. y or n answers"),
        ("u", "u does nothing here"),
        ("k", "k does nothing here"),
        ("v", "v does nothing here"),
        ("o", "while a reading is outside"),
        ("\n", "Enter does nothing here"),
        ("y21\nZ", "The step is done: Tab leads on"),
        ("\n", "Enter does nothing here. The step is done"),
        ("y", "y does nothing here. The step is done"),
    ] {
        keys(&mut app, typed);
        assert!(app.message.contains(said), "{typed:?}: {}", app.message);
        assert!(text(&app).contains(said.split(". ").next().unwrap()), "{}", text(&app));
    }
}

#[test]
fn behind_a_window_the_entry_and_its_keys_rest() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y2");
    assert!(text(&app).contains("2_"));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "a");
    let shown = text(&app);
    assert!(shown.contains("The entry waits for the window") && !shown.contains("Value > _"), "{shown}");
    assert_eq!(shown.lines().last().unwrap().trim(), "", "no key of the screen works now");
}

/// A long list is read beside the screen: what is known so far is shown, and the chosen build stays chosen.
#[test]
fn a_long_list_of_builds_never_holds_up_the_screen() {
    let home = tempfile::tempdir().unwrap();
    drop(app(home.path(), (120, 36)));
    for n in 0..70 {
        let folder = home.path().join(format!("builds/broken-{n:02}"));
        std::fs::create_dir(&folder).unwrap();
        std::fs::write(folder.join("traveler.yaml"), "x\n").unwrap();
    }
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap().forgetful();
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.size = (120, 36);
    assert!(app.listing_words().unwrap().contains("Looking at the builds"));
    assert!(text(&app).contains("Looking at the builds"), "{}", text(&app));
    key(&mut app, KeyCode::Char('?'));
    assert!(text(&app).contains("Esc closes this page"), "keys are taken meanwhile");
    key(&mut app, KeyCode::Char(' '));
    while app.listing_words().is_some() {
        app.list_came();
        std::thread::yield_now();
    }
    assert_eq!(app.builds.len(), 71);
    assert!(!text(&app).contains("Looking at the builds"));
}

#[test]
fn a_caliper_closes_no_page_of_keys_and_a_paste_goes_nowhere_behind_it() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y?");
    keys(&mut app, "21.5\n");
    assert!(app.help && app.message.starts_with("Not used"), "{}", text(&app));
    app.update(&Event::Paste("21.5".into()));
    assert!(app.help && app.entry.input.is_empty() && app.record().unwrap().events.len() == 2, "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    assert!(!app.help);
    // Nothing is taken on a screen that is too small to be read, in a window neither.
    keys(&mut app, "a");
    app.size = (79, 24);
    app.update(&Event::Paste("unseen".into()));
    app.size = (80, 24);
    assert_eq!(app.ask.as_ref().unwrap().answer(0), "");
}

/// A wait that was started once more, in a later round of work, ends once more: it is the end that is told, not the step.
#[test]
fn a_wait_started_again_is_told_again() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "wait-settle");
    app.told.insert(("flywheel-1".into(), "wait-settle".into(), "2026-01-05T10:00:00+01:00".into()));
    read_on(&mut app);
    keys(&mut app, "k");
    let over = chrono::Local::now().fixed_offset() + chrono::TimeDelta::days(9);
    assert!(!app.due(chrono::Local::now().fixed_offset()));
    assert!(app.due(over) && app.message.contains("DUE: the waiting time is over"), "{}", app.message);
    assert!(!app.due(over), "once");
}

#[test]
fn words_to_find_are_those_of_one_record_and_a_closed_one_is_gone_back_to() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "r/caliper\n");
    assert_eq!(app.filter, "caliper");
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "q");
    assert_eq!(app.filter, "");
    app.open_build("flywheel-1");
    app.look_again.clear();
    build_up_to(&mut app, "");
    keys(&mut app, "x");
    assert!(app.session.is_none() && app.shown == app::Shown::Record, "{}", text(&app));
    keys(&mut app, "tmh");
    assert_eq!(app.shown, app::Shown::Handover, "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.shown, app::Shown::Record);
    assert!(text(&app).contains("closed out"), "{}", text(&app));
}
