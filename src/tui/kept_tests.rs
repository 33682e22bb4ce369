//! What is kept and comes again: breaks, other builds, a disk that takes nothing, persons, files, the kit.

use super::tests::{Demo, app, build_up_to, flat, key, keys, open_at, read_on, text};
use super::*;
use crate::traveler::Start;
use crossterm::event::{Event, KeyCode};

#[test]
fn on_return_the_last_three_are_looked_at_one_by_one_and_half_done_joints_are_loud() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "tighten-rods-pass-2");
    keys(&mut app, "q");
    app.open_build("flywheel-1");
    for left in (1..=3).rev() {
        let shown = text(&app);
        assert!(shown.contains(&format!("{left} to go")), "{shown}");
        assert!(shown.contains("NOT FINAL  rod nuts: pass 1"), "{shown}");
        keys(&mut app, "yy25.04\n");
        assert!(text(&app).contains(&format!("{left} to go")), "neither a slip nor a caliper has looked");
        keys(&mut app, if left == 2 { "\n" } else { "w" });
    }
    assert!(app.look_again.is_empty());
    keys(&mut app, "mh");
    let page = text(&app);
    for part in ["NOT FINAL  rod nuts: pass 1", "Done last", "Next", "Tools out, to be counted", "Torque wrench"] {
        assert!(page.contains(part), "{part}: {page}");
    }
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.step, "tighten-rods-pass-2");
}

#[test]
fn leaving_a_step_says_what_stays_open_and_another_comes_up() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    key(&mut app, KeyCode::Tab);
    assert_ne!(app.step, "inspect-collar-far");
    assert!(
        app.message.contains("stays open, not answered: Bore of the collar; Width of the collar; and 1 more"),
        "{}",
        app.message
    );
}

#[test]
fn a_file_a_pause_and_a_reopened_record() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let log = home.path().join("log.txt");
    std::fs::write(&log, "42").unwrap();
    keys(&mut app, &format!("mf{}\nlog of the thermometer\n", log.display()));
    assert!(app.message.contains("File kept"), "{}", app.message);
    assert_eq!(app.record().unwrap().attachments()[0].bytes, 2);
    app.after_pause();
    assert!(app.by.is_none() && text(&app).contains("Who is at the bench"), "{}", text(&app));
    keys(&mut app, "jo\n");
    assert_eq!(app.by.as_deref(), Some("jo"));
    keys(&mut app, "ro");
    assert!(app.message.contains("Only a closed record"), "{}", app.message);
    key(&mut app, KeyCode::Esc);
    build_up_to(&mut app, "");
    keys(&mut app, "x");
    assert!(app.session.is_none() && app.message.contains("Code for the plate"), "{}", app.message);
    keys(&mut app, "omh\nwrong belt noted\n");
    keys(&mut app, "\u{8}\u{8}");
    assert!(app.session.is_some(), "{}", text(&app));
    assert_eq!(app.record().unwrap().build_state(), crate::traveler::BuildState::Reopened);
}

/// The file is gone when the entry is to be saved: what was typed stays on the screen with the reason, and no "Saved".
#[test]
fn what_the_disk_does_not_take_stays_on_the_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    keys(&mut app, "y21\n");
    app.show("inspect-disc-1".into());
    while !app.text_seen() {
        app.turn_page();
    }
    while app.open_check().is_some_and(|c| c.asks() != crate::procedure::plan::CheckKind::Series) {
        keys(&mut app, "y");
    }
    let file = home.path().join("builds/flywheel-1/traveler.yaml");
    let aside = file.with_extension("aside");
    std::fs::rename(&file, &aside).unwrap();
    keys(&mut app, "8,01\n8,02\n8,03\n");
    let shown = text(&app);
    for part in ["is gone", "is the last one kept", "8,03"] {
        assert!(shown.contains(part), "{part} is missing\n{shown}");
    }
    assert!(!shown.contains("Saved, entry 5"), "{shown}");
    assert_eq!((app.entry.given.len(), app.entry.input.as_str()), (2, "8,03"));
}

#[test]
fn what_is_typed_in_one_build_is_nothing_in_another() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y8.05\n8.0");
    let plan = app.record().unwrap().plan().clone();
    let start = Start {
        plan,
        spec_text: "x\n".into(),
        spec_name: "flywheel".into(),
        serial: "2".into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    drop(app.store.start(start).unwrap());
    keys(&mut app, "u");
    assert_eq!(app.entry.given, ["8.05"]);
    app.open_build("flywheel-2");
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y");
    assert!(text(&app).contains("hole 1 (1 of 3)"), "{}", text(&app));
    app.open_build("flywheel-1");
    while !app.look_again.is_empty() {
        keys(&mut app, "w");
    }
    open_at(&mut app, "inspect-disc-1");
    assert!(text(&app).contains("1 of 3 typed by ak"), "{}", text(&app));
}

