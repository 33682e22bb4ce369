//! The demo built in a pseudo-terminal from the first step to the close-out: every kind of check, a reading outside its
//! limits with its disposition, another one measured again, a kill -9 in the middle.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use common::terminal::Terminal;
use common::{good, json, runtrue};
use serde_json::Value;

const TAB: &str = "\t";
const ENTER: &str = "\r";
const DOWN: &str = "\x1b[B";
const PAGE_DOWN: &str = "\x1b[6~";

/// The line of the limits stands at the left; "Wanted is" and "Wanted are" begin sentences of the words.
fn entry_opens(screen: &str) -> bool {
    let words = |l: &str| l.starts_with("Wanted is") || l.starts_with("Wanted are");
    let opens = |l: &str| ["Limits ", "Wanted ", "No limits: "].iter().any(|word| l.starts_with(word));
    screen.lines().any(|l| opens(l) && !words(l))
}

struct Fitter {
    terminal: Terminal,
    saved: u64,
    kinds: std::collections::BTreeSet<String>,
}

impl Fitter {
    /// Sends keys and waits for a new entry to be saved.
    fn until_saved(&mut self, keys: &str, word: &str) -> String {
        self.terminal.send(keys);
        let before = self.saved;
        let is_new = |screen: &str| Terminal::number_after(screen, word).is_some_and(|n| n > before);
        let screen = self.terminal.wait_until(word, is_new);
        self.saved = Terminal::number_after(&screen, word).unwrap();
        screen
    }

    fn read_to_the_end(&mut self) {
        // A frame may come in pieces; it is whole once the entry shows one of the two.
        let opens = |s: &str| entry_opens(s) || s.contains("lie side by side");
        let whole = |s: &str| !s.contains("DONE. Tab") && (s.contains("Read to the end first") || opens(s));
        let mut screen = self.terminal.wait_until("the entry of the step", whole);
        let mut page = 1u64;
        while screen.contains("Read to the end first") {
            page += 1;
            self.terminal.send(PAGE_DOWN);
            let head = format!("page {page} of ");
            screen = self.terminal.wait_for(&head);
            if Terminal::number_after(&screen, &head) == Some(page) {
                screen = self.terminal.wait_until("the entry opens", |s| !s.contains("Read to the end first"));
            }
        }
    }

    /// Narrow lengths ask first whether part and instrument lay together.
    fn soaked(&mut self) {
        let opens = |s: &str| entry_opens(s) || s.contains("lie side by side");
        if self.terminal.wait_until("the entry or its question", opens).contains("lie side by side") {
            self.terminal.send("y");
            self.terminal.wait_until("the entry opens", entry_opens);
        }
    }

    fn check(&mut self, step: &Value, check: &Value) {
        let kind = check["kind"].as_str().unwrap();
        self.kinds.insert(kind.to_owned());
        let values: Vec<String> = good(check).iter().map(|v| v.split(' ').next().unwrap().to_owned()).collect();
        let typed: String = values.iter().map(|v| format!("{v}{ENTER}")).collect();
        let bolts = step["sequence"].as_array().map_or(0, Vec::len);
        match kind {
            "derived" => return,
            // A person types what stands on the part.
            "confirm" if check["wanted"].is_string() => {
                let words = check["wanted"].as_str().unwrap();
                self.until_saved(&format!("{words}{ENTER}"), "Saved, entry")
            }
            "confirm" => self.until_saved("y", "Saved, entry"),
            // Each disc carries the number of its place.
            "count" if check["id"] == "number" => {
                let number = step["id"].as_str().unwrap().rsplit('-').next().unwrap();
                self.until_saved(&format!("{number}{ENTER}"), "Saved, entry")
            }
            "gauge" => self.until_saved("yn", "Saved, entry"),
            "torque" if check["unit"].is_null() => self.until_saved(&format!("0{ENTER}"), "Saved, entry"),
            // The final pass is read from an indicating wrench, the others are clicks.
            "torque" if step["id"] == "tighten-rods-final" => {
                let nominal = check["nominal"].as_str().unwrap();
                self.until_saved(&format!("{nominal}{ENTER}").repeat(bolts), "Saved, entry")
            }
            "torque" => self.until_saved(&" ".repeat(bolts), "Saved, entry"),
            "text" => self.until_saved(&format!("lot 47/11 q{ENTER}"), "Saved, entry"),
            "wait" => {
                self.until_saved("k", "Saved, entry");
                self.terminal.send("e");
                self.terminal.wait_for("End the wait early");
                self.until_saved(&format!("mh{ENTER}{ENTER}trial of the guide{ENTER}"), "Ended, entry")
            }
            _ if check["critical"] == true => {
                self.terminal.send(&typed);
                self.terminal.wait_for("type it a second time");
                self.kinds.insert("critical".into());
                self.until_saved(&typed, "Saved, entry")
            }
            _ => self.until_saved(&typed, "Saved, entry"),
        };
    }

