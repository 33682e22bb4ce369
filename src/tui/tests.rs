use std::collections::BTreeMap;

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::style::Modifier;

use super::*;
use crate::module::{Setup, embedded, read};
use crate::procedure::make_plan;
use crate::traveler::{Start, StepState};

struct Demo;

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
}

fn app(home: &std::path::Path, size: (u16, u16)) -> App<'static> {
    app_of("flywheel", home, size)
}

/// A build of a module, just begun.
fn app_of(name: &str, home: &std::path::Path, size: (u16, u16)) -> App<'static> {
    let store = crate::traveler::Store::locate(Some(home)).unwrap();
    let (plan, spec_text) = Demo.plan(name, &BTreeMap::new()).unwrap();
    let by = plan.people.values().flatten().next().cloned().unwrap();
    let start = Start { plan, spec_text, spec_name: name.into(), serial: "1".into(), by, practice: true };
    drop(store.start(start).unwrap());
    let mut app = App::new(store, &Demo, Theme::coloured());
    app.by = Some("ak".into());
    app.update(&Event::Resize(size.0, size.1));
    app.open_build(&format!("{name}-1"));
    app
}

fn key(app: &mut App<'_>, code: KeyCode) {
    app.update(&Event::Key(KeyEvent::new(code, KeyModifiers::NONE)));
}

fn keys(app: &mut App<'_>, text: &str) {
    for c in text.chars() {
        key(app, if c == '\n' { KeyCode::Enter } else { KeyCode::Char(c) });
    }
}

fn screen(app: &App<'_>) -> Terminal<TestBackend> {
    let mut terminal = Terminal::new(TestBackend::new(app.size.0, app.size.1)).unwrap();
    terminal.draw(|frame| draw(app, frame)).unwrap();
    terminal
}

