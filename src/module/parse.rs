//! From text to the raw spec, and the YAML reader's errors in the words of a bench.

use serde_saphyr::Error;

use super::near;
use super::problem::{Place, Problem, Problems};
use super::raw;
use super::source::Source;

/// Reads the text as a raw spec.
///
/// # Errors
/// One [`Problem`] with its place: what the YAML is missing, has too much of, or has wrong.
pub fn parse(source: &Source) -> Result<raw::Spec, Problems> {
    refuse_empty(source)?;
    serde_saphyr::from_str::<raw::Spec>(&source.text).map_err(|error| problems(source, &error))
}

fn refuse_empty(source: &Source) -> Result<(), Problems> {
    let has_words = source.text.lines().any(|l| {
        let l = l.trim();
        !l.is_empty() && !l.starts_with('#')
    });
    let first = source.text.lines().next().unwrap_or_default();
    if !has_words {
        return Err(Problems::of_file(
            &source.name,
            "the file is empty",
            "Begin with \"runtrue: spec 1\", or look at a built-in module.",
        ));
    }
    if !first.starts_with("runtrue: spec 1") {
        let problem = Problem {
            place: Place { line: 1, column: 1, length: u32::try_from(first.chars().count().clamp(1, 60)).unwrap_or(1) },
            what: "this is not a module spec; its first line must be \"runtrue: spec 1\"".into(),
            mend: "Write that line at the very top, or name the right file.".into(),
        };
        return Err(Problems::new(&source.name, &source.text, vec![problem]));
    }
    refuse_unjoined(source)
}

/// The family's file is laid under the spec where the spec is loaded; a text alone cannot find it.
fn refuse_unjoined(source: &Source) -> Result<(), Problems> {
    let Some((line, _)) = (1..).zip(source.text.lines()).find(|(_, l)| super::family::builds_on(l)) else {
        return Ok(());
    };
    let problem = Problem {
        place: Place { line, column: 1, length: 9 },
        what: "the family that this spec builds on is not at hand here".into(),
        mend: "Name the spec's file, so that its family is found beside it.".into(),
    };
    Err(Problems::new(&source.name, &source.text, vec![problem]))
}

fn problems(source: &Source, error: &Error) -> Problems {
    let error = error.without_snippet();
    let (what, mend) = words(error);
    let place = error.location().map_or_else(Place::default, |at| {
        let small = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
        Place { line: small(at.line()), column: small(at.column()), length: 1 }
    });
    let place = match error {
        Error::SerdeUnknownField { field, .. } => {
            Place { length: u32::try_from(field.chars().count()).unwrap_or(1), ..place }
        }
        _ => place,
    };
    Problems::new(&source.name, &source.text, vec![Problem { place, what, mend }])
}

fn words(error: &Error) -> (String, String) {
    match error {
        Error::SerdeUnknownField { field, expected, .. } => (
            format!("there is no field \"{field}\" here"),
            format!("{}Fields here: {}.", near::did_you_mean(field, expected.iter().copied()), expected.join(", ")),
        ),
        Error::SerdeMissingField { field, .. } => (
            format!("the field \"{field}\" is missing in this part of the spec"),
            format!("Add \"{field}: …\"; the built-in modules show how."),
        ),
        Error::DuplicateMappingKey { key, .. } => {
            (format!("\"{}\" is written twice", key.as_deref().unwrap_or("this field")), "Take one of them out.".into())
        }
        Error::Budget { .. } | Error::AliasReplayLimitExceeded { .. } | Error::AliasExpansionLimitExceeded { .. } => (
            "the file unfolds to more than a spec can be".into(),
            "Write it without repeated anchors and deep nesting.".into(),
        ),
        Error::SerdeInvalidType { unexpected, expected, .. } => (
            format!("{unexpected} stands here, {expected} is needed"),
            "Compare the form with a built-in module.".into(),
        ),
        other => {
            let said = other.render_with_formatter(&serde_saphyr::UserMessageFormatter);
            let line = said.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned();
            (
                format!("this is not valid YAML for a spec: {line}"),
                "Look at indentation, colons, quotes and brackets here.".into(),
            )
        }
    }
}
