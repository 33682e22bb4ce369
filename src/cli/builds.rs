//! `builds`: the list.

use clap::Args;
use serde_json::{Value, json};

use crate::traveler::Listing;

use super::{Answer, Asked, Failure, one_line, out, print};

/// From so many milliseconds on a record is told as slow to read.
const SLOW_MS: u64 = 500;

#[derive(Debug, Args)]
pub struct Builds {
    /// Of this module only
    #[arg(long)]
    module: Option<String>,
    /// In this state only
    #[arg(long, value_parser = ["open", "held", "complete", "reopened", "unreadable"])]
    state: Option<String>,
    /// Only those with something wrong: altered, torn, unreadable, slow, or with a copy that went another way
    #[arg(long)]
    problems: bool,
}

impl Builds {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let all = asked.store()?.list()?;
        let list: Vec<&Listing> = all.iter().filter(|l| self.wanted(l)).collect();
        if asked.json {
            let builds: Vec<Value> = list.iter().map(|l| as_json(l)).collect();
            print(&json!({ "builds": builds }));
            return Ok(Answer::Yes);
        }
        if all.is_empty() {
            out(
                "No build yet. Start one with \"runtrue build SPEC --serial S --by INITIALS\", or open the bench with \"runtrue\".",
            );
        }
        for l in list {
            lines(l).iter().for_each(|line| out(&one_line(line)));
        }
        let wrong = all.iter().filter(|l| has_problem(l)).count();
        if wrong > 0 && !self.problems {
            out(&format!("{wrong} of {} need a look; \"runtrue builds --problems\" lists them.", all.len()));
        }
        Ok(Answer::Yes)
    }

    fn wanted(&self, l: &Listing) -> bool {
        self.module.as_ref().is_none_or(|m| *m == l.module)
            && self.state.as_ref().is_none_or(|s| s == state(l))
            && (!self.problems || has_problem(l))
    }
}

fn state(l: &Listing) -> &'static str {
    l.state.map_or("unreadable", |s| s.word())
}

fn has_problem(l: &Listing) -> bool {
    l.problem.is_some() || !l.copies.is_empty() || l.read_ms >= SLOW_MS
}

fn as_json(l: &Listing) -> Value {
    let due: Vec<Value> = l.due.iter().map(|(step, at)| json!({ "step": step, "at": at })).collect();
    json!({
        "build": l.build, "module": l.module, "serial": l.serial, "state": l.state.map(|s| s.word()), "last_at": l.last_at,
        "due": due, "practice": l.practice, "steps_done": l.steps_done, "steps_total": l.steps_total, "problem": l.problem,
        "copies": l.copies, "read_ms": l.read_ms,
    })
}

fn lines(l: &Listing) -> Vec<String> {
    let practice = if l.practice { ", practice" } else { "" };
    let steps = format!("{:>3} of {:<3}", l.steps_done, l.steps_total);
    let mut lines = vec![format!("{:<28} {:<10} {steps} {}{practice}", l.build, state(l), l.last_at)];
    lines.extend(l.due.iter().map(|(step, at)| format!("    {step} is over at {at}")));
    lines.extend(l.problem.iter().chain(&l.copies).map(|words| format!("    {words}")));
    lines.extend((l.read_ms >= SLOW_MS).then(|| format!("    slow: {} ms to read", l.read_ms)));
    lines
}
