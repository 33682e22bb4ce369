//! A value as received put in the place of the value as drawn, in the text of the spec: at the place that the reader of the file knows.

use super::problem::Place;
use super::tree::{self, File, Form, Key, Node};

/// Replaces the value of `section.field` (or `section.inner.field`) in a spec's text, comments kept.
///
/// # Errors
/// In words, where the field is not there.
///
/// ```
/// let spec = "rods:\n  part: rods\n  class: 8.8   # marked\nbase: { part: base, feet: 4 }\n";
/// let text = runtrue::module::substitute(spec, "rods.class", "4.6")?;
/// assert_eq!(text.lines().nth(2), Some("  class: 4.6   # marked"));
/// let text = runtrue::module::substitute(&text, "base.feet", "3")?;
/// assert!(text.contains("{ part: base, feet: 3 }"));
/// # Ok::<(), String>(())
/// ```
pub fn substitute(text: &str, field: &str, value: &str) -> Result<String, String> {
    let root = read(text)?;
    let (outer, last) = parted(field)?;
    let (key, node) = map_at(&root, outer).and_then(|map| named(map, last)).ok_or_else(|| missing(field))?;
    let not_one = || format!("\"{field}\" is no single value on one line; change it in the spec itself");
    let Form::Words { text: words, .. } = &node.form else { return Err(not_one()) };
    // What goes over more than one line has no length of its own.
    if words.chars().count() > node.place.length as usize {
        return Err(not_one());
    }
    let colon = offset(text, key.place).map(|at| at + key.place.length as usize).ok_or_else(not_one)?;
    let behind = colon + text.get(colon..).and_then(|rest| rest.find(':')).ok_or_else(not_one)? + 1;
    let at_its_place = || offset(text, node.place).and_then(|from| text.get(from..));
    // Where nothing is written the reader makes up words, and a place behind the line.
    let nothing =
        node.is_nothing() && at_its_place().is_none_or(|t| words.is_empty() || !t.starts_with(words.as_str()));
    let end = if nothing {
        behind
    } else {
        let from = offset(text, node.place).filter(|from| *from >= behind).ok_or_else(not_one)?;
        let to = text[from..].char_indices().nth(node.place.length as usize).map_or(text.len(), |(n, _)| from + n);
        from + text[from..to].trim_end().len()
    };
    Ok(format!("{} {value}{}", &text[..behind], &text[end..]))
}

/// As [`substitute`], and writes a field that the section does not have yet as its first.
///
/// # Errors
/// In words, where the section is not there.
///
/// ```
/// let spec = "rods:\n  lengths: { 1: 80 mm }\nbase: { part: base, feet: 4 }\n";
/// let text = runtrue::module::put(spec, "rods.lengths.2", "88 mm")?;
/// assert_eq!(text.lines().nth(1), Some("  lengths: { 2: 88 mm, 1: 80 mm }"));
/// let text = runtrue::module::put(&text, "rods.class", "8.8")?;
/// assert_eq!(text.lines().nth(1), Some("  class: 8.8"));
/// # Ok::<(), String>(())
/// ```
pub fn put(text: &str, field: &str, value: &str) -> Result<String, String> {
    let root = read(text)?;
    let (outer, last) = parted(field)?;
    let Some(map) = map_at(&root, outer).filter(|map| named(map, last).is_none()) else {
        return substitute(text, field, value);
    };
    let at = offset(text, map.place).ok_or_else(|| missing(field))?;
    if text[at..].starts_with('{') {
        return Ok(format!("{} {last}: {value},{}", &text[..=at], &text[at + 1..]));
    }
    let Form::Map(list) = &map.form else { return Err(missing(field)) };
    let first = list.first().and_then(|(key, _)| offset(text, key.place)).ok_or_else(|| missing(field))?;
    let line = text[..first].rfind('\n').map_or(0, |n| n + 1);
    Ok(format!("{}{}{last}: {value}\n{}", &text[..line], &text[line..first], &text[line..]))
}

