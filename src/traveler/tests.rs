use std::collections::BTreeMap;
use std::fs;

use crate::module::{Setup, embedded, read};
use crate::procedure::make_plan;

use super::event::Body;
use super::*;

fn started(home: &std::path::Path) -> (Store, Session) {
    let store = Store::locate(Some(home)).unwrap();
    let module = read(&embedded("flywheel").unwrap()).unwrap();
    let plan = make_plan(&module, &Setup::choose(&module, &BTreeMap::new()).unwrap()).unwrap();
    let start = Start {
        plan,
        spec_text: module.text,
        spec_name: "flywheel".into(),
        serial: "1".into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    let session = store.start(start).unwrap();
    (store, session)
}

fn entry(step: &str, check: &str, values: &[&str]) -> Entry {
    Entry {
        step: step.into(),
        check: check.into(),
        values: values.iter().map(|v| (*v).to_owned()).collect(),
        by: "ak".into(),
        ..Entry::default()
    }
}

fn file(store: &Store) -> std::path::PathBuf {
    store.folder("flywheel-1").join(FILE)
}

#[test]
fn only_one_program_writes_a_build() {
    let home = tempfile::tempdir().unwrap();
    let (store, session) = started(home.path());
    let error = store.resume("flywheel-1").unwrap_err().to_string();
    assert!(error.contains("another program"), "{error}");
    drop(session);
    assert!(store.resume("flywheel-1").is_ok(), "a lock left behind means nothing");
}

#[test]
fn a_tail_torn_at_any_byte_is_set_aside_and_nothing_acknowledged_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut session) = started(home.path());
    session.enter(&entry("inspect-instruments", "zero", &["yes"])).unwrap();
    let whole = fs::read(file(&store)).unwrap();
    session.enter(&entry("inspect-instruments", "room", &["21 °C"])).unwrap();
    drop(session);
    let longer = fs::read(file(&store)).unwrap();
    for end in (whole.len()..longer.len()).step_by(7) {
        fs::write(file(&store), &longer[..end]).unwrap();
        let _ = fs::remove_dir_all(store.folder("flywheel-1").join("set-aside"));
        let read_only = store.read("flywheel-1").unwrap();
        assert_eq!(read_only.integrity.torn_tail, end - whole.len());
        assert_eq!(fs::read(file(&store)).unwrap().len(), end, "reading writes nothing");
        let session = store.resume("flywheel-1").unwrap();
        let events = &session.record().events;
        let aside = usize::from(end > whole.len());
        assert_eq!(events.len(), 2 + aside, "cut at {end}");
        if aside == 1 {
            let Body::SetAside(note) = &events[2].body else { panic!("not told") };
            let kept = fs::read(store.folder("flywheel-1").join(&note.file)).unwrap();
            assert_eq!(kept, &longer[whole.len()..end]);
        }
        assert_eq!(
            session
                .record()
                .check_state(&step(&session, "inspect-instruments"), &check(&session, "inspect-instruments", "zero")),
            CheckState::Answered
        );
    }
}

fn step(session: &Session, id: &str) -> crate::procedure::plan::Step {
    session.record().step(id).unwrap().clone()
}

fn check(session: &Session, id: &str, check: &str) -> crate::procedure::plan::Check {
    step(session, id).checks.into_iter().find(|c| c.id == check).unwrap()
}

#[test]
fn a_file_changed_under_the_program_stops_it() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut session) = started(home.path());
    let mut bytes = fs::read(file(&store)).unwrap();
    bytes.extend(b"# typed in an editor\n");
    fs::write(file(&store), bytes).unwrap();
    let error = session.enter(&entry("inspect-instruments", "zero", &["yes"])).unwrap_err().to_string();
    assert!(error.contains("changed under this program") && error.contains("entry 1 is the last one kept"), "{error}");
}

