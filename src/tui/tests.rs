use std::collections::BTreeMap;

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::style::Modifier;

use super::*;
use crate::module::{Setup, embedded, read};
use crate::procedure::make_plan;
use crate::procedure::plan::Step;
use crate::traveler::{Start, StepState};

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

#[test]
fn no_screen_panics_at_any_size() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    for size in [(0, 0), (1, 1), (79, 24), (80, 24), (110, 24), (120, 36), (200, 60)] {
        app.size = size;
        for shown in [app::Shown::Bench, app::Shown::Step, app::Shown::Steps, app::Shown::Record, app::Shown::Handover]
        {
            app.shown = shown;
            for (picture, far) in [(false, false), (true, false), (false, true)] {
                (app.picture, app.far) = (picture, far);
                let _ = screen(&app);
            }
        }
    }
}

#[test]
fn the_entry_shows_limits_and_the_verdict_at_once_in_words_and_style() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y");
    assert!(text(&app).contains("Limits 10 to 35 °C"), "{}", text(&app));
    keys(&mut app, "-4\n");
    let shown = text(&app);
    assert!(shown.contains("OUTSIDE: -4 °C, 14 °C below the lower limit"), "{shown}");
    for advice in [
        "It means: Cold steel",
        "Usually:",
        "Measure again and type the new value",
        "Only mistyped",
        "not by ak who took",
    ] {
        let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(advice), "{advice}: {shown}");
    }
    let terminal = screen(&app);
    let buffer = terminal.backend().buffer();
    let cell = buffer.content().iter().position(|c| c.symbol() == "O" && c.modifier.contains(Modifier::BOLD));
    assert!(cell.is_some(), "the verdict stands out without colour too");
    keys(&mut app, "\n\n\n");
    assert!(text(&app).contains("OUTSIDE"), "nothing is accepted by a reflex of Enter");
    keys(&mut app, "21,5\n");
    assert!(text(&app).contains("within"), "{}", text(&app));
}

#[test]
fn fifty_caliper_values_change_nothing_but_an_open_entry() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    let events = app.record().unwrap().events.len();
    assert_eq!(app.record().unwrap().step_state("inspect-instruments"), StepState::Done);
    for shown in [app::Shown::Step, app::Shown::Steps, app::Shown::Record, app::Shown::Handover] {
        app.shown = shown;
        let step = app.step.clone();
        for n in 0..50 {
            // A caliper types digits and Enter; on a list Enter opens a line, which records nothing.
            keys(&mut app, &format!("25.0{n:02}"));
        }
        assert_eq!(app.step, step);
        assert!(app.message.contains("Not used"), "{}", app.message);
    }
    assert_eq!(app.record().unwrap().events.len(), events);
}

#[test]
fn a_paste_fires_no_keys() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.update(&Event::Paste("yyyq\nq".into()));
    assert!(!app.quit && app.shown == app::Shown::Step);
    assert_eq!(app.record().unwrap().events.len(), 1);
    assert!(app.message.contains("not used"));
}

#[test]
fn control_codes_of_names_and_notes_never_reach_the_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    app.session.as_mut().unwrap().note("inspect-instruments", "a\u{1b}]0;x\u{7}b\u{9b}31m", "ak").unwrap();
    for shown in [app::Shown::Bench, app::Shown::Record] {
        app.shown = shown;
        let shown = text(&app);
        assert!(!shown.chars().any(|c| c.is_control() && c != '\n'), "{shown:?}");
    }
}

#[test]
fn looking_at_another_step_enters_nothing() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    for _ in 0..40 {
        key(&mut app, KeyCode::Right);
    }
    assert!(text(&app).contains("LOOKING ONLY"));
    keys(&mut app, "yn 25.0\nu");
    assert_eq!(app.record().unwrap().events.len(), 1);
    keys(&mut app, "w");
    assert!(text(&app).contains("step 1 of"));
}

#[test]
fn without_colour_every_state_keeps_its_word() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "n");
    let coloured = text(&app);
    app.theme = Theme::plain();
    assert_eq!(text(&app), coloured);
    assert!(coloured.contains("OUTSIDE") && coloured.contains("zero ✗"), "{coloured}");
    let terminal = screen(&app);
    assert!(terminal.backend().buffer().content().iter().all(|c| c.fg == ratatui::style::Color::Reset));
}