fn read(text: &str) -> Result<Node, String> {
    tree::parse(text, File::Spec)
        .map_err(|problem| format!("line {}: {}", problem.place.line, super::one_line(&problem.what)))
}

fn missing(field: &str) -> String {
    format!("the spec has no field \"{field}\"; name it like rods.class or collars.pinch.class")
}

/// Section, with the names inside it, and the field.
fn parted(field: &str) -> Result<(&str, &str), String> {
    field.rsplit_once('.').map(|(outer, last)| (outer.trim(), last.trim())).ok_or_else(|| missing(field))
}

fn map_at<'a>(root: &'a Node, path: &str) -> Option<&'a Node> {
    let node = path.split('.').try_fold(root, |node, name| node.get(name.trim()))?;
    matches!(node.form, Form::Map(_)).then_some(node)
}

fn named<'a>(map: &'a Node, name: &str) -> Option<&'a (Key, Node)> {
    let Form::Map(list) = &map.form else { return None };
    list.iter().find(|(key, _)| key.name == name)
}

/// Where a place lies in the text, in bytes.
fn offset(text: &str, place: Place) -> Option<usize> {
    let line = (place.line as usize).checked_sub(1)?;
    let begins: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
    let rest = text.get(begins..)?;
    let column = (place.column as usize).checked_sub(1)?;
    rest.char_indices().map(|(at, _)| at).chain([rest.len()]).nth(column).map(|at| begins + at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_in_a_block_inside_a_section_and_a_value_in_quotation_marks_are_found() {
        let spec = "second drive:\n  pulley:\n    part: out\n    screws: { from: \"a table, M6\", count: 2 }\n  belt:   # b\n    part: b\n    length: 1016 mm\n  sled:\n    length: 5 mm\n";
        let text = substitute(spec, "second drive.belt.length", "1092 mm").unwrap();
        assert_eq!(text, spec.replace("1016", "1092"));
        let text = substitute(spec, "second drive.sled.length", "6 mm").unwrap();
        assert_eq!(text, spec.replace("length: 5", "length: 6"));
        let text = substitute(spec, "second drive.pulley.screws.from", "the maker").unwrap();
        assert_eq!(text, spec.replace("\"a table, M6\"", "the maker"));
        assert!(substitute(spec, "second drive.pulley.length", "1 mm").is_err());
    }

    /// The same name further in, before the one that is meant, and a comma in single quotation marks.
    #[test]
    fn the_name_that_is_meant_is_found_among_others_like_it() {
        let spec = "discs:\n  holes: { count: 6, on: 80 mm }\n  # count: 9\n  count: 5\n  made by: 'laser shop, bores: turned'  # count: 7\n";
        assert_eq!(substitute(spec, "discs.count", "4").unwrap(), spec.replace("  count: 5", "  count: 4"));
        assert_eq!(substitute(spec, "discs.holes.count", "8").unwrap(), spec.replace("count: 6", "count: 8"));
        let made = substitute(spec, "discs.made by", "us").unwrap();
        assert_eq!(made, spec.replace("'laser shop, bores: turned'", "us"));
        // What is not there is put in, though it stands further in.
        let put = put(spec, "discs.on", "81 mm").unwrap();
        assert_eq!(put, spec.replacen("  holes", "  on: 81 mm\n  holes", 1));
    }

    #[test]
    fn what_is_no_single_value_is_left_as_it_is() {
        let spec = "a: { list: [1, 2], words: \"é, ü\", b: 1 }\nc:\n  long: one\n    two\n  nothing:\n  more: 1\n";
        for field in ["a.list", "c.long", "a", "c.other.more", ""] {
            assert!(substitute(spec, field, "3").is_err(), "{field}");
        }
        assert_eq!(substitute(spec, "a.b", "2").unwrap(), spec.replace("b: 1", "b: 2"));
        assert_eq!(substitute(spec, "c.nothing", "2").unwrap(), spec.replace("nothing:", "nothing: 2"));
        assert!(substitute("a: &x { b: 1 }\nc: *x\n", "a.b", "2").unwrap_err().contains("anchors"));
    }
}
