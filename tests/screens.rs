//! Pictures in words of every screen at three sizes, with their styles, from a recorded plan that no new words change.
//!
//! A changed screen fails here until somebody has looked at it: `cargo insta review`, or `INSTA_UPDATE=always cargo test
//! --test screens` and a look at the difference.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a panic is the failure of a test")]

use std::collections::BTreeMap;
use std::fmt::Write;

use crossterm::event::{Event, KeyCode, KeyEvent, KeyModifiers};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};
use runtrue::procedure::plan::Plan;
use runtrue::traveler::Store;
use runtrue::tui::{App, AxisOffer, ModuleOffer, Modules, Theme, draw};

const SAMPLE: &str = include_str!("samples/format-1.yaml");
const SIZES: [(u16, u16); 3] = [(80, 24), (120, 36), (200, 60)];

struct OneModule;

impl Modules for OneModule {
    fn list(&self) -> Vec<ModuleOffer> {
        let axes = vec![AxisOffer { name: "discs".into(), allowed: vec!["3".into(), "5".into()], first: "5".into() }];
        vec![ModuleOffer { name: "flywheel".into(), title: "Flywheel of the pedal thresher".into(), axes }]
    }

    fn plan(&self, _: &str, _: &BTreeMap<String, String>) -> Result<(Plan, String), String> {
        Err("this test starts no build".into())
    }
}

/// A home with the sample as it stands, and with its first event alone: a build just begun.
fn home() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    let begun = &SAMPLE[..SAMPLE.match_indices("\n---\n").nth(1).unwrap().0 + 1];
    for (build, text) in [("begun", begun), ("whole", SAMPLE)] {
        let folder = home.path().join("builds").join(build);
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join("traveler.yaml"), text).unwrap();
    }
    home
}

/// Screen, build to open, step to show, keys; `<` is the arrow to the left.
const SHOTS: [(&str, &str, &str, &str); 21] = [
    ("bench", "", "", ""),
    ("start", "", "", "\n"),
    ("keys", "begun", "", "?"),
    ("question", "begun", "", ""),
    ("measure", "begun", "", "y"),
    ("hardly", "begun", "", "y2150\n"),
    ("outside", "begun", "", "y-4\n"),
    ("decide", "begun", "", "y-4\nd"),
    ("two-metres", "begun", "", "yz"),
    ("looking", "begun", "tighten-rods-pass-1", ""),
    ("looking-belt", "begun", "tension-belt-final", ""),
    ("section", "begun", "fit-disc-3", "p"),
    ("steps", "begun", "", "l"),
    ("find", "begun", "", "l/pinch\n"),
    ("more", "begun", "", "ym"),
    ("hand-over", "begun", "", "mh"),
    ("look-again", "whole", "", ""),
    ("looking-back", "whole", "", "w<"),
    ("two-people", "begun", "", "ymb21\n"),
    ("record", "whole", "", "wr"),
    ("opened", "whole", "", "wr\n"),
];

fn app(home: &std::path::Path, build: &str, size: (u16, u16), theme: Theme) -> App<'static> {
    let mut app = App::new(Store::locate(Some(home)).unwrap(), &OneModule, theme);
    app.by = Some("ak".into());
    app.update(&Event::Resize(size.0, size.1));
    if !build.is_empty() {
        app.open_build(build);
    }
    app
}

fn press(app: &mut App<'_>, keys: &str) {
    for c in keys.chars() {
        let code = match c {
            '\n' => KeyCode::Enter,
            '<' => KeyCode::Left,
            c => KeyCode::Char(c),
        };
        app.update(&Event::Key(KeyEvent::new(code, KeyModifiers::NONE)));
    }
}

fn drawn(app: &App<'_>) -> Buffer {
    let mut terminal = Terminal::new(TestBackend::new(app.size.0, app.size.1)).unwrap();
    terminal.draw(|frame| draw(app, frame)).unwrap();
    terminal.backend().buffer().clone()
}

fn words(buffer: &Buffer) -> String {
    let row = |y| (0..buffer.area.width).map(|x| buffer[(x, y)].symbol().to_owned()).collect::<String>();
    (0..buffer.area.height).map(|y| format!("{}\n", row(y).trim_end())).collect()
}

fn style(cell: &Cell) -> String {
    let mut words = Vec::new();
    for (name, modifier) in [
        ("bold", Modifier::BOLD),
        ("underlined", Modifier::UNDERLINED),
        ("reversed", Modifier::REVERSED),
        ("struck", Modifier::CROSSED_OUT),
    ] {
        if cell.modifier.contains(modifier) {
            words.push(name.to_owned());
        }
    }
    if cell.fg != Color::Reset {
        words.push(format!("{:?}", cell.fg).to_lowercase());
    }
    words.join(" ")
}

/// Which columns of which row have which style; blanks without reverse or underline are left out.
fn styles(buffer: &Buffer) -> String {
    let mut out = String::new();
    for y in 0..buffer.area.height {
        let mut x = 0;
        while x < buffer.area.width {
            let this = style(&buffer[(x, y)]);
            let mut end = x + 1;
            while end < buffer.area.width && style(&buffer[(end, y)]) == this {
                end += 1;
            }
            if !this.is_empty() {
                writeln!(out, "{y}: {x}..{end} {this}").unwrap();
            }
            x = end;
        }
    }
    out
}

#[test]
fn every_screen_at_every_size() {
    for (name, build, step, keys) in SHOTS {
        for size in SIZES {
            let home = home();
            let take = |theme| {
                let mut app = app(home.path(), build, size, theme);
                if !step.is_empty() {
                    app.show(step.to_owned());
                }
                press(&mut app, keys);
                drawn(&app)
            };
            let coloured = take(Theme::coloured());
            let snapshot = format!("{}---\n{}", words(&coloured), styles(&coloured));
            insta::assert_snapshot!(format!("{name}-{}x{}", size.0, size.1), snapshot);
        }
    }
}

/// Without colour the words are the same, nothing has a colour, and what stood out still stands out.
#[test]
fn without_colour_everything_is_still_told() {
    for (name, build, step, keys) in SHOTS {
        let take = |theme| {
            let home = home();
            let mut app = app(home.path(), build, (80, 24), theme);
            if !step.is_empty() {
                app.show(step.to_owned());
            }
            press(&mut app, keys);
            drawn(&app)
        };
        let (coloured, plain) = (take(Theme::coloured()), take(Theme::plain()));
        assert_eq!(words(&coloured), words(&plain), "{name}");
        for (a, b) in coloured.content().iter().zip(plain.content()) {
            assert_eq!((b.fg, b.bg), (Color::Reset, Color::Reset), "{name}");
            assert_eq!(a.modifier, b.modifier, "{name}");
        }
    }
}
