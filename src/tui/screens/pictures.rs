//! Which picture belongs to a step: one part alone, base or frame, a belt drive with its sled, the guard, the end view of a
//! group, the tolerance zone, or the section along the shaft.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::widgets::{Block, Borders};
use rust_decimal::prelude::ToPrimitive;

use crate::procedure::plan::{Check, CheckKind, DrawnDrive, DrawnPart, DrawnStand, Picture, Step, limit};
use crate::traveler::{Record, value};
use crate::tui::app::App;
use crate::tui::widgets::section::Machine;
use crate::tui::widgets::{Pen, circle, drive, guard, part, plane, rotor, section, stand, zone};

use super::{balance, heavy};

/// What is worked on, where it has a drawing of its own.
enum Scene<'r> {
    /// A part that lies on the bench.
    Part(DrawnPart),
    /// The belt as it came.
    Belt(&'r DrawnDrive),
    /// Base or frame from above, by its id.
    Above(&'r DrawnStand, &'r str),
    /// Base from the side, on the frame or not.
    Side(&'r DrawnStand, bool),
    /// The guard round the rotor.
    Guard(&'r DrawnStand),
    /// A belt drive.
    Drive(drive::Run),
    /// Both its pulleys from above, with the centre distance now.
    Plane(&'r DrawnDrive, f64),
    /// A rotor or its discs from the end, with what is known of their unbalance.
    Rotor(rotor::Rotor),
    /// The section along the shaft.
    Section,
}

/// Draws the picture of a step: what is worked on, and below it the group or the tolerance zone.
pub fn draw(app: &App<'_>, frame: &mut Frame<'_>, area: Rect, record: &Record, step: &Step) {
    let block = Block::new().borders(Borders::LEFT);
    let inner = block.inner(area);
    frame.render_widget(block, area);
    let machine = Machine {
        fitted: record.fitted(),
        now: step.parts.iter().chain(&step.adds).map(String::as_str).collect(),
        stages: record.stages(),
    };
    let pen = Pen { theme: app.theme, marker: app.marker };
    let scene = scene(record, step, &machine);
    // What is balanced is seen from its end, and its values stand beside it: nothing stands below.
    let below = Below::of(app, record, step).filter(|_| !matches!(scene, Scene::Rotor(_)));
    // What lies on the bench and has no drawing is not shown as if it sat on the shaft.
    let bare = matches!(scene, Scene::Section) && on_bench(step, &machine) && step.picture != Picture::Section;
    // Hold-downs are numbered on the base itself, which needs no second picture.
    let bare = bare || matches!(below, Some(Below::Circle(_, _, Some(_))));
    match below {
        Some(below) if bare || (inner.height < 14 && matches!(scene, Scene::Section)) => below.draw(frame, inner, pen),
        Some(below) => {
            let share = match (&below, &scene) {
                (Below::Zone(..), _) => 65,
                (Below::Circle(..), Scene::Drive(_)) => 55,
                (Below::Circle(..), _) => 45,
            };
            let parts = [Constraint::Percentage(share), Constraint::Percentage(100 - share)];
            let [upper, lower] = Layout::vertical(parts).areas(inner);
            scene.draw(frame, upper, record, &machine, pen);
            below.draw(frame, lower, pen);
        }
        None => scene.draw(frame, inner, record, &machine, pen),
    }
}

impl Scene<'_> {
    fn draw(&self, frame: &mut Frame<'_>, area: Rect, record: &Record, machine: &Machine<'_>, pen: Pen) {
        let drawing = &record.plan().drawing;
        match self {
            Self::Part(found) => part::draw(frame, area, drawing, found, pen),
            Self::Belt(found) => drive::alone(frame, area, found, pen),
            Self::Above(found, id) => stand::above(frame, area, found, id, pen),
            Self::Side(found, on_frame) => stand::side(frame, area, drawing, found, machine, *on_frame, pen),
            Self::Guard(found) => guard::draw(frame, area, drawing, found, machine, pen),
            Self::Drive(run) => drive::draw(frame, area, run, pen),
            Self::Plane(found, centre) => plane::draw(frame, area, drawing, found, *centre, machine, pen),
            Self::Rotor(found) => rotor::draw(frame, area, found, pen),
            Self::Section => section::draw(frame, area, drawing, machine, pen),
        }
    }
}

fn scene<'r>(record: &'r Record, step: &'r Step, machine: &Machine<'_>) -> Scene<'r> {
    let balanced = |step: &Step| balance::rotor(record, step).filter(|_| step.operation == "balance");
    if let Some(found) = heavy::picture(record, step).or_else(|| balanced(step)) {
        return Scene::Rotor(found);
    }
    // Pulleys that are aligned or turned belong to their drive, also before they are on.
    let drive = if step.picture == Picture::Belt { drive_of(record, step) } else { None };
    let part = || alone(record, step, machine).map(Scene::Part);
    if let Some(found) = drive.or_else(part).or_else(|| drive_of(record, step)) {
        return found;
    }
    let on = |id: &str| step.parts.iter().any(|p| p == id);
    match &record.plan().drawing.stand {
        Some(stand) if on(&stand.guard) => Scene::Guard(stand),
        Some(stand) if step.operation == "inspect" && on(&stand.base) => Scene::Above(stand, &stand.base),
        Some(stand) if step.operation == "inspect" && on(&stand.frame) => Scene::Above(stand, &stand.frame),
        Some(stand) if on(&stand.base) => Scene::Side(stand, on(&stand.frame) || step.place == stand.frame),
        _ => Scene::Section,
    }
}

