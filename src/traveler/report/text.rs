//! A document as plain text for a terminal or a printer that knows nothing else.

use unicode_width::UnicodeWidthStr;

use crate::module::one_line;

use super::{Block, Cell, Document, Table};

/// Widest line, as a terminal shows it.
const WIDTH: usize = 100;
/// Widest column before its words are wrapped.
const COLUMN: usize = 34;

/// Sets a document as text.
#[must_use]
pub fn text(document: &Document) -> String {
    let mut s = format!("{}\n{}\n", one_line(&document.title), "=".repeat(one_line(&document.title).width()));
    for block in &document.blocks {
        s.push('\n');
        set(block, &mut s);
    }
    s
}

fn set(block: &Block, s: &mut String) {
    match block {
        Block::Heading(level, words) => {
            let words = one_line(words);
            let line = if *level == 2 { "-".repeat(words.width()) + "\n" } else { String::new() };
            s.push_str(&format!("{words}\n{line}"));
        }
        Block::Text(words) => s.push_str(&(wrapped(words, WIDTH).join("\n") + "\n")),
        Block::Warning(signal, words) => {
            s.push_str(&(wrapped(&format!("{signal}: {words}"), WIDTH).join("\n") + "\n"));
        }
        Block::Facts(facts) => {
            let widest = facts.iter().map(|(name, _)| one_line(name).width()).max().unwrap_or(0);
            for (name, value) in facts {
                let lines = wrapped(value, WIDTH.saturating_sub(widest + 2).max(20));
                for (k, line) in lines.iter().enumerate() {
                    let name = if k == 0 { one_line(name) } else { String::new() };
                    s.push_str(&format!("{}  {line}\n", padded(&name, widest)));
                }
            }
        }
        Block::List(items) => {
            for item in items {
                s.push_str(&format!("- {}\n", wrapped(item, WIDTH - 2).join("\n  ")));
            }
        }
        Block::Table(t) => table(t, s),
        Block::Figure(f) => {
            s.push_str(&(wrapped(&f.caption, WIDTH).join("\n") + "\n"));
            for line in &f.lines {
                s.push_str(&format!("  {}\n", one_line(line)));
            }
        }
    }
}

fn wrapped(words: &str, width: usize) -> Vec<String> {
    // A date is not parted at its hyphens: half of it at the end of a line is no date.
    let options = textwrap::Options::new(width).word_splitter(textwrap::WordSplitter::NoHyphenation);
    let lines: Vec<String> = textwrap::wrap(&one_line(words), options).into_iter().map(Into::into).collect();
    if lines.is_empty() { vec![String::new()] } else { lines }
}

fn padded(words: &str, width: usize) -> String {
    format!("{words}{}", " ".repeat(width.saturating_sub(words.width())))
}

fn noted(note: &str) -> String {
    if note.is_empty() { String::new() } else { format!(" ({})", one_line(note)) }
}

/// Plain text cannot strike through, so it says so.
fn cell(cell: &Cell) -> String {
    match cell {
        Cell { blank: true, .. } => "________".into(),
        Cell { struck: true, text, note, .. } => format!("was {} ({})", one_line(text), one_line(note)),
        Cell { strong: true, text, note, .. } => format!("! {}{}", one_line(text), noted(note)),
        Cell { text, note, .. } => format!("{}{}", one_line(text), noted(note)),
    }
}

fn table(table: &Table, s: &mut String) {
    let rows: Vec<Vec<String>> = table.rows.iter().map(|r| r.iter().map(cell).collect()).collect();
    let heads: Vec<String> = table.head.iter().map(|h| (*h).to_owned()).collect();
    let widths: Vec<usize> = (0..heads.len())
        .map(|k| {
            let of = |r: &Vec<String>| r.get(k).map_or(0, |c| c.width());
            rows.iter().map(of).max().unwrap_or(0).max(heads[k].width()).min(COLUMN)
        })
        .collect();
    line(&heads, &widths, s);
    let rules: Vec<String> = widths.iter().map(|w| "-".repeat(*w)).collect();
    line(&rules, &widths, s);
    for row in &rows {
        line(row, &widths, s);
    }
}

/// A row, its long cells wrapped below themselves.
fn line(cells: &[String], widths: &[usize], s: &mut String) {
    let cells: Vec<Vec<String>> = cells.iter().zip(widths).map(|(c, w)| wrapped(c, (*w).max(1))).collect();
    let height = cells.iter().map(Vec::len).max().unwrap_or(1);
    for k in 0..height {
        let parts: Vec<String> =
            cells.iter().zip(widths).map(|(lines, w)| padded(lines.get(k).map_or("", String::as_str), *w)).collect();
        s.push_str(parts.join("  ").trim_end());
        s.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use super::wrapped;

    #[test]
    fn a_date_stands_whole_at_every_width() {
        for width in 11..60 {
            let lines = wrapped("measured again in entry 214 by mh, 2026-11-27 23:16", width);
            assert!(lines.iter().any(|l| l.contains("2026-11-27")), "{width}: {lines:?}");
        }
    }
}