#[test]
fn no_screen_names_a_step_by_its_id_in_why_now() {
    let home = tempfile::tempdir().unwrap();
    for name in crate::module::embedded_names() {
        let mut app = app_of(&name, home.path(), (120, 36));
        let steps = app.record().unwrap().plan().steps.clone();
        for step in steps.iter().filter(|s| !s.after.is_empty()) {
            app.show(step.id.clone());
            app.page = screens::step::page_count(&app) - 1;
            let shown = text(&app);
            for id in &step.after {
                assert!(!shown.contains(&format!("After {id}")), "{}: {id}\n{shown}", step.id);
            }
        }
    }
}

/// The form for a mistyped value starts on the reading that is outside, not on the first of the step.
#[test]
fn what_is_corrected_first_is_what_is_outside() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y-4\nc");
    let shown = text(&app);
    assert!(shown.contains("Correct a reading") && shown.contains("Which: room"), "{shown}");
}

#[test]
fn a_value_that_can_hardly_be_is_asked_about_and_enter_keeps_nothing() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y2150\n\n\n");
    let shown = text(&app);
    assert!(shown.contains("2150 °C? Hardly"), "{shown}");
    assert_eq!(app.record().unwrap().events.len(), 2, "only the zero is kept");
    keys(&mut app, "21.5\n");
    assert_eq!(app.record().unwrap().events.len(), 3);
}

#[test]
fn a_narrow_length_opens_after_the_soak_was_answered_and_kept_as_a_note() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    assert!(text(&app).contains("lie side by side"), "{}", text(&app));
    keys(&mut app, "25.004\n");
    assert!(app.entry.input.is_empty() && app.message.contains("Not used"), "{}", app.message);
    keys(&mut app, "n");
    assert!(app.message.contains("about an hour"), "{}", app.message);
    keys(&mut app, "y25.004\n25.0");
    let shown = text(&app);
    assert!(shown.contains("mean 25.004 range 0"), "{shown}");
    assert!(
        matches!(&app.record().unwrap().events.last().unwrap().body, crate::traveler::event::Body::Note(n) if n.step == "inspect-collar-far")
    );
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

#[test]
fn on_return_the_last_three_are_looked_at_one_by_one_and_half_done_joints_are_loud() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "tighten-rods-pass-2");
    keys(&mut app, "q");
    app.open_build("flywheel-1");
    for left in (1..=3).rev() {
        let shown = text(&app);
        assert!(shown.contains(&format!("{left} to go")), "{shown}");
        assert!(shown.contains("NOT FINAL  rods: pass 1"), "{shown}");
        keys(&mut app, "yy25.04\n");
        assert!(text(&app).contains(&format!("{left} to go")), "neither a slip nor a caliper has looked");
        keys(&mut app, if left == 2 { "\n" } else { "w" });
    }
    assert!(app.look_again.is_empty());
    keys(&mut app, "mh");
    let page = text(&app);
    for part in ["NOT FINAL  rods: pass 1", "Done last", "Next", "Tools out, to be counted", "Torque wrench"] {
        assert!(page.contains(part), "{part}: {page}");
    }
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.step, "tighten-rods-pass-2");
}

#[test]
fn leaving_a_step_says_what_stays_open_and_another_comes_up() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    key(&mut app, KeyCode::Tab);
    assert_ne!(app.step, "inspect-collar-far");
    assert!(
        app.message.contains("stays open, not answered: Bore of the collar; Width of the collar; and 1 more"),
        "{}",
        app.message
    );
}

#[test]
fn the_list_of_steps_and_the_record_are_searched_and_a_number_goes_to_its_step() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    keys(&mut app, "l/pinch final\n");
    assert!(app.listed().len() > 1 && app.listed().iter().all(|s| s.title.contains("pinch")), "{}", text(&app));
    keys(&mut app, "/");
    (0..12).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "47\n");
    assert_eq!(app.listed()[app.line].number, 47);
    keys(&mut app, "/no such word\n");
    assert!(text(&app).contains("No step holds these words"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "r/temperature within\n");
    let shown = text(&app);
    let found = "✓ step 1: 21 °C within: Temperature at the bench";
    assert!(shown.contains(found) && !shown.contains("in date and at zero"), "{shown}");
}

fn click(app: &mut App<'_>, column: u16, row: u16) {
    use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
    let kind = MouseEventKind::Down(MouseButton::Left);
    app.update(&Event::Mouse(MouseEvent { kind, column, row, modifiers: KeyModifiers::NONE }));
}

