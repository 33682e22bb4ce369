//! The questions of `new` as a person at a terminal meets them: one after the other, again where an answer cannot be, and once more
//! where all of them together do not add up. Whatever ends them, what was answered is not lost.

use std::io::{BufRead, StdinLock, Write};
use std::path::{Path, PathBuf};

use crate::procedure::lay_out::{Answers, NotSo, QUESTIONS, Question, question};

use super::{Failure, one_line};

/// Said where no answer alone is to blame.
pub const NONE_ALONE: &str = "No other value of one answer was found that would do alone; two or more have to change.";

/// A person who is asked, or nobody.
pub struct Asking {
    /// True where somebody can be asked.
    pub asks: bool,
    /// Every answer as it was given: flag and words.
    pub said: Vec<(&'static str, String)>,
    lines: std::io::Lines<StdinLock<'static>>,
}

impl Asking {
    pub fn new(asks: bool) -> Self {
        Self { asks, said: Vec::new(), lines: std::io::stdin().lock().lines() }
    }

    /// Asks each question in turn.
    pub fn all(&mut self, open: &[&'static Question], answers: &mut Answers) -> Result<(), Failure> {
        for (n, question) in (1..).zip(open) {
            if !answers.asks(question.flag) {
                continue;
            }
            self.ask(&format!("{n} of {}  ", open.len()), question, question.default, answers)?;
        }
        say("\n");
        Ok(())
    }

    /// Asks until the answer can be; Enter takes the proposed one.
    fn ask(
        &mut self,
        before: &str,
        question: &'static Question,
        proposed: &str,
        answers: &mut Answers,
    ) -> Result<(), Failure> {
        say(&format!("\n{before}{}\n        {}\n", question.asks, question.range));
        loop {
            let line = self.line(&format!("        Enter for {proposed}: "))?;
            let words = if line.is_empty() { proposed } else { &line };
            match question.take(answers, words, true) {
                Ok(()) => {
                    let unit = words.parse::<f64>().is_ok().then(|| unit_of(question)).flatten();
                    self.keep(question.flag, unit.map_or_else(|| words.to_owned(), |unit| format!("{words} {unit}")));
                    return Ok(());
                }
                Err(why) => say(&format!("        {}\n", one_line(&why))),
            }
        }
    }

    fn keep(&mut self, flag: &'static str, words: String) {
        self.said.retain(|(f, _)| *f != flag);
        self.said.push((flag, words));
    }

    /// Tells why the answers do not add up, and has one of them given otherwise.
    pub fn otherwise(&mut self, answers: &mut Answers, not: &NotSo) -> Result<(), Failure> {
        say(&format!("\nThe answers do not add up: {}.\n", one_line(&not.why)));
        let known: Vec<&str> = QUESTIONS.iter().map(|q| q.flag).collect();
        let (how, proposed) = if not.instead.is_empty() {
            say(&format!("{NONE_ALONE}\n"));
            ("Name of the answer to give otherwise", not.answer)
        } else {
            say("Would do, all else as it is:\n");
            for (n, (flag, value)) in (1..).zip(&not.instead) {
                let asks = question(flag).map_or(*flag, |q| q.asks);
                say(&format!("  {n}  {asks}: {value}   ({flag})\n"));
            }
            ("Number of what is taken, or the name of an answer to give otherwise", "1")
        };
        loop {
            let line = self.line(&format!("{how}; Enter for {proposed}: "))?;
            let words = if line.is_empty() { proposed } else { line.trim_start_matches("--") };
            let taken = words.parse::<usize>().ok().and_then(|n| not.instead.get(n.checked_sub(1)?));
            if let Some((flag, value)) = taken {
                let taken = question(flag).map_or(Ok(()), |q| q.take(answers, value, false));
                taken.map_err(Failure::new)?;
                self.keep(flag, value.clone());
                return Ok(());
            }
            if let Some(question) = question(words) {
                let given = self.said.iter().find(|(f, _)| *f == question.flag);
                let given = given.map_or_else(|| question.default.to_owned(), |(_, words)| words.clone());
                return self.ask("", question, &given, answers);
            }
            say(&format!("        \"{}\" is none of them; the answers are {}\n", one_line(words), known.join(", ")));
        }
    }

    /// The file that the spec is written to, one that is not there yet; without a person the module's name.
    pub fn file(&mut self, name: &str) -> Result<PathBuf, Failure> {
        let usual = PathBuf::from(format!("{name}.yaml"));
        if !self.asks {
            let free = usual.symlink_metadata().is_err();
            let why = format!("{} is there already; name another file with -o, or \"-o -\" to print", usual.display());
            return free.then_some(usual).ok_or_else(|| Failure::new(why));
        }
        let free = |file: &Path| file.symlink_metadata().is_err();
        let numbered = (2..1000).map(|n| PathBuf::from(format!("{name}-{n}.yaml")));
        let proposed = std::iter::once(usual.clone()).chain(numbered).find(|f| free(f)).unwrap_or(usual);
        say("\nFile to write it to\n        one that is not there yet\n");
        loop {
            let line = self.line(&format!("        Enter for {}: ", proposed.display()))?;
            let file = if line.is_empty() { proposed.clone() } else { PathBuf::from(&line) };
            let folder = file.parent().filter(|f| !f.as_os_str().is_empty() && !f.is_dir());
            match folder {
                Some(folder) => say(&format!("        there is no folder {}\n", one_line(&folder.to_string_lossy()))),
                None if free(&file) => return Ok(file),
                None => say(&format!("        {} is there already\n", one_line(&file.to_string_lossy()))),
            }
        }
    }

    /// The next line that was typed; its end loses no answer.
    fn line(&mut self, words: &str) -> Result<String, Failure> {
        say(words);
        match self.lines.next() {
            Some(Ok(line)) => Ok(line.trim().to_owned()),
            _ => Err(Failure::new(format!("no answer came; nothing is written.{}", self.again()))),
        }
    }

    /// The command that gives the same answers once more.
    fn again(&self) -> String {
        let flags: String =
            self.said.iter().map(|(flag, words)| format!(" --{flag} \"{}\"", one_line(words))).collect();
        if flags.is_empty() { String::new() } else { format!(" What was answered so far: runtrue new{flags}") }
    }
}

/// The unit that a bare number was taken in, as the question's default shows it.
fn unit_of(question: &Question) -> Option<&'static str> {
    let first = question.default.split(';').next()?;
    let (number, unit) = first.split_once(' ')?;
    (number.parse::<f64>().is_ok() && !unit.contains(' ')).then_some(unit)
}

/// Questions go to standard error, so that the spec alone goes to standard output.
pub fn say(words: &str) {
    let mut stderr = std::io::stderr().lock();
    let _ = stderr.write_all(words.as_bytes()).and_then(|()| stderr.flush());
}
