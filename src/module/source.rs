//! Where a spec comes from: a file, or one of the modules built into the program.

use std::path::Path;

use include_dir::{Dir, include_dir};

use super::family::{self, Opened};
use super::near;
use super::problem::{Place, Problem, Problems};

/// The demo modules and their family of `procedures/modules/`.
static EMBEDDED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/procedures/modules");

/// Largest spec that is read, in bytes. A module of a thousand parts stays far below it.
const LARGEST: u64 = 1 << 20;

/// A spec's text and the name it goes by in messages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// File name or embedded name.
    pub name: String,
    /// The text.
    pub text: String,
}

/// Names of the embedded modules, in order.
#[must_use]
pub fn embedded_names() -> Vec<String> {
    let modules = EMBEDDED.files().filter(|f| f.contents_utf8().is_some_and(|t| !family::is_family(t)));
    let mut names: Vec<String> = modules.filter_map(|f| f.path().file_stem()?.to_str().map(str::to_owned)).collect();
    names.sort();
    names
}

/// The embedded module of that name, its family laid under it where it builds on one.
#[must_use]
pub fn embedded(name: &str) -> Option<Source> {
    open_embedded(name)?.ok().map(|opened| opened.source)
}

/// Title of the embedded module of that name. Where it stands plainly on its line, no more than that line is read.
#[must_use]
pub fn embedded_title(name: &str) -> Option<String> {
    let text = EMBEDDED.get_file(format!("{name}.yaml"))?.contents_utf8()?;
    plain_title(text).or_else(|| super::read(&embedded(name)?).ok().map(|module| module.title))
}

/// A title of letters, digits and blanks alone, which YAML reads as it stands.
fn plain_title(text: &str) -> Option<String> {
    let title = text.lines().find_map(|line| line.strip_prefix("title: "))?.trim();
    let plain = title.starts_with(char::is_alphabetic) && title.chars().all(|c| c.is_alphanumeric() || c == ' ');
    plain.then(|| title.to_owned())
}

fn open_embedded(name: &str) -> Option<Result<Opened, Problems>> {
    let text = |file: &str| Some(EMBEDDED.get_file(file)?.contents_utf8()?.to_owned());
    let source = Source { name: format!("{name} (built in)"), text: text(&format!("{name}.yaml"))? };
    if family::is_family(&source.text) {
        let named = |n: &String| text(&format!("{n}.yaml")).is_some_and(|t| names(&t, &format!("{name}.yaml")));
        let built_on_it: Vec<String> = embedded_names().into_iter().filter(named).collect();
        return Some(Err(family::alone(&source, &built_on_it)));
    }
    Some(family::open(source, |file| {
        let text = text(file).ok_or_else(|| "no such file is built in".to_owned())?;
        Ok(Source { name: format!("{file} (built in)"), text })
    }))
}

/// True where a spec names that file as its family.
fn names(spec: &str, file: &str) -> bool {
    let named = spec.lines().find_map(|l| l.strip_prefix("builds on:"));
    named.is_some_and(|n| n.split(" #").next().unwrap_or_default().trim().trim_matches(['"', '\'']) == file)
}

/// Reads a spec, with its family laid under it: a path, or the name of an embedded module; a path wins.
///
/// # Errors
/// Missing file, folder, more than 1 MiB, not UTF-8, a control code, a family alone: each says what, where and what to do.
pub fn load(spec: &str) -> Result<Source, Problems> {
    open(spec).map(|opened| opened.source)
}

/// As [`load`], with the origin of each field.
pub(super) fn open(spec: &str) -> Result<Opened, Problems> {
    let path = Path::new(spec);
    if let Err(error) = std::fs::metadata(path) {
        return open_embedded(spec).unwrap_or_else(|| Err(missing(spec, &error)));
    }
    let source = read_text(spec)?;
    if family::is_family(&source.text) {
        return Err(family::alone(&source, &beside(path)));
    }
    family::open(source, |file| {
        let there = path.parent().unwrap_or_else(|| Path::new("")).join(file);
        if there.canonicalize().ok().is_some_and(|t| path.canonicalize().is_ok_and(|own| own == t)) {
            return Err("that is this file itself".into());
        }
        read_text(&there.to_string_lossy()).map_err(|problems| first_words(&problems))
    })
}

/// What is wrong with a file, without the file's name and without the advice.
fn first_words(problems: &Problems) -> String {
    let first = problems.list().first();
    first.map_or_else(String::new, |p| match p.place.line {
        0 => p.what.clone(),
        line => format!("{} in its line {line}", p.what),
    })
}

