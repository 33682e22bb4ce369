//! What a workshop's own words may not do: name no operation, ask for an unknown slot, drop a caution or a check.

use super::{ADDED, Entry, File, RawCaution};

/// Checks a file of a workshop against the built-in one.
pub(super) fn check(text: &str, own: &File, built_in: &File) -> Result<(), String> {
    for entry in &own.entries {
        let at = |needle: &str| place(text, &entry.when, needle);
        let Some(base) = built_in.entries.iter().find(|e| e.when == entry.when) else {
            let known: Vec<&str> = built_in.entries.iter().map(|e| e.when.as_str()).collect();
            return Err(format!("{}no entry \"{}\"; these are: {}", at(&entry.when), entry.when, known.join(", ")));
        };
        let known = slots(base);
        if let Some(slot) = slots(entry).into_iter().find(|s| !known.contains(s)) {
            let named = known.iter().map(|s| format!("{{{s}}}")).collect::<Vec<_>>().join(", ");
            return Err(format!(
                "{}\"{}\" has no slot {{{slot}}}; it has {named}",
                at(&format!("{{{slot}}}")),
                entry.when
            ));
        }
        if let Some(id) = base.checks.keys().find(|id| !entry.checks.contains_key(*id)) {
            return Err(format!(
                "{}\"{}\" leaves out the check \"{id}\"; it may be said otherwise, not dropped",
                at(&entry.when),
                entry.when
            ));
        }
        let foreign = entry.checks.keys().find(|id| !base.checks.contains_key(*id) && !id.starts_with(ADDED));
        if let Some(id) = foreign {
            return Err(format!("{}\"{id}\" is no check here; one of your own begins with \"{ADDED}\"", at(id)));
        }
        if let Some(caution) = base.cautions.iter().find(|c| !entry.cautions.iter().any(|o| same(c, o))) {
            return Err(format!(
                "{}\"{}\" leaves out or changes the caution \"{}\"; cautions may be added, not dropped",
                at(&entry.when),
                entry.when,
                caution.hazard
            ));
        }
    }
    Ok(())
}

fn same(a: &RawCaution, b: &RawCaution) -> bool {
    (a.signal, &a.hazard, &a.consequence, &a.avoid) == (b.signal, &b.hazard, &b.consequence, &b.avoid)
}

/// Slots that an entry asks for.
fn slots(entry: &Entry) -> Vec<String> {
    let lists = [&entry.actions, &entry.tools, &entry.instruments];
    let cautions = entry.cautions.iter().flat_map(|c| [&c.hazard, &c.consequence, &c.avoid]);
    let texts = std::iter::once(&entry.title).chain(lists.into_iter().flatten()).chain(cautions);
    let mut all: Vec<String> = texts.chain(entry.checks.values()).flat_map(|text| in_braces(text)).collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn in_braces(text: &str) -> Vec<String> {
    text.split('{').skip(1).filter_map(|rest| rest.split_once('}')).map(|(name, _)| name.to_owned()).collect()
}

/// "line 7, column 3: " of a text behind the entry's name.
fn place(text: &str, when: &str, needle: &str) -> String {
    let from = text.find(&format!("when: {when}")).unwrap_or(0);
    let Some(at) = text[from..].find(needle).map(|n| from + n) else {
        return String::new();
    };
    let line = text[..at].matches('\n').count() + 1;
    let column = text[..at].chars().rev().take_while(|c| *c != '\n').count() + 1;
    format!("line {line}, column {column}: ")
}
