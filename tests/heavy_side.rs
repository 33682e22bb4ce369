//! The heavy side of each disc and the index, from typed readings to the review, against arithmetic of its own.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::Path;

use common::{begun, good, json, runtrue};
use runtrue::procedure::plan::Step;
use runtrue::traveler::{Entry, Release, Session, StepState, Store, Verdict};
use serde_json::{Value, json};

/// Rest positions, test mass and starting mass of three discs, as typed. Radius 140 mm, five holes, discs 10 mm thick.
const READ: [(&str, &str, &str); 3] =
    [("40 38 42 40", "12.1", "1.0"), ("355 2 358 0", "9.4", "0.9"), ("201 205 198 204", "10.2", "1.1")];

/// What a fitter types; anything else is a good value.
fn typed(step: &str, check: &str) -> Option<Vec<String>> {
    let disc: usize = step.strip_prefix("balance-disc-")?.parse().ok()?;
    let (rest, mass, starts) = READ[disc - 1];
    match check {
        "rest" => Some(rest.split(' ').map(|d| format!("{d} °")).collect()),
        "mass" => Some(vec![format!("{mass} g")]),
        "starts" => Some(vec![format!("{starts} g")]),
        _ => None,
    }
}

/// Works until that step is the one to do.
fn work(session: &mut Session, until: &str, typed: fn(&str, &str) -> Option<Vec<String>>) {
    while let Some(step) = session.record().open_steps().first().map(|s| (*s).clone()) {
        if step.id == until {
            return;
        }
        let before = session.record().events.len();
        take(session, &step, typed);
        if let (Some(role), StepState::Held) = (step.hold.clone(), session.record().step_state(&step.id)) {
            session.release(&Release { step: step.id.clone(), by: "mh".into(), role, ..Release::default() }).unwrap();
        }
        assert_ne!(session.record().events.len(), before, "{}: nothing more to enter, and not done", step.id);
    }
    panic!("{until} never came");
}

fn take(session: &mut Session, step: &Step, typed: fn(&str, &str) -> Option<Vec<String>>) {
    for check in &step.checks {
        let values = typed(&step.id, &check.id).unwrap_or_else(|| good(&json!(check)));
        if values.is_empty() || session.record().reading(&step.id, &check.id).is_some() {
            continue;
        }
        let entry = Entry {
            step: step.id.clone(),
            check: check.id.clone(),
            values,
            by: "ak".into(),
            bare: true,
            ..Entry::default()
        };
        session.enter(&entry).unwrap_or_else(|e| panic!("{} {}: {e}", step.id, check.id));
    }
}

fn started(home: &Path) -> Session {
    begun(&Store::locate(Some(home)).unwrap(), "testwheel", "1")
}

