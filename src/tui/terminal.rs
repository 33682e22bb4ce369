//! The terminal is taken and always given back: on leaving, on a panic, on signals.

use std::io::{IsTerminal, Stdout, stdout};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread::{self, ThreadId};
use std::time::Duration;

use crossterm::cursor::Show;
use crossterm::event::{
    DisableBracketedPaste, DisableFocusChange, DisableMouseCapture, EnableBracketedPaste, EnableFocusChange,
    EnableMouseCapture,
};
use crossterm::execute;
use crossterm::terminal::{
    Clear, ClearType, EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
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
        occupy()?;
        Ok(Self { screen: Terminal::new(CrosstermBackend::new(stdout()))? })
    }

    /// Gives the terminal back, stops as the shell expects, and takes it again when the shell goes on with it.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn suspend(&mut self) -> std::io::Result<()> {
        restore();
        signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
        self.take_again()
    }

    /// Takes the terminal after something else had it, and forgets what was drawn.
    ///
    /// # Errors
    /// What the terminal says.
    pub fn take_again(&mut self) -> std::io::Result<()> {
        occupy()?;
        // A new one knows of nothing drawn. The library's own clear asks the terminal for its cursor, which not all answer.
        execute!(stdout(), Clear(ClearType::All))?;
        self.screen = Terminal::new(CrosstermBackend::new(stdout()))?;
        Ok(())
    }
}

/// True while the terminal is the guide's: giving it back twice would move the cursor over what was said meanwhile.
static TAKEN: AtomicBool = AtomicBool::new(false);

fn occupy() -> std::io::Result<()> {
    TAKEN.store(true, Ordering::SeqCst);
    enable_raw_mode()?;
    execute!(stdout(), EnterAlternateScreen, EnableBracketedPaste, EnableMouseCapture, EnableFocusChange)
}

impl Drop for Guard {
    fn drop(&mut self) {
        restore();
    }
}

/// Puts everything back. Each part is tried, whatever the others say.
pub fn restore() {
    if !TAKEN.swap(false, Ordering::SeqCst) {
        return;
    }
    let _ =
        execute!(stdout(), DisableFocusChange, DisableMouseCapture, DisableBracketedPaste, LeaveAlternateScreen, Show);
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
pub struct Signals {
    end: Arc<AtomicUsize>,
    stop: Arc<AtomicBool>,
    back: Arc<AtomicBool>,
}

impl Signals {
    /// Listens for TERM, HUP and INT, and for TSTP and CONT.
    ///
    /// # Errors
    /// What the system says.
    pub fn listen() -> std::io::Result<Self> {
        let flag = Arc::new(AtomicUsize::new(0));
        for signal in [signal_hook::consts::SIGTERM, signal_hook::consts::SIGINT, signal_hook::consts::SIGHUP] {
            signal_hook::flag::register_usize(signal, Arc::clone(&flag), signal as usize)?;
        }
        let (stop, back) = (Arc::new(AtomicBool::new(false)), Arc::new(AtomicBool::new(false)));
        signal_hook::flag::register(signal_hook::consts::SIGTSTP, Arc::clone(&stop))?;
        signal_hook::flag::register(signal_hook::consts::SIGCONT, Arc::clone(&back))?;
        Ok(Self { end: flag, stop, back })
    }

    /// The signal that came, if one did.
    #[must_use]
    pub fn came(&self) -> Option<i32> {
        i32::try_from(self.end.load(Ordering::Relaxed)).ok().filter(|s| *s != 0)
    }

    /// True once after another program asked this one to stop for a while.
    #[must_use]
    pub fn asked_to_stop(&self) -> bool {
        self.stop.swap(false, Ordering::Relaxed)
    }

    /// True once after a stop is over, also one that could not be seen coming.
    #[must_use]
    pub fn came_back(&self) -> bool {
        self.back.swap(false, Ordering::Relaxed)
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
