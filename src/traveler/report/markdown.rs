//! A document as Markdown.

use crate::module::{one_line, printable};

use super::{Block, Cell, Document, Table};

/// Sets a document as Markdown.
#[must_use]
pub fn markdown(document: &Document) -> String {
    let mut s = format!("# {}\n", plain(&document.title));
    for block in &document.blocks {
        s.push('\n');
        set(block, &mut s);
    }
    s
}

fn set(block: &Block, s: &mut String) {
    match block {
        Block::Heading(level, words) => s.push_str(&format!("{} {}\n", "#".repeat(usize::from(*level)), plain(words))),
        Block::Text(words) => s.push_str(&format!("{}\n", plain(words))),
        Block::Warning(signal, words) => s.push_str(&format!("> **{}** {}\n", plain(signal), plain(words))),
        Block::Facts(facts) => {
            s.push_str("| | |\n| --- | --- |\n");
            for (name, value) in facts {
                s.push_str(&format!("| {} | {} |\n", plain(name), plain(value)));
            }
        }
        Block::List(items) => {
            for item in items {
                s.push_str(&format!("- {}\n", plain(item)));
            }
        }
        Block::Table(t) => table(t, s),
        Block::Figure(f) => {
            s.push_str(&format!("*{}*\n", plain(&f.caption)));
            if !f.lines.is_empty() {
                // A fence longer than any run of backticks in it cannot be closed from inside.
                s.push_str("\n````text\n");
                for line in &f.lines {
                    s.push_str(&format!("{}\n", printable(line).replace(['\n', '`'], " ")));
                }
                s.push_str("````\n");
            }
        }
    }
}

fn table(table: &Table, s: &mut String) {
    s.push_str(&format!("| {} |\n|{}\n", table.head.join(" | "), " --- |".repeat(table.head.len())));
    for row in &table.rows {
        let cells: Vec<String> = row.iter().map(cell).collect();
        s.push_str(&format!("| {} |\n", cells.join(" | ")));
    }
}

fn noted(note: &str) -> String {
    if note.is_empty() { String::new() } else { format!(" ({})", plain(note)) }
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell { blank: true, .. } => "________".into(),
        Cell { struck: true, text, note, .. } => format!("~~{}~~ {}", plain(text), plain(note)),
        Cell { strong: true, text, note, .. } => format!("**{}**{}", plain(text), noted(note)),
        Cell { text, note, .. } => format!("{}{}", plain(text), noted(note)),
    }
}

/// Words of people as words: no control codes, no breaks, no markup.
fn plain(text: &str) -> String {
    let text = one_line(text);
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '|' | '\\' | '`' | '*' | '_' | '<' | '>' | '[' | ']' | '#' | '~') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
