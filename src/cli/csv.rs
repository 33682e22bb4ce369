//! The readings of a record as comma-separated values (RFC 4180), one line a reading.

use crate::module::one_line;
use crate::procedure::plan::Step;
use crate::quantity::{parse_decimal, unit};
use crate::traveler::report::{Filter, rounds};
use crate::traveler::{Kept, Record, Trial, setup_said};

/// Names of the columns.
const COLUMNS: [&str; 23] = [
    "build",
    "serial",
    "event",
    "at",
    "number",
    "step",
    "check",
    "entered",
    "value",
    "unit",
    "lower",
    "upper",
    "verdict",
    "because",
    "by",
    "role",
    "measured_by",
    "instrument",
    "superseded",
    "disposition",
    "decided_by",
    "reason",
    "round",
];

/// The readings that the filter lets through, in the order of the rounds and their steps.
pub fn readings(record: &Record, filter: &Filter) -> String {
    let mut text = line(&COLUMNS.map(str::to_owned));
    for round in rounds(record) {
        for step in &round.plan().steps {
            let kept = step.checks.iter().flat_map(|c| round.readings(&step.id, &c.id));
            for kept in kept.filter(|k| filter.fits(step, k)) {
                text.push_str(&line(&cells(record, step, &kept)));
            }
        }
    }
    if filter.is_empty() {
        text.push_str(&trial_lines(record));
    }
    text
}

/// Every value and figure of every run, a line each, with its setup.
pub fn trials(record: &Record) -> String {
    let head = ["build", "serial", "event", "at", "run", "round", "setup", "check", "entered", "value", "unit"];
    let rest = ["lower", "upper", "verdict", "because", "by", "role", "witness", "instruments", "doubt", "superseded"];
    let mut text = line(&[&head[..], &rest[..]].concat().iter().map(|h| (*h).to_owned()).collect::<Vec<_>>());
    for (trial, event) in record.trials() {
        for v in of_run(trial) {
            let [check, entered, value, unit, lower, upper, verdict, because] = v;
            let h = &event.header;
            text.push_str(&line(&[
                record.build.clone(),
                record.started().serial.clone(),
                h.event.to_string(),
                h.at.clone(),
                trial.number.to_string(),
                trial.round.to_string(),
                setup_said(&trial.setup),
                check,
                entered,
                value,
                unit,
                lower,
                upper,
                verdict,
                because,
                h.by.clone(),
                trial.role.clone(),
                trial.witness.clone().unwrap_or_default(),
                instruments(trial),
                trial.doubt.clone().unwrap_or_default(),
                superseded(record, event),
            ]));
        }
    }
    text
}

fn superseded(record: &Record, event: &crate::traveler::event::Event) -> String {
    if record.corrected_run(event.header.event).is_some() { "yes" } else { "no" }.to_owned()
}

fn instruments(trial: &Trial) -> String {
    trial.instruments.iter().map(|u| u.id.as_str()).collect::<Vec<_>>().join(" ")
}

/// Check, entered, value, unit, limits, verdict, why: of each value, then of each figure.
fn of_run(trial: &Trial) -> Vec<[String; 8]> {
    let or_none = |t: &Option<String>| t.clone().unwrap_or_default();
    let values = trial.values.iter().map(|v| {
        [
            v.check.clone(),
            v.entered.join(" "),
            v.values.join(" "),
            or_none(&v.unit),
            or_none(&v.lower),
            or_none(&v.upper),
            v.verdict.word().to_owned(),
            v.because.clone(),
        ]
    });
    let none = String::new;
    let figures = trial.figures.iter().map(|f| {
        let verdict = crate::traveler::Verdict::NotJudged.word().to_owned();
        [f.name.clone(), none(), f.value.clone(), f.unit.clone(), none(), none(), verdict, f.words.clone()]
    });
    values.chain(figures).collect()
}

