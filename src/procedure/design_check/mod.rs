//! Does the design add up? Every finding and every figure, setup by setup.

mod along;
mod balance;
mod drives;
mod heavy_side;
mod mend;
mod screws;
mod seats;
mod setup;
mod stack;
mod whole;

use std::sync::atomic::{AtomicUsize, Ordering};

use serde::Serialize;
use serde_json::{Map, Value};

use crate::module::{Module, Setup};

use super::figures::{Figures, HeldBy, NoFigure};

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
    /// What would mend it, in words.
    pub mend: Option<String>,
    /// Changes of the spec, each of which takes the finding away and brings no other: tried before they are told.
    pub mends: Vec<Mend>,
    /// What exactly it was found on, where a spec has several of its kind.
    pub at: Option<String>,
    /// Joint of the torque path that it was found on.
    #[serde(skip)]
    pub joint: Option<HeldBy>,
    /// Where the limit comes from.
    pub basis: String,
    /// Line of the spec, or of the file that `file` names.
    pub line: Option<u32>,
    /// File of the line, where the spec builds on a family.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// Setup it was found in; none where it holds for all.
    pub setup: Option<String>,
}

/// A change of the spec that mends a finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Mend {
    /// In words.
    pub text: String,
    /// Fields of the spec and their new values, all of them together.
    pub set: Vec<(String, String)>,
    /// Which of the fields stand in the family that the spec builds on, and where.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub family: Vec<Stands>,
}

/// Where a field stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stands {
    /// The field.
    pub field: String,
    /// File.
    pub file: String,
    /// Line of it.
    pub line: u32,
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

/// How far a check of every setup is, for whoever waits on another thread.
#[derive(Debug, Default)]
pub struct Counted {
    total: AtomicUsize,
    done: AtomicUsize,
}

impl Counted {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        let (done, total) = (self.done.load(Ordering::Relaxed), self.total.load(Ordering::Relaxed));
        if total > 0 && done == total {
            return "trying what would mend the findings".into();
        }
        format!("{done} of {total} setups checked")
    }
}

/// Checks the module in every setup.
#[must_use]
pub fn check(module: &Module) -> DesignCheck {
    check_counted(module, &Counted::default())
}

/// As [`check`], counting the setups that are done.
#[must_use]
pub fn check_counted(module: &Module, far: &Counted) -> DesignCheck {
    let mut findings = whole::whole(module);
    let mut setups = Vec::new();
    let mut criticals = setup::Criticals::default();
    let all = Setup::all(module);
    far.total.store(all.len(), Ordering::Relaxed);
    for setup in all {
        let (found, figures) = match Figures::of(module, &setup) {
            Ok(f) => {
                let first = criticals.first(module, &setup);
                let found = setup::of_setup(module, &setup, &f, Some(&first));
                (found, setup::numbers(module, &f, first.ok()))
            }
            Err(e) => (vec![no_figure(&e)], Map::new()),
        };
        let ok = found.iter().all(|f| f.severity != Severity::Error);
        findings.extend(found.into_iter().map(|f| Finding { setup: Some(setup.words()), ..f }));
        setups.push(SetupChecked { set: setup.values, ok, figures });
        far.done.fetch_add(1, Ordering::Relaxed);
    }
    findings.sort_by_key(|f| f.severity);
    mend::all(module, &mut findings);
    origins(module, &mut findings);
    DesignCheck {
        module: module.id.clone(),
        ok: findings.iter().all(|f| f.severity != Severity::Error),
        findings,
        setups,
        unfinished: Vec::new(),
    }
}

/// Lines as their own files count them, where the spec was put together from two.
fn origins(module: &Module, findings: &mut [Finding]) {
    let Some(origins) = &module.origins else { return };
    for finding in findings {
        if let Some(line) = finding.line {
            let (file, line) = origins.line(line);
            (finding.file, finding.line) = (Some(file.to_owned()), Some(line));
        }
    }
}

/// Every finding of every setup but those on critical speeds, which take longest.
fn quick(module: &Module) -> Vec<Finding> {
    let mut findings = whole::whole(module);
    for setup in Setup::all(module) {
        let found = match Figures::of(module, &setup) {
            Ok(f) => setup::of_setup(module, &setup, &f, None),
            Err(e) => vec![no_figure(&e)],
        };
        findings.extend(found.into_iter().map(|f| Finding { setup: Some(setup.words()), ..f }));
    }
    findings
}

/// True where a finding of that id weighs in any setup. Critical speeds, which take longest, are looked at only where one is asked for.
#[must_use]
pub fn finds(module: &Module, id: &str) -> bool {
    let weighs = |f: &Finding| f.id == id && f.severity != Severity::Note;
    if id == "critical-speed" {
        let mut checks = OneByOne::new(module);
        return Setup::all(module).iter().any(|setup| checks.unplaced(setup).iter().any(weighs));
    }
    quick(module).iter().any(weighs)
}

/// What is found in one setup, errors first; notes left out.
#[must_use]
pub fn of_one(module: &Module, setup: &Setup) -> Vec<Finding> {
    OneByOne::new(module).of(setup)
}

/// Setups checked one after the other: what holds in all of them, and a critical speed that they share, are found once.
pub struct OneByOne<'m> {
    module: &'m Module,
    whole: Vec<Finding>,
    criticals: setup::Criticals,
}

impl<'m> OneByOne<'m> {
    /// For the setups of a module.
    #[must_use]
    pub fn new(module: &'m Module) -> Self {
        Self { module, whole: whole::whole(module), criticals: setup::Criticals::default() }
    }

    /// As [`of_one`].
    pub fn of(&mut self, setup: &Setup) -> Vec<Finding> {
        let mut found = self.unplaced(setup);
        origins(self.module, &mut found);
        found
    }

    /// The same, its lines those of the text that was put together.
    fn unplaced(&mut self, setup: &Setup) -> Vec<Finding> {
        let mut found = self.whole.clone();
        found.extend(match Figures::of(self.module, setup) {
            Ok(f) => setup::of_setup(self.module, setup, &f, Some(&self.criticals.first(self.module, setup))),
            Err(e) => vec![no_figure(&e)],
        });
        found.retain(|f| f.severity != Severity::Note);
        found.sort_by_key(|f| f.severity);
        found
    }
}

/// The first that weighs of all that is found in any setup, errors first, with what would mend it; the others are left for later.
#[must_use]
pub fn first_found(module: &Module) -> Option<Finding> {
    let mut checks = OneByOne::new(module);
    let mut all = Vec::new();
    for setup in Setup::all(module) {
        let words = setup.words();
        all.extend(checks.unplaced(&setup).into_iter().map(|f| Finding { setup: Some(words.clone()), ..f }));
    }
    all.sort_by_key(|f| f.severity);
    all.truncate(1);
    mend::all(module, &mut all);
    origins(module, &mut all);
    all.pop()
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
        mends: Vec::new(),
        at: None,
        joint: None,
        basis: basis.to_owned(),
        line: (line > 0).then_some(line),
        file: None,
        setup: None,
    }
}

impl Finding {
    fn held(self, value: f64, limit: f64, unit: &str) -> Self {
        Self { value: Some(round(value)), limit: Some(round(limit)), unit: Some(unit.to_owned()), ..self }
    }

    fn at(self, at: impl Into<String>) -> Self {
        Self { at: Some(at.into()), ..self }
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