#[test]
fn converted_line_ends_are_named_as_the_cause() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut session) = started(home.path());
    session.enter(&entry("inspect-instruments", "zero", &["yes"])).unwrap();
    drop(session);
    let text = fs::read_to_string(file(&store)).unwrap();
    // An editor saves everything after the first event with other line ends.
    let at = text.rfind("---\n").unwrap();
    let changed = format!(
        "{}{}",
        &text[..at],
        text[at..].replace('\n', "\r\n").replace("\r\nhash", "\nhash").trim_end().to_owned() + "\n"
    );
    fs::write(file(&store), changed).unwrap();
    let words = store.read("flywheel-1").unwrap().integrity.words();
    assert!(words.contains("altered at entry 2") && words.contains("line ends"), "{words}");
}

#[test]
fn stock_is_computed_from_the_measured_bore_and_follows_a_correction() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut session) = started(home.path());
    for (check, value) in [("zero", "yes"), ("room", "20 °C")] {
        session.enter(&entry("inspect-instruments", check, &[value])).unwrap();
    }
    session.enter(&entry("inspect-disc-1", "bore", &["24.60 mm", "24.59 mm", "24.61 mm", "24.60 mm"])).unwrap();
    let stock = |s: &Session| {
        s.record().reading("ream-disc-1", "stock").map(|k| (k.reading.values[0].clone(), k.reading.verdict)).unwrap()
    };
    // By hand: (25 - 24.59) / 2 = 0.205, within 0.15 to 0.25.
    assert_eq!(stock(&session), ("0.205".into(), Verdict::Within));
    let mut wrong = entry("inspect-disc-1", "bore", &["24.60 mm", "24.45 mm", "24.61 mm", "24.60 mm"]);
    wrong.correct = Some("misread".into());
    session.enter(&wrong).unwrap();
    assert_eq!(stock(&session), ("0.275".into(), Verdict::Outside));
    let refused = session.enter(&entry("ream-disc-1", "stock", &["0.2 mm"])).unwrap_err().to_string();
    assert!(refused.contains("ream-disc-1 comes after"), "{refused}");
}

#[test]
fn an_instrument_guards_the_limits_and_its_date_is_told() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut session) = started(home.path());
    let mut register = instruments::Register::default();
    let gauge = |id: &str, u: &str, due: &str| instruments::Instrument {
        id: id.into(),
        kind: "bore gauge".into(),
        range: None,
        resolution: None,
        uncertainty: Some(u.into()),
        due: Some(due.into()),
        retired: false,
        faulty: None,
    };
    register.add(gauge("fine", "0.002 mm", "2999-01-01")).unwrap();
    register.add(gauge("coarse", "0.03 mm", "2001-01-01")).unwrap();
    store
        .change_register(|r| {
            *r = register;
            Ok(())
        })
        .unwrap();
    for (check, value) in [("zero", "yes"), ("room", "20 °C")] {
        session.enter(&entry("inspect-instruments", check, &[value])).unwrap();
    }
    let with = |id: &str| Entry {
        instrument: Some(id.into()),
        ..entry("inspect-collar-far", "bore", &["25.010 mm", "25.012 mm"])
    };
    let coarse = session.enter(&with("coarse")).unwrap();
    assert_eq!(coarse.verdict, Verdict::Undecided);
    assert!(coarse.message.contains("past its calibration date"), "{}", coarse.message);
    let fine = session.enter(&with("fine")).unwrap();
    assert_eq!(fine.verdict, Verdict::Within);
    assert_eq!(session.record().readings("inspect-collar-far", "bore").len(), 2, "the first reading stays");
}

#[test]
fn what_is_no_hold_is_not_released_and_a_run_waits_for_its_guard() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut session) = started(home.path());
    let id = "inspect-instruments";
    let release = Release { step: id.into(), by: "mh".into(), role: "design".into(), ..Release::default() };
    let refused = session.release(&release).unwrap_err().to_string();
    assert!(refused.contains("no hold point"), "{refused}");
    let spin = session.enter(&entry("spin-first", "speed", &["100 rpm"])).unwrap_err().to_string();
    assert!(spin.contains("guard-guard"), "{spin}");
}