/// Specs in a family's folder that name it; a hundred files at most are looked at.
fn beside(family: &Path) -> Vec<String> {
    let folder = family.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let Some(own) = family.file_name().and_then(|n| n.to_str()) else { return Vec::new() };
    let files = std::fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|f| f.path());
    let yaml = files.filter(|f| f.extension().is_some_and(|e| e == "yaml" || e == "yml")).take(100);
    let small = yaml.filter(|f| std::fs::metadata(f).is_ok_and(|m| m.is_file() && m.len() <= LARGEST));
    let named = small.filter(|f| std::fs::read_to_string(f).is_ok_and(|text| names(&text, own)));
    let mut list: Vec<String> = named.map(|f| f.to_string_lossy().into_owned()).collect();
    list.sort();
    list
}

/// The text of a spec's or a family's file.
///
/// # Errors
/// As [`load`].
pub(super) fn read_text(spec: &str) -> Result<Source, Problems> {
    let path = Path::new(spec);
    match std::fs::metadata(path) {
        Ok(meta) if meta.is_dir() => {
            Err(Problems::of_file(spec, "this is a folder, a module spec is a file", "Name the YAML file inside it."))
        }
        Ok(meta) if !meta.is_file() => {
            Err(Problems::of_file(spec, "this is no plain file", "Name the YAML file of the spec."))
        }
        Ok(meta) if meta.len() > LARGEST => Err(Problems::of_file(
            spec,
            format!("the file has {} bytes, a spec has at most {LARGEST}", meta.len()),
            "Check that this is the spec and not another file.",
        )),
        Ok(_) => read_file(spec, path),
        Err(error) => {
            Err(Problems::of_file(spec, format!("cannot be read: {error}"), "Check the name and its rights."))
        }
    }
}

fn missing(spec: &str, error: &std::io::Error) -> Problems {
    let known = embedded_names();
    let near = near::did_you_mean(spec, known.iter().map(String::as_str));
    Problems::of_file(
        spec,
        format!("no such file or built-in module ({error})"),
        format!("{near}Name a YAML file, or a built-in module: {}.", known.join(", ")),
    )
}

fn read_file(name: &str, path: &Path) -> Result<Source, Problems> {
    let bytes = std::fs::read(path)
        .map_err(|e| Problems::of_file(name, format!("cannot be read: {e}"), "Check its rights."))?;
    let text = String::from_utf8(bytes).map_err(|e| not_text(name, e.utf8_error().valid_up_to()))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text).to_owned();
    refuse_control_codes(name, &text)?;
    Ok(Source { name: name.to_owned(), text })
}

fn not_text(name: &str, at: usize) -> Problems {
    Problems::of_file(
        name,
        format!("this is not a text file: byte {} is not UTF-8", at + 1),
        "Save the spec as UTF-8 text.",
    )
}

/// A control code in a title would reach printers and terminals, so it is refused where it enters.
fn refuse_control_codes(name: &str, text: &str) -> Result<(), Problems> {
    let mut list = Vec::new();
    for (line, words) in (1..).zip(text.lines()) {
        let found = words.chars().position(|c| c.is_control() && c != '\t');
        if let Some(column) = found {
            let code = words.chars().nth(column).map_or(0, u32::from);
            list.push(Problem {
                place: Place { line, column: u32::try_from(column + 1).unwrap_or(u32::MAX), length: 1 },
                what: format!("control code U+{code:04X} in the text"),
                mend: "Take it out; a spec holds printable text only.".into(),
            });
        }
    }
    if list.is_empty() {
        return Ok(());
    }
    list.truncate(10);
    Err(Problems::new(name, text, list))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_is_built_in() {
        assert!(embedded_names().contains(&"flywheel".to_owned()));
        assert!(load("flywheel").is_ok_and(|s| s.text.starts_with("runtrue: spec 1")));
    }

    #[test]
    fn a_title_is_taken_from_its_line_only_where_yaml_has_nothing_to_say_of_it() {
        assert_eq!(plain_title("id: a\ntitle: Fan wheel 2\n"), Some("Fan wheel 2".into()));
        for other in ["title: \"Fan\"", "title: Fan # of 2", "title: |", "  title: Fan", "title: a: b", ""] {
            assert_eq!(plain_title(other), None, "{other}");
        }
    }

    #[test]
    fn what_cannot_be_read_says_so() {
        let folder = std::env::temp_dir();
        let said = |spec: &str| load(spec).err().map(|p| p.to_string()).unwrap_or_default();
        assert!(said(&folder.to_string_lossy()).contains("folder"));
        assert!(said("no/such/spec.yaml").contains("flywheel"));
    }

    #[test]
    fn a_control_code_is_found_with_its_place() {
        let error = refuse_control_codes("x", "a: 1\ntitle: b\u{1b}[2Jc\n").unwrap_err();
        assert_eq!(error.list()[0].place, Place { line: 2, column: 9, length: 1 });
    }
}
