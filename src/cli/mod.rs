//! The command line: one file a command, text for people, JSON for programs.

mod asking;
mod builds;
mod calc;
mod change;
mod check;
mod compare;
mod csv;
mod due;
mod export;
mod guide;
#[cfg(test)]
mod hostile_tests;
mod instruments;
mod kit;
mod leaving;
mod load;
mod look;
mod new;
mod parcel;
mod parts;
mod plan;
mod progress;
mod recompute;
mod record;
mod refused;
mod review;
mod schema;
mod shell;
mod sign;
mod trial;
mod usage;
mod verify;
mod visit;

pub use guide::Embedded;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use serde_json::{Value, json};

use crate::module::{one_line, printable};

/// Guide for building a rotating module, from the spec to the record.
#[derive(Debug, Default, Parser)]
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
    /// What to order, to pack and to check when it comes
    Kit(kit::Pack),
    /// A new module's spec, from a few questions
    New(new::New),
    /// JSON Schema of a spec or a family, for editors
    Schema(schema::Schema),
    /// What another setup, a replaced part or a corrected step means; begins it only when asked
    Change(change::Change),
    /// What is to be looked at again, when and why
    Due(due::Due),
    /// Note how long a module has run
    Hours(due::Hours),
    /// Look again at what has settled on a module that has run
    Visit(visit::Visit),
    /// What joints lost from visit to visit
    Trend(visit::Trend),
    /// Start a build and open the guide
    Build(record::Build),
    /// Go on with a build
    Resume(guide::Resume),
    /// The steps that may be done now
    Next(look::Next),
    /// Enter a value for a check
    Enter(record::Enter),
    /// Release a hold point
    Release(record::ReleaseStep),
    /// Keep a note with a step
    Note(record::Note),
    /// Keep a speed trial of the setup in hand
    Trial(Box<trial::Trial>),
    /// Runs and setups side by side
    Trials(trial::Trials),
    /// Adopt the setup in hand, with the reason
    Adopt(trial::Adopt),
    /// Close the record
    Finish(record::Finish),
    /// Open a closed record again
    Reopen(record::Reopen),
    /// All builds
    Builds(builds::Builds),
    /// A record, to read
    Review(review::Review),
    /// Is the record as it was written
    Verify(verify::Verify),
    /// Sign a closed record with an OpenSSH key
    Sign(sign::Sign),
    /// A record, to print or pass on
    Export(export::Export),
    /// The same checks across builds of one module
    Compare(compare::Compare),
    /// A traveler to fill by hand
    Blank(export::Blank),
    /// What is known of each part, and where it sat
    Parts(parts::Parts),
    /// Note lot, serial number, mark … of a part
    Part(parts::Part),
    /// Measuring instruments and what was read with them
    Instruments(instruments::Instruments),
    /// The bench calculator
    Calc(calc::Calc),
    /// Completion script for a shell
    Completions(shell::Completions),
    /// Manual pages
    Man(shell::Man),
}

/// What a command was asked for beside its own words.
#[derive(Debug, Clone)]
struct Asked {
    json: bool,
    home: Option<PathBuf>,
}

impl Asked {
    fn store(&self) -> Result<crate::traveler::Store, Failure> {
        Ok(crate::traveler::Store::locate(self.home.as_deref())?)
    }
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
    /// An entry that was not recorded; said so in JSON.
    entry: bool,
}

impl Failure {
    fn new(reason: impl Into<String>) -> Self {
        let reason = reason.into();
        Self { report: format!("Error: {reason}"), reason, entry: false }
    }
}

/// Stands for a hyphen while the arguments are read, so that "-5 °C" and "-A7" are values and no options. A minus that
/// nobody types: the joiner after it cannot be seen, should it ever come up in a message.
const MINUS: &str = "\u{2212}\u{2060}";

/// Puts another minus before values such as "-5 °C"; `typed` puts it back. This program's only short options are the two
/// that ask for help and version, and the one that names a file to `new`.
fn negatives_as_values(arguments: impl Iterator<Item = OsString>) -> Vec<OsString> {
    let is_value = |text: &str| text.len() > 1 && text.starts_with('-') && !text.starts_with("--");
    let arguments: Vec<OsString> = arguments.collect();
    let new = arguments.iter().any(|a| a == "new");
    let option = |text: &str| ["-h", "-V"].contains(&text) || (new && text == "-o");
    let other = |argument: OsString| match argument.to_str() {
        Some(text) if is_value(text) && !option(text) => text.replacen('-', MINUS, 1).into(),
        _ => argument,
    };
    arguments.into_iter().map(other).collect()
}

