//! The visit to a module that has run: each joint that is due is read as it is found, before anything is changed, and as it is
//! left. Only then is the guard closed again.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;
use serde::{Deserialize, Serialize};

use crate::mechanics::belt_tension::deflection;
use crate::mechanics::interplay::Case;
use crate::module::{Bolts, RingLock, spec_line};
use crate::procedure::draft::{self, Draft, Limits, Sheet};
use crate::procedure::engine::{Stage, What};
use crate::procedure::figures::{self, Collar, HeldBy, Joint, NoFigure};
use crate::procedure::follow_up::{self, FollowUp};
use crate::procedure::plan::{Check, Picture, SeriesRule};
use crate::quantity::{Torque, rounded};
use crate::standards::{bench, settling};

use super::fasten::{self, Tightening, spanner};
use super::outer_nuts::OuterNuts;
use super::{Context, Driven, balancing, base_group, belt_run, decimal, hub, mm, split_collar};

const FRAME: &str = "frame";

/// What the guard closes over.
const CLOSED_AGAIN: &str = "guard closed again";

/// When a check of a visit is made, and what the joint was left at the last time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Found {
    /// Before anything is changed, or after.
    pub moment: Moment,
    /// What it was left at; none where no record says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last: Option<Left>,
}

/// As found, or as left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Moment {
    /// Before anything is changed.
    AsFound,
    /// After it was put right, or left alone.
    AsLeft,
}

/// A value that a joint was left at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Left {
    /// Least of its values, a decimal in the unit of the check.
    pub value: String,
    /// Entry of the record.
    pub event: u64,
    /// When.
    pub at: String,
}

/// What a visit looks at: ids of the follow-up, each with what it was left at.
pub type Visit = BTreeMap<String, Option<Left>>;

/// Puts down the steps of a visit, and lets the guard wait for them; nothing where no visit is made.
///
/// # Errors
/// [`NoFigure`] where no tool covers a torque.
pub fn put_down(context: &Context<'_>, sheet: &mut Sheet) -> Result<(), NoFigure> {
    let Some(visit) = context.visit else { return Ok(()) };
    let mut facts = Vec::new();
    let mut gripped = false;
    for due in follow_up::of(context, sheet)?.iter().filter(|f| visit.contains_key(&f.id)) {
        let last = visit.get(&due.id).and_then(Option::as_ref);
        let fact = format!("{} looked at", due.id);
        gripped |= matches!(due.joint.as_str(), "rods" | "pinch");
        sheet.add(at_the_frame(step(context, due, last)?).makes(fact.clone()));
        if let (Some(outer), Some(stacked)) = (outer_nuts(context, due), context.stacked())
            && let Some(again) = outer.secured_again(&stacked, &due.id, FRAME)?
        {
            sheet.add(at_the_frame(again));
            facts.push((format!("{} secured at the visit", due.id), true));
        }
        facts.push((fact, matches!(due.joint.as_str(), "rods" | "pinch")));
    }
    if let (true, Some(stacked)) = (gripped, context.stacked()) {
        let mut test =
            split_collar::slip_test(&stacked, "slip-visit", "at the visit", FRAME)?.makes("slip proved at the visit");
        for (fact, _) in facts.iter().filter(|(_, grips)| *grips) {
            test = test.after(
                fact.clone(),
                "the wrench was at these joints, the proof of the last time says nothing of them now",
            );
        }
        sheet.add(at_the_frame(test));
        facts.push(("slip proved at the visit".into(), false));
    }
    let guards = sheet.drafts.iter_mut().filter(|d| d.makes.iter().any(|f| f == CLOSED_AGAIN));
    for guard in guards {
        for (fact, _) in &facts {
            let closing = std::mem::replace(guard, Draft::new("guard", "close", "", FRAME));
            *guard = closing.after(fact.clone(), "the state that is released must be the state that runs");
        }
    }
    Ok(())
}

/// Work on the machine as it stands, so after the guard is off: never made ready beside it.
fn at_the_frame(draft: Draft) -> Draft {
    draft.needs(What::Present("module-on-frame".into()), "it is looked at where the module runs")
}

/// Ids of the steps that only a visit has.
pub fn is_of_visit(step: &str) -> bool {
    step.ends_with("-visit")
}

