//! Opening the guide in the terminal.

use std::collections::BTreeMap;
use std::io::IsTerminal;

use clap::Args;

use crate::module;
use crate::procedure::Words;
use crate::procedure::plan::Plan;
use crate::traveler::{Checked, Progress};
use crate::tui::{self, AxisOffer, ModuleOffer, Modules};

use super::{Answer, Asked, Failure, load};

#[derive(Debug, Args)]
pub struct Resume {
    /// Build; without it the one in hand, or the list
    build: Option<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: Option<String>,
}

impl Resume {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let build = match self.build {
            Some(build) => Some(build),
            None => in_hand(asked)?,
        };
        open(asked, build.as_deref(), self.by.as_deref())
    }
}

/// The only open build, if there is just one.
fn in_hand(asked: &Asked) -> Result<Option<String>, Failure> {
    let open: Vec<String> = asked
        .store()?
        // Whether one is closed stands at its end; nothing is said of the records here.
        .list_to(Checked::Ends, &Progress::default())?
        .into_iter()
        .filter(|l| l.state.is_some_and(|s| s != crate::traveler::BuildState::Complete))
        .map(|l| l.build)
        .collect();
    Ok(if open.len() == 1 { open.into_iter().next() } else { None })
}

/// Opens the guide at the bench or in a build.
pub fn open(asked: &Asked, build: Option<&str>, by: Option<&str>) -> Result<Answer, Failure> {
    if !(std::io::stdin().is_terminal() && std::io::stdout().is_terminal()) {
        return Err(Failure::new(
            "the guide needs a terminal; without one use \"runtrue next\" and \"runtrue enter\", or \"runtrue plan\"",
        ));
    }
    let store = asked.store()?;
    let ended = tui::run(store, &Embedded { words: Some(load::words(asked)?) }, build, by)
        .map_err(|e| Failure::new(format!("the terminal cannot be used: {e}")))?;
    if let Some(signal) = ended {
        // The terminal is given back; now the signal does what it would have done.
        let _ = signal_hook::low_level::emulate_default_handler(signal);
    }
    Ok(Answer::Yes)
}

/// The modules built into the program.
#[derive(Debug, Clone, Default)]
pub struct Embedded {
    /// A workshop's words; none for the program's own.
    pub words: Option<Words>,
}

impl Modules for Embedded {
    fn list(&self) -> Vec<ModuleOffer> {
        module::embedded_names().iter().filter_map(|name| offer(name)).collect()
    }

    fn plan(&self, name: &str, setup: &BTreeMap<String, String>) -> Result<(Plan, String), String> {
        let module = load::module(name).map_err(|f| f.reason)?;
        let words = match &self.words {
            Some(words) => words,
            None => Words::built_in().map_err(|e| e.to_string())?,
        };
        let plan = load::plan(&module, setup, words).map_err(|f| f.reason)?;
        Ok((plan, module.text))
    }
}

fn offer(name: &str) -> Option<ModuleOffer> {
    let module = module::read(&module::embedded(name)?).ok()?;
    let axes = module.axes.iter().map(|a| AxisOffer {
        name: a.name.clone(),
        allowed: a.allowed.clone(),
        first: a.first.clone(),
    });
    Some(ModuleOffer { name: name.to_owned(), title: module.title.clone(), axes: axes.collect() })
}
