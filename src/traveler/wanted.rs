//! Words that have to stand on a part, compared as a person reads them.

/// Parts of a wanted text that are tried in every order; more of them have to stand in the order given.
const MOST_PARTS: usize = 6;

/// True where the words typed say what is wanted. Large and small letters, spaces, hyphens and slashes make no difference,
/// a comma between digits is a point, and the parts of the wanted text may come in any order; nothing may be left over.
pub fn says(wanted: &str, typed: &str) -> bool {
    let typed = plain(typed);
    let parts: Vec<String> = wanted.split_whitespace().map(plain).collect();
    if parts.len() > MOST_PARTS { parts.concat() == typed } else { uses_up(&parts, &typed) }
}

/// Letters and digits in capitals, points between digits.
fn plain(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let digit = |k: Option<usize>| k.and_then(|k| chars.get(k)).is_some_and(char::is_ascii_digit);
    let mut out = String::new();
    for (k, c) in chars.iter().enumerate() {
        if c.is_alphanumeric() {
            out.extend(c.to_uppercase());
        } else if matches!(c, '.' | ',') && digit(k.checked_sub(1)) && digit(Some(k + 1)) {
            out.push('.');
        }
    }
    out
}

/// True where the text is made of these parts, each once, in some order.
fn uses_up(parts: &[String], text: &str) -> bool {
    if parts.is_empty() {
        return text.is_empty();
    }
    (0..parts.len()).any(|k| {
        let others = || parts.iter().enumerate().filter(|(n, _)| *n != k).map(|(_, p)| p.clone()).collect::<Vec<_>>();
        text.strip_prefix(parts[k].as_str()).is_some_and(|rest| uses_up(&others(), rest))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_of_writing_makes_no_difference_and_another_size_does() {
        for same in ["UC205", "uc 205", "UC-205"] {
            assert!(says("UC205", same), "{same}");
        }
        for other in ["UC206", "UC20", "UC2055", "UC205 P205", "", "205"] {
            assert!(!says("UC205", other), "{other}");
        }
        assert!(says("8.8", "8,8") && !says("8.8", "88") && !says("8.8", "4.6") && !says("8.8", "10.9"));
        assert!(says("8.8 10.9", "10.9, 8.8"), "two marks in any order");
        for same in ["6 PJ 1600", "6PJ1600", "PJ 1600-6", "1600 pj 6", "PJ1600/6"] {
            assert!(says("6 PJ 1600", same), "{same}");
        }
        assert!(!says("6 PJ 1600", "6 PJ 1610") && !says("6 PJ 1600", "PJ 1600"));
    }
}
