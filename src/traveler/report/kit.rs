//! A kit to order and pack by, and inspection sheets for makers and for receipt, as documents.

use crate::procedure::kit::{Kind, Kit, Line, Sheet};
use crate::procedure::plan::Step;
use crate::traveler::Ticks;

use super::blank::rows;
use super::{Block, Cell, Document, Table};

/// A line of a kit with what is in hand of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Packed<'a> {
    /// The line.
    pub line: &'a Line,
    /// In hand.
    pub have: u32,
}

impl Packed<'_> {
    /// Fewer in hand than needed.
    #[must_use]
    pub fn missing(&self) -> bool {
        self.have < self.line.quantity
    }

    /// Missing, and the work stops without it.
    #[must_use]
    pub fn stops(&self) -> bool {
        self.line.required && self.missing()
    }
}

/// Lines of a kit with what is in hand: what is missing and required first, then what is missing, then what is there; by kind
/// within each.
#[must_use]
pub fn packed<'a>(kit: &'a Kit, ticks: &Ticks) -> Vec<Packed<'a>> {
    let mut all: Vec<Packed<'a>> = kit.lines.iter().map(|line| Packed { line, have: ticks.have(&line.id) }).collect();
    all.sort_by_key(|p| (!p.stops(), !p.missing()));
    all
}

/// Heading of a kind.
const fn heading(kind: Kind) -> &'static str {
    match kind {
        Kind::Part => "Parts",
        Kind::Hardware => "Hardware",
        Kind::Tool => "Tools",
        Kind::Gauge => "Gauges",
        Kind::Consumable => "Consumables",
        Kind::Protective => "Protective equipment",
        Kind::Spare => "Spares",
    }
}

/// The kit of a module with what is in hand.
#[must_use]
pub fn kit(kit: &Kit, ticks: &Ticks) -> Document {
    let all = packed(kit, ticks);
    let missing = all.iter().filter(|p| p.stops()).count();
    let required = all.iter().filter(|p| p.line.required).count();
    let facts = vec![
        ("Module, revision".to_owned(), format!("{}, {}", kit.module, kit.revision)),
        ("Covers".to_owned(), "every setup of the spec together".to_owned()),
        ("Required and missing".to_owned(), format!("{missing} of {required} lines")),
    ];
    let mut blocks = vec![Block::Facts(facts)];
    for without in &kit.without {
        let words = format!("{} has no order of work and is not in this kit: {}", without.setup, without.why);
        blocks.push(Block::Warning("NOTICE".into(), words));
    }
    blocks.extend(group("Required and missing", all.iter().filter(|p| p.stops())));
    for kind in [Kind::Part, Kind::Hardware, Kind::Tool, Kind::Gauge, Kind::Consumable, Kind::Protective, Kind::Spare] {
        blocks.extend(group(heading(kind), all.iter().filter(|p| p.line.kind == kind && !p.stops())));
    }
    blocks.extend(rules(kit));
    blocks.extend(undecided(kit));
    let ids: Vec<&str> = kit.lines.iter().map(|l| l.id.as_str()).collect();
    let left: Vec<String> = ticks.besides(&ids).map(|(id, t)| format!("{} ({id}), {}", t.name, t.have)).collect();
    if !left.is_empty() {
        blocks.push(Block::Heading(2, "In hand, and asked for no more".into()));
        blocks.push(Block::List(left));
    }
    blocks.push(Block::Heading(2, "To ask about the place of work".into()));
    blocks.push(Block::List(kit.site.clone()));
    Document { title: format!("{}: what to order and to pack", kit.title), blocks }
}

fn group<'a>(head: &str, lines: impl Iterator<Item = &'a Packed<'a>>) -> Vec<Block> {
    let rows: Vec<Vec<Cell>> = lines.map(row).collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let head = format!("{head}: {}", rows.len());
    let columns = ["have", "of", "what", "note", "id"].to_vec();
    vec![Block::Heading(2, head), Block::Table(Table { head: columns, rows })]
}

fn row(packed: &Packed<'_>) -> Vec<Cell> {
    let line = packed.line;
    let have = Cell { strong: packed.stops(), ..Cell::of(packed.have.to_string()) };
    let unit = if line.unit == "piece" { String::new() } else { format!(" {}", line.unit) };
    vec![
        have,
        Cell::of(format!("{}{unit}", line.quantity)),
        Cell::of(what(line)),
        Cell::of(note(line)),
        Cell::of(&line.id),
    ]
}

