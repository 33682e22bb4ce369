//! What is asked of an entry before it counts, what stays open, and what is kept of values that are not complete.

use std::path::Path;
use std::sync::Arc;

use super::event::Body;
use super::instruments::{Instrument, Register};
use super::machine::Machine;
use super::rules_tests::{entry, small};
use super::*;
use crate::procedure::meaning::Side;
use crate::procedure::plan::Check;

/// The small plan with a change to one of its checks.
fn with(home: &Path, step: &str, check: &str, change: impl Fn(&mut Check)) -> (Store, Session) {
    let mut start = small();
    let steps = start.plan.steps.iter_mut().filter(|s| s.id == step);
    let found: Vec<&mut Check> = steps.flat_map(|s| &mut s.checks).filter(|c| c.id == check).collect();
    assert_eq!(found.len(), 1);
    found.into_iter().for_each(change);
    let store = Store::locate(Some(home)).unwrap();
    let session = store.start(start).unwrap();
    (store, session)
}

fn to_the_plug(s: &mut Session) {
    for (check, values) in [("bore", &["24.60 mm", "24.59 mm"][..]), ("lot", &["4711"]), ("holes", &["6"])] {
        s.enter(&entry("inspect-disc", check, values, "ak")).unwrap();
    }
}

fn accept() -> Disposition {
    Disposition { kind: DispositionKind::UseAsIs, reason: "looked at".into(), role: "design".into() }
}

#[test]
fn gauge_answers_that_cannot_be_together_are_kept_with_the_doubt() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = with(home.path(), "ream-disc", "plug", |_| {});
    to_the_plug(&mut s);
    let kept = s.enter(&entry("ream-disc", "plug", &["go=no", "no-go=yes"], "ak")).unwrap();
    assert_eq!(kept.verdict, Verdict::Outside);
    assert!(kept.doubt.is_some_and(|d| d.contains("no hole is like that") && d.contains("swapped")));
    let doubt = s.record().reading("ream-disc", "plug").unwrap().reading.doubt.clone().unwrap();
    assert!(doubt.contains("no hole is like that"), "{doubt}");
    // Answers that can be together are not asked about.
    assert_eq!(s.enter(&entry("ream-disc", "plug", &["go=no no-go=no"], "ak")).unwrap().doubt, None);
}

#[test]
fn a_gauge_is_held_against_the_measured_size_of_its_hole() {
    let home = tempfile::tempdir().unwrap();
    let beside = |c: &mut Check| c.beside = Some("inspect-disc/bore".into());
    let (_, mut s) = with(home.path(), "ream-disc", "plug", beside);
    to_the_plug(&mut s); // 24.59 and 24.60 in 24.55 to 24.65
    let refused = |s: &mut Session, values: &[&str]| {
        let (_, check) = s.find("ream-disc", "plug").unwrap();
        let values: Vec<String> = values.iter().map(|v| (*v).to_owned()).collect();
        plausible::of_entry(s.record(), &check, &values).unwrap()
    };
    let why = refused(&mut s, &["go=no no-go=no"]);
    assert!(why.contains("go does not enter, but the smallest measured is 24.59 mm, not under 24.55"), "{why}");
    let why = refused(&mut s, &["go=yes no-go=yes"]);
    assert!(why.contains("no-go enters, but the largest measured is 24.60 mm, not over 24.65"), "{why}");
    let right =
        |values: &[&str]| Entry { correct: Some("misread".into()), ..entry("inspect-disc", "bore", values, "ak") };
    s.enter(&right(&["24.50 mm", "24.60 mm"])).unwrap();
    s.dispose("inspect-disc", "bore", accept(), "mh").unwrap();
    let why = refused(&mut s, &["go=yes no-go=no"]);
    assert!(why.contains("go enters, but the smallest measured is 24.50 mm, under 24.55"), "{why}");
    s.enter(&right(&["24.66 mm", "24.67 mm"])).unwrap();
    s.dispose("inspect-disc", "bore", accept(), "mh").unwrap();
    let why = refused(&mut s, &["go=yes no-go=no"]);
    assert!(why.contains("no-go does not enter, but the smallest measured is 24.66 mm, over 24.65"), "{why}");
    // An instrument as coarse as the difference contradicts nothing.
    let coarse = Instrument {
        id: "CAL-1".into(),
        kind: "caliper".into(),
        range: None,
        resolution: None,
        uncertainty: Some("0.02 mm".into()),
        due: None,
        retired: false,
        faulty: None,
    };
    Store::locate(Some(home.path())).unwrap().change_register(|r| r.add(coarse)).unwrap();
    s.enter(&Entry { instrument: Some("CAL-1".into()), ..right(&["24.66 mm", "24.67 mm"]) }).unwrap();
    s.dispose("inspect-disc", "bore", accept(), "mh").unwrap();
    assert_eq!(s.enter(&entry("ream-disc", "plug", &["go=yes no-go=no"], "ak")).unwrap().verdict, Verdict::Within);
}

