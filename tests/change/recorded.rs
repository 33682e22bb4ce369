//! Changes in the record and at the command line.

use super::*;
use crate::common::runtrue;

#[test]
fn a_finished_build_changes_over_in_the_record_and_closes_again() {
    let home = tempfile::tempdir().unwrap();
    built(home.path(), None);
    let untouched = bytes(home.path());
    let (code, shown) = json(home.path(), &["change", "flywheel-1", "--set", "pulley=fast"]);
    assert_eq!((code, bytes(home.path()) == untouched), (0, true), "showing writes nothing");
    assert_eq!((shown["from"]["pulley"].as_str(), shown["to"]["pulley"].as_str()), (Some("slow"), Some("fast")));
    assert!(shown["kept"].as_u64().unwrap() > 100 && !shown["stale"].as_array().unwrap().is_empty());
    let (code, _) = json(home.path(), &["change", "flywheel-1", "--set", "pulley=fast", "--begin", "--by", "ak"]);
    assert_eq!(code, 0);
    let review = json(home.path(), &["review", "flywheel-1"]).1;
    assert_eq!((review["setup"]["pulley"].as_str(), review["state"].as_str()), (Some("fast"), Some("reopened")));
    let rounds = |id: &str, review: &Value| -> Vec<(u64, String)> {
        let all = review["steps"].as_array().unwrap().iter().filter(|s| s["id"] == id);
        all.map(|s| (s["round"].as_u64().unwrap(), s["state"].as_str().unwrap().to_owned())).collect()
    };
    assert_eq!(rounds("spin-first", &review), [(0, "stale".to_owned()), (1, "to do".into())]);
    assert_eq!(rounds("tighten-rods-final", &review), [(0, "done".to_owned())]);
    // Nothing has been touched yet, so the way back is empty.
    let again = json(home.path(), &["change", "flywheel-1", "--set", "pulley=slow"]);
    assert_eq!((again.0, again.1["steps"].as_array().map(Vec::len)), (0, Some(0)), "{}", again.1);
    let mut session = Store::locate(Some(home.path())).unwrap().resume("flywheel-1").unwrap();
    enter_all(&mut session, None);
    assert!(session.record().fitted().contains(&"belt-in-grooves"));
    session.finish("ak").unwrap();
    drop(session);
    let verified = json(home.path(), &["verify", "flywheel-1"]);
    assert_eq!((verified.0, verified.1["closeouts"].as_array().unwrap().len()), (0, 2));
    let back = json(home.path(), &["change", "flywheel-1", "--set", "pulley=slow"]).1;
    assert!(!back["steps"].as_array().unwrap().is_empty());
    each_round_comes_out_again(home.path());
    a_comparison_takes_what_stands(home.path());
}

/// The plan of the changeover is found once more, and a bent one is told with its round.
fn each_round_comes_out_again(home: &Path) {
    let recompute = || json(home, &["verify", "flywheel-1", "--recompute"]).1["recompute"].clone();
    assert_eq!(recompute()["same"], true, "{}", recompute());
    let file = home.join("builds/flywheel-1/traveler.yaml");
    let good = std::fs::read_to_string(&file).unwrap();
    let at = good.find("what: changed").unwrap();
    let later = good[at..].replacen("minutes: 5", "minutes: 55", 1).replacen("verdict: within", "verdict: outside", 1);
    std::fs::write(&file, rehashed(&format!("{}{later}", &good[..at]))).unwrap();
    let found = recompute();
    let rounds = |field: &str| -> Vec<(u64, String)> {
        let all = found["differences"].as_array().unwrap().iter().filter(|d| d["field"] == field);
        all.map(|d| (d["round"].as_u64().unwrap(), d["recorded"].as_str().unwrap().to_owned())).collect()
    };
    assert_eq!(rounds("minutes"), [(1, "55".to_owned())], "{found}");
    assert_eq!(rounds("verdict"), [(1, "outside".to_owned())], "{found}");
    std::fs::write(&file, good).unwrap();
}

