//! The chart of a compared check: a line a build in the order of the serials, its values between the limits.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::statistics::mean;
use crate::traveler::compare::{BuildValue, Compared};
use crate::traveler::event::Verdict;

use super::Figure;
use super::comparison::{drift_words, limits, named};
use super::figure::{Ink, Shape};

/// Columns of the chart in a terminal.
const COLUMNS: usize = 61;
/// From so many builds on the lines of the drawing stand closer.
const MANY: usize = 12;
/// Left and right end of the lines of the drawing, and its width.
const LEFT: f64 = 40.0;
const RIGHT: f64 = 190.0;
const WIDTH: f64 = 200.0;

/// What the signs of the charts mean.
pub const LEGEND: &str = "One line a build, in the order of the serials. Text: | limit, o within, x outside, ? undecided, a digit where so many fall together, + for ten and more. Drawing: dashed a limit, ring within, cross outside, square undecided; the slanting line is the least-squares line through the means of the builds, whose slope is the drift.";

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
pub fn chart(c: &Compared) -> Option<Figure> {
    let numeric = c.values.iter().filter(|v| !v.numbers.is_empty()).count();
    if numeric < 2 || (c.lower.is_none() && c.upper.is_none()) {
        return None;
    }
    let (low, high) = span(c)?;
    let drift = c.drift.map_or_else(String::new, |d| format!("; drift {} a serial", drift_words(d, c)));
    let caption = format!("{} {}: {} ({}{drift})", c.step, c.check, c.prompt, limits(c));
    let row = if c.values.len() > MANY { 5.5 } else { 10.0 };
    let height = row * c.values.len() as f64;
    let x = |value: f64| LEFT + (RIGHT - LEFT) * (value - low) / (high - low);
    let mut shapes = Vec::new();
    for limit in [c.lower, c.upper].into_iter().flatten() {
        let at = x(limit.to_f64()?);
        shapes.push(Shape::Line((at, 0.0), (at, height), Ink::Dashed));
        shapes.push(Shape::Words((at, height + 6.0), 5.0, limit.to_string()));
    }
    for (k, v) in c.values.iter().enumerate() {
        let y = row * (k as f64 + 0.5);
        shapes.push(Shape::Words((LEFT / 2.0, y + 1.6), 4.6, named(v)));
        shapes.push(Shape::Line((LEFT, y), (RIGHT, y), Ink::Thin));
        for number in v.numbers.iter().filter_map(|d| d.to_f64()) {
            shapes.extend(mark(v, x(number), y));
        }
    }
    shapes.extend(trend(c, row, x));
    let lines = c.values.iter().map(|v| in_text(c, v, low, high)).chain([axis(c, low, high)]).collect();
    Some(Figure { caption, view: (0.0, -2.0, WIDTH, height + 10.0), page_mm: 88.0, shapes, lines })
}

/// The least-squares line through the means of the builds; none where a build without numbers would shift it.
fn trend(c: &Compared, row: f64, x: impl Fn(f64) -> f64) -> Option<Shape> {
    let slope = c.drift?;
    let of = |v: &BuildValue| mean(&v.numbers.iter().filter_map(|d| d.to_f64()).collect::<Vec<_>>());
    let means = c.values.iter().map(of).collect::<Option<Vec<f64>>>()?;
    let half = (means.len() as f64 - 1.0) / 2.0;
    let middle = mean(&means)?;
    let at = |k: f64| (x(middle + slope * (k - half)), row * (k + 0.5));
    Some(Shape::Line(at(0.0), at(2.0 * half), Ink::Solid))
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

/// The column of a value in a terminal.
fn column(value: f64, low: f64, high: f64) -> usize {
    ((((value - low) / (high - low)) * (COLUMNS - 1) as f64).round() as usize).min(COLUMNS - 1)
}

/// One build's line in a terminal, by [`LEGEND`].
fn in_text(c: &Compared, v: &BuildValue, low: f64, high: f64) -> String {
    let mut row = vec![' '; COLUMNS];
    for limit in [c.lower, c.upper].into_iter().flatten().filter_map(|d| d.to_f64()) {
        row[column(limit, low, high)] = '|';
    }
    let mut hits = vec![0u32; COLUMNS];
    for number in v.numbers.iter().filter_map(|d| d.to_f64()) {
        hits[column(number, low, high)] += 1;
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
    format!("{:>16} [{row}] {}", named(v), v.verdict.word())
}

/// The limits in numbers, under their signs; a second one that finds no room stands behind.
fn axis(c: &Compared, low: f64, high: f64) -> String {
    let mut line = " ".repeat(16);
    for limit in [c.lower, c.upper].into_iter().flatten() {
        let words = limit.to_string();
        let at = limit.to_f64().map_or(0, |l| column(l, low, high)) + 18;
        let from = at.saturating_sub(words.len() / 2).max(line.len() + 1);
        line.push_str(&" ".repeat(from - line.len()));
        line.push_str(&words);
    }
    line
}
