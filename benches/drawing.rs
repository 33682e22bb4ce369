//! How long a frame takes, and a key until its frame is drawn, at two sizes: median and 99th percentile.
//!
//! `cargo bench --bench drawing`. Drawn into memory, so that the terminal's own speed is left out.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use runtrue::cli::Embedded;
use runtrue::traveler::{Start, Store};
use runtrue::tui::{App, Modules, Theme, draw};

const ROUNDS: usize = 2_000;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let home = tempfile::tempdir()?;
    let store = Store::locate(Some(home.path()))?;
    let modules = Embedded::default();
    let (plan, spec_text) = modules.plan("flywheel", &BTreeMap::new())?;
    let start = Start {
        plan,
        spec_text,
        spec_name: "flywheel".into(),
        serial: "1".into(),
        by: "ak".into(),
        practice: true,
        alone: None,
    };
    drop(store.start(start)?);
    println!("{:<34} {:>12} {:>12}", "", "median", "99 %");
    for size in [(80, 24), (200, 60)] {
        let mut app = App::new(store.clone(), &modules, Theme::coloured());
        app.by = Some("ak".into());
        app.update(&Event::Resize(size.0, size.1));
        app.open_build("flywheel-1");
        app.show("tighten-rods-pass-1".into());
        let mut terminal = Terminal::new(TestBackend::new(size.0, size.1))?;
        let mut frame = |app: &App<'_>| {
            let begun = Instant::now();
            let _ = terminal.draw(|frame| draw(app, frame));
            begun.elapsed()
        };
        report(&format!("draw, {} x {}", size.0, size.1), (0..ROUNDS).map(|_| frame(&app)).collect());
        let keys = [KeyCode::Right, KeyCode::Left, KeyCode::Char('p'), KeyCode::Char('p')];
        let times = keys.iter().cycle().take(ROUNDS).map(|code| {
            let begun = Instant::now();
            app.update(&Event::Key(KeyEvent::new(*code, KeyModifiers::NONE)));
            frame(&app);
            begun.elapsed()
        });
        report(&format!("key to frame, {} x {}", size.0, size.1), times.collect());
    }
    Ok(())
}

fn report(name: &str, mut times: Vec<Duration>) {
    times.sort_unstable();
    let at = |share: usize| times.get(times.len() * share / 100).copied().unwrap_or_default();
    println!("{name:<34} {:>9.0} µs {:>9.0} µs", at(50).as_secs_f64() * 1e6, at(99).as_secs_f64() * 1e6);
}