/// A value as it was typed.
fn typed(value: &str) -> String {
    match value.strip_prefix(MINUS) {
        Some(rest) => format!("-{rest}"),
        None => value.to_owned(),
    }
}

/// For arguments that hold people's words: kept as they were typed.
#[allow(clippy::unnecessary_wraps, reason = "the form that the argument parser asks for")]
fn as_typed(value: &str) -> Result<String, std::convert::Infallible> {
    Ok(typed(value))
}

/// The arguments. Where there are none the parser is not built: it takes as long as all else up to the guide's first frame.
fn arguments() -> Result<Arguments, clap::Error> {
    if std::env::args_os().len() <= 1 {
        return Ok(Arguments::default());
    }
    Arguments::try_parse_from(negatives_as_values(std::env::args_os()))
}

/// Reads the arguments and runs the command.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = match arguments() {
        Ok(arguments) => arguments,
        Err(error) => return usage::explain(&error),
    };
    let asked = Asked { json: arguments.json, home: arguments.home };
    let answer = match arguments.command {
        Some(command) => {
            let ready = crate::standards::ready().map_err(|fault| Failure::new(fault.to_string()));
            ready.and_then(|()| command.run(&asked))
        }
        // The guide asks itself, behind its first frame.
        None => guide::open(&asked, &crate::tui::Opening::Bench, None),
    };
    match answer {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Err(failure) => {
            if asked.json {
                let reason = json!({ "reason": failure.reason });
                print(&if failure.entry { json!({ "recorded": false, "reason": failure.reason }) } else { reason });
            }
            eprintln!("{}", printable(failure.report.trim_end()));
            ExitCode::from(2)
        }
    }
}

impl Command {
    fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        match self {
            Self::Check(c) => c.run(asked),
            Self::Plan(c) => c.run(asked),
            Self::Kit(c) => c.run(asked),
            Self::New(c) => c.run(asked),
            Self::Schema(c) => c.run(asked),
            Self::Change(c) => c.run(asked),
            Self::Due(c) => c.run(asked),
            Self::Hours(c) => c.run(asked),
            Self::Visit(c) => c.run(asked),
            Self::Trend(c) => c.run(asked),
            Self::Build(c) => c.run(asked),
            Self::Resume(c) => c.run(asked),
            Self::Next(c) => c.run(asked),
            Self::Enter(c) => c.run(asked),
            Self::Release(c) => c.run(asked),
            Self::Note(c) => c.run(asked),
            Self::Trial(c) => c.run(asked),
            Self::Trials(c) => c.run(asked),
            Self::Adopt(c) => c.run(asked),
            Self::Finish(c) => c.run(asked),
            Self::Reopen(c) => c.run(asked),
            Self::Builds(c) => c.run(asked),
            Self::Review(c) => c.run(asked),
            Self::Verify(c) => c.run(asked),
            Self::Sign(c) => c.run(asked),
            Self::Export(c) => c.run(asked),
            Self::Compare(c) => c.run(asked),
            Self::Blank(c) => c.run(asked),
            Self::Parts(c) => c.run(asked),
            Self::Part(c) => c.run(asked),
            Self::Instruments(c) => c.run(asked),
            Self::Calc(c) => c.run(asked),
            Self::Completions(c) => c.run(asked),
            Self::Man(c) => c.run(asked),
        }
    }
}

fn print(value: &Value) {
    write_line(&escaped(&value.to_string()));
}

/// JSON with every code that a terminal could obey written as an escape; the value stays the same.
fn escaped(json: &str) -> String {
    json.chars()
        .map(|c| {
            if printable(c.encode_utf8(&mut [0; 4])).starts_with(c) {
                c.to_string()
            } else {
                format!("\\u{:04x}", u32::from(c))
            }
        })
        .collect()
}

/// Prints text for people, control codes made visible.
fn out(text: &str) {
    write_line(&printable(text.trim_end_matches('\n')));
}

/// Writes a line to standard output; a closed pipe ends the print, not the program.
fn write_line(text: &str) {
    use std::io::Write;
    let mut stdout = std::io::stdout().lock();
    let _ = writeln!(stdout, "{text}");
}