/// The same of a spec with other words.
fn started_as(home: &Path, changes: &[(&str, &str)]) -> Session {
    let mut text = runtrue::module::embedded("testwheel").unwrap().text;
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let module = runtrue::module::read(&runtrue::module::Source { name: "x".into(), text }).unwrap();
    let setup = runtrue::module::Setup::choose(&module, &std::collections::BTreeMap::new()).unwrap();
    let start = runtrue::traveler::Start {
        plan: runtrue::procedure::make_plan(&module, &setup).unwrap(),
        spec_text: module.text,
        spec_name: "testwheel".into(),
        serial: "1".into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    Store::locate(Some(home)).unwrap().start(start).unwrap()
}

/// Sum and couple of discs turned so that the given holes stand on top: plain sines and cosines.
fn sum(holes: &[u32]) -> (f64, f64) {
    let (x, y, couple) = parts(holes);
    (x.hypot(y), couple)
}

/// The sum by its components along hole 1 and a quarter turn on, and the couple.
fn parts(holes: &[u32]) -> (f64, f64, f64) {
    let (mut x, mut y, mut mx, mut my) = (0.0, 0.0, 0.0, 0.0);
    let middle = f64::from(u32::try_from(holes.len()).unwrap()) * 10.0 / 2.0;
    for (k, hole) in holes.iter().enumerate() {
        let (rest, mass, _) = READ[k];
        let rests: Vec<f64> = rest.split(' ').map(|d| d.parse::<f64>().unwrap().to_radians()).collect();
        let (s, c) = rests.iter().fold((0.0, 0.0), |(s, c), a| (s + a.sin(), c + a.cos()));
        let angle = s.atan2(c) - f64::from(hole - 1) * 72_f64.to_radians();
        let size = mass.parse::<f64>().unwrap() * 140.0;
        let arm = (k as f64 + 0.5) * 10.0 - middle;
        x += size * angle.cos();
        y += size * angle.sin();
        mx += size * angle.cos() * arm;
        my += size * angle.sin() * arm;
    }
    (x, y, mx.hypot(my))
}

/// Every index of so many discs, hole 1 of the first on top, least sum first.
fn all(discs: usize) -> Vec<(f64, f64, Vec<u32>)> {
    let mut every = vec![vec![1]];
    for _ in 1..discs {
        every = every.iter().flat_map(|had| (1..=5).map(|h| [had.as_slice(), &[h]].concat())).collect();
    }
    let mut found: Vec<_> = every.into_iter().map(|holes| (sum(&holes).0, sum(&holes).1, holes)).collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    found
}

fn values(session: &Session, check: &str) -> Vec<f64> {
    let kept = session.record().reading("balance-index", check).unwrap_or_else(|| panic!("no {check}"));
    kept.reading.values.iter().map(|v| v.parse().unwrap()).collect()
}

#[test]
fn the_index_comes_from_the_readings_and_is_found_anew_for_fewer_discs() {
    let home = tempfile::tempdir().unwrap();
    let mut session = started(home.path());
    work(&mut session, "balance-index", typed);
    let best = &all(3)[0];
    assert_eq!(values(&session, "holes"), best.2.iter().map(|h| f64::from(*h)).collect::<Vec<_>>());
    assert!(
        (values(&session, "residual")[0] - best.0).abs() <= 0.5
            && (values(&session, "couple")[0] - best.1).abs() <= 0.5
    );
    // Drag 140, 126 and 154 g·mm; play of 30 H7 on h6, 17 µm off the axis, on mandrel and shaft: 131.5 each. All as squares.
    let by_hand = (140_f64.powi(2) + 126_f64.powi(2) + 154_f64.powi(2) + 3.0 * 131.5_f64.powi(2)).sqrt();
    assert!((values(&session, "within")[0] - by_hand).abs() < 1.0, "{by_hand}");
    drop(session);
    let ids = |shown: &Value| -> Vec<String> {
        shown["steps"].as_array().unwrap().iter().map(|s| s["id"].as_str().unwrap().to_owned()).collect()
    };
    let (code, way) = json(home.path(), &["change", "testwheel-1", "--set", "discs=2", "--begin", "--by", "mh"]);
    assert!(code == 0 && ids(&way).contains(&"balance-index".to_owned()), "{way}");
    let (_, review) = json(home.path(), &["review", "testwheel-1"]);
    let two = &all(2)[0];
    let index = &review["index"];
    let holes: Vec<u64> =
        index["discs"].as_array().unwrap().iter().map(|d| d["hole"].as_f64().unwrap() as u64).collect();
    assert_eq!(holes, two.2.iter().map(|h| u64::from(*h)).collect::<Vec<_>>());
    assert!((index["predicted_gmm"].as_f64().unwrap() - two.0).abs() <= 0.5, "{index}");
    assert_ne!(two.2[1], best.2[1], "the readings are chosen so that disc 2 moves");
    let text = String::from_utf8(runtrue(home.path(), &["review", "testwheel-1"]).stdout).unwrap();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains(&format!("from hole {} to hole {}", best.2[1], two.2[1])), "{text}");
    assert!(text.contains("Predicted unbalance of the discs"), "{text}");
    let (code, _) = json(home.path(), &["verify", "testwheel-1", "--recompute"]);
    assert_eq!(code, 0);
}

