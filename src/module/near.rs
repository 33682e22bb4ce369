//! What somebody may have meant by a word that is not known.

/// Most words that are offered.
const MOST: usize = 3;

/// The known words nearest to one that was typed, the nearest first, three at most; none where nothing is like it.
///
/// A word is like another where no more than a third of its letters differ (a letter more or less, two that changed places), or
/// where it is the beginning of it.
///
/// ```
/// use runtrue::module::near::nearest;
/// let steps = ["ream-disc-1", "ream-disc-2", "inspect-disc-1", "guard"];
/// assert_eq!(nearest("raem-disc-1", steps), ["ream-disc-1", "ream-disc-2"]);
/// assert_eq!(nearest("gaurd", steps), ["guard"]);
/// assert!(nearest("balance", steps).is_empty());
/// ```
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let word: String = word.to_lowercase().chars().take(64).collect();
    if word.is_empty() {
        return Vec::new();
    }
    let mut list: Vec<(usize, &str)> = Vec::new();
    for one in known {
        let lower = one.to_lowercase();
        let away = strsim::damerau_levenshtein(&word, &lower);
        let begins = word.chars().count() >= 3 && lower.starts_with(&word);
        let most = word.chars().count().max(lower.chars().count()) / 3;
        if (away <= most.max(1) && away < word.chars().count()) || begins {
            list.push((if begins { away.min(2) } else { away }, one));
        }
    }
    list.sort();
    list.dedup();
    list.into_iter().take(MOST).map(|(_, one)| one).collect()
}

/// ". Did you mean "a", "b" or "c"?" to stand behind a sentence without its point; empty where nothing is near.
///
/// ```
/// use runtrue::module::near::or_near;
/// assert_eq!(or_near("flywhel", ["flywheel", "testwheel"]), ". Did you mean \"flywheel\"?");
/// assert_eq!(or_near("x", ["flywheel"]), "");
/// ```
pub fn or_near<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    let said = did_you_mean(word, known);
    if said.is_empty() { said } else { format!(". {}", said.trim_end()) }
}

/// "Did you mean "a", "b" or "c"? " with a space behind it, to stand before what else is said; empty where nothing is near.
///
/// ```
/// use runtrue::module::near::did_you_mean;
/// assert_eq!(did_you_mean("flywhel", ["flywheel", "testwheel"]), "Did you mean \"flywheel\"? ");
/// assert_eq!(did_you_mean("x", ["flywheel"]), "");
/// ```
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    let near: Vec<String> = nearest(word, known).into_iter().map(|n| format!("\"{n}\"")).collect();
    match near.split_last() {
        None => String::new(),
        Some((one, [])) => format!("Did you mean {one}? "),
        Some((last, before)) => format!("Did you mean {} or {last}? ", before.join(", ")),
    }
}

/// Names in a list, no more than so many; where there are more, how many and how to see them all.
///
/// ```
/// use runtrue::module::near::some_of;
/// let names = ["a", "b", "c"].map(str::to_owned);
/// assert_eq!(some_of(&names, 2, "\"runtrue builds\" lists them all"), "a, b and 1 more; \"runtrue builds\" lists them all");
/// assert_eq!(some_of(&[], 2, ""), "none yet");
/// ```
#[must_use]
pub fn some_of(names: &[String], most: usize, all: &str) -> String {
    match names.len().saturating_sub(most) {
        _ if names.is_empty() => "none yet".to_owned(),
        0 => names.join(", "),
        more => format!("{} and {more} more; {all}", names[..most].join(", ")),
    }
}