#[test]
fn a_mouse_does_what_keys_do() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let bar = text(&app).lines().last().unwrap().to_owned();
    let at = |word: &str| u16::try_from(bar.chars().collect::<String>().find(word).unwrap()).unwrap();
    click(&mut app, at("yes"), 23);
    assert_eq!(app.record().unwrap().events.len(), 2, "{bar}");
    click(&mut app, 40, 3);
    click(&mut app, at("yes"), 10);
    assert_eq!(app.record().unwrap().events.len(), 2, "the picture and the words take no clicks");
    keys(&mut app, "l");
    click(&mut app, 10, 5);
    assert_eq!((app.line, app.shown), (4, app::Shown::Steps));
    click(&mut app, 10, 5);
    assert_eq!((app.step.as_str(), app.shown), (app.record().unwrap().plan().steps[4].id.as_str(), app::Shown::Step));
    keys(&mut app, "q");
    // The cursor stands on the build just left, where one click would open it.
    app.chosen = 0;
    let row = text(&app).lines().position(|l| l.contains("flywheel-1")).unwrap();
    click(&mut app, 10, u16::try_from(row).unwrap());
    assert_eq!(app.shown, app::Shown::Bench);
    click(&mut app, 10, u16::try_from(row).unwrap());
    assert_eq!(app.shown, app::Shown::Step);
}

#[test]
fn light_paper_has_no_pale_ink_and_plain_has_none() {
    use ratatui::style::Color;
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    let used = |app: &App<'_>| {
        let terminal = screen(app);
        terminal.backend().buffer().content().iter().map(|c| c.fg).collect::<std::collections::HashSet<_>>()
    };
    let (coloured, dark) = (text(&app), used(&app));
    assert!(dark.contains(&Color::Cyan), "{dark:?}");
    keys(&mut app, "g");
    let light = used(&app);
    assert!(
        ![Color::Yellow, Color::Cyan, Color::LightRed, Color::LightBlue].iter().any(|c| light.contains(c)),
        "{light:?}"
    );
    keys(&mut app, "g");
    assert_eq!(used(&app), [Color::Reset].into());
    assert_eq!(text(&app), coloured, "the words are the same whatever the colours");
    app.theme = Theme::plain();
    keys(&mut app, "g");
    assert_eq!(app.theme, Theme::plain(), "NO_COLOR is not argued with");
}

#[test]
fn a_wait_that_is_over_is_told_once_and_nothing_is_drawn_for_nothing() {
    use chrono::{Duration, Local};
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let wait = app.record().unwrap().plan().steps.iter().find(|s| s.operation == "wait").unwrap().id.clone();
    build_up_to(&mut app, &wait);
    app.show(wait);
    keys(&mut app, "k");
    let now = Local::now().fixed_offset();
    assert!(!app.due(now), "it runs");
    assert!(app.due(now + Duration::days(3)) && app.message.contains("DUE"), "{}", app.message);
    assert!(!app.due(now + Duration::days(3)), "told once");
    keys(&mut app, "q");
    assert!(text(&app).contains("! DUE"), "{}", text(&app));
}

#[test]
fn a_file_a_pause_and_a_reopened_record() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let log = home.path().join("log.txt");
    std::fs::write(&log, "42").unwrap();
    keys(&mut app, &format!("mf{}\nlog of the thermometer\n", log.display()));
    assert!(app.message.contains("File kept"), "{}", app.message);
    assert_eq!(app.record().unwrap().attachments()[0].bytes, 2);
    app.after_pause();
    assert!(app.by.is_none() && text(&app).contains("Who is at the bench"), "{}", text(&app));
    keys(&mut app, "jo\n");
    assert_eq!(app.by.as_deref(), Some("jo"));
    keys(&mut app, "ro");
    assert!(app.message.contains("Only a closed record"), "{}", app.message);
    key(&mut app, KeyCode::Esc);
    build_up_to(&mut app, "");
    keys(&mut app, "x");
    assert!(app.session.is_none() && app.message.contains("Code for the plate"), "{}", app.message);
    keys(&mut app, "omh\nwrong belt noted\n");
    keys(&mut app, "\u{8}\u{8}");
    assert!(app.session.is_some(), "{}", text(&app));
    assert_eq!(app.record().unwrap().build_state(), crate::traveler::BuildState::Reopened);
}

