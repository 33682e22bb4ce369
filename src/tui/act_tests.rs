//! What the screens do beside entering values: two people, one person alone, a change begun, builds of other programs.

use crossterm::event::{Event, KeyCode};

use crate::traveler::event::Body;
use crate::traveler::rounds::Kind;
use crate::traveler::{Start, StepState, Store};

use super::app::Shown;
use super::tests::{Demo, app, build_up_to, key, keys, read_on, text};
use super::*;

#[test]
fn of_two_people_one_reads_back_and_is_kept_as_witness() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "mb");
    let shown = text(&app);
    assert!(shown.contains("READ ALOUD. ak acts and answers"), "{shown}");
    assert!(shown.contains("Ask: Every instrument in date and at zero? Wanted: yes."), "{shown}");
    keys(&mut app, "y");
    assert!(text(&app).contains("Read back"), "{}", text(&app));
    assert_eq!(app.record().unwrap().events.len(), 1, "nothing is saved before it was read back");
    keys(&mut app, "25\n25.01\n");
    assert_eq!(app.record().unwrap().events.len(), 1, "a caliper is no witness: {}", text(&app));
    assert!(text(&app).contains("begin with a letter") || text(&app).contains("cannot be initials"), "{}", text(&app));
    (0..8).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "ak\n");
    assert!(text(&app).contains("the reader is somebody else"), "{}", text(&app));
    assert_eq!(app.record().unwrap().events.len(), 1);
    key(&mut app, KeyCode::Esc);
    assert!(app.message.contains("nothing was saved"), "{}", app.message);
    keys(&mut app, "yjo\n");
    keys(&mut app, "21,5\n");
    let shown = text(&app);
    assert!(shown.contains("21,5 °C. Read it back") || shown.contains("21.5 °C. Read it back"), "{shown}");
    assert!(shown.lines().filter(|l| l.contains('█')).count() >= 5, "the value stands large above: {shown}");
    keys(&mut app, "jo\n");
    assert_eq!(app.record().unwrap().step_state("inspect-instruments"), StepState::Done);
    for event in &app.record().unwrap().events[1..] {
        let Body::Reading(reading) = &event.body else { panic!("not a reading") };
        assert_eq!((event.header.by.as_str(), reading.witness.as_deref()), ("ak", Some("jo")));
    }
    keys(&mut app, "mbr\n");
    let opened = text(&app);
    assert!(opened.contains("Read back by: jo"), "{opened}");
    let bytes = std::fs::read(home.path().join("builds/flywheel-1/traveler.yaml")).unwrap();
    assert!(String::from_utf8(bytes).unwrap().contains("\nwitness: jo\n"));
}

/// What is put right is read back as what was typed first: the caliper's 21,5 was 21,0.
#[test]
fn with_two_people_a_correction_is_read_back_too() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "mbyjo\n21,5\njo\n");
    key(&mut app, KeyCode::Left);
    keys(&mut app, "c\n21,0\nread wrong\n");
    assert!(text(&app).contains("Initials of the reader"), "{}", text(&app));
    let before = app.record().unwrap().events.len();
    keys(&mut app, "ak\n");
    assert!(text(&app).contains("the reader is somebody else"), "{}", text(&app));
    assert_eq!(app.record().unwrap().events.len(), before);
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "jo\n");
    let Body::Reading(reading) = &app.record().unwrap().events.last().unwrap().body else { panic!("{}", app.message) };
    assert_eq!((reading.values.as_slice(), reading.witness.as_deref()), (&["21.0".to_owned()][..], Some("jo")));
    // What was looked at again and is not so was read back for nothing.
    keys(&mut app, "c\n2150\nread wrong\njo\n");
    assert!(text(&app).contains("Is it so?"), "{}", text(&app));
    keys(&mut app, "n");
    (0..4).for_each(|_| key(&mut app, KeyCode::Backspace));
    let before = app.record().unwrap().events.len();
    keys(&mut app, "20,5\n\n\n");
    assert_eq!(app.record().unwrap().events.len(), before, "{}", text(&app));
    keys(&mut app, "jo\n");
    assert_eq!(app.record().unwrap().events.len(), before + 1, "{}", text(&app));
    // By one person it is not asked for.
    keys(&mut app, "mbc");
    assert!(text(&app).contains("Right value") && !text(&app).contains("Initials of the reader"), "{}", text(&app));
}