#[test]
fn what_is_measured_after_a_part_was_sent_back_is_told_to_be_another_part() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = with(home.path(), "inspect-disc", "bore", |_| {});
    let out = entry("inspect-disc", "bore", &["24.80 mm", "24.59 mm"], "ak");
    assert_eq!(s.enter(&out).unwrap().verdict, Verdict::Outside);
    let back = Disposition { kind: DispositionKind::Return, ..accept() };
    s.dispose("inspect-disc", "bore", back, "mh").unwrap();
    let again = s.enter(&entry("inspect-disc", "bore", &["24.60 mm", "24.59 mm"], "ak")).unwrap();
    assert_eq!(again.verdict, Verdict::Within);
    assert!(again.doubt.is_some_and(|d| d.contains("the answer was return, so this is another part")));
}

#[test]
fn words_are_judged_where_words_are_wanted() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut s) = with(home.path(), "inspect-disc", "lot", |c| c.wanted = Some("UC205".into()));
    let other = s.enter(&entry("inspect-disc", "lot", &["UC206"], "ak")).unwrap();
    assert_eq!((other.verdict, other.wanted.as_deref()), (Verdict::Outside, Some("UC205")));
    assert!(other.message.contains("not what is wanted: UC205"), "{}", other.message);
    let (step, check) = s.find("inspect-disc", "lot").unwrap();
    assert_eq!(s.record().check_state(&step, &check), CheckState::Open);
    assert_eq!(side(&check, s.record().reading("inspect-disc", "lot").unwrap().reading), Some(Side::No));
    s.dispose("inspect-disc", "lot", accept(), "mh").unwrap();
    assert_eq!(s.record().check_state(&step, &check), CheckState::Answered);
    let again = Entry { correct: Some("misread".into()), ..entry("inspect-disc", "lot", &["uc 205"], "ak") };
    assert_eq!(s.enter(&again).unwrap().verdict, Verdict::Within);
    drop(s);
    let record = store.read("small-1").unwrap();
    assert_eq!(record.reading("inspect-disc", "lot").unwrap().reading.wanted.as_deref(), Some("UC205"));
    assert!(record.judged_again().is_empty(), "{:?}", record.judged_again());
}

#[test]
fn each_value_of_a_series_is_told_by_its_place() {
    let home = tempfile::tempdir().unwrap();
    let places = |c: &mut Check| c.places = vec!["face x".into(), "face y".into()];
    let (_, mut s) = with(home.path(), "inspect-disc", "bore", places);
    let mut said = |values: &[&str]| match s.enter(&entry("inspect-disc", "bore", values, "ak")) {
        Ok(outcome) => outcome.message,
        Err(error) => error.to_string(),
    };
    assert!(said(&["24.6 mm"]).contains("2 values are needed: face x, face y; 1 were given"));
    assert!(said(&["24.6 mm", "24.6 kg"]).starts_with("face y: "), "the place of the wrong unit");
    assert!(said(&["24.60 mm", "24.70 mm"]).starts_with("face y (24.70): 0.05 mm above the upper limit"));
}