/// Readings of the first build where they stand, of the round that took them again where not.
fn a_comparison_takes_what_stands(home: &Path) {
    let mut session = started(home, "2");
    enter_all(&mut session, Some("mark-discs"));
    drop(session);
    let compared = json(home, &["compare", "flywheel-1", "flywheel-2"]).1;
    let of = |step: &str| -> Vec<(String, u64)> {
        let check = compared["checks"].as_array().unwrap().iter().find(|c| c["step"] == step).unwrap();
        let values = check["values"].as_array().unwrap().iter();
        values.map(|v| (v["serial"].as_str().unwrap().to_owned(), v["round"].as_u64().unwrap())).collect()
    };
    assert_eq!(of("inspect-disc-1"), [("1".to_owned(), 0), ("2".to_owned(), 0)]);
    assert_eq!(of("spin-first"), [("1".to_owned(), 1)], "the run of the changeover, not the first one");
    let page = |arguments: &[&str]| String::from_utf8(common::runtrue(home, arguments).stdout).unwrap();
    let step = ["compare", "flywheel-1", "flywheel-2", "--step", "spin-first"];
    assert!(page(&step).contains("1 (round 1):"), "{}", page(&step));
    for form in ["text", "markdown", "html"] {
        let page = page(&["export", "flywheel-1", "--format", form]);
        assert!(page.contains("Steps of round 1") && page.contains("Rounds of work after the first build"), "{form}");
    }
    let sheet = page(&["export", "flywheel-1", "--format", "csv", "--step", "spin-first"]);
    let rounds: BTreeSet<&str> = sheet.lines().skip(1).filter_map(|l| l.rsplit(',').next()).collect();
    assert_eq!(rounds.into_iter().collect::<Vec<_>>(), ["0", "1"], "{sheet}");
}

#[test]
fn rework_in_the_middle_of_a_build_shows_what_it_undoes() {
    let home = tempfile::tempdir().unwrap();
    built(home.path(), Some("measure-stack"));
    let step = "tighten-rods-snug";
    let (code, shown) = json(home.path(), &["change", "flywheel-1", "--redo", step]);
    assert_eq!(code, 0);
    let first = shown["steps"][0]["id"].as_str().unwrap();
    let all: Vec<&str> = shown["steps"].as_array().unwrap().iter().map(|s| s["id"].as_str().unwrap()).collect();
    // The collar is let go while the rods still hold it straight, and the rods come down to the fingers after that.
    assert_eq!(
        all[..3],
        ["release-rods-to-pass-1", "release-pinch-collar-far-to-loose", "release-rods-to-hand"],
        "{all:?}"
    );
    assert!(!all.contains(&"fit-disc-1") && all.contains(&"close-out-module"), "{first} {all:?}");
    let (code, refused) = json(home.path(), &["change", "flywheel-1", "--redo", step, "--begin", "--by", "ak"]);
    assert!(code == 2 && refused["reason"].as_str().unwrap().contains("--reason"), "{refused}");
    assert!(json(home.path(), &["change", "flywheel-1", "--redo", "spin-first"]).1["reason"].is_string());
}

/// A step that a change undoes is worked again: what it read before is in force no longer, and asks for no answer.
#[test]
fn readings_of_undone_steps_are_not_in_force() {
    let home = tempfile::tempdir().unwrap();
    built(home.path(), Some("measure-stack"));
    let mut session = Store::locate(Some(home.path())).unwrap().resume("flywheel-1").unwrap();
    let step = session.record().step("measure-stack").unwrap().clone();
    let check = step.checks.iter().find(|c| c.kind != CheckKind::Derived && c.lower.is_some()).unwrap();
    let value = format!("1 {}", check.unit.as_deref().unwrap_or_default());
    let values = vec![value; check.count.unwrap_or(1) as usize];
    let entry = Entry { step: step.id.clone(), check: check.id.clone(), values, by: "ak".into(), ..Entry::default() };
    session.enter(&entry).unwrap();
    drop(session);
    let review = || {
        let page = runtrue(home.path(), &["review", "flywheel-1"]).stdout;
        let words: Vec<String> = String::from_utf8(page).unwrap().split_whitespace().map(str::to_owned).collect();
        words.join(" ")
    };
    let verdict =
        || review().split_once(" Verdict ").unwrap().1.split_once(" superseded or undone").unwrap().0.to_owned();
    let before = verdict();
    assert!(before.contains("OPEN") && before.contains(" 1 outside"), "{before}");
    assert!(!review().contains("undone by a later change"));
    let redo = ["change", "flywheel-1", "--redo", "tighten-rods-snug", "--reason", "slipped", "--begin", "--by", "mh"];
    assert_eq!(json(home.path(), &redo).0, 0);
    let after = verdict();
    assert!(after.contains("nothing outside is unanswered") && after.contains(" 0 outside"), "{after}");
    assert!(review().contains("undone by a later change"), "among the deviations");
}