#[test]
fn that_no_registered_instrument_can_decide_is_said_before_the_measurement() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    app.show("inspect-collar-far".into());
    keys(&mut app, "y");
    let said = |app: &App<'_>| text(app).contains("No instrument of the register can decide");
    assert!(!said(&app), "with an empty register nothing is said");
    let instrument = |id: &str, u: &str| crate::traveler::instruments::Instrument {
        id: id.into(),
        kind: "bore gauge".into(),
        uncertainty: Some(u.into()),
        range: None,
        resolution: None,
        due: None,
        retired: false,
        faulty: None,
    };
    app.register.add(instrument("CAL-1", "0.03 mm")).unwrap();
    assert!(said(&app), "{}", text(&app));
    app.register.add(instrument("BG-1", "0.002 mm")).unwrap();
    assert!(!said(&app), "{}", text(&app));
}

/// The file is gone when the entry is to be saved: what was typed stays on the screen with the reason, and no "Saved".
#[test]
fn what_the_disk_does_not_take_stays_on_the_screen() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (120, 36));
    keys(&mut app, "y21\n");
    app.show("inspect-disc-1".into());
    while !app.text_seen() {
        app.turn_page();
    }
    while app.open_check().is_some_and(|c| c.asks() != crate::procedure::plan::CheckKind::Series) {
        keys(&mut app, "y");
    }
    let file = home.path().join("builds/flywheel-1/traveler.yaml");
    let aside = file.with_extension("aside");
    std::fs::rename(&file, &aside).unwrap();
    keys(&mut app, "8,01\n8,02\n8,03\n");
    let shown = text(&app);
    for part in ["is gone", "is the last one kept", "8,03"] {
        assert!(shown.contains(part), "{part} is missing\n{shown}");
    }
    assert!(!shown.contains("Saved, entry 5"), "{shown}");
    assert_eq!((app.entry.given.len(), app.entry.input.as_str()), (2, "8,03"));
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

#[test]
fn gauge_answers_that_cannot_be_are_kept_only_when_given_a_second_time() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "ream-disc-1");
    open_at(&mut app, "ream-disc-1");
    while app.open_check().is_some_and(|c| c.asks() != crate::procedure::plan::CheckKind::Gauge) {
        keys(&mut app, "y");
        if app.takes_text() {
            keys(&mut app, "25.010\n25.011\n25.012\n25.013\n");
        }
    }
    let before = app.record().unwrap().events.len();
    keys(&mut app, "ny\n\n");
    let shown = flat(&app);
    assert!(shown.contains("no hole is like that") && shown.contains("swapped"), "{shown}");
    keys(&mut app, "yy");
    let shown = flat(&app);
    assert!(shown.contains("no-go enters, but the largest measured is 25.013 mm"), "{shown}");
    assert_eq!(app.record().unwrap().events.len(), before, "nothing is kept by two more keys");
    keys(&mut app, "yn");
    let kept = |app: &App<'_>| app.record().unwrap().reading("ream-disc-1", "plug").unwrap().reading.clone();
    assert_eq!((kept(&app).verdict.word(), kept(&app).doubt), ("within", None));
    app.show("ream-disc-2".into());
    open_at(&mut app, "ream-disc-1");
    build_up_to(&mut app, "ream-disc-2");
    open_at(&mut app, "ream-disc-2");
    while app.open_check().is_some_and(|c| c.asks() != crate::procedure::plan::CheckKind::Gauge) {
        keys(&mut app, "y");
        if app.takes_text() {
            keys(&mut app, "25.010\n25.011\n25.012\n25.013\n");
        }
    }
    keys(&mut app, "nyny");
    let reading = app.record().unwrap().reading("ream-disc-2", "plug").unwrap().reading.clone();
    assert!(reading.verdict.open() && reading.doubt.is_some(), "{reading:?}");
}

