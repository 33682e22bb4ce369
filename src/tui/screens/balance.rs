//! The rotor of a step that balances, from what the record tells of it up to that step.

use crate::procedure::plan::{Drawing, Shape, Step};
use crate::quantity::rounded;
use crate::traveler::{BalanceValue, Record};
use crate::tui::widgets::rotor::{Mark, Rotor, Washers};

/// The rotor as it is known when a step is shown; none where the drawing has no discs and rods.
#[must_use]
pub fn rotor(record: &Record, step: &Step) -> Option<Rotor> {
    let mut rotor = drawn(&record.plan().drawing)?;
    let values = record.balance_values();
    for value in values.iter().filter(|v| v.step.number <= step.number) {
        take(&mut rotor, value, &values);
    }
    Some(rotor)
}

fn drawn(drawing: &Drawing) -> Option<Rotor> {
    // End plates are drawn as discs too; the widest one is the rotor's rim.
    let discs = drawing.parts.iter().filter(|p| p.shape == Shape::Disc);
    let disc = discs.max_by(|a, b| a.outer_mm.total_cmp(&b.outer_mm))?;
    let rods = drawing.parts.iter().find(|p| p.shape == Shape::Rods)?;
    let circle = drawing.circles.iter().find(|c| Some(&c.group) == rods.group.as_ref() || c.group == rods.id)?;
    Some(Rotor {
        outer_mm: disc.outer_mm,
        bore_mm: disc.bore_mm,
        circle_mm: rods.outer_mm,
        holes: u32::try_from(circle.bolts_mm.len()).unwrap_or(0),
        hole_mm: rods.bore_mm,
        ..Rotor::default()
    })
}

/// Takes one value into the picture; a later one replaces what an earlier one showed.
fn take(rotor: &mut Rotor, value: &BalanceValue<'_>, all: &[BalanceValue<'_>]) {
    let (id, numbers) = (value.check.id.as_str(), value.numbers());
    let beside = |name: &str| {
        let found = all.iter().find(|v| v.step.id == value.step.id && v.check.id == name)?;
        found.numbers().first().copied()
    };
    let end = ["-far", "-drive"].into_iter().find(|e| id.contains(e)).unwrap_or("");
    let at = if end.is_empty() { String::new() } else { format!(" at the {} end", &end[1..]) };
    match (id, numbers.as_slice()) {
        ("heavy", [deg]) => {
            rotor.heavy = beside("unbalance").or_else(|| beside("residual")).map(|gmm| (*deg, gmm));
        }
        ("trial", [mass, deg]) => {
            rotor.marks.retain(|m| m.sign != 'T');
            rotor.marks.push(mark('T', *deg, rotor.circle_mm / 2.0, format!("trial weight {} g", rounded(*mass, 1))));
        }
        (_, [deg]) if id.ends_with("-angle") => {
            let Some(mass) = beside(id.trim_end_matches("-angle")) else { return };
            if end.is_empty() && beside("heavy").is_none() {
                rotor.heavy = Some(((deg + 180.0).rem_euclid(360.0), mass * rotor.circle_mm / 2.0));
            }
            let what = format!("{} g missing{at}", rounded(mass, 1));
            rotor.marks.retain(|m| m.sign != 'M' || !m.words.ends_with(&format!("missing{at}")));
            rotor.marks.push(mark('M', *deg, rotor.circle_mm / 2.0, what));
        }
        (_, counts) if id.starts_with("counts") || id.starts_with("fitted") => {
            let word = if id.starts_with("counts") { "to fit" } else { "on" };
            rotor
                .washers
                .retain(|w| !w.words.ends_with(&format!("to fit{at}")) && !w.words.ends_with(&format!("on{at}")));
            rotor.marks.retain(|m| m.sign != 'T');
            let some = (1..).zip(counts).filter(|(_, n)| **n > 0.0);
            rotor.washers.extend(some.map(|(hole, n): (u32, _)| Washers { hole, words: format!("{n} {word}{at}") }));
        }
        (_, [n, depth, first, apart]) if id.starts_with("holes") => {
            // Where they are drilled stands in the plan; a plan that does not say it gets no mark in a wrong place.
            let with = value.check.derive.as_ref().and_then(|d| d.by.as_ref()).map(|by| &by.with);
            let Some(on) = with.and_then(|w| w.get("on")).and_then(|on| on.parse::<f64>().ok()) else { return };
            for k in 0..n.round().max(0.0) as u32 {
                let words = format!("drill {} mm deep{at}", rounded(*depth, 1));
                rotor.marks.push(mark('o', first + apart * f64::from(k), on / 2.0, words));
            }
        }
        _ => {}
    }
}

fn mark(sign: char, deg: f64, radius_mm: f64, words: String) -> Mark {
    Mark { sign, deg, radius_mm, words }
}
