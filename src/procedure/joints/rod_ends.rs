//! How far the rods stand out at their two ends: alike, or further at the end that carries balance washers.

use rust_decimal::prelude::ToPrimitive;

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
    let other = if plane.value == End::Far { End::Drive } else { End::Far };
    let nominal = context.own.rod_length.map(|l| (l - context.own.nominal()).mm() - nuts(context));
    let about = nominal.map_or_else(String::new, |all| {
        let (more, less) = ((all + surplus) / 2.0, (all - surplus) / 2.0);
        format!(", about {} mm there and {} mm here", rounded(more, 1), rounded(less, 1))
    });
    let words = format!(
        "so that it stands out of the nut {} mm further at the {end} than at the {other}{about}; balance washers and their nut go there",
        rounded(surplus, 1)
    );
    let least = surplus + second_nut(context) + thread.p;
    (words, Some((end, between(context, least, surplus, WASHERS))))
}

/// Height of what stands under and over the stack when the rods are set, both ends together, mm; second nuts come later.
fn nuts(context: &Stacked<'_>) -> f64 {
    2.0 * (figures::nuts(context.stack).height(context.own.rod.thread).mm() - second_nut(context))
}

/// Height of the second nut that goes on later, under the balance washers, mm; 0 where there is none.
fn second_nut(context: &Stacked<'_>) -> f64 {
    if *context.stack.rods.bolts.secure == Securing::SecondNut { context.own.rod.thread.m } else { 0.0 }
}

/// Limits of the end that stands out less; of both ends where both carry balance washers.
pub fn least(context: &Stacked<'_>) -> Limits {
    let thread = context.own.rod.thread;
    let surplus = figures::balance_surplus(context.stack, thread).mm();
    let second = second_nut(context);
    if context.stack.balance_washers.1 > 1 && surplus > 0.0 {
        return between(context, surplus + second + thread.p, 0.0, WASHERS);
    }
    let basis = if second > 0.0 {
        "the second nut that comes later, and one full thread out of it (common practice)"
    } else {
        "common practice: one full thread at least"
    };
    // Where one end carries balance washers, this one stands out less by them.
    let further = if context.stack.balance_washers.1 == 1 { -surplus } else { 0.0 };
    between(context, second + thread.p, further, basis)
}

/// Limits of an end that stands out `further` than the other by that much, mm. The most is what the longest rod that is received
/// leaves over the shortest stack, and a pitch for setting it: more shows that a nut or a washer is missing.
fn between(context: &Stacked<'_>, least: f64, further: f64, basis: &str) -> Limits {
    let (thread, own) = (context.own.rod.thread, context.own);
    let longest = own.rod_length.map_or(own.rod_needed.1, |l| if l > own.rod_needed.1 { l } else { own.rod_needed.1 });
    let shortest = own.length.0.to_f64().unwrap_or(f64::NAN);
    let most = (longest.mm() - shortest - nuts(context) + further) / 2.0 + thread.p;
    let basis = format!(
        "least: {basis}; most: what the longest rod leaves over the shortest stack, and a pitch for setting it (common practice). More means that a nut or washer is missing, and the end passes too near to what stands beside it"
    );
    Limits { lower: decimal(least, 2), upper: decimal(most, 2), basis, ..Limits::default() }
}
