//! A program in a pseudo-terminal, timed until it has drawn, and looked at while it runs.

use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::time::Instant;

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// What the library sends behind every frame without a cursor.
const DRAWN: &[u8] = b"\x1b[?25l";

/// A program that has drawn its first frame.
pub struct Running {
    child: Box<dyn Child + Send + Sync>,
    reader: Box<dyn Read + Send>,
    writer: Box<dyn Write + Send>,
    // Kept open: closing it hangs the program up.
    _master: Box<dyn MasterPty + Send>,
    /// What was written since the last keys.
    written: Vec<u8>,
    parser: vt100::Parser,
    /// Seconds from the call that starts it to the end of its first frame.
    pub seconds: f64,
}

impl Running {
    pub fn start(program: &Path, arguments: &[&str], home: &Path) -> Self {
        let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.env_clear();
        command.env("RUNTRUE_HOME", home);
        command.env("RUNTRUE_CACHE", home.join("cache"));
        command.env("TERM", "xterm-256color");
        let (reader, writer) = (pair.master.try_clone_reader().unwrap(), pair.master.take_writer().unwrap());
        let begun = Instant::now();
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let parser = vt100::Parser::new(NonZero::new(24).unwrap(), NonZero::new(80).unwrap(), 0);
        let mut running =
            Self { child, reader, writer, _master: pair.master, written: Vec::new(), parser, seconds: 0.0 };
        running.drawn();
        running.seconds = begun.elapsed().as_secs_f64();
        running
    }

    /// Reads until a frame was drawn since the last keys.
    pub fn drawn(&mut self) {
        while !self.written.windows(DRAWN.len()).any(|w| w == DRAWN) {
            self.read();
        }
    }

    /// Reads until the screen says so.
    pub fn until(&mut self, words: &str) {
        while !self.parser.screen().contents().contains(words) {
            self.read();
        }
    }

    fn read(&mut self) {
        let mut buffer = [0; 65536];
        let n = self.reader.read(&mut buffer).unwrap();
        assert!(n > 0, "it ended; its screen is\n{}", self.parser.screen().contents());
        self.written.extend_from_slice(&buffer[..n]);
        self.parser.process(&buffer[..n]);
    }

    pub fn send(&mut self, keys: &str) {
        self.written.clear();
        self.writer.write_all(keys.as_bytes()).unwrap();
        self.writer.flush().unwrap();
    }

    /// The most memory it ever had, in megabytes; none where the system does not tell.
    pub fn peak(&self) -> Option<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.process_id()?)).ok()?;
        let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
        line.trim().strip_suffix(" kB")?.trim().parse::<f64>().ok().map(|kb| kb / 1024.0)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