/// The belt drive that a step works on: by its sled, its belt, or both its pulleys.
fn drive_of<'r>(record: &'r Record, step: &Step) -> Option<Scene<'r>> {
    let drawing = &record.plan().drawing;
    let on = |id: &String| step.parts.contains(id);
    let group = |d: &DrawnDrive| {
        step.group.as_deref() == Some(d.lock.as_str()) || step.picture == Picture::Circle(d.lock.clone())
    };
    let found = drawing.drives.iter().find(|d| group(d) || on(&d.sled) || on(&d.belt) || on(&d.other));
    let found = found.or_else(|| {
        let by_pulley = |d: &&DrawnDrive| step.picture == Picture::Belt && on(&d.pulley);
        drawing.drives.iter().find(by_pulley)
    });
    let Some(found) = found else {
        // An older record knows one belt and no sled.
        let belt = drawing.belt.as_ref().filter(|_| step.picture == Picture::Belt && drawing.drives.is_empty())?;
        return Some(Scene::Drive(drive::Run::of_belt(belt)));
    };
    let laid = record.fitted().contains(&found.laid.as_str());
    if on(&found.belt) && step.operation == "inspect" {
        return Some(Scene::Belt(found));
    }
    // Hung over the shaft it is shown there.
    if on(&found.belt) && step.picture == Picture::Section {
        return None;
    }
    let at = match () {
        () if on(&found.belt) => drive::At::Belt,
        () if on(&found.sled) || group(found) => drive::At::Sled,
        () => drive::At::Pulleys,
    };
    let press =
        step.checks.iter().find(|c| c.id == "force").map(|c| deflection(record, c).unwrap_or(found.deflection_mm));
    let laid = laid || step.adds.contains(&found.laid);
    let run = drive::Run::of(found, record.centre_of(found), laid, press, at);
    if at == drive::At::Pulleys && matches!(step.operation.as_str(), "align" | "adjust") {
        return Some(Scene::Plane(found, run.centre()));
    }
    Some(Scene::Drive(run))
}

/// The deflection that follows from the measured span, once it is known.
fn deflection(record: &Record, force: &Check) -> Option<f64> {
    let (step, check) = force.beside.as_deref()?.split_once('/')?;
    limit(record.reading(step, check)?.reading.values.first())?.to_f64()
}

/// What stands under the scene.
enum Below<'r> {
    Circle(&'r crate::procedure::plan::DrawnCircle, circle::Round, Option<&'r DrawnStand>),
    Zone(&'r Check, zone::Values),
}

