//! The choice of what a spec leaves open.

use std::collections::BTreeMap;

use super::model::Module;
use super::near::or_near;

/// One choice: how many discs, which step of the pulley.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Setup {
    /// Value of each axis, as the spec names them.
    pub values: BTreeMap<String, String>,
    /// Number of discs.
    pub discs: u32,
    /// Step of the pulley.
    pub step: String,
    /// True where the record of a build adopted this setup: balance goes by its own speed then.
    pub adopted: bool,
}

/// A choice the spec does not allow.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SetupError {
    /// No such axis; which there are.
    #[error("the spec leaves no \"{0}\" open; open are: {1}")]
    NoAxis(String, String),
    /// A value that is not allowed.
    #[error("\"{value}\" is not allowed for {axis}; allowed are: {allowed}{near}")]
    NotAllowed {
        /// Axis.
        axis: String,
        /// What was asked for.
        value: String,
        /// What may have been meant.
        near: String,
        /// What is allowed.
        allowed: String,
    },
}

impl Setup {
    /// Takes the chosen values, and the first of every axis not named.
    ///
    /// # Errors
    /// [`SetupError`] for an axis or value the spec does not have.
    pub fn choose(module: &Module, chosen: &BTreeMap<String, String>) -> Result<Self, SetupError> {
        for axis in chosen.keys() {
            if !module.axes.iter().any(|a| a.name == *axis) {
                let open: Vec<&str> = module.axes.iter().map(|a| a.name.as_str()).collect();
                let near = or_near(axis, open.iter().copied());
                let all = if open.is_empty() { "none".to_owned() } else { open.join(", ") };
                return Err(SetupError::NoAxis(axis.clone(), all + &near));
            }
        }
        let mut values = BTreeMap::new();
        for axis in &module.axes {
            let value = chosen.get(&axis.name).unwrap_or(&axis.first);
            if !axis.allowed.contains(value) {
                return Err(SetupError::NotAllowed {
                    axis: axis.name.clone(),
                    value: value.clone(),
                    near: or_near(value, axis.allowed.iter().map(String::as_str)),
                    allowed: axis.allowed.join(", "),
                });
            }
            values.insert(axis.name.clone(), value.clone());
        }
        Ok(Self::of(module, values))
    }

    /// Every setup the spec allows, in the order of its lists.
    #[must_use]
    pub fn all(module: &Module) -> Vec<Self> {
        let mut maps = vec![BTreeMap::new()];
        for axis in &module.axes {
            maps = maps
                .iter()
                .flat_map(|map| {
                    axis.allowed.iter().map(move |value| {
                        let mut map: BTreeMap<String, String> = map.clone();
                        map.insert(axis.name.clone(), value.clone());
                        map
                    })
                })
                .collect();
        }
        maps.into_iter().map(|values| Self::of(module, values)).collect()
    }

    /// The same setup as a build stands to it: adopted there, or not.
    #[must_use]
    pub fn as_adopted(self, adopted: bool) -> Self {
        Self { adopted, ..self }
    }

    fn of(module: &Module, values: BTreeMap<String, String>) -> Self {
        let discs = values.get("discs").and_then(|v| v.parse().ok());
        let only = module.drives.first().and_then(|d| d.pulley.steps.keys().next());
        let step = values.get("pulley").or(only);
        let most = module.stack.as_ref().map_or(0, |s| s.discs.count.value);
        Self { discs: discs.unwrap_or(most), step: step.cloned().unwrap_or_default(), values, adopted: false }
    }

    /// Step of the pulley of a drive: the chosen one of the first, the only one of another.
    #[must_use]
    pub fn step_of<'a>(&'a self, module: &'a Module, drive: usize) -> &'a str {
        let only = module.drives.get(drive).and_then(|d| d.pulley.steps.keys().next());
        if drive == 0 { &self.step } else { only.map_or("", String::as_str) }
    }

    /// "5 discs, slow" for screens.
    #[must_use]
    pub fn words(&self) -> String {
        self.words_of_discs().map_or_else(|| self.step.clone(), |discs| format!("{discs}, {}", self.step))
    }

    /// "5 discs"; none of a module without discs.
    #[must_use]
    pub fn words_of_discs(&self) -> Option<String> {
        match self.discs {
            0 => None,
            1 => Some("1 disc".into()),
            n => Some(format!("{n} discs")),
        }
    }
}