/// Too fast was too fast: only a decision, a correction, or rework and a new run answer it.
#[test]
fn a_value_that_stays_is_not_answered_by_a_better_one() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = with(home.path(), "inspect-disc", "holes", |c| c.stays = true);
    let (step, check) = s.find("inspect-disc", "holes").unwrap();
    s.enter(&entry("inspect-disc", "holes", &["7"], "ak")).unwrap();
    let better = s.enter(&entry("inspect-disc", "holes", &["6"], "ak")).unwrap();
    assert_eq!(better.verdict, Verdict::Within);
    assert!(better.message.contains("entry 2 outside its limits still waits for a decision"), "{}", better.message);
    assert_eq!(s.record().check_state(&step, &check), CheckState::Open);
    let beside = report::Beside { register: &Register::default(), signatures: None };
    let page = report::markdown(&report::review(s.record(), &beside, &report::Filter::default()));
    assert!(page.contains("**OPEN**"), "{page}");
    assert!(page.contains("OPEN: readings or runs outside") && page.contains("1 within, 1 outside"), "{page}");
    let own = s.dispose("inspect-disc", "holes", accept(), "ak").unwrap_err().to_string();
    assert!(own.contains("\"ak\" does not stand under the role"), "{own}");
    s.dispose("inspect-disc", "holes", accept(), "mh").unwrap();
    assert_eq!(s.record().check_state(&step, &check), CheckState::Answered);
    for (kind, then) in [(DispositionKind::Rework, CheckState::Open), (DispositionKind::Scrap, CheckState::Stopped)] {
        let home = tempfile::tempdir().unwrap();
        let (_, mut s) = with(home.path(), "inspect-disc", "holes", |c| c.stays = true);
        s.enter(&entry("inspect-disc", "holes", &["7"], "ak")).unwrap();
        s.dispose("inspect-disc", "holes", Disposition { kind, ..accept() }, "mh").unwrap();
        assert_eq!(s.record().check_state(&step, &check), then, "{kind:?}");
        if kind == DispositionKind::Rework {
            s.enter(&entry("inspect-disc", "holes", &["6"], "ak")).unwrap();
            assert_eq!(s.record().check_state(&step, &check), CheckState::Answered, "reworked and found within");
        }
    }
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = with(home.path(), "inspect-disc", "holes", |c| c.stays = true);
    s.enter(&entry("inspect-disc", "holes", &["66"], "ak")).unwrap();
    s.enter(&entry("inspect-disc", "holes", &["6"], "ak")).unwrap();
    let typing = Some("6 typed twice".to_owned());
    s.enter(&Entry { correct: typing, ..entry("inspect-disc", "holes", &["6"], "ak") }).unwrap();
    let corrected = s.record().events.iter().rev().find_map(|e| match &e.body {
        Body::Reading(r) => r.corrects.as_ref().map(|c| c.event),
        _ => None,
    });
    assert_eq!(corrected, Some(2), "what was mistyped is put right, not what was read after it");
    assert_eq!(s.record().check_state(&step, &check), CheckState::Answered);
}

fn list(values: &[&str]) -> Vec<String> {
    values.iter().map(|v| (*v).to_owned()).collect()
}

#[test]
fn values_not_complete_are_kept_offered_and_never_part_of_the_record() {
    let home = tempfile::tempdir().unwrap();
    let (store, s) = with(home.path(), "inspect-disc", "bore", |_| {});
    let file = store.folder("small-1").join(FILE);
    let record = std::fs::read(&file).unwrap();
    let bore = s.begun("inspect-disc", "bore", "ak", &list(&["24,60"]), None);
    s.keep_begun(std::slice::from_ref(&bore)).unwrap();
    drop(s);
    let mut s = store.resume("small-1").unwrap();
    assert_eq!(s.take_begun(), (vec![bore.clone()], None));
    assert_eq!(std::fs::read(&file).unwrap(), record, "the record has not changed by a byte");
    // Once the series is in the record they have served, and nothing is said of them.
    s.enter(&entry("inspect-disc", "bore", &["24.60 mm", "24.59 mm"], "ak")).unwrap();
    assert_eq!(s.take_begun(), (vec![], None));
    s.keep_begun(&[]).unwrap();
    assert!(!store.folder("small-1").join("not-complete.yaml").exists());
    s.keep_begun(&[]).unwrap();
    assert!(store.read("small-1").unwrap().integrity.whole());
}

#[test]
fn values_that_cannot_be_taken_up_are_told_and_set_aside() {
    let aside = |store: &Store| {
        let files = std::fs::read_dir(store.folder("small-1")).unwrap().map(|e| e.unwrap().file_name());
        files.filter(|n| n.to_string_lossy().starts_with("not-complete-")).count()
    };
    for (text, why) in [
        ("runtrue: not complete 1\nvalues: [{ste", "cannot be read"),
        ("\u{0}\u{1}", "cannot be read"),
        ("runtrue: not complete 2\nvalues: []\n", "its form is not complete 2"),
    ] {
        let home = tempfile::tempdir().unwrap();
        let (store, s) = with(home.path(), "inspect-disc", "bore", |_| {});
        let file = store.folder("small-1").join("not-complete.yaml");
        std::fs::write(&file, text).unwrap();
        let (values, told) = s.take_begun();
        let told = told.unwrap();
        assert!(values.is_empty() && told.contains(why) && told.contains("set aside in"), "{told}");
        assert_eq!((file.exists(), aside(&store)), (false, 1), "{told}");
        assert_eq!(s.take_begun(), (vec![], None));
    }
    let home = tempfile::tempdir().unwrap();
    let (store, s) = with(home.path(), "inspect-disc", "bore", |_| {});
    let good = s.begun("inspect-disc", "bore", "ak", &list(&["24.60"]), None);
    let torque = |given: &[&str]| s.begun("tighten-rods-final", "torque", "ak", &list(given), None);
    for odd in [
        s.begun("inspect-disc", "bore", "ak", &list(&["24.60 kg"]), None),
        s.begun("inspect-disc", "bore", "ak", &list(&["1", "2", "3"]), None),
        s.begun("inspect-disc", "lot", "ak", &list(&["1"]), None),
        s.begun("no-such-step", "bore", "ak", &list(&["1"]), None),
        torque(&["1", "1"]),
        torque(&["9"]),
        Begun { round: 3, ..good.clone() },
    ] {
        s.keep_begun(&[odd.clone(), good.clone()]).unwrap();
        let (values, told) = s.take_begun();
        assert_eq!(values, std::slice::from_ref(&good), "{odd:?}");
        assert!(told.unwrap().contains("do not fit the record any more"), "{odd:?}");
    }
    assert!(aside(&store) >= 1);
}

