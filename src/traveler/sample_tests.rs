//! A record with every kind of event that format 1 has, and nearly every field.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use super::event::Body;
use super::instruments::{Instrument, Register};
use super::rounds::Changed;
use super::rules_tests::{entry, small, start};
use super::*;
use crate::procedure::change::{Touched, Undone};
use crate::procedure::plan::{Check, CheckKind, FollowUp, Found, Left, Moment, SeriesRule};
use crate::standards::settling::Interval;
use proptest::prelude::*;

/// No register, no look at signatures.
const BARE: report::Beside<'static> =
    report::Beside { register: &Register { instruments: Vec::new() }, signatures: None };

pub(super) fn everything(home: &Path) -> Store {
    let store = Store::locate(Some(home)).unwrap();
    let mut s = store.start(Start { plan: super::trial_tests::running_plan(), ..small() }).unwrap();
    let gauge = Instrument {
        id: "BG-1".into(),
        kind: "bore gauge".into(),
        range: Some("18 to 35 mm".into()),
        resolution: Some("0.001 mm".into()),
        uncertainty: Some("0.005 mm".into()),
        due: Some("2001-01-31".into()),
        retired: false,
        faulty: None,
    };
    store.change_register(|r| r.add(gauge)).unwrap();
    let with =
        Entry { instrument: Some("BG-1".into()), ..entry("inspect-disc", "bore", &["24.60 mm", "0.9680 in"], "ak") };
    s.enter(&with).unwrap();
    s.enter(&entry("inspect-disc", "lot", &["no: 012 #x \u{1b}[2J"], "jo")).unwrap();
    s.enter(&entry("inspect-disc", "holes", &["5"], "ak")).unwrap();
    let accept = Disposition { kind: DispositionKind::UseAsIs, reason: "one is spare".into(), role: "design".into() };
    s.dispose("inspect-disc", "holes", accept, "mh").unwrap();
    let paper = Some(Paper { measured_by: "jo".into(), at: "yesterday, 14:30".into() });
    s.enter(&Entry { paper, ..entry("ream-disc", "plug", &["go=yes no-go=no"], "ak") }).unwrap();
    s.enter(&entry("tighten-rods-final", "torque", &["1=24 2=24.0 3=23"], "ak")).unwrap();
    let right = Some("bolt 3 misread".to_owned());
    s.enter(&Entry { correct: right, ..entry("tighten-rods-final", "torque", &["1=24 2=24.0 3=24"], "ak") }).unwrap();
    s.enter(&entry("tighten-rods-circular", "round", &["moved=2"], "ak")).unwrap();
    s.enter(&entry("tighten-rods-circular", "round", &["moved=0"], "ak")).unwrap();
    s.enter(&entry("prove-slip", "line", &["yes"], "ak")).unwrap();
    let release = |remote| Release {
        step: "prove-slip".into(),
        by: "mh".into(),
        role: "design".into(),
        remote,
        ..Release::default()
    };
    s.release(&release(Some(Remote { channel: "telephone".into(), taken_by: "jo".into() }))).unwrap();
    s.release(&release(None)).unwrap();
    s.note("prove-slip", "- a note\n--- over\n... lines", "ak").unwrap();
    let facts = BTreeMap::from([("serial".to_owned(), "L-42".to_owned()), ("index".to_owned(), "2".to_owned())]);
    s.note_part(PartNoted { part: "disc-1".into(), facts }, "ak").unwrap();
    for wait in [("wait-cure", "cure"), ("wait-settle", "settle")] {
        s.enter(&entry(wait.0, wait.1, &["started"], "ak")).unwrap();
    }
    let early = Some(EndedEarly { role: "design".into(), reason: "warm room".into() });
    s.enter(&Entry { end_early: early, ..entry("wait-cure", "cure", &["done"], "mh") }).unwrap();
    drop(s);
    let file = store.folder("small-1").join(FILE);
    fs::write(&file, [fs::read(&file).unwrap(), b"---\nevent: 2".to_vec()].concat()).unwrap();
    let mut s = store.resume("small-1").unwrap();
    s.enter(&entry("wait-settle", "settle", &["done"], "ak")).unwrap();
    s.enter(&entry("guard-drum", "closed", &["yes"], "ak")).unwrap();
    s.enter(&entry("spin-first", "room", &["68 °F"], "ak")).unwrap();
    super::trial_tests::every_field(&mut s);
    s.adopt("quiet", "mh", "design").unwrap();
    s.adopt("quiet, and nobody wants more", "mh", "design").unwrap();
    s.finish("ak").unwrap();
    s.reopen("mh", "bearing replaced").unwrap();
    s.finish("ak").unwrap();
    s.begin(changed(s.record()), "mh").unwrap();
    s.enter(&entry("inspect-disc", "holes", &["6"], "ak")).unwrap();
    s.note("inspect-disc", "counted again", "ak").unwrap();
    let picture = home.join("disc 1.jpg");
    fs::write(&picture, "not really a picture").unwrap();
    s.attach("inspect-disc", &picture, "the sixth hole", "ak").unwrap();
    s.note_hours("300 h", None, "ak").unwrap();
    s.note_hours("30 h", Some("slipped point"), "ak").unwrap();
    s.begin(visit(s.record()), "mh").unwrap();
    let found = ["23.2 N·m", "22.8 N·m", "24.0 N·m"];
    s.enter(&entry("recheck-rods-visit", "found", &found, "ak")).unwrap();
    s.enter(&entry("recheck-rods-visit", "left", &["clicked=3/3"], "ak")).unwrap();
    s.finish("ak").unwrap();
    s.note_hours("1.5 h", None, "ak").unwrap();
    store
}

