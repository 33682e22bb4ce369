//! The machine of a record, drawn to scale: the section along the shaft with what is in place, and each bolt circle.

use crate::procedure::plan::{Drawing, DrawnCircle, DrawnPart, Shape as Kind};
use crate::traveler::record::Record;

use super::figure::{Ink, Shape};
use super::{Block, Figure};

/// Section and bolt circles as they stand after the last entry.
pub fn drawings(record: &Record) -> Vec<Block> {
    let drawing = &record.plan().drawing;
    let fitted = record.fitted();
    let stages = record.stages();
    let mut blocks: Vec<Block> = section(drawing, &fitted).into_iter().map(Block::Figure).collect();
    let circles = drawing.circles.iter().filter(|c| stages.contains_key(c.group.as_str()));
    blocks.extend(circles.map(|c| {
        let stage = stages.get(c.group.as_str()).copied().unwrap_or_default();
        Block::Figure(circle(c, &format!("{}: {stage}", c.label)))
    }));
    blocks
}

/// The section along the shaft, far end left; none for a module without a shaft.
pub fn section(drawing: &Drawing, fitted: &[&str]) -> Option<Figure> {
    if drawing.shaft_length_mm <= 0.0 {
        return None;
    }
    let radius = drawing.parts.iter().map(|p| p.outer_mm / 2.0).fold(drawing.shaft_diameter_mm, f64::max);
    let shaft = drawing.shaft_diameter_mm / 2.0;
    let in_place = |id: &str| if fitted.contains(&id) { Ink::Solid } else { Ink::Dashed };
    let mut shapes = vec![Shape::Rect((0.0, -shaft, drawing.shaft_length_mm, 2.0 * shaft), in_place("shaft"))];
    let mut lines = Vec::new();
    let size = drawing.shaft_length_mm / 60.0;
    for (k, part) in (1..).zip(&drawing.parts) {
        let ink = in_place(&part.id);
        shapes.extend(halves(part).map(|half| Shape::Rect(half, ink)));
        // Rods lie over the stack; their number stands at their far end, clear of it.
        let middle = match part.shape {
            Kind::Rods => part.from_mm + part.bore_mm / 2.0,
            _ => f64::midpoint(part.from_mm, part.to_mm),
        };
        // Neighbours stand at two heights, so that their numbers do not run into each other.
        let down = radius + size * if k % 2 == 0 { 3.2 } else { 1.8 };
        shapes.push(Shape::Line((middle, part.outer_mm / 2.0), (middle, down - size), Ink::Thin));
        shapes.push(Shape::Words((middle, down), size, format!("{k}")));
        let state = if ink == Ink::Solid { "in place" } else { "not in place" };
        lines.push(format!(
            "{k} {}: {state}, {} to {} mm from the far end",
            part.label,
            mm(part.from_mm),
            mm(part.to_mm)
        ));
    }
    let legend: Vec<String> = (1..).zip(&drawing.parts).map(|(k, p): (u32, _)| format!("{k} {}", p.label)).collect();
    Some(Figure {
        caption: format!("Section, far end left. {}. Full line: in place; dashed: not in place.", legend.join(", ")),
        view: (-8.0, -radius - 4.0, drawing.shaft_length_mm + 16.0, 2.0 * radius + 4.0 + size * 4.5),
        page_mm: 170.0,
        shapes,
        lines,
    })
}

fn mm(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A section shows a part above and below the shaft; rods stand on their circle.
fn halves(part: &DrawnPart) -> impl Iterator<Item = (f64, f64, f64, f64)> {
    let (x, width) = (part.from_mm, part.to_mm - part.from_mm);
    let (outer, inner) = (part.outer_mm / 2.0, part.bore_mm / 2.0);
    let (top, height) = match part.shape {
        Kind::Rods => (outer - inner, 2.0 * inner),
        _ => (inner, outer - inner),
    };
    [(x, top, width, height), (x, -top - height, width, height)].into_iter()
}

/// A bolt circle with the numbers of its bolts, hole 1 marked.
pub fn circle(circle: &DrawnCircle, caption: &str) -> Figure {
    let reach = circle.bolts_mm.iter().map(|(x, y)| x.hypot(*y)).fold(0.0, f64::max) + circle.bolt_mm * 2.0;
    let plate = circle.plate_mm.map_or(0.0, |(w, h)| w.max(h));
    let half = reach.max(circle.outer_mm / 2.0).max(plate) * 1.08;
    let mut shapes = Vec::new();
    if let Some((w, h)) = circle.plate_mm {
        shapes.push(Shape::Rect((-w, -h, 2.0 * w, 2.0 * h), Ink::Solid));
    }
    for diameter in [circle.outer_mm, circle.bore_mm].into_iter().filter(|d| *d > 0.0) {
        shapes.push(Shape::Circle((0.0, 0.0), diameter / 2.0, Ink::Solid));
    }
    for (k, (x, y)) in (1..).zip(&circle.bolts_mm) {
        shapes.push(Shape::Circle((*x, -*y), circle.bolt_mm / 2.0, Ink::Solid));
        let size = half / 7.0;
        let away = 1.0 + (circle.bolt_mm / 2.0 + size * 0.7) / x.hypot(*y).max(1.0);
        shapes.push(Shape::Words((x * away, -y * away + size * 0.35), size, format!("{k}")));
    }
    Figure {
        caption: caption.to_owned(),
        view: (-half, -half, 2.0 * half, 2.0 * half),
        page_mm: 42.0,
        shapes,
        lines: Vec::new(),
    }
}
