//! Does the design add up? Every finding and every figure, setup by setup.

mod along;
mod drives;
mod screws;
mod seats;
mod setup;
mod stack;
mod whole;

use serde::Serialize;
use serde_json::{Map, Value};

use crate::module::{Module, Setup};

use super::figures::{Figures, NoFigure};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// It does not add up.
    Error,
    /// It may not.
    Warning,
    /// Good to know.
    Note,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Id, stable.
    pub id: String,
    /// Weight.
    pub severity: Severity,
    /// In words.
    pub text: String,
    /// Value found.
    pub value: Option<f64>,
    /// Limit it is held against.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: Option<String>,
    /// What would mend it.
    pub mend: Option<String>,
    /// Where the limit comes from.
    pub basis: String,
    /// Line of the spec.
    pub line: Option<u32>,
    /// Setup it was found in; none where it holds for all.
    pub setup: Option<String>,
}

/// One setup, checked.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetupChecked {
    /// Axis values.
    pub set: std::collections::BTreeMap<String, String>,
    /// No error found.
    pub ok: bool,
    /// Figures by the names of the contract.
    pub figures: Map<String, Value>,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DesignCheck {
    /// Module id.
    pub module: String,
    /// No error in any setup.
    pub ok: bool,
    /// Findings, errors first.
    pub findings: Vec<Finding>,
    /// Setups.
    pub setups: Vec<SetupChecked>,
    /// Figures not computed yet.
    pub unfinished: Vec<String>,
}

/// Checks the module in every setup.
#[must_use]
pub fn check(module: &Module) -> DesignCheck {
    let mut findings = whole::whole(module);
    let mut setups = Vec::new();
    for setup in Setup::all(module) {
        let words = setup.words();
        let (found, figures) = match Figures::of(module, &setup) {
            Ok(f) => {
                let first = setup::first_critical(module, &setup);
                (setup::of_setup(module, &setup, &f, &first), setup::numbers(module, &f, first.ok()))
            }
            Err(e) => (vec![no_figure(&e)], Map::new()),
        };
        let ok = found.iter().all(|f| f.severity != Severity::Error);
        findings.extend(found.into_iter().map(|f| Finding { setup: Some(words.clone()), ..f }));
        setups.push(SetupChecked { set: setup.values, ok, figures });
    }
    findings.sort_by_key(|f| f.severity);
    DesignCheck {
        module: module.id.clone(),
        ok: findings.iter().all(|f| f.severity != Severity::Error),
        findings,
        setups,
        unfinished: Vec::new(),
    }
}

/// What is found in one setup, errors first; notes left out.
#[must_use]
pub fn of_one(module: &Module, setup: &Setup) -> Vec<Finding> {
    let mut found = whole::whole(module);
    found.extend(match Figures::of(module, setup) {
        Ok(f) => setup::of_setup(module, setup, &f, &setup::first_critical(module, setup)),
        Err(e) => vec![no_figure(&e)],
    });
    found.retain(|f| f.severity != Severity::Note);
    found.sort_by_key(|f| f.severity);
    found
}

fn finding(id: &str, severity: Severity, text: String, basis: &str, line: u32) -> Finding {
    Finding {
        id: id.to_owned(),
        severity,
        text,
        value: None,
        limit: None,
        unit: None,
        mend: None,
        basis: basis.to_owned(),
        line: (line > 0).then_some(line),
        setup: None,
    }
}

impl Finding {
    fn held(self, value: f64, limit: f64, unit: &str) -> Self {
        Self { value: Some(round(value)), limit: Some(round(limit)), unit: Some(unit.to_owned()), ..self }
    }

    fn mend(self, mend: impl Into<String>) -> Self {
        Self { mend: Some(mend.into()), ..self }
    }
}

fn round(v: f64) -> f64 {
    (v * 1000.0).round() / 1000.0
}

fn no_figure(e: &NoFigure) -> Finding {
    finding("no-figure", Severity::Error, e.why.clone(), "range of the table or formula", e.line)
        .mend("Change the value, or check this by hand with its maker.")
}
