//! Where a spec comes from: a file, or one of the modules built into the program.

use std::path::Path;

use include_dir::{Dir, include_dir};

use super::problem::{Place, Problem, Problems};

/// The demo modules of `procedures/modules/`.
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
    let mut names: Vec<String> =
        EMBEDDED.files().filter_map(|f| f.path().file_stem()?.to_str().map(str::to_owned)).collect();
    names.sort();
    names
}

/// The embedded module of that name.
#[must_use]
pub fn embedded(name: &str) -> Option<Source> {
    let file = EMBEDDED.get_file(format!("{name}.yaml"))?;
    Some(Source { name: format!("{name} (built in)"), text: file.contents_utf8()?.to_owned() })
}

/// Reads a spec: a path, or the name of an embedded module; a path wins.
///
/// # Errors
/// Missing file, folder, more than 1 MiB, not UTF-8, a control code: each says what, where and what to do.
pub fn load(spec: &str) -> Result<Source, Problems> {
    let path = Path::new(spec);
    match std::fs::metadata(path) {
        Ok(meta) if meta.is_dir() => {
            Err(Problems::of_file(spec, "this is a folder, a module spec is a file", "Name the YAML file inside it."))
        }
        Ok(meta) if meta.len() > LARGEST => Err(Problems::of_file(
            spec,
            format!("the file has {} bytes, a spec has at most {LARGEST}", meta.len()),
            "Check that this is the spec and not another file.",
        )),
        Ok(_) => read_file(spec, path),
        Err(error) => embedded(spec).ok_or_else(|| missing(spec, &error)),
    }
}

fn missing(spec: &str, error: &std::io::Error) -> Problems {
    Problems::of_file(
        spec,
        format!("no such file or built-in module ({error})"),
        format!("Name a YAML file, or a built-in module: {}.", embedded_names().join(", ")),
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
