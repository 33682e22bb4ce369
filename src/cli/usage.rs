//! Wrong use of the command line: what was wrong, what there is, and an example that works.

use std::process::ExitCode;

use clap::CommandFactory;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use serde_json::json;

use super::{Arguments, print};

/// Prints help, version or what was wrong, and gives the exit code.
pub fn explain(error: &clap::Error) -> ExitCode {
    // Nothing can be done if the terminal is gone.
    let _ = error.print();
    if !error.use_stderr() {
        return ExitCode::SUCCESS;
    }
    let words: Vec<String> = std::env::args().skip(1).collect();
    let command = deepest(&words);
    match error.kind() {
        // The help that was printed ends in the example.
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {}
        ErrorKind::InvalidSubcommand => eprintln!("\n{}{}", topics(&command), example(&command)),
        _ => eprintln!("\n{}", example(&command)),
    }
    if words.iter().any(|w| w == "--json") {
        print(&json!({ "reason": reason(error) }));
    }
    ExitCode::from(2)
}

/// The first lines of the message, up to the usage, as one; and the word that was probably meant.
fn reason(error: &clap::Error) -> String {
    let text = error.to_string();
    let said = text.split("\n\n").next().unwrap_or_default();
    let said = said.trim_start_matches("error: ").split_whitespace().collect::<Vec<_>>().join(" ");
    said + &meant(error).map_or_else(String::new, |word| format!(". Did you mean \"{word}\"?"))
}

/// The nearest of the words that are known, where the parser of arguments found any.
fn meant(error: &clap::Error) -> Option<String> {
    let kinds = [ContextKind::SuggestedSubcommand, ContextKind::SuggestedArg, ContextKind::SuggestedValue];
    kinds.into_iter().find_map(|kind| match error.get(kind)? {
        ContextValue::String(word) => Some(word.clone()),
        // The nearest stands last.
        ContextValue::Strings(words) => words.last().cloned(),
        _ => None,
    })
}

/// The deepest command that the words name.
fn deepest(words: &[String]) -> clap::Command {
    let mut command = Arguments::command();
    for word in words {
        if let Some(inner) = command.find_subcommand(word).cloned() {
            command = inner;
        }
    }
    command
}

/// What may follow a command, one a line with what it is.
fn topics(command: &clap::Command) -> String {
    let line = |c: &clap::Command| {
        let about = c.get_about().map(ToString::to_string).unwrap_or_default();
        format!("  {:<14} {about}\n", c.get_name())
    };
    let lines: String = command.get_subcommands().filter(|c| c.get_name() != "help").map(line).collect();
    format!("There are:\n{lines}\n")
}

/// The working example of a command.
fn example(command: &clap::Command) -> String {
    command.get_after_help().map(ToString::to_string).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn each(command: &clap::Command, path: &str, see: &mut dyn FnMut(&clap::Command, &str)) {
        for inner in command.get_subcommands().filter(|c| c.get_name() != "help") {
            let path = format!("{path} {}", inner.get_name());
            see(inner, &path);
            each(inner, &path, see);
        }
    }

    /// Every topic of the calculator has an example that names it; the whole-program tests run them.
    #[test]
    fn every_calculation_has_an_example() {
        let arguments = Arguments::command();
        let calc = arguments.find_subcommand("calc").unwrap();
        each(calc, "calc", &mut |command, path| {
            assert!(example(command).contains(&format!("runtrue {path}")), "{path} has no example");
        });
    }

    #[test]
    fn the_deepest_command_is_the_one_meant() {
        let words = ["calc", "balance", "vector", "--trial", "10 g@0"].map(str::to_owned);
        assert_eq!(deepest(&words).get_name(), "vector");
        assert!(topics(&deepest(&words[..2])).contains("four-run"));
    }
}
