//! Every screen is reached by its keys, drawn at every size, and every key of its table does something there.

use crossterm::event::KeyCode;
use strum::VariantArray;

use super::app::Shown;
use super::keys::{self, On, Row};
use super::tests::{app, app_again, build_up_to, key, keys, read_on, screen, text};
use super::*;

/// Brings a guide that stands at a step to a screen, by the keys a person presses.
fn go(app: &mut App<'_>, shown: Shown) {
    match shown {
        Shown::Bench => keys(app, "q"),
        Shown::Step => {}
        Shown::Steps => keys(app, "l"),
        Shown::Record => keys(app, "r"),
        Shown::Handover => keys(app, "mh"),
        Shown::Kit => {
            keys(app, "q");
            (0..app.bench_rows().len()).for_each(|_| key(app, KeyCode::Up));
            keys(app, "k");
        }
        Shown::Change => {
            keys(app, "mj\n");
            key(app, KeyCode::Down);
            keys(app, "\n");
        }
        Shown::Trials => keys(app, "mt"),
    }
    assert_eq!(app.shown, shown, "{}", text(app));
}

#[test]
fn no_screen_panics_at_any_size() {
    let home = tempfile::tempdir().unwrap();
    build_up_to(&mut app(home.path(), (80, 24)), "inspect-pulley");
    for shown in Shown::VARIANTS {
        let mut app = app_again(home.path());
        go(&mut app, *shown);
        for size in [(0, 0), (1, 1), (79, 24), (80, 24), (110, 24), (120, 36), (200, 60)] {
            app.size = size;
            for (picture, far) in [(false, false), (true, false), (false, true)] {
                (app.picture, app.far) = (picture, far);
                let _ = screen(&app);
            }
        }
    }
}

/// A moment in the life of a build: the step in work, the screen, and what was pressed there already.
struct Moment {
    step: &'static str,
    shown: Shown,
    before: fn(&mut App<'_>),
}

const fn at(shown: Shown, step: &'static str, before: fn(&mut App<'_>)) -> Moment {
    Moment { step, shown, before }
}

/// Moments in which every key means something at least once, in the order of the work; the last is when all is done.
const MOMENTS: [Moment; 26] = [
    at(Shown::Step, "inspect-pulley", |_| {}),
    at(Shown::Step, "inspect-pulley", |app| key(app, KeyCode::Left)),
    at(Shown::Step, "inspect-pulley", |app| typed(app, "3\n")),
    at(Shown::Step, "inspect-pulley", read_on),
    at(Shown::Bench, "inspect-pulley", down),
    at(Shown::Bench, "inspect-pulley", |app| (0..9).for_each(|_| key(app, KeyCode::Up))),
    at(Shown::Steps, "inspect-pulley", down),
    at(Shown::Record, "inspect-pulley", |app| (0..40).for_each(|_| key(app, KeyCode::Up))),
    at(Shown::Handover, "inspect-pulley", down),
    at(Shown::Handover, "inspect-pulley", |_| {}),
    at(Shown::Kit, "inspect-pulley", down),
    at(Shown::Change, "inspect-pulley", down),
    at(Shown::Change, "inspect-pulley", |_| {}),
    at(Shown::Step, "tighten-rods-pass-2", |app| key(app, KeyCode::PageDown)),
    at(Shown::Step, "tighten-rods-pass-2", |app| typed(app, " ")),
    at(Shown::Step, "prove-slip", read_on),
    at(Shown::Step, "adjust-axial", |app| typed(app, "0.3")),
    at(Shown::Step, "fit-belt", read_on),
    at(Shown::Step, "wait-settle", read_on),
    at(Shown::Step, "wait-settle", |app| typed(app, "k")),
    at(Shown::Step, "secure-pinch-collar-drive", |app| {
        read_on(app);
        key(app, KeyCode::Esc);
    }),
    at(Shown::Step, "close-out-module", |app| typed(app, "0\ny")),
    at(Shown::Trials, "close-out-module", |app| run_looked_at(app, 0)),
    at(Shown::Trials, "close-out-module", |app| run_looked_at(app, 6)),
    at(Shown::Record, "", |_| {}),
    at(Shown::Record, "", closed),
];

fn closed(app: &mut App<'_>) {
    let mut session = app.session.take().unwrap();
    session.finish("ak").unwrap();
    drop(session);
    app.open_build("flywheel-1");
    assert_eq!(app.shown, Shown::Record, "{}", text(app));
}

fn typed(app: &mut App<'_>, typed: &str) {
    read_on(app);
    keys(app, typed);
}

/// A new run, its cautions read for some pages.
fn run_looked_at(app: &mut App<'_>, pages: usize) {
    keys(app, "n");
    assert!(text(app).contains("DANGER"), "{}", text(app));
    (0..pages).for_each(|_| key(app, KeyCode::PageDown));
}

fn down(app: &mut App<'_>) {
    (0..3).for_each(|_| key(app, KeyCode::Down));
}

/// What a key came to: nothing at all, words on what is possible instead, or what it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Came {
    Silent,
    Refused,
    Done,
}

fn press(app: &mut App<'_>, row: &Row) -> Came {
    // Words on what is possible instead are no doing.
    let look = |app: &mut App<'_>| {
        let said = std::mem::take(&mut app.message);
        let kept = app.record().map_or(0, |r| r.events.len());
        (said, (screen(app).backend().buffer().clone(), app.quit, kept))
    };
    let before = look(app).1;
    key(app, row.code);
    match look(app) {
        (_, now) if now != before => Came::Done,
        (said, _) if said.is_empty() => Came::Silent,
        _ => Came::Refused,
    }
}

fn restore(kept: &std::path::Path, home: &std::path::Path) {
    for entry in std::fs::read_dir(kept).unwrap() {
        let entry = entry.unwrap();
        let to = home.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            std::fs::create_dir_all(&to).unwrap();
            restore(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

#[test]
fn every_key_of_the_table_does_something_on_its_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut building = app(home.path(), (80, 24));
    // The keys of the list behind `m` are pressed in the tests of that list.
    let mut idle: Vec<(&Row, Came)> =
        keys::TABLE.iter().filter(|r| r.on != On::More).map(|r| (r, Came::Silent)).collect();
    for moment in MOMENTS {
        build_up_to(&mut building, moment.step);
        let there = || {
            let trial = tempfile::tempdir().unwrap();
            restore(home.path(), trial.path());
            let mut app = app_again(trial.path());
            go(&mut app, moment.shown);
            (moment.before)(&mut app);
            (app, trial)
        };
        let app = there().0;
        let field = app.shown == Shown::Step && app.open_check().is_some();
        let holds = |r: &Row| r.on == app.on() || r.on == On::All || r.on == On::Field && field;
        for (row, came) in idle.iter_mut().filter(|(r, _)| holds(r)) {
            let (mut app, _trial) = there();
            *came = press(&mut app, row);
        }
        idle.retain(|(_, came)| *came < Came::Done);
    }
    assert!(idle.is_empty(), "{idle:?}");
}
