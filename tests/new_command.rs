//! `new` as a builder meets it: asked at a terminal, by flags without one, refused with the answer that is to blame.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use runtrue::module;
use runtrue::procedure::design_check::{self, Severity};

mod common;
use common::terminal::Terminal;
use common::{json, runtrue};

#[test]
fn without_a_terminal_flags_and_defaults_make_a_spec_that_checks_clean() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mill.yaml");
    let path = file.to_string_lossy();
    let given = ["new", "--name", "bean-mill", "--discs", "2", "--speeds", "120 rpm", "-o", &path];
    let (code, said) = json(folder.path(), &given);
    assert_eq!((code, said["ok"].as_bool(), said["file"].as_str()), (0, Some(true), Some(&*path)), "{said}");
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(said["spec"] == text && text.starts_with("runtrue: spec 1\nmodule: bean-mill\n"), "{text}");
    // As a demo by hand: remarks beside the values, short maps on one line.
    assert!(text.contains("  speed: 130 rpm                 # of the rotor, never to be passed\n"), "{text}");
    assert!(text.contains("  pinch: { count: 2, size: "), "{text}");
    let checked = design_check::check(&module::open(&path).unwrap());
    assert!(checked.ok && checked.findings.iter().all(|f| f.severity == Severity::Note), "{:?}", checked.findings);
    assert!(text.contains("# cut by laser: machine it first, or leave another allowance to ream"), "{text}");
    // What is there is not written over, not even by the same.
    let (code, said) = json(folder.path(), &given);
    assert!(code == 2 && said["reason"].as_str().unwrap().contains("is there already"), "{said}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
}

#[test]
fn a_wrong_flag_is_named_with_its_range_and_what_does_not_add_up_with_what_would_do() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("x.yaml");
    let path = file.to_string_lossy();
    for (flag, value, words) in [
        ("--shaft", "27 mm", "20 to 50 mm in steps of 5"),
        ("--torque", "-3 N·m", "0.1 to 400 N·m"),
        ("--diameter", "300", "mm"),
        ("--load", "wild", "\"shaking\" or \"steady\""),
    ] {
        let (code, said) = json(folder.path(), &["new", "--no-ask", flag, value, "-o", &path]);
        let reason = said["reason"].as_str().unwrap();
        assert!(code == 2 && reason.starts_with(flag) && reason.contains(words), "{reason}");
    }
    let (code, said) = json(folder.path(), &["new", "--no-ask", "--bearings-apart", "150 mm", "-o", &path]);
    assert_eq!(
        (code, said["ok"].as_bool(), said["answer"].as_str()),
        (1, Some(false), Some("bearings-apart")),
        "{said}"
    );
    assert!(
        said["reason"].as_str().unwrap().contains("150 mm apart") && !said["instead"].as_array().unwrap().is_empty()
    );
    let told =
        String::from_utf8(runtrue(folder.path(), &["new", "--no-ask", "--bearings-apart", "150 mm"]).stderr).unwrap();
    assert!(told.starts_with("--bearings-apart: ") && told.contains("Nothing is written."), "{told}");
    assert!(!file.exists(), "nothing is written on failure");
}

#[test]
fn on_a_family_the_spec_is_short_and_reads_with_it() {
    let folder = tempfile::tempdir().unwrap();
    let family = format!("{}/procedures/modules/family.yaml", env!("CARGO_MANIFEST_DIR"));
    std::fs::create_dir(folder.path().join("specs")).unwrap();
    std::fs::copy(family, folder.path().join("shared.yaml")).unwrap();
    let shared = folder.path().join("shared.yaml");
    for (name, more) in [("sorter", ["--discs", "0"]), ("husker", ["--discs", "2"])] {
        let file = folder.path().join(format!("specs/{name}.yaml"));
        let path = file.to_string_lossy();
        let given = ["new", "--name", name, "--speeds", "90 rpm", "--family", &shared.to_string_lossy(), "-o", &path];
        let (code, said) = json(folder.path(), &[&given[..], &more].concat());
        assert_eq!(code, 0, "{said}");
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(text.starts_with("runtrue: spec 1\nbuilds on: ../shared.yaml"), "{text}");
        assert!(!text.contains("temperature at the bench") && !text.contains("people"), "{text}");
        let module = module::open(&path).unwrap_or_else(|p| panic!("{}", p.report()));
        assert_eq!(module.people["design"], ["mh"]);
        assert!(design_check::check(&module).ok);
        assert_eq!(module.stack.is_none(), name == "sorter");
    }
}

/// Twelve questions; Enter takes the default, a wrong answer is asked again with its range, and a bare number has the unit shown.
#[test]
fn at_a_terminal_each_question_shows_its_range_and_a_wrong_answer_is_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("asked.yaml");
    std::fs::write(folder.path().join("taken.yaml"), "not a spec").unwrap();
    let mut terminal = Terminal::start(&["new"], 100, 50, folder.path());
    terminal.wait_for("1 of 12");
    terminal.send("asked\r");
    terminal.wait_for("Enter for 25 mm");
    terminal.send("27\r");
    terminal.wait_for("between two sizes");
    terminal.send("30\r");
    terminal.wait_for("3 of 12");
    terminal.send("1\r");
    for n in 4..=7 {
        terminal.wait_for(&format!("{n} of 12"));
        terminal.send("\r");
    }
    terminal.wait_for("8 of 12");
    terminal.send("100 rpm\r");
    terminal.wait_for("9 of 12");
    terminal.send("\r");
    terminal.wait_for("10 of 12");
    terminal.send("150\r");
    for n in 11..=12 {
        terminal.wait_for(&format!("{n} of 12"));
        terminal.send("\r");
    }
    terminal.wait_for("File to write it to");
    terminal.send(&format!("{}\r", folder.path().join("taken.yaml").display()));
    terminal.wait_for("is there already");
    terminal.send(&format!("{}\r", file.display()));
    // What does not add up is given otherwise, and all other answers stay.
    terminal.wait_for("The answers do not add up: between bearings 150 mm apart there is no room");
    terminal.wait_for("1  Distance between the bearings: ");
    terminal.send("7\r");
    terminal.wait_for("\"7\" is none of them");
    terminal.send("\r");
    terminal.wait_for("Written to");
    assert_eq!(terminal.ended(), 0);
    assert_eq!(std::fs::read_to_string(folder.path().join("taken.yaml")).unwrap(), "not a spec");
    let module = module::open(&file.to_string_lossy()).unwrap();
    assert_eq!((module.id.as_str(), module.shaft.diameter.written.as_str()), ("asked", "30 mm h6"));
}
