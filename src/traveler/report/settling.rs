//! What has settled, visit by visit, and what is due: as a section of a review and as documents of their own.

use chrono::NaiveDate;
use rust_decimal::prelude::ToPrimitive;

use crate::traveler::due::Due;
use crate::traveler::record::Record;
use crate::traveler::trend::{Point, Trend};

use super::figure::{Ink, Shape};
use super::sections::when;
use super::{Block, Cell, Document, Figure, Table};

/// Columns of the chart in a terminal.
const COLUMNS: usize = 41;
/// Left and right end of the lines of the drawing, its width, and the height of a line.
const LEFT: f64 = 60.0;
const RIGHT: f64 = 190.0;
const WIDTH: f64 = 200.0;
const ROW: f64 = 9.0;

/// What the signs of the charts mean.
const LEGEND: &str =
    "One line an entry, the oldest first. o as set or left, x as found. Drawing: ring as set or left, cross as found.";

/// The section of a review: only of a record that was visited.
pub fn section(record: &Record) -> Vec<Block> {
    let trends = record.trends().unwrap_or_default();
    let visited: Vec<&Trend> = trends.iter().filter(|t| t.points.iter().any(|p| p.moment == "found")).collect();
    if visited.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading(2, "Settling".into())];
    blocks.extend(
        visited.into_iter().flat_map(|t| [Block::Text(format!("{}: {}", t.name, t.words)), Block::Table(table(t))]),
    );
    blocks
}

/// Joints over time, with charts; of several builds one after the other.
#[must_use]
pub fn trends(builds: &[(String, Vec<Trend>)]) -> Document {
    let mut blocks = vec![Block::Text(LEGEND.into())];
    for (build, trends) in builds {
        if builds.len() > 1 {
            blocks.push(Block::Heading(2, build.clone()));
        }
        for trend in trends {
            blocks.push(Block::Heading(3, format!("{} ({})", trend.name, trend.joint)));
            blocks.push(Block::Text(trend.words.clone()));
            blocks.push(Block::Table(table(trend)));
            blocks.extend(chart(trend).map(Block::Figure));
        }
    }
    let names: Vec<&str> = builds.iter().map(|(build, _)| build.as_str()).collect();
    Document { title: format!("What has settled: {}", names.join(", ")), blocks }
}

fn table(trend: &Trend) -> Table {
    let head = ["entry", "at", "as", "value", "lost", "after"].to_vec();
    let row = |p: &Point| {
        let after = [
            p.days.map(|d| format!("{d} days")),
            p.hours.filter(|h| !h.is_zero()).map(|h| format!("{} h run", h.normalize())),
        ];
        vec![
            Cell::of(p.event.to_string()),
            Cell::of(when(&p.at)),
            Cell::of(p.moment),
            Cell::of(said(p, &trend.unit)),
            Cell::of(p.loss_percent.map_or_else(String::new, |l| format!("{l} %"))),
            Cell::of(after.into_iter().flatten().collect::<Vec<_>>().join(", ")),
        ]
    };
    Table { head, rows: trend.points.iter().map(row).collect() }
}

/// The values; of bolts pulled to the click the torque that the wrench was set to.
fn said(p: &Point, unit: &str) -> String {
    match p.values.as_slice() {
        [one] if one.starts_with("clicked=") => format!("{one} at {} {unit}", p.value.normalize()),
        list => format!("{} {unit}", list.join(", ")),
    }
}

