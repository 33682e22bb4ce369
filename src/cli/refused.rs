//! What is said of an entry that was refused: steps by title and id, and the line to type where only a unit was missing.

use crate::procedure::naming;
use crate::procedure::plan::Check;
use crate::traveler::{Entry, EntryError, Paper, Record, Session, TrialEntry, with_units};

use super::Failure;

/// What the record took, or why it did not, steps named by title with the id behind.
pub fn kept<T>(done: Result<T, EntryError>, session: &Session) -> Result<T, Failure> {
    done.map_err(|e| {
        let said = naming::titled(&e.to_string(), &session.record().plan().steps);
        Failure { entry: true, ..Failure::new(format!("not recorded: {said}")) }
    })
}

/// As [`kept`], with the whole line where every value of an entry lacks nothing but its unit.
pub fn entered<T>(done: Result<T, EntryError>, session: &Session, entry: &Entry) -> Result<T, Failure> {
    kept(done, session).map_err(|failure| {
        let record = session.record();
        let check = record.step(&entry.step).and_then(|s| s.checks.iter().find(|c| c.id == entry.check));
        let values = check.and_then(|c| with_units(c, &entry.values));
        values.map_or(failure.clone(), |values| with_line(&failure, &enter_line(record, entry, &values)))
    })
}

/// As [`kept`], with the whole line where values of a run lack nothing but their units.
pub fn ran<T>(done: Result<T, EntryError>, session: &Session, entry: &TrialEntry) -> Result<T, Failure> {
    kept(done, session).map_err(|failure| {
        let checks = session.record().trial_checks();
        let check = |id: &str| checks.iter().find(|c| c.id == id);
        let with = |check: Option<&Check>, typed: &[String]| check.and_then(|c| with_units(c, typed));
        if entry.values.iter().all(|(id, typed)| with(check(id), typed).is_none()) {
            return failure;
        }
        let mut values = entry.values.clone();
        for (id, typed) in &mut values {
            *typed = with(check(id), typed).unwrap_or_else(|| typed.clone());
        }
        with_line(&failure, &trial_line(session.record(), entry, &values))
    })
}

fn with_line(failure: &Failure, line: &str) -> Failure {
    Failure { entry: failure.entry, ..Failure::new(format!("{}. Type: {line}", failure.reason)) }
}

/// A word as a shell takes it, unchanged.
fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | ',' | '=' | '/' | ':' | '@');
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else if word.contains(['"', '$', '`', '\\', '!']) {
        format!("'{}'", word.replace('\'', "'\\''"))
    } else {
        format!("\"{word}\"")
    }
}

/// An option with its value, where it was given.
fn option(name: &str, value: Option<&str>) -> String {
    value.map_or_else(String::new, |value| format!(" --{name} {}", quoted(value)))
}

fn paper(paper: Option<&Paper>) -> String {
    paper.map_or_else(String::new, |p| {
        format!(" --from-paper --measured-by {} --at {}", quoted(&p.measured_by), quoted(&p.at))
    })
}

fn enter_line(record: &Record, entry: &Entry, values: &[String]) -> String {
    let values: String = values.iter().map(|v| format!(" {}", quoted(v))).collect();
    let mut line = format!("runtrue enter {} {} {}{values} --by {}", record.build, entry.step, entry.check, entry.by);
    line.push_str(&option("instrument", entry.instrument.as_deref()));
    line.push_str(if entry.correct.is_some() { " --correct" } else { "" });
    line.push_str(&option("disposition", entry.disposition.as_ref().map(|d| d.kind.word())));
    line.extend(entry.parts.iter().map(|part| option("part", Some(part))));
    let decided = entry.disposition.as_ref().map(|d| (&d.role, &d.reason));
    let decided = decided.or(entry.end_early.as_ref().map(|e| (&e.role, &e.reason)));
    line.push_str(&option("reason", entry.correct.as_ref().or(decided.map(|(_, reason)| reason)).map(String::as_str)));
    line.push_str(&option("role", decided.map(|(role, _)| role.as_str())));
    line + &paper(entry.paper.as_ref()) + &option("witness", entry.witness.as_deref())
}

fn trial_line(record: &Record, entry: &TrialEntry, values: &[(String, Vec<String>)]) -> String {
    let each = values.iter().flat_map(|(id, typed)| typed.iter().map(move |v| option(id, Some(v))));
    let mut line = format!("runtrue trial {}{} --by {}", record.build, each.collect::<String>(), entry.by);
    line.extend(entry.instruments.iter().map(|id| option("instrument", Some(id))));
    if let Some((run, reason)) = &entry.correct {
        line.push_str(&format!(" --correct {run} --reason {}", quoted(reason)));
    }
    line + &paper(entry.paper.as_ref()) + &option("witness", entry.witness.as_deref())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_reaches_the_program_as_it_was_typed() {
        for (word, line) in [
            ("24.6", "24.6"),
            ("24.6 mm", "\"24.6 mm\""),
            ("", "\"\""),
            ("costs $5", "'costs $5'"),
            ("the \"old\" one isn't", "'the \"old\" one isn'\\''t'"),
        ] {
            assert_eq!(quoted(word), line);
        }
    }
}
