//! What the screens say in words, seen as they are drawn, with the keys that lead there.

use crossterm::event::KeyCode;

use super::app::Shown;
use super::tests::{app, app_of, build_up_to, enter, good, key, keys, text};

/// Screen text without line ends.
fn flat(app: &super::app::App<'_>) -> String {
    text(app).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn numbers_that_moved_are_typed_with_a_space_or_a_comma_and_kept_alike() {
    for typed in ["2 5\n", "2,5\n"] {
        let home = tempfile::tempdir().unwrap();
        let mut app = app(home.path(), (80, 24));
        build_up_to(&mut app, "tighten-rods-circular");
        (0..4).for_each(|_| key(&mut app, KeyCode::PageDown));
        assert!(text(&app).contains("a space between, like 2 5"), "{}", text(&app));
        keys(&mut app, typed);
        let kept = app.record().unwrap().reading("tighten-rods-circular", "moved").unwrap().reading.values.clone();
        assert_eq!(kept, ["moved=2,5"], "{typed}");
        keys(&mut app, "c\n1 4\nmisheard\n");
        let kept = app.record().unwrap().reading("tighten-rods-circular", "moved").unwrap().reading.values.clone();
        assert_eq!(kept, ["moved=1,4"], "put right as it is typed: {}", text(&app));
        keys(&mut app, "0\n");
        assert!(text(&app).contains("within"), "{}", text(&app));
    }
}

#[test]
fn a_changeover_to_the_setup_in_hand_says_there_is_nothing_to_do() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let events = app.record().unwrap().events.len();
    keys(&mut app, "mj\n\n\n");
    assert_eq!(app.shown, Shown::Change, "{}", text(&app));
    assert!(flat(&app).contains("Nothing to do for this: flywheel-1 stands in this setup already."), "{}", text(&app));
    assert!(!text(&app).contains("not begun"), "{}", text(&app));
    keys(&mut app, "y");
    assert!(flat(&app).contains("There is nothing to change, so it is not begun."), "{}", text(&app));
    assert_eq!(app.record().unwrap().events.len(), events);
}

#[test]
fn the_bench_names_a_joint_that_is_begun_and_not_final() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    build_up_to(&mut app, "tighten-pinch-collar-drive-snug");
    keys(&mut app, "q");
    assert!(!text(&app).contains("NOT FINAL"), "{}", text(&app));
    app.open_build("flywheel-1");
    app.look_again.clear();
    let step = app.record().unwrap().current_step().cloned().unwrap();
    for check in &step.checks {
        enter(&mut app, &step.id, check, good(check));
    }
    keys(&mut app, "q");
    app.look_at_builds();
    assert!(text(&app).contains("! NOT FINAL pinch bolts of collar-drive snug"), "{}", text(&app));
}

#[test]
fn hardware_of_the_kit_is_told_apart_by_its_joint() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    keys(&mut app, "q");
    app.chosen = 0;
    keys(&mut app, "k");
    assert_eq!(app.shown, Shown::Kit, "{}", text(&app));
    let lines: Vec<_> = app.kit_lines().into_iter().cloned().collect();
    let of_joints: Vec<_> = lines.iter().filter(|l| l.joint.is_some()).collect();
    assert!(of_joints.len() > 20);
    for line in &of_joints {
        let joint = format!("for the {}", line.joint.as_deref().unwrap());
        // Rods are told apart by their length, and named by what they are.
        let named = line.note.as_deref().is_some_and(|n| n.contains(&joint)) || line.name == "Rod";
        assert!(named, "{line:?}");
    }
    keys(&mut app, "/");
    keys(&mut app, "Spring washer\n");
    for joint in ["hold-downs", "sled", "bearing housings"] {
        assert!(text(&app).contains(&format!("Spring washer M10, for the {joint}")), "{}", text(&app));
    }
}

#[test]
fn an_end_of_the_shaft_beyond_the_picture_is_marked() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "fit-disc-1");
    keys(&mut app, "p");
    let shown = text(&app);
    assert!(
        shown.contains("to the drive end ►") && !shown.contains("◄ to the far end"),
        "the far end is seen: {shown}"
    );
    let mut app = app_of("countershaft", home.path(), (80, 24));
    build_up_to(&mut app, "fit-bearing-far");
    keys(&mut app, "p");
    let shown = text(&app);
    assert!(!shown.contains("◄ to the far end"), "all of the shaft is there: {shown}");
}

#[test]
fn the_hint_of_a_window_is_whole() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "q");
    app.chosen = 0;
    keys(&mut app, "\n");
    assert!(flat(&app).contains("Esc: leave without typing replaces what stands there"), "{}", text(&app));
}
