//! The guide in the terminal: draws state, sends intents; no engineering arithmetic, no files.

mod answers;
mod app;
mod ask;
#[cfg(test)]
mod balance_tests;
mod begun;
mod bench;
mod bolts;
mod builds;
mod busy;
mod changing;
mod deciding;
#[cfg(test)]
mod deciding_tests;
mod entries;
mod entry;
#[cfg(test)]
mod every_screen_tests;
mod first;
mod flow;
pub mod keys;
mod lists;
mod looking;
mod menu;
mod mouse;
mod packing;
#[cfg(test)]
mod picture_tests;
#[cfg(test)]
mod reach_tests;
mod screens;
#[cfg(test)]
mod shown_tests;
mod silent;
mod terminal;
#[cfg(test)]
mod tests;
mod theme;
#[cfg(test)]
mod tight_tests;
mod trials;
#[cfg(test)]
mod trials_tests;
mod trouble;
mod two;
mod typing;
mod widgets;
#[cfg(test)]
mod words_tests;
mod work;

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::Local;
use crossterm::event;
use ratatui::buffer::Buffer;

use crate::procedure::Words;
use crate::procedure::kit::Kit;
use crate::procedure::plan::Plan;
use crate::traveler::Store;

pub use app::{App, Shown};
pub use screens::draw;
pub use theme::Theme;

#[cfg(test)]
mod act_tests;
#[cfg(test)]
mod anew_tests;
#[cfg(test)]
mod kept_tests;
#[cfg(test)]
mod screens_tests;
#[cfg(test)]
mod values_tests;

/// One axis of a module, to choose from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AxisOffer {
    /// Name.
    pub name: String,
    /// Values.
    pub allowed: Vec<String>,
    /// The usual one.
    pub first: String,
}

/// A module that can be built.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ModuleOffer {
    /// Name.
    pub name: String,
    /// Title.
    pub title: String,
    /// What is left open.
    pub axes: Vec<AxisOffer>,
}

/// Where modules and plans come from.
pub trait Modules {
    /// Modules on offer.
    fn list(&self) -> Vec<ModuleOffer>;

    /// What is left open of a module on offer.
    fn axes(&self, offer: &ModuleOffer) -> Vec<AxisOffer> {
        offer.axes.clone()
    }

    /// Reads what everything else rests on: tables and words. Asked once, before anything is done with a module.
    ///
    /// # Errors
    /// What does not read, in words; the guide is left then.
    fn ready(&self) -> Result<(), String> {
        Ok(())
    }

    /// Plan and spec text of a module in a setup.
    ///
    /// # Errors
    /// Why there is none, in words.
    fn plan(&self, name: &str, setup: &BTreeMap<String, String>) -> Result<(Plan, String), String>;

    /// What to order and pack for a module.
    ///
    /// # Errors
    /// Why there is none, in words; also where modules come without kits.
    fn kit(&self, name: &str) -> Result<Kit, String> {
        Err(format!("{name} comes without a kit here"))
    }

    /// The words that steps are made of, for a change of a build.
    ///
    /// # Errors
    /// Why there are none, in words.
    fn words(&self) -> Result<Words, String> {
        Words::built_in().cloned().map_err(|e| e.to_string())
    }
}

/// How often the signals are looked at; nothing is drawn for that.
const WATCH: Duration = Duration::from_millis(200);

/// After so long without a key it is asked again who is at the bench (common practice).
const PAUSE: Duration = Duration::from_mins(30);

/// What the guide opens with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Opening {
    /// The bench.
    Bench,
    /// The bench, to choose among the builds in hand.
    InHand,
    /// A build.
    Build(String),
    /// A build that was just started, and what is said of its setup.
    Begun {
        /// Build.
        build: String,
        /// In words.
        said: String,
    },
}

/// How the guide ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ended {
    /// It was left.
    Left,
    /// By a signal.
    Signal(i32),
    /// What it rests on does not read; why, in words.
    NotReady(String),
}

/// Runs the guide until it is left.
///
/// # Errors
/// What the terminal says.
pub fn run(store: Store, modules: &dyn Modules, open: &Opening, by: Option<&str>) -> std::io::Result<Ended> {
    // The bench shows names alone, so it is drawn before tables and words are read.
    let bench = *open == Opening::Bench;
    if !bench && let Err(why) = modules.ready() {
        return Ok(Ended::NotReady(why));
    }
    let signals = terminal::Signals::listen()?;
    let mut app = App::new(store, modules, terminal::theme());
    app.by = by.map(str::to_owned);
    app.draws_first = true;
    let mut guard = terminal::Guard::take()?;
    let size = guard.screen.size()?;
    app.size = (size.width, size.height);
    let mut drawn = Buffer::default();
    match open {
        Opening::Bench => {}
        Opening::InHand => app.choose_in_hand(),
        Opening::Build(build) => busy::while_working(&mut guard.screen, &drawn, || app.open_build(build)),
        Opening::Begun { build, said } => {
            busy::while_working(&mut guard.screen, &drawn, || app.open_build(build));
            app.message.clone_from(said);
        }
    }
    drawn.clone_from(guard.screen.draw(|frame| draw(&app, frame))?.buffer);
    let _watch = terminal::Watch::start(signals.clone());
    if bench && let Err(why) = modules.ready() {
        return Ok(Ended::NotReady(why));
    }
    let mut seen = flow::Seen::now();
    while !app.quit {
        if let Some(signal) = signals.came() {
            return Ok(Ended::Signal(signal));
        }
        let mut changed = app.list_came() | app.due(Local::now().fixed_offset());
        if event::poll(WATCH)? {
            let event = event::read()?;
            if !flow::is_nothing(&event) {
                busy::while_working(&mut guard.screen, &drawn, || app.update_after(&event, seen.ago()));
                changed = true;
            }
            if flow::is_somebody(&event) {
                seen = flow::Seen::now();
            }
        }
        let mut stopped = false;
        if std::mem::take(&mut app.suspend) || signals.asked_to_stop() {
            guard.suspend()?;
            stopped = true;
        }
        if signals.came_back() {
            guard.take_again()?;
            stopped = true;
        }
        // A program that is stopped is not told that its window changed its size.
        if stopped {
            let size = guard.screen.size()?;
            if app.size != (size.width, size.height) {
                app.update(&event::Event::Resize(size.width, size.height));
            }
            changed = true;
        }
        // Nothing is drawn unless something happened.
        if changed {
            drawn.clone_from(guard.screen.draw(|frame| draw(&app, frame))?.buffer);
        }
        if app.put_off() {
            busy::while_working(&mut guard.screen, &drawn, || app.compute());
            drawn.clone_from(guard.screen.draw(|frame| draw(&app, frame))?.buffer);
        }
    }
    Ok(Ended::Left)
}