#[test]
fn values_begun_before_a_break_are_offered_and_taken_up_by_a_yes_only() {
    let home = tempfile::tempdir().unwrap();
    let mut first = app(home.path(), (80, 24));
    keys(&mut first, "y21\n");
    open_at(&mut first, "inspect-disc-1");
    keys(&mut first, "y8.05\n8.04\n");
    drop(first);
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap();
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some("jo".into());
    app.open_build("flywheel-1");
    while !app.look_again.is_empty() {
        keys(&mut app, "w");
    }
    assert_eq!(app.step, "inspect-disc-1");
    open_at(&mut app, "inspect-disc-1");
    let shown = flat(&app);
    assert!(shown.contains("2 of 3 typed by ak") && shown.contains("hole 1 8.05, hole 3 8.04"), "{shown}");
    let events = app.record().unwrap().events.len();
    keys(&mut app, "\n8.03\n");
    assert!(app.entry.given.is_empty() && app.message.contains("Say first"), "{}", app.message);
    keys(&mut app, "y");
    assert!(app.message.contains("ak typed them and takes them up"), "{}", app.message);
    keys(&mut app, "i");
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "ak\ny");
    assert_eq!(app.record().unwrap().events.len(), events, "taken up is not recorded");
    keys(&mut app, "8.03\n");
    let record = app.record().unwrap();
    let kept = record.reading("inspect-disc-1", "thickness").unwrap().reading;
    assert_eq!(kept.values, ["8.05", "8.04", "8.03"]);
    assert!(app.left.is_empty() && !home.path().join("builds/flywheel-1/not-complete.yaml").exists());
    // A series that another begins to go on with waits for who began it.
    keys(&mut app, "24.6\ni");
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "jo\n");
    assert!(app.entry.given.is_empty() && flat(&app).contains("1 of 4 typed by ak"), "{}", text(&app));
    keys(&mut app, "n");
    // Left by looking elsewhere, the next series waits where it was; n drops it.
    keys(&mut app, "24.6\n24.61\n24.");
    key(&mut app, KeyCode::Right);
    key(&mut app, KeyCode::Left);
    assert!(flat(&app).contains("2 of 4 typed by jo"), "{}", text(&app));
    keys(&mut app, "y");
    assert_eq!((app.entry.given.len(), app.entry.input.as_str()), (2, "24."), "half a value stands in the field again");
    key(&mut app, KeyCode::Right);
    key(&mut app, KeyCode::Left);
    keys(&mut app, "n");
    assert_eq!(app.entry.input, "");
    read_on(&mut app);
    assert!(flat(&app).contains("numbered face x (1 of 4)"), "{}", text(&app));
    assert!(!home.path().join("builds/flywheel-1/not-complete.yaml").exists());
}

#[test]
fn initials_without_a_role_are_asked_about_once_and_enter_alone_keeps_nobody() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "i\u{8}");
    (0..4).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "zz\n");
    let shown = flat(&app);
    assert!(shown.contains("zz is not among the people of the spec (design: mh; fitter: ak, jo)"), "{shown}");
    keys(&mut app, "\n");
    assert!(app.by.as_deref() == Some("ak") && text(&app).contains("Type the initials again"), "{}", text(&app));
    keys(&mut app, "zz\n");
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n");
    assert!(app.by.as_deref() == Some("zz") && app.message.contains("role helper"), "{}", app.message);
    keys(&mut app, "i\n");
    assert!(app.ask.is_none(), "asked once");
    app.by = Some("yy".into());
    keys(&mut app, "q");
    app.open_build("flywheel-1");
    assert!(app.by.is_none() && flat(&app).contains("yy is not among the people"), "{}", text(&app));
}

/// The kit from the bench: a tick is kept at once, a number is typed, what is missing stays in its place until asked anew.
#[test]
fn a_kit_is_ticked_off_and_kept() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.leave_for_bench();
    app.chosen = 0;
    keys(&mut app, "k");
    assert_eq!(app.shown, app::Shown::Kit);
    let first = app.kit_lines()[0].clone();
    let missing = app.packing.as_ref().unwrap().stops();
    assert!(text(&app).contains("! MISSING   0 of 1") && text(&app).contains(&format!("{missing} required missing")));
    keys(&mut app, " ");
    assert!(app.message.starts_with("Saved: 1 of 1"), "{}", app.message);
    assert_eq!((app.kit_lines()[0], app.packing.as_ref().unwrap().stops()), (&first, missing - 1));
    assert_eq!(app.store.ticks("flywheel").unwrap().have(&first.id), 1);
    keys(&mut app, "/nut m8\n");
    assert!(app.kit_lines().iter().all(|l| l.id.contains("nut")), "{:?}", app.kit_lines());
    keys(&mut app, "nx\n");
    assert!(text(&app).contains("no number of pieces"));
    key(&mut app, KeyCode::Backspace);
    keys(&mut app, "7\n");
    assert!(text(&app).contains("TOO FEW   7 of 12"), "{}", text(&app));
    keys(&mut app, "/");
    for _ in 0.."nut m8".len() {
        key(&mut app, KeyCode::Backspace);
    }
    keys(&mut app, "\n");
    let all = app.kit_lines().len();
    keys(&mut app, "o");
    assert_eq!(app.kit_lines().len(), all - 1, "what is in hand is left out");
    assert!(app.kit_lines().iter().all(|l| l.id != first.id));
    for n in 0..50 {
        keys(&mut app, &format!("25.0{n:02}\n"));
    }
    assert!(app.message.contains("Not used"), "{}", app.message);
    let before = app.store.ticks("flywheel").unwrap();
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.shown, app::Shown::Bench);
    assert_eq!(app.store.ticks("flywheel").unwrap(), before);
    app.chosen = app.bench_rows().len() - 1;
    keys(&mut app, "k");
    assert!(app.message.contains("belongs to a module"), "{}", app.message);
}

