//! Lines of the spec where a basis names them: written in one way, and found again where somebody reads.

use super::problem::Place;

/// What stands before the number.
const SPEC: &str = "spec, line";

/// One way of writing "line n of the spec" for a basis.
#[must_use]
pub fn spec_line(place: Place) -> String {
    format!("{SPEC} {}", place.line)
}

/// Words in which lines of the spec are told otherwise: `told` has the number, and `first` puts before the first of several what they
/// are lines of, knowing whether they are several.
pub fn each_spec_line(words: &str, told: impl Fn(&str) -> String, first: impl Fn(bool, String) -> String) -> String {
    let mut parts = words.split(SPEC);
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        // "s 37 and 48, …" or " 66, …": the numbers are told, the rest stays.
        let (several, rest) = part.strip_prefix("s ").map_or((false, part.trim_start()), |rest| (true, rest));
        let (number, rest) = leading_number(rest);
        out.push_str(&first(several, told(number)));
        match rest.strip_prefix(" and ").filter(|_| several).map(leading_number) {
            Some((second, rest)) if !second.is_empty() => out.push_str(&format!(" and {}{rest}", told(second))),
            _ => out.push_str(rest),
        }
    }
    out
}

/// The number that words begin with, and what follows it.
fn leading_number(words: &str) -> (&str, &str) {
    words.split_at(words.find(|c: char| !c.is_ascii_digit()).unwrap_or(words.len()))
}
