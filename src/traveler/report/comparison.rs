//! A comparison as a document: figures of every check, and a chart of each that has limits and numbers.

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::statistics::Performance;
use crate::traveler::compare::{BuildValue, Compared, Comparison};
use crate::traveler::event::Verdict;

use super::figure::{Ink, Shape};
use super::{Block, Cell, Document, Figure, Table};

/// Columns of the chart in a terminal.
const COLUMNS: usize = 61;

/// The comparison, with charts where `charts` says so.
#[must_use]
pub fn compared(comparison: &Comparison, charts: bool) -> Document {
    let builds: Vec<String> = comparison.builds.iter().map(|(build, _)| build.clone()).collect();
    let mut blocks = vec![
        Block::Facts(vec![
            ("Module".into(), comparison.module.clone()),
            ("Builds".into(), format!("{}, in the order of their serials", builds.join(", "))),
        ]),
        Block::Heading(2, "Checks".into()),
        Block::Table(table(comparison)),
    ];
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
    let values = c.values.iter().map(|v| format!("{}: {}{}", named(v), v.value, sign(v)));
    let gone = c.disturbed.iter().map(|serial| format!("{serial}: disturbed, measure again"));
    let values: Vec<String> = values.chain(gone).collect();
    let or = |d: Option<Decimal>| d.map_or_else(String::new, |d| d.to_string());
    let open = c.values.iter().any(|v| v.verdict.open() && !v.accepted);
    vec![
        Cell::of(&c.step),
        Cell::of(&c.check),
        Cell::of(limits(c)),
        Cell { strong: open, ..Cell::of(values.join("; ")) },
        Cell::of(or(c.mean)),
        Cell::of(or(c.range)),
        Cell::of(c.drift.map_or_else(String::new, |d| format!("{d:+.4}"))),
    ]
}

fn limits(c: &Compared) -> String {
    let unit = c.unit.as_deref().unwrap_or_default();
    match (c.limits_differ, c.lower, c.upper) {
        (true, _, _) => "not the same for all".into(),
        (_, Some(a), Some(b)) if a == b => format!("{a} {unit}"),
        (_, Some(a), Some(b)) => format!("{a} to {b} {unit}"),
        (_, Some(a), None) => format!("at least {a} {unit}"),
        (_, None, Some(b)) => format!("at most {b} {unit}"),
        (_, None, None) => unit.to_owned(),
    }
}

/// The serial, with the round of work where it is not the first build.
fn named(v: &BuildValue) -> String {
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

/// What the chart spans: the limits and every value, with a little room.
fn span(c: &Compared) -> Option<(f64, f64)> {
    let limits = [c.lower, c.upper].into_iter().flatten();
    let values = c.values.iter().flat_map(|v| v.numbers.iter().copied());
    let all: Vec<f64> = limits.chain(values).filter_map(|d| d.to_f64()).collect();
    let low = all.iter().copied().min_by(f64::total_cmp)?;
    let high = all.iter().copied().max_by(f64::total_cmp)?;
    (high > low).then_some((low - (high - low) * 0.06, high + (high - low) * 0.06))
}

/// A chart of a check that has a limit and numbers from two builds: a line a build, values between the limits.
fn chart(c: &Compared) -> Option<Figure> {
    let numeric = c.values.iter().filter(|v| !v.numbers.is_empty()).count();
    if numeric < 2 || (c.lower.is_none() && c.upper.is_none()) {
        return None;
    }
    let (low, high) = span(c)?;
    let caption = format!("{} {}: {} ({})", c.step, c.check, c.prompt, limits(c));
    let height = 10.0 * c.values.len() as f64;
    let x = |value: f64| 40.0 + 150.0 * (value - low) / (high - low);
    let mut shapes = Vec::new();
    for limit in [c.lower, c.upper].into_iter().flatten() {
        let at = x(limit.to_f64()?);
        shapes.push(Shape::Line((at, 0.0), (at, height), Ink::Dashed));
        shapes.push(Shape::Words((at, height + 6.0), 5.0, limit.to_string()));
    }
    for (k, v) in c.values.iter().enumerate() {
        let y = 10.0 * k as f64 + 5.0;
        shapes.push(Shape::Words((20.0, y + 1.8), 5.0, v.serial.clone()));
        shapes.push(Shape::Line((40.0, y), (190.0, y), Ink::Thin));
        for number in v.numbers.iter().filter_map(|d| d.to_f64()) {
            shapes.extend(mark(v, x(number), y));
        }
    }
    let lines = c.values.iter().map(|v| in_text(c, v, low, high)).collect();
    Some(Figure { caption, view: (0.0, -2.0, 200.0, height + 10.0), page_mm: 110.0, shapes, lines })
}

/// A ring for a value within, a cross for one outside, a square for one undecided: told by shape, not by colour.
fn mark(v: &BuildValue, x: f64, y: f64) -> Vec<Shape> {
    match v.verdict {
        Verdict::Outside => vec![
            Shape::Line((x - 2.0, y - 2.0), (x + 2.0, y + 2.0), Ink::Solid),
            Shape::Line((x - 2.0, y + 2.0), (x + 2.0, y - 2.0), Ink::Solid),
        ],
        Verdict::Undecided => vec![Shape::Rect((x - 1.8, y - 1.8, 3.6, 3.6), Ink::Solid)],
        _ => vec![Shape::Circle((x, y), 1.8, Ink::Solid)],
    }
}

/// One build's line in a terminal: `|` the limits, `o` within, `x` outside, `?` undecided, `2` to `9` and `+` where so many
/// fall together.
fn in_text(c: &Compared, v: &BuildValue, low: f64, high: f64) -> String {
    let column = |value: f64| (((value - low) / (high - low)) * (COLUMNS - 1) as f64).round() as usize;
    let mut row = vec![' '; COLUMNS];
    for limit in [c.lower, c.upper].into_iter().flatten().filter_map(|d| d.to_f64()) {
        row[column(limit).min(COLUMNS - 1)] = '|';
    }
    let mut hits = vec![0u32; COLUMNS];
    for number in v.numbers.iter().filter_map(|d| d.to_f64()) {
        hits[column(number).min(COLUMNS - 1)] += 1;
    }
    let sign = match v.verdict {
        Verdict::Outside => 'x',
        Verdict::Undecided => '?',
        _ => 'o',
    };
    for (cell, hits) in row.iter_mut().zip(hits).filter(|(_, hits)| *hits > 0) {
        *cell = if hits == 1 { sign } else { char::from_digit(hits, 10).unwrap_or('+') };
    }
    let row: String = row.into_iter().collect();
    format!("{:>12} [{row}] {}", v.serial, v.verdict.word())
}
