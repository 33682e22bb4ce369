//! Speed trials across builds of one module: the last run of each setup, figure by figure.

use rust_decimal::Decimal;

use super::compare::{Asked, BuildValue, Compared, set};
use super::event::Verdict;
use super::record::Record;
use super::trial::{Trial, setup_said};

/// Values and figures that are compared.
const COMPARED: [&str; 6] = ["speed", "run-down", "drag", "slip", "rise", "tension-lost"];

/// One line a setup and figure that any of the builds has; the step is `trial` with the setup.
pub(super) fn trials(records: &[&Record]) -> Vec<Compared> {
    let mut setups: Vec<_> = records.iter().flat_map(|r| r.setups_run()).map(|s| s.setup).collect();
    setups.sort();
    setups.dedup();
    let pairs = setups.iter().flat_map(|setup| COMPARED.map(|name| (setup, name)));
    let compared = pairs.filter_map(|(setup, name)| {
        let runs = records.iter().filter_map(|r| {
            let own = r.setups_run().into_iter().find(|s| s.setup == *setup)?;
            let (trial, _) = own.runs.into_iter().rev().find(|(t, _)| one(t, name).is_some())?;
            Some((*r, trial, one(trial, name)?))
        });
        let runs: Vec<(&Record, &Trial, One)> = runs.collect();
        let (_, _, first) = runs.first()?;
        let limits_differ = runs.iter().any(|(_, _, o)| o.limits != first.limits);
        let of = Asked {
            step: format!("trial, {}", setup_said(setup)),
            check: name.to_owned(),
            prompt: "the last run of that setup".to_owned(),
            unit: first.unit.clone(),
            limits: if limits_differ { (None, None) } else { first.limits },
            limits_differ,
        };
        let values = runs.iter().map(|(r, t, o)| BuildValue {
            build: r.build.clone(),
            serial: r.started().serial.clone(),
            round: t.round,
            value: o.value.to_string(),
            numbers: vec![o.value],
            verdict: o.verdict,
            accepted: false,
        });
        let values = values.collect();
        Some(set(of, values))
    });
    compared.collect()
}

/// A value or figure of a run.
struct One {
    value: Decimal,
    unit: Option<String>,
    limits: (Option<Decimal>, Option<Decimal>),
    verdict: Verdict,
}

fn one(trial: &Trial, name: &str) -> Option<One> {
    let limit = |t: &Option<String>| t.as_deref().and_then(|t| t.parse().ok());
    if let Some(taken) = trial.value(name) {
        let value = taken.values.first()?.parse().ok()?;
        let limits = (limit(&taken.lower), limit(&taken.upper));
        return Some(One { value, unit: taken.unit.clone(), limits, verdict: taken.verdict });
    }
    let figure = trial.figure(name)?;
    let value = figure.value.parse().ok()?;
    Some(One { value, unit: Some(figure.unit.clone()), limits: (None, None), verdict: Verdict::NotJudged })
}
