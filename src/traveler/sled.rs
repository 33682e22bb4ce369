//! Where the sled of a belt drive stands, as far as the record tells.

use rust_decimal::prelude::ToPrimitive;

use crate::mechanics::belt;
use crate::procedure::plan::{DrawnDrive, limit};
use crate::quantity::Length;

use super::record::Record;

/// Centre distance of a drive now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Centre {
    /// At the inner end of the travel, where it is left until the belt lies in the grooves.
    Inner,
    /// Somewhere between the inner end and what the belt asks for: the belt is being drawn.
    Between,
    /// By the free span that was measured last, in mm.
    Measured(f64),
}

impl Record {
    /// Where the sled stands: by the last measured span of its belt, else by what is done.
    #[must_use]
    pub fn centre_of(&self, drive: &DrawnDrive) -> Centre {
        if !self.fitted().contains(&drive.laid.as_str()) {
            return Centre::Inner;
        }
        let of_belt = |id: &String| *id == drive.belt;
        let steps = self.plan().steps.iter().filter(|s| s.parts.iter().any(of_belt));
        let spans = steps.flat_map(|s| s.checks.iter().filter(|c| c.id == "span").map(move |c| (s, c)));
        let kept = spans.filter_map(|(s, c)| self.reading(&s.id, &c.id)).max_by_key(|k| k.event);
        let span = kept.and_then(|k| limit(k.reading.values.first())?.to_f64());
        let mm = Length::from_mm;
        let solved = span.and_then(|s| belt::Drive::from_span(mm(drive.driven_mm), mm(drive.other_mm), mm(s)).ok());
        solved.map_or(Centre::Between, |drive| Centre::Measured(drive.centre.mm()))
    }
}