#[test]
fn the_calculator_lists_the_best_five_of_a_build() {
    let home = tempfile::tempdir().unwrap();
    let mut session = started(home.path());
    work(&mut session, "balance-disc-3", typed);
    let (code, early) = json(home.path(), &["calc", "balance", "index", "--from", "testwheel-1"]);
    assert!(
        code == 2 && early["reason"].as_str().unwrap().contains("balance-disc-3 has no reading of rest yet"),
        "{early}"
    );
    work(&mut session, "balance-index", typed);
    let (code, found) = json(home.path(), &["calc", "balance", "index", "--from", "testwheel-1"]);
    assert_eq!(code, 0);
    let best = found["best"].as_array().unwrap();
    assert_eq!(best.len(), 5);
    for (row, hand) in best.iter().zip(all(3)) {
        assert_eq!(row["holes_at_1"], json!(hand.2));
        assert!((row["residual_gmm"].as_f64().unwrap() - hand.0).abs() < 0.01);
        assert!((row["couple_gmm2"].as_f64().unwrap() - hand.1).abs() < 1.0);
    }
    assert!(found["discs"].as_array().unwrap().iter().all(|d| d["findable"] == true));
    let flywheel = json(home.path(), &["build", "flywheel", "--serial", "2", "--by", "ak", "--no-open"]);
    assert_eq!(flywheel.0, 0);
    let (code, none) = json(home.path(), &["calc", "balance", "index", "--from", "flywheel-2"]);
    assert!(code == 2 && none["reason"].as_str().unwrap().contains("no heavy side"), "{none}");
}

/// A program answers counts by their lower limit: kept, with the doubt that the index says otherwise.
#[test]
fn another_hole_than_the_index_says_is_kept_with_its_doubt() {
    let home = tempfile::tempdir().unwrap();
    let mut session = started(home.path());
    work(&mut session, "fit-disc-2", typed);
    let enter = |session: &mut Session, step: &str, check: &str, values: &[&str]| {
        let values = values.iter().map(|v| (*v).to_owned()).collect();
        let entry = Entry { step: step.into(), check: check.into(), values, by: "ak".into(), ..Entry::default() };
        session.enter(&entry).unwrap()
    };
    let said = enter(&mut session, "fit-disc-2", "hole", &["1"]);
    let hole = all(3)[0].2[1].to_string();
    assert_eq!(said.verdict, Verdict::Within);
    let doubt = said.doubt.unwrap();
    assert!(doubt.contains(&format!("{hole} was computed for disc-2")), "{doubt}");
    // What comes of it, by plain sines and cosines, and what puts it right.
    let mut stand = all(3)[0].2.clone();
    stand[1] = 1;
    assert!(doubt.contains(&format!("the discs would make {:.0} g·mm", sum(&stand).0)), "{doubt}");
    assert!(doubt.contains(&format!("turn it to hole {hole}, or leave it and bring disc-1 to hole")), "{doubt}");
    work(&mut session, "align-index", typed);
    let best: Vec<String> = all(3)[0].2.iter().map(u32::to_string).collect();
    let best: Vec<&str> = best.iter().map(String::as_str).collect();
    let said = enter(&mut session, "align-index", "holes", &best);
    assert!(said.doubt.is_none() && said.verdict == Verdict::Within, "{said:?}");
    // What stands at position 1 with all discs on is what the part's history says.
    let parts = runtrue::traveler::parts(session.record());
    let disc = parts.iter().find(|p| p.part == "disc-2").unwrap();
    assert_eq!(disc.facts()["index"], format!("hole {hole}"));
    assert!(disc.history.iter().any(|h| h.what == "index" && h.value == "hole 1" && h.superseded), "{disc:?}");
}