fn step(context: &Context<'_>, due: &FollowUp, last: Option<&Left>) -> Result<Draft, NoFigure> {
    let m = context.module;
    let bolts = |group: &str, bolts: &Bolts| fasten::of_bolts("", group, bolts, FRAME);
    let at_bearing = |group: fn(&str) -> String| m.bearings.each.iter().any(|b| group(&b.value) == due.id);
    match due.joint.as_str() {
        "belt" => belt(&drive_of(context, due)?, due, last),
        "grease" => Ok(grease(due)),
        "locked" => Ok(lines_only(due, "at a visit, locked")),
        "sleeve" => Ok(tab(due)),
        "retaining" => retaining(context, due),
        "rods" => {
            let stacked = context.stacked().ok_or_else(|| nothing(due))?;
            let t = super::clamped_stack::tighten(&stacked)?;
            let draft = bolted(due, &t, last, rods_share(context)?)?;
            let draft = match outer_nuts(context, due) {
                Some(outer) => outer.around(&stacked, draft)?,
                None => draft,
            };
            let looked = context.visit.is_some_and(|v| v.contains_key(follow_up::RETAINING));
            let first = format!("{} looked at", follow_up::RETAINING);
            Ok(if looked {
                draft.after(first, "its retaining nuts are read as found before they come off")
            } else {
                draft
            })
        }
        "pinch" => {
            let stacked = context.stacked().ok_or_else(|| nothing(due))?;
            let t = split_collar::tightening(&stacked, &due.id, &due.parts[0])?;
            bolted(due, &t, last, pinch_share(context, &due.parts[0])?)
        }
        "hub" => {
            let driven = drive_of(context, due)?;
            let t = fasten::of_screws("", &due.name, &driven.drive.pulley.set_screws, FRAME)?;
            bolted(due, &t, last, hub_share(context, &driven)?)
        }
        "ring" => match &m.bearings.lock {
            RingLock::SetScrews(set) => {
                let t = fasten::of_ring("", &due.name, (&m.bearings.insert, set), FRAME)?;
                bolted(due, &t, last, None)
            }
            RingLock::Sleeve(_) => Err(nothing(due)),
        },
        _ if at_bearing(base_group) => bolted(due, &bolts(&due.name, &m.bearings.base_bolts)?, last, None),
        _ => bolted(due, &bolts(&due.name, &m.frame.hold_downs)?, last, None),
    }
}

fn nothing(due: &FollowUp) -> NoFigure {
    NoFigure { line: 0, why: format!("the module has no {}", due.name) }
}

fn drive_of<'a>(context: &Context<'a>, due: &FollowUp) -> Result<Driven<'a>, NoFigure> {
    let own = |d: &Driven<'_>| hub::group(d) == due.id || d.drive.belt.part == due.id;
    context.driven().find(own).ok_or_else(|| nothing(due))
}

/// A step of the visit, without its checks.
fn blank(kind: &'static str, entry: &'static str, due: &FollowUp) -> Draft {
    let object = due.step.strip_prefix(kind).and_then(|s| s.strip_prefix('-')).unwrap_or(&due.step);
    Draft::new(kind, entry, object, FRAME).parts(due.parts.clone()).slot("group", &due.name)
}

/// A check as found: what is found stays found, whatever is done after it.
fn found(check: Check, last: Option<&Left>) -> Check {
    Check { stays: true, found: Some(Found { moment: Moment::AsFound, last: last.cloned() }), ..check }
}

fn left(check: Check) -> Check {
    Check { found: Some(Found { moment: Moment::AsLeft, last: None }), ..check }
}

/// "; left at 17.3 N·m, entry 212 of 2026-07-14".
fn since(last: Option<&Left>, unit: &str) -> String {
    last.map_or_else(
        || "; no record says what it was left at".into(),
        |l| format!("; left at {} {unit}, entry {} of {}", l.value, l.event, l.at.get(..10).unwrap_or(&l.at)),
    )
}

/// What stands outside the nuts that are read; only the rods have something there.
fn outer_nuts(context: &Context<'_>, due: &FollowUp) -> Option<OuterNuts> {
    OuterNuts::of(context).filter(|_| due.joint == "rods")
}