/// The runs in the columns of the readings; the step is `trial-N`.
fn trial_lines(record: &Record) -> String {
    let mut text = String::new();
    for (trial, event) in record.trials() {
        for [check, entered, value, unit, lower, upper, verdict, because] in of_run(trial) {
            text.push_str(&line(&[
                record.build.clone(),
                record.started().serial.clone(),
                event.header.event.to_string(),
                event.header.at.clone(),
                String::new(),
                format!("trial-{}", trial.number),
                check,
                entered,
                value,
                unit,
                lower,
                upper,
                verdict,
                because,
                event.header.by.clone(),
                trial.role.clone(),
                trial.paper.as_ref().map_or_else(String::new, |p| p.measured_by.clone()),
                instruments(trial),
                superseded(record, event),
                String::new(),
                String::new(),
                trial.corrects.as_ref().map_or_else(String::new, |c| c.reason.clone()),
                trial.round.to_string(),
            ]));
        }
    }
    text
}

fn cells(record: &Record, step: &Step, kept: &Kept<'_>) -> [String; 23] {
    let r = kept.reading;
    let or_none = |t: Option<&String>| t.cloned().unwrap_or_default();
    let reason = kept.disposition.map(|(d, _)| &d.reason).or_else(|| r.corrects.as_ref().map(|c| &c.reason));
    [
        record.build.clone(),
        record.started().serial.clone(),
        kept.event.to_string(),
        kept.at.to_owned(),
        step.number.to_string(),
        step.id.clone(),
        r.check.clone(),
        r.entered.join(" "),
        r.values.join(" "),
        or_none(r.unit.as_ref()),
        or_none(r.lower.as_ref()),
        or_none(r.upper.as_ref()),
        r.verdict.word().to_owned(),
        r.because.clone(),
        kept.by.to_owned(),
        r.role.clone(),
        or_none(r.paper.as_ref().map(|p| &p.measured_by)),
        or_none(r.instrument.as_ref().map(|i| &i.id)),
        if kept.superseded { "yes" } else { "no" }.to_owned(),
        kept.disposition.map_or("", |(d, _)| d.kind.word()).to_owned(),
        kept.disposition.map_or("", |(_, by)| by).to_owned(),
        or_none(reason),
        r.round.to_string(),
    ]
}

pub fn line(cells: &[String]) -> String {
    let cells: Vec<String> = cells.iter().map(|c| cell(c)).collect();
    cells.join(",") + "\n"
}

/// One cell, quoted where it has to be. Words that a spreadsheet would run as a formula get an apostrophe; quantities stay.
fn cell(text: &str) -> String {
    let mut text = one_line(text);
    // A spreadsheet may look past blanks, and takes the wide forms of the signs for the same.
    let starts = text.trim_start().starts_with(['=', '+', '@', '-', '\u{ff1d}', '\u{ff0b}', '\u{ff20}', '\u{ff0d}']);
    if starts && !is_quantity(&text) {
        text.insert(0, '\'');
    }
    if text.contains([',', '"']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

/// One number, with a unit or without.
fn is_quantity(text: &str) -> bool {
    let (number, symbol) = text.split_once(' ').unwrap_or((text, ""));
    parse_decimal(number).is_ok() && (symbol.is_empty() || unit(symbol).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_harmless_and_numbers_stay() {
        for (typed, shown) in [
            ("20.2", "20.2"),
            ("-5 °C", "-5 °C"),
            ("21,5 °C", "\"21,5 °C\""),
            ("say \"so\"", "\"say \"\"so\"\"\""),
            ("=1+1", "'=1+1"),
            ("@x", "'@x"),
            ("-x", "'-x"),
            ("-5+x()", "'-5+x()"),
            ("-5 x()", "'-5 x()"),
            (" =1+1", "' =1+1"),
            ("\u{ff1d}1+1", "'\u{ff1d}1+1"),
            ("\t=1+1", "' =1+1"),
            ("a\nb", "a b"),
            ("\u{1b}[2J", "\u{241b}[2J"),
        ] {
            assert_eq!(cell(typed), shown);
        }
    }
}
