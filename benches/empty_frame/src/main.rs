//! Takes the terminal, draws one empty frame, waits for a key, gives the terminal back.

use std::io::{Result, stdout};

use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};
use ratatui::crossterm::{event, execute};

fn main() -> Result<()> {
    enable_raw_mode()?;
    execute!(stdout(), EnterAlternateScreen)?;
    let mut terminal = Terminal::new(CrosstermBackend::new(stdout()))?;
    terminal.draw(|_| ())?;
    event::read()?;
    execute!(stdout(), LeaveAlternateScreen)?;
    disable_raw_mode()
}
