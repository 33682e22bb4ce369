//! `check SPEC`: does the design add up?

use clap::Args;
use serde_json::json;

use crate::procedure::design_check::{self, Finding, Severity};

use super::{Answer, Asked, Failure, load, out, print};

#[derive(Debug, Args)]
pub struct Check {
    /// Module spec: a file, or a built-in module
    spec: String,
}

impl Check {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let module = load::module(&self.spec)?;
        let checked = design_check::check(&module);
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
    for finding in &checked.findings {
        if finding.severity == Severity::Note && finding.setup.is_some() {
            continue;
        }
        lines.push(told(finding));
    }
    lines.push(String::new());
    lines.push(format!(
        "{:<18} {:>7} {:>8} {:>9} {:>7} {:>6} {:>8} {:>8} {:>7}",
        "setup", "stack", "rods", "torque", "slip", "speed", "centre", "mass", "energy"
    ));
    lines.push(format!(
        "{:<18} {:>7} {:>8} {:>9} {:>7} {:>6} {:>8} {:>8} {:>7}",
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
            "{:<18} {:>7} {:>8} {:>9} {:>7} {:>6} {:>8} {:>8} {:>7}{sign}",
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
    lines.push(if checked.ok {
        "The design adds up in every setup.".into()
    } else {
        "The design does not add up.".into()
    });
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

fn told(f: &Finding) -> String {
    let word = match f.severity {
        Severity::Error => "ERROR",
        Severity::Warning => "WARNING",
        Severity::Note => "Note",
    };
    let place = f.line.map_or_else(String::new, |l| format!("line {l}, "));
    let setup = f.setup.as_ref().map_or_else(String::new, |s| format!("{s}: "));
    let mend = f.mend.as_ref().map_or_else(String::new, |m| format!("\n        {m}"));
    format!("{word}: {setup}{}.{mend}\n        ({place}{})", f.text, f.basis)
}