#[test]
fn another_marking_than_the_wanted_one_is_outside_and_says_what_is_wanted() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-bearing-far");
    assert!(text(&app).contains("Wanted UC205"), "{}", text(&app));
    let bar = text(&app).lines().last().unwrap().to_owned();
    assert!(bar.contains("Enter take it") && bar.contains("Esc keys are commands"), "{bar}");
    assert!(!bar.contains("picture") && !bar.contains("? keys"), "a key that would be typed as text: {bar}");
    keys(&mut app, "UC206?q\ny");
    let shown = flat(&app);
    assert!(shown.contains("OUTSIDE: UC206?q, not what is wanted: UC205"), "{shown}");
    assert!(shown.contains("Another size or kind than the one drawn"), "{shown}");
    assert!(shown.contains("Esc d Have it decided"), "words go on being words: {shown}");
    key(&mut app, KeyCode::Esc);
    assert!(text(&app).contains("KEYS ARE COMMANDS, Esc or v: type words"), "{}", text(&app));
    keys(&mut app, "d");
    assert!(text(&app).contains("Decide on a reading"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "uc 205\n");
    assert!(flat(&app).contains("UC206?q was typed before"), "{}", text(&app));
    keys(&mut app, "y");
    assert!(app.message.contains("within, as wanted, UC205"), "{}", app.message);
}

#[test]
fn a_series_names_the_place_of_the_value_typed_and_of_those_before_it() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y");
    assert!(text(&app).contains("hole 1 (1 of 3) >") && text(&app).contains("each of 3"), "{}", text(&app));
    keys(&mut app, "8.05\n8.5\n");
    let shown = text(&app);
    assert!(shown.contains("hole 5 (3 of 3) >"), "{shown}");
    assert!(shown.contains("hole 1 8.05, hole 3 8.5 OUTSIDE"), "{shown}");
    keys(&mut app, "8\n");
    assert!(text(&app).contains("OUTSIDE: hole 3 (8.5): 0.3 mm above"), "{}", text(&app));
}

#[test]
fn what_is_typed_in_one_build_is_nothing_in_another() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y8.05\n8.0");
    let plan = app.record().unwrap().plan().clone();
    let start = Start {
        plan,
        spec_text: "x\n".into(),
        spec_name: "flywheel".into(),
        serial: "2".into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    drop(app.store.start(start).unwrap());
    keys(&mut app, "u");
    assert_eq!(app.entry.given, ["8.05"]);
    app.open_build("flywheel-2");
    keys(&mut app, "y21\n");
    open_at(&mut app, "inspect-disc-1");
    keys(&mut app, "y");
    assert!(text(&app).contains("hole 1 (1 of 3)"), "{}", text(&app));
    app.open_build("flywheel-1");
    while !app.look_again.is_empty() {
        keys(&mut app, "w");
    }
    open_at(&mut app, "inspect-disc-1");
    assert!(text(&app).contains("1 of 3 typed by ak"), "{}", text(&app));
}

#[test]
fn values_begun_before_a_break_are_offered_and_taken_up_by_a_yes_only() {
    let home = tempfile::tempdir().unwrap();
    let mut first = app(home.path(), (80, 24));
    keys(&mut first, "y21\n");
    open_at(&mut first, "inspect-disc-1");
    keys(&mut first, "y8.05\n8.04\n");
    drop(first);
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap();
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some("jo".into());
    app.open_build("flywheel-1");
    while !app.look_again.is_empty() {
        keys(&mut app, "w");
    }
    assert_eq!(app.step, "inspect-disc-1");
    open_at(&mut app, "inspect-disc-1");
    let shown = flat(&app);
    assert!(shown.contains("2 of 3 typed by ak") && shown.contains("hole 1 8.05, hole 3 8.04"), "{shown}");
    let events = app.record().unwrap().events.len();
    keys(&mut app, "\n8.03\n");
    assert!(app.entry.given.is_empty() && app.message.contains("Say first"), "{}", app.message);
    keys(&mut app, "y");
    assert!(app.message.contains("ak typed them and takes them up"), "{}", app.message);
    keys(&mut app, "i");
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "ak\ny");
    assert_eq!(app.record().unwrap().events.len(), events, "taken up is not recorded");
    keys(&mut app, "8.03\n");
    let record = app.record().unwrap();
    let kept = record.reading("inspect-disc-1", "thickness").unwrap().reading;
    assert_eq!(kept.values, ["8.05", "8.04", "8.03"]);
    assert!(app.left.is_empty() && !home.path().join("builds/flywheel-1/not-complete.yaml").exists());
    // A series that another begins to go on with waits for who began it.
    keys(&mut app, "24.6\ni");
    (0..2).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "jo\n");
    assert!(app.entry.given.is_empty() && flat(&app).contains("1 of 4 typed by ak"), "{}", text(&app));
    keys(&mut app, "n");
    // Left by looking elsewhere, the next series waits where it was; n drops it.
    keys(&mut app, "24.6\n24.61\n24.");
    key(&mut app, KeyCode::Right);
    key(&mut app, KeyCode::Left);
    assert!(flat(&app).contains("2 of 4 typed by jo"), "{}", text(&app));
    keys(&mut app, "y");
    assert_eq!((app.entry.given.len(), app.entry.input.as_str()), (2, "24."), "half a value stands in the field again");
    key(&mut app, KeyCode::Right);
    key(&mut app, KeyCode::Left);
    keys(&mut app, "n");
    assert_eq!(app.entry.input, "");
    read_on(&mut app);
    assert!(flat(&app).contains("numbered face x (1 of 4)"), "{}", text(&app));
    assert!(!home.path().join("builds/flywheel-1/not-complete.yaml").exists());
}

