//! What is looked at again after the module has left the bench: which joint, when, why. It is part of the recorded plan, so
//! that a record years old still says what was due.

use serde::{Deserialize, Serialize};

use crate::module::{Module, RingLock, Securing, Setup};
use crate::standards::settling::{self, Interval};

use super::draft::{Draft, Sheet};
use super::figures::{Figures, NoFigure};
use super::joints::{Context, base_group, hub_group, pinch_group, ring_group};

/// The step whose end starts the clock of everything that is followed up: the module has run as it stands.
pub const STARTS: &str = "spin-proving";

/// Id of the nuts that hold balance washers.
pub const RETAINING: &str = "retaining-nuts";

/// One thing to look at again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FollowUp {
    /// Id: a fastener group, a belt, or `grease`.
    pub id: String,
    /// Kind of joint, as the table of rules names it.
    pub joint: String,
    /// What it is called in sentences.
    pub name: String,
    /// What is done, in a line.
    pub what: String,
    /// Parts worked on.
    pub parts: Vec<String>,
    /// Step of a visit that does it.
    pub step: String,
    /// Steps that set it or look at it in a build; their last reading is what it was left at.
    pub set_by: Vec<String>,
    /// Step after which the clock runs.
    pub after: String,
    /// First, second … time; the last repeats.
    pub times: Vec<Interval>,
    /// Source of the times.
    pub basis: String,
}

/// Everything that is followed up of a module in a setup.
///
/// # Errors
/// [`NoFigure`] where the table has no rule.
pub fn of(context: &Context<'_>, sheet: &Sheet) -> Result<Vec<FollowUp>, NoFigure> {
    let m = context.module;
    let mut list = Vec::new();
    let mut add = |joint: &str, id: String, name: String, parts: Vec<String>, what: &str| -> Result<(), NoFigure> {
        let rule = settling::rule(joint).map_err(|e| NoFigure { line: 0, why: e.to_string() })?;
        list.push(FollowUp {
            set_by: set_by(sheet, joint, &id),
            step: format!("recheck-{id}-visit"),
            joint: joint.to_owned(),
            what: format!("{what} {name}"),
            name,
            parts,
            after: STARTS.into(),
            times: rule.times.clone(),
            basis: rule.source.clone(),
            id,
        });
        Ok(())
    };
    if let Some(stack) = &m.stack {
        let locked = *stack.collars.pinch.secure == Securing::ThreadLocker;
        for collar in &stack.collars.each {
            let (joint, what) = if locked { ("locked", "Look at the lines of") } else { ("pinch", "Recheck") };
            let name = format!("the pinch bolts of {}", collar.value);
            add(joint, pinch_group(&collar.value), name, vec![collar.value.clone()], what)?;
        }
        let locked = *stack.rods.bolts.secure == Securing::ThreadLocker;
        let (joint, what) = if locked { ("locked", "Look at the lines of") } else { ("rods", "Recheck") };
        if m.balance.as_ref().is_some_and(|b| b.washers.is_some()) {
            let name = "the retaining nuts of the balance washers".into();
            add("retaining", RETAINING.into(), name, vec![stack.rods.part.clone()], "Look at")?;
        }
        add(joint, stack.rods.part.clone(), "the rod nuts".into(), vec![stack.rods.part.clone()], what)?;
    }
    for bearing in &m.bearings.each {
        let part = vec![bearing.value.clone()];
        let group = ring_group(m, &bearing.value);
        match &m.bearings.lock {
            RingLock::SetScrews(_) => {
                add("ring", group, format!("the set screws of {}", bearing.value), part.clone(), "Recheck")?;
            }
            RingLock::Sleeve(_) => {
                add("sleeve", group, format!("the sleeve nut of {}", bearing.value), part.clone(), "Look at")?;
            }
        }
        add("base", base_group(&bearing.value), format!("the base bolts of {}", bearing.value), part, "Recheck")?;
    }
    let feet = vec![m.base.part.clone(), m.frame.part.clone()];
    add("base", "hold-downs".into(), "the hold-downs".into(), feet, "Recheck")?;
    for driven in context.driven() {
        let pulley = &driven.drive.pulley.part;
        add("hub", hub_group(&driven), format!("the set screws of the {pulley} hub"), vec![pulley.clone()], "Recheck")?;
        let belt = driven.drive.belt.part.clone();
        add("belt", belt.clone(), format!("the {belt}"), vec![belt], "Read the tension of")?;
    }
    list.push(grease(context));
    Ok(list)
}

/// Steps that set a joint or look at it: those of its group, or the readings of a belt.
fn set_by(sheet: &Sheet, joint: &str, id: &str) -> Vec<String> {
    let of_group = |d: &&Draft| {
        let raised = d.raises.as_ref().is_some_and(|(g, _)| g == id) && d.torque_nm.is_some();
        raised || d.shows.as_ref().is_some_and(|(g, _)| g == id)
    };
    let of_belt = |d: &&Draft| {
        matches!(d.kind, "tension" | "measure")
            && d.parts.iter().any(|p| p == id)
            && d.id != format!("tension-{id}-seating")
    };
    let own = |d: &&Draft| !d.id.ends_with("-visit") && if joint == "belt" { of_belt(d) } else { of_group(d) };
    sheet.drafts.iter().filter(own).map(|d| d.id.clone()).collect()
}

/// Grease of the bearings, by the speed of the setup. Above the table's last speed only the maker can say when.
fn grease(context: &Context<'_>) -> FollowUp {
    let known = settling::grease(context.figures.speed);
    let (times, basis) = match known {
        Ok((months, source)) => {
            let every = Interval { months: Some(months), ..Interval::default() };
            (
                vec![every],
                format!("{source}; units without a nipple are greased for life, the maker's sheet comes first"),
            )
        }
        Err(e) => (Vec::new(), format!("{e}; ask the maker of the bearings")),
    };
    FollowUp {
        id: "grease".into(),
        joint: "grease".into(),
        name: "the bearings".into(),
        what: "Grease the bearings, where they have a nipple".into(),
        parts: context.module.bearings.each.iter().map(|b| b.value.clone()).collect(),
        step: "lubricate-bearings-visit".into(),
        set_by: Vec::new(),
        after: STARTS.into(),
        times,
        basis,
    }
}

/// Everything that is followed up of a module in a setup, put down anew: for records made before their plan said so.
///
/// # Errors
/// [`NoFigure`] where a figure cannot be computed.
pub fn of_module(module: &Module, setup: &Setup) -> Result<Vec<FollowUp>, NoFigure> {
    let figures = Figures::of(module, setup)?;
    let context = Context::new(module, setup, &figures);
    of(&context, &super::joints::put_down(&context)?)
}