/// Starts a build that one person does alone.
fn lone(home: &std::path::Path, by: &str) -> App<'static> {
    let store = Store::locate(Some(home)).unwrap();
    let (plan, spec_text) = Demo.plan("flywheel", &BTreeMap::new()).unwrap();
    let alone = Some("nobody else before Monday".to_owned());
    let (serial, spec_name) = ("2".into(), "flywheel".into());
    drop(store.start(Start { plan, spec_text, spec_name, serial, by: by.into(), practice: false, alone }).unwrap());
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some(by.into());
    app.open_build("flywheel-2");
    app
}

/// Enters good values by one person up to a step, releasing holds on the way by the same hand.
fn alone_up_to(app: &mut App<'_>, id: &str, by: &str) {
    use crate::procedure::plan::CheckKind;
    use crate::traveler::{EndedEarly, Entry, Release};
    while let Some(step) = app.record().unwrap().current_step().filter(|s| s.id != id).cloned() {
        let session = app.session.as_mut().unwrap();
        for check in step.checks.iter().filter(|c| c.asks() != CheckKind::Derived) {
            let (step, values, by) = (step.id.clone(), super::tests::good(check), by.to_owned());
            let entry = Entry { step, check: check.id.clone(), values, by, bare: true, ..Entry::default() };
            session.enter(&entry).unwrap();
            if check.asks() == CheckKind::Wait {
                let end_early = Some(EndedEarly { role: "design".into(), reason: "test".into() });
                session.enter(&Entry { values: vec!["done".into()], end_early, ..entry }).unwrap();
            }
        }
        if session.record().step_state(&step.id) == StepState::Held {
            let role = step.hold.clone().unwrap();
            session.release(&Release { step: step.id, by: by.into(), role, ..Release::default() }).unwrap();
        }
    }
    app.show_work();
}

#[test]
fn one_person_alone_releases_holds_but_power_only_with_nobody_else_there() {
    use crate::traveler::instruments::Register;
    use crate::traveler::report;
    let home = tempfile::tempdir().unwrap();
    let mut app = lone(home.path(), "mh");
    alone_up_to(&mut app, "guard-guard", "mh");
    let step = app.shown_step().unwrap().clone();
    for check in &step.checks {
        super::tests::enter(&mut app, &step.id, check, super::tests::good(check));
    }
    let session = app.session.as_mut().unwrap();
    let release = crate::traveler::Release {
        step: step.id.clone(),
        by: "mh".into(),
        role: "design".into(),
        ..Default::default()
    };
    // The helper of these tests enters as ak: a second pair of hands, and the exception is over.
    let refused = session.release(&release).map_err(|e| e.to_string());
    assert!(refused.is_ok(), "mh read nothing here, ak did, so mh releases as usual: {refused:?}");
    drop(app);

    let home = tempfile::tempdir().unwrap();
    let mut app = lone(home.path(), "mh");
    alone_up_to(&mut app, "guard-guard", "mh");
    let session = app.session.as_mut().unwrap();
    for check in &step.checks {
        let values = super::tests::good(check);
        let entry = crate::traveler::Entry {
            step: step.id.clone(),
            check: check.id.clone(),
            values,
            by: "mh".into(),
            bare: true,
            ..Default::default()
        };
        session.enter(&entry).unwrap();
    }
    let refused = session.release(&release).unwrap_err().to_string();
    assert!(refused.contains("only while nobody else is present"), "{refused}");
    assert!(text(&app).contains("One-person build: mh may release it"), "{}", text(&app));
    keys(&mut app, "smh\n\n");
    assert!(text(&app).contains("Is anybody else present: yes"), "{}", text(&app));
    keys(&mut app, "\n");
    assert_eq!(app.record().unwrap().step_state("guard-guard"), StepState::Held, "Enter alone does not say so");
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n");
    assert_eq!(app.record().unwrap().step_state("guard-guard"), StepState::Done, "{}", text(&app));
    let record = app.record().unwrap();
    let (released, _) = record.release("guard-guard").unwrap();
    assert!(released.alone && released.nobody_else);
    let beside = report::Beside { register: &Register::default(), signatures: None };
    let printed = report::text(&report::review(record, &beside, &report::Filter::default()));
    let printed = printed.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in ["One-person build, declared at its start: nobody else before Monday", "nobody else present"] {
        assert!(printed.contains(part), "{part} is missing");
    }
    let blank = report::text(&report::blank(record.plan(), None, record.alone()));
    assert!(blank.split_whitespace().collect::<Vec<_>>().join(" ").contains("nobody else is present (yes / no)"));
}

