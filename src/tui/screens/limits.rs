//! Limits in words, and what has to be known of the instrument before a value is measured.

use crate::module;
use crate::procedure::plan::{Acceptance, Check, CheckKind, SeriesRule};
use crate::traveler::{Record, is_round};
use crate::tui::app::App;
use crate::tui::widgets::text::cut;

/// The name before the limits, and the limits with the rule of a series.
pub fn named(check: &Check) -> (&'static str, String) {
    let n = check.count.unwrap_or(1);
    let base = range(check);
    let rule = match check.rule.filter(|_| n > 1) {
        Some(SeriesRule::Each) => format!("{base}, each of {n}"),
        Some(SeriesRule::Mean) => format!("{base}, the mean of {n}"),
        Some(SeriesRule::Range) => format!("{base}, largest less smallest of {n}"),
        Some(SeriesRule::Largest) => format!("{base}, the largest of {n}"),
        None => base,
    };
    let bare = check.lower.is_none() && check.upper.is_none();
    match check.asks() {
        CheckKind::Confirm | CheckKind::Gauge => ("Wanted", rule),
        CheckKind::Torque if is_round(check) => ("Wanted", rule),
        CheckKind::Text if check.wanted.is_some() => ("Wanted", rule),
        _ if bare && check.nominal.is_none() => ("No limits:", "it is kept for the record".into()),
        _ => ("Limits", rule),
    }
}

/// The limits as part of a sentence: "Limits: 4 to 6 mm, each of 4", "Wanted: yes".
pub fn told(check: &Check) -> String {
    let (name, words) = named(check);
    format!("{}: {words}", name.trim_end_matches(':'))
}

/// Limits in words.
pub fn range(check: &Check) -> String {
    let unit = check.unit.as_deref().map_or_else(String::new, |u| format!(" {u}"));
    match (check.asks(), &check.lower) {
        (CheckKind::Confirm, _) => "yes".into(),
        (CheckKind::Gauge, _) => "go enters, no-go does not".into(),
        (CheckKind::Torque, _) if is_round(check) => "none moves".into(),
        (CheckKind::Wait, Some(hours)) => format!("{hours} h"),
        _ => check.range_words().unwrap_or_else(|| match (&check.wanted, &check.nominal) {
            (Some(wanted), _) => wanted.clone(),
            (None, Some(n)) => format!("none; about {n}{unit}"),
            (None, None) => "kept".into(),
        }),
    }
}

/// What limits rest on, where a line of the spec is meant with the file's name and what stands on that line.
pub fn basis(record: &Record, check: &Check) -> String {
    with_lines(&check.basis, &record.started().spec_name, record.spec())
}

/// How many characters of a line of the spec are told.
const LINE: usize = 28;

fn with_lines(words: &str, file: &str, spec: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let of = |number: &str| number.parse::<usize>().ok().and_then(|n| spec.lines().nth(n.checked_sub(1)?));
    let told = |number: &str| {
        let line = of(number)
            .map(|l| l.split(" #").next().unwrap_or(l))
            .map(|l| l.split(": {").next().unwrap_or(l).trim().trim_start_matches("- "))
            // An entry of a list in braces is told by its first field.
            .map(|l| l.strip_prefix('{').map_or(l, |l| l.split([',', '}']).next().unwrap_or(l).trim()));
        // Of a line that is longer, or has many fields, its name says which one it is.
        let line = line.map(|l| if l.chars().count() > LINE { l.split(": ").next().unwrap_or(l) } else { l });
        line.filter(|l| !l.is_empty()).map_or_else(|| number.to_owned(), |l| format!("{number} ({})", cut(l, LINE)))
    };
    if module::is_put_together(spec) {
        // Its lines are those of no file: the family's are told by the remark beside them, the spec's own by what stands there.
        let told = |number: &str| {
            let words = told(number);
            let field = words.strip_prefix(number).unwrap_or_default();
            let origin = of(number).and_then(module::family_line);
            origin.map_or_else(|| format!("spec {name}{field}"), |origin| format!("{origin}{field}"))
        };
        return module::each_spec_line(words, told, |_, told| told);
    }
    module::each_spec_line(words, told, |several, told| {
        format!("spec {name}, line{} {told}", if several { "s" } else { "" })
    })
}

/// A check in a word or two, for a row of them: its id as people say it.
pub fn short(id: &str) -> String {
    id.strip_suffix("-least").map_or_else(|| id.replace('-', " "), |of| format!("least {}", of.replace('-', " ")))
}