#[test]
fn initials_without_a_role_are_asked_about_once_and_enter_alone_keeps_nobody() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "i\u{8}");
    (0..4).for_each(|_| key(&mut app, KeyCode::Backspace));
    keys(&mut app, "zz\n");
    let shown = flat(&app);
    assert!(shown.contains("zz is not among the people of the spec (design: mh; fitter: ak, jo)"), "{shown}");
    keys(&mut app, "\n");
    assert!(app.by.as_deref() == Some("ak") && text(&app).contains("Type the initials again"), "{}", text(&app));
    keys(&mut app, "zz\n");
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\n");
    assert!(app.by.as_deref() == Some("zz") && app.message.contains("role helper"), "{}", app.message);
    keys(&mut app, "i\n");
    assert!(app.ask.is_none(), "asked once");
    app.by = Some("yy".into());
    keys(&mut app, "q");
    app.open_build("flywheel-1");
    assert!(app.by.is_none() && flat(&app).contains("yy is not among the people"), "{}", text(&app));
}

#[test]
fn a_key_that_does_nothing_says_what_is_possible() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    for (typed, said) in [
        ("Z", "Z does nothing here. y or n answers"),
        ("u", "u does nothing here"),
        ("k", "k does nothing here"),
        ("v", "v does nothing here"),
        ("o", "while a reading is outside"),
        ("\n", "Enter does nothing here"),
        ("y21\nZ", "The step is done: Tab leads on"),
        ("\n", "Enter does nothing here. The step is done"),
        ("y", "y does nothing here. The step is done"),
    ] {
        keys(&mut app, typed);
        assert!(app.message.contains(said), "{typed:?}: {}", app.message);
        assert!(text(&app).contains(said.split(". ").next().unwrap()), "{}", text(&app));
    }
}

#[test]
fn behind_a_window_the_entry_and_its_keys_rest() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y2");
    assert!(text(&app).contains("2_"));
    key(&mut app, KeyCode::Esc);
    keys(&mut app, "a");
    let shown = text(&app);
    assert!(shown.contains("The entry waits for the window") && !shown.contains("Value > _"), "{shown}");
    assert_eq!(shown.lines().last().unwrap().trim(), "", "no key of the screen works now");
}

#[test]
fn an_instrument_past_its_date_or_faulty_is_told_before_the_value() {
    use crate::traveler::instruments::Instrument;
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21\n");
    let old = Instrument {
        id: "BG-1".into(),
        kind: "bore gauge".into(),
        uncertainty: Some("0.002 mm".into()),
        range: None,
        resolution: None,
        due: Some("2001-01-31".into()),
        retired: false,
        faulty: None,
    };
    app.store.change_register(|r| r.add(old)).unwrap();
    open_at(&mut app, "inspect-collar-far");
    keys(&mut app, "y");
    assert!(text(&app).contains("no instrument named; t names it"), "{}", text(&app));
    keys(&mut app, "t\n");
    let shown = text(&app);
    assert!(shown.contains("BG-1 is past its calibration date 2001-01-31"), "{shown}");
    assert!(shown.contains("with BG-1, U 0.002 mm"), "{shown}");
    let faulty = crate::traveler::instruments::Faulty {
        since: None,
        reason: "jaw bent".into(),
        by: "mh".into(),
        at: "2026-01-01".into(),
    };
    app.register.instruments[0].faulty = Some(faulty);
    assert!(text(&app).contains("BG-1 was found faulty (jaw bent)"), "{}", text(&app));
}

