//! The section on balancing: first reading, corrections with their place, what is left, the grade it meets.

use crate::traveler::record::Record;

use super::sections::{section, when};
use super::{Block, Cell};

/// What each round of work tells of balancing.
pub fn balance(rounds: &[Record]) -> Vec<Block> {
    let mut rows = Vec::new();
    let mut methods: Vec<&str> = Vec::new();
    for record in rounds {
        let values = record.balance_values();
        if let Some(method) = record.balance_method().filter(|m| !values.is_empty() && !methods.contains(m)) {
            methods.push(method);
        }
        rows.extend(values.iter().map(|v| {
            let r = v.kept.reading;
            let upper = r.upper.as_ref().map_or_else(String::new, |u| format!("at most {u}"));
            vec![
                Cell::of(r.round.to_string()),
                Cell::of(&v.step.id),
                Cell::of(&v.check.prompt),
                Cell::of(v.words()),
                Cell::of(upper),
                Cell { strong: r.verdict.open(), ..Cell::of(r.verdict.word()) },
                Cell::of(format!("{}, {}", v.kept.by, when(v.kept.at))),
            ]
        }));
    }
    let mut blocks = section("Balance", &["round", "step", "what", "value", "limit", "verdict", "by, at"], rows);
    if !blocks.is_empty() {
        let words = format!(
            "Balanced {}. Angles in degrees from marked hole 1, in the sense the spec states. Permitted by ISO 21940-11: {}.",
            methods.join("; "),
            permitted_at(rounds)
        );
        blocks.insert(1, Block::Text(words));
        blocks.extend(rounds.last().and_then(Record::balance_at_adopted).map(|at| Block::Text(at.words())));
    }
    blocks
}

/// The bases of the limits of residuals, as the plans have them.
fn permitted_at(rounds: &[Record]) -> String {
    let mut bases: Vec<String> = Vec::new();
    for value in rounds.iter().flat_map(Record::balance_values).filter(|v| v.check.id.starts_with("residual")) {
        let basis = value.check.basis.trim_start_matches("ISO 21940-11, ").to_owned();
        if value.check.upper.is_some() && !bases.contains(&basis) {
            bases.push(basis);
        }
    }
    if bases.is_empty() { "nothing is judged yet".into() } else { bases.join("; then ") }
}
