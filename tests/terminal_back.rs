//! The terminal always comes back: however the program ends or pauses, screen, cursor and modes are as before.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use std::collections::BTreeMap;

use common::json;
use common::terminal::Terminal;
use runtrue::procedure::plan::Plan;
use runtrue::traveler::Store;
use runtrue::tui::{ModuleOffer, Modules};

const CTRL_Z: &str = "\x1a";
const CTRL_C: &str = "\x03";

fn at_work(home: &std::path::Path) -> Terminal {
    json(home, &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    let mut terminal = Terminal::start(&["resume", "flywheel-1", "--by", "ak"], 80, 24, home);
    terminal.wait_for("step 1 of");
    assert!(!terminal.given_back(), "the guide has the terminal, or this test proves nothing");
    terminal
}

#[test]
fn after_quit_and_after_control_c() {
    for keys in ["qq", CTRL_C] {
        let home = tempfile::tempdir().unwrap();
        let mut terminal = at_work(home.path());
        for key in keys.chars() {
            terminal.send(&key.to_string());
        }
        assert_eq!(terminal.ended(), 0);
        assert!(terminal.given_back(), "{keys:?}");
    }
}

#[test]
fn after_every_signal_that_asks_it_to_end() {
    for name in ["TERM", "HUP", "INT"] {
        let home = tempfile::tempdir().unwrap();
        let mut terminal = at_work(home.path());
        terminal.signal(name);
        assert_ne!(terminal.ended(), 0, "it ends by the signal, as its parent expects");
        assert!(terminal.given_back(), "{name}");
    }
}

#[test]
fn while_it_is_suspended_and_the_guide_is_there_again_afterwards() {
    let home = tempfile::tempdir().unwrap();
    let mut terminal = at_work(home.path());
    for by_key in [true, false] {
        if by_key {
            terminal.send(CTRL_Z);
        } else {
            terminal.signal("TSTP");
        }
        terminal.stopped();
        terminal.wait_until("the screen of before", |s| !s.contains("step 1 of"));
        assert!(terminal.given_back(), "by key: {by_key}");
        terminal.signal("CONT");
        terminal.wait_for("step 1 of");
        assert!(!terminal.given_back());
    }
    // Stopped from outside without a word: nothing could be given back, but all is drawn anew.
    terminal.signal("STOP");
    terminal.stopped();
    terminal.signal("CONT");
    terminal.send("y");
    terminal.wait_for("Temperature at the bench");
    terminal.send("qq");
    assert_eq!(terminal.ended(), 0);
    assert!(terminal.given_back());
}

#[test]
fn after_words_that_do_not_read_and_why_can_be_read() {
    let home = tempfile::tempdir().unwrap();
    std::fs::create_dir(home.path().join("operations")).unwrap();
    std::fs::write(home.path().join("operations/clean.yaml"), "no words").unwrap();
    let mut terminal = Terminal::start(&[], 80, 24, home.path());
    assert_eq!(terminal.ended(), 2);
    assert!(terminal.given_back());
    let screen = terminal.screen();
    assert!(screen.contains("clean.yaml"), "{screen}");
}

/// A module whose kit cannot be put together: a fault of the program itself, on the thread that draws and works.
struct Faulty;

impl Modules for Faulty {
    fn list(&self) -> Vec<ModuleOffer> {
        vec![ModuleOffer { name: "faulty".into(), title: "With a fault".into(), axes: Vec::new() }]
    }

    fn plan(&self, _: &str, _: &BTreeMap<String, String>) -> Result<(Plan, String), String> {
        Err("none".into())
    }

    fn kit(&self, name: &str) -> Result<runtrue::procedure::kit::Kit, String> {
        assert!(name.is_empty(), "a fault put here on purpose");
        Err("none".into())
    }
}

/// Run by the test below inside a pseudo-terminal; alone it does nothing.
#[test]
#[ignore = "started in a terminal by the test below"]
fn the_guide_with_a_fault() {
    if let Some(home) = std::env::var_os("RUNTRUE_HOME") {
        let store = Store::locate(Some(std::path::Path::new(&home))).unwrap();
        let _ = runtrue::tui::run(store, &Faulty, &runtrue::tui::Opening::Bench, None);
    }
}

#[test]
fn after_a_panic_and_its_message_can_be_read() {
    let home = tempfile::tempdir().unwrap();
    let this = std::env::current_exe().unwrap();
    let arguments = ["--ignored", "--exact", "--nocapture", "the_guide_with_a_fault"];
    let mut terminal = Terminal::start_program(&this, &arguments, 80, 24, home.path());
    terminal.wait_for("the bench");
    terminal.send("k");
    assert_ne!(terminal.ended(), 0);
    assert!(terminal.given_back());
    let screen = terminal.screen();
    assert!(screen.contains("a fault put here on purpose"), "{screen}");
}
