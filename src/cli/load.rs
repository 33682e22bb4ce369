//! From the words SPEC and --set to a module and its plan.

use std::collections::BTreeMap;

use clap::Args;

use crate::module::{self, Module, Setup};
use crate::procedure::plan::Plan;
use crate::procedure::{Words, plan_with};

use super::{Asked, Failure};

/// The choice of a setup, shared by the commands that need one.
#[derive(Debug, Clone, Default, Args)]
pub struct Chosen {
    /// Value of a setup axis, like discs=3
    #[arg(long = "set", value_name = "AXIS=VALUE")]
    set: Vec<String>,
    /// Short for --set discs=N
    #[arg(long, value_name = "N")]
    discs: Option<String>,
    /// Short for --set pulley=NAME
    #[arg(long, value_name = "NAME")]
    pulley: Option<String>,
}

impl Chosen {
    /// Axis to value.
    pub fn map(&self) -> Result<BTreeMap<String, String>, Failure> {
        let mut map = BTreeMap::new();
        for pair in &self.set {
            let (axis, value) = pair.split_once('=').ok_or_else(|| {
                Failure::new(format!("\"--set {pair}\" is not AXIS=VALUE; write it like --set discs=3"))
            })?;
            map.insert(axis.trim().to_owned(), value.trim().to_owned());
        }
        for (axis, value) in [("discs", &self.discs), ("pulley", &self.pulley)] {
            if let Some(value) = value {
                map.insert(axis.to_owned(), value.clone());
            }
        }
        Ok(map)
    }
}

/// Reads a module: a path, or the name of a built-in one.
pub fn module(spec: &str) -> Result<Module, Failure> {
    module::open(spec).map_err(|problems| Failure {
        reason: problems.to_string(),
        report: problems.report(),
        entry: false,
    })
}

/// The words of the steps: the program's own, with the files in the folder `operations` of the data over them.
pub fn words(asked: &Asked) -> Result<Words, Failure> {
    let folder = asked.store().map(|store| store.root().join("operations"));
    let words = folder.map_or_else(|_| Words::built_in().cloned(), |folder| Words::with_folder(&folder));
    words.map_err(|e| Failure::new(e.to_string()))
}

/// A plan as it is shown before any build: of a spec that builds on a family each line is named by the file it stands in. A record
/// keeps the lines of the text that was put together, which it keeps too.
pub fn shown(module: &Module, mut plan: Plan) -> Plan {
    if let Some(origins) = &module.origins {
        let trial = plan.running.as_mut().map(|r| &mut r.trial);
        for check in plan.steps.iter_mut().chain(trial).flat_map(|s| &mut s.checks) {
            check.basis = origins.in_words(&check.basis);
        }
    }
    plan
}

/// The plan of a module in a setup.
pub fn plan(module: &Module, chosen: &BTreeMap<String, String>, words: &Words) -> Result<Plan, Failure> {
    let setup = Setup::choose(module, chosen).map_err(|e| Failure::new(e.to_string()))?;
    plan_with(module, &setup, words).map_err(|e| Failure::new(e.to_string()))
}