impl<'r> Below<'r> {
    fn of(app: &'r App<'_>, record: &'r Record, step: &'r Step) -> Option<Self> {
        let drawing = &record.plan().drawing;
        match &step.picture {
            Picture::Circle(group) => {
                let found = drawing.circles.iter().find(|c| c.group == *group)?;
                let stand = drawing.stand.as_ref().filter(|s| s.hold_downs == *group);
                Some(Self::Circle(found, round(app, step), stand))
            }
            Picture::Zone => {
                let has = |c: &&Check| c.lower.is_some() || c.upper.is_some();
                let measured = app.open_check().filter(has);
                let check = measured.or_else(|| step.checks.iter().find(|c| c.unit.is_some() && has(c)))?;
                Some(Self::Zone(check, values(app, record, step, check)))
            }
            Picture::Section | Picture::Belt => None,
        }
    }

    fn draw(&self, frame: &mut Frame<'_>, area: Rect, pen: Pen) {
        match self {
            Self::Circle(found, round, stand) => circle::draw(frame, area, found, round, *stand, pen),
            Self::Zone(check, values) => zone::draw(frame, area, check, values, pen),
        }
    }
}

/// True where the parts of a step lie on the bench: none is in place yet, and none is put there by this step.
fn on_bench(step: &Step, machine: &Machine<'_>) -> bool {
    let off = |id: &String| !machine.fitted.contains(&id.as_str());
    step.adds.is_empty() && step.group.is_none() && !step.parts.is_empty() && step.parts.iter().all(off)
}

/// The part of a step that lies on the bench; of several alike the first, under the names of all.
fn alone(record: &Record, step: &Step, machine: &Machine<'_>) -> Option<DrawnPart> {
    let found = step.parts.iter().filter_map(|id| part::find(&record.plan().drawing, id));
    let found: Vec<_> = found.filter(|_| on_bench(step, machine)).collect();
    let first = found.first()?;
    let size = |p: &DrawnPart| (p.outer_mm, p.bore_mm, p.to_mm - p.from_mm);
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let alike = found.iter().filter(|p| {
        let ((a, b, c), (d, e, f)) = (size(p), size(first));
        p.shape == first.shape && near(a, d) && near(b, e) && near(c, f)
    });
    let label = alike.map(|p| p.label.as_str()).collect::<Vec<_>>().join(", ");
    Some(DrawnPart { label, ..first.clone() })
}

fn round(app: &App<'_>, step: &Step) -> circle::Round {
    let sequence = step.sequence.clone().unwrap_or_default();
    let check = app.open_check().filter(|c| c.asks() == CheckKind::Torque && c.unit.is_some());
    let Some(check) = check.filter(|_| app.at_work()) else {
        return circle::Round::default();
    };
    let asked = app.sequence();
    let (done, next) = (app.bolts_tight(), app.entry.next_bolt(&asked));
    let skipped = app.entry.skipped(&asked);
    let line = |n: &u32| {
        let given = app.entry.given.iter().find(|g| g.split('=').next() == Some(n.to_string().as_str()));
        let value = given.and_then(|g| g.split_once('=')).map_or("click", |(_, v)| v);
        let mark = match (given, next == Some(*n)) {
            (None, _) if done.contains(n) => "stands ✓".into(),
            (Some(_), _) => format!("{value} {}", if crate::traveler::fits(check, value) { "✓" } else { "✗" }),
            (None, true) if skipped.contains(n) => "<- ! passed over".into(),
            (None, true) => "<- now".into(),
            (None, false) if skipped.contains(n) => "! passed over".into(),
            (None, false) => "·".into(),
        };
        format!("{n:>3}  {mark}")
    };
    circle::Round { list: sequence.iter().map(line).collect(), done, next }
}

fn values(app: &App<'_>, record: &Record, step: &Step, check: &Check) -> zone::Values {
    let kept = record.reading(&step.id, &check.id).map(|k| k.reading.values.clone()).unwrap_or_default();
    let typed = if app.open_check().is_some_and(|c| c.id == check.id) { app.so_far() } else { Vec::new() };
    let number = |v: &String| value(check, v, true).ok()?.to_f64();
    zone::Values {
        readings: kept.iter().chain(&typed).filter_map(number).collect(),
        uncertainty: app.uncertainty.as_ref().and_then(number),
    }
}
