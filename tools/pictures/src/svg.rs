//! A drawn buffer as SVG: text as glyphs, braille as dots and blocks as rectangles, so that no font need have them.

use std::fmt::Write;

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

/// Font size in pixels.
const SIZE: f64 = 16.0;
/// Advance of DejaVu Sans Mono (1233 of 2048 units).
const ADVANCE: f64 = 0.602_05 * SIZE;
/// Height of a row (ascent 1901 and descent 483 of 2048 units), rounded to whole pixels.
const ROW: f64 = 19.0;
/// Baseline inside a row.
const BASE: f64 = 0.928 * SIZE;

const INK: &str = "#d8d8d8";
const PAPER: &str = "#16181c";

/// The buffer as an SVG document.
#[must_use]
pub fn of(buffer: &Buffer) -> String {
    let (w, h) = (f64::from(buffer.area.width) * ADVANCE, f64::from(buffer.area.height) * ROW);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.1}\" height=\"{h:.1}\"><rect width=\"100%\" height=\"100%\" fill=\"{PAPER}\"/>"
    );
    for y in 0..buffer.area.height {
        for x in 0..buffer.area.width {
            if let Some(cell) = buffer.cell((x, y)) {
                draw(&mut out, cell, f64::from(x) * ADVANCE, f64::from(y) * ROW);
            }
        }
    }
    out.push_str("</svg>");
    out
}

fn draw(out: &mut String, cell: &Cell, x: f64, y: f64) {
    let (mut fg, mut bg) = (colour(cell.fg, INK), colour(cell.bg, PAPER));
    if cell.modifier.contains(Modifier::REVERSED) {
        std::mem::swap(&mut fg, &mut bg);
    }
    if bg != PAPER {
        rect(out, x, y, ADVANCE, ROW, bg);
    }
    let Some(c) = cell.symbol().chars().next() else { return };
    match c {
        ' ' => {}
        '\u{2800}'..='\u{28ff}' => braille(out, c, x, y, fg),
        '▀' => rect(out, x, y, ADVANCE, ROW / 2.0, fg),
        '▄' => rect(out, x, y + ROW / 2.0, ADVANCE, ROW / 2.0, fg),
        '█' => rect(out, x, y, ADVANCE, ROW, fg),
        c => glyph(out, c, cell.modifier, x, y, fg),
    }
    if cell.modifier.contains(Modifier::UNDERLINED) {
        rect(out, x, y + BASE + 2.0, ADVANCE, 1.0, fg);
    }
    if cell.modifier.contains(Modifier::CROSSED_OUT) {
        rect(out, x, y + BASE - 5.0, ADVANCE, 1.0, fg);
    }
}

/// Edges on whole pixels: neighbours meet without a seam.
fn rect(out: &mut String, x: f64, y: f64, w: f64, h: f64, fill: &str) {
    let (left, right, top, low) = (x.round(), (x + w).round(), y.round(), (y + h).round());
    let (x, y, w, h) = (left, top, right - left, (low - top).max(1.0));
    let _ = write!(out, "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{w:.2}\" height=\"{h:.2}\" fill=\"{fill}\"/>");
}

fn glyph(out: &mut String, c: char, modifier: Modifier, x: f64, y: f64, fill: &str) {
    let weight = if modifier.contains(Modifier::BOLD) { " font-weight=\"bold\"" } else { "" };
    let text = match c {
        '<' => "&lt;".to_owned(),
        '&' => "&amp;".to_owned(),
        c => c.to_string(),
    };
    let _ = write!(
        out,
        "<text x=\"{x:.2}\" y=\"{:.2}\" font-family=\"DejaVu Sans Mono\" font-size=\"{SIZE}\"{weight} fill=\"{fill}\">{text}</text>",
        y + BASE
    );
}

/// Dots of a braille cell on a grid of two by four.
fn braille(out: &mut String, c: char, x: f64, y: f64, fill: &str) {
    let bits = c as u32 - 0x2800;
    let places = [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3)];
    for (k, (column, row)) in places.iter().enumerate() {
        if bits >> k & 1 == 1 {
            let cx = x + ADVANCE * (0.25 + 0.5 * f64::from(*column));
            let cy = y + ROW * (0.125 + 0.25 * f64::from(*row));
            let _ = write!(out, "<circle cx=\"{cx:.2}\" cy=\"{cy:.2}\" r=\"1.5\" fill=\"{fill}\"/>");
        }
    }
}

fn colour(colour: Color, reset: &'static str) -> &'static str {
    match colour {
        Color::Black => "#16181c",
        Color::Red => "#e06c6c",
        Color::Green => "#7fc97f",
        Color::Yellow => "#e6c75a",
        Color::Blue => "#7aa6da",
        Color::Cyan => "#6cc3c9",
        Color::LightRed => "#f0905a",
        Color::LightBlue => "#8fb8e8",
        Color::Magenta => "#c586c0",
        Color::DarkGray => "#707070",
        _ => reset,
    }
}
