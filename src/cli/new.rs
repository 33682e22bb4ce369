//! `new`: asks what a builder knows of a new module, and writes a spec that adds up.

use std::fs::OpenOptions;
use std::io::{IsTerminal, Write};
use std::path::{Component, Path, PathBuf};

use clap::{Arg, ArgMatches, Args, FromArgMatches};
use serde_json::json;

use crate::module::{self, printable};
use crate::procedure::lay_out::{Answers, Laid, NotSo, QUESTIONS, Question, lay_out, question};

use super::asking::{Asking, NONE_ALONE, say};
use super::{Answer, Asked, Failure, one_line, out, print, progress, typed};

/// A new module's spec.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  runtrue new
  runtrue new --no-ask > rotor.yaml
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
    /// Write it to this file, which must not be there yet. Else it is printed; on a terminal it is asked for, NAME.yaml without
    /// questions. "-" prints it always
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
        let mut asking = Asking::new(!self.no_ask && std::io::stdin().is_terminal());
        let to = self.output.as_deref().filter(|f| f.as_os_str() != "-");
        if let Some(file) = to.filter(|f| f.symlink_metadata().is_ok()) {
            return Err(there(file));
        }
        // A family that does not read is told before anything is asked.
        self.family.as_deref().map(|f| on_family(f, None)).transpose()?;
        let mut answers = self.answers(&mut asking)?;
        // On paper or a pipe a spec is printed; on a screen it would only scroll by.
        let kept = self.output.is_none() && !asked.json && std::io::stdout().is_terminal();
        let mut file = match to {
            None if kept => Some(asking.file(&answers.name)?),
            to => to.map(Path::to_owned),
        };
        let laid = loop {
            let family = self.family.as_deref().map(|f| on_family(f, file.as_deref())).transpose()?;
            let shared = family.as_ref().map(|(name, tree)| (name.as_str(), tree));
            match progress::timed("Laying out and checking", || lay_out(&answers, shared)) {
                Ok(laid) => break laid,
                Err(not) if asking.asks && !asked.json && question(not.answer).is_some() => {
                    asking.otherwise(&mut answers, &not)?
                }
                Err(not) => return Ok(refused(&answers, &not, asked)),
            }
        };
        while let Some(to) = &file {
            match written(to, &laid.text) {
                Err(failure) if kept && asking.asks => {
                    say(&format!("        {}\n", one_line(&failure.reason)));
                    file = Some(asking.file(&answers.name)?);
                }
                done => {
                    done?;
                    break;
                }
            }
        }
        tell(&answers, &laid, file.as_deref(), asked);
        if file.is_none() && asking.asks {
            say("It adds up in every setup, and went to standard output; with -o FILE it is written to a file.\n");
        }
        Ok(Answer::Yes)
    }

    /// What was given as flags, then what is asked.
    fn answers(&self, asking: &mut Asking) -> Result<Answers, Failure> {
        let mut answers = Answers::default();
        let Given(given) = &self.given;
        for (flag, words) in given {
            let words = typed(words);
            let taken = question(flag).map_or(Ok(()), |q| q.take(&mut answers, &words, false));
            taken.map_err(|why| Failure::new(format!("--{flag}: {why}")))?;
            asking.said.push((*flag, words));
        }
        if asking.asks {
            let open: Vec<&Question> = QUESTIONS.iter().filter(|q| !given.iter().any(|(f, _)| *f == q.flag)).collect();
            asking.all(&open, &mut answers)?;
        }
        Ok(answers)
    }
}

/// The family's name as the new spec calls it, and its tree.
fn on_family(family: &str, file: Option<&Path>) -> Result<(String, module::Node), Failure> {
    let told = |p: module::Problems| Failure { reason: p.to_string(), report: p.report(), entry: false };
    let tree = module::family(family).map_err(told)?;
    let folder = file.and_then(Path::parent).filter(|f| !f.as_os_str().is_empty());
    Ok((relative(folder.unwrap_or_else(|| Path::new(".")), Path::new(family))?, tree))
}

fn tell(answers: &Answers, laid: &Laid, file: Option<&Path>, asked: &Asked) {
    let changed = || laid.changed.iter().map(|(field, value)| json!({ "field": field, "value": value }));
    if asked.json {
        let file = file.map(Path::to_string_lossy);
        let changed: Vec<_> = changed().collect();
        print(&json!({ "module": answers.name, "ok": true, "file": file, "spec": laid.text, "changed": changed }));
        return;
    }
    let Some(file) = file else {
        out(&laid.text);
        return;
    };
    let file = one_line(&file.to_string_lossy());
    out(&format!("Written to {file}. By the figures it adds up in every setup."));
    for (field, value) in &laid.changed {
        out(&format!("  {field}: {value}, as the design check asked"));
    }
    out(&format!("Read it through, put your own parts and people in, and ask again: runtrue check {file}"));
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
    if not.instead.is_empty() && not.answer != "family" {
        words.push_str(NONE_ALONE);
        words.push('\n');
    }
    words.push_str("Nothing is written.");
    eprintln!("{}", printable(&words));
    Answer::No
}

/// A file that nothing is written over.
fn there(file: &Path) -> Failure {
    Failure::new(format!("{} is there already; name another file", file.display()))
}

/// Writes the spec, and leaves no file that the program itself does not read.
fn written(file: &Path, text: &str) -> Result<(), Failure> {
    write(file, text)?;
    module::open(&file.to_string_lossy()).map(|_| ()).map_err(|problems| {
        let _ = std::fs::remove_file(file);
        Failure { reason: problems.to_string(), report: problems.report(), entry: false }
    })
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
