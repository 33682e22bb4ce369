//! `export BUILD`: the record for people and programs.

use clap::{Args, ValueEnum};

use crate::module::printable;
use crate::procedure::plan::Step;
use crate::traveler::event::Body;
use crate::traveler::{Kept, Record, StepState};

use super::{Answer, Asked, Failure, look, out, print};

#[derive(Debug, Args)]
pub struct Export {
    /// Build
    build: String,
    /// Form
    #[arg(long, value_enum, default_value_t = Form::Markdown)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    Markdown,
    Json,
    Csv,
}

impl Export {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let record = asked.store()?.read(&self.build)?;
        match if asked.json { Form::Json } else { self.format } {
            Form::Markdown => out(&markdown(&record)),
            Form::Json => print(&look::review(&record)),
            Form::Csv => out(&super::csv::readings(&record)),
        }
        Ok(if record.integrity.whole() { Answer::Yes } else { Answer::No })
    }
}

/// The record as Markdown: summary, deviations, everything.
pub fn markdown(record: &Record) -> String {
    [summary(record), deviations(record), steps(record), notes(record)].concat()
}

/// A table cell: no control codes, no breaks, no markup from people's words.
fn cell(text: &str) -> String {
    let text = printable(text).replace('\n', " ");
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '|' | '\\' | '`' | '*' | '_' | '<' | '>' | '[' | ']' | '#') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

fn summary(record: &Record) -> String {
    let plan = record.plan();
    let started = record.started();
    let setup: Vec<String> = plan.setup.iter().map(|(k, v)| format!("{k} {v}")).collect();
    let first = record.events.first().map(|e| (e.header.at.as_str(), e.header.by.as_str())).unwrap_or_default();
    let last = record.events.last().map_or("", |e| e.header.at.as_str());
    let mut s = format!("# {}, serial {}\n\n", cell(&plan.title), cell(&started.serial));
    if started.practice {
        s.push_str("**Practice build, no real module.**\n\n");
    }
    let rows = [
        ("Build", record.build.clone()),
        ("Module, revision", format!("{}, {}", plan.module, plan.revision)),
        ("Setup", setup.join(", ")),
        ("Started", format!("{} by {}", first.0, first.1)),
        ("Last entry", last.to_owned()),
        (
            "State",
            format!("{}, {} of {} steps done", record.build_state().word(), record.steps_done(), plan.steps.len()),
        ),
        ("Record", record.integrity.words()),
        ("Spec", format!("{}, SHA-256 {}", started.spec_name, plan.spec_sha256)),
        ("Written by", started.program.clone()),
    ];
    s.push_str("| | |\n| --- | --- |\n");
    for (name, value) in rows {
        s.push_str(&format!("| {name} | {} |\n", cell(&value)));
    }
    let back: Vec<String> = record.clock_set_back().iter().map(u64::to_string).collect();
    if !back.is_empty() {
        s.push_str(&format!("| Clock | set back before entry {} |\n", back.join(", ")));
    }
    for words in plan.templates.iter().filter(|t| t.overridden) {
        s.push_str(&format!("| Own words | {}, SHA-256 {} |\n", cell(&words.file), cell(&words.sha256)));
    }
    for (event, code, closed, _) in record.closeouts() {
        s.push_str(&format!(
            "| Closed at entry {event} | code {code}, {} steps, {} readings |\n",
            closed.steps, closed.readings
        ));
    }
    let open: Vec<&str> =
        plan.steps.iter().filter(|s| record.step_state(&s.id) != StepState::Done).map(|s| s.id.as_str()).collect();
    if !open.is_empty() {
        s.push_str(&format!("\nOpen: {}\n", cell(&open.join(", "))));
    }
    s.push_str("\nRoles are as the spec states them; the program cannot prove who typed. It gives no licence to run a machine.\n");
    s
}

fn all_readings(record: &Record) -> Vec<(&Step, Kept<'_>)> {
    record
        .plan()
        .steps
        .iter()
        .flat_map(|s| s.checks.iter().flat_map(move |c| record.readings(&s.id, &c.id)).map(move |k| (s, k)))
        .collect()
}

