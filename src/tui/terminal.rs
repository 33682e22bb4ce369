//! The terminal is taken and always given back: on leaving, on a panic, on signals.

use std::io::{IsTerminal, Stdout, stdout};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread::{self, ThreadId};
use std::time::Duration;

use crossterm::cursor::Show;
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::execute;
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;

use super::theme::Theme;

/// The terminal of the guide.
pub type Screen = Terminal<CrosstermBackend<Stdout>>;

/// Gives the terminal back when dropped.
pub struct Guard {
    /// What is drawn on.
    pub screen: Screen,
}

impl Guard {
    /// Takes the terminal: raw mode, the other screen, pastes as one event.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn take() -> std::io::Result<Self> {
        restore_on_panic(thread::current().id());
        enable_raw_mode()?;
        execute!(stdout(), EnterAlternateScreen, EnableBracketedPaste)?;
        Ok(Self { screen: Terminal::new(CrosstermBackend::new(stdout()))? })
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        restore();
    }
}

/// Puts everything back. Each part is tried, whatever the others say.
pub fn restore() {
    let _ = execute!(stdout(), DisableBracketedPaste, LeaveAlternateScreen, Show);
    let _ = disable_raw_mode();
}

/// A panic on the drawing thread gives the terminal back first, so that its message can be read.
fn restore_on_panic(drawing: ThreadId) {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        if thread::current().id() == drawing {
            restore();
        }
        before(info);
    }));
}

/// Signals that ask the program to end.
#[derive(Debug, Clone)]
pub struct Signals(Arc<AtomicUsize>);

impl Signals {
    /// Listens for TERM, HUP and INT.
    ///
    /// # Errors
    /// What the system says.
    pub fn listen() -> std::io::Result<Self> {
        let flag = Arc::new(AtomicUsize::new(0));
        for signal in [signal_hook::consts::SIGTERM, signal_hook::consts::SIGINT, signal_hook::consts::SIGHUP] {
            signal_hook::flag::register_usize(signal, Arc::clone(&flag), signal as usize)?;
        }
        Ok(Self(flag))
    }

    /// The signal that came, if one did.
    #[must_use]
    pub fn came(&self) -> Option<i32> {
        i32::try_from(self.0.load(Ordering::Relaxed)).ok().filter(|s| *s != 0)
    }
}

/// Watches for a terminal that is gone, and for signals the drawing loop does not get to.
///
/// The library that reads keys never returns from a terminal that was closed (it reads nothing, for ever), so the loop
/// cannot look for itself. Every entry is on disk before the screen says so; ending here loses nothing.
pub struct Watch(Arc<AtomicBool>);

/// How often the watch looks. A signal gets one look of grace, so that the loop can end in its own way.
const LOOK: Duration = Duration::from_secs(1);

impl Watch {
    /// Starts watching.
    #[must_use]
    pub fn start(signals: Signals) -> Self {
        let over = Arc::new(AtomicBool::new(false));
        let seen = Arc::clone(&over);
        thread::spawn(move || {
            let mut late = None;
            while !seen.load(Ordering::Relaxed) {
                thread::park_timeout(LOOK);
                let gone = (!std::io::stdin().is_terminal()).then_some(signal_hook::consts::SIGHUP);
                let signal = signals.came();
                if let Some(end) = gone.or(late)
                    && !seen.load(Ordering::Relaxed)
                {
                    restore();
                    let _ = signal_hook::low_level::emulate_default_handler(end);
                }
                late = signal;
            }
        });
        Self(over)
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// The theme the environment asks for. The library drops bold and reverse under `NO_COLOR`, so it is told to send
/// what the plain theme asks for, which holds no colour.
#[must_use]
pub fn theme() -> Theme {
    if std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty()) {
        crossterm::style::force_color_output(true);
        Theme::plain()
    } else {
        Theme::coloured()
    }
}