#[test]
fn a_build_of_one_is_one_no_more_when_another_hand_reads() {
    let home = tempfile::tempdir().unwrap();
    let mut app = lone(home.path(), "mh");
    let first = app.shown_step().unwrap().clone();
    super::tests::enter(&mut app, &first.id, &first.checks[0], super::tests::good(&first.checks[0]));
    up_to_hold_by_hand(&mut app, "mh");
    let step = app.shown_step().unwrap().id.clone();
    let release = crate::traveler::Release { step, by: "mh".into(), role: "design".into(), ..Default::default() };
    let refused = app.session.as_mut().unwrap().release(&release).unwrap_err().to_string();
    assert!(refused.contains("no longer one person's build, ak took readings too"), "{refused}");
}

/// What must not wait for the last question: who may not release. Who took it down is asked only from afar, and nobody is proposed.
#[test]
fn the_release_window_refuses_at_once_and_asks_only_what_it_needs() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.look_again.clear();
    up_to_hold_by_hand(&mut app, "ak");
    let held = app.shown_step().unwrap().clone();
    keys(&mut app, "s");
    assert!(!text(&app).contains("Taken down by"), "{}", text(&app));
    keys(&mut app, "ak\n");
    assert_eq!(app.ask.as_ref().unwrap().at, 0, "before the channel is asked");
    assert!(app.ask.as_ref().unwrap().fault.contains("is released by the role"), "{}", text(&app));
    let named = format!("step {} ({}", held.number, held.title.split(' ').next().unwrap());
    let shown = text(&app);
    assert!(shown.contains(&named) && !shown.contains(&held.id), "by number and title, not by id: {shown}");
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "m h\n");
    assert!(text(&app).contains("cannot be initials"), "{}", text(&app));
    (0..3).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "mh\ntelephone\n");
    assert!(text(&app).contains("> Taken down by: _"), "nobody is proposed: {}", text(&app));
    keys(&mut app, "\n");
    assert!(text(&app).contains("This needs an answer"), "{}", text(&app));
    keys(&mut app, "jo\n");
    assert!(app.ask.is_none() && app.message.starts_with("Released, entry"), "{}", text(&app));
    let record = app.record().unwrap();
    let (released, _) = record.release(&held.id).unwrap();
    assert_eq!(released.remote.as_ref().map(|r| (r.channel.as_str(), r.taken_by.as_str())), Some(("telephone", "jo")));
    // It stays open until the same person releases it in person, there or looking back.
    app.show(held.id.clone());
    assert!(text(&app).contains("Released by mh from afar (telephone)"), "{}", text(&app));
    keys(&mut app, "s");
    assert!(text(&app).contains("Initials, by mh in person"), "{}", text(&app));
    keys(&mut app, "jo\n");
    assert!(app.ask.is_some(), "another one confirms nothing: {}", text(&app));
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "mh\n");
    let (released, _) = app.record().unwrap().release(&held.id).unwrap();
    assert!(app.ask.is_none() && released.remote.is_none(), "{}", text(&app));
    assert!(!text(&app).contains("from afar"), "{}", text(&app));
}

/// Enters what is left up to the first hold, which stays held.
fn up_to_hold_by_hand(app: &mut App<'_>, by: &str) {
    use crate::procedure::plan::CheckKind;
    use crate::traveler::{CheckState, Entry};
    loop {
        let step = app.record().unwrap().current_step().unwrap().clone();
        for check in step.checks.iter().filter(|c| c.asks() != CheckKind::Derived) {
            if app.record().unwrap().check_state(&step, check) == CheckState::Blank {
                let (values, by) = (super::tests::good(check), by.to_owned());
                let entry = Entry {
                    step: step.id.clone(),
                    check: check.id.clone(),
                    values,
                    by,
                    bare: true,
                    ..Entry::default()
                };
                app.session.as_mut().unwrap().enter(&entry).unwrap();
            }
        }
        if step.hold.is_some() {
            app.show(step.id);
            return;
        }
    }
}

