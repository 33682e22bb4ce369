//! How long a frame takes, and a key until its frame is drawn. Drawn into memory, so that the terminal's own speed is left out.

use std::collections::BTreeMap;

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use runtrue::cli::Embedded;
use runtrue::traveler::Store;
use runtrue::tui::{App, Modules, Theme, draw};

use super::{Table, Times, common, timed};

const ROUNDS: usize = 2_000;

pub fn measure(table: &mut Table) {
    let home = tempfile::tempdir().unwrap();
    let store = Store::locate(Some(home.path())).unwrap();
    let modules = Embedded::default();
    modules.ready().unwrap();
    drop(common::begun(&store, "flywheel", "1"));
    for ((width, height), most) in [((80, 24), 2.0), ((200, 60), 4.0)] {
        let mut app = App::new(store.clone(), &modules, Theme::coloured());
        app.by = Some("ak".into());
        app.update(&Event::Resize(width, height));
        app.open_build("flywheel-1");
        app.show("tighten-rods-pass-1".into());
        let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
        let mut frame = |app: &App<'_>| {
            terminal.draw(|frame| draw(app, frame)).unwrap();
        };
        let alone = Times::new((0..ROUNDS).map(|_| timed(|| frame(&app))).collect());
        let keys = [KeyCode::Right, KeyCode::Left, KeyCode::Char('p'), KeyCode::Char('p')];
        let pressed = keys.iter().cycle().take(ROUNDS).map(|code| {
            timed(|| {
                app.update(&Event::Key(KeyEvent::new(*code, KeyModifiers::NONE)));
                frame(&app);
            })
        });
        let pressed = Times::new(pressed.collect());
        table.ms(&format!("key to frame, {width} x {height}"), &pressed, Some((0.99, most)));
        table.ms(&format!("a frame alone, {width} x {height}"), &alone, None);
    }
    plans(table, &modules);
}

/// Each demo from the text of its spec to its plan.
fn plans(table: &mut Table, modules: &Embedded) {
    for offer in modules.list() {
        let times = Times::of(|| drop(modules.plan(&offer.name, &BTreeMap::new()).unwrap()));
        table.ms(&format!("plan of {}, from its spec", offer.name), &times, Some((0.5, 50.0)));
    }
}