#[test]
fn the_deflection_computed_from_the_span_stands_in_the_question_for_the_force() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "tension-belt-final");
    open_at(&mut app, "tension-belt-final");
    let nominal = app.open_check().unwrap().nominal.clone().unwrap();
    keys(&mut app, &format!("{nominal}\n"));
    let kept = app.record().unwrap().reading("tension-belt-final", "deflection").unwrap().reading.values[0].clone();
    let wanted = format!("Force at that deflection, three readings (deflection {kept} mm)");
    assert!(text(&app).contains(&wanted), "{wanted}: {}", text(&app));
}

#[test]
fn too_fast_stays_open_after_a_slower_run() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    build_up_to(&mut app, "spin-first");
    open_at(&mut app, "spin-first");
    keys(&mut app, "20\n27\n53\n80\n106\n");
    let most: f64 = app.open_check().unwrap().upper.clone().unwrap().parse().unwrap();
    keys(&mut app, &format!("{:.0}\n", most + 5.0));
    assert!(text(&app).contains("OUTSIDE"), "{}", text(&app));
    keys(&mut app, &format!("{:.0}\n", most - 5.0));
    assert_eq!(app.open_check().map(|c| c.id.as_str()), Some("speed"), "it waits for its decision");
    assert!(flat(&app).contains("stays open until it is decided"), "{}", text(&app));
    keys(&mut app, "d\n");
    key(&mut app, KeyCode::Down);
    key(&mut app, KeyCode::Down);
    keys(&mut app, "\nrods and discs looked at\n\nmh\n");
    assert!(app.message.contains("use-as-is kept"), "{} {}", app.message, text(&app));
    assert_ne!(app.open_check().map(|c| c.id.as_str()), Some("speed"));
    assert!(!text(&app).contains("320"), "a run of another speed names its own limit: {}", text(&app));
}

/// The kit from the bench: a tick is kept at once, a number is typed, what is missing stays in its place until asked anew.
#[test]
fn a_kit_is_ticked_off_and_kept() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.leave_for_bench();
    app.chosen = 0;
    keys(&mut app, "k");
    assert_eq!(app.shown, app::Shown::Kit);
    let first = app.kit_lines()[0].clone();
    let missing = app.packing.as_ref().unwrap().stops();
    assert!(text(&app).contains("! MISSING   0 of 1") && text(&app).contains(&format!("{missing} required missing")));
    keys(&mut app, " ");
    assert!(app.message.starts_with("Saved: 1 of 1"), "{}", app.message);
    assert_eq!((app.kit_lines()[0], app.packing.as_ref().unwrap().stops()), (&first, missing - 1));
    assert_eq!(app.store.ticks("flywheel").unwrap().have(&first.id), 1);
    keys(&mut app, "/nut m8\n");
    assert!(app.kit_lines().iter().all(|l| l.id.contains("nut")), "{:?}", app.kit_lines());
    keys(&mut app, "nx\n");
    assert!(text(&app).contains("no number of pieces"));
    key(&mut app, KeyCode::Backspace);
    keys(&mut app, "7\n");
    assert!(text(&app).contains("TOO FEW   7 of 12"), "{}", text(&app));
    keys(&mut app, "/");
    for _ in 0.."nut m8".len() {
        key(&mut app, KeyCode::Backspace);
    }
    keys(&mut app, "\n");
    let all = app.kit_lines().len();
    keys(&mut app, "o");
    assert_eq!(app.kit_lines().len(), all - 1, "what is in hand is left out");
    assert!(app.kit_lines().iter().all(|l| l.id != first.id));
    for n in 0..50 {
        keys(&mut app, &format!("25.0{n:02}\n"));
    }
    assert!(app.message.contains("Not used"), "{}", app.message);
    let before = app.store.ticks("flywheel").unwrap();
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.shown, app::Shown::Bench);
    assert_eq!(app.store.ticks("flywheel").unwrap(), before);
    app.chosen = app.bench_rows().len() - 1;
    keys(&mut app, "k");
    assert!(app.message.contains("belongs to a module"), "{}", app.message);
}

