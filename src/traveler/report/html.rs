//! A document as one HTML file: styles and drawings inside, nothing fetched, no script, good on screen and on paper.

use super::figure::escaped;
use super::{Block, Cell, Document, Table};

/// Screen and print. Meaning never rests on colour: what is struck is struck, what must not be missed is bold and marked.
const STYLE: &str = "\
:root{color-scheme:light}
body{font:10.5pt/1.4 system-ui,sans-serif;color:#000;background:#fff;max-width:60rem;margin:1.5rem auto;padding:0 1rem}
h1{font-size:1.5rem;margin:0 0 .6rem}h2{font-size:1.15rem;border-bottom:1px solid #000;margin:1.6rem 0 .5rem}
h3{font-size:1rem;margin:1rem 0 .3rem}
table{border-collapse:collapse;width:100%;font-size:.88em}th,td{border:1px solid #777;padding:.2em .45em;text-align:left;vertical-align:top}td.long{overflow-wrap:anywhere}
th{background:#eee}table.facts th{width:11rem}td.blank{min-width:7rem;height:1.9em}
td.open{font-weight:700;border-width:2px;border-color:#000}td.open::before{content:\"! \"}
s{text-decoration-thickness:1.5px}small{font-size:.9em}
p.warning{border:2px solid #000;padding:.4em .6em}p.warning b{margin-right:.5em}
figure{display:inline-block;margin:.5rem .8rem .5rem 0;vertical-align:top;max-width:100%}figcaption{font-size:.85em;max-width:44rem}
svg{max-width:100%;height:auto;display:block}svg *{vector-effect:non-scaling-stroke}
.solid{stroke:#000;stroke-width:1.1;fill:#e4e4e4}.dashed{stroke:#555;stroke-width:.9;stroke-dasharray:4 3;fill:none}.thin{stroke:#555;stroke-width:.6;fill:none}
text{text-anchor:middle;font-family:system-ui,sans-serif;fill:#000}
pre{font-size:.85em;overflow-x:auto}
@page{size:A4;margin:14mm 12mm 16mm;@bottom-right{content:counter(page) \" / \" counter(pages)}}
@media print{body{max-width:none;margin:0;padding:0;font-size:9.5pt;orphans:1;widows:1}p,li{orphans:2;widows:2}figure{margin:.3rem .5rem .3rem 0}h2,h3{break-after:avoid}tr,figure,p.warning{break-inside:avoid}thead{display:table-header-group}}
";

/// Letters of a word that may be broken.
const LONG: usize = 24;

/// Sets a document as a whole HTML file.
#[must_use]
pub fn html(document: &Document) -> String {
    let title = escaped(&document.title);
    let body: String = document.blocks.iter().map(set).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n<title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n{body}</body>\n</html>\n"
    )
}

fn set(block: &Block) -> String {
    match block {
        Block::Heading(level, words) => format!("<h{level}>{}</h{level}>\n", escaped(words)),
        Block::Text(words) => format!("<p>{}</p>\n", escaped(words)),
        Block::Warning(signal, words) => {
            format!("<p class=\"warning\"><b>{}</b>{}</p>\n", escaped(signal), escaped(words))
        }
        Block::Facts(facts) => {
            let row = |(name, value): &(String, String)| {
                format!("<tr><th scope=\"row\">{}</th><td class=\"long\">{}</td></tr>\n", escaped(name), escaped(value))
            };
            format!("<table class=\"facts\">\n{}</table>\n", facts.iter().map(row).collect::<String>())
        }
        Block::List(items) => {
            let items: String = items.iter().map(|i| format!("<li>{}</li>\n", escaped(i))).collect();
            format!("<ul>\n{items}</ul>\n")
        }
        Block::Table(t) => table(t),
        Block::Figure(f) => {
            // As wide as its drawing, so that small ones stand side by side whatever their caption says.
            let width = f.page_mm;
            format!(
                "<figure style=\"width:{width}mm\">{}<figcaption>{}</figcaption></figure>\n",
                f.svg(),
                escaped(&f.caption)
            )
        }
    }
}

fn table(table: &Table) -> String {
    let head: String = table.head.iter().map(|h| format!("<th scope=\"col\">{}</th>", escaped(h))).collect();
    let row = |r: &Vec<Cell>| format!("<tr>{}</tr>\n", r.iter().map(cell).collect::<String>());
    let rows: String = table.rows.iter().map(row).collect();
    format!("<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n")
}

fn cell(cell: &Cell) -> String {
    let text = escaped(&cell.text);
    let note = if cell.note.is_empty() { String::new() } else { format!("<br><small>{}</small>", escaped(&cell.note)) };
    // A word that could not be broken would push the page apart; short ones are never broken.
    let is_long = |text: &str| text.split_whitespace().any(|w| w.chars().count() > LONG);
    let long = if is_long(&cell.text) || is_long(&cell.note) { " long" } else { "" };
    match cell {
        Cell { blank: true, .. } => "<td class=\"blank\"></td>".into(),
        Cell { struck: true, .. } => format!("<td class=\"struck{long}\"><s>{text}</s>{note}</td>"),
        Cell { strong: true, .. } => format!("<td class=\"open{long}\">{text}{note}</td>"),
        _ if long.is_empty() => format!("<td>{text}{note}</td>"),
        _ => format!("<td class=\"long\">{text}{note}</td>"),
    }
}
