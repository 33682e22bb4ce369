//! A blank traveler: the procedure with boxes to fill by hand, for a dead laptop or a second pair of hands. What is
//! written on it is entered later as "from paper".

use crate::procedure::plan::{Check, CheckKind, Plan, Step};

use crate::traveler::alone::{alone_words, opens_power};
use crate::traveler::listing::setup_words;

use super::{Block, Cell, Document, Table, drawing};

/// The blank traveler of a plan. `serial` is printed where it is known; `alone` is why one person builds it.
#[must_use]
pub fn blank(plan: &Plan, serial: Option<&str>, alone: Option<&str>) -> Document {
    let people: Vec<String> = plan.people.iter().map(|(role, l)| format!("{role}: {}", l.join(", "))).collect();
    let facts = [
        ("Module, revision", format!("{}, {}", plan.module, plan.revision)),
        ("Serial", serial.map_or_else(|| "________________".to_owned(), str::to_owned)),
        ("Setup", setup_words(&plan.setup)),
        ("People", people.join("; ")),
        ("Spec SHA-256", plan.spec_sha256.clone()),
        ("Started, place", "________________".to_owned()),
    ];
    let mut blocks = vec![
        Block::Facts(facts.map(|(n, v)| (n.to_owned(), v)).into()),
        Block::Text(
            "Write at the moment of work, in ink. A wrong value gets one line through it and stays readable, with initials, time and reason. No blank: what does not apply is marked so. Values are entered later as \"from paper\", with who measured and when."
                .into(),
        ),
        Block::Text("This paper gives no licence to run a machine. A rotor is never spun without its guard.".into()),
    ];
    if let Some(reason) = alone {
        blocks.push(Block::Warning("NOTICE".into(), alone_words(reason)));
    }
    blocks.extend(drawing::section(&plan.drawing, &[]).map(Block::Figure));
    blocks.extend(plan.drawing.circles.iter().map(|c| Block::Figure(drawing::circle(c, &c.label))));
    for step in &plan.steps {
        blocks.extend(of_step(step, alone.map(|_| opens_power(plan, step))));
    }
    blocks.extend(plan.running.as_ref().map(|r| trials(&r.trial)).into_iter().flatten());
    Document { title: format!("{}: traveler to fill by hand", plan.title), blocks }
}

/// The speed trials, which stand in no order: what each run asks for, with columns for several.
fn trials(trial: &Step) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading(3, trial.title.clone()),
        Block::Text(
            "Only once every step above is done, and behind the closed and released guard. A run is a column. After a run over its limit nothing runs until the design side has decided. After a run with the belt force read, the guard is closed, its checks are written anew and it is released. Entered later with \"runtrue trial … --from-paper --measured-by INITIALS --at TIME\"."
                .into(),
        ),
    ];
    blocks.extend(words_of(trial));
    let line = |name: &str, what: &str| {
        let mut cells = vec![Cell::of(name), Cell::of(what)];
        cells.extend((0..RUNS).map(|_| Cell::blank()));
        cells
    };
    let mut rows = vec![line("Date and time", "")];
    rows.extend(trial.checks.iter().flat_map(rows_of_run));
    rows.push(line("Measured by, second person", "initials of both; a new top speed is made by two"));
    rows.push(line("Instruments", "ids of the register"));
    rows.push(line("Decided, where it was over its limit", "what, why, role, initials"));
    let head = ["what", "limits", "run", "run", "run", "run"].to_vec();
    blocks.push(Block::Table(Table { head, rows }));
    blocks
}

/// Runs that a sheet has room for.
const RUNS: usize = 4;

/// As [`rows`], a column for each run.
fn rows_of_run(check: &Check) -> Vec<Vec<Cell>> {
    let mut all = rows(check);
    for cells in &mut all {
        cells.resize(2 + RUNS, Cell::blank());
    }
    all
}

/// `alone`: one person's build, and whether the hold opens the way to power.
fn of_step(step: &Step, alone: Option<bool>) -> Vec<Block> {
    let hold = step.hold.as_ref().map_or_else(String::new, |role| format!("  [hold: {role}]"));
    let mut blocks = vec![Block::Heading(3, format!("{}. {}{hold}", step.number, step.title))];
    blocks.extend(words_of(step));
    let rows: Vec<Vec<Cell>> = step.checks.iter().flat_map(rows).chain(release(step, alone)).collect();
    let head = ["check", "limits", "value", "with", "initials", "time"].to_vec();
    blocks.push(Block::Table(Table { head, rows }));
    blocks
}

/// Cautions, what is done, with what and in which order.
fn words_of(step: &Step) -> Vec<Block> {
    let mut blocks = Vec::new();
    let cautions = step.cautions.iter().map(|c| Block::Warning(c.signal.word().to_owned(), c.text.clone()));
    blocks.extend(cautions);
    if !step.actions.is_empty() {
        blocks.push(Block::List(step.actions.clone()));
    }
    let with = crate::procedure::naming::with(step);
    if !with.is_empty() {
        blocks.push(Block::Text(format!("With: {}", with.join("; "))));
    }
    if let Some(order) = &step.sequence {
        let order: Vec<String> = order.iter().map(u32::to_string).collect();
        blocks.push(Block::Text(format!("Order of the bolts: {}", order.join(", "))));
    }
    blocks
}

/// A line for each value that is asked for.
pub(super) fn rows(check: &Check) -> Vec<Vec<Cell>> {
    let each = match check.kind {
        CheckKind::Series => check.count.unwrap_or(1),
        CheckKind::Torque if check.unit.is_some() => check.count.unwrap_or(1),
        _ => 1,
    };
    let limits = limits(check);
    let row = |k: u32| {
        let name = match (check.place(k as usize - 1), each) {
            (Some(place), _) => format!("{} ({place})", check.prompt),
            (None, 1) => check.prompt.clone(),
            (None, _) => format!("{} ({k} of {each})", check.prompt),
        };
        let mut cells = vec![Cell::of(name), Cell::of(if k == 1 { limits.as_str() } else { "" })];
        cells.extend([Cell::blank(), Cell::blank(), Cell::blank(), Cell::blank()]);
        cells
    };
    (1..=each).map(row).collect()
}

fn release(step: &Step, alone: Option<bool>) -> Option<Vec<Cell>> {
    let role = step.hold.as_ref()?;
    let who = match alone {
        None => "not by who made a reading",
        Some(false) => "one-person build",
        Some(true) => "one-person build: nobody else is present (yes / no)",
    };
    let mut cells = vec![Cell::of(format!("Released by the role {role}, {who}")), Cell::of("name, signature")];
    cells.extend([Cell::blank(), Cell::blank(), Cell::blank(), Cell::blank()]);
    Some(cells)
}

/// Limits of a check in words, with what is to be written.
fn limits(check: &Check) -> String {
    let unit = check.unit.as_deref().map_or_else(String::new, |u| format!(" {u}"));
    check.range_words().unwrap_or_else(|| match check.kind {
        _ if check.wanted.is_some() => check.wanted.clone().unwrap_or_default(),
        CheckKind::Confirm => "yes / no".into(),
        CheckKind::Gauge => "go: yes, no-go: no".into(),
        CheckKind::Torque => "clicked / which moved".into(),
        CheckKind::Wait => "started, done".into(),
        _ => check.nominal.as_ref().map_or_else(|| format!("kept{unit}"), |n| format!("about {n}{unit}")),
    })
}
