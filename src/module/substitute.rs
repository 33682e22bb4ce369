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
    let mut names = field.split('.').map(str::trim);
    let section = names.next().filter(|s| !s.is_empty()).ok_or_else(missing)?;
    let inner: Vec<&str> = names.collect();
    if inner.is_empty() {
        return Err(missing());
    }
    let (mut from, mut to) = section_of(text, section).ok_or_else(missing)?;
    let (last, outer) = inner.split_last().ok_or_else(missing)?;
    for name in outer {
        let at = from + key(&text[from..to], name).ok_or_else(missing)?;
        // The inner fields end with the line of a flow map.
        let end = text[at..to].find('\n').map_or(to, |n| at + n);
        (from, to) = (at, end);
    }
    let at = from + key(&text[from..to], last).ok_or_else(missing)?;
    let rest = &text[at..to];
    let end = at + value_end(rest);
    Ok(format!("{} {value}{}", &text[..at], &text[end..]))
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

/// Length of a value up to the comma, brace, comment or end of its line.
fn value_end(text: &str) -> usize {
    let line = text.find('\n').unwrap_or(text.len());
    let ends = [text.find(','), text.find('}'), text.find(" #"), Some(line)];
    let end = ends.into_iter().flatten().min().unwrap_or(line).min(line);
    text[..end].trim_end().len()
}
