//! Questions that are answered before an entry opens: did part and instrument lie together, was a bolt that is too tight eased.
//! The answer is kept as a note of the step.

use crossterm::event::{KeyCode, KeyEvent};

use crate::procedure::plan::{Check, CheckKind};
use crate::traveler::event::{Body, Event};
use crate::traveler::plausible::{self, SOAK};
use crate::traveler::{EASED, LEFT_TIGHT, Standing};

use super::app::App;
use super::entry::{Doubt, OpenEntry};

impl App<'_> {
    /// The question that stands before the open entry, if one does.
    #[must_use]
    pub fn asked_first(&self) -> Option<String> {
        self.soak_asked().or_else(|| self.ease_asked())
    }

    /// The question before a length with a narrow zone is measured: did part and instrument lie together? Asked once a
    /// step, as the zone is small against the growth of the part, and never where nothing is to be entered.
    #[must_use]
    pub fn soak_asked(&self) -> Option<String> {
        let (record, step, check) = (self.record()?, self.shown_step()?, self.open_check()?);
        if !self.at_work() || !self.text_seen() {
            return None;
        }
        let growth = plausible::soak(check)?;
        // Another part comes from another place, and another round from another day.
        let now = |e: &Event| {
            e.header.event >= record.round_began() && !record.another_part_since(&step.id, &check.id, e.header.event)
        };
        let answered = record
            .events
            .iter()
            .any(|e| matches!(&e.body, Body::Note(n) if n.step == step.id && n.text.starts_with(SOAK) && now(e)));
        let unit = check.unit.as_deref().unwrap_or_default();
        (!answered).then(|| {
            format!("Did part and instrument lie side by side until equally warm? 10 K between them is {growth} {unit} here.")
        })
    }

    /// The question before a bolt that was read too tight is pulled again.
    #[must_use]
    pub fn ease_asked(&self) -> Option<String> {
        if !self.at_work() || !self.text_seen() {
            return None;
        }
        let bolts = numbers(&self.to_ease());
        let upper = self.open_check()?.upper.clone().unwrap_or_default();
        (!bolts.is_empty()).then(|| {
            format!("Bolt {bolts} was read above {upper} N·m. Eased well below it since? Only then does a pull tell anything.")
        })
    }

    /// Bolts that are eased before the open check takes another pull.
    #[must_use]
    pub fn to_ease(&self) -> Vec<u32> {
        match (self.record(), self.shown_step(), self.open_check()) {
            (Some(record), Some(step), Some(check)) => record.to_ease(step, check),
            _ => Vec::new(),
        }
    }

    /// Yes opens the entry and is kept as a note; no says what to do.
    pub(super) fn answer_first(&mut self, yes: bool) {
        let soak = self.soak_asked().is_some();
        if !yes {
            self.message = if soak {
                "Let them lie side by side on steel, about an hour for a hand-sized part (common practice), then answer y."
            } else {
                "Ease it first, well below the torque, then answer y. Only mistyped: c puts the reading right."
            }
            .into();
            return;
        }
        let note = if soak { format!("{SOAK}: yes.") } else { format!("{EASED}: bolt {}.", numbers(&self.to_ease())) };
        if self.noted(&note) {
            self.message.clear();
        }
    }

    /// Keeps a note of the step shown; false where it was not kept, which is said, or nobody is named.
    fn noted(&mut self, note: &str) -> bool {
        let Some(by) = self.by.clone() else {
            self.ask_person();
            return false;
        };
        let step = self.step.clone();
        let kept = self.session.as_mut().map(|session| session.note(&step, note, &by));
        if let Some(Err(error)) = &kept {
            self.not_saved(error);
        }
        matches!(kept, Some(Ok(_)))
    }

    /// While such a question stands, values are said to be unused and the rest are commands.
    pub(super) fn first_key(&mut self, key: &KeyEvent) -> bool {
        match key.code {
            KeyCode::Char('y') => self.answer_first(true),
            KeyCode::Char('n') => self.answer_first(false),
            KeyCode::Char(c) if c.is_ascii_digit() || matches!(c, ',' | '.' | '-' | ' ') => {
                self.not_used(&if c == ' ' { "Space".to_owned() } else { c.to_string() });
            }
            KeyCode::Enter => {}
            _ => return false,
        }
        true
    }

    /// Says that such a question stands before what was typed.
    pub(super) fn not_used(&mut self, typed: &str) {
        let what = if self.soak_asked().is_some() {
            "whether part and instrument lay together"
        } else {
            "whether the bolt was eased"
        };
        self.message = format!("Not used: {typed}. Answer first {what}: y or n.");
    }

    /// The answer about a bolt that was just read too tight is in the record before the pass goes on: eased, it is pulled
    /// again; left as it is, its torque counts as it was read.
    pub(super) fn tight_answer(&mut self, eased: bool, check: &Check) {
        let Some(Doubt::Tight(tight)) = self.entry.doubt.clone() else { return };
        let said = if eased { EASED } else { LEFT_TIGHT };
        if !self.noted(&format!("{said}: {}.", tight.read)) {
            return;
        }
        if eased {
            self.entry.doubt = None;
            self.entry.clear_input();
            self.message = format!("Kept. Bolt {}: pull it again, then type its torque.", tight.bolt);
        } else {
            let taken = self.entry.keep_doubted(check, &self.sequence());
            self.taken(taken);
        }
    }
}

