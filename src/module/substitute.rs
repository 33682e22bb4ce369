//! A value as received put in the place of the value as drawn, in the text of the spec.

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
    let missing = || format!("the spec has no field \"{field}\"; name it like rods.class or collars.pinch.class");
    let (outer, last) = field.rsplit_once('.').ok_or_else(missing)?;
    let (from, to) = inside(text, outer).ok_or_else(missing)?;
    let at = from + key(&text[from..to], last.trim()).ok_or_else(missing)?;
    let end = at + value_end(&text[at..to]);
    Ok(format!("{} {value}{}", &text[..at], &text[end..]))
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
    let there = substitute(text, field, value);
    let (Err(_), Some((outer, last))) = (&there, field.rsplit_once('.')) else { return there };
    let Some((from, to)) = inside(text, outer) else { return there };
    let line = text[from..to].find('\n').map_or(to, |n| from + n);
    if let Some(brace) = text[from..line].find('{') {
        let at = from + brace + 1;
        return Ok(format!("{} {last}: {value},{}", &text[..at], &text[at..]));
    }
    let next = text[line..to].trim_start_matches('\n');
    let indent = &next[..next.len() - next.trim_start_matches(' ').len()];
    Ok(format!("{}\n{indent}{last}: {value}{}", &text[..line], &text[line..]))
}

/// From behind the colon of a section, or of a key inside it, to its end.
fn inside(text: &str, path: &str) -> Option<(usize, usize)> {
    let mut names = path.split('.').map(str::trim);
    let (mut from, mut to) = section_of(text, names.next().filter(|s| !s.is_empty())?)?;
    for name in names {
        let at = from + key(&text[from..to], name)?;
        (from, to) = (at, at + inner_end(text, at, to));
    }
    Some((from, to))
}

/// Where the fields inside a key end: with the line of a flow map, or with the first line that stands no further in.
fn inner_end(text: &str, at: usize, to: usize) -> usize {
    let line = text[at..to].find('\n').map_or(to - at, |n| n + 1);
    let begins = text[at..at + line].trim();
    if !begins.is_empty() && !begins.starts_with('#') {
        return line;
    }
    let indent = |line: &str| line.len() - line.trim_start_matches(' ').len();
    let own = text[..at].rfind('\n').map_or(0, |n| indent(&text[n + 1..at]));
    let inner = text[at + line..to].split_inclusive('\n');
    line + inner.take_while(|l| l.trim().is_empty() || indent(l) > own).map(str::len).sum::<usize>()
}

/// From the line of a section to the next line that begins in the first column.
fn section_of(text: &str, section: &str) -> Option<(usize, usize)> {
    let mut at = 0;
    let mut from = None;
    for line in text.split_inclusive('\n') {
        let begins = !line.starts_with([' ', '#', '\n', '\r']);
        if let (Some(from), true) = (from, begins) {
            return Some((from, at));
        }
        if line.strip_prefix(section).is_some_and(|rest| rest.starts_with(':')) {
            from = Some(at + section.len() + 1);
        }
        at += line.len();
    }
    from.map(|from| (from, at))
}

/// Just behind the colon of a key, where it stands as a key.
fn key(text: &str, name: &str) -> Option<usize> {
    let wanted = format!("{name}:");
    text.match_indices(&wanted).find_map(|(at, _)| {
        let before = text[..at].trim_end_matches(' ').chars().next_back();
        matches!(before, None | Some('\n' | '{' | ',')).then_some(at + wanted.len())
    })
}

/// Length of a value up to the comma, brace, comment or end of its line; quotation marks keep theirs together.
fn value_end(text: &str) -> usize {
    let line = &text[..text.find('\n').unwrap_or(text.len())];
    let mut quote = None;
    for (at, c) in line.char_indices() {
        match quote {
            Some(mark) if mark == c => quote = None,
            None if c == '"' => quote = Some(c),
            None if c == ',' || c == '}' || line[at..].starts_with(" #") => return line[..at].trim_end().len(),
            _ => {}
        }
    }
    line.trim_end().len()
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
}