fn deviations(record: &Record) -> String {
    let mut s = "\n## Deviations\n\n".to_owned();
    let odd: Vec<_> = all_readings(record)
        .into_iter()
        .filter(|(_, k)| k.reading.verdict.open() || k.reading.corrects.is_some() || k.reading.ended_early.is_some())
        .collect();
    if odd.is_empty() {
        s.push_str("None: every reading within its limits, nothing corrected.\n");
        return s;
    }
    s.push_str(
        "| entry | step | check | value | limits | verdict | answer |\n| --- | --- | --- | --- | --- | --- | --- |\n",
    );
    for (step, k) in odd {
        let r = k.reading;
        let answer = match (k.disposition, &r.corrects, k.superseded) {
            (Some((d, by)), _, _) => {
                format!("{} by {by} ({}): {}", d.kind.word(), d.role, d.reason)
            }
            (None, Some(c), _) => format!("corrects entry {}: {}", c.event, c.reason),
            (None, None, true) => "answered by a later reading".into(),
            (None, None, false) if r.ended_early.is_some() => r.because.clone(),
            (None, None, false) => "OPEN".into(),
        };
        s.push_str(&format!(
            "| {} | {} | {} | {} | {} | {} | {} |\n",
            k.event,
            cell(&step.id),
            cell(&r.check),
            cell(&value(&k)),
            limits(&k),
            r.verdict.word(),
            cell(&answer)
        ));
    }
    s
}

fn value(k: &Kept<'_>) -> String {
    let r = k.reading;
    let unit = r.unit.as_deref().unwrap_or_default();
    let value = format!("{} {unit}", r.values.join(", ")).trim().to_owned();
    let typed = r.entered.join(" ");
    let shown = if r.derived || typed == value || typed == r.values.join(" ") {
        value
    } else {
        format!("{value} (typed {typed})")
    };
    if k.superseded { format!("~~{shown}~~ superseded") } else { shown }
}

fn limits(k: &Kept<'_>) -> String {
    match (&k.reading.lower, &k.reading.upper) {
        (Some(a), Some(b)) if a == b => a.clone(),
        (Some(a), Some(b)) => format!("{a} to {b}"),
        (Some(a), None) => format!("at least {a}"),
        (None, Some(b)) => format!("at most {b}"),
        (None, None) => String::new(),
    }
}

fn steps(record: &Record) -> String {
    let mut s = "\n## Steps\n".to_owned();
    for step in &record.plan().steps {
        s.push_str(&format!(
            "\n### {}. {} ({})\n\n",
            step.number,
            cell(&step.title),
            record.step_state(&step.id).word()
        ));
        let readings: Vec<Kept<'_>> = step.checks.iter().flat_map(|c| record.readings(&step.id, &c.id)).collect();
        if !readings.is_empty() {
            s.push_str("| entry | check | value | limits | verdict | by | with | at |\n| --- | --- | --- | --- | --- | --- | --- | --- |\n");
        }
        for k in &readings {
            s.push_str(&row(k));
        }
        if let Some((release, event)) = record.release(&step.id) {
            let remote = release
                .remote
                .as_ref()
                .map_or_else(String::new, |r| format!(", remote by {}, taken down by {}", r.channel, r.taken_by));
            s.push_str(&format!(
                "\nReleased at entry {} by {} ({}){}, {}\n",
                event.header.event,
                event.header.by,
                cell(&release.role),
                cell(&remote),
                event.header.at
            ));
        }
    }
    s
}

fn row(k: &Kept<'_>) -> String {
    let r = k.reading;
    let with = r
        .instrument
        .as_ref()
        .map_or_else(String::new, |i| if i.overdue { format!("{} (past its date)", i.id) } else { i.id.clone() });
    let paper = r.paper.as_ref().map_or_else(String::new, |p| format!(", from paper of {} at {}", p.measured_by, p.at));
    format!(
        "| {} | {} | {} | {} | {}: {} | {} ({}){} | {} | {} |\n",
        k.event,
        cell(&r.check),
        cell(&value(k)),
        limits(k),
        r.verdict.word(),
        cell(&r.because),
        k.by,
        cell(&r.role),
        cell(&paper),
        cell(&with),
        k.at
    )
}

fn notes(record: &Record) -> String {
    let mut s = String::new();
    for event in &record.events {
        let words = match &event.body {
            Body::Note(n) => format!("{}: {}", n.step, n.text),
            Body::Attached(a) => format!("{}: {} ({}, SHA-256 {})", a.step, a.text, a.file, a.sha256),
            Body::SetAside(a) => format!("last entry incomplete, {} bytes set aside as {}", a.bytes, a.file),
            Body::Reopened(r) => format!("reopened: {}", r.reason),
            _ => continue,
        };
        if s.is_empty() {
            s.push_str("\n## Notes\n\n");
        }
        s.push_str(&format!(
            "- entry {}, {}, {}: {}\n",
            event.header.event,
            event.header.by,
            event.header.at,
            cell(&words)
        ));
    }
    s
}