#[test]
fn clicks_of_a_pass_are_kept_over_a_break_and_go_on_with_the_next_bolt() {
    let home = tempfile::tempdir().unwrap();
    let mut first = app(home.path(), (80, 24));
    build_up_to(&mut first, "tighten-rods-pass-1");
    open_at(&mut first, "tighten-rods-pass-1");
    let sequence = first.sequence();
    keys(&mut first, "  ");
    keys(&mut first, &format!("{} ", sequence[3]));
    drop(first);
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap();
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some("ak".into());
    app.open_build("flywheel-1");
    keys(&mut app, "www");
    open_at(&mut app, "tighten-rods-pass-1");
    let done: Vec<u32> = [0, 1, 3].map(|k| sequence[k]).into();
    let said = format!("3 of {} typed by ak", sequence.len());
    assert!(flat(&app).contains(&said), "{said}: {}", text(&app));
    keys(&mut app, "  u");
    assert!(app.entry.bolts_done().is_empty() && app.message.contains("Say first"), "{}", app.message);
    keys(&mut app, "y");
    assert_eq!((app.entry.bolts_done(), app.entry.next_bolt(&sequence)), (done, Some(sequence[2])));
}

#[test]
fn without_a_person_nothing_is_taken_and_nothing_typed_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21");
    app.by = None;
    keys(&mut app, "\n");
    assert!(text(&app).contains("Who is at the bench"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.entry.input, "21");
    keys(&mut app, "\nak\n\n");
    assert!(app.message.contains("Saved, entry 3"), "{}", app.message);
}

/// What the disk refused is told whole on the smallest screen, and a caliper that types does not take it away.
#[test]
fn an_entry_that_was_not_saved_is_told_in_three_parts_until_it_was_read() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.look_again.clear();
    let file = home.path().join("builds/flywheel-1/traveler.yaml");
    std::fs::rename(&file, file.with_extension("away")).unwrap();
    keys(&mut app, "y");
    let told = |app: &App<'_>| text(app).contains("NOT SAVED");
    for part in ["the file of the record is gone", "entry 1 is the last one kept", "put the folder or the disk back"] {
        assert!(told(&app) && text(&app).contains(part), "{part}: {}", text(&app));
    }
    keys(&mut app, "24,601\n");
    assert!(told(&app), "digits and Enter are no answer");
    key(&mut app, KeyCode::Esc);
    assert!(!told(&app));
}

/// Half an hour later somebody else may stand here: a key asks, and neither the size of the window nor what is open is lost.
#[test]
fn after_a_pause_a_person_is_asked_and_nothing_that_was_open_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let long = PAUSE + Duration::from_secs(1);
    keys(&mut app, "abolts are in the car");
    assert!(app.ask.is_some());
    app.update_after(&Event::Resize(100, 30), long);
    assert_eq!((app.size, app.by.as_deref()), ((100, 30), Some("ak")));
    app.update_after(&Event::FocusGained, long);
    assert_eq!(app.by.as_deref(), Some("ak"), "a window that comes to the front is nobody");
    app.update_after(&Event::Key(KeyCode::Char('x').into()), long);
    assert!(app.by.is_none() && text(&app).contains("Who is at the bench"), "{}", text(&app));
    keys(&mut app, "jo\n");
    assert_eq!(app.by.as_deref(), Some("jo"));
    assert!(text(&app).contains("bolts are in the car"), "{}", text(&app));
    keys(&mut app, "\n");
    let note = app.record().unwrap().events.last().unwrap().clone();
    assert_eq!(note.header.by, "jo");
    assert!(matches!(&note.body, crate::traveler::event::Body::Note(n) if n.text == "bolts are in the car"));
    // At the bench nobody is asked, and the key does what it is for.
    keys(&mut app, "q");
    app.update_after(&Event::Key(KeyCode::Char('?').into()), long);
    assert!(app.help);
}

#[test]
fn a_mouse_that_only_moves_is_nobody_and_nothing() {
    use crossterm::event::{KeyModifiers, MouseButton, MouseEvent, MouseEventKind};
    let mouse = |kind| Event::Mouse(MouseEvent { kind, column: 3, row: 3, modifiers: KeyModifiers::NONE });
    assert!(flow::is_nothing(&mouse(MouseEventKind::Moved)) && !flow::is_somebody(&mouse(MouseEventKind::Moved)));
    let click = mouse(MouseEventKind::Down(MouseButton::Left));
    assert!(flow::is_somebody(&click) && !flow::is_nothing(&click));
    assert!(!flow::is_nothing(&mouse(MouseEventKind::ScrollDown)));
}