/// A disk that takes nothing new.
#[derive(Debug)]
struct Full;

impl Machine for Full {
    fn create(&self, _: &Path) -> std::io::Result<std::fs::File> {
        Err(std::io::Error::from_raw_os_error(28))
    }

    fn rename(&self, _: &Path, _: &Path) -> std::io::Result<()> {
        Err(std::io::Error::from_raw_os_error(28))
    }

    fn remove_file(&self, _: &Path) -> std::io::Result<()> {
        Err(std::io::Error::from_raw_os_error(30))
    }
}

#[test]
fn a_disk_that_takes_no_values_is_told_and_stops_no_entry() {
    let home = tempfile::tempdir().unwrap();
    let (store, s) = with(home.path(), "inspect-disc", "bore", |_| {});
    let bore = s.begun("inspect-disc", "bore", "ak", &list(&["24.60"]), None);
    s.keep_begun(std::slice::from_ref(&bore)).unwrap();
    drop(s);
    let mut s = store.on(Arc::new(Full)).resume("small-1").unwrap();
    let more = s.begun("inspect-disc", "bore", "ak", &list(&["24.60", "24.61"]), None);
    assert!(s.keep_begun(&[more]).unwrap_err().to_string().contains("not-complete.yaml"));
    assert_eq!(s.take_begun().0, [bore], "what was kept before is there still");
    s.enter(&entry("inspect-disc", "bore", &["24.60 mm", "24.61 mm"], "ak")).unwrap();
    assert!(s.keep_begun(&[]).is_err());
    assert_eq!(s.take_begun(), (vec![], None), "it cannot be removed, and has served all the same");
    std::fs::write(store.folder("small-1").join("not-complete.yaml"), "x").unwrap();
    let (_, told) = s.take_begun();
    assert!(told.unwrap().contains("cannot be set aside"));
}

#[test]
fn what_was_typed_twice_says_so() {
    let home = tempfile::tempdir().unwrap();
    let (store, mut s) = with(home.path(), "inspect-disc", "holes", |c| c.critical = true);
    s.enter(&Entry { twice: true, ..entry("inspect-disc", "holes", &["6"], "ak") }).unwrap();
    s.enter(&entry("inspect-disc", "lot", &["1"], "ak")).unwrap();
    drop(s);
    let text = std::fs::read_to_string(store.folder("small-1").join(FILE)).unwrap();
    assert_eq!(text.matches("typed: twice").count(), 1);
}

#[test]
fn initials_without_a_role_are_told_with_those_that_have_one() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut s) = with(home.path(), "inspect-disc", "holes", |_| {});
    let record = s.record();
    let words = record.unknown("zz").unwrap();
    assert!(words.contains("design: mh, ed; fitter: ak, jo"), "{words}");
    assert!(record.unknown("mh").is_none() && record.is_new("zz") && record.is_new("ak"));
    s.note("inspect-disc", "here", "zz").unwrap();
    assert!(!s.record().is_new("zz"));
    assert!(people::unknown(&std::collections::BTreeMap::new(), "zz").is_none(), "a spec that names nobody");
}

/// A decision that gives up parts names them where the step is about several.
#[test]
fn parts_are_named_where_a_step_has_several() {
    let home = tempfile::tempdir().unwrap();
    let store = Store::locate(Some(home.path())).unwrap();
    let mut plan = super::rules_tests::plan();
    plan.steps[0].parts = vec!["disc-1".into(), "disc-2".into()];
    let mut s = store.start(Start { plan, ..super::rules_tests::small() }).unwrap();
    s.enter(&entry("inspect-disc", "holes", &["5"], "ak")).unwrap();
    let scrap = Disposition { kind: DispositionKind::Scrap, reason: "bent".into(), role: "design".into() };
    let said = s.dispose("inspect-disc", "holes", scrap.clone(), "mh").unwrap_err().to_string();
    assert!(said.contains("disc-1, disc-2; name those that are meant"), "{said}");
    s.dispose_of("inspect-disc", "holes", scrap, &["disc-2".to_owned()], "mh").unwrap();
    assert!(s.record().given_up_at(&s.record().plan().steps[0], "holes").is_some_and(|(_, p)| p == ["disc-2"]));
}
