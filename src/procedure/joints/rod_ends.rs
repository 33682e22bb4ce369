//! How far the rods stand out at their two ends: alike, or further at the end that carries balance washers.

use crate::module::{End, Securing};
use crate::procedure::draft::Limits;
use crate::procedure::figures;
use crate::quantity::rounded;

use super::{Stacked, decimal};

/// Where the least of an end with washers comes from.
const WASHERS: &str =
    "the most balance washers, the nut that retains them, and one full thread out of it (common practice)";

/// How far the rods stand out of the nuts, in words, and the end that stands out further for the balance washers, with its limits.
pub fn standing_out<'a>(context: &Stacked<'a>) -> (String, Option<(&'a str, Limits)>) {
    let thread = context.own.rod.thread;
    let surplus = figures::balance_surplus(context.stack, thread).mm();
    let planes = context.module.balance.as_ref().map_or(&[][..], |b| b.planes.as_slice());
    let [plane] = planes else { return ("so that its two ends stand out alike".into(), None) };
    if surplus <= 0.0 {
        return ("so that its two ends stand out alike".into(), None);
    }
    let end = plane.written.as_str();
    let other = if plane.value == End::Far { "drive end" } else { "far end" };
    let nuts = 2.0 * (figures::nuts(context.stack).height(thread).mm() - second_nut(context));
    let nominal = context.own.rod_length.map(|l| (l - context.own.nominal()).mm() - nuts);
    let about = nominal.map_or_else(String::new, |all| {
        let (more, less) = ((all + surplus) / 2.0, (all - surplus) / 2.0);
        format!(", about {} mm there and {} mm here", rounded(more, 1), rounded(less, 1))
    });
    let words = format!(
        "so that it stands out of the nut {} mm further at the {end} than at the {other}{about}; balance washers and their nut go there",
        rounded(surplus, 1)
    );
    (words, Some((end, at_least(surplus + second_nut(context) + thread.p, WASHERS))))
}

/// Height of the second nut that goes on later, under the balance washers, mm; 0 where there is none.
fn second_nut(context: &Stacked<'_>) -> f64 {
    if *context.stack.rods.bolts.secure == Securing::SecondNut { context.own.rod.thread.m } else { 0.0 }
}

/// Limits of the end that stands out less; of both ends where both carry balance washers.
pub fn least(context: &Stacked<'_>) -> Limits {
    let thread = context.own.rod.thread;
    let surplus = figures::balance_surplus(context.stack, thread).mm();
    if context.stack.balance_washers.1 > 1 && surplus > 0.0 {
        return at_least(surplus + second_nut(context) + thread.p, WASHERS);
    }
    at_least(thread.p, "common practice: one full thread at least")
}

fn at_least(value: f64, basis: &str) -> Limits {
    Limits { lower: decimal(value, 2), basis: basis.into(), ..Limits::default() }
}
