//! `new`: asks what a builder knows of a new module, and writes a spec that adds up.

use std::fs::OpenOptions;
use std::io::{BufRead, IsTerminal, Write};
use std::path::{Component, Path, PathBuf};

use clap::{Arg, ArgMatches, Args, FromArgMatches};
use serde_json::json;

use crate::module::{self, printable};
use crate::procedure::lay_out::{Answers, Laid, NotSo, QUESTIONS, Question, lay_out};

use super::{Answer, Asked, Failure, one_line, out, print, typed};

/// A new module's spec.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  runtrue new --no-ask
  runtrue new --no-ask --name bean-mill --shaft \"30 mm\" --discs 3 --torque \"8 N·m\" -o bean-mill.yaml
  runtrue new --no-ask --name sorter --discs 0 --family procedures/modules/family.yaml -o procedures/modules/sorter.yaml")]
pub struct New {
    #[command(flatten)]
    given: Given,
    /// Ask nothing: flags, and defaults for the rest
    #[arg(long)]
    no_ask: bool,
    /// Write a short spec that builds on this family
    #[arg(long, value_name = "FILE")]
    family: Option<String>,
    /// Write it to this file, which must not be there yet; else it is printed
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Answers given as flags: one flag a question.
#[derive(Debug)]
struct Given(Vec<(&'static str, String)>);

impl Args for Given {
    fn augment_args(command: clap::Command) -> clap::Command {
        let flag = |q: &'static Question| {
            let help = format!("{} ({}) [default: {}]", q.asks, q.range, q.default);
            Arg::new(q.flag).long(q.flag).value_name("ANSWER").help(help)
        };
        QUESTIONS.iter().fold(command, |command, q| command.arg(flag(q)))
    }

    fn augment_args_for_update(command: clap::Command) -> clap::Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Given {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let given = |q: &'static Question| Some((q.flag, matches.get_one::<String>(q.flag)?.clone()));
        Ok(Self(QUESTIONS.iter().filter_map(given).collect()))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

impl New {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        if let Some(file) = self.output.as_deref().filter(|f| f.symlink_metadata().is_ok()) {
            return Err(Failure::new(format!("{} is there already; name another file", file.display())));
        }
        let family = self.family.as_deref().map(|f| self.on_family(f)).transpose()?;
        let answers = self.answers()?;
        let laid = match lay_out(&answers, family.as_ref().map(|(name, tree)| (name.as_str(), tree))) {
            Ok(laid) => laid,
            Err(not) => return Ok(refused(&answers, &not, asked)),
        };
        if let Some(file) = &self.output {
            write(file, &laid.text)?;
            if let Err(problems) = module::open(&file.to_string_lossy()) {
                let _ = std::fs::remove_file(file);
                return Err(Failure { reason: problems.to_string(), report: problems.report(), entry: false });
            }
        }
        self.tell(&answers, &laid, asked);
        Ok(Answer::Yes)
    }

    /// The family's name as the new spec calls it, and its tree.
    fn on_family(&self, file: &str) -> Result<(String, module::Node), Failure> {
        let told = |p: module::Problems| Failure { reason: p.to_string(), report: p.report(), entry: false };
        let tree = module::family(file).map_err(told)?;
        let folder = self.output.as_deref().and_then(Path::parent).filter(|f| !f.as_os_str().is_empty());
        Ok((relative(folder.unwrap_or_else(|| Path::new(".")), Path::new(file))?, tree))
    }

    fn answers(&self) -> Result<Answers, Failure> {
        let mut answers = Answers::default();
        let Given(given) = &self.given;
        for (flag, words) in given {
            let question = QUESTIONS.iter().find(|q| q.flag == *flag);
            let taken = question.map_or(Ok(()), |q| q.take(&mut answers, &typed(words), false));
            taken.map_err(|why| Failure::new(format!("--{flag}: {why}")))?;
        }
        if self.no_ask || !std::io::stdin().is_terminal() {
            return Ok(answers);
        }
        let open: Vec<&Question> = QUESTIONS.iter().filter(|q| !given.iter().any(|(f, _)| *f == q.flag)).collect();
        let mut lines = std::io::stdin().lock().lines();
        for (n, question) in (1..).zip(&open) {
            // On a plain shaft nothing is asked of discs.
            if answers.plain() && ["diameter", "thickness", "holes", "discs-stand"].contains(&question.flag) {
                continue;
            }
            say(&format!("\n{n} of {}  {}\n        {}\n", open.len(), question.asks, question.range));
            loop {
                say(&format!("        Enter for {}: ", question.default));
                let Some(Ok(line)) = lines.next() else {
                    return Err(Failure::new("no answer came; nothing is written"));
                };
                let words = if line.trim().is_empty() { question.default } else { line.trim() };
                match question.take(&mut answers, words, true) {
                    Ok(()) => break,
                    Err(why) => say(&format!("        {}\n", one_line(&why))),
                }
            }
        }
        say("\n");
        Ok(answers)
    }

    fn tell(&self, answers: &Answers, laid: &Laid, asked: &Asked) {
        let changed = || laid.changed.iter().map(|(field, value)| json!({ "field": field, "value": value }));
        if asked.json {
            let file = self.output.as_ref().map(|f| f.to_string_lossy());
            let changed: Vec<_> = changed().collect();
            print(&json!({ "module": answers.name, "ok": true, "file": file, "spec": laid.text, "changed": changed }));
            return;
        }
        match &self.output {
            None => out(&laid.text),
            Some(file) => {
                let file = one_line(&file.to_string_lossy());
                out(&format!("Written to {file}. By the figures it adds up in every setup."));
                for (field, value) in &laid.changed {
                    out(&format!("  {field}: {value}, as the design check asked"));
                }
                out(&format!("Read it through, put your own parts and people in, and ask again: runtrue check {file}"));
            }
        }
    }
}

/// What does not add up: told, nothing written.
fn refused(answers: &Answers, not: &NotSo, asked: &Asked) -> Answer {
    let instead = || not.instead.iter();
    if asked.json {
        let list: Vec<_> = instead().map(|(flag, value)| json!({ "answer": flag, "value": value })).collect();
        print(
            &json!({ "module": answers.name, "ok": false, "answer": not.answer, "reason": not.why, "instead": list }),
        );
    }
    let mut words = format!("--{}: {}.\n", not.answer, not.why);
    for (flag, value) in instead() {
        words.push_str(&format!("Would do, all else as it is: --{flag} \"{value}\"\n"));
    }
    words.push_str("Nothing is written.");
    eprintln!("{}", printable(&words));
    Answer::No
}

/// Writes a file that is not there yet, and leaves none that is not whole.
fn write(file: &Path, text: &str) -> Result<(), Failure> {
    let shown = file.display();
    let cannot = |e: std::io::Error| Failure::new(format!("{shown} cannot be written: {e}"));
    let mut there = OpenOptions::new().write(true).create_new(true).open(file).map_err(cannot)?;
    let written = there.write_all(text.as_bytes()).and_then(|()| there.sync_all());
    written.map_err(|e| {
        let _ = std::fs::remove_file(file);
        cannot(e)
    })
}

/// The way from a folder to a file, as a spec writes it.
fn relative(folder: &Path, file: &Path) -> Result<String, Failure> {
    let whole = |p: &Path| p.canonicalize().map_err(|e| Failure::new(format!("{} cannot be found: {e}", p.display())));
    let (folder, file) = (whole(folder)?, whole(file)?);
    let both = folder.components().zip(file.components()).take_while(|(a, b)| a == b).count();
    let up = folder.components().skip(both).map(|_| "..".to_owned());
    let down = file.components().skip(both).filter_map(|c| match c {
        Component::Normal(name) => Some(name.to_string_lossy().into_owned()),
        _ => None,
    });
    Ok(up.chain(down).collect::<Vec<_>>().join("/"))
}

/// Questions go to standard error, so that the spec alone goes to standard output.
fn say(words: &str) {
    let mut stderr = std::io::stderr().lock();
    let _ = stderr.write_all(words.as_bytes()).and_then(|()| stderr.flush());
}
