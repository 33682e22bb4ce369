//! Draws the guide's real screens into `screenshots/`: the program's own state, driven by keys, at two sizes.
//!
//! `cargo run --release -p pictures [FOLDER] [--font FILE]`. The font is DejaVu Sans Mono (package fonts-dejavu-core).

mod svg;

use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use runtrue::cli::Embedded;
use runtrue::procedure::plan::{Check, CheckKind, SeriesRule};
use runtrue::traveler::{EndedEarly, Entry, Release, Session, Start, StepState, Store, is_round};
use runtrue::tui::{App, Modules, Theme, draw};

const SIZES: [(u16, u16); 2] = [(80, 24), (120, 36)];

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let font = arguments.iter().position(|a| a == "--font").and_then(|k| arguments.get(k + 1)).map(PathBuf::from);
    let folder =
        arguments.first().filter(|a| !a.starts_with("--")).map_or_else(|| PathBuf::from("screenshots"), PathBuf::from);
    let options = options(font)?;
    let home = tempfile::tempdir()?;
    let store = Store::locate(Some(home.path()))?;
    for size in SIZES {
        for shot in shots() {
            let name = format!("{}-{}x{}.png", shot.name, size.0, size.1);
            let picture = take(&store, &shot, size)?;
            save(&picture, &options, &folder.join(&name))?;
            println!("{name}");
        }
    }
    Ok(())
}

fn options(font: Option<PathBuf>) -> Result<Options<'static>, Box<dyn Error>> {
    let folder = "/usr/share/fonts/truetype/dejavu";
    let files = font.map_or_else(
        || {
            vec![
                PathBuf::from(folder).join("DejaVuSansMono.ttf"),
                PathBuf::from(folder).join("DejaVuSansMono-Bold.ttf"),
            ]
        },
        |f| vec![f],
    );
    let mut options = Options::default();
    for file in files {
        let bytes = std::fs::read(&file)
            .map_err(|e| format!("{}: {e}; install fonts-dejavu-core or name a file with --font", file.display()))?;
        options.fontdb_mut().load_font_data(bytes);
    }
    Ok(options)
}

fn save(svg: &str, options: &Options<'_>, file: &Path) -> Result<(), Box<dyn Error>> {
    let tree = Tree::from_str(svg, options)?;
    let size = tree.size().to_int_size();
    let mut pixels = Pixmap::new(size.width(), size.height()).ok_or("no picture of that size")?;
    resvg::render(&tree, Transform::default(), &mut pixels.as_mut());
    pixels.save_png(file)?;
    Ok(())
}

/// One picture: how far the build has come, and the keys after that.
struct Shot {
    name: &'static str,
    /// Step to stop before; none for the bench.
    before: Option<&'static str>,
    keys: &'static str,
}

fn shots() -> Vec<Shot> {
    let shot = |name, before, keys| Shot { name, before, keys };
    vec![
        shot("bench", None, ""),
        shot("start", None, "\nak\n"),
        shot("kit", None, "k!! "),
        shot("inspect", Some("inspect-collar-far"), "y25.004\n25.006\n"),
        shot("hardly", Some("inspect-collar-far"), "y25.004\n250.06\n"),
        shot("outside", Some("inspect-collar-far"), "y25.004\n25.006\n20,2\n"),
        shot("disc", Some("inspect-disc-2"), "y"),
        shot("two-metres", Some("tighten-rods-pass-2"), "  z"),
        shot("two-metres-limits", Some("inspect-collar-far"), "yz"),
        shot("hand-over", Some("tighten-rods-pass-2"), "aRod 5 ran stiff, changed for a spare\nmh"),
        shot("ream", Some("ream-disc-2"), ">yy25.004\n25.006\n25.0"),
        shot("tighten", Some("tighten-rods-pass-1"), "   "),
        shot("collar", Some("tighten-pinch-collar-far-final"), " "),
        shot("section", Some("fit-disc-4"), "p"),
        shot("frame", Some("tighten-hold-downs-snug"), " "),
        shot("sled", Some("fit-sled"), ""),
        shot("guard", Some("guard-guard"), "y"),
        shot("plane", Some("align-belt-line"), ""),
        shot("belt", Some("tension-belt-final"), "475\n20.1\n20.9\n2"),
        shot("hold", Some("guard-guard"), "y14\ny"),
        shot("first-run", Some("spin-first"), ">"),
        shot("steps", Some("tighten-rods-pass-1"), "l"),
        shot("looking-back", Some("tighten-rods-pass-2"), "<<"),
        shot("two-people", Some("inspect-collar-far"), "ymb25.004\n25.006\n"),
        shot("change", Some("tighten-rods-pass-2"), "mj\n!!!\n\n"),
        shot("record", Some("fit-rods"), "r"),
        shot("entry", Some("fit-rods"), "r\n"),
        shot("more", Some("fit-rods"), "m"),
        shot("keys", Some("fit-rods"), "?"),
    ]
}

