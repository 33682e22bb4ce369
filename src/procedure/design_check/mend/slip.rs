//! Joints that hold too little: the next bolt, class or screw that would do, a key, or the torque that may pass.

use rust_decimal::prelude::ToPrimitive;

use crate::module::{Bolts, Module, Setup, Split};
use crate::procedure::figures::{Figures, HeldBy, Joint};
use crate::quantity::{Length, rounded};
use crate::standards::set_screws::set_screw_torque;
use crate::standards::{keys, threads};

use super::{Candidate, Finding, Severity, Ways, candidate, mm, with};

/// A clearance hole takes at most this share of the collar's width, so that enough is left on both sides (common practice, from
/// the proportions of shaft collars as they are sold).
const HOLE_SHARE: f64 = 0.55;

pub fn ways(module: &Module, setup: &Setup, finding: &Finding) -> Ways {
    let Ok(figures) = Figures::of(module, setup) else { return Vec::new() };
    let Some(joint) = figures.joints.iter().find(|j| Some(j.by) == finding.joint) else {
        return Vec::new();
    };
    let mut ways = match joint.by {
        HeldBy::Pinch(_) => pinch(module),
        HeldBy::Rods => rods(module),
        HeldBy::Pins => vec![pins(module)],
        HeldBy::Screws(k) => screws(module, k),
    };
    for candidate in ways.iter_mut().flatten() {
        say_safety(module, setup, joint, candidate);
    }
    ways.extend(less_torque(module, joint));
    ways
}

/// A hub whose set screws hold too little for its load.
pub fn hub(module: &Module, finding: &Finding) -> Ways {
    let named = |p: &str| finding.at.as_deref() == Some(p);
    if finding.severity == Severity::Note {
        return Vec::new();
    }
    module.drives.iter().position(|d| named(&d.pulley.part)).map_or_else(Vec::new, |k| screws(module, k))
}

/// The next pins up (diameters of ISO 8734).
fn pins(module: &Module) -> Vec<Candidate> {
    let own = module.stack.iter().filter_map(|s| s.plates.as_ref()?.pins.as_ref()).map(|p| p.diameter.mm()).next();
    let thicker = [3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0].into_iter().filter(|d| own.is_some_and(|own| *d > own));
    thicker.map(|d| candidate(format!("Take dowel pins of {}", mm(d)), &[("plates.pins.diameter", mm(d))])).collect()
}

/// Adds what the joint would hold.
fn say_safety(module: &Module, setup: &Setup, joint: &Joint, candidate: &mut Candidate) {
    let holds = with(module, &candidate.set).and_then(|m| Some((Figures::of(&m, setup).ok()?, m)));
    let Some((figures, m)) = holds else { return };
    if let Some(now) = figures.joints.iter().find(|j| j.by == joint.by) {
        let safety = rounded(now.holds / *m.limits.torque, 2);
        candidate.text.push_str(&format!("; the joint then holds {safety} times the torque"));
    }
}

/// Threads above a size, coarse ones.
fn larger(bolts: &Bolts) -> impl Iterator<Item = &'static threads::Thread> {
    let own = threads::thread(&bolts.thread).map_or(f64::INFINITY, |t| t.d);
    threads::sizes().filter(|s| !s.contains('x')).filter_map(|s| threads::thread(s).ok()).filter(move |t| t.d > own)
}

/// Size as it is written: "M10 x 35".
fn size(thread: &str, length: Option<Length>) -> String {
    length.map_or_else(|| thread.to_owned(), |l| format!("{thread} x {}", l.mm()))
}

/// Shares of the proof load above the given one, up to the 75 % that joints meant to be undone are tightened to (common practice).
fn shares(bolts: &Bolts, field: &str, what: &str) -> Vec<Candidate> {
    let higher = (4..=15u32).map(|n| n * 5).filter(|percent| f64::from(*percent) > *bolts.share * 100.0);
    let list = higher
        .map(|p| candidate(format!("Tighten the {what} to {p} % of proof"), &[(field, format!("{p} % of proof"))]));
    list.collect()
}

/// Higher property classes.
fn classes(bolts: &Bolts, field: &str, what: &str) -> Vec<Candidate> {
    let number = |class: &str| class.parse::<f64>().unwrap_or(f64::INFINITY);
    let higher = ["8.8", "10.9", "12.9"].into_iter().filter(|c| number(c) > number(&bolts.class));
    higher.map(|c| candidate(format!("Take {what} of class {c}"), &[(field, c.to_owned())])).collect()
}

