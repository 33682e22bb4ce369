//! Limits in words.

use std::fmt::Display;

/// "4 to 6 mm", "at least 4 mm", "at most 6 mm", and "4 mm" where both are the same; nothing where there are none. A unit may be empty.
///
/// ```
/// use runtrue::procedure::range_words;
/// assert_eq!(range_words(Some("24.95"), Some("25"), "mm").unwrap(), "24.95 to 25 mm");
/// assert_eq!(range_words(None, Some("25"), "").unwrap(), "at most 25");
/// assert_eq!(range_words::<&str>(None, None, "mm"), None);
/// ```
#[must_use]
pub fn range_words<T: Display + PartialEq>(lower: Option<T>, upper: Option<T>, unit: &str) -> Option<String> {
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    match (lower, upper) {
        (Some(a), Some(b)) if a == b => Some(format!("{a}{unit}")),
        (Some(a), Some(b)) => Some(format!("{a} to {b}{unit}")),
        (Some(a), None) => Some(format!("at least {a}{unit}")),
        (None, Some(b)) => Some(format!("at most {b}{unit}")),
        (None, None) => None,
    }
}
