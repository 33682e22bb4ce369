//! The setups of a build side by side: what its speed trials say of each.

use std::collections::BTreeMap;

use crate::mechanics::run_down::{Drag, drag_of_two};
use crate::quantity::{Inertia, Speed, Time};

use super::event::Event;
use super::record::Record;
use super::trial::{Trial, setup_said};

/// Speeds of two run-downs that part the drag differ at least by this share (common practice).
const APART: f64 = 1.2;

/// What the runs of one setup say.
#[derive(Debug, Clone, PartialEq)]
pub struct SetupRuns<'r> {
    /// Value of each axis.
    pub setup: BTreeMap<String, String>,
    /// As people say it.
    pub said: String,
    /// Its runs, oldest first.
    pub runs: Vec<(&'r Trial, &'r Event)>,
    /// It is the adopted one.
    pub adopted: bool,
    /// Both parts of the drag, where two run-downs from different speeds exist; why not, where they do not fit the law.
    pub parts: Option<Result<Drag, String>>,
}

impl SetupRuns<'_> {
    /// The last run that has a figure or the number of a check, by its name.
    #[must_use]
    pub fn last(&self, name: &str) -> Option<f64> {
        self.runs.iter().rev().find_map(|(t, _)| t.figure_of(name).or_else(|| t.number_of(name)))
    }

    /// The largest of a figure or check over all runs.
    #[must_use]
    pub fn most(&self, name: &str) -> Option<f64> {
        self.runs.iter().filter_map(|(t, _)| t.figure_of(name).or_else(|| t.number_of(name))).max_by(f64::total_cmp)
    }

    /// What was said last for a check.
    #[must_use]
    pub fn said_last(&self, check: &str) -> String {
        self.runs.iter().rev().map(|(t, _)| t.shown(check)).find(|s| !s.is_empty()).unwrap_or_default()
    }
}

impl Record {
    /// Every setup that has run, in the order of its first run.
    #[must_use]
    pub fn setups_run(&self) -> Vec<SetupRuns<'_>> {
        let adopted = self.adopted().map(|a| a.setup.clone());
        let mut out: Vec<SetupRuns<'_>> = Vec::new();
        for run in self.trials_standing() {
            match out.iter_mut().find(|s| s.setup == run.0.setup) {
                Some(own) => own.runs.push(run),
                None => out.push(SetupRuns {
                    setup: run.0.setup.clone(),
                    said: setup_said(&run.0.setup),
                    runs: vec![run],
                    adopted: adopted.as_ref() == Some(&run.0.setup),
                    parts: None,
                }),
            }
        }
        for setup in &mut out {
            setup.parts = self.parts_of_drag(&setup.runs);
        }
        out
    }

    /// From the fastest and the slowest run-down of one round, the last round that has two.
    fn parts_of_drag(&self, runs: &[(&Trial, &Event)]) -> Option<Result<Drag, String>> {
        let down = |t: &Trial| Some((t.number_of("speed")?, t.number_of("run-down")?));
        let last = runs.iter().map(|(t, _)| t.round).max()?;
        (0..=last).rev().find_map(|round| {
            let inertia: f64 = self.plan_of(round)?.running.as_ref()?.inertia_kgm2.parse().ok()?;
            let of_round = runs.iter().filter(|(t, _)| t.round == round).filter_map(|(t, _)| down(t));
            let (slow, fast) = ends(of_round)?;
            let pair = |(n, t): (f64, f64)| (Speed::from_rpm(n), Time::from_s(t));
            let found = drag_of_two(Inertia::from_kgm2(inertia), pair(fast), pair(slow));
            Some(found.map_err(|e| e.to_string()))
        })
    }
}

/// Slowest and fastest, where they lie far enough apart.
fn ends(runs: impl Iterator<Item = (f64, f64)>) -> Option<((f64, f64), (f64, f64))> {
    let mut all: Vec<(f64, f64)> = runs.collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (slow, fast) = (*all.first()?, *all.last()?);
    (slow.0 > 0.0 && fast.0 >= slow.0 * APART).then_some((slow, fast))
}