#[test]
fn a_changeover_is_looked_at_and_begun_from_the_guide() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "");
    keys(&mut app, "mj\n");
    assert!(text(&app).contains("Change flywheel-1"), "{}", text(&app));
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n");
    let shown = text(&app);
    for part in ["changeover of flywheel-1", "discs 5, pulley slow to discs 1", "readings kept", "Undone", "y begin it"]
    {
        assert!(shown.contains(part), "{part} is missing\n{shown}");
    }
    let events = app.record().unwrap().events.len();
    key(&mut app, KeyCode::PageDown);
    key(&mut app, KeyCode::Esc);
    assert_eq!((app.shown, app.record().unwrap().events.len()), (Shown::Step, events), "looking changes nothing");
    keys(&mut app, "mj\n");
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\ny\n\n");
    assert!(text(&app).contains("This needs an answer"), "a reason is asked: {}", text(&app));
    keys(&mut app, "heavier grain\n");
    let record = app.record().unwrap();
    let changed = record.changed().unwrap();
    assert_eq!((changed.kind, changed.round, changed.reason.as_str()), (Kind::Changeover, 1, "heavier grain"));
    assert_eq!((changed.role.as_str(), app.shown), ("fitter", Shown::Step));
    assert_eq!(app.step, record.current_step().unwrap().id);
}

#[test]
fn a_part_is_replaced_from_the_bench_and_a_step_is_done_anew_from_the_guide() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    build_up_to(&mut app, "fit-disc-3");
    keys(&mut app, "q");
    app.choose_in_hand();
    keys(&mut app, "c");
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n");
    while !text(&app).contains("Part: disc-1") {
        key(&mut app, KeyCode::Down);
    }
    keys(&mut app, "\n");
    assert!(text(&app).contains("service of flywheel-1"), "{}", text(&app));
    keys(&mut app, "y\nbent\n");
    assert_eq!(app.record().unwrap().changed().map(|c| c.kind), Some(Kind::Service), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "mj");
    (0..3).for_each(|_| key(&mut app, KeyCode::Down));
    keys(&mut app, "\n");
    (0..4).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "999\n");
    assert!(text(&app).contains("There is no step 999"), "{}", text(&app));
}

#[test]
fn the_bench_shows_what_other_programs_began_and_keeps_its_cursor() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "q");
    app.choose_in_hand();
    assert!(app.message.contains("One build is in hand, flywheel-1"), "{}", app.message);
    let start = |serial: &str| {
        let (plan, spec_text) = Demo.plan("flywheel", &BTreeMap::new()).unwrap();
        let (serial, spec_name) = (serial.to_owned(), "flywheel".into());
        let start = Start { plan, spec_text, spec_name, serial, by: "ak".into(), practice: true, alone: None };
        drop(Store::locate(Some(home.path())).unwrap().start(start).unwrap());
    };
    start("0");
    assert!(!text(&app).contains("flywheel-0"));
    app.update(&Event::FocusGained);
    let shown = text(&app);
    assert!(shown.contains("flywheel-0") && shown.contains("> flywheel-1"), "{shown}");
    start("3");
    key(&mut app, KeyCode::Up);
    let shown = text(&app);
    assert!(shown.contains("flywheel-3") && shown.contains("> flywheel-0"), "{shown}");
    app.choose_in_hand();
    assert!(app.message.contains("3 builds are in hand"), "{}", app.message);
    assert!(text(&app).contains("> flywheel-3"), "the latest: {}", text(&app));
}

#[test]
fn a_step_left_with_a_reading_outside_is_not_locked_on_return() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "inspect-disc-1");
    app.show_work();
    read_on(&mut app);
    keys(&mut app, "y7,7\n8,0\n8,0\n");
    assert!(text(&app).contains("OUTSIDE") && app.page == 0, "{}", text(&app));
    app.show("inspect-disc-2".into());
    app.show("inspect-disc-1".into());
    assert!(!text(&app).contains("Read to the end first"), "{}", text(&app));
    keys(&mut app, "8,0\n");
    let kept = app.record().unwrap().reading("inspect-disc-1", "thickness").unwrap().reading;
    assert_eq!((kept.verdict.word(), kept.values.len()), ("within", 3), "only what was outside is typed anew");
}
