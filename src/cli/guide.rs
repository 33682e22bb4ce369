//! Opening the guide in the terminal.

use std::collections::BTreeMap;
use std::io::IsTerminal;
use std::path::PathBuf;
use std::sync::OnceLock;

use clap::Args;

use crate::module;
use crate::procedure::Words;
use crate::procedure::kit::{self, Kit};
use crate::procedure::plan::Plan;
use crate::traveler::{Checked, Progress};
use crate::tui::{self, AxisOffer, Ended, ModuleOffer, Modules, Opening};

use super::{Answer, Asked, Failure, load};

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  runtrue resume\n  runtrue resume flywheel-017 --by ak")]
pub struct Resume {
    /// Build; without it the one in hand, or the list
    build: Option<String>,
    /// Your initials
    #[arg(long, value_name = "INITIALS")]
    by: Option<String>,
}

impl Resume {
    pub fn run(self, asked: &Asked) -> Result<Answer, Failure> {
        let opening = match self.build {
            Some(build) => Opening::Build(build),
            None => in_hand(asked)?,
        };
        open(asked, &opening, self.by.as_deref())
    }
}

/// The only open build, or the list to choose from.
fn in_hand(asked: &Asked) -> Result<Opening, Failure> {
    let mut open: Vec<String> = asked
        .store()?
        // Whether one is closed stands at its end; nothing is said of the records here.
        .list_to(Checked::Ends, &Progress::default())?
        .into_iter()
        .filter(|l| l.state.is_some_and(|s| s != crate::traveler::BuildState::Complete))
        .map(|l| l.build)
        .collect();
    Ok(match (open.pop(), open.len()) {
        (Some(build), 0) => Opening::Build(build),
        _ => Opening::InHand,
    })
}

/// True where keys and screen are a terminal's.
pub fn can_open() -> bool {
    std::io::stdin().is_terminal() && std::io::stdout().is_terminal()
}

/// Opens the guide at the bench or in a build.
pub fn open(asked: &Asked, opening: &Opening, by: Option<&str>) -> Result<Answer, Failure> {
    if !can_open() {
        return Err(Failure::new(
            "the guide needs a terminal; without one use \"runtrue next\" and \"runtrue enter\", or \"runtrue plan\"",
        ));
    }
    let store = asked.store()?;
    let modules = Embedded::with_words_of(store.root().join("operations"));
    let ended = tui::run(store, &modules, opening, by)
        .map_err(|e| Failure::new(format!("the terminal cannot be used: {e}")))?;
    match ended {
        Ended::Left => {}
        Ended::Signal(signal) => {
            // The terminal is given back; now the signal does what it would have done.
            let _ = signal_hook::low_level::emulate_default_handler(signal);
        }
        Ended::NotReady(why) => return Err(Failure::new(why)),
    }
    Ok(Answer::Yes)
}

/// The order in which the README tells of the modules: the one to begin with first.
const AS_TOLD: [&str; 7] = ["flywheel", "testwheel", "blower", "countershaft", "winnower", "chaff-cutter", "jackshaft"];

/// The modules built into the program.
#[derive(Debug, Clone, Default)]
pub struct Embedded {
    /// Folder of a workshop's words; none for the program's own.
    folder: Option<PathBuf>,
    /// The words, once they were asked for.
    words: OnceLock<Words>,
}

impl Embedded {
    /// The modules, their steps in the words of a folder where it has some. It is read when the words are asked for.
    #[must_use]
    pub fn with_words_of(folder: PathBuf) -> Self {
        Self { folder: Some(folder), words: OnceLock::new() }
    }
}

impl Modules for Embedded {
    fn list(&self) -> Vec<ModuleOffer> {
        let mut names = module::embedded_names();
        // One that the list does not know stands last.
        names.sort_by_key(|name| AS_TOLD.iter().position(|told| told == name).unwrap_or(AS_TOLD.len()));
        let offer = |name: &String| {
            let title = module::embedded_title(name)?;
            // Axes take the whole spec to be read: they are, for the one that is chosen.
            Some(ModuleOffer { name: name.clone(), title, axes: Vec::new() })
        };
        names.iter().filter_map(offer).collect()
    }

    fn axes(&self, offer: &ModuleOffer) -> Vec<AxisOffer> {
        let module = module::embedded(&offer.name).and_then(|source| module::read(&source).ok());
        let axis =
            |a: &module::Axis| AxisOffer { name: a.name.clone(), allowed: a.allowed.clone(), first: a.first.clone() };
        module.map_or_else(Vec::new, |module| module.axes.iter().map(axis).collect())
    }

    fn ready(&self) -> Result<(), String> {
        crate::standards::ready().map_err(|fault| fault.to_string())?;
        self.words().map(drop)
    }

    fn plan(&self, name: &str, setup: &BTreeMap<String, String>) -> Result<(Plan, String), String> {
        let module = load::module(name).map_err(|f| f.reason)?;
        let words = self.words()?;
        let plan = load::plan(&module, setup, &words).map_err(|f| f.reason)?;
        Ok((plan, module.text))
    }

    fn kit(&self, name: &str) -> Result<Kit, String> {
        let module = load::module(name).map_err(|f| f.reason)?;
        kit::kit(&module, &self.words()?).map_err(|e| e.to_string())
    }

    fn words(&self) -> Result<Words, String> {
        if let Some(words) = self.words.get() {
            return Ok(words.clone());
        }
        let read = self.folder.as_deref().map_or_else(|| Words::built_in().cloned(), Words::with_folder);
        let words = read.map_err(|e| e.to_string())?;
        Ok(self.words.get_or_init(|| words).clone())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a panic is the failure of a test")]
mod tests {
    use super::*;

    #[test]
    fn the_bench_lists_the_modules_as_the_readme_tells_of_them() {
        let readme = include_str!("../../README.md");
        let told = readme.split("`procedures/modules/` holds").nth(1).unwrap();
        let listed: Vec<String> = Embedded::default().list().into_iter().map(|o| o.name).collect();
        assert_eq!(listed.len(), module::embedded_names().len());
        let places: Vec<usize> = listed.iter().map(|name| told.find(&format!("`{name}`")).unwrap()).collect();
        assert!(places.is_sorted(), "{listed:?}");
    }

    #[test]
    fn an_offer_is_what_the_spec_read_whole_says() {
        for offer in Embedded::default().list() {
            let module = module::read(&module::embedded(&offer.name).unwrap()).unwrap();
            assert_eq!(offer.title, module.title);
            let axes: Vec<String> = Embedded::default().axes(&offer).into_iter().map(|a| a.name).collect();
            assert_eq!(axes, module.axes.iter().map(|a| a.name.clone()).collect::<Vec<_>>());
        }
    }

    #[test]
    fn words_that_do_not_read_are_told_and_not_left_out() {
        let folder = tempfile::tempdir().unwrap();
        let modules = Embedded::with_words_of(folder.path().to_owned());
        assert_eq!(modules.ready(), Ok(()));
        std::fs::write(folder.path().join("clean.yaml"), "no words").unwrap();
        let said = Embedded::with_words_of(folder.path().to_owned()).ready().unwrap_err();
        assert!(said.contains("clean.yaml"), "{said}");
        // What was read stays as it was for this run of the guide.
        assert_eq!(modules.ready(), Ok(()));
    }
}