    fn release(&mut self) {
        self.terminal.wait_for("HELD until");
        self.terminal.send("s");
        self.terminal.wait_for("Release this hold point");
        self.terminal.send(&format!("ak{ENTER}"));
        // Where it wraps in the window depends on the title of the step.
        let inside = |s: &str| -> String {
            let window = s.lines().filter_map(|l| l.split('│').nth(1)).flat_map(str::split_whitespace);
            window.collect::<Vec<_>>().join(" ")
        };
        self.terminal.wait_until("the refusal", |s| inside(s).contains(") is released by the role"));
        self.terminal.send("\x1b");
        self.terminal.wait_until("the window closed", |s| !s.contains("Release this hold point"));
        self.terminal.send("s");
        self.terminal.wait_for("Release this hold point");
        self.until_saved(&format!("mh{ENTER}{ENTER}"), "Released, entry");
    }
}

#[test]
fn the_demo_is_built_in_a_terminal() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let (_, plan) = json(home, &["plan", "flywheel"]);
    let steps = plan["steps"].as_array().unwrap();
    let mut fitter =
        Fitter { terminal: Terminal::start(&[], 80, 24, home), saved: 0, kinds: std::collections::BTreeSet::new() };
    let bench = fitter.terminal.wait_for("Flywheel of the pedal thresher");
    let mut modules = bench.lines().skip_while(|l| !l.starts_with("Modules")).skip(1);
    let at = modules.position(|l| l.trim_start_matches(['>', ' ']).starts_with("flywheel ")).unwrap();
    fitter.terminal.send(&format!("{}{ENTER}", DOWN.repeat(at)));
    fitter.terminal.wait_for("Start a build of flywheel");
    fitter.terminal.send(&format!("ak{ENTER}017{ENTER}{ENTER}{ENTER}{ENTER}{ENTER}"));
    fitter.terminal.wait_for("The build is started");
    for (k, step) in steps.iter().enumerate() {
        let head = format!("step {} of {}", k + 1, steps.len());
        fitter.terminal.wait_for(&head);
        if k == 50 {
            fitter.terminal.kill();
            fitter.terminal = Terminal::start(&["resume", "--by", "ak"], 80, 24, home);
            for left in ["3 to go", "2 to go", "1 to go"] {
                fitter.terminal.wait_for("look at these again");
                fitter.terminal.wait_for(left);
                fitter.terminal.send("w");
            }
            fitter.terminal.wait_until("the same step", |s| s.contains(&head) && !s.contains("look at these again"));
        }
        fitter.read_to_the_end();
        for check in step["checks"].as_array().unwrap() {
            if check["kind"] != "derived" {
                fitter.soaked();
            }
            if step["id"] == "inspect-collar-far" && check["id"] == "width" {
                let screen = fitter.until_saved(&format!("20,2{ENTER}"), "Saved, entry");
                assert!(screen.contains("OUTSIDE") && screen.contains("0.1 mm above the upper limit"), "{screen}");
                fitter.terminal.send("d");
                fitter.terminal.wait_for("Decide on a reading");
                fitter.until_saved(
                    &format!("{ENTER}{DOWN}{DOWN}{ENTER}rods are long enough{ENTER}{ENTER}mh{ENTER}"),
                    "kept, entry",
                );
                continue;
            }
            if step["id"] == "inspect-shaft" && check["id"] == "run-out" {
                fitter.terminal.send(&format!("0.9{ENTER}{ENTER}"));
                fitter.terminal.wait_for("0.9 mm? Hardly");
                let screen = fitter.until_saved("y", "Saved, entry");
                assert!(screen.contains("OUTSIDE") && screen.contains("Measure again and type"), "{screen}");
            }
            fitter.check(step, check);
        }
        if !step["hold"].is_null() {
            fitter.release();
        }
        fitter.terminal.send(if k + 1 < steps.len() { TAB } else { "x" });
    }
    let screen = fitter.terminal.wait_for("Code for the plate");
    let expected = ["confirm", "count", "critical", "derived", "gauge", "measure", "series", "text", "torque", "wait"];
    assert_eq!(fitter.kinds.iter().map(String::as_str).collect::<Vec<_>>(), expected);
    let (code, verified) = json(home, &["verify", "flywheel-017"]);
    assert_eq!(code, 0, "{verified}");
    let plate = verified["code"].as_str().unwrap().to_owned();
    assert!(screen.contains(&plate), "{plate}\n{screen}");
    fitter.terminal.send("\x1b");
    fitter.terminal.wait_for("Builds done");
    fitter.terminal.send("q");
    assert_eq!(fitter.terminal.ended(), 0);
    assert!(!fitter.terminal.parser().screen().alternate_screen(), "the terminal is given back");
    assert!(!fitter.terminal.parser().screen().hide_cursor(), "the cursor is given back");
    reviewed_from_the_file_alone(home, &plate);
}