/// A visit to the rods, left at 24 N·m in the first build.
fn visit(record: &Record) -> Changed {
    let mut plan = (*record.started().plan).clone();
    let mut step = plan.steps.swap_remove(2);
    step.id = "recheck-rods-visit".into();
    step.operation = "recheck".into();
    step.after.clear();
    let tightened = record.latest("tighten-rods-final", "torque").unwrap().0;
    let last = Left { value: "24".into(), event: tightened.event, at: tightened.at.to_owned() };
    let left = Check { id: "left".into(), nominal: Some("24".into()), ..step.checks[0].clone() };
    let found = Check {
        id: "found".into(),
        kind: CheckKind::Series,
        rule: Some(SeriesRule::Each),
        lower: Some("20".into()),
        upper: None,
        stays: true,
        found: Some(Found { moment: Moment::AsFound, last: Some(last.clone()) }),
        ..left.clone()
    };
    step.checks = vec![found, Check { found: Some(Found { moment: Moment::AsLeft, last: None }), ..left }];
    plan.steps = vec![step];
    plan.follow_up = vec![FollowUp {
        id: "rods".into(),
        joint: "rods".into(),
        name: "the rod nuts".into(),
        what: "Recheck the rod nuts".into(),
        parts: vec!["rods".into()],
        step: "recheck-rods-visit".into(),
        set_by: vec!["tighten-rods-final".into()],
        after: "spin-first".into(),
        times: vec![Interval { hours: Some(8), days: Some(5), months: None }],
        basis: "a test".into(),
    }];
    Changed {
        round: 2,
        kind: rounds::Kind::Visit,
        reason: "thirty hours are run".into(),
        plan: plan.into(),
        received: BTreeMap::new(),
        undone: Vec::new(),
        stale: Vec::new(),
        visit: Some(BTreeMap::from([("rods".to_owned(), Some(last))])),
        ..changed(record)
    }
}

/// One step to be done anew.
fn changed(record: &Record) -> Changed {
    let mut plan = record.plan().clone();
    plan.steps.truncate(1);
    Changed {
        round: 1,
        kind: rounds::Kind::Rework,
        reason: "holes counted wrong".into(),
        role: "design".into(),
        received: BTreeMap::from([("rods.friction".to_owned(), "0.10 to 0.16".to_owned())]),
        spec: record.spec().to_owned(),
        plan: plan.into(),
        undone: vec![Undone { step: "inspect-disc".into(), by: None, because: "wrong".into() }],
        stale: vec![Touched { step: "inspect-disc".into(), check: "holes".into(), because: "wrong".into() }],
        rejudged: Vec::new(),
        standing: record.plan().steps.iter().skip(1).map(|s| s.id.clone()).collect(),
        parts: record.fitted().into_iter().map(str::to_owned).collect(),
        stages: record.stages().into_iter().map(|(g, s)| (g.to_owned(), s.to_owned())).collect(),
        failed: BTreeSet::new(),
        visit: None,
    }
}

