//! The shape of the source: rooms use those below them only, files and functions stay small, engine names no kind.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::path::{Path, PathBuf};

/// Rooms from the top down.
const ROOMS: [&str; 8] = ["cli", "tui", "traveler", "procedure", "module", "mechanics", "standards", "quantity"];

fn sources() -> Vec<(PathBuf, String)> {
    fn walk(folder: &Path, out: &mut Vec<(PathBuf, String)>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, out);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                out.push((path, text));
            }
        }
    }
    let mut out = Vec::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut out);
    assert!(out.len() > 50);
    out
}

/// The code without its tests.
fn code(text: &str) -> &str {
    text.split("#[cfg(test)]\nmod tests {").next().unwrap()
}

fn is_test(path: &Path) -> bool {
    path.file_stem().and_then(|s| s.to_str()).is_some_and(|s| s == "tests" || s.ends_with("_tests"))
}

fn room(path: &Path) -> Option<usize> {
    let inside = path.strip_prefix(Path::new(env!("CARGO_MANIFEST_DIR")).join("src")).unwrap();
    let first = inside.components().next().unwrap().as_os_str().to_str().unwrap();
    ROOMS.iter().position(|r| *r == first)
}

#[test]
fn rooms_use_those_below_them_only() {
    for (path, text) in sources() {
        let Some(own) = room(&path) else { continue };
        for (n, line) in (1..).zip(code(&text).lines()) {
            for name in ROOMS.iter().take(own) {
                let used = line.contains(&format!("crate::{name}::")) || line.contains(&format!("crate::{name};"));
                assert!(
                    !used || line.trim_start().starts_with("//"),
                    "{}:{n}: {} uses {name}",
                    path.display(),
                    ROOMS[own]
                );
            }
        }
    }
}

#[test]
fn files_and_functions_stay_small() {
    for (path, text) in sources().into_iter().filter(|(p, _)| !is_test(p)) {
        let code = code(&text);
        assert!(code.lines().count() <= 400, "{} has {} lines", path.display(), code.lines().count());
        let lines: Vec<&str> = code.lines().collect();
        let mut start: Option<(usize, usize)> = None;
        for (n, line) in lines.iter().enumerate() {
            let indent = line.len() - line.trim_start().len();
            let words = line.trim_start();
            let begins = ["fn ", "pub fn ", "pub(super) fn ", "pub(crate) fn ", "pub const fn ", "const fn "]
                .iter()
                .any(|f| words.starts_with(f));
            if begins && start.is_none() {
                start = Some((n, indent));
            }
            if let Some((from, depth)) = start
                && words.starts_with('}')
                && indent == depth
            {
                assert!(n - from < 80, "{}:{}: a function of {} lines", path.display(), from + 1, n - from + 1);
                start = None;
            }
        }
    }
}

#[test]
fn the_engine_names_no_kind_of_part_or_operation() {
    let kinds = ["collar", "disc", "bearing", "pulley", "belt", "rod", "sled", "guard", "ream", "tension", "pinch"];
    for (path, text) in sources() {
        if !path.to_string_lossy().contains("procedure/engine/") || is_test(&path) {
            continue;
        }
        for (n, line) in (1..).zip(code(&text).lines()) {
            for word in line.to_lowercase().split(|c: char| !c.is_alphanumeric()) {
                assert!(!kinds.contains(&word), "{}:{n}: {line}", path.display());
            }
        }
    }
}

#[test]
fn no_test_sleeps() {
    for folder in ["tests", "tests/common"] {
        for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "rs") {
                let needle = concat!("sl", "eep(");
                assert!(!std::fs::read_to_string(&path).unwrap().contains(needle), "{}", path.display());
            }
        }
    }
}

/// What a doc comment above line `at` says, attributes between left out.
fn doc_above(lines: &[&str], at: usize) -> String {
    let own = lines[..at].iter().rev().map(|l| l.trim()).take_while(|l| l.starts_with("///") || l.starts_with('#'));
    let mut own: Vec<&str> = own.collect();
    own.reverse();
    own.join("\n")
}

/// In the rooms that compute, every public function shows itself in an example that asserts, and says when it fails.
#[test]
fn what_computes_is_documented() {
    let mut seen = 0;
    let computes = ["quantity", "standards", "mechanics"].map(|r| ROOMS.iter().position(|room| *room == r));
    for (file, text) in sources().into_iter().filter(|(path, _)| computes.contains(&room(path))) {
        let code = text.split("#[cfg(test)]").next().unwrap();
        let lines: Vec<&str> = code.lines().collect();
        let examples: String = lines.iter().filter(|l| l.trim_start().starts_with("///")).copied().collect();
        for (at, line) in lines.iter().enumerate() {
            let open = line.trim_start();
            let Some(rest) = open.strip_prefix("pub fn ").or_else(|| open.strip_prefix("pub const fn ")) else {
                continue;
            };
            let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            // Functions made by the macro of the quantities carry their example there.
            if name.is_empty() {
                continue;
            }
            seen += 1;
            let doc = doc_above(&lines, at);
            let shown = doc.contains("```") || examples.contains(&format!(".{name}("));
            assert!(shown, "{}: {name} has no example", file.display());
            let signature: String =
                lines[at..].iter().take_while(|l| !l.contains('{')).chain([&lines[at]]).copied().collect();
            assert!(
                !signature.contains("Result<") || doc.contains("# Errors"),
                "{}: {name} does not say when it fails",
                file.display()
            );
        }
    }
    assert!(seen > 250, "{seen} public functions looked at");
}
