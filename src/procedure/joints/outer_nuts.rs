//! Nuts that stand outside the clamping nuts of the rods: second nuts, and nuts that retain balance washers. They hide a loose
//! clamping nut, so a visit takes their load off before it reads one, and puts it on again.

use crate::module::Securing;
use crate::procedure::draft::{self, Draft};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::Picture;

use super::fasten::{nm, wrench};
use super::{Context, Stacked, balancing, clamped_stack};

/// What stands outside the clamping nuts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OuterNuts {
    /// A second nut at each rod end, at the torque of the rods.
    Second,
    /// Nuts over balance washers, at a share of that torque.
    Retaining,
    /// A second nut at each rod end, and outside it washers under their nut.
    SecondUnderRetaining,
}

impl OuterNuts {
    /// Those of the rods; none where the clamping nuts stand alone.
    pub fn of(context: &Context<'_>) -> Option<Self> {
        let second = *context.module.stack.as_ref()?.rods.bolts.secure == Securing::SecondNut;
        let washers = context.module.balance.as_ref().is_some_and(|b| b.washers.is_some());
        match (second, washers) {
            (false, false) => None,
            (true, false) => Some(Self::Second),
            (false, true) => Some(Self::Retaining),
            (true, true) => Some(Self::SecondUnderRetaining),
        }
    }

    /// Words of the step that reads the clamping nuts at a visit.
    const fn entry(self) -> &'static str {
        match self {
            Self::Second => "at a visit, outer nuts",
            Self::Retaining => "at a visit, washers on",
            Self::SecondUnderRetaining => "at a visit, washers over second nuts",
        }
    }

    /// The step that reads the clamping nuts at a visit, with what it takes for the nuts outside them.
    ///
    /// # Errors
    /// [`NoFigure`] where no table has a value for what the spec says.
    pub fn around(self, stacked: &Stacked<'_>, mut draft: Draft) -> Result<Draft, NoFigure> {
        draft.entry = self.entry();
        match self {
            Self::Second => Ok(draft.slot("flats", flats(stacked))),
            Self::Retaining | Self::SecondUnderRetaining => {
                Ok(balancing::retaining_slots(stacked, draft)?.check(draft::confirm("back")))
            }
        }
    }

    /// Second nuts tightened again, all at once after the clamping nuts were read. Where washers stand over them they go back rod by
    /// rod while the clamping nuts are read, so that no washer gets to another rod.
    ///
    /// # Errors
    /// As [`OuterNuts::around`].
    pub fn secured_again(
        self,
        stacked: &Stacked<'_>,
        rods: &str,
        place: &'static str,
    ) -> Result<Option<Draft>, NoFigure> {
        if self != Self::Second {
            return Ok(None);
        }
        let t = clamped_stack::tighten(stacked)?;
        let ends = 2 * t.count;
        let draft = Draft::new("secure", "outer nuts at a visit", &format!("{rods}-visit"), place)
            .parts([rods])
            .picture(Picture::Circle(rods.to_owned()))
            .slot("group", &t.name)
            .slot("torque", nm(t.torque))
            .slot("flats", flats(stacked))
            .slot("nut class", stacked.own.rod.class.nut.to_string())
            .slot("wrench", wrench(t.torque))
            .check(draft::count("fitted", ends, ends, "one at each end of each rod"))
            .check(draft::confirm("lines"))
            .after(format!("{rods} looked at"), "an outer nut that is tight hides a loose inner one")
            .makes(format!("{rods} secured at the visit"))
            .minutes(10);
        Ok(Some(draft))
    }
}

fn flats(stacked: &Stacked<'_>) -> String {
    format!("{} mm", stacked.own.rod.thread.s)
}
