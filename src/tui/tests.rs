//! A guide on a demo in a folder of its own, with the keys of a person: what the tests of all screens use.

use super::*;
use crate::module::{Setup, embedded, read};
use crate::procedure::make_plan;
use crate::procedure::plan::Step;
use crate::traveler::{Start, StepState};
use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use std::collections::BTreeMap;

pub(super) struct Demo;

impl Modules for Demo {
    fn list(&self) -> Vec<ModuleOffer> {
        let axes = vec![AxisOffer { name: "discs".into(), allowed: vec!["1".into(), "5".into()], first: "5".into() }];
        vec![ModuleOffer { name: "flywheel".into(), title: "Flywheel \u{1b}[2J".into(), axes }]
    }

    fn plan(&self, name: &str, setup: &BTreeMap<String, String>) -> Result<(Plan, String), String> {
        let module = read(&embedded(name).unwrap()).unwrap();
        let setup = Setup::choose(&module, setup).map_err(|e| e.to_string())?;
        Ok((make_plan(&module, &setup).map_err(|e| e.to_string())?, module.text))
    }

    fn kit(&self, name: &str) -> Result<crate::procedure::kit::Kit, String> {
        let module = read(&embedded(name).unwrap()).unwrap();
        crate::procedure::kit::kit(&module, crate::procedure::Words::built_in().unwrap()).map_err(|e| e.to_string())
    }
}

pub(super) fn app(home: &std::path::Path, size: (u16, u16)) -> App<'static> {
    app_of("flywheel", home, size)
}

/// A build of a module, just begun.
pub(super) fn app_of(name: &str, home: &std::path::Path, size: (u16, u16)) -> App<'static> {
    let store = crate::traveler::Store::locate(Some(home)).unwrap();
    let (plan, spec_text) = Demo.plan(name, &BTreeMap::new()).unwrap();
    let by = plan.people.values().flatten().next().cloned().unwrap();
    let start = Start { plan, spec_text, spec_name: name.into(), serial: "1".into(), by, practice: true, alone: None };
    drop(store.start(start).unwrap());
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some("ak".into());
    app.update(&Event::Resize(size.0, size.1));
    app.open_build(&format!("{name}-1"));
    app
}

/// The build in that home, opened once more.
pub(super) fn app_again(home: &std::path::Path) -> App<'static> {
    let mut app = App::new(crate::traveler::Store::locate(Some(home)).unwrap(), &Demo, Theme::coloured());
    app.by = Some("ak".into());
    app.open_build("flywheel-1");
    app.look_again.clear();
    app
}

pub(super) fn key(app: &mut App<'_>, code: KeyCode) {
    app.update(&Event::Key(KeyEvent::new(code, KeyModifiers::NONE)));
}

/// Turns the pages until the step's words were seen.
pub(super) fn read_on(app: &mut App<'_>) {
    while !app.text_seen() {
        key(app, KeyCode::PageDown);
    }
}

pub(super) fn keys(app: &mut App<'_>, text: &str) {
    for c in text.chars() {
        key(app, if c == '\n' { KeyCode::Enter } else { KeyCode::Char(c) });
    }
}

pub(super) fn screen(app: &App<'_>) -> Terminal<TestBackend> {
    let mut terminal = Terminal::new(TestBackend::new(app.size.0, app.size.1)).unwrap();
    terminal.draw(|frame| draw(app, frame)).unwrap();
    terminal
}

pub(super) fn text(app: &App<'_>) -> String {
    let terminal = screen(app);
    let buffer = terminal.backend().buffer();
    let row = |y| (0..buffer.area.width).map(|x| buffer[(x, y)].symbol().to_owned()).collect::<String>();
    (0..buffer.area.height).map(row).collect::<Vec<_>>().join("\n")
}

/// A good value of a check, as the command line takes it.
pub(super) fn good(check: &crate::procedure::plan::Check) -> Vec<String> {
    use crate::procedure::plan::{CheckKind, SeriesRule};
    let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
    let middle = match (number(&check.lower), number(&check.upper)) {
        (Some(a), Some(b)) => f64::midpoint(a, b),
        (Some(a), None) => a * 1.1,
        (None, b) => b.map_or_else(|| number(&check.nominal).unwrap_or(1.0), |b| b / 2.0),
    };
    let n = check.count.unwrap_or(1);
    match check.asks() {
        CheckKind::Series if check.rule == Some(SeriesRule::Range) => vec!["80".into(); n as usize],
        CheckKind::Series => vec![format!("{middle:.4}"); n as usize],
        CheckKind::Gauge => vec!["go=yes".into(), "no-go=no".into()],
        CheckKind::Torque if crate::traveler::is_round(check) => vec!["moved=0".into()],
        CheckKind::Torque => vec![format!("clicked={n}/{n}")],
        CheckKind::Confirm => vec!["yes".into()],
        CheckKind::Count => vec![check.lower.clone().unwrap_or_else(|| "1".into())],
        CheckKind::Text => vec![check.wanted.clone().unwrap_or_else(|| "lot".into())],
        CheckKind::Wait => vec!["started".into()],
        CheckKind::Measure | CheckKind::Derived => vec![format!("{middle:.4}")],
    }
}

/// Enters values for a check without the screen; a wait is ended early.
pub(super) fn enter(app: &mut App<'_>, step: &str, check: &crate::procedure::plan::Check, values: Vec<String>) {
    use crate::traveler::{EndedEarly, Entry};
    let session = app.session.as_mut().unwrap();
    let (step, by) = (step.to_owned(), "ak".to_owned());
    let entry = Entry { step, check: check.id.clone(), values, by, bare: true, ..Entry::default() };
    session.enter(&entry).unwrap();
    if check.asks() == crate::procedure::plan::CheckKind::Wait {
        let end_early = Some(EndedEarly { role: "design".into(), reason: "test".into() });
        session.enter(&Entry { values: vec!["done".into()], by: "mh".into(), end_early, ..entry }).unwrap();
    }
}

/// Releases a step that is held.
pub(super) fn let_go(app: &mut App<'_>, step: &Step) {
    let session = app.session.as_mut().unwrap();
    if session.record().step_state(&step.id) == StepState::Held {
        let role = step.hold.clone().unwrap();
        let release = crate::traveler::Release { step: step.id.clone(), by: "mh".into(), role, ..Default::default() };
        session.release(&release).unwrap();
    }
}

/// Enters good values until a step is reached, without the screen.
pub(super) fn build_up_to(app: &mut App<'_>, id: &str) {
    while let Some(step) = app.record().unwrap().current_step().filter(|s| s.id != id).cloned() {
        for check in step.checks.iter().filter(|c| c.asks() != crate::procedure::plan::CheckKind::Derived) {
            enter(app, &step.id, check, good(check));
        }
        let_go(app, &step);
    }
    app.show_work();
}

/// Shows a step, read to its end, with its entry open.
pub(super) fn open_at(app: &mut App<'_>, id: &str) {
    app.show(id.into());
    while !app.text_seen() {
        app.turn_page();
    }
}

pub(super) fn flat(app: &App<'_>) -> String {
    text(app).split_whitespace().collect::<Vec<_>>().join(" ")
}