/// A line an entry, from nothing to the largest value: a loss is seen against the whole.
fn chart(trend: &Trend) -> Option<Figure> {
    let value = |p: &Point| p.value.to_f64();
    let high = trend.points.iter().filter_map(value).max_by(f64::total_cmp).filter(|h| *h > 0.0)?;
    let height = ROW * trend.points.len() as f64;
    let mut shapes = vec![Shape::Line((LEFT, 0.0), (LEFT, height), Ink::Dashed)];
    shapes.push(Shape::Words((LEFT, height + 5.0), 4.6, "0".into()));
    shapes.push(Shape::Words((RIGHT, height + 5.0), 4.6, format!("{high} {}", trend.unit)));
    let mut lines = Vec::new();
    for (k, p) in trend.points.iter().enumerate() {
        let (share, y) = (value(p)? / high, ROW * (k as f64 + 0.5));
        let x = LEFT + (RIGHT - LEFT) * share;
        let name = format!("{} {}", p.at.get(..10).unwrap_or(&p.at), p.moment);
        shapes.push(Shape::Words((LEFT / 2.0, y + 1.6), 4.6, name.clone()));
        shapes.push(Shape::Line((LEFT, y), (x, y), Ink::Thin));
        if p.moment == "found" {
            shapes.push(Shape::Line((x - 2.0, y - 2.0), (x + 2.0, y + 2.0), Ink::Solid));
            shapes.push(Shape::Line((x - 2.0, y + 2.0), (x + 2.0, y - 2.0), Ink::Solid));
        } else {
            shapes.push(Shape::Circle((x, y), 1.8, Ink::Solid));
        }
        let column = ((share * (COLUMNS - 1) as f64).round() as usize).min(COLUMNS - 1);
        let mut row = vec!['-'; column];
        row.push(if p.moment == "found" { 'x' } else { 'o' });
        let row: String = row.into_iter().collect();
        lines.push(format!("{name:>17} [{row:<COLUMNS$}] {} {}", p.value.normalize(), trend.unit));
    }
    let caption = format!("{}, from nothing to {high} {}", trend.name, trend.unit);
    Some(Figure { caption, view: (0.0, -2.0, WIDTH, height + 9.0), page_mm: 100.0, shapes, lines })
}

/// One build's part of the list of what is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueOf {
    /// Build, or module.
    pub build: String,
    /// What it is.
    pub title: String,
    /// What is due.
    pub due: Vec<Due>,
    /// Beside it: waits that run, instruments, what a record does not say.
    pub beside: Vec<String>,
}

/// The list of what is due, build by build.
#[must_use]
pub fn due(list: &[DueOf], today: NaiveDate) -> Document {
    let mut blocks = Vec::new();
    for of in list {
        blocks.push(Block::Heading(2, format!("{}: {}", of.build, of.title)));
        let rows: Vec<Vec<Cell>> = of.due.iter().map(|d| row(d, today)).collect();
        if !rows.is_empty() {
            let head = ["", "when", "what", "rule", "counted from"].to_vec();
            blocks.push(Block::Table(Table { head, rows }));
            blocks.push(Block::Text("By whose rule:".into()));
            blocks.push(Block::List(sources(&of.due)));
        }
        if !of.beside.is_empty() {
            blocks.push(Block::List(of.beside.clone()));
        }
    }
    if blocks.is_empty() {
        blocks.push(Block::Text("Nothing is due.".into()));
    }
    Document { title: format!("What is due, on {today}"), blocks }
}

/// Each source once, with what it is the source of.
fn sources(due: &[Due]) -> Vec<String> {
    let mut list: Vec<(&str, Vec<&str>)> = Vec::new();
    for d in due {
        match list.iter_mut().find(|(basis, _)| *basis == d.basis) {
            Some((_, ids)) => ids.push(&d.id),
            None => list.push((&d.basis, vec![&d.id])),
        }
    }
    list.into_iter().map(|(basis, ids)| format!("{}: {basis}", ids.join(", "))).collect()
}

fn row(d: &Due, today: NaiveDate) -> Vec<Cell> {
    let word = if d.overdue(today) {
        "OVERDUE"
    } else if d.now(today) {
        "DUE"
    } else {
        ""
    };
    let from =
        if d.since.0 == 0 { format!("{}, foreseen", d.since.1) } else { format!("{}, entry {}", d.since.1, d.since.0) };
    vec![
        Cell { strong: d.overdue(today), ..Cell::of(word) },
        Cell::of(d.when()),
        Cell::of(&d.what),
        Cell::of(&d.rule),
        Cell::of(from),
    ]
}
