//! `plan SPEC`: the order of work.

use clap::{Args, ValueEnum};
use serde_json::json;

use crate::procedure::plan as form;
use crate::procedure::plan::{Check, CheckKind, Step};

use super::load::{self, Chosen};
use super::{Answer, Asked, Failure, out, print};

#[derive(Debug, Args)]
pub struct Plan {
    /// Module spec: a file, or a built-in module
    spec: String,
    #[command(flatten)]
    chosen: Chosen,
    /// How it is printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Markdown,
    Json,
}

impl Plan {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let module = load::module(&self.spec)?;
        let plan = load::plan(&module, &self.chosen.map()?)?;
        match if asked.json { Format::Json } else { self.format } {
            Format::Json => print(&json!(plan)),
            Format::Markdown => out(&markdown(&plan)),
            Format::Text => out(&text(&plan)),
        }
        Ok(Answer::Yes)
    }
}

fn setup(plan: &form::Plan) -> String {
    let list: Vec<String> = plan.setup.iter().map(|(k, v)| format!("{k} {v}")).collect();
    list.join(", ")
}

fn text(plan: &form::Plan) -> String {
    let mut lines = vec![format!("{}, revision {}, {}", plan.title, plan.revision, setup(plan)), String::new()];
    lines.extend(outline(&plan.steps));
    let minutes: u32 = plan.steps.iter().map(|s| s.minutes).sum();
    lines.push(format!(
        "\n{} steps, about {} h {} min of work (common practice), waiting not counted.",
        plan.steps.len(),
        minutes / 60,
        minutes % 60
    ));
    lines.join("\n")
}

/// Number, title and id of every step, under the places.
pub fn outline(steps: &[Step]) -> Vec<String> {
    let mut lines = Vec::new();
    let mut place = "";
    for step in steps {
        if step.place != place {
            lines.push(format!("At: {}", step.place));
            place = &step.place;
        }
        let hold = step.hold.as_ref().map_or_else(String::new, |role| format!("  [hold: {role}]"));
        lines.push(format!("{:>4}  {}{hold}", step.number, step.title));
        lines.push(format!("      {}", step.id));
    }
    lines
}

/// The procedure as it is printed.
fn markdown(plan: &form::Plan) -> String {
    let mut out = format!(
        "# {}\n\nModule `{}`, revision {}, setup {}. Spec SHA-256 `{}`.\n\nThe program computes; people decide. It gives no licence to run a machine. Local codes, the makers' instructions and a qualified person come first. A rotor is never spun without its guard.\n",
        plan.title,
        plan.module,
        plan.revision,
        setup(plan),
        plan.spec_sha256
    );
    for step in &plan.steps {
        out.push_str(&step_markdown(step));
    }
    out
}

fn step_markdown(step: &Step) -> String {
    let mut s = format!(
        "\n## {}. {}\n\n`{}`, at: {}, about {} min",
        step.number, step.title, step.id, step.place, step.minutes
    );
    if let Some(role) = &step.hold {
        s.push_str(&format!(", **hold point: {role}**"));
    }
    s.push_str("\n\n");
    for caution in &step.cautions {
        s.push_str(&format!("> **{}** {}\n\n", caution.signal.word(), caution.text));
    }
    let list = |name: &str, items: &[String]| {
        if items.is_empty() { String::new() } else { format!("{name}: {}\n\n", items.join("; ")) }
    };
    if !step.why_now.is_empty() {
        s.push_str(&format!("Why now: {}\n\n", step.why_now.join(" ")));
    }
    for (n, action) in (1..).zip(&step.actions) {
        s.push_str(&format!("{n}. {action}\n"));
    }
    s.push('\n');
    s.push_str(&list("Tools", &step.tools));
    s.push_str(&list("Instruments", &step.instruments));
    s.push_str("| check | limits | basis | entry |\n| --- | --- | --- | --- |\n");
    for check in &step.checks {
        s.push_str(&format!("| {} | {} | {} | |\n", check.prompt, limits(check), check.basis));
    }
    s
}

/// Limits of a check in words.
pub fn limits(check: &Check) -> String {
    let unit = check.unit.as_deref().map_or_else(String::new, |u| format!(" {u}"));
    let words = match (&check.lower, &check.upper) {
        (Some(a), Some(b)) if a == b => format!("{a}{unit}"),
        (Some(a), Some(b)) => format!("{a} to {b}{unit}"),
        (Some(a), None) => format!("at least {a}{unit}"),
        (None, Some(b)) => format!("at most {b}{unit}"),
        (None, None) => match check.kind {
            CheckKind::Confirm => "yes".into(),
            CheckKind::Gauge => "go: yes, no-go: no".into(),
            _ => check.nominal.as_ref().map_or_else(|| "kept".into(), |n| format!("about {n}{unit}")),
        },
    };
    match check.count {
        Some(n) if check.kind == CheckKind::Series => format!("{n} values, {words}"),
        _ => words,
    }
}