/// A disc that stays wherever it is put is no input: it counts as zero, and its step asks for no decision.
#[test]
fn a_disc_without_a_findable_heavy_side_counts_as_zero() {
    let home = tempfile::tempdir().unwrap();
    let mut session = started(home.path());
    work(&mut session, "balance-index", |step, check| match (step, check) {
        ("balance-disc-2", "rest") => Some(["0 °", "90 °", "180 °", "270 °"].map(str::to_owned).to_vec()),
        ("balance-disc-2", "mass") => Some(vec!["0 g".into()]),
        ("balance-disc-2", "starts") => Some(vec!["1.0 g".into()]),
        _ => typed(step, check),
    });
    let unbalance = session.record().reading("balance-disc-2", "unbalance").unwrap();
    assert!(unbalance.reading.verdict == Verdict::NotJudged && unbalance.reading.because.contains("not findable"));
    let holes = session.record().reading("balance-index", "holes").unwrap();
    assert!(holes.reading.because.contains("disc-2 shows no heavy side"), "{}", holes.reading.because);
    assert_eq!(holes.reading.values[1], "1", "it stays as it is");
    // The other two as near to opposite as five holes allow.
    let (one, three) = (12.1 * 140.0, 10.2 * 140.0);
    let least = (1..=5).map(|h| {
        let apart = (202.0 - 40.0 - f64::from(h - 1) * 72.0_f64).to_radians();
        (one * one + three * three + 2.0 * one * three * apart.cos()).sqrt()
    });
    let least = least.fold(f64::MAX, f64::min);
    assert!((values(&session, "residual")[0] - least).abs() < 1.0, "{least}");
}

/// One disc two holes off, all of them one on, and as asked: the sum as they stand, by plain arithmetic, and whether it is judged.
#[test]
fn discs_that_stand_otherwise_are_judged_as_they_stand() {
    let best = all(3)[0].2.clone();
    let counted = |holes: &[u32]| {
        let home = tempfile::tempdir().unwrap();
        let mut session = started(home.path());
        work(&mut session, "align-index", typed);
        let entry = Entry {
            step: "align-index".into(),
            check: "holes".into(),
            values: holes.iter().map(u32::to_string).collect(),
            by: "ak".into(),
            ..Entry::default()
        };
        let said = session.enter(&entry).unwrap();
        let kept = session.record().reading("align-index", "stands").unwrap();
        let value: f64 = kept.reading.values[0].parse().unwrap();
        let kept = (value, kept.reading.verdict, kept.reading.because.clone());
        drop(session);
        let (_, review) = json(home.path(), &["review", "testwheel-1"]);
        (said, kept, review["index"]["stands_gmm"].as_f64().unwrap())
    };
    let (said, (value, verdict, why), stands) = counted(&best);
    assert!(said.doubt.is_none() && verdict == Verdict::NotJudged && why.contains("as the index asks"), "{why}");
    assert!((value - all(3)[0].0).abs() <= 0.5 && (stands - value).abs() < 1e-9);
    // All one hole on: the same sum, turned along.
    let on: Vec<u32> = best.iter().map(|h| h % 5 + 1).collect();
    let (said, (value, verdict, why), _) = counted(&on);
    assert!((value - all(3)[0].0).abs() <= 0.5 && verdict == Verdict::NotJudged, "{why}");
    assert!(said.doubt.is_some_and(|d| d.contains("which passes")));
    // The worst there is: 4329 of the 6800 or so permitted still pass, and it is said what they make.
    let worst = all(3).pop().unwrap();
    let (said, (value, verdict, why), _) = counted(&worst.2);
    assert!((value - worst.0).abs() <= 0.5 && verdict == Verdict::Within, "{value} {why}");
    assert!(said.doubt.is_some_and(|d| d.contains(&format!("the discs would make {:.0} g·mm", worst.0))));
}

