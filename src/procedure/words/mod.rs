//! The words of the steps: one file a kind of operation, text with slots, no logic.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use include_dir::{Dir, include_dir};
use serde::Deserialize;

use super::draft::Draft;
use super::meaning;
use super::plan::{Caution, Signal, TemplateUsed};

mod over;

static EMBEDDED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/procedures/operations");

/// A file of words that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {what}")]
pub struct WordsError {
    /// File.
    pub file: String,
    /// What is wrong with it.
    pub what: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    runtrue: String,
    operation: String,
    entries: Vec<Entry>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    when: String,
    title: String,
    #[serde(rename = "do")]
    actions: Vec<String>,
    #[serde(default)]
    tools: Vec<String>,
    #[serde(default)]
    instruments: Vec<String>,
    #[serde(default)]
    cautions: Vec<RawCaution>,
    #[serde(default)]
    checks: BTreeMap<String, String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCaution {
    signal: Signal,
    hazard: String,
    consequence: String,
    avoid: String,
}

/// All files of words.
#[derive(Debug, Clone)]
pub struct Words {
    files: BTreeMap<String, File>,
    used: Vec<TemplateUsed>,
}

/// A draft's words, slots filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rendered {
    /// Title.
    pub title: String,
    /// Sentences.
    pub actions: Vec<String>,
    /// Tools.
    pub tools: Vec<String>,
    /// Instruments.
    pub instruments: Vec<String>,
    /// Cautions, worst first.
    pub cautions: Vec<Caution>,
    /// Prompt of each check, by id; those beside the operation's own are confirmations that a workshop adds.
    pub prompts: BTreeMap<String, String>,
}

/// What the id of a confirmation begins with that a workshop adds of its own.
pub const ADDED: &str = "own-";

/// The words built into the program, read once.
static BUILT_IN: LazyLock<Result<Words, WordsError>> = LazyLock::new(Words::read);