#[test]
fn clicks_of_a_pass_are_kept_over_a_break_and_go_on_with_the_next_bolt() {
    let home = tempfile::tempdir().unwrap();
    let mut first = app(home.path(), (80, 24));
    build_up_to(&mut first, "tighten-rods-pass-1");
    open_at(&mut first, "tighten-rods-pass-1");
    let sequence = first.sequence();
    keys(&mut first, "  ");
    keys(&mut first, &format!("{} ", sequence[3]));
    drop(first);
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap();
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some("ak".into());
    app.open_build("flywheel-1");
    keys(&mut app, "www");
    open_at(&mut app, "tighten-rods-pass-1");
    let done: Vec<u32> = [0, 1, 3].map(|k| sequence[k]).into();
    let said = format!("3 of {} typed by ak", sequence.len());
    assert!(flat(&app).contains(&said), "{said}: {}", text(&app));
    keys(&mut app, "  u");
    assert!(app.entry.bolts_done().is_empty() && app.message.contains("Say first"), "{}", app.message);
    keys(&mut app, "y");
    assert_eq!((app.entry.bolts_done(), app.entry.next_bolt(&sequence)), (done, Some(sequence[2])));
}

#[test]
fn without_a_person_nothing_is_taken_and_nothing_typed_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    keys(&mut app, "y21");
    app.by = None;
    keys(&mut app, "\n");
    assert!(text(&app).contains("Who is at the bench"), "{}", text(&app));
    key(&mut app, KeyCode::Esc);
    assert_eq!(app.entry.input, "21");
    keys(&mut app, "\nak\n\n");
    assert!(app.message.contains("Saved, entry 3"), "{}", app.message);
}

/// A long list is read beside the screen: what is known so far is shown, and the chosen build stays chosen.
#[test]
fn a_long_list_of_builds_never_holds_up_the_screen() {
    let home = tempfile::tempdir().unwrap();
    drop(app(home.path(), (120, 36)));
    for n in 0..70 {
        let folder = home.path().join(format!("builds/broken-{n:02}"));
        std::fs::create_dir(&folder).unwrap();
        std::fs::write(folder.join("traveler.yaml"), "x\n").unwrap();
    }
    let store = crate::traveler::Store::locate(Some(home.path())).unwrap().forgetful();
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.size = (120, 36);
    assert!(app.listing_words().unwrap().contains("Looking at the builds"));
    assert!(text(&app).contains("Looking at the builds"), "{}", text(&app));
    key(&mut app, KeyCode::Char('?'));
    assert!(text(&app).contains("Any key closes this page"), "keys are taken meanwhile");
    key(&mut app, KeyCode::Char(' '));
    while app.listing_words().is_some() {
        app.list_came();
        std::thread::yield_now();
    }
    assert_eq!(app.builds.len(), 71);
    assert!(!text(&app).contains("Looking at the builds"));
}

/// What the disk refused is told whole on the smallest screen, and a caliper that types does not take it away.
#[test]
fn an_entry_that_was_not_saved_is_told_in_three_parts_until_it_was_read() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    app.look_again.clear();
    let file = home.path().join("builds/flywheel-1/traveler.yaml");
    std::fs::rename(&file, file.with_extension("away")).unwrap();
    keys(&mut app, "y");
    let told = |app: &App<'_>| text(app).contains("NOT SAVED");
    for part in ["the file of the record is gone", "entry 1 is the last one kept", "put the folder or the disk back"] {
        assert!(told(&app) && text(&app).contains(part), "{part}: {}", text(&app));
    }
    keys(&mut app, "24,601\n");
    assert!(told(&app), "digits and Enter are no answer");
    key(&mut app, KeyCode::Esc);
    assert!(!told(&app));
}

#[test]
fn one_disc_does_not_sit_in_two_places_without_a_question() {
    let home = tempfile::tempdir().unwrap();
    let mut app = app(home.path(), (80, 24));
    let places: Vec<String> = {
        let steps = &app.record().unwrap().plan().steps;
        steps.iter().filter(|s| s.checks.iter().any(|c| c.id == "number")).map(|s| s.id.clone()).collect()
    };
    build_up_to(&mut app, &places[1]);
    open_at(&mut app, &places[1]);
    while app.open_check().is_some_and(|c| c.id != "number") {
        keys(&mut app, "y");
    }
    let first = app.record().unwrap().reading(&places[0], "number").unwrap().reading.values[0].clone();
    let before = app.record().unwrap().events.len();
    keys(&mut app, &format!("{first}\n\n"));
    assert!(flat(&app).contains("a part sits in one place"), "{}", text(&app));
    assert_eq!(app.record().unwrap().events.len(), before, "Enter answers no question");
    keys(&mut app, "n");
    let other = if first == "2" { "3" } else { "2" };
    keys(&mut app, &format!("{other}\n"));
    assert_eq!(app.record().unwrap().reading(&places[1], "number").unwrap().reading.values, [other]);
}