/// Begins the note of a torque that is typed anew after it was too tight.
const TYPED_ANEW: &str = "Said to be mistyped and typed anew";

impl App<'_> {
    /// A torque that was too tight is edited, dropped, or typed over without the question being answered: it leaves its trace,
    /// since a bolt that was pulled on without easing it looks just the same.
    pub(super) fn let_tight_go(&mut self) {
        if let Some(Doubt::Tight(tight)) = self.entry.doubt.clone() {
            self.noted(&format!("{TYPED_ANEW}: {}.", tight.read));
        }
    }
}

/// Values that stand of a reading outside, so that only the others are typed anew.
impl App<'_> {
    /// What stands for the open check.
    fn stands(&self) -> Option<Standing> {
        let (record, step, check) = (self.record()?, self.shown_step()?, self.open_check()?);
        let by = self.by.as_deref().filter(|_| !self.entry.all_anew && self.at_work())?;
        record.standing(step, check, by, self.instrument.as_deref())
    }

    /// Numbers of the values that are typed anew; empty where all of them are.
    #[must_use]
    pub fn anew(&self) -> Vec<u32> {
        self.stands().map_or_else(Vec::new, |s| s.anew())
    }

    /// What is asked for in its order: bolts, or the numbers of the values of a series where not all are.
    #[must_use]
    pub fn sequence(&self) -> Vec<u32> {
        let anew = self.anew();
        match self.open_check().map(|c| c.asks()) {
            Some(CheckKind::Torque) => {
                let all = self.shown_step().and_then(|s| s.sequence.clone()).unwrap_or_default();
                all.into_iter().filter(|n| anew.is_empty() || anew.contains(n)).collect()
            }
            Some(CheckKind::Series) => anew,
            _ => Vec::new(),
        }
    }

    /// Values of the open series so far, each in its place: those that stand, those typed; empty text for one that is missing.
    #[must_use]
    pub fn so_far(&self) -> Vec<String> {
        let Some(stands) = self.stands() else { return self.entry.given.clone() };
        let mut given = self.entry.given.iter();
        stands.values.into_iter().map(|v| v.unwrap_or_else(|| given.next().cloned().unwrap_or_default())).collect()
    }

    /// Bolts that are tight and need no pull: those that stand, and those done.
    #[must_use]
    pub fn bolts_tight(&self) -> Vec<u32> {
        let stands = self.stands().map_or_else(Vec::new, |s| s.values);
        let tight = (1..).zip(stands).filter(|(_, v)| v.is_some()).map(|(n, _)| n);
        tight.chain(self.entry.bolts_done()).collect()
    }

    /// The typed values with those that stand in their places.
    pub(super) fn with_standing(&self, values: Vec<String>) -> Vec<String> {
        let Some(Standing { values: stands, .. }) = self.stands() else { return values };
        let series = self.open_check().is_some_and(|c| c.asks() == CheckKind::Series);
        if series {
            let mut new = values.into_iter();
            return stands.into_iter().map(|v| v.unwrap_or_else(|| new.next().unwrap_or_default())).collect();
        }
        let kept = (1..).zip(stands).filter_map(|(n, v): (u32, _)| v.map(|v| format!("{n}={v}")));
        kept.chain(values).collect()
    }

    /// All values are typed anew after all. False where none stand.
    pub(super) fn drop_standing(&mut self) -> bool {
        let stands = !self.entry.begun() && !self.anew().is_empty();
        if stands {
            self.entry = OpenEntry { all_anew: true, ..OpenEntry::default() };
            self.message = "None stands any more: all of them are typed anew.".into();
        }
        stands
    }

    /// What is typed belongs to the values that stood beside it: where others stand now, by another person or instrument, it
    /// is begun anew.
    pub(super) fn parted_from(&mut self, before: &[u32]) {
        let collected = !self.entry.given.is_empty() || self.entry.first.is_some();
        if collected && self.anew() != before {
            self.entry = OpenEntry::default();
        }
    }
}

fn numbers(list: &[u32]) -> String {
    list.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}
