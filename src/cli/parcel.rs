//! A work parcel on paper: the steps on one part or at one place, with blank boxes to be entered later as from paper.

use crate::module::near::or_near;
use crate::procedure::naming;
use crate::procedure::plan::{Check, CheckKind, Plan, Step};

use super::Failure;
use super::plan::limits;

/// The card of a parcel.
pub fn card(plan: &Plan, parcel: &str) -> Result<String, Failure> {
    let mut steps: Vec<&Step> = plan.steps.iter().filter(|s| belongs(s, parcel)).collect();
    // A speed trial stands in no order; its card is asked for by name.
    steps.extend(plan.running.iter().map(|r| &r.trial).filter(|_| parcel == TRIAL));
    if steps.is_empty() {
        let mut known: Vec<&str> = plan.steps.iter().flat_map(|s| &s.parts).map(|p| stem(p)).collect();
        known.extend(plan.running.as_ref().map(|_| TRIAL));
        known.sort_unstable();
        known.dedup();
        let near = or_near(parcel, known.iter().copied());
        return Err(Failure::new(format!(
            "no step works on \"{parcel}\" alone; name one of {}{near}",
            known.join(", ")
        )));
    }
    let minutes: u32 = steps.iter().map(|s| s.minutes).sum();
    let mut out = format!(
        "# {}: {parcel}\n\nModule `{}`, revision {}, {} steps, about {minutes} min. Serial: ______________\n\nWrite what you read, with its unit, your initials and the time; strike out, never overwrite. It is typed in later with `--from-paper --measured-by INITIALS --at TIME`.\n",
        plan.title,
        plan.module,
        plan.revision,
        steps.len()
    );
    for step in &steps {
        out.push_str(&one(step, &steps, &plan.steps));
    }
    Ok(out)
}

/// The parcel that is a speed trial.
const TRIAL: &str = "trial";

/// "disc" for "disc-3".
fn stem(part: &str) -> &str {
    part.rsplit_once('-').filter(|(_, n)| n.chars().all(|c| c.is_ascii_digit())).map_or(part, |(stem, _)| stem)
}

/// Every part of the step is the parcel's, or the step is done at the place of that name.
fn belongs(step: &Step, parcel: &str) -> bool {
    let own = |part: &String| part == parcel || stem(part) == parcel;
    step.place == parcel || (!step.parts.is_empty() && step.parts.iter().all(own))
}

fn one(step: &Step, parcel: &[&Step], all: &[Step]) -> String {
    let trial = step.operation == TRIAL;
    let number = if trial { String::new() } else { format!("{}. ", step.number) };
    let mut s = format!("\n## {number}{}\n\n`{}`, at: {}\n\n", step.title, step.id, step.place);
    if trial {
        s.push_str("One run a card, only behind the closed and released guard. It is typed in with `runtrue trial BUILD`, each value under the name that stands behind it, as `--speed`.\n\n");
    }
    for caution in &step.cautions {
        s.push_str(&format!("> **{}** {}\n\n", caution.signal.word(), caution.text));
    }
    let elsewhere: Vec<&str> =
        step.after.iter().filter(|id| parcel.iter().all(|p| p.id != **id)).map(String::as_str).collect();
    if !elsewhere.is_empty() {
        s.push_str(&format!("Only when done: {}.\n\n", naming::named(&elsewhere, all)));
    }
    for (n, action) in (1..).zip(&step.actions) {
        s.push_str(&format!("{n}. {action}\n"));
    }
    let tools = naming::with(step);
    s.push_str(&format!(
        "\nWith: {}\n\n| check | limits | value | instrument | by | at |\n| --- | --- | --- | --- | --- | --- |\n",
        tools.join("; ")
    ));
    for check in step.checks.iter().filter(|c| c.kind != CheckKind::Derived) {
        s.push_str(&format!("| {} (`{}`) | {} | {} | | | |\n", check.prompt, check.id, limits(check), boxes(check)));
    }
    s
}

/// A blank for every value.
fn boxes(check: &Check) -> String {
    let n = match check.kind {
        CheckKind::Series => check.count.unwrap_or(1),
        _ => 1,
    };
    match check.asks() {
        CheckKind::Confirm => "yes ☐ no ☐".into(),
        CheckKind::Gauge => "go ☐ no-go ☐".into(),
        _ if check.places.is_empty() => vec!["______"; n as usize].join(" "),
        _ => check.places.iter().map(|p| format!("{p} ______")).collect::<Vec<_>>().join(" "),
    }
}