/// To another setup and back before anybody touched anything: what the first change disturbed stands again.
#[test]
fn a_change_taken_back_untouched_leaves_every_reading_in_force() {
    let home = tempfile::tempdir().unwrap();
    built(home.path(), Some("measure-stack"));
    let in_force = || {
        let page = String::from_utf8(runtrue(home.path(), &["review", "flywheel-1"]).stdout).unwrap();
        let words = page.split_whitespace().collect::<Vec<_>>().join(" ");
        words.split_once("in force: ").unwrap().1.split_once(" within").unwrap().0.parse::<u32>().unwrap()
    };
    let before = in_force();
    let change = |discs: &str| {
        let args = ["change", "flywheel-1", "--discs", discs, "--reason", "tried", "--begin", "--by", "mh"];
        assert_eq!(json(home.path(), &args).0, 0, "{discs}");
    };
    change("3");
    assert!(in_force() < before);
    change("5");
    assert_eq!(in_force(), before);
}

#[test]
fn rods_with_another_coating_are_accepted_by_the_design_side_only_and_lower_the_torque() {
    let home = tempfile::tempdir().unwrap();
    built(home.path(), Some("receive-rods"));
    let coated = ["change", "flywheel-1", "--as-received", "rods.friction=0.10 to 0.16", "--reason", "waxed ones came"];
    let (code, shown) = json(home.path(), &coated);
    let torque = |v: &Value| {
        let steps = v["steps"].as_array().unwrap();
        steps.iter().find(|s| s["id"] == "tighten-rods-final").unwrap()["torque_nm"].as_f64().unwrap()
    };
    assert_eq!(code, 0);
    assert!(torque(&shown) < 16.0, "{}", torque(&shown));
    let begin = |by: &str| json(home.path(), &[&coated[..], &["--begin", "--by", by]].concat());
    assert_eq!(begin("ak").0, 2);
    assert_eq!(begin("mh").0, 0);
    let next = json(home.path(), &["next", "flywheel-1"]).1;
    assert!(!next["steps"].as_array().unwrap().is_empty());
    // Class 4.6 does not add up: it is shown and not begun.
    let (code, shown) = json(home.path(), &["change", "flywheel-1", "--as-received", "rods.class=4.6"]);
    assert_eq!((code, shown["ok"].as_bool()), (1, Some(false)));
}

/// A joint half done when a change begins, and one that the change eases, looks tight and is not: it is told until it is final.
#[test]
fn joints_half_done_or_eased_are_told_through_a_change() {
    let home = tempfile::tempdir().unwrap();
    built(home.path(), Some("tighten-rods-final"));
    let open = |session: &Session| -> BTreeMap<String, Option<String>> {
        let joints = session.record().open_joints();
        joints.iter().map(|j| (j.group.to_owned(), j.reached.map(str::to_owned))).collect()
    };
    let store = Store::locate(Some(home.path())).unwrap();
    let before = open(&store.resume("flywheel-1").unwrap());
    assert!(before.contains_key("rods"), "{before:?}");
    let args = ["change", "flywheel-1", "--redo", "tighten-rods-snug", "--reason", "slipped", "--begin", "--by", "mh"];
    let (code, shown) = json(home.path(), &args);
    assert_eq!(code, 0, "{shown}");
    let mut session = store.resume("flywheel-1").unwrap();
    assert_eq!(open(&session), before, "a change that is only begun eases nothing");
    let eases = |s: &Step| s.operation == "release" && s.group.as_deref() == Some("rods");
    let easing = session.record().plan().steps.iter().find(|s| eases(s)).unwrap().clone();
    let next = session.record().plan().steps[easing.number as usize].id.clone();
    enter_all(&mut session, Some(&next));
    let eased = open(&session);
    assert_eq!(eased.get("rods"), Some(&easing.stage), "{eased:?}");
    // Everything the first plan left half done is told until its last stage, whatever the plan of the change calls it.
    while let Some(step) = session.record().current_step().cloned() {
        let told = open(&session);
        for group in before.keys() {
            let left = |s: &&Step| s.operation == "tighten" && s.group.as_ref() == Some(group);
            let left = session.record().plan().steps.iter().filter(left);
            let left = left.filter(|s| session.record().step_state(&s.id) != StepState::Done).count();
            assert_eq!(told.contains_key(group), left > 0, "{group} at {}", step.id);
        }
        let after = session.record().plan().steps.get(step.number as usize).map(|s| s.id.clone());
        enter_all(&mut session, after.as_deref());
    }
    assert!(open(&session).is_empty());
}
