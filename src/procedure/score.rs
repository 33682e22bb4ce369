//! What an order of two coupled groups is worth, by the slip safety that it leaves.

use crate::mechanics::interplay::Case;
use crate::mechanics::tightening::{self, SNUG_SHARE};
use crate::quantity::{Force, rounded};

use super::engine::{Id, Score, Stage};
use super::figures::{self, Friction};
use super::joints::Stacked;

/// What an order of rods and sliding collar is worth: the least slip safety when the pinch is made final with the rods
/// at the share they have reached by then.
pub fn of(context: &Stacked<'_>, order: &[(Id, Stage)]) -> Score {
    let share = share_at_pinch(context, &context.stack.rods.part, order);
    let f = context.own;
    let safety_at = |friction| {
        let joints = figures::stack_joints(context.module, context.stack, f, share, friction);
        let least = joints.iter().min_by(|a, b| a.holds.nm().total_cmp(&b.holds.nm()));
        least.map_or(0.0, |j| j.holds / *context.module.limits.torque)
    };
    let safety = safety_at(Friction::Worse);
    // Least lost: low friction against the full preload; most: clean dry faces against the least preload, settled.
    let lost = |case: Case, one_bolt: Force| {
        let all = f.rod.preload * f64::from(*context.stack.rods.bolts.count);
        let pinch = one_bolt * f64::from(*context.stack.collars.pinch.count);
        (case.grip_lost(all * share / 2.0) / pinch * 100.0).round()
    };
    Score {
        safety,
        by_friction: [safety_at(Friction::Low), safety_at(Friction::High)],
        refused: (safety <= 0.0).then(|| format!("with the rods at {:.0} % no grip may be left", share * 100.0)),
        words: format!(
            "with the rods at {:.0} % when the sliding collar closes, {:.0} to {:.0} % of its grip is lost to friction on its faces, and the weakest joint keeps a slip safety of {}",
            share * 100.0,
            lost(Case::low(), f.pinch.preload),
            lost(Case::high(), f.pinch.least),
            rounded(safety, 1),
        ),
    }
}

fn share_at_pinch(context: &Stacked<'_>, rods: &str, order: &[(Id, Stage)]) -> f64 {
    let shares = tightening::passes(*context.stack.rods.passes);
    let pinched = order.iter().position(|(g, s)| g != rods && *s == Stage::Final).unwrap_or(order.len());
    let reached = order[..pinched].iter().rev().find(|(g, _)| g == rods).map(|(_, s)| *s);
    match reached {
        Some(Stage::Snug) => SNUG_SHARE,
        Some(Stage::Pass(k)) => shares.get(usize::from(k) - 1).copied().unwrap_or(1.0),
        Some(Stage::Final | Stage::Circular) => 1.0,
        _ => 0.0,
    }
}