impl Words {
    /// The words built into the program.
    ///
    /// # Errors
    /// [`WordsError`] where a file does not read; a test holds that none does.
    pub fn built_in() -> Result<&'static Self, WordsError> {
        BUILT_IN.as_ref().map_err(Clone::clone)
    }

    fn read() -> Result<Self, WordsError> {
        meaning::ready().map_err(|(file, what)| WordsError { file: file.into(), what })?;
        let mut files = BTreeMap::new();
        let mut used = Vec::new();
        for file in EMBEDDED.files() {
            let name = file.path().to_string_lossy().into_owned();
            let read = read_file(&name, file.contents())?;
            files.insert(read.operation.clone(), read);
            used.push(TemplateUsed {
                file: name,
                sha256: crate::module::sha256_hex(file.contents()),
                overridden: false,
            });
        }
        used.sort_by(|a, b| a.file.cmp(&b.file));
        Ok(Self { files, used })
    }

    /// The built-in words with the files of a folder over them, file by file. An entry of such a file may say things
    /// otherwise and add cautions and confirmations; it drops none. Entries it does not have stay as they are.
    ///
    /// # Errors
    /// [`WordsError`] with file, line and column: a file or entry of no operation, an unknown slot, a caution or check left
    /// out; and for a folder that is there and cannot be read.
    pub fn with_folder(folder: &Path) -> Result<Self, WordsError> {
        let mut words = Self::built_in()?.clone();
        let unread = |e: std::io::Error| WordsError { file: folder.display().to_string(), what: e.to_string() };
        let files = match std::fs::read_dir(folder) {
            Ok(files) => files,
            // Most workshops have no words of their own.
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(words),
            Err(e) => return Err(unread(e)),
        };
        let paths: Result<Vec<PathBuf>, _> = files.map(|f| Ok(f.map_err(unread)?.path())).collect();
        let mut paths = paths?;
        paths.sort();
        for path in paths.iter().filter(|p| p.extension().is_some_and(|e| e == "yaml")) {
            let name = path.display().to_string();
            let bytes = std::fs::read(path).map_err(|e| WordsError { file: name.clone(), what: e.to_string() })?;
            words.lay_over(&name, &bytes)?;
        }
        Ok(words)
    }

    /// Lays one file of a workshop's words over these; nothing is changed where it is refused.
    ///
    /// # Errors
    /// [`WordsError`], as for [`Self::with_folder`].
    pub fn lay_over(&mut self, name: &str, bytes: &[u8]) -> Result<(), WordsError> {
        let error = |what: String| WordsError { file: name.to_owned(), what };
        let own = read_file(name, bytes)?;
        let known: Vec<String> = self.files.keys().cloned().collect();
        let built_in = self
            .files
            .get_mut(&own.operation)
            .ok_or_else(|| error(format!("\"{}\" is no operation; these are: {}", own.operation, known.join(", "))))?;
        over::check(&String::from_utf8_lossy(bytes), &own, built_in).map_err(error)?;
        for entry in own.entries {
            if let Some(place) = built_in.entries.iter_mut().find(|e| e.when == entry.when) {
                *place = entry;
            }
        }
        let file = format!("{}.yaml", own.operation);
        if let Some(used) = self.used.iter_mut().find(|u| u.file == file) {
            *used = TemplateUsed { file, sha256: crate::module::sha256_hex(bytes), overridden: true };
        }
        Ok(())
    }

    /// What the first entry of an operation asks for, by check; of a prompt the clauses that hold a slot are left out.
    #[must_use]
    pub fn asked(&self, operation: &str) -> BTreeMap<String, String> {
        let entry = self.files.get(operation).and_then(|f| f.entries.first());
        let plain = |prompt: &str| prompt.split(", ").filter(|c| !c.contains('{')).collect::<Vec<_>>().join(", ");
        entry.map_or_else(BTreeMap::new, |e| e.checks.iter().map(|(id, p)| (id.clone(), plain(p))).collect())
    }

    /// Files and hashes, for the record.
    #[must_use]
    pub fn used(&self) -> Vec<TemplateUsed> {
        self.used.clone()
    }

    /// Fills the words of a draft.
    ///
    /// # Errors
    /// [`WordsError`] for a missing entry, an unknown slot, or a check without a prompt.
    pub fn render(&self, draft: &Draft) -> Result<Rendered, WordsError> {
        let error = |what: String| WordsError { file: format!("{}.yaml", draft.kind), what };
        let entry = self
            .files
            .get(draft.kind)
            .and_then(|f| f.entries.iter().find(|e| e.when == draft.entry))
            .ok_or_else(|| error(format!("there is no entry \"when: {}\"", draft.entry)))?;
        let fill = |text: &str| {
            fill(text, &draft.slots).map_err(|slot| error(format!("\"{}\" has no slot {{{slot}}}", draft.entry)))
        };
        let all = |list: &[String]| list.iter().map(|t| fill(t)).collect::<Result<Vec<_>, _>>();
        let mut cautions = entry.cautions.iter().map(|c| caution(c, &fill)).collect::<Result<Vec<_>, _>>()?;
        cautions.sort_by_key(|c| c.signal);
        let mut prompts = BTreeMap::new();
        for check in &draft.checks {
            let prompt = entry
                .checks
                .get(&check.id)
                .ok_or_else(|| error(format!("\"{}\" asks nothing for the check \"{}\"", draft.entry, check.id)))?;
            prompts.insert(check.id.clone(), fill(prompt)?);
        }
        for (id, prompt) in entry.checks.iter().filter(|(id, _)| id.starts_with(ADDED)) {
            prompts.insert(id.clone(), fill(prompt)?);
        }
        Ok(Rendered {
            title: fill(&entry.title)?,
            actions: named(all(&entry.actions)?),
            tools: named(all(&entry.tools)?),
            instruments: named(all(&entry.instruments)?),
            cautions,
            prompts,
        })
    }
}

fn read_file(name: &str, bytes: &[u8]) -> Result<File, WordsError> {
    let error = |what: String| WordsError { file: name.to_owned(), what };
    let text = std::str::from_utf8(bytes).map_err(|e| error(format!("is not UTF-8: {e}")))?;
    let file: File = serde_saphyr::from_str(text).map_err(|e| {
        let at = e.location().map_or_else(String::new, |l| format!("line {}, column {}: ", l.line(), l.column()));
        error(format!("{at}{}", e.without_snippet()))
    })?;
    if file.runtrue != "operation 1" {
        return Err(error(format!(
            "\"{}\" is not a form this program reads; write \"runtrue: operation 1\"",
            file.runtrue
        )));
    }
    Ok(file)
}

