//! `plan SPEC`: the order of work.

use chrono::{DateTime, Local};
use clap::{Args, ValueEnum};
use serde_json::json;

use crate::procedure::plan as form;
use crate::procedure::plan::{Check, CheckKind, Step};
use crate::procedure::{naming, schedule};
use crate::traveler::setup_words;

use super::leaving::{self, Leaving};
use super::load::{self, Chosen};
use super::{Answer, Asked, Failure, out, print, progress, write_line};

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  runtrue plan flywheel --discs 3\n  runtrue plan flywheel --format markdown > flywheel.md\n  runtrue plan flywheel --parcel disc"
)]
pub struct Plan {
    /// Module spec: a file, or a built-in module
    spec: String,
    #[command(flatten)]
    chosen: Chosen,
    /// How it is printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Only the steps on one part or at one place, as a card with blank boxes; "trial" is a speed trial's
    #[arg(long, value_name = "PART|PLACE")]
    parcel: Option<String>,
    /// Hours left: name what one pair of hands does not finish before departure
    #[arg(long, value_name = "HOURS")]
    departure: Option<f64>,
    /// When you leave: as --departure, and what is looked at again afterwards, with dates
    #[arg(long, value_name = "\"DATE TIME\"", conflicts_with = "departure", value_parser = leaving::moment)]
    leave: Option<DateTime<Local>>,
    /// When the work begins; now, where it is not said
    #[arg(long, value_name = "\"DATE TIME\"", requires = "leave", value_parser = leaving::moment)]
    start: Option<DateTime<Local>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Markdown,
    Json,
    /// What is left for later, as a calendar file (with --leave)
    Ics,
}

impl Plan {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let module = load::module(&self.spec)?;
        let (chosen, words) = (self.chosen.map()?, load::words(asked)?);
        let plan = progress::timed("Finding the order of work", || load::plan(&module, &chosen, &words))?;
        let plan = load::shown(&module, plan);
        if self.departure.is_some_and(|hours| !(0.0..=10_000.0).contains(&hours)) {
            return Err(Failure::new("--departure takes the hours that are left, from 0 to 10000"));
        }
        if let Some(parcel) = &self.parcel {
            out(&super::parcel::card(&plan, parcel)?);
            return Ok(Answer::Yes);
        }
        let leaving =
            self.leave.map(|leave| Leaving::of(&plan, self.start.unwrap_or_else(Local::now), leave)).transpose()?;
        let departure = self.departure.or(leaving.as_ref().map(|l| l.hours));
        let later = leaving.as_ref().map_or_else(String::new, Leaving::words);
        match if asked.json { Format::Json } else { self.format } {
            Format::Json => {
                let mut value = json!(plan);
                value["schedule"] = json!(schedule::of(&plan.steps));
                if let Some(hours) = departure {
                    let late = schedule::not_done_by(&plan.steps, hours);
                    value["not_before_departure"] = json!(late.iter().map(|s| &s.id).collect::<Vec<_>>());
                }
                if let Some(leaving) = &leaving {
                    value["after_departure"] = leaving.as_json();
                }
                print(&value);
            }
            Format::Markdown => {
                out(&(markdown(&plan, departure) + &leaving.map_or_else(String::new, |l| l.markdown())))
            }
            Format::Text => out(&(text(&plan) + &self::departure(&plan, departure) + &later)),
            Format::Ics => {
                let leaving = leaving.ok_or_else(|| Failure::new("a calendar needs --leave \"2026-12-04 16:00\""))?;
                write_line(leaving.calendar().trim_end_matches('\n'));
            }
        }
        Ok(Answer::Yes)
    }
}

fn text(plan: &form::Plan) -> String {
    let mut lines =
        vec![format!("{}, revision {}, {}", plan.title, plan.revision, setup_words(&plan.setup)), String::new()];
    lines.extend(outline(&plan.steps));
    lines.push(format!("\n{}", totals(plan)));
    lines.join("\n")
}

