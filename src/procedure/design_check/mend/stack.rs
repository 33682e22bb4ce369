//! Rods, holes, reaming and discs: lengths and sizes that would do.

use crate::mechanics::ream;
use crate::module::{Edge, Module, Setup, Stack};
use crate::procedure::figures::Figures;
use crate::standards::threads;

use super::{Candidate, Finding, Ways, candidate, mm};

pub fn ways(module: &Module, setup: &Setup, finding: &Finding) -> Ways {
    let Some(stack) = &module.stack else { return Vec::new() };
    match finding.id.as_str() {
        "rod-length" => vec![rods(module, setup, stack)],
        "rod-hole" => vec![hole(stack)],
        "ream-stock" => vec![bore(stack), bored(stack)],
        _ => vec![smaller(stack, finding)],
    }
}

/// The next even millimetre, as rods are cut, of this number of discs or, with one length for all, of the most.
fn rods(module: &Module, setup: &Setup, stack: &Stack) -> Vec<Candidate> {
    let least = |s: &Setup| Figures::of(module, s).ok()?.stack.map(|own| own.rod_needed.0.mm());
    let even = |needed: f64| (needed / 2.0).ceil() * 2.0;
    let places: Vec<_> = stack.rods.lengths.values().map(|l| l.place).collect();
    let one_for_all = places.len() > 1 && places.iter().all(|p| *p == places[0]);
    if one_for_all {
        let needed = Setup::all(module).iter().filter_map(least).fold(0.0, f64::max);
        let length = mm(even(needed));
        return vec![candidate(format!("Cut the rods {length} long"), &[("rods.length", length)])];
    }
    let Some(length) = least(setup).map(|needed| mm(even(needed))) else { return Vec::new() };
    let text = format!("Cut the rods for {} discs {length} long", setup.discs);
    let field = format!("rods.lengths.{}", setup.discs);
    let one = candidate(text.clone(), &[("rods.length", length.clone())]);
    vec![candidate(text, &[(&field, length)]), one]
}

fn hole(stack: &Stack) -> Vec<Candidate> {
    let hole = threads::thread(&stack.rods.bolts.thread).map(|t| mm(t.hole));
    hole.map(|h| candidate(format!("Drill {h}, the medium clearance hole"), &[("discs.holes.drill", h)]))
        .into_iter()
        .collect()
}

/// The middle of the stock that can be reamed, in tenths, with the widest tolerance that keeps inside.
fn drawn(stack: &Stack, hard: bool) -> Option<String> {
    let discs = &stack.discs;
    let stock = ream::stock(discs.finish.length(), discs.by_hand, hard).ok().filter(|s| !s.impossible())?;
    let finished = discs.finish.length().mm();
    let (low, high) = (finished - 2.0 * stock.most.mm(), finished - 2.0 * stock.least.mm());
    let middle = ((low + high) / 2.0 * 20.0).round() / 20.0;
    let room = (middle - low).min(high - middle);
    let tolerance = [0.1, 0.05, 0.02].into_iter().find(|t| *t <= room + 1e-9)?;
    Some(format!("{} ±{tolerance}", mm(middle)))
}

fn bore(stack: &Stack) -> Vec<Candidate> {
    let size = drawn(stack, stack.discs.edge.cut_by_heat()).into_iter();
    size.map(|s| candidate(format!("Have the bore cut to {s}"), &[("discs.bore.size", s)])).collect()
}

/// Bored out before, so that no hard skin is left.
fn bored(stack: &Stack) -> Vec<Candidate> {
    let edge = ("discs.bore.edge", "bored".to_owned());
    if *stack.discs.edge == Edge::Bored {
        return Vec::new();
    }
    let mut list = vec![candidate("Have the bores machined", std::slice::from_ref(&edge))];
    let size = drawn(stack, false).into_iter();
    list.extend(
        size.map(|s| candidate(format!("Have the bores machined to {s}"), &[edge.clone(), ("discs.bore.size", s)])),
    );
    list
}

/// Stress goes with the square of the diameter; from there down in steps of 5 mm.
fn smaller(stack: &Stack, finding: &Finding) -> Vec<Candidate> {
    let (Some(value), Some(limit)) = (finding.value, finding.limit) else { return Vec::new() };
    let first = (stack.discs.outer.mm() * (limit / value).sqrt() / 5.0).floor() * 5.0;
    let holes = stack.discs.on.mm() + stack.discs.drill.mm();
    let list = (0..4).map(|n| first - 5.0 * f64::from(n)).filter(|d| *d > holes);
    list.map(|d| candidate(format!("Make the discs {} across", mm(d)), &[("discs.outer", mm(d))])).collect()
}