fn pinch(module: &Module) -> Ways {
    let Some(stack) = &module.stack else { return Vec::new() };
    let bolts = &stack.collars.pinch;
    let width = stack.collars.width.nominal().to_f64().unwrap_or(0.0);
    let splits = if *stack.collars.kind == Split::TwoHalves { 2 } else { 1 };
    let rows = |count: u32| f64::from(count.div_ceil(splits));
    let needs = |thread: &threads::Thread, count: u32| thread.hole * rows(count) / HOLE_SHARE;
    let field = "collars.pinch.size";
    let fits = |t: &&threads::Thread| needs(t, *bolts.count) <= width + 1e-9;
    let in_width = larger(bolts)
        .filter(fits)
        .map(|t| candidate(format!("Take pinch bolts {}", t.size), &[(field, size(&t.size, bolts.length))]));
    let wider = |needed: f64, text: String, change: (&str, String)| {
        let new = (needed / 2.0).ceil() * 2.0;
        let mut set = vec![change, ("collars.width", in_place(module, new))];
        let lengths = if stack.plates.is_none() { longer_rods(module, 2.0 * (new - width)) } else { Vec::new() };
        set.extend(lengths.iter().map(|(f, v)| (f.as_str(), v.clone())));
        candidate(format!("{text} in collars {} wide", mm(new)), &set)
    };
    let larger_wide = larger(bolts).filter(|t| !fits(t)).map(|t| {
        let change = (field, size(&t.size, bolts.length));
        wider(needs(t, *bolts.count), format!("Take pinch bolts {}", t.size), change)
    });
    let own = threads::thread(&bolts.thread).ok();
    let more = (1..=3).filter_map(|n| {
        let count = *bolts.count + n * splits;
        let text = format!("Take {count} pinch bolts");
        let needed = needs(own?, count);
        let change = ("collars.pinch.count", count.to_string());
        Some(if needed <= width { candidate(text, &[change]) } else { wider(needed, text, change) })
    });
    vec![
        shares(bolts, "collars.pinch.use", "pinch bolts"),
        in_width.collect(),
        classes(bolts, "collars.pinch.class", "pinch bolts"),
        larger_wide.collect(),
        more.collect(),
    ]
}

/// The width with its tolerance, as the spec has it.
fn in_place(module: &Module, width: f64) -> String {
    let written = module.stack.as_ref().and_then(|s| s.collars.width.written.split_once('±'));
    written.map_or_else(|| mm(width), |(_, tolerance)| format!("{} ±{tolerance}", mm(width)))
}

/// Every rod longer by so much.
fn longer_rods(module: &Module, by: f64) -> Vec<(String, String)> {
    let Some(stack) = &module.stack else { return Vec::new() };
    let lengths = &stack.rods.lengths;
    let one = lengths.values().next();
    if lengths.values().all(|l| Some(l.place) == one.map(|o| o.place)) {
        return one.map(|l| ("rods.length".to_owned(), mm(l.mm() + by))).into_iter().collect();
    }
    lengths.iter().map(|(n, l)| (format!("rods.lengths.{n}"), mm(l.mm() + by))).collect()
}

fn rods(module: &Module) -> Ways {
    let Some(stack) = &module.stack else { return Vec::new() };
    let bolts = &stack.rods.bolts;
    let more = (1..=6).map(|n| {
        let count = (*bolts.count + n).to_string();
        candidate(
            format!("Take {count} rods, and as many holes"),
            &[("rods.count", count.clone()), ("discs.holes.count", count.clone())],
        )
    });
    vec![shares(bolts, "rods.use", "rods"), classes(bolts, "rods.class", "rods"), more.collect()]
}

fn screws(module: &Module, k: usize) -> Ways {
    let Some(drive) = module.drives.get(k) else { return Vec::new() };
    let root = if k == 0 { "pulley" } else { "second drive.pulley" };
    let field = |name: &str| format!("{root}.set screws.{name}");
    let screws = &drive.pulley.set_screws;
    let own = threads::thread(&screws.thread).map_or(f64::INFINITY, |t| t.d);
    let sizes = ["M6", "M8", "M10"].into_iter().filter(|s| threads::thread(s).is_ok_and(|t| t.d > own));
    let larger = sizes.filter_map(|s| {
        let (torque, _) = set_screw_torque(s, false).ok()?;
        let from = format!("\"set screw maker's table, alloy steel {s}\"");
        Some(candidate(
            format!("Take set screws {s}"),
            &[
                (&field("size"), s.to_owned()),
                (&field("torque"), format!("{} N·m", torque.nm())),
                (&field("from"), from),
            ],
        ))
    });
    let more = (1..=2).map(|n| {
        let count = (*screws.count + n).to_string();
        candidate(format!("Take {count} set screws"), &[(&field("count"), count)])
    });
    let key =
        keys(module, k).into_iter().map(|(text, length)| candidate(text, &[(&format!("{root}.key"), mm(length))]));
    vec![larger.collect(), more.collect(), key.collect()]
}

/// Parallel keys as long as the hub at most, the shortest first, in words, with their length.
fn keys(module: &Module, k: usize) -> Vec<(String, f64)> {
    let (Some(drive), shaft) = (module.drives.get(k), module.shaft.diameter.length()) else { return Vec::new() };
    let Ok(key) = keys::key(shaft) else { return Vec::new() };
    let fits = key.stock_lengths().filter(|l| *l <= drive.pulley.hub_length.mm());
    fits.map(|l| (format!("Take a parallel key {} x {} x {l}, round ends (DIN 6885-1)", key.b, key.h), l)).collect()
}

/// A key that does not stand out of its hub, the longest first: it carries most.
pub fn shorter_key(module: &Module, finding: &Finding) -> Ways {
    let named = |p: &str| finding.at.as_deref() == Some(p);
    let Some(k) = module.drives.iter().position(|d| named(&d.pulley.part)) else { return Vec::new() };
    let field = if k == 0 { "pulley.key" } else { "second drive.pulley.key" };
    let keys = keys(module, k).into_iter().rev();
    vec![keys.map(|(text, length)| candidate(text, &[(field, mm(length))])).collect()]
}

/// What may pass as the joint is.
fn less_torque(module: &Module, joint: &Joint) -> Ways {
    let wanted = module.limits.slip_safety.to_f64().unwrap_or(f64::NAN);
    let most = (joint.holds.nm() / wanted * 10.0).floor() / 10.0;
    let text = format!("Let no more than {most} N·m pass, starting and stopping counted");
    if most > 0.0 { vec![vec![candidate(text, &[("limits.torque", format!("{most} N·m"))])]] } else { Vec::new() }
}
