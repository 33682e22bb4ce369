//! Inspection sheets: what the maker of a part is asked for, and what is checked when it comes.

use crate::mechanics::groove;
use crate::module::near::or_near;
use crate::module::{Edge, Given, Module, RingLock};
use crate::procedure::figures::limits;
use crate::procedure::plan::Step;
use crate::quantity::{Band, rounded};
use crate::standards::ribs;

use super::{Kind, Kit, Line};

/// A sheet for one sort of part.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Line of the kit.
    pub line: Line,
    /// What is asked of the maker: name and value.
    pub asked: Vec<(String, String)>,
    /// Steps of the plan that check it when it comes; of equal parts, those of the first.
    pub steps: Vec<Step>,
}

/// A part that has no sheet.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no part \"{part}\" in the kit; name one of {known}{near}")]
pub struct NoSheet {
    /// As asked for.
    pub part: String,
    /// What may have been meant.
    pub near: String,
    /// Ids that have one.
    pub known: String,
}

/// Sheets of all parts and hardware.
#[must_use]
pub fn sheets(kit: &Kit, module: &Module) -> Vec<Sheet> {
    let lines = kit.lines.iter().filter(|l| l.kind == Kind::Part).cloned();
    let mut sheets: Vec<Sheet> = lines.map(|line| of_part(kit, module, line)).collect();
    sheets.extend(rods(kit, module));
    sheets.extend(bolts(kit, module));
    sheets
}

/// The sheet of a part: by the id of its line or of the part itself.
///
/// # Errors
/// [`NoSheet`] for an unknown one, with those that there are.
pub fn sheet(kit: &Kit, module: &Module, part: &str) -> Result<Sheet, NoSheet> {
    let all = sheets(kit, module);
    let known = all.iter().map(|s| s.line.id.as_str()).collect::<Vec<_>>().join(", ");
    let named = |s: &Sheet| s.line.id == part || s.line.parts.iter().any(|p| p == part);
    let near = or_near(part, all.iter().map(|s| s.line.id.as_str()));
    all.into_iter().find(named).ok_or_else(|| NoSheet { part: part.to_owned(), near, known })
}

fn of_part(kit: &Kit, module: &Module, line: Line) -> Sheet {
    let first = line.parts.first().cloned().unwrap_or_default();
    let on = |s: &&Step| s.parts.contains(&first) || s.adds.contains(&first);
    let kind = |operations: &[&str]| {
        let some = kit.steps.iter().filter(|s| operations.contains(&s.operation.as_str())).filter(on);
        some.cloned().collect::<Vec<Step>>()
    };
    let received = kind(&["receive", "inspect"]);
    // What nobody inspects on arrival is tried when it is fitted.
    let steps = if received.is_empty() { kind(&["fit", "guard"]) } else { received };
    let mut asked =
        vec![("Quantity".to_owned(), line.quantity.to_string()), ("Marked".to_owned(), line.parts.join(", "))];
    asked.extend(line.size.clone().map(|s| ("Size".to_owned(), s)));
    asked.extend(line.class.clone().map(|c| ("Class, designation or material".to_owned(), c)));
    asked.extend(line.note.clone().map(|n| ("Note".to_owned(), n)));
    asked.extend(drawn(module, &first));
    Sheet { line, asked, steps }
}

/// Values of the drawing that the line does not show, with limits worked out.
fn drawn(module: &Module, part: &str) -> Vec<(String, String)> {
    let fact = |name: &str, value: String| (name.to_owned(), value);
    if module.shaft.part == part {
        let s = &module.shaft;
        return vec![
            fact("Diameter at every seat", with_limits(&s.diameter)),
            fact("Run-out", s.run_out.written.clone()),
            fact("Hardness", format!("{}, not hardened; certificate wanted", s.hardness.written)),
            fact("Ends", "chamfered, free of burrs and dents".into()),
        ];
    }
    if let Some(facts) = module.drives.iter().find(|d| d.pulley.part == part).map(pulley) {
        return facts;
    }
    if module.bearings.each.iter().any(|b| b.value == part) {
        return bearing(module);
    }
    module.stack.as_ref().map_or_else(Vec::new, |stack| of_stack(stack, part))
}

fn of_stack(stack: &crate::module::Stack, part: &str) -> Vec<(String, String)> {
    let fact = |name: &str, value: String| (name.to_owned(), value);
    let d = &stack.discs;
    if part.strip_prefix(d.part.as_str()).is_some_and(|n| n.starts_with('-')) {
        return vec![
            fact("Thickness", with_limits(&d.thickness)),
            fact("Bore as delivered", format!("{}, {}", with_limits(&d.bore), d.edge.word())),
            fact("Bore after reaming, not by the maker", with_limits(&d.finish)),
            fact("Rod holes", format!("{} of {} on {}", *d.holes, d.drill.written, d.on.written)),
            fact("Flatness, both faces, free on a plate", d.flatness.written.clone()),
            fact("Hole 1", "marked with paint or ink beside it, never with a punch".into()),
            fact("Edges", edges(*d.edge).into()),
        ];
    }
    let collar = stack.collars.each.iter().any(|c| c.value == part);
    let plate = stack.plates.iter().find(|p| p.each.iter().any(|e| e.value == part));
    let (bore, width) = match (collar, plate) {
        (true, _) => (&stack.collars.bore, &stack.collars.width),
        (_, Some(p)) => (&p.bore, &p.thickness),
        _ => return Vec::new(),
    };
    let mut facts = vec![
        fact("Bore", with_limits(bore)),
        fact(if collar { "Width" } else { "Thickness" }, with_limits(width)),
        fact("Clamping face", "machined square to the bore, free of burrs, marked".into()),
    ];
    let through = stack.plates.is_none() == collar;
    if through {
        facts.push(fact("Rod holes", format!("{} of {} on {}", *d.holes, d.drill.written, d.on.written)));
    }
    facts
}