/// What is asked, with the computed value that it needs: "Force at that deflection (deflection 5.3 mm)".
pub fn prompt(record: &Record, check: &Check) -> String {
    let beside = Some(check).filter(|c| c.asks() != CheckKind::Gauge).and_then(|c| record.beside(c));
    let known = beside.map_or_else(String::new, |(kept, values)| {
        let unit = kept.reading.unit.as_ref().map_or_else(String::new, |u| format!(" {u}"));
        format!(" ({} {}{unit})", short(&kept.reading.check), values.join(" "))
    });
    format!("{}{known}", check.prompt)
}

/// What is wrong with the instrument that is named, before anything is measured with it.
pub fn instrument_fault(app: &App<'_>, check: &Check) -> Option<String> {
    let id = app.instrument.as_deref().filter(|_| measured(check))?;
    let found = app.register.find(id)?;
    if let Some(faulty) = &found.faulty {
        return Some(format!("{id} was found faulty ({}): nothing is recorded with it. t: another.", faulty.reason));
    }
    if found.retired {
        return Some(format!("{id} is retired: nothing is recorded with it. t: another."));
    }
    let due = found.due.clone().unwrap_or_default();
    let late = found.overdue(&chrono::Local::now().date_naive().to_string());
    late.then(|| format!("{id} is past its calibration date {due}; each reading will say so. t: another."))
}

/// The instrument of the next reading in a few words, to stand behind the limits.
pub fn instrument(app: &App<'_>, check: &Check) -> String {
    let uncertainty = app.uncertainty.as_deref();
    match (&app.instrument, uncertainty) {
        _ if !measured(check) => String::new(),
        (Some(id), Some(u)) => format!("with {id}, U {u}"),
        (Some(id), None) if check.acceptance == Acceptance::Guarded => format!("with {id}, no uncertainty stated"),
        (Some(id), None) => format!("with {id}"),
        (None, _) if check.acceptance == Acceptance::Guarded => "no instrument named; t names it".into(),
        (None, _) => String::new(),
    }
}

fn measured(check: &Check) -> bool {
    matches!(check.asks(), CheckKind::Measure | CheckKind::Series | CheckKind::Torque) && check.unit.is_some()
}

/// True where a check is read off an instrument: a value with its unit, or a gauge.
pub fn is_read_off(check: &Check) -> bool {
    measured(check) || check.asks() == CheckKind::Gauge
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_the_spec_is_told_with_its_file_and_what_stands_there() {
        let spec = "runtrue: spec 1\nmodule: flywheel\n  - insert: UC205   # sealed\n  width: 20 mm\npinch: { count: 2, size: M10 }\n    - { part: collar-drive, face at: 210 mm }   # located\n";
        let said = |words: &str| with_lines(words, "/home/a/flywheel.yaml", spec);
        assert_eq!(said("spec, line 3"), "spec flywheel.yaml, line 3 (insert: UC205)");
        assert_eq!(
            said("ISO 286-2 H7; spec, line 4; common practice"),
            "ISO 286-2 H7; spec flywheel.yaml, line 4 (width: 20 mm); common practice"
        );
        assert_eq!(
            said("worst case; spec, lines 3 and 4"),
            "worst case; spec flywheel.yaml, lines 3 (insert: UC205) and 4 (width: 20 mm)"
        );
        assert_eq!(said("(spec, line 5)"), "(spec flywheel.yaml, line 5 (pinch))");
        assert_eq!(said("spec, line 6"), "spec flywheel.yaml, line 6 (part: collar-drive)");
        assert_eq!((short("stock-least").as_str(), short("run-out").as_str()), ("least stock", "run out"));
        assert_eq!(said("spec, line 99"), "spec flywheel.yaml, line 99", "a line that is not there is not made up");
        assert_eq!(said("common practice"), "common practice");
        // Put together from two files: no file has a line of that number.
        let whole = "runtrue: spec 1\n# Put together from two files; what comes from the family has its line beside it.\nmodule: flywheel\nwidth: 20 mm  # family.yaml, line 12\nribs: 6\n";
        let said = |words: &str| with_lines(words, "/home/a/flywheel.yaml", whole);
        assert_eq!(said("ISO 9982; spec, line 4; x"), "ISO 9982; family.yaml, line 12 (width: 20 mm); x");
        assert_eq!(
            said("twice the spec, lines 4 and 5"),
            "twice the family.yaml, line 12 (width: 20 mm) and spec flywheel.yaml (ribs: 6)"
        );
    }
}
