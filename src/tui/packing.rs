//! The list of a kit at the bench: what its keys do. Each tick is on the disk before the screen says so.

use crate::procedure::kit::{Kit, Line};
use crate::traveler::Ticks;
use crate::traveler::report::{packed, what};

use super::app::{App, BenchRow, Shown};
use super::ask::{Ask, Field, Purpose};
use super::keys::Act;

/// A kit that is being ticked off.
#[derive(Debug, Clone, PartialEq)]
pub struct Packing {
    /// The kit.
    pub kit: Kit,
    /// What is in hand.
    pub ticks: Ticks,
    /// Ids of the lines in the order in which they were missing when the list was opened: a tick moves none of them.
    order: Vec<String>,
    /// Only what is missing.
    pub missing_only: bool,
}

impl Packing {
    fn new(kit: Kit, ticks: Ticks) -> Self {
        let order = packed(&kit, &ticks).iter().map(|p| p.line.id.clone()).collect();
        Self { kit, ticks, order, missing_only: false }
    }

    /// How many of a line are in hand.
    #[must_use]
    pub fn have(&self, line: &Line) -> u32 {
        self.ticks.have(&line.id)
    }

    /// Required lines of which too few are in hand.
    #[must_use]
    pub fn stops(&self) -> usize {
        packed(&self.kit, &self.ticks).iter().filter(|p| p.stops()).count()
    }
}

impl App<'_> {
    /// Opens the kit of the module that is chosen on the bench.
    pub(super) fn open_kit(&mut self) {
        let rows = self.bench_rows();
        let offer = match rows.get(self.chosen) {
            Some(BenchRow::Module(k)) => self.offers.get(*k).cloned(),
            _ => None,
        };
        let Some(offer) = offer else {
            self.message = "A kit belongs to a module: choose one of the modules above.".into();
            return;
        };
        let read = self.modules.kit(&offer.name).and_then(|kit| {
            let ticks = self.store.ticks(&kit.module).map_err(|e| e.to_string())?;
            Ok(Packing::new(kit, ticks))
        });
        match read {
            Ok(packing) => {
                self.packing = Some(packing);
                self.shown = Shown::Kit;
                self.filter.clear();
                self.line = 0;
            }
            Err(why) => self.message = why,
        }
    }

    /// Lines of the kit on the list.
    #[must_use]
    pub fn kit_lines(&self) -> Vec<&Line> {
        let Some(packing) = &self.packing else { return Vec::new() };
        let line = |id: &String| packing.kit.lines.iter().find(|l| l.id == *id);
        let words = |l: &Line| format!("{} {} {}", what(l), l.id, l.note.as_deref().unwrap_or_default());
        let missing = |l: &&Line| !packing.missing_only || packing.have(l) < l.quantity;
        packing.order.iter().filter_map(line).filter(missing).filter(|l| self.found(&words(l))).collect()
    }

    pub(super) fn kit_act(&mut self, act: Act) {
        let last = self.kit_lines().len().saturating_sub(1);
        match act {
            Act::Up => self.line = self.line.saturating_sub(1),
            Act::Down => self.line = (self.line + 1).min(last),
            Act::PageUp => self.line = self.line.saturating_sub(15),
            Act::PageDown => self.line = (self.line + 15).min(last),
            Act::Tick => self.tick(),
            Act::Pieces => self.ask_pieces(),
            Act::Find => self.ask_find(),
            Act::OpenOnly => {
                if let Some(packing) = &mut self.packing {
                    *packing = Packing {
                        missing_only: !packing.missing_only,
                        ..Packing::new(packing.kit.clone(), packing.ticks.clone())
                    };
                }
                self.line = 0;
            }
            Act::Back => {
                self.packing = None;
                self.filter.clear();
                self.shown = Shown::Bench;
            }
            _ => {}
        }
    }

    /// All of the chosen line in hand, or none of it.
    fn tick(&mut self) {
        let Some((line, packing)) = self.chosen_line().zip(self.packing.as_ref()) else { return };
        let have = if packing.have(&line) < line.quantity { line.quantity } else { 0 };
        self.message = self.keep(&line, have).unwrap_or_else(|why| why);
    }

    fn chosen_line(&self) -> Option<Line> {
        self.kit_lines().get(self.line).map(|l| (*l).clone())
    }

    fn ask_pieces(&mut self) {
        let Some(line) = self.chosen_line() else { return };
        let words = format!("{}: {} {} are wanted.", what(&line), line.quantity, line.unit);
        let fields = vec![Field::text("How many are in hand")];
        self.ask = Some(Ask::new(Purpose::Pieces, "In hand", &words, fields));
    }

    /// Keeps the number that was typed for the chosen line.
    ///
    /// # Errors
    /// In words, for what is no whole number, and where the disk says no.
    pub(super) fn pieces(&mut self, typed: &str) -> Result<String, String> {
        let line = self.chosen_line().ok_or("There is no line to keep it with.")?;
        let have = typed.parse().map_err(|_| format!("\"{typed}\" is no number of pieces; write digits, like 12."))?;
        self.keep(&line, have)
    }

    fn keep(&mut self, line: &Line, have: u32) -> Result<String, String> {
        let Some(packing) = &mut self.packing else { return Ok(String::new()) };
        let kept = self.store.tick(&packing.kit.module, &[(&line.id, &line.name, have)]);
        packing.ticks = kept.map_err(|e| format!("Not saved: {e}"))?;
        let stops = packing.stops();
        self.line = self.line.min(self.kit_lines().len().saturating_sub(1));
        Ok(format!("Saved: {have} of {} {}. Required and missing: {stops}.", line.quantity, what(line)))
    }
}
