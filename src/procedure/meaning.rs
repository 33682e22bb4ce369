//! What a reading outside its limits means at the bench, and what usually causes it.
//!
//! Advice for the person who stands before it, not part of the plan: a record is read and judged without it.

use std::sync::LazyLock;

use serde::Deserialize;

use super::plan::{Check, CheckKind};

/// Where a reading lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Under the lower limit.
    Below,
    /// Over the upper limit.
    Above,
    /// A question answered no, a gauge that does not fit, a count that is not met.
    No,
    /// The instrument is too coarse, or another round is needed.
    Undecided,
}

/// What it means, and what usually causes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meaning {
    /// What follows from it in this joint.
    pub means: String,
    /// Where to look first.
    pub causes: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    check: Vec<String>,
    #[serde(default)]
    at: Vec<String>,
    fit: Option<bool>,
    when: Side,
    means: String,
    causes: String,
}

static ROWS: LazyLock<Result<Vec<Row>, String>> = LazyLock::new(|| rows(include_str!("../../procedures/outside.yaml")));

fn rows(text: &str) -> Result<Vec<Row>, String> {
    serde_yaml::from_str(text).map_err(|e| e.to_string())
}

/// Reads the list, so that a fault in it is told with the other words, before anybody stands at the bench without advice.
///
/// # Errors
/// File, and what is wrong in it.
pub fn ready() -> Result<(), (&'static str, String)> {
    ROWS.as_ref().map(|_| ()).map_err(|why| ("outside.yaml", why.clone()))
}

/// The words for a check of an operation; general ones where the list has none of its own.
#[must_use]
pub fn meaning(operation: &str, check: &Check, side: Side) -> Meaning {
    let fits = |r: &&Row| {
        let here = r.at.is_empty() || r.at.iter().any(|a| a == operation);
        let fit = r.fit.is_none_or(|fit| fit == check.basis.starts_with("ISO 286"));
        r.when == side && r.check.contains(&check.id) && here && fit
    };
    let found = ROWS.iter().flatten().find(fits).map(|r| (r.means.as_str(), r.causes.as_str()));
    let (means, causes) = found.unwrap_or_else(|| general(check.asks(), side));
    Meaning { means: means.to_owned(), causes: causes.to_owned() }
}

const fn general(kind: CheckKind, side: Side) -> (&'static str, &'static str) {
    match (kind, side) {
        (_, Side::Undecided) => (
            "The value lies nearer to a limit than this instrument can tell.",
            "Take a finer instrument or a limit gauge, or have it decided.",
        ),
        (CheckKind::Confirm | CheckKind::Gauge, _) => {
            ("It is not as the drawing or the step wants it.", "Look again in good light; ask before you go on.")
        }
        (CheckKind::Text, _) => (
            "Another part came than the one that is drawn.",
            "Read it again in good light. If it is so: send it back, or have the spec set to what came (runtrue change, --as-received).",
        ),
        (CheckKind::Count, _) => {
            ("One is missing or one is too many.", "Count again, aloud, touching each; then look where it could be.")
        }
        (_, Side::Below) => (
            "Less than the drawing or the computation allows.",
            "Zero of the instrument, dirt between the faces, the wrong part.",
        ),
        _ => (
            "More than the drawing or the computation allows.",
            "A burr or dirt between the faces, zero of the instrument, the wrong part.",
        ),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use super::*;
    use crate::procedure::draft;

    #[test]
    fn the_list_is_read_and_its_words_are_whole_sentences() {
        let rows: Vec<Row> = serde_saphyr::from_str(include_str!("../../procedures/outside.yaml")).unwrap();
        assert!(rows.len() > 40);
        for row in &rows {
            assert!(row.means.ends_with('.') && row.causes.ends_with('.'), "{:?}", row.check);
            assert!(!row.check.is_empty());
        }
    }

    #[test]
    fn a_list_that_does_not_read_is_told_with_its_place() {
        assert_eq!(ready(), Ok(()));
        let why = rows("- { check: [bore], when: sideways, means: A., causes: B. }\n").unwrap_err();
        assert!(why.contains("sideways") && why.contains("line 1"), "{why}");
    }

    #[test]
    fn the_words_are_those_of_the_joint_and_of_the_side() {
        let bore = draft::confirm("bore");
        assert!(meaning("ream", &bore, Side::Above).means.contains("cannot be reamed back"));
        let fitted = Check { basis: "ISO 286-2 H7; spec, line 49".into(), ..bore.clone() };
        assert!(meaning("inspect", &fitted, Side::Below).means.contains("will not go on by hand"));
        assert!(meaning("inspect", &bore, Side::Below).causes.contains("drill it out"));
        assert!(meaning("inspect", &bore, Side::Above).means.contains("Less is left to ream"));
        assert!(meaning("inspect", &bore, Side::Undecided).causes.contains("finer instrument"));
        assert!(meaning("inspect", &draft::confirm("unheard-of"), Side::No).causes.contains("Look again"));
    }
}