/// Work, waits, longest chain and walk, in words.
fn totals(plan: &form::Plan) -> String {
    let s = schedule::of(&plan.steps);
    format!(
        "{} steps, about {} of work (common practice). One pair of hands is done after {:.0} h, waits counted; any number of hands after {:.0} h.\n{}\nThe way changes place {} times, main tool {} times, main instrument {} times.",
        plan.steps.len(),
        hours(f64::from(s.minutes) / 60.0),
        s.hours_alone.ceil(),
        s.hours_least.ceil(),
        longest_chain(plan, &s),
        s.changes.places,
        s.changes.tools,
        s.changes.instruments
    )
}

/// "3 h 20 min".
fn hours(hours: f64) -> String {
    let minutes = (hours * 60.0).round();
    match ((minutes / 60.0).floor(), minutes % 60.0) {
        (0.0, min) => format!("{min} min"),
        (h, 0.0) => format!("{h} h"),
        (h, min) => format!("{h} h {min} min"),
    }
}

/// Which steps no further hand makes shorter, and what of it is waiting.
fn longest_chain(plan: &form::Plan, schedule: &schedule::Schedule) -> String {
    let on = plan.steps.iter().filter(|s| schedule.longest_chain.contains(&s.id));
    let numbers: Vec<u32> = on.clone().map(|s| s.number).collect();
    let waits: Vec<&Step> = on.filter(|s| s.wait_h.is_some()).collect();
    let waited: f64 = waits.iter().filter_map(|s| s.wait_h).sum();
    let of_it = waits.iter().map(|s| format!("{} in step {}", hours(s.wait_h.unwrap_or(0.0)), s.number));
    let of_it = of_it.collect::<Vec<_>>().join(", ");
    let waits = if waits.is_empty() { String::new() } else { format!(", {} of waits ({of_it})", hours(waited)) };
    format!(
        "The longest chain takes {} of work{waits}: steps {}. Begin what stands on it first; all else fits beside it.",
        hours(schedule.hours_least - waited),
        naming::ranges(&numbers).join(", ")
    )
}

/// What is not done before departure, as follow-up.
fn departure(plan: &form::Plan, hours: Option<f64>) -> String {
    let Some(hours) = hours else { return String::new() };
    let late = schedule::not_done_by(&plan.steps, hours);
    if late.is_empty() {
        return format!("\n\nOne pair of hands does all of it within {hours} h.");
    }
    let list: Vec<String> = late.iter().map(|s| format!("{:>4}  {}", s.number, s.title)).collect();
    format!(
        "\n\nNot done by one pair of hands within {hours} h; give each a date and a name before you leave:\n{}",
        list.join("\n")
    )
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
fn markdown(plan: &form::Plan, departure: Option<f64>) -> String {
    let mut out = format!(
        "# {}\n\nModule `{}`, revision {}, setup {}. Spec SHA-256 `{}`.\n\nThe program computes; people decide. It gives no licence to run a machine. Local codes, the makers' instructions and a qualified person come first. A rotor is never spun without its guard.\n\n{}\n",
        plan.title,
        plan.module,
        plan.revision,
        setup_words(&plan.setup),
        plan.spec_sha256,
        totals(plan).replace('\n', "\n\n") + &self::departure(plan, departure).replace("\n  ", "\n- ")
    );
    for step in &plan.steps {
        out.push_str(&step_markdown(step, &plan.steps));
    }
    out
}

fn step_markdown(step: &Step, steps: &[Step]) -> String {
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
        s.push_str(&format!("Why now: {}\n\n", naming::why_now(step, steps)));
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
    let words = check.range_words().unwrap_or_else(|| match (check.asks(), &check.wanted, &check.nominal) {
        (CheckKind::Confirm, _, _) => "yes".into(),
        (CheckKind::Gauge, _, _) => "go: yes, no-go: no".into(),
        (CheckKind::Derived, _, None) => "computed".into(),
        (CheckKind::Derived, _, Some(n)) => format!("computed, about {n}{unit}"),
        (_, Some(wanted), _) => format!("wanted {wanted}"),
        (_, None, Some(n)) => format!("about {n}{unit}"),
        (_, None, None) => "write it down".into(),
    });
    match check.count {
        Some(n) if check.kind == CheckKind::Series && check.places.is_empty() => format!("{n} values, {words}"),
        Some(n) if check.kind == CheckKind::Series => format!("{n} values ({}), {words}", check.places.join(", ")),
        _ => words,
    }
}
