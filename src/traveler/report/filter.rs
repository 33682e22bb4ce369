//! Which readings a review shows.

use crate::procedure::plan::Step;
use crate::traveler::kept::Kept;

/// What a reading must have to be shown; nothing set shows all.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Filter {
    /// Step id.
    pub step: Option<String>,
    /// Kind of operation.
    pub operation: Option<String>,
    /// Part worked on.
    pub part: Option<String>,
    /// Who entered or measured.
    pub by: Option<String>,
    /// Instrument.
    pub instrument: Option<String>,
    /// Verdict in words.
    pub verdict: Option<String>,
    /// Not before this time, as far as it is written: 2026-07-14.
    pub from: Option<String>,
    /// Not after this time, as far as it is written.
    pub until: Option<String>,
}

impl Filter {
    /// True where everything is shown.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// True for a step that may hold readings to be shown.
    #[must_use]
    pub fn step_fits(&self, step: &Step) -> bool {
        self.step.as_ref().is_none_or(|s| *s == step.id)
            && self.operation.as_ref().is_none_or(|o| *o == step.operation)
            && self.part.as_ref().is_none_or(|p| step.parts.contains(p))
    }

    /// True for a reading to be shown.
    #[must_use]
    pub fn fits(&self, step: &Step, kept: &Kept<'_>) -> bool {
        self.step_fits(step)
            && self.by.as_ref().is_none_or(|by| kept.made_by(by))
            && self.instrument.as_ref().is_none_or(|i| kept.reading.instrument.as_ref().is_some_and(|u| u.id == *i))
            && self.verdict.as_ref().is_none_or(|v| kept.reading.verdict.word() == v)
            && self.when_fits(kept.at)
    }

    /// True for what is kept with a step and has a time, as a note or a release.
    #[must_use]
    pub fn event_fits(&self, step: Option<&Step>, by: &str, at: &str) -> bool {
        let plain = self.instrument.is_none() && self.verdict.is_none();
        let place =
            step.map_or(self.step.is_none() && self.operation.is_none() && self.part.is_none(), |s| self.step_fits(s));
        plain && place && self.by.as_ref().is_none_or(|b| b == by) && self.when_fits(at)
    }

    /// Times of the record begin with their date, so that as much as is written is compared.
    fn when_fits(&self, at: &str) -> bool {
        let cut = |limit: &String| at.get(..limit.len()).unwrap_or(at).to_owned();
        self.from.as_ref().is_none_or(|f| cut(f) >= *f) && self.until.as_ref().is_none_or(|u| cut(u) <= *u)
    }
}
