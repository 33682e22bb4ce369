//! The command line: one file a command, text for people, JSON for programs.

mod check;
mod load;
mod plan;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use serde_json::{Value, json};

/// Guide for building a rotating module, from the spec to the record.
#[derive(Debug, Parser)]
#[command(name = "runtrue", version, about, long_about = None)]
struct Arguments {
    /// Folder of the records (else $RUNTRUE_HOME, else the platform's data folder)
    #[arg(long, global = true, value_name = "DIR")]
    home: Option<PathBuf>,
    /// Print JSON
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Does the design add up: findings and figures of every setup
    Check(check::Check),
    /// The order of work, step by step
    Plan(plan::Plan),
}

/// What a command was asked for beside its own words.
#[derive(Debug, Clone)]
struct Asked {
    json: bool,
}

/// Answered, or answered "no".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Answer {
    Yes,
    No,
}

/// Wrong use, unreadable input, or the machine refused.
#[derive(Debug, Clone)]
struct Failure {
    reason: String,
    report: String,
}

impl Failure {
    fn new(reason: impl Into<String>) -> Self {
        let reason = reason.into();
        Self {
            report: format!("Error: {reason}"),
            reason,
        }
    }
}

/// Reads the arguments and runs the command.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let code = if error.use_stderr() { 2 } else { 0 };
            // Nothing can be done if the terminal is gone.
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let asked = Asked {
        json: arguments.json,
    };
    let answer = match arguments.command {
        Some(command) => command.run(&asked),
        None => Err(Failure::new("the bench is not here yet")),
    };
    match answer {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Err(failure) => {
            if asked.json {
                print(&json!({ "reason": failure.reason }));
            }
            eprintln!("{}", failure.report.trim_end());
            ExitCode::from(2)
        }
    }
}

impl Command {
    fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        match self {
            Self::Check(c) => c.run(asked),
            Self::Plan(c) => c.run(asked),
        }
    }
}

fn print(value: &Value) {
    out(&value.to_string());
}

/// Prints a line to standard output; a closed pipe ends the print, not the program.
fn out(text: &str) {
    use std::io::Write;
    let mut stdout = std::io::stdout().lock();
    let _ = writeln!(stdout, "{}", text.trim_end_matches('\n'));
}