fn take(store: &Store, shot: &Shot, size: (u16, u16)) -> Result<String, Box<dyn Error>> {
    let serial = format!("{}-{}", shot.name, size.0);
    if let Some(step) = shot.before {
        build_up_to(store, &serial, step)?;
    }
    let modules = Embedded::default();
    let mut app = App::new(store.clone(), &modules, Theme::coloured());
    app.by = Some("ak".into());
    app.update(&Event::Resize(size.0, size.1));
    if shot.before.is_some() {
        app.open_build(&format!("flywheel-{serial}"));
        app.look_again.clear();
    } else {
        app.builds.retain(|b| b.steps_done > 40);
        app.builds.truncate(2);
    }
    for key in shot.keys.chars() {
        press(&mut app, key);
    }
    let mut terminal = Terminal::new(TestBackend::new(size.0, size.1))?;
    terminal.draw(|frame| draw(&app, frame))?;
    Ok(svg::of(terminal.backend().buffer()))
}

fn press(app: &mut App<'_>, key: char) {
    let code = match key {
        '\n' => KeyCode::Enter,
        '>' => KeyCode::PageDown,
        '<' => KeyCode::Left,
        '^' => KeyCode::Up,
        '!' => KeyCode::Down,
        c => KeyCode::Char(c),
    };
    app.update(&Event::Key(KeyEvent::new(code, KeyModifiers::NONE)));
}

fn build_up_to(store: &Store, serial: &str, step: &str) -> Result<(), Box<dyn Error>> {
    let (plan, spec_text) = Embedded::default().plan("flywheel", &BTreeMap::new())?;
    let start = Start {
        plan,
        spec_text,
        spec_name: "flywheel".into(),
        serial: serial.into(),
        by: "ak".into(),
        practice: false,
        alone: None,
    };
    let mut session = store.start(start)?;
    while let Some(next) = session.record().current_step().filter(|s| s.id != step).map(|s| s.id.clone()) {
        fill(&mut session, &next)?;
    }
    Ok(())
}

/// Enters a good value for every check of a step, and releases its hold.
fn fill(session: &mut Session, id: &str) -> Result<(), Box<dyn Error>> {
    let step = session.record().step(id).cloned().ok_or("no such step")?;
    for check in step.checks.iter().filter(|c| c.kind != CheckKind::Derived) {
        let entry = Entry {
            step: id.into(),
            check: check.id.clone(),
            values: good(check),
            by: "ak".into(),
            bare: true,
            ..Entry::default()
        };
        session.enter(&entry)?;
        if check.kind == CheckKind::Wait {
            let end_early = Some(EndedEarly { role: "design".into(), reason: "picture".into() });
            session.enter(&Entry { values: vec!["done".into()], by: "mh".into(), end_early, ..entry })?;
        }
    }
    if session.record().step_state(id) == StepState::Held {
        session.release(&Release { step: id.into(), by: "mh".into(), role: "design".into(), ..Release::default() })?;
    }
    Ok(())
}

fn good(check: &Check) -> Vec<String> {
    let number = |t: &Option<String>| t.as_deref().and_then(|t| t.parse::<f64>().ok());
    let middle = match (number(&check.lower), number(&check.upper)) {
        (Some(a), Some(b)) => f64::midpoint(a, b),
        (Some(a), None) => number(&check.nominal).unwrap_or(a).max(a),
        (None, Some(b)) => number(&check.nominal).unwrap_or(b / 2.0).min(b),
        (None, None) => number(&check.nominal).unwrap_or(1.0),
    };
    let n = check.count.unwrap_or(1);
    let value = format!("{middle:.3}");
    match check.kind {
        CheckKind::Series if check.rule == Some(SeriesRule::Range) => vec!["80.00".into(); n as usize],
        CheckKind::Series => vec![value; n as usize],
        CheckKind::Measure | CheckKind::Derived => vec![value],
        CheckKind::Gauge => vec!["go=yes".into(), "no-go=no".into()],
        CheckKind::Torque if is_round(check) => vec!["moved=0".into()],
        CheckKind::Torque => vec![format!("clicked={n}/{n}")],
        CheckKind::Confirm => vec!["yes".into()],
        CheckKind::Count => vec![check.lower.clone().unwrap_or_else(|| "1".into())],
        CheckKind::Text => vec!["lot 4711".into()],
        CheckKind::Wait => vec!["started".into()],
    }
}
