//! The shape of the source: rooms use those below them only, files and functions stay small, engine names no kind.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::path::{Path, PathBuf};

/// Rooms from the top down.
const ROOMS: [&str; 8] = ["cli", "tui", "traveler", "procedure", "module", "mechanics", "standards", "quantity"];

/// Every source file of a folder and of those in it, with its text.
fn files(folder: &str) -> Vec<(PathBuf, String)> {
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
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut out);
    assert!(!out.is_empty(), "{folder}");
    out
}

fn sources() -> Vec<(PathBuf, String)> {
    let all = files("src");
    assert!(all.len() > 200);
    all
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
fn files_stay_small() {
    for (path, text) in ["src", "tests", "benches", "fuzz", "tools"].iter().flat_map(|f| files(f)) {
        assert!(text.lines().count() <= 400, "{} has {} lines", path.display(), text.lines().count());
    }
}

#[test]
fn functions_stay_small() {
    let mut seen = 0;
    for (path, text) in sources().into_iter().filter(|(p, _)| !is_test(p)) {
        let lines: Vec<&str> = code(&text).lines().collect();
        let mut start: Option<(usize, usize)> = None;
        for (n, line) in lines.iter().enumerate() {
            let indent = line.len() - line.trim_start().len();
            let words = line.trim_start();
            let open = ["fn ", "pub", "const fn "].iter().any(|f| words.starts_with(f));
            let begins = open && format!(" {words}").contains(" fn ");
            if begins && start.is_none() {
                start = Some((n, indent));
            }
            if let Some((from, depth)) = start
                && words.starts_with('}')
                && indent == depth
            {
                assert!(n - from < 80, "{}:{}: a function of {} lines", path.display(), from + 1, n - from + 1);
                start = None;
                seen += 1;
            }
        }
    }
    assert!(seen > 1_000, "{seen} functions measured");
}

#[test]
fn the_engine_names_no_kind_of_part_or_operation() {
    let kinds = ["collar", "disc", "bearing", "pulley", "belt", "rod", "sled", "guard", "ream", "tension", "pinch"];
    let engine =
        sources().into_iter().filter(|(p, _)| p.to_string_lossy().contains("procedure/engine/") && !is_test(p));
    let engine: Vec<_> = engine.collect();
    assert!(engine.len() > 5, "{} files", engine.len());
    for (path, text) in engine {
        for (n, line) in (1..).zip(code(&text).lines()) {
            for word in line.to_lowercase().split(|c: char| !c.is_alphanumeric()) {
                let one = word.strip_suffix('s').unwrap_or(word);
                assert!(!kinds.contains(&word) && !kinds.contains(&one), "{}:{n}: {line}", path.display());
            }
        }
    }
}

#[test]
fn no_test_sleeps() {
    let sleeps = concat!("sl", "eep(");
    for (path, text) in files("tests") {
        assert!(!text.contains(sleeps), "{}", path.display());
    }
    for (path, text) in sources() {
        let tests = if is_test(&path) { text.as_str() } else { &text[code(&text).len()..] };
        assert!(!tests.contains(sleeps), "{}", path.display());
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

/// Units, and words for what has none.
const UNITS: &str = " mm mm2 mm² µm um n n·m nm ° deg degrees rpm rad kg g g·mm gmm mpa gpa pa hz k kelvin w kw m/s mm/s j s seconds h \
    hours grams metre years days hv % percent share ratio factor multiple times number count safety friction unit kgm2 kg·m² turns ";

fn is_unit(word: &str) -> bool {
    !word.is_empty() && UNITS.contains(&format!(" {word} "))
}

/// What a doc comment says outside of its formulas, examples and errors. A letter alone is a unit only behind "in", or the unit
/// before it: "in N and m".
fn prose_has_unit(doc: &str) -> bool {
    let prose = doc.split("```").next().unwrap().split("# Errors").next().unwrap().to_lowercase().replace("'s", "");
    let bare: String = prose.split('`').step_by(2).collect::<Vec<_>>().join(" ");
    let words: Vec<&str> =
        bare.split(|c: char| !c.is_alphanumeric() && !"·°%/".contains(c)).filter(|w| !w.is_empty()).collect();
    let behind_in = |at: usize| words[at.saturating_sub(3)..at].contains(&"in");
    (0..words.len())
        .any(|at| is_unit(words[at]) && (words[at].chars().count() > 1 || "°%".contains(words[at]) || behind_in(at)))
}

/// Whether the name of a bare number, or that of the function, ends in a unit, as `torque_nm` does, or is the word for what has none.
fn names_have_unit(signature: &str) -> bool {
    let bare = signature.split(['(', ',']).enumerate().filter(|(k, part)| *k == 0 || part.contains("f64"));
    let names = bare.flat_map(|(_, part)| part.split(|c: char| !c.is_alphanumeric() && c != '_'));
    names.into_iter().any(|name| match name.rsplit_once('_') {
        Some((_, last)) => is_unit(last),
        None => name.len() > 1 && is_unit(name),
    })
}

/// In the rooms that compute, every public function that takes or gives a bare number says its unit, or that it has none.
#[test]
fn a_bare_number_says_its_unit() {
    let (mut seen, mut silent) = (0, Vec::new());
    let computes = ["quantity", "standards", "mechanics"].map(|r| ROOMS.iter().position(|room| *room == r));
    for (file, text) in sources().into_iter().filter(|(path, _)| computes.contains(&room(path)) && !is_test(path)) {
        let lines: Vec<&str> = text.split("#[cfg(test)]").next().unwrap().lines().collect();
        for (at, line) in lines.iter().enumerate() {
            let open = line.trim_start();
            // Functions made by the macro of the quantities have their unit in their name.
            if !(open.starts_with("pub fn ") || open.starts_with("pub const fn ")) || open.contains("fn $") {
                continue;
            }
            let end = lines[at..].iter().position(|l| l.contains('{')).map_or(at, |k| at + k);
            let signature = lines[at..=end].concat();
            if !signature.contains("f64") {
                continue;
            }
            seen += 1;
            let told = prose_has_unit(&doc_above(&lines, at)) || names_have_unit(&signature);
            silent.extend((!told).then(|| format!("{}:{}: {open}", file.display(), at + 1)));
        }
    }
    assert!(silent.is_empty(), "no unit:\n{}", silent.join("\n"));
    assert!(seen > 80, "{seen} functions with bare numbers");
}

/// A table, or each row or value of it, says where it is from: `source` in it, `NAME_source` beside it, or `source` of the file.
#[test]
fn every_row_of_every_table_has_its_source() {
    fn text(value: &serde_yaml::Value) -> bool {
        value.as_str().is_some_and(|s| s.len() > 4)
    }
    fn sourced(value: &serde_yaml::Value) -> bool {
        match value {
            serde_yaml::Value::Sequence(rows) => !rows.is_empty() && rows.iter().all(sourced),
            serde_yaml::Value::Mapping(map) => {
                map.get("source").is_some_and(text) || map.iter().all(|(key, inner)| beside(map, key, inner))
            }
            _ => false,
        }
    }
    fn beside(map: &serde_yaml::Mapping, key: &serde_yaml::Value, value: &serde_yaml::Value) -> bool {
        let key = key.as_str().unwrap();
        let of = |k: &serde_yaml::Value| {
            k.as_str().and_then(|k| k.strip_suffix("_source")).is_some_and(|k| key.starts_with(k))
        };
        key.ends_with("source") && text(value) || map.iter().any(|(k, v)| of(k) && text(v)) || sourced(value)
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/standards/data");
    let mut tables = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let file: serde_yaml::Mapping = serde_yaml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        for (key, value) in &file {
            tables += 1;
            let told = file.get("source").is_some_and(text) || beside(&file, key, value);
            assert!(told, "{}: {key:?} has no source", path.display());
        }
    }
    assert!(tables > 60, "{tables} tables");
}

/// No source of the program names what speaks to a network.
#[test]
fn nothing_here_speaks_to_a_network() {
    for (path, text) in sources() {
        for word in ["std::net", "TcpStream", "UdpSocket", "ToSocketAddrs"] {
            assert!(!text.contains(word), "{}: {word}", path.display());
        }
    }
}
