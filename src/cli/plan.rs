//! `plan SPEC`: the order of work.

use clap::{Args, ValueEnum};
use serde_json::json;

use crate::procedure::plan as form;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::procedure::schedule;

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
    /// Only the steps on one part or at one place, as a card with blank boxes
    #[arg(long, value_name = "PART|PLACE")]
    parcel: Option<String>,
    /// Hours left: name what one pair of hands does not finish before departure
    #[arg(long, value_name = "HOURS")]
    departure: Option<f64>,
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
        let plan = load::plan(&module, &self.chosen.map()?, &load::words(asked)?)?;
        if self.departure.is_some_and(|hours| !(0.0..=10_000.0).contains(&hours)) {
            return Err(Failure::new("--departure takes the hours that are left, from 0 to 10000"));
        }
        if let Some(parcel) = &self.parcel {
            out(&super::parcel::card(&plan, parcel)?);
            return Ok(Answer::Yes);
        }
        match if asked.json { Format::Json } else { self.format } {
            Format::Json => {
                let mut value = json!(plan);
                value["schedule"] = json!(schedule::of(&plan.steps));
                if let Some(hours) = self.departure {
                    let late = schedule::not_done_by(&plan.steps, hours);
                    value["not_before_departure"] = json!(late.iter().map(|s| &s.id).collect::<Vec<_>>());
                }
                print(&value);
            }
            Format::Markdown => out(&markdown(&plan)),
            Format::Text => out(&(text(&plan) + &departure(&plan, self.departure))),
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
    lines.push(format!("\n{}", totals(plan)));
    lines.join("\n")
}

/// Work, waits, longest chain and walk, in words.
fn totals(plan: &form::Plan) -> String {
    let s = schedule::of(&plan.steps);
    format!(
        "{} steps, about {} h {} min of work (common practice); with one pair of hands and its waits {:.0} h, with any number {:.0} h.\nThe way changes place {} times, main tool {} times, main instrument {} times.",
        plan.steps.len(),
        s.minutes / 60,
        s.minutes % 60,
        s.hours_alone.ceil(),
        s.hours_least.ceil(),
        s.changes.places,
        s.changes.tools,
        s.changes.instruments
    )
}

/// What is not done before departure, as follow-up.
fn departure(plan: &form::Plan, hours: Option<f64>) -> String {
    let Some(hours) = hours else { return String::new() };
    let late = schedule::not_done_by(&plan.steps, hours);
    if late.is_empty() {
        return format!("\n\nAll is done within {hours} h.");
    }
    let list: Vec<&str> = late.iter().map(|s| s.id.as_str()).collect();
    format!("\n\nNot done within {hours} h, to be dated as follow-up: {}.", list.join(", "))
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
        "# {}\n\nModule `{}`, revision {}, setup {}. Spec SHA-256 `{}`.\n\nThe program computes; people decide. It gives no licence to run a machine. Local codes, the makers' instructions and a qualified person come first. A rotor is never spun without its guard.\n\n{}\n",
        plan.title,
        plan.module,
        plan.revision,
        setup(plan),
        plan.spec_sha256,
        totals(plan)
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
            _ => match (&check.wanted, &check.nominal) {
                (Some(wanted), _) => format!("wanted {wanted}"),
                (None, Some(n)) => format!("about {n}{unit}"),
                (None, None) => "kept".into(),
            },
        },
    };
    match check.count {
        Some(n) if check.kind == CheckKind::Series && check.places.is_empty() => format!("{n} values, {words}"),
        Some(n) if check.kind == CheckKind::Series => format!("{n} values ({}), {words}", check.places.join(", ")),
        _ => words,
    }
}
