//! The words of the steps: one file a kind of operation, text with slots, no logic.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use include_dir::{Dir, include_dir};
use serde::Deserialize;

use super::draft::Draft;
use super::plan::{Caution, Signal, TemplateUsed};

static EMBEDDED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/procedures/operations");

/// A file of words that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("procedures/operations/{file}: {what}")]
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
    /// Prompt of each check, by id.
    pub prompts: BTreeMap<String, String>,
}

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
        Ok(Rendered {
            title: fill(&entry.title)?,
            actions: all(&entry.actions)?,
            tools: all(&entry.tools)?,
            instruments: all(&entry.instruments)?,
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
    fn a_broken_file_is_told_with_line_and_column() {
        let error = read_file("x.yaml", b"runtrue: operation 1\noperation: x\nentries:\n  - wen: y\n").unwrap_err();
        assert!(error.to_string().contains("line 4"), "{error}");
    }
}
