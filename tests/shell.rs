//! Completion scripts and manual pages.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

mod common;

use common::runtrue;

#[test]
fn every_shell_completes_every_command() {
    let home = tempfile::tempdir().unwrap();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = String::from_utf8(runtrue(home.path(), &["completions", shell]).stdout).unwrap();
        for command in ["check", "plan", "kit", "resume", "calc", "four-run"] {
            assert!(script.contains(command), "{shell} does not know {command}");
        }
    }
}

#[test]
fn manual_pages_are_written_where_asked() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("pages");
    let at = folder.to_str().unwrap();
    let refused = runtrue(home.path(), &["man", "--into", at]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("make it first"));
    std::fs::create_dir(&folder).unwrap();
    assert!(runtrue(home.path(), &["man", "--into", at]).status.success());
    let page = std::fs::read_to_string(folder.join("runtrue-calc-torque.1")).unwrap();
    assert!(page.contains("preload") && page.contains("Examples"));
    let whole = String::from_utf8(runtrue(home.path(), &["man"]).stdout).unwrap();
    assert!(whole.starts_with(".ie") || whole.starts_with(".TH"), "{whole}");
}