/// What is asked of the edges of a disc, by how the spec says they are made.
const fn edges(edge: Edge) -> &'static str {
    if edge.cut_by_heat() {
        "no dross, no start point of the cut in bore or holes, broken by hand"
    } else {
        "no burr, broken by hand"
    }
}

fn pulley(drive: &crate::module::Drive) -> Vec<(String, String)> {
    let p = &drive.pulley;
    let quality = ribs::quality();
    let mut facts = vec![
        ("Profile, grooves a step".to_owned(), format!("{}, {} (ISO 9982)", p.profile.value, *p.ribs)),
        ("Bore".to_owned(), with_limits(&p.bore)),
        ("Run-out of the rim".to_owned(), p.run_out.written.clone()),
        (
            "Hub".to_owned(),
            format!("{} long, {} set screws {}", p.hub_length.written, *p.set_screws.count, p.set_screws.thread.value),
        ),
    ];
    for (step, effective) in &p.steps {
        let Ok(gauge) = groove::Pulley::new(&p.profile, **effective) else { continue };
        let mm = |l: crate::quantity::Length| rounded(l.mm(), 2);
        facts.push((
            format!("Step {step}, {} effective", effective.written),
            format!(
                "{} ± {} mm over balls of {} mm; outside {} to {} mm; face at least {} mm wide",
                mm(gauge.over_balls()),
                quality.over_balls,
                gauge.profile.ball.mm(),
                mm(gauge.outside_least()),
                mm(gauge.outside()),
                mm(gauge.face_width(*p.ribs))
            ),
        ));
    }
    facts.push(("Between the grooves of a step".to_owned(), format!("at most {} mm", quality.between_grooves)));
    facts.push(("Basis of the groove's figures".to_owned(), quality.source.clone()));
    facts
}

fn bearing(module: &Module) -> Vec<(String, String)> {
    let lock = match &module.bearings.lock {
        RingLock::SetScrews(s) => {
            format!("{} set screws {}, maker's torque {} ({})", *s.count, s.thread.value, s.torque.written, s.from)
        }
        RingLock::Sleeve(s) => format!("sleeve {}, maker's torque {} ({})", s.size.value, s.torque.written, s.from),
    };
    vec![
        ("Marking of the insert".to_owned(), module.bearings.insert.value.clone()),
        ("Marking of the housing".to_owned(), module.bearings.housing.value.clone()),
        ("Lock of the ring".to_owned(), lock),
        ("Papers".to_owned(), "maker's sheet with the torque of the ring's lock".to_owned()),
    ]
}

/// Rods of all lengths with their nuts and washers on one sheet, as they are received.
fn rods(kit: &Kit, module: &Module) -> Option<Sheet> {
    let rods = &module.stack.as_ref()?.rods;
    let class = format!("{} on every rod or bar, or a certificate of the lot", rods.bolts.class.value);
    let received = |s: &Step| s.parts.contains(&rods.part);
    let own = |joint: &str| joint == rods.part;
    hardware(kit, &rods.part, "Rods, nuts and washers", ("Class mark of the rods", class), own, received)
}

/// Bolts of all groups on one sheet, as they are received.
fn bolts(kit: &Kit, module: &Module) -> Option<Sheet> {
    let rods = module.stack.as_ref().map_or("", |s| s.rods.part.as_str());
    let marks = "the class on every head, or a certificate of the lot".to_owned();
    let own = |joint: &str| joint != rods;
    hardware(kit, "bolts", "Bolts, screws and washers", ("Class mark", marks), own, |s| s.parts.is_empty())
}

/// A sheet of the hardware of some joints, with the steps that receive it.
fn hardware(
    kit: &Kit,
    id: &str,
    name: &str,
    mark: (&str, String),
    own: impl Fn(&str) -> bool,
    received: impl Fn(&Step) -> bool,
) -> Option<Sheet> {
    let lines = kit.lines.iter().filter(|l| l.joint.as_deref().is_some_and(&own));
    let mut asked: Vec<(String, String)> = lines.map(fact).collect();
    let quantity = asked.len() as u32;
    asked.insert(0, (mark.0.to_owned(), mark.1));
    let steps: Vec<Step> = kit.steps.iter().filter(|s| s.operation == "receive" && received(s)).cloned().collect();
    let line = Line { id: super::slug(&[id]), ..Line::new(Kind::Hardware, name, None, quantity).unit("line") };
    (!steps.is_empty()).then_some(Sheet { line, asked, steps })
}

/// A line of hardware as name and value.
fn fact(line: &Line) -> (String, String) {
    let spare = if line.kind == Kind::Spare { ", spare" } else { "" };
    let class = line.class.as_ref().map_or_else(String::new, |c| format!(", class {c}"));
    let note = line.note.as_ref().map_or_else(String::new, |n| format!("; {n}"));
    let size = line.size.as_deref().unwrap_or_default();
    (format!("{} {size}{spare}", line.name), format!("{}{class}{note}", line.quantity))
}

/// A toleranced value with its limits worked out, "25 mm H7 (25 to 25.021 mm)".
fn with_limits(given: &Given<Band>) -> String {
    match limits(given) {
        Ok((Some(a), Some(b), _)) => format!("{} ({} to {} mm)", given.written, a.normalize(), b.normalize()),
        _ => given.written.clone(),
    }
}
