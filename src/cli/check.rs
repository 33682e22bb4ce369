//! `check SPEC`: does the design add up?

use std::collections::BTreeSet;

use clap::Args;
use serde_json::json;

use crate::procedure::design_check::{self, Finding, Severity};

use super::{Answer, Asked, Failure, load, out, print, progress};

#[derive(Debug, Args)]
pub struct Check {
    /// Module spec: a file, or a built-in module
    spec: String,
}

impl Check {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let module = load::module(&self.spec)?;
        let checked = progress::timed("Checking every setup", || design_check::check(&module));
        if asked.json {
            print(&json!(checked));
        } else {
            out(&text(&checked));
        }
        Ok(if checked.ok { Answer::Yes } else { Answer::No })
    }
}

fn text(checked: &design_check::DesignCheck) -> String {
    let mut lines = vec![format!("Design check of {}", checked.module), String::new()];
    let same = |a: &Finding, b: &Finding| (&a.id, a.severity, a.line, &a.at) == (&b.id, b.severity, b.line, &b.at);
    let shown = checked.findings.iter().filter(|f| f.severity != Severity::Note || f.setup.is_none());
    let mut first: Vec<&Finding> = Vec::new();
    for finding in shown {
        if !first.iter().any(|f| same(f, finding)) {
            first.push(finding);
            lines.push(told(finding, checked.findings.iter().filter(|f| same(f, finding)).count() - 1));
        }
    }
    lines.push(String::new());
    lines.push(format!(
        "{:<14} {:>7} {:>8} {:>9} {:>7} {:>6} {:>8} {:>8} {:>7}",
        "setup", "stack", "rods", "torque", "slip", "speed", "centre", "mass", "energy"
    ));
    lines.push(format!(
        "{:<14} {:>7} {:>8} {:>9} {:>7} {:>6} {:>8} {:>8} {:>7}",
        "", "mm", "mm", "N·m", "safety", "rpm", "mm", "kg", "J"
    ));
    for setup in &checked.setups {
        let f = |key: &str, places: usize| {
            let value = setup.figures.get(key).and_then(serde_json::Value::as_f64);
            value.map_or_else(|| "-".to_owned(), |v| format!("{v:.places$}"))
        };
        let name: Vec<&str> = setup.set.values().map(String::as_str).collect();
        let sign = if setup.ok { "" } else { "  does not add up" };
        lines.push(format!(
            "{:<14} {:>7} {:>8} {:>9} {:>7} {:>6} {:>8} {:>8} {:>7}{sign}",
            name.join(", "),
            f("stack_mm", 1),
            f("rod_needed_mm", 1),
            f("rod_torque_nm", 1),
            f("slip_safety", 2),
            f("speed_rpm", 0),
            f("centre_mm", 1),
            f("rotor_mass_kg", 1),
            f("energy_j", 0),
        ));
    }
    lines.extend(critical(checked));
    lines.push(String::new());
    lines.push(verdict(checked));
    if !checked.unfinished.is_empty() {
        lines.push(format!("Not computed yet: {}.", checked.unfinished.join(", ")));
    }
    lines.push(
        "The program computes; people decide. Local codes, the makers' instructions and a qualified person come first."
            .into(),
    );
    lines.join("\n")
}

/// The lowest first critical speed of all setups, on a soft frame, which is judged, and on a stiff one.
fn critical(checked: &design_check::DesignCheck) -> Option<String> {
    let least = |key: &str| {
        let values = checked.setups.iter().filter_map(|s| s.figures.get(key)?.as_f64());
        values.reduce(f64::min)
    };
    let (soft, stiff) = (least("first_critical_rpm")?, least("first_critical_stiff_rpm")?);
    Some(format!(
        "\nFirst critical speed, the lowest of all setups: {soft:.0} rpm on a soft frame, which is judged; {stiff:.0} rpm on a stiff one."
    ))
}

/// What the findings come to: errors and open warnings counted, each once whatever the setups it shows in.
fn verdict(checked: &design_check::DesignCheck) -> String {
    let count = |severity: Severity| {
        let of = checked.findings.iter().filter(|f| f.severity == severity);
        of.map(|f| (&f.id, f.line, &f.at)).collect::<BTreeSet<_>>().len()
    };
    let named = |n: usize, word: &str| if n == 1 { format!("1 {word}") } else { format!("{n} {word}s") };
    let (errors, warnings) = (count(Severity::Error), count(Severity::Warning));
    let setups = checked.setups.len();
    let failed = checked.setups.iter().filter(|s| !s.ok).count();
    let open = match warnings {
        0 => String::new(),
        n => format!(
            " {} open: what is not computed or may not do stands above; decide on each before ordering.",
            named(n, "warning")
        ),
    };
    if errors == 0 {
        let every = if setups == 1 { "its one setup".to_owned() } else { format!("each of {setups} setups") };
        return format!("By the figures the design adds up in {every}.{open}");
    }
    let whole = if failed == 0 { String::new() } else { format!(", in {failed} of {}", named(setups, "setup")) };
    format!("The design does not add up: {}{whole}.{open}", named(errors, "error"))
}

/// A finding, and in how many setups more it shows.
fn told(f: &Finding, more: usize) -> String {
    let word = match f.severity {
        Severity::Error => "ERROR",
        Severity::Warning => "WARNING",
        Severity::Note => "Note",
    };
    let place = f.line.map_or_else(String::new, |l| format!("line {l}, "));
    let beside = match more {
        0 => String::new(),
        1 => " and one setup more".to_owned(),
        n => format!(" and {n} setups more"),
    };
    let setup = f.setup.as_ref().map_or_else(String::new, |s| format!("{s}{beside}: "));
    let mend = f.mend.as_ref().map_or_else(String::new, |m| format!("\n        {m}"));
    format!("{word}: {setup}{}.{mend}\n        ({place}{})", f.text, f.basis)
}