/// The same discs under a grade of a sixth: as asked they pass, the worst index is outside and waits for the discs to be turned.
#[test]
fn an_index_that_does_not_pass_waits_until_the_discs_are_turned() {
    let home = tempfile::tempdir().unwrap();
    let mut session = started_as(home.path(), &[("balance grade: G 6.3", "balance grade: G 1")]);
    work(&mut session, "align-index", typed);
    let enter = |session: &mut Session, holes: &[u32]| {
        let values = holes.iter().map(u32::to_string).collect();
        let (step, check, by) = ("align-index".to_owned(), "holes".to_owned(), "ak".to_owned());
        session.enter(&Entry { step, check, values, by, ..Entry::default() }).unwrap()
    };
    let said = enter(&mut session, &all(3).pop().unwrap().2);
    assert!(said.doubt.is_some_and(|d| d.contains("which does not pass") && d.contains("change --redo")));
    let stands = session.record().reading("align-index", "stands").unwrap().reading.clone();
    assert_eq!(stands.verdict, Verdict::Outside, "{}", stands.because);
    // No correction is needed: what follows from the count is outside, so it is counted again.
    let said = enter(&mut session, &all(3)[0].2);
    assert!(said.doubt.is_none());
    assert_eq!(session.record().reading("align-index", "stands").unwrap().reading.verdict, Verdict::NotJudged);
}

/// The module with a balance at rest after the assembly, and rods long enough for washers and their nuts.
const BALANCED: [(&str, &str); 2] = [
    (
        "people:",
        "balance:\n  method: static\n  on: bearings\n  planes: [far end]\n  correct by: [washers]\n  washers: { size: M8, most: 4 }\n\npeople:",
    ),
    ("{ 1: 60 mm, 2: 70 mm, 3: 80 mm }", "{ 1: 72 mm, 2: 82 mm, 3: 92 mm }"),
];

/// Masses that set the rotor rolling at each hole, 50 mm from the axis, for an unbalance along hole 1 and a quarter turn on.
fn starting(x: f64, y: f64) -> Vec<String> {
    let drag = 6_000.0;
    let mass = |k: u32| {
        let angle = f64::from(k) * 72_f64.to_radians();
        (drag - x * angle.cos() - y * angle.sin()) / 50.0
    };
    (0..5).map(|k| format!("{:.1} g", mass(k))).collect()
}

/// Once assembled the rotor is weighed in its bearings: found as the index has it, nothing is said; found elsewhere, it is a
/// doubt that names both.
#[test]
fn the_rotor_weighed_as_assembled_is_held_against_its_index() {
    let home = tempfile::tempdir().unwrap();
    let mut session = started_as(home.path(), &BALANCED);
    work(&mut session, "align-index", typed);
    let best = all(3)[0].2.clone();
    let enter = |session: &mut Session, step: &str, check: &str, values: Vec<String>, correct: Option<&str>| {
        let (step, check, by, correct) = (step.into(), check.into(), "ak".into(), correct.map(str::to_owned));
        session.enter(&Entry { step, check, values, by, correct, ..Entry::default() }).unwrap()
    };
    enter(&mut session, "align-index", "holes", best.iter().map(u32::to_string).collect(), None);
    work(&mut session, "balance-initial", typed);
    let against = |session: &Session| {
        let kept = session.record().reading("balance-initial", "against-index").unwrap();
        (kept.reading.values[0].parse::<f64>().unwrap(), kept.reading.because.clone())
    };
    // A disc one hole on: what it makes elsewhere is more than drag, play, pulley and readings leave open.
    let (best_x, best_y, _) = parts(&best);
    let (x, y, _) = parts(&[best[0], best[1], best[2] % 5 + 1]);
    let said = enter(&mut session, "balance-initial", "starts", starting(x, y), None);
    let (apart, why) = against(&session);
    assert!((apart - (x - best_x).hypot(y - best_y)).abs() < 10.0, "tenths of a gram at 50 mm: {apart} {why}");
    assert!(why.starts_with("not as predicted"), "{why}");
    assert!(said.doubt.is_some_and(|d| d.contains("a disc may stand in another hole")));
    let said = enter(
        &mut session,
        "balance-initial",
        "starts",
        starting(best_x, best_y),
        Some("it was turned, weighed again"),
    );
    let (apart, why) = against(&session);
    assert!(said.doubt.is_none() && why.starts_with("as predicted") && apart < 10.0, "{apart} {why}");
    let (code, _) = json(home.path(), &["verify", "testwheel-1", "--recompute"]);
    assert_eq!(code, 0);
}