fn bolted(due: &FollowUp, t: &Tightening<'_>, last: Option<&Left>, need: Option<Need>) -> Result<Draft, NoFigure> {
    let final_ = t.to_share("by passes", Stage::Final, 1.0)?;
    let limits = least(t, need, last)?;
    let order = final_.sequence.clone().unwrap_or_default();
    let places = draft::counted("bolt", t.count);
    let mut draft = blank("recheck", "at a visit", due)
        .picture(Picture::Circle(due.id.clone()))
        .slot("torque", t.said())
        .slot("least", limits.lower.map_or_else(String::new, |l| format!("{l} N·m")))
        .slot("sequence", order.iter().map(u32::to_string).collect::<Vec<_>>().join(", "))
        .slot("wrench", fasten::wrench(t.torque))
        .slot("spanner", &t.spanner)
        .slot("counter tool", &t.counter_tool)
        .check(found(draft::confirm("mark"), None))
        .check(found(draft::series_at("found", "N·m", places, SeriesRule::Each, limits), last))
        .minutes(4 + t.count);
    draft.checks.extend(
        final_.checks.iter().filter(|c| c.id == "torque").map(|c| left(Check { id: "left".into(), ..c.clone() })),
    );
    draft.checks.push(left(draft::confirm("lines")));
    draft.shows = Some((due.id.clone(), Stage::Final.to_string()));
    draft.torque_nm = final_.torque_nm;
    draft.sequence = Some(order);
    Ok(draft.after(format!("{} final", due.id), "only a joint that was tightened has something to look at again"))
}

/// The least torque at which a bolt may begin to move: what slip needs where slip is computed, else what settling takes with
/// nothing wrong.
fn least(t: &Tightening<'_>, need: Option<Need>, last: Option<&Left>) -> Result<Limits, NoFigure> {
    let (loss, loss_source) = settling::plain_loss();
    let (tool, _) = bench::torque_tool(t.torque).map_err(|e| NoFigure { line: 0, why: e.to_string() })?;
    let (share, why) = match need {
        Some(need) => (need.share.min(1.0), need.why),
        None => {
            ((1.0 - loss) * (1.0 - tool), format!("{loss_source}, and {} % of the wrench", rounded(tool * 100.0, 0)))
        }
    };
    // Rounded up, to the safe side, but never over what the wrench is set to.
    let set = t.set_to(1.0).nm();
    let lower = ((t.torque.nm() * share * 10.0).ceil() / 10.0).min(set);
    Ok(Limits {
        nominal: decimal(set, 2).map(draft::tenths),
        lower: decimal(lower, 2).map(draft::tenths),
        basis: format!("{why}{}", since(last, "N·m")),
        ..Limits::default()
    })
}

/// Share of the full torque that a joint needs, and for what.
struct Need {
    share: f64,
    why: String,
}

/// What the slip safety of the spec needs. `whole` is what the joint would hold with nothing taken from its preload, `kept` what
/// settling leaves of the preload; what has settled shows in the reading.
fn needed(context: &Context<'_>, joint: &Joint, whole: Torque, kept: f64) -> Need {
    let safety = &context.module.limits.slip_safety;
    let wanted = safety.value.to_f64().unwrap_or(f64::NAN);
    let need = context.module.limits.torque.nm() * wanted;
    Need {
        share: (need + whole.nm() - joint.holds.nm()) / whole.nm() * kept,
        why: format!(
            "less holds less than {} times the torque ({}), its preload taken in proportion",
            **safety,
            spec_line(safety.place)
        ),
    }
}

fn rods_share(context: &Context<'_>) -> Result<Option<Need>, NoFigure> {
    let Some(s) = context.stacked() else { return Ok(None) };
    let fresh = figures::tight(&s.stack.rods.bolts)?;
    let clamp = s.own.rod.least * f64::from(*s.stack.rods.bolts.count);
    let whole = Case::low().stack_torque(clamp, *s.stack.discs.on);
    let joint = s.own.joints.iter().find(|j| j.by == HeldBy::Rods);
    Ok(joint.map(|j| needed(context, j, whole, s.own.rod.least / fresh.least)))
}

fn pinch_share(context: &Context<'_>, collar: &str) -> Result<Option<Need>, NoFigure> {
    let Some(s) = context.stacked() else { return Ok(None) };
    let fresh = figures::tight(&s.stack.collars.pinch)?;
    let grip = s.own.pinch.least * f64::from(*s.stack.collars.pinch.count);
    let whole = Case::low().collar_torque(grip, context.module.shaft.diameter.length());
    let which = if collar == figures::sliding(context.module) { Collar::Sliding } else { Collar::Datum };
    let joint = s.own.joints.iter().find(|j| j.by == HeldBy::Pinch(which));
    Ok(joint.map(|j| needed(context, j, whole, s.own.pinch.least / fresh.least)))
}

