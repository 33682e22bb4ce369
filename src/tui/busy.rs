//! Work that takes longer than a moment, like finding the order of a large module: said over the screen while it lasts, with
//! its seconds, so that nobody takes a still screen for a dead one. The work stays on its own thread; another one draws.

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use ratatui::Terminal;
use ratatui::backend::Backend;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Block, Clear, Paragraph, Widget};

/// What is done sooner shows nothing; after that the seconds are counted at this pace.
const MOMENT: Duration = Duration::from_millis(300);

/// Does the work; where it lasts, a small window over what was drawn last says so.
pub fn while_working<B: Backend + Send, T>(screen: &mut Terminal<B>, drawn: &Buffer, work: impl FnOnce() -> T) -> T {
    std::thread::scope(|both| {
        let (working, ended) = channel::<()>();
        both.spawn(move || {
            let begun = Instant::now();
            while ended.recv_timeout(MOMENT) == Err(RecvTimeoutError::Timeout) {
                let words = format!(" Working, {} s. Keys wait until it is done. ", begun.elapsed().as_secs());
                // A terminal that is gone ends no work; the next frame tells.
                let _ = screen.draw(|frame| said(drawn, &words, frame.buffer_mut()));
            }
        });
        let done = work();
        drop(working);
        done
    })
}

fn said(drawn: &Buffer, words: &str, buffer: &mut Buffer) {
    if drawn.area == buffer.area {
        buffer.clone_from(drawn);
    }
    let area = buffer.area;
    let width = u16::try_from(words.chars().count() + 2).unwrap_or(area.width).min(area.width);
    let height = area.height.min(3);
    let place = Rect::new((area.width - width) / 2, (area.height - height) / 2, width, height);
    Clear.render(place, buffer);
    Paragraph::new(Line::from(words)).block(Block::bordered()).render(place, buffer);
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use std::sync::mpsc::Sender;

    use ratatui::backend::{ClearType, TestBackend, WindowSize};
    use ratatui::buffer::Cell;
    use ratatui::layout::{Position, Size};

    use super::*;

    /// Tells of each frame.
    struct Telling(TestBackend, Sender<()>);

    type Answer<T> = Result<T, <TestBackend as Backend>::Error>;

    impl Backend for Telling {
        type Error = <TestBackend as Backend>::Error;

        fn draw<'a, I: Iterator<Item = (u16, u16, &'a Cell)>>(&mut self, content: I) -> Answer<()> {
            self.0.draw(content)
        }
        fn hide_cursor(&mut self) -> Answer<()> {
            self.0.hide_cursor()
        }
        fn show_cursor(&mut self) -> Answer<()> {
            self.0.show_cursor()
        }
        fn get_cursor_position(&mut self) -> Answer<Position> {
            self.0.get_cursor_position()
        }
        fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> Answer<()> {
            self.0.set_cursor_position(position)
        }
        fn clear(&mut self) -> Answer<()> {
            self.0.clear()
        }
        fn clear_region(&mut self, region: ClearType) -> Answer<()> {
            self.0.clear_region(region)
        }
        fn size(&self) -> Answer<Size> {
            self.0.size()
        }
        fn window_size(&mut self) -> Answer<WindowSize> {
            self.0.window_size()
        }
        fn flush(&mut self) -> Answer<()> {
            let _ = self.1.send(());
            self.0.flush()
        }
    }

    #[test]
    fn long_work_is_said_over_what_was_drawn() {
        let (send, frames) = channel();
        let mut screen = Terminal::new(Telling(TestBackend::new(80, 24), send)).unwrap();
        let drawn = screen.draw(|f| f.render_widget(Line::from("the bench"), f.area())).unwrap().buffer.clone();
        frames.recv().unwrap();
        // The work ends once a frame has come.
        let done = while_working(&mut screen, &drawn, || frames.recv().map(|()| 7));
        assert_eq!(done, Ok(7));
        let buffer = screen.backend().0.buffer();
        let shown: String = buffer.content().iter().map(ratatui::buffer::Cell::symbol).collect();
        assert!(shown.contains("Working, 0 s") && shown.contains("the bench"), "{shown}");
    }
}