fn reviewed_from_the_file_alone(home: &std::path::Path, plate: &str) {
    let elsewhere = tempfile::tempdir().unwrap();
    let to = elsewhere.path().join("builds/flywheel-017");
    std::fs::create_dir_all(&to).unwrap();
    std::fs::copy(home.join("builds/flywheel-017/traveler.yaml"), to.join("traveler.yaml")).unwrap();
    let review =
        String::from_utf8(runtrue(elsewhere.path(), &["export", "flywheel-017", "--format", "markdown"]).stdout)
            .unwrap();
    for part in [
        "record unchanged",
        "use-as-is by mh (design): rods are long enough",
        "~~0.9 mm~~ superseded: measured again",
        "ended early by mh",
        plate,
    ] {
        assert!(review.contains(part), "{part} is missing");
    }
}

#[test]
fn the_terminal_comes_back_after_a_signal_and_a_small_window_keeps_the_entry() {
    let home = tempfile::tempdir().unwrap();
    json(home.path(), &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    let mut terminal = Terminal::start(&["resume", "flywheel-1", "--by", "ak"], 80, 24, home.path());
    terminal.wait_for("step 1 of");
    terminal.send("y");
    terminal.wait_for("Temperature at the bench");
    terminal.send("21,5");
    terminal.wait_for("21,5_");
    terminal.resize(72, 20);
    terminal.wait_for("Needs 80 x 24, now 72 x 20; your entry is kept");
    terminal.resize(80, 24);
    terminal.wait_for("21,5_");
    // A paste goes into the entry and fires no keys, not even those of its line ends.
    terminal.send("\x1b[200~7q\r\x1b[201~");
    terminal.wait_for("21,57q_");
    terminal.signal("TERM");
    terminal.ended();
    let screen = terminal.parser().screen();
    assert!(!screen.alternate_screen() && !screen.hide_cursor() && !screen.bracketed_paste());
}

/// A window closed by its cross: the terminal is gone, the program ends and frees the record.
#[test]
fn a_terminal_that_is_gone_ends_the_program() {
    use std::io::Read;

    use portable_pty::{CommandBuilder, PtySize, native_pty_system};

    let home = tempfile::tempdir().unwrap();
    json(home.path(), &["build", "flywheel", "--serial", "1", "--by", "ak", "--no-open"]);
    let pair = native_pty_system().openpty(PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 }).unwrap();
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_runtrue"));
    command.env_clear();
    command.env("RUNTRUE_HOME", home.path());
    command.args(["resume", "flywheel-1", "--by", "ak"]);
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let mut seen = String::new();
    let mut buffer = [0; 4096];
    while !seen.contains("step 1 of") {
        let n = reader.read(&mut buffer).unwrap();
        seen.push_str(&String::from_utf8_lossy(&buffer[..n]));
    }
    drop(reader);
    drop(pair.master);
    child.wait().unwrap();
    assert_eq!(
        json(home.path(), &["enter", "flywheel-1", "inspect-instruments", "zero", "yes", "--by", "ak"]).0,
        0,
        "the lock is free"
    );
}
