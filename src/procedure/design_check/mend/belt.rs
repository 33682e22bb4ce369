//! Belts and pulleys: the next stock length, the travel the sled needs, the step that would do.

use crate::mechanics::belt::Drive as Geometry;
use crate::module::{Drive, Module, Setup};
use crate::procedure::figures::{self, DriveFigures};
use crate::standards::belts;

use super::{Candidate, Finding, Ways, candidate, mm};

pub fn ways(module: &Module, setup: &Setup, finding: &Finding) -> Ways {
    let named = |d: &Drive| Some(&d.belt.part) == finding.at.as_ref() || Some(&d.pulley.part) == finding.at.as_ref();
    let k = module.drives.iter().position(named).unwrap_or(0);
    let Some(drive) = module.drives.get(k) else { return Vec::new() };
    match finding.id.as_str() {
        "belt-fitting" => vec![lengths(drive, k, true), made_to_length(drive, k, true), sled(module, drive, k)],
        "belt-take-up" => vec![lengths(drive, k, false), made_to_length(drive, k, false), sled(module, drive, k)],
        "belt-length" => vec![nearest(drive, k)],
        "pulley-size" => vec![smallest_step(module, setup, drive, k)],
        _ => vec![larger_step(module, setup, drive, k), slower(module, setup, drive, k)],
    }
}

fn root(k: usize) -> &'static str {
    if k == 0 { "" } else { "second drive." }
}

fn belt(drive: &Drive, k: usize, length: f64, words: &str) -> Candidate {
    let text = format!("Take a belt {} {} long, {words}", *drive.belt.profile, mm(length));
    candidate(text, &[(&format!("{}belt.length", root(k)), mm(length))])
}

/// Stock lengths from the next one on, longer or shorter.
fn lengths(drive: &Drive, k: usize, longer: bool) -> Vec<Candidate> {
    let own = drive.belt.length.mm();
    let stock = belts::stock(&drive.belt.profile).iter().copied();
    let mut list: Vec<f64> = stock.filter(|l| if longer { *l > own } else { *l < own }).collect();
    list.sort_by(|a, b| (a - own).abs().total_cmp(&(b - own).abs()));
    list.into_iter().map(|l| belt(drive, k, l, "the next stock length that fits in every setup")).collect()
}

/// The next length in whole centimetres, for profiles without a stock range.
fn made_to_length(drive: &Drive, k: usize, longer: bool) -> Vec<Candidate> {
    if !belts::stock(&drive.belt.profile).is_empty() {
        return Vec::new();
    }
    let own = drive.belt.length.mm();
    let next = |n: i32| (own / 10.0).round() * 10.0 + f64::from(if longer { n } else { -n }) * 10.0;
    (1..=30).map(|n| belt(drive, k, next(n), "made to length")).collect()
}

/// The nearest stock length that brings nothing else.
fn nearest(drive: &Drive, k: usize) -> Vec<Candidate> {
    let own = drive.belt.length.mm();
    let mut list = belts::stock(&drive.belt.profile).to_vec();
    list.sort_by(|a, b| (a - own).abs().total_cmp(&(b - own).abs()));
    list.into_iter().map(|l| belt(drive, k, l, "which is in stock")).collect()
}

/// Slots from the least centre at which the belt can be laid on to the largest it stretches to, in every setup.
fn sled(module: &Module, drive: &Drive, k: usize) -> Vec<Candidate> {
    let Ok((inward, outward)) = belts::allowance(&drive.belt.profile, *drive.belt.length) else { return Vec::new() };
    let setups = Setup::all(module);
    let centres: Vec<f64> =
        setups.iter().filter_map(|s| DriveFigures::of(module, s, k).ok()).map(|f| f.drive.centre.mm()).collect();
    if centres.len() != setups.len() {
        return Vec::new();
    }
    let least = centres.iter().copied().fold(f64::INFINITY, f64::min) - inward.mm();
    let most = centres.iter().copied().fold(0.0, f64::max) + outward.mm();
    let inner = drive.sled.inner.mm().min(least.floor());
    let outer = (drive.sled.inner.mm() + drive.sled.travel.mm()).max(most.ceil());
    let fields = [format!("{}sled.centre at inner end", root(k)), format!("{}sled.travel", root(k))];
    let text = format!("Let the sled travel {} from a centre of {}", mm(outer - inner), mm(inner));
    vec![candidate(text, &[(&fields[0], mm(inner)), (&fields[1], mm(outer - inner))])]
}

fn step(module: &Module, setup: &Setup, k: usize, diameter: f64) -> Candidate {
    let name = setup.step_of(module, k);
    let text = format!("Make the step {name} {}", mm(diameter));
    candidate(text, &[(&format!("{}pulley.steps.{name}", root(k)), mm(diameter))])
}

fn smallest_step(module: &Module, setup: &Setup, drive: &Drive, k: usize) -> Vec<Candidate> {
    let smallest = belts::profile(&drive.belt.profile).map(|p| p.smallest.mm());
    let own = figures::step_diameter(module, setup, k).mm();
    smallest.ok().filter(|s| *s > own).map(|s| step(module, setup, k, s)).into_iter().collect()
}

/// The driver turned slower, in whole turns.
fn slower(module: &Module, setup: &Setup, drive: &Drive, k: usize) -> Vec<Candidate> {
    let (Ok(figures), Some(_)) = (DriveFigures::of(module, setup, k), &drive.belt.driver_speed) else {
        return Vec::new();
    };
    let rpm = (module.limits.speed.rpm() / figures.ratios.1).floor();
    let text = format!("Turn the {} at no more than {rpm} rpm", drive.belt.other);
    vec![candidate(text, &[("belt.driver.speed", format!("{rpm} rpm"))])]
}

/// Steps in whole millimetres from the one that brings the speed down to its limit.
fn larger_step(module: &Module, setup: &Setup, drive: &Drive, k: usize) -> Vec<Candidate> {
    let own = figures::step_diameter(module, setup, k);
    let Ok(figures) = DriveFigures::of(module, setup, k) else { return Vec::new() };
    let Some(speed) = &drive.belt.driver_speed else { return Vec::new() };
    let share = speed.rpm() * figures.ratios.1 / module.limits.speed.rpm();
    let first = (own.mm() * share).floor();
    let fits = |d: &f64| {
        let step = crate::quantity::Length::from_mm(*d);
        Geometry::from_length(step, *drive.belt.other_effective, *drive.belt.length).is_ok()
    };
    (0..12)
        .map(|n| first + f64::from(n))
        .filter(|d| *d > own.mm())
        .filter(fits)
        .map(|d| step(module, setup, k, d))
        .collect()
}
