//! The program in a pseudo-terminal: keys in, screen out. Waits for text, never for time.

use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// Generous: only a program that hangs comes near it.
const CEILING: Duration = Duration::from_secs(60);

fn cells(n: u16) -> NonZero<u16> {
    NonZero::new(n).expect("a terminal has cells")
}

/// At most two pseudo-terminals at once: the machine that builds is small.
static SEATS: (Mutex<usize>, Condvar) = (Mutex::new(2), Condvar::new());

/// A place among the pseudo-terminals, free again when dropped.
struct Seat;

impl Seat {
    fn take() -> Self {
        let mut free = SEATS.0.lock().unwrap_or_else(PoisonError::into_inner);
        while *free == 0 {
            free = SEATS.1.wait(free).unwrap_or_else(PoisonError::into_inner);
        }
        *free -= 1;
        Self
    }
}

impl Drop for Seat {
    fn drop(&mut self) {
        *SEATS.0.lock().unwrap_or_else(PoisonError::into_inner) += 1;
        SEATS.1.notify_one();
    }
}

pub struct Terminal {
    child: Box<dyn Child + Send + Sync>,
    // Kept open: closing it hangs the program up.
    master: Box<dyn MasterPty + Send>,
    writer: Box<dyn Write + Send>,
    bytes: Receiver<Vec<u8>>,
    parser: vt100::Parser,
    _seat: Seat,
}

impl Terminal {
    pub fn start(arguments: &[&str], cols: u16, rows: u16, home: &Path) -> Self {
        Self::start_program(Path::new(env!("CARGO_BIN_EXE_runtrue")), arguments, cols, rows, home)
    }

    /// Another program in the pseudo-terminal.
    pub fn start_program(program: &Path, arguments: &[&str], cols: u16, rows: u16, home: &Path) -> Self {
        let seat = Seat::take();
        let size = PtySize { rows, cols, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).expect("a pseudo-terminal");
        let mut command = CommandBuilder::new(program);
        command.env_clear();
        command.env("RUNTRUE_HOME", home);
        command.env("TERM", "xterm-256color");
        command.args(arguments);
        let child = pair.slave.spawn_command(command).expect("the program starts");
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().expect("a reader");
        let writer = pair.master.take_writer().expect("a writer");
        let (sender, bytes) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 65536];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 || sender.send(buffer[..n].to_vec()).is_err() {
                    break;
                }
            }
        });
        let parser = vt100::Parser::new(cells(rows), cells(cols), 0);
        Self { child, master: pair.master, writer, bytes, parser, _seat: seat }
    }

    pub fn send(&mut self, keys: &str) {
        self.writer.write_all(keys.as_bytes()).expect("the program takes keys");
        self.writer.flush().expect("the program takes keys");
    }

    pub fn screen(&self) -> String {
        self.parser.screen().contents()
    }

    /// The vt100 screen, for cursor and modes.
    pub fn parser(&self) -> &vt100::Parser {
        &self.parser
    }

    /// Waits until the screen is as asked; panics with the last screen after the ceiling.
    pub fn wait_until(&mut self, what: &str, is: impl Fn(&str) -> bool) -> String {
        let begun = Instant::now();
        loop {
            let screen = self.screen();
            if is(&screen) {
                return screen;
            }
            let left = CEILING
                .checked_sub(begun.elapsed())
                .unwrap_or_else(|| panic!("waited for {what:?}; the screen is\n{screen}"));
            match self.bytes.recv_timeout(left) {
                Ok(bytes) => self.parser.process(&bytes),
                Err(_) => panic!("waited for {what:?}; the screen is\n{}", self.screen()),
            }
        }
    }

    pub fn wait_for(&mut self, text: &str) -> String {
        self.wait_until(text, |screen| screen.contains(text))
    }

    /// The number behind a text on the screen, as in "Saved, entry 17".
    pub fn number_after(screen: &str, text: &str) -> Option<u64> {
        let rest = screen.split(text).last().filter(|_| screen.contains(text))?;
        rest.trim_start().chars().take_while(char::is_ascii_digit).collect::<String>().parse().ok()
    }

    pub fn process_id(&self) -> u32 {
        self.child.process_id().expect("it runs")
    }

    /// kill -9.
    pub fn kill(&mut self) {
        let done = std::process::Command::new("kill")
            .args(["-9", &self.process_id().to_string()])
            .status()
            .expect("kill runs");
        assert!(done.success());
        self.child.wait().expect("it ended");
    }

    /// Sends a signal and waits for the end; all output is on the screen then.
    pub fn signal(&mut self, name: &str) {
        let done = std::process::Command::new("kill")
            .args([&format!("-{name}"), &self.process_id().to_string()])
            .status()
            .expect("kill runs");
        assert!(done.success());
    }

    /// True where the screen, the cursor and the modes are those of before the program.
    pub fn given_back(&self) -> bool {
        let screen = self.parser.screen();
        let mouse = screen.mouse_protocol_mode() == vt100::MouseProtocolMode::None;
        !screen.alternate_screen() && !screen.hide_cursor() && !screen.bracketed_paste() && mouse && self.line_mode()
    }

    /// True where the terminal collects and echoes lines, as a shell has it.
    fn line_mode(&self) -> bool {
        let Some(tty) = self.master.tty_name() else { return true };
        let said = std::process::Command::new("stty").arg("-F").arg(tty).arg("-a").output().expect("stty runs");
        let said = String::from_utf8_lossy(&said.stdout).into_owned();
        let has = |word: &str| said.split_whitespace().any(|w| w.trim_end_matches(';') == word);
        has("icanon") && has("echo")
    }

    /// Waits until the program is stopped by a signal, as its state in the process table says.
    pub fn stopped(&self) {
        let begun = Instant::now();
        let stat = format!("/proc/{}/stat", self.process_id());
        while !std::fs::read_to_string(&stat).expect("it is there").contains(") T ") {
            assert!(begun.elapsed() < CEILING, "it does not stop");
            std::thread::yield_now();
        }
    }

    /// Waits for the end of the program and reads what is left of its output.
    pub fn ended(&mut self) -> u32 {
        let status = self.child.wait().expect("it ended");
        while let Ok(bytes) = self.bytes.recv_timeout(Duration::from_secs(5)) {
            self.parser.process(&bytes);
        }
        status.exit_code()
    }

    pub fn resize(&mut self, cols: u16, rows: u16) {
        self.master.resize(PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }).expect("resize");
        self.parser.screen_mut().set_size(cells(rows), cells(cols));
    }
}

/// A test that fails leaves no program behind.
impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
