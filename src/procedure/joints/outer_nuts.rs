//! Nuts that stand outside the clamping nuts of the rods: second nuts, and nuts that retain balance washers. They hide a loose
//! clamping nut, so a visit eases them first and tightens them again in a step of its own.

use crate::module::Securing;
use crate::procedure::draft::{self, Draft};
use crate::procedure::figures::NoFigure;
use crate::procedure::plan::Picture;

use super::balancing::Spot;
use super::fasten::{nm, wrench};
use super::{Context, clamped_stack};

/// What stands outside the clamping nuts.
pub struct OuterNuts {
    /// In words: "second nuts".
    pub name: &'static str,
    torque: String,
}

impl OuterNuts {
    /// Those of the rods; none where the clamping nuts stand alone.
    ///
    /// # Errors
    /// [`NoFigure`] where no table has a value for what the spec says.
    pub fn of(context: &Context<'_>) -> Result<Option<Self>, NoFigure> {
        let Some(stacked) = context.stacked() else { return Ok(None) };
        let second = *stacked.stack.rods.bolts.secure == Securing::SecondNut;
        let washers = context.module.balance.as_ref().is_some_and(|b| b.washers.is_some());
        let full = || Ok(nm(clamped_stack::tighten(&stacked)?.torque));
        let retaining = || Ok(nm(Spot::of(context.module, context.setup, context.figures)?.retaining));
        Ok(match (second, washers) {
            (false, false) => None,
            (true, false) => Some(Self { name: "second nuts", torque: full()? }),
            (false, true) => Some(Self { name: "retaining nuts", torque: retaining()? }),
            (true, true) => Some(Self {
                name: "second nuts and retaining nuts",
                torque: format!("{}, a nut that only retains washers to {}", full()?, retaining()?),
            }),
        })
    }

    /// Tightened again after the clamping nuts were read.
    ///
    /// # Errors
    /// As [`OuterNuts::of`].
    pub fn secured_again(
        &self,
        context: &Context<'_>,
        rods: &str,
        place: &'static str,
    ) -> Result<Option<Draft>, NoFigure> {
        let Some(stacked) = context.stacked() else { return Ok(None) };
        let t = clamped_stack::tighten(&stacked)?;
        let ends = 2 * t.count;
        let (least, basis) = if self.name.starts_with("second") {
            (ends, "one at each end of each rod")
        } else {
            (0, "as many as were eased; a rod end without washers has none")
        };
        let draft = Draft::new("secure", "outer nuts at a visit", &format!("{rods}-visit"), place)
            .parts([rods])
            .picture(Picture::Circle(rods.to_owned()))
            .slot("group", &t.name)
            .slot("outer", self.name)
            .slot("outer torque", &self.torque)
            .slot("flats", format!("{} mm", stacked.own.rod.thread.s))
            .slot("nut class", stacked.own.rod.class.nut.to_string())
            .slot("wrench", wrench(t.torque))
            .check(draft::count("fitted", least, ends, basis))
            .check(draft::confirm("lines"))
            .after(format!("{rods} looked at"), "an outer nut that is tight hides a loose inner one")
            .makes(format!("{rods} secured at the visit"))
            .minutes(10);
        Ok(Some(draft))
    }
}