fn text(app: &App<'_>) -> String {
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

/// Every step of all demos: its caution's signal word, its whole action, its limits, on one screen or on counted pages.
#[test]
fn every_step_is_told_whole_at_80_by_24() {
    let home = tempfile::tempdir().unwrap();
    for name in crate::module::embedded_names() {
        told_whole(&mut app_of(&name, home.path(), (80, 24)));
    }
}

fn told_whole(app: &mut App<'_>) {
    let squeeze = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
    let steps = app.record().unwrap().plan().steps.clone();
    for step in steps {
        app.show(step.id.clone());
        let pages = screens::step::page_count(app);
        let mut told = String::new();
        for page in 0..pages {
            app.page = page;
            let shown = text(app);
            assert!(pages == 1 || shown.contains(&format!("page {} of {pages}", page + 1)), "{}", step.id);
            for caution in &step.cautions {
                assert!(shown.contains(caution.signal.word()), "{}: a caution left the screen", step.id);
            }
            let start: String = step.title.chars().take(40).collect();
            assert!(squeeze(&shown).contains(&squeeze(&start)), "{}: the action left the screen", step.id);
            told.push_str(&squeeze(&shown));
        }
        if let Some(check) = step.checks.iter().find(|c| c.kind != crate::procedure::plan::CheckKind::Derived) {
            let limits = [&check.lower, &check.upper].into_iter().flatten().filter(|_| check.unit.is_some());
            for limit in limits {
                let shown = format!("{}{told}", squeeze(&text(app)));
                assert!(shown.contains(limit.as_str()), "{}: the limit {limit} is not on the screen", step.id);
            }
        }
        // A sentence may run over from one page to the next; its halves are found on both.
        for action in &step.actions {
            let words: Vec<&str> = action.split_whitespace().collect();
            for part in words.chunks(3) {
                assert!(told.contains(&squeeze(&part.concat())), "{}: {part:?} is missing", step.id);
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
        "not ak who took it",
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

/// From two metres: few words, large digits, for every step.
#[test]
fn the_two_metre_view_has_few_words_and_large_digits() {
    for (name, (size, rows)) in
        crate::module::embedded_names().iter().flat_map(|n| [((80, 24), 5), ((120, 36), 7)].map(|s| (n, s)))
    {
        let home = tempfile::tempdir().unwrap();
        let mut app = app_of(name, home.path(), size);
        app.far = true;
        for step in app.record().unwrap().plan().steps.clone() {
            app.show(step.id.clone());
            app.seen = 9;
            let shown = text(&app);
            let words = shown.split_whitespace().filter(|w| w.chars().any(char::is_alphabetic)).count();
            assert!(words <= 12, "{}: {words} words\n{shown}", step.id);
            if step.torque_nm.is_some()
                && app.open_check().is_some_and(|c| c.kind == crate::procedure::plan::CheckKind::Torque)
            {
                let high = shown.lines().filter(|l| l.contains('█')).count();
                assert!(high >= 2 * rows, "{}: bolt and torque are {high} rows\n{shown}", step.id);
            }
        }
    }
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

/// Enters good values until a step is reached, without the screen.
fn build_up_to(app: &mut App<'_>, id: &str) {
    use crate::procedure::plan::{CheckKind, SeriesRule};
    use crate::traveler::{EndedEarly, Entry, Release, is_round};
    let session = app.session.as_mut().unwrap();
    while let Some(step) = session.record().current_step().filter(|s| s.id != id).cloned() {
        for check in step.checks.iter().filter(|c| c.kind != CheckKind::Derived) {
            let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
            let middle = match (number(&check.lower), number(&check.upper)) {
                (Some(a), Some(b)) => f64::midpoint(a, b),
                (Some(a), None) => a * 1.1,
                (None, b) => b.map_or_else(|| number(&check.nominal).unwrap_or(1.0), |b| b / 2.0),
            };
            let n = check.count.unwrap_or(1);
            let values = match check.kind {
                CheckKind::Series if check.rule == Some(SeriesRule::Range) => vec!["80".into(); n as usize],
                CheckKind::Series => vec![format!("{middle:.4}"); n as usize],
                CheckKind::Gauge => vec!["go=yes".into(), "no-go=no".into()],
                CheckKind::Torque if is_round(check) => vec!["moved=0".into()],
                CheckKind::Torque => vec![format!("clicked={n}/{n}")],
                CheckKind::Confirm => vec!["yes".into()],
                CheckKind::Count => vec![check.lower.clone().unwrap_or_else(|| "1".into())],
                CheckKind::Text => vec!["lot".into()],
                CheckKind::Wait => vec!["started".into()],
                CheckKind::Measure | CheckKind::Derived => vec![format!("{middle:.4}")],
            };
            let entry = Entry {
                step: step.id.clone(),
                check: check.id.clone(),
                values,
                by: "ak".into(),
                bare: true,
                ..Entry::default()
            };
            session.enter(&entry).unwrap();
            if check.kind == CheckKind::Wait {
                let end_early = Some(EndedEarly { role: "design".into(), reason: "test".into() });
                session.enter(&Entry { values: vec!["done".into()], by: "mh".into(), end_early, ..entry }).unwrap();
            }
        }
        if session.record().step_state(&step.id) == StepState::Held {
            let role = step.hold.clone().unwrap();
            session.release(&Release { step: step.id.clone(), by: "mh".into(), role, remote: None }).unwrap();
        }
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
        keys(&mut app, "yy\nw");
    }
    assert!(app.look_again.is_empty());
    keys(&mut app, "h");
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
    keys(&mut app, "r/room within\n");
    let shown = text(&app);
    assert!(shown.contains("inspect-instruments room: 21") && !shown.contains("zero: yes"), "{shown}");
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
    keys(&mut app, &format!("f{}\nlog of the thermometer\n", log.display()));
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
    while app.open_check().is_some_and(|c| c.kind != crate::procedure::plan::CheckKind::Series) {
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