/// A keyed hub does not hang on its screws. The safety is that of the design check, which goes by the kind of load.
fn hub_share(context: &Context<'_>, driven: &Driven<'_>) -> Result<Option<Need>, NoFigure> {
    let limits = &context.module.limits;
    let share = figures::screws_needed(context.module, &driven.drive.pulley)?;
    Ok(share.map(|share| Need {
        share,
        why: format!(
            "less holds the torque ({}) with less safety than {} load asks for, holding taken in proportion",
            spec_line(limits.torque.place),
            limits.load().word()
        ),
    }))
}

/// A joint that no wrench touches any more: its line tells.
fn lines_only(due: &FollowUp, entry: &'static str) -> Draft {
    blank("recheck", entry, due)
        .picture(Picture::Circle(due.id.clone()))
        .check(found(draft::confirm("mark"), None))
        .after(format!("{} final", due.id), "only a joint that was tightened has something to look at again")
        .minutes(3)
}

/// Nuts that hold balance washers: looked at before the rods, where these take them off.
fn retaining(context: &Context<'_>, due: &FollowUp) -> Result<Draft, NoFigure> {
    let stacked = context.stacked().ok_or_else(|| nothing(due))?;
    let draft = blank("recheck", "retaining nuts at a visit", due);
    let draft = balancing::retaining_slots(&stacked, draft)?;
    Ok(draft
        .check(found(draft::confirm("mark"), None))
        .check(left(draft::confirm("tight")))
        .after("balanced", "there must be washers to hold")
        .minutes(4))
}

fn tab(due: &FollowUp) -> Draft {
    blank("recheck", "tab washer", due)
        .check(found(draft::confirm("tab"), None))
        .after(format!("{} final", due.id), "there must be a nut to look at")
        .minutes(2)
}

fn grease(due: &FollowUp) -> Draft {
    blank("lubricate", "bearings at a visit", due)
        .check(found(draft::confirm("clean"), None))
        .check(left(draft::text("grease")))
        .check(left(draft::confirm("blocked")))
        .after("rotor proved", "there must be bearings that turn")
        .minutes(8)
}

fn belt(driven: &Driven<'_>, due: &FollowUp, last: Option<&Left>) -> Result<Draft, NoFigure> {
    let (_, used) = driven.own.forces();
    let found_at = belt_run::found(driven);
    let as_found = Limits { basis: format!("{}{}", found_at.basis, since(last, "N")), ..found_at };
    let left_at = belt_run::left(driven);
    let span = driven.own.drive.span();
    let series = |id, limits| draft::series(id, "N", 3, SeriesRule::Mean, limits);
    let lock = fasten::of_bolts("", "the lock bolts", &driven.drive.sled.lock_bolts, FRAME)?;
    let lock = lock.to_share("by passes", Stage::Final, 1.0)?;
    let locked = lock.checks.iter().find(|c| c.id == "torque").cloned();
    let draft = blank("recheck", "belt at a visit", due)
        .slot("part", &due.id)
        .slot("deflection", mm(deflection(span)))
        .slot("span", mm(span))
        .slot("force", format!("{} N", rounded(used.n(), 1)))
        .slot("adjuster spanner", spanner(&driven.drive.sled.adjuster))
        .slot("lock torque", lock.torque_nm.map_or_else(String::new, |t| fasten::nm(Torque::from_nm(t))))
        .slot("wrench", fasten::wrench(Torque::from_nm(lock.torque_nm.unwrap_or_default())))
        .slot("lock spanner", spanner(&driven.drive.sled.lock_bolts.thread))
        .check(found(series("found", as_found), last))
        .check(left(series("left", left_at)))
        .check(left(draft::measure("gap", "mm", belt_run::gap_limits(driven))))
        .picture(Picture::Belt)
        .after(driven.named("belt tensioned"), "there must be a tension to read again")
        .minutes(15);
    Ok(locked.into_iter().fold(draft, |draft, check| draft.check(left(Check { id: "lock".into(), ..check }))))
}
