//! `completions` and `man`: what a shell and a manual reader need, made from the command line itself.

use std::path::{Path, PathBuf};

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Answer, Arguments, Asked, Failure, out};

/// Completion script for a shell.
#[derive(Debug, Args)]
#[command(after_help = "Example: runtrue completions bash > ~/.local/share/bash-completion/completions/runtrue")]
pub struct Completions {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

impl Completions {
    pub fn run(self, _: &Asked) -> Result<Answer, Failure> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "runtrue", &mut script);
        write(&script)
    }
}

/// Manual pages.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue man | man -l -\n  runtrue man --into ~/.local/share/man/man1")]
pub struct Man {
    /// Write one page for each command into this folder
    #[arg(long, value_name = "DIR")]
    into: Option<PathBuf>,
}

impl Man {
    pub fn run(self, _: &Asked) -> Result<Answer, Failure> {
        match self.into {
            None => {
                let mut page = Vec::new();
                clap_mangen::Man::new(Arguments::command())
                    .render(&mut page)
                    .map_err(|e| Failure::new(format!("the manual page: {e}")))?;
                write(&page)
            }
            Some(folder) => pages(&folder),
        }
    }
}

fn pages(folder: &Path) -> Result<Answer, Failure> {
    let shown = folder.display();
    if !folder.is_dir() {
        return Err(Failure::new(format!("{shown} is no folder; make it first, then ask again")));
    }
    clap_mangen::generate_to(Arguments::command(), folder)
        .map_err(|e| Failure::new(format!("the manual pages in {shown}: {e}")))?;
    out(&format!("Manual pages written to {shown}."));
    Ok(Answer::Yes)
}

/// Bytes as they are: a closed pipe ends the print, not the program.
fn write(bytes: &[u8]) -> Result<Answer, Failure> {
    use std::io::Write;
    let _ = std::io::stdout().lock().write_all(bytes);
    Ok(Answer::Yes)
}
