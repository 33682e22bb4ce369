//! A comparison as a document: figures of every check, and a chart of each that has limits and numbers.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use crate::mechanics::statistics::Performance;
use crate::procedure::range_words;
use crate::traveler::compare::{BuildValue, Compared, Comparison};
use crate::traveler::event::Verdict;

use super::chart::{LEGEND, chart};
use super::{Block, Cell, Document, Table};

/// Of more builds than these not every value is written out: the ends, and what is not within, with its serials.
const FEW: usize = 6;

/// The comparison, with charts where `charts` says so.
#[must_use]
pub fn compared(comparison: &Comparison, charts: bool) -> Document {
    let builds: Vec<String> = comparison.builds.iter().map(|(build, _)| build.clone()).collect();
    let mut facts = vec![
        ("Module".into(), comparison.module.clone()),
        ("Builds".into(), format!("{}, in the order of their serials", builds.join(", "))),
    ];
    if comparison.adopted.iter().any(Option::is_some) {
        let each = comparison.builds.iter().zip(&comparison.adopted);
        let each = each.map(|((_, serial), a)| format!("{serial}: {}", a.as_deref().unwrap_or("none")));
        facts.push(("Adopted".into(), each.collect::<Vec<_>>().join("; ")));
    }
    let mut blocks = vec![Block::Facts(facts), Block::Heading(2, "Checks".into()), Block::Table(table(comparison))];
    let performing: Vec<&Compared> = comparison.checks.iter().filter(|c| c.performance.is_some()).collect();
    if !performing.is_empty() {
        blocks.push(Block::Heading(2, "Process performance".into()));
        blocks.push(Block::Text(format!("{}; {}.", Performance::FORMULA, Performance::BASIS)));
        blocks.push(Block::Table(performances(&performing)));
    }
    if charts {
        let drawn: Vec<Block> = comparison.checks.iter().filter_map(chart).map(Block::Figure).collect();
        if !drawn.is_empty() {
            blocks.push(Block::Heading(2, "Charts".into()));
            blocks.push(Block::Text(LEGEND.into()));
            blocks.extend(drawn);
        }
    }
    Document { title: format!("Comparison of {} builds of {}", builds.len(), comparison.module), blocks }
}

fn table(comparison: &Comparison) -> Table {
    let head = ["step", "check", "limits", "values by serial", "mean", "range", "drift a serial"].to_vec();
    Table { head, rows: comparison.checks.iter().map(row).collect() }
}

fn row(c: &Compared) -> Vec<Cell> {
    let unit = c.unit.as_deref().unwrap_or_default();
    let or = |d: Option<Decimal>| d.map_or_else(String::new, |d| format!("{d} {unit}").trim().to_owned());
    let open = c.values.iter().any(|v| v.verdict.open() && !v.accepted);
    vec![
        Cell::of(&c.step),
        Cell::of(&c.check),
        Cell::of(limits(c)),
        Cell { strong: open, ..Cell::of(values(c)) },
        Cell::of(or(c.mean)),
        Cell::of(or(c.range)),
        Cell::of(c.drift.map_or_else(String::new, |d| drift_words(d, c))),
    ]
}

/// The values: of few builds each, of many what they span and which are not plainly within.
fn values(c: &Compared) -> String {
    let mut parts: Vec<String> = if c.values.len() <= FEW {
        c.values.iter().map(|v| format!("{}: {}{}", named(v), v.value, sign(v))).collect()
    } else {
        let mut parts = spread(c);
        parts.extend(["OUTSIDE", "UNDECIDED", "(accepted)"].iter().filter_map(|word| {
            let serials: Vec<String> = c.values.iter().filter(|v| sign(v).trim() == *word).map(named).collect();
            (!serials.is_empty()).then(|| format!("{word}: {}", serials.join(", ")))
        }));
        let later = c.values.iter().filter(|v| v.round > 0).count();
        parts.extend((later > 0).then(|| format!("{later} from a later round of work")));
        parts
    };
    parts.extend((!c.disturbed.is_empty()).then(|| format!("disturbed, measure again: {}", c.disturbed.join(", "))));
    parts.join("; ")
}

/// What many values span: one for all, the least and the largest, or how often each word was given.
fn spread(c: &Compared) -> Vec<String> {
    let mut said: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for v in &c.values {
        said.entry(&v.value).or_default().push(named(v));
    }
    if let (1, Some((value, serials))) = (said.len(), said.first_key_value()) {
        return vec![format!("{value} in all {}", serials.len())];
    }
    let numbers = c.values.iter().flat_map(|v| v.numbers.iter().map(move |n| (*n, v)));
    let ends = numbers.clone().min_by_key(|(n, _)| *n).zip(numbers.max_by_key(|(n, _)| *n));
    if let Some(((least, a), (largest, b))) = ends {
        return vec![
            format!("{} builds", c.values.len()),
            format!("least {least} ({})", named(a)),
            format!("largest {largest} ({})", named(b)),
        ];
    }
    let group = |(value, serials): (&&str, &Vec<String>)| match serials.len() {
        0..=FEW => format!("{value}: {}", serials.join(", ")),
        n => format!("{value}: {n} builds"),
    };
    said.iter().map(group).collect()
}

/// A drift with its sign and unit.
pub(super) fn drift_words(drift: f64, c: &Compared) -> String {
    format!("{drift:+.4} {}", c.unit.as_deref().unwrap_or_default()).trim().to_owned()
}

/// The limits in words.
pub(super) fn limits(c: &Compared) -> String {
    let unit = c.unit.as_deref().unwrap_or_default();
    if c.limits_differ {
        return "not the same for all".into();
    }
    range_words(c.lower, c.upper, unit).unwrap_or_else(|| unit.to_owned())
}

/// The serial, with the round of work where it is not the first build.
pub(super) fn named(v: &BuildValue) -> String {
    if v.round == 0 { v.serial.clone() } else { format!("{} (round {})", v.serial, v.round) }
}

fn sign(v: &BuildValue) -> &'static str {
    match (v.verdict, v.accepted) {
        (Verdict::Outside, false) => " OUTSIDE",
        (Verdict::Undecided, false) => " UNDECIDED",
        (_, true) => " (accepted)",
        _ => "",
    }
}

fn performances(list: &[&Compared]) -> Table {
    let head = ["step", "check", "n", "mean", "s", "Pp", "Ppk"].to_vec();
    let row = |c: &&Compared| {
        let p = c.performance?;
        let figures = [
            format!("{:.5}", p.mean),
            format!("{:.5}", p.s),
            p.pp.map_or_else(String::new, |p| format!("{p:.2}")),
            format!("{:.2}", p.ppk),
        ];
        let mut cells = vec![Cell::of(&c.step), Cell::of(&c.check), Cell::of(p.n.to_string())];
        cells.extend(figures.map(Cell::of));
        Some(cells)
    };
    Table { head, rows: list.iter().filter_map(row).collect() }
}