/// Name, size and class of a line.
#[must_use]
pub fn what(line: &Line) -> String {
    // A name that ends in its size says it once.
    let size = line.size.as_ref().filter(|s| !line.name.ends_with(s.as_str()));
    let size = size.map_or_else(String::new, |s| format!(" {s}"));
    let class = line.class.as_ref().map_or_else(String::new, |c| format!(", {c}"));
    format!("{}{size}{class}", line.name)
}

/// Notes, settings, and what a gauge must decide.
#[must_use]
pub fn note(line: &Line) -> String {
    let mut words: Vec<String> = line.note.iter().cloned().collect();
    if !line.torques_nm.is_empty() {
        let torques: Vec<String> = line.torques_nm.iter().map(f64::to_string).collect();
        words.push(format!("set to {} N·m", torques.join(", ")));
    }
    if let Some(j) = &line.judges {
        let usual = j.usual.as_ref().map_or_else(String::new, |u| format!(", usual {u}"));
        words.push(format!("U at most {} mm{usual}", j.uncertainty_at_most));
    }
    if !line.required && line.kind != Kind::Spare {
        words.push("advised".into());
    }
    words.join("; ")
}

/// The rules behind quantities that are not counted from the spec, each once.
fn rules(kit: &Kit) -> Vec<Block> {
    let mut rules: Vec<String> = Vec::new();
    for line in kit.lines.iter().filter(|l| matches!(l.kind, Kind::Spare | Kind::Hardware)) {
        if let Some(basis) = &line.basis {
            let rule = format!("{}: {basis}", line.name);
            if !rules.contains(&rule) {
                rules.push(rule);
            }
        }
    }
    if rules.is_empty() {
        return Vec::new();
    }
    vec![Block::Heading(2, "Rules for spares and cutting".into()), Block::List(rules)]
}

fn undecided(kit: &Kit) -> Vec<Block> {
    if kit.undecided.is_empty() {
        return Vec::new();
    }
    let rows = kit.undecided.iter().map(|u| {
        vec![
            Cell::of(&u.step),
            Cell::of(&u.check),
            Cell::of(format!("{} mm", u.uncertainty_at_most)),
            Cell::of(u.instruments.join(", ")),
        ]
    });
    let head = ["step", "check", "U at most", "named there, too coarse or out of range"].to_vec();
    vec![
        Block::Heading(2, "No gauge named can decide these: pack a finer one, or a go and no-go gauge".into()),
        Block::Table(Table { head, rows: rows.collect() }),
    ]
}

/// Inspection sheets: to send to the maker, and to fill when the part comes.
#[must_use]
pub fn sheets(kit: &Kit, sheets: &[Sheet]) -> Document {
    let facts = [("Module, revision", format!("{}, {}", kit.module, kit.revision)), ("Order, maker", BLANK.into())];
    let mut blocks = vec![Block::Facts(facts.map(|(n, v)| (n.to_owned(), v)).into())];
    blocks.extend(sheets.iter().flat_map(sheet));
    Document { title: format!("{}: inspection sheets", kit.title), blocks }
}

const BLANK: &str = "________________";

fn sheet(sheet: &Sheet) -> Vec<Block> {
    let line = &sheet.line;
    let mut blocks = vec![Block::Heading(2, format!("{}: {}", line.name, line.id)), Block::Text("Asked for:".into())];
    blocks.push(Block::Facts(sheet.asked.clone()));
    if line.parts.len() > 1 {
        let words = format!(
            "{} equal pieces ({}): what follows is filled once for each.",
            line.parts.len(),
            line.parts.join(", ")
        );
        blocks.push(Block::Text(words));
    }
    if sheet.steps.is_empty() {
        blocks.push(Block::Text("Nothing is measured at receipt; look for damage, and for the marking above.".into()));
    }
    blocks.extend(sheet.steps.iter().flat_map(receipt));
    blocks.push(Block::Facts(vec![
        ("Lot, heat or serial number".into(), BLANK.into()),
        ("Accepted, on hold, or rejected".into(), BLANK.into()),
        ("Name, date".into(), BLANK.into()),
    ]));
    blocks
}

/// What one step asks when the part comes.
fn receipt(step: &Step) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(3, format!("{} ({})", step.title, step.id))];
    blocks.extend(step.cautions.iter().map(|c| Block::Warning(c.signal.word().to_owned(), c.text.clone())));
    blocks.push(Block::List(step.actions.clone()));
    let with = crate::procedure::naming::each_once(step.instruments.iter().chain(&step.tools));
    if !with.is_empty() {
        blocks.push(Block::Text(format!("With: {}", with.join("; "))));
    }
    let head = ["check", "limits", "value", "with", "initials", "time"].to_vec();
    blocks.push(Block::Table(Table { head, rows: step.checks.iter().flat_map(rows).collect() }));
    blocks
}