fn caution(raw: &RawCaution, fill: &impl Fn(&str) -> Result<String, WordsError>) -> Result<Caution, WordsError> {
    let text = format!("{} {} {}", raw.hazard, raw.consequence, raw.avoid);
    Ok(Caution { signal: raw.signal, text: fill(&text)? })
}

/// Without the slots that this draft leaves empty, and each once: a joint with nothing to hold against needs no second spanner.
fn named(list: Vec<String>) -> Vec<String> {
    let mut once: Vec<String> = Vec::new();
    for name in list.into_iter().map(|name| name.trim().to_owned()) {
        if !name.is_empty() && !once.contains(&name) {
            once.push(name);
        }
    }
    once
}

/// Replaces `{name}`; gives back the name of a slot that is not there.
fn fill(text: &str, slots: &[(&'static str, String)]) -> Result<String, String> {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((name, tail)) = after.split_once('}') else {
            break;
        };
        let slot = slots.iter().find(|(n, _)| *n == name).ok_or_else(|| name.to_owned())?;
        out.push_str(before);
        out.push_str(&slot.1);
        rest = tail;
    }
    out.push_str(rest);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_reads_and_is_named_after_its_operation() {
        let words = Words::built_in().unwrap();
        for (operation, file) in &words.files {
            assert!(words.used.iter().any(|u| u.file == format!("{operation}.yaml")));
            for entry in &file.entries {
                assert!(!entry.tools.is_empty(), "{operation} {} names no tool", entry.when);
                assert!(!entry.checks.is_empty(), "{operation} {} asks nothing", entry.when);
            }
        }
        assert!(words.files.len() >= 20);
    }

    #[test]
    fn an_unknown_slot_is_named() {
        assert_eq!(fill("a {b} c", &[("b", "x".into())]), Ok("a x c".into()));
        assert_eq!(fill("a {d} c", &[("b", "x".into())]), Err("d".into()));
    }

    #[test]
    fn a_workshops_words_may_add_and_say_otherwise_but_drop_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let base = std::str::from_utf8(EMBEDDED.get_file("remove.yaml").unwrap().contents()).unwrap();
        let guard = base.split("  - when: guard\n").nth(1).unwrap().split("  - when: part").next().unwrap();
        let with = |change: &dyn Fn(String) -> String| {
            let entry = change(format!("  - when: guard\n{guard}"));
            let text = format!("runtrue: operation 1\noperation: remove\nentries:\n{entry}");
            std::fs::write(folder.path().join("remove.yaml"), text).unwrap();
            Words::with_folder(folder.path())
        };
        let own = with(&|e| e.replace("    checks:\n", "    checks:\n      own-bell: Bell rung?\n")).unwrap();
        assert!(own.used().iter().any(|u| u.file == "remove.yaml" && u.overridden));
        let entries = &own.files["remove"].entries;
        assert!(entries.iter().any(|e| e.checks.contains_key("own-bell")) && entries.len() > 5);
        for (change, wanted) in [
            (("signal: DANGER", "signal: NOTICE"), "leaves out or changes the caution"),
            (("taken-off: ", "gone: "), "leaves out the check"),
            (("Open the guard", "Open the {gard}"), "no slot {gard}"),
            (("when: guard", "when: gard"), "no entry \"gard\""),
        ] {
            let error = with(&|e| e.replace(change.0, change.1)).unwrap_err().to_string();
            assert!(error.contains(wanted) && error.contains("line "), "{error}");
        }
        std::fs::write(folder.path().join("remove.yaml"), "runtrue: operation 1\noperation: sing\nentries: []\n")
            .unwrap();
        assert!(Words::with_folder(folder.path()).unwrap_err().to_string().contains("no operation"));
        let no_folder = folder.path().join("remove.yaml");
        assert!(no_folder.is_file(), "{no_folder:?}");
        let why = Words::with_folder(&no_folder).unwrap_err();
        assert!(why.file.ends_with("remove.yaml") && !why.what.is_empty(), "a folder that cannot be read is told");
        assert!(Words::with_folder(&folder.path().join("none")).unwrap().used().iter().all(|u| !u.overridden));
    }

    #[test]
    fn a_broken_file_is_told_with_line_and_column() {
        let error = read_file("x.yaml", b"runtrue: operation 1\noperation: x\nentries:\n  - wen: y\n").unwrap_err();
        assert!(error.to_string().contains("line 4"), "{error}");
    }
}
