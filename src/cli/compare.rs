//! `compare BUILD BUILD…`: the same checks across builds of one module.

use clap::Args;
use rust_decimal::Decimal;
use serde_json::{Value, json};

use crate::mechanics::statistics::Performance;
use crate::module::near::or_near;
use crate::traveler::report::compared;
use crate::traveler::{CannotCompare, Compared, Comparison, Record, compare};

use super::export::Page;
use super::{Answer, Asked, Failure, print};

impl From<CannotCompare> for Failure {
    fn from(e: CannotCompare) -> Self {
        Self::new(e.to_string())
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Example: runtrue compare flywheel-016 flywheel-017 --step inspect-disc-1\n\nWith --step or --chart the values are drawn between their limits; --format html draws all of them."
)]
pub struct Compare {
    /// Builds of one module, or paths to folders that hold records
    #[arg(required = true, num_args = 1.., value_name = "BUILD")]
    builds: Vec<String>,
    /// Checks of this step only
    #[arg(long, value_name = "ID")]
    step: Option<String>,
    /// This check only
    #[arg(long, value_name = "ID")]
    check: Option<String>,
    /// Draw the values between their limits
    #[arg(long)]
    chart: bool,
    /// Form
    #[arg(long, value_enum, default_value_t = Page::Text)]
    format: Page,
}

impl Compare {
    /// What may have been meant by a step or check that no build has.
    fn near(&self, all: &[Compared]) -> String {
        let step = self.step.as_deref().filter(|s| all.iter().all(|c| c.step != *s));
        let check = self.check.as_deref().filter(|k| all.iter().all(|c| c.check != *k));
        let steps = step.map(|s| or_near(s, all.iter().map(|c| c.step.as_str())));
        steps.or_else(|| check.map(|k| or_near(k, all.iter().map(|c| c.check.as_str())))).unwrap_or_default()
    }

    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let store = asked.store()?;
        let records = self.builds.iter().map(|b| store.read(b)).collect::<Result<Vec<Record>, _>>()?;
        let mut comparison = compare(&records)?;
        let wanted = |c: &Compared| {
            self.step.as_ref().is_none_or(|s| *s == c.step) && self.check.as_ref().is_none_or(|k| *k == c.check)
        };
        let near = self.near(&comparison.checks);
        comparison.checks.retain(wanted);
        if comparison.checks.is_empty() {
            return Err(Failure::new(format!(
                "no build has a reading of such a check; \"runtrue review\" lists them{near}"
            )));
        }
        if asked.json {
            print(&as_json(&comparison));
        } else {
            let charts = self.chart || self.step.is_some() || self.format == Page::Html;
            self.format.print(&compared(&comparison, charts));
        }
        let whole = records.iter().all(|r| r.integrity.whole());
        Ok(if whole { Answer::Yes } else { Answer::No })
    }
}

fn as_json(comparison: &Comparison) -> Value {
    let checks: Vec<Value> = comparison.checks.iter().map(check).collect();
    let builds: Vec<Value> = comparison
        .builds
        .iter()
        .zip(&comparison.adopted)
        .map(|((b, s), adopted)| json!({ "build": b, "serial": s, "adopted": adopted }))
        .collect();
    json!({ "module": comparison.module, "builds": builds, "checks": checks })
}

fn check(c: &Compared) -> Value {
    let text = |d: Option<Decimal>| d.map(|d| d.to_string());
    let values: Vec<Value> = c
        .values
        .iter()
        .map(|v| json!({ "build": v.build, "serial": v.serial, "round": v.round, "value": v.value, "verdict": v.verdict, "accepted": v.accepted }))
        .collect();
    let performance = c.performance.map(|p| {
        json!({ "n": p.n, "mean": p.mean, "s": p.s, "pp": p.pp, "ppk": p.ppk, "formula": Performance::FORMULA, "basis": Performance::BASIS })
    });
    json!({
        "step": c.step, "check": c.check, "unit": c.unit, "lower": text(c.lower), "upper": text(c.upper),
        "limits_differ": c.limits_differ, "values": values, "disturbed": c.disturbed, "mean": text(c.mean), "range": text(c.range),
        "drift_per_serial": c.drift, "performance": performance,
    })
}
