//! A record verified without the program, by a short shell script.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::path::Path;
use std::process::Command;

use common::json;

fn verify(file: &Path) -> (bool, String) {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/verify.sh");
    let output = Command::new("sh").arg(script).arg(file).output().unwrap();
    (output.status.success(), String::from_utf8(output.stdout).unwrap())
}

#[test]
fn the_script_is_short() {
    assert!(include_str!("verify.sh").lines().count() <= 30);
}

/// The sample was written by the first version of format 1 and stays for ever.
#[test]
fn the_sample_of_format_1_is_whole_for_the_script_and_for_the_program() {
    let sample = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/samples/format-1.yaml"));
    let (good, said) = verify(sample);
    assert!(good && said.contains("events, unchanged"), "{said}");
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("builds/flywheel-sample");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::copy(sample, folder.join("traveler.yaml")).unwrap();
    let (code, verified) = json(home.path(), &["verify", "flywheel-sample"]);
    assert_eq!((code, verified["whole"].as_bool()), (0, Some(true)));
    let review = json(home.path(), &["review", "flywheel-sample"]).1;
    assert_eq!(review["serial"], "sample");
    let first = &review["steps"][0]["readings"];
    assert_eq!(first[1]["verdict"], "outside");
    assert_eq!(first[2]["entered"], "21,5 °C");
}

/// Every sample of a released format is read for ever; what the programs of its time wrote is shown as it was.
#[test]
fn every_sample_is_whole_for_the_script_and_reads_the_same_for_ever() {
    let samples = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/samples"));
    let mut seen = 0;
    for entry in std::fs::read_dir(samples).unwrap() {
        let sample = entry.unwrap().path();
        if sample.extension().is_none_or(|e| e != "yaml") {
            continue;
        }
        seen += 1;
        let name = sample.display().to_string();
        let (good, said) = verify(&sample);
        assert!(good, "{name}: {said}");
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("builds/a-sample");
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::copy(&sample, folder.join("traveler.yaml")).unwrap();
        // Files kept with the build stand in a folder of the sample's name.
        let kept = sample.with_extension("").join("attachments");
        if kept.is_dir() {
            std::fs::create_dir(folder.join("attachments")).unwrap();
            for file in std::fs::read_dir(kept).unwrap().map(Result::unwrap) {
                std::fs::copy(file.path(), folder.join("attachments").join(file.file_name())).unwrap();
            }
        }
        let (code, verified) = json(home.path(), &["verify", "a-sample"]);
        assert_eq!((code, verified["whole"].as_bool()), (0, Some(true)), "{name}: {verified}");
        let csv = String::from_utf8(common::runtrue(home.path(), &["export", "a-sample", "--format", "csv"]).stdout);
        let kept = std::fs::read_to_string(sample.with_extension("csv")).unwrap();
        assert!(csv.unwrap() == kept, "{name}: its readings are not what {name} with .csv holds");
    }
    assert!(seen >= 2, "{seen} samples");
}

#[test]
fn the_script_finds_a_changed_byte() {
    let home = tempfile::tempdir().unwrap();
    json(home.path(), &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    json(home.path(), &["enter", "flywheel-1", "inspect-instruments", "zero", "yes", "--by", "ak"]);
    let file = home.path().join("builds/flywheel-1/traveler.yaml");
    assert!(verify(&file).0);
    let text = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, text.replacen("role: fitter", "role: design", 1)).unwrap();
    let (good, said) = verify(&file);
    assert!(!good && said.contains("event 2: altered"), "{said}");
}