#[test]
fn every_kind_of_event_is_written_and_read_back() {
    let home = tempfile::tempdir().unwrap();
    let store = everything(home.path());
    let record = store.read("small-1").unwrap();
    assert!(record.integrity.whole() && record.events.len() > 20, "{:?}", record.integrity);
    let kinds: BTreeSet<&str> = record.events.iter().map(|e| e.body.what()).collect();
    let all = [
        "adopted",
        "attached",
        "changed",
        "closed-out",
        "disposition",
        "hours",
        "note",
        "part",
        "reading",
        "release",
        "reopened",
        "set-aside",
        "started",
        "trial",
        "visit",
    ];
    assert_eq!(
        kinds.into_iter().collect::<Vec<_>>(),
        all,
        "a new kind of event belongs into this record and a new sample"
    );
    assert!(!record.events.iter().any(|e| e.body == Body::Unknown));
    let page = report::markdown(&report::review(&record, &BARE, &report::Filter::default()));
    for words in [
        "use-as-is by mh (design): one is spare",
        "Steps of round 1",
        "rework: holes counted wrong",
        "Speed trials",
        "superseded: corrected in run 3",
        "5 %",
        "## Settling",
    ] {
        assert!(page.contains(words), "{words} is missing in {page}");
    }
    assert!(record.judged_again().is_empty(), "{:?}", record.judged_again());
    let session = store.resume("small-1").unwrap();
    assert_eq!(*session.record(), record, "opened again it is the same");
    if let Some(to) = std::env::var_os("RUNTRUE_SAMPLE") {
        fs::copy(store.folder("small-1").join(FILE), to).unwrap();
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, rng_seed: proptest::test_runner::RngSeed::Fixed(20_261_125), ..ProptestConfig::default() })]
    /// Any words go through the whole record: event, frame, chain, file, and back.
    #[test]
    fn any_words_go_through_the_record_and_come_back(texts in proptest::collection::vec(any::<String>(), 1..6)) {
        let first = FIRST.as_slice();
        let mut file = first.to_vec();
        let mut before = super::frame::cut(first).frames[0].hash.clone();
        for (event, text) in (2..).zip(&texts) {
            let header = super::event::Header { event, before, at: "2026-07-14T09:31:07.412+02:00".into(), by: "ak".into(), what: "note".into() };
            let noted = super::event::Noted { step: text.clone(), text: text.clone() };
            let body = super::event::write(&header, &Body::Note(noted)).unwrap();
            let (bytes, hash) = super::frame::build("", &body).unwrap();
            file.extend(bytes);
            before = hash;
        }
        let record = Record::read("small-1", &file).unwrap();
        prop_assert!(record.integrity.whole() && record.integrity.torn_tail == 0, "{:?}", record.integrity);
        let back: Vec<String> = record.events[1..].iter().map(|e| match &e.body {
            Body::Note(n) => { assert_eq!(n.step, n.text); n.text.clone() }
            other => panic!("{other:?}"),
        }).collect();
        prop_assert_eq!(back, texts);
    }
}

/// The first event of a small build, as on disk.
static FIRST: std::sync::LazyLock<Vec<u8>> = std::sync::LazyLock::new(|| {
    let home = tempfile::tempdir().unwrap();
    let (store, session) = start(home.path());
    drop(session);
    fs::read(store.folder("small-1").join(FILE)).unwrap()
});

#[test]
fn a_release_from_afar_is_confirmed_by_the_one_who_gave_it_and_by_nobody_else() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    s.enter(&entry("inspect-disc", "bore", &["24.60 mm", "24.59 mm"], "ak")).unwrap();
    for (step, check, value) in [
        ("inspect-disc", "lot", "x"),
        ("inspect-disc", "holes", "6"),
        ("ream-disc", "plug", "go=yes no-go=no"),
        ("tighten-rods-final", "torque", "clicked=3/3"),
        ("tighten-rods-circular", "round", "moved=0"),
        ("prove-slip", "line", "yes"),
    ] {
        s.enter(&entry(step, check, &[value], "ak")).unwrap();
    }
    let release = |by: &str, remote: bool| Release {
        step: "prove-slip".into(),
        by: by.into(),
        role: "design".into(),
        remote: remote.then(|| Remote { channel: "telephone".into(), taken_by: "jo".into() }),
        ..Release::default()
    };
    let open = |s: &Session| report::text(&report::review(s.record(), &BARE, &report::Filter::default()));
    s.release(&release("mh", true)).unwrap();
    assert_eq!(s.record().step_state("prove-slip"), StepState::Done, "work may go on");
    assert!(open(&s).contains("the release of prove-slip from afar"));
    for (by, remote) in [("ed", false), ("mh", true), ("ak", false)] {
        assert!(s.release(&release(by, remote)).is_err(), "{by} {remote}");
    }
    s.release(&release("mh", false)).unwrap();
    assert!(!open(&s).contains("the release of prove-slip from afar"));
    assert!(s.release(&release("mh", false)).is_err(), "once is enough");
}

#[test]
fn a_part_is_noted_only_by_what_is_known_of_parts() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = start(home.path());
    let noted = |part: &str, name: &str, value: &str| PartNoted {
        part: part.into(),
        facts: BTreeMap::from([(name.to_owned(), value.to_owned())]),
    };
    for (wrong, words) in [
        (noted("disc-9", "lot", "x"), "its parts are: disc-1"),
        (noted("disc-1", "colour", "x"), "lot, heat, serial, position, mark, index"),
        (noted("disc-1", "lot", " "), "say at least one"),
        (PartNoted { part: "disc-1".into(), facts: BTreeMap::new() }, "say at least one"),
    ] {
        let said = s.note_part(wrong, "ak").unwrap_err().to_string();
        assert!(said.contains(words), "{said}");
    }
    s.note_part(noted("disc-1", "position", "1"), "ak").unwrap();
    s.note_part(noted("disc-1", "position", "3"), "jo").unwrap();
    let list = parts(s.record());
    let disc = list.iter().find(|p| p.part == "disc-1").unwrap();
    assert_eq!(disc.facts().get("position"), Some(&"3"));
    assert_eq!(
        disc.history.iter().map(|h| h.superseded).collect::<Vec<_>>(),
        [true, false],
        "where it sat before stays"
    );
}
