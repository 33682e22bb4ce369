//! `builds`: the list.

use clap::Args;
use serde_json::{Value, json};

use crate::traveler::{Checked, Listing, Progress};

use super::{Answer, Asked, Failure, one_line, out, print, progress};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue builds\n  runtrue builds --problems")]
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
    /// Read closed records at their two ends only: quicker, and said to be not verified
    #[arg(long, conflicts_with = "problems")]
    quick: bool,
}

impl Builds {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let depth = if self.quick { Checked::Ends } else { Checked::Whole };
        let far = Progress::default();
        let all = progress::shown(&far, || store.list_to(depth, &far))?;
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
        foot(&all, self.problems).iter().for_each(|line| out(line));
        Ok(Answer::Yes)
    }

    fn wanted(&self, l: &Listing) -> bool {
        self.module.as_ref().is_none_or(|m| **m == *l.module)
            && self.state.as_ref().is_none_or(|s| s == state(l))
            && (!self.problems || has_problem(l))
    }
}

fn state(l: &Listing) -> &'static str {
    l.state.map_or("unreadable", |s| s.word())
}

fn has_problem(l: &Listing) -> bool {
    l.problem.is_some() || !l.copies.is_empty() || l.slow()
}

/// What needs a look, each kind counted alone, and how much of the list was verified.
fn foot(all: &[Listing], problems: bool) -> Vec<String> {
    let count = |is: &dyn Fn(&Listing) -> bool| all.iter().filter(|l| is(l)).count();
    let mut lines = Vec::new();
    let wrong = count(&has_problem);
    if wrong > 0 {
        let kinds = [
            (count(&|l| l.problem.is_some()), "altered, torn or unreadable"),
            (count(&|l| !l.copies.is_empty()), "with copies"),
            (count(&Listing::slow), "slow to read"),
        ];
        let kinds: Vec<String> = kinds.iter().filter(|(n, _)| *n > 0).map(|(n, w)| format!("{n} {w}")).collect();
        let more = if problems { "." } else { "; \"runtrue builds --problems\" lists them." };
        lines.push(format!("{wrong} of {} need a look: {}{more}", all.len(), kinds.join(", ")));
    }
    let ends = count(&|l| l.checked == Checked::Ends);
    if ends > 0 {
        lines.push(format!(
            "{ends} of {} are closed and were read at their two ends only: NOT VERIFIED; \"runtrue builds\" reads them whole.",
            all.len()
        ));
    }
    let remembered = count(&|l| l.remembered && l.checked == Checked::Whole);
    if remembered > 0 {
        lines.push(format!(
            "{remembered} of {} are as remembered from when they were read whole: length, time of change and last hash of the file are the same. \"runtrue verify BUILD\" reads one anew.",
            all.len()
        ));
    }
    lines
}

fn as_json(l: &Listing) -> Value {
    let due: Vec<Value> = l.due.iter().map(|(step, at)| json!({ "step": step, "at": at })).collect();
    json!({
        "build": l.build, "module": l.module, "serial": l.serial, "state": l.state.map(|s| s.word()), "last_at": l.last_at,
        "setup": l.setup, "adopted": l.adopted,
        "due": due, "follow_up": l.follow, "practice": l.practice, "steps_done": l.steps_done, "steps_total": l.steps_total, "problem": l.problem,
        "copies": l.copies, "read_ms": l.read_ms, "slow": l.slow(), "bytes": l.bytes, "checked": l.checked.word(),
        "remembered": l.remembered, "half_done": l.half_done,
    })
}

fn lines(l: &Listing) -> Vec<String> {
    let practice = if l.practice { ", practice" } else { "" };
    let ends = if l.checked == Checked::Ends { ", not verified" } else { "" };
    let steps = format!("{:>3} of {:<3}", l.steps_done, l.steps_total);
    let mut lines = vec![format!("{:<28} {:<10} {steps} {}{practice}{ends}", l.build, state(l), l.last_at)];
    lines.extend(l.adopted.iter().map(|setup| format!("    adopted: {setup}")));
    lines.extend(l.half_done.iter().map(|joint| format!("    NOT FINAL: {joint}")));
    lines.extend(l.due.iter().map(|(step, at)| format!("    {step} is over at {at}")));
    let today = chrono::Local::now().date_naive();
    lines.extend(l.follow.iter().filter(|p| p.now(today)).map(|p| {
        let word = if p.overdue(today) { "OVERDUE" } else { "due" };
        format!("    {word} {}: {}", p.when(), p.what)
    }));
    lines.extend(l.problem.iter().chain(&l.copies).map(|words| format!("    {words}")));
    lines.extend(l.slow().then(|| format!("    slow: {} ms to read its {} kB", l.read_ms, l.bytes / 1000)));
    lines
}
