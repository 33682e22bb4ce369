//! How the assembled rotor is balanced: the section `balance` of a spec.

use rust_decimal::prelude::ToPrimitive;

use crate::quantity::{Kind, Length, Mass};

use super::fasteners::Securing;
use super::kinds;
use super::model::{Given, Module};
use super::problem::Place;
use super::raw::{self, Text};
use super::read::Reader;

/// How the unbalance is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// At rest: the heavy side sinks.
    Static,
    /// In one plane, at speed, with amplitude and phase.
    SinglePlane,
    /// In one plane, at speed, with amplitudes alone.
    NoPhase,
    /// In two planes, at speed, with amplitude and phase.
    TwoPlanes,
}

impl Method {
    /// Every method, by the words in the spec.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("static", Self::Static),
        ("single plane", Self::SinglePlane),
        ("single plane without phase", Self::NoPhase),
        ("two planes", Self::TwoPlanes),
    ];
}

/// What a rotor balanced at rest lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rests {
    /// Two level edges.
    Edges,
    /// Two pairs of free rollers.
    Rollers,
    /// Its own bearings, belt off: their drag is measured along.
    Bearings,
}

impl Rests {
    /// Every support, by the word in the spec.
    pub const WORDS: [(&'static str, Self); 3] =
        [("edges", Self::Edges), ("rollers", Self::Rollers), ("bearings", Self::Bearings)];
}

/// An end of the stack, where weights go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Far end.
    Far,
    /// Drive end.
    Drive,
}

impl End {
    /// Every end, by the word in the spec.
    pub const WORDS: [(&'static str, Self); 2] = [("far end", Self::Far), ("drive end", Self::Drive)];

    /// The word in the spec.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Far => "far end",
            Self::Drive => "drive end",
        }
    }

    /// The word for ids: `far`, `drive`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Far => "far",
            Self::Drive => "drive",
        }
    }
}

impl std::fmt::Display for End {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.words())
    }
}

/// What takes the unbalance away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// Whole washers on the rods, outside the tightened nuts, each stack of them under a nut that retains it.
    Washers,
    /// Holes drilled into the end disc.
    Drilling,
}

impl Means {
    /// Both means, by the word in the spec.
    pub const WORDS: [(&'static str, Self); 2] = [("washers", Self::Washers), ("drilling", Self::Drilling)];
}

/// Washers on the rods.
#[derive(Debug, Clone, PartialEq)]
pub struct BalanceWashers {
    /// Thread they are for; the rods'.
    pub size: Given<String>,
    /// Most on one rod end.
    pub most: Given<u32>,
}

/// Holes drilled into the end disc.
#[derive(Debug, Clone, PartialEq)]
pub struct Drilling {
    /// Diameter of the drill.
    pub diameter: Given<Length>,
    /// Diameter of the circle the holes stand on.
    pub on: Given<Length>,
    /// Deepest hole, to the full diameter.
    pub deepest: Given<Length>,
    /// Angle of the drill's point, degrees.
    pub point: f64,
}

/// The section.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// How the unbalance is found.
    pub method: Given<Method>,
    /// What the rotor lies on, for the static method.
    pub on: Option<Given<Rests>>,
    /// Arm of rolling resistance of edges or rollers.
    pub arm: Option<Given<Length>>,
    /// Unit of the instrument's readings at speed: `mm/s` or `µm`.
    pub reads: String,
    /// Smallest reading that the instrument tells from nothing, in that unit.
    pub floor: f64,
    /// The phase counts against the sense that the spec states.
    pub against: bool,
    /// The first trial weight of two planes stays on in the second trial run.
    pub first_stays: bool,
    /// Ends that weights go to, one for each plane.
    pub planes: Vec<Given<End>>,
    /// What takes the unbalance away, in this order.
    pub correct_by: Vec<Given<Means>>,
    /// Washers.
    pub washers: Option<BalanceWashers>,
    /// Drilled holes.
    pub drilling: Option<Drilling>,
}

impl Balance {
    /// True where the rotor runs at speed for it.
    #[must_use]
    pub fn at_speed(&self) -> bool {
        *self.method != Method::Static
    }

    /// Where the section stands.
    #[must_use]
    pub const fn place(&self) -> Place {
        self.method.place
    }
}

/// Washers that stand on the rods for balance: most on one end, ends that carry them.
#[must_use]
pub fn on_rods(raw: Option<&raw::Balance>) -> (u32, u32) {
    let Some(washers) = raw.and_then(|b| b.washers.as_ref()) else { return (0, 0) };
    let ends = raw.and_then(|b| b.planes.as_ref()).map_or(1, Vec::len);
    (washers.most.value.trim().parse().unwrap_or(0), ends.try_into().unwrap_or(1))
}

/// Reads the section.
pub fn resolve(raw: &raw::Balance, reader: &mut Reader) -> Balance {
    let reads = raw.reads.as_ref().map_or("", |t| *reader.word(t, &kinds::READS));
    Balance {
        method: reader.word(&raw.method, &Method::WORDS),
        on: raw.on.as_ref().map(|t| reader.word(t, &Rests::WORDS)),
        arm: raw.arm.as_ref().map(|t| reader.length(t)),
        floor: raw.floor.as_ref().map_or(0.0, |t| floor(t, reads, reader)),
        reads: reads.to_owned(),
        against: raw.phase.as_ref().is_some_and(|t| *reader.word(t, &kinds::AGAINST)),
        first_stays: raw.first.as_ref().is_some_and(|t| *reader.word(t, &kinds::FIRST_STAYS)),
        planes: raw.planes.iter().flatten().map(|t| reader.word(t, &End::WORDS)).collect(),
        correct_by: raw.correct_by.iter().map(|t| reader.word(t, &Means::WORDS)).collect(),
        washers: raw
            .washers
            .as_ref()
            .map(|w| BalanceWashers { size: reader.text(&w.size), most: reader.count(&w.most, 1, 12) }),
        drilling: raw.drilling.as_ref().map(|d| Drilling {
            diameter: reader.length(&d.diameter),
            on: reader.length(&d.on),
            deepest: reader.length(&d.deepest),
            point: reader.band(&d.point, Kind::Angle).nominal().to_f64().unwrap_or(f64::NAN),
        }),
    }
}

/// In the unit of the readings; both of them are a thousandth of the base unit.
fn floor(text: &Text, reads: &str, reader: &mut Reader) -> f64 {
    let kind = if reads == "µm" { Kind::Length } else { Kind::Velocity };
    let base = reader.band(text, kind).nominal().to_f64().unwrap_or(f64::NAN);
    base * 1000.0
}

/// What the values of the section cannot show one by one.
pub fn check(module: &Module, reader: &mut Reader) {
    let Some(balance) = &module.balance else { return };
    let at = balance.place();
    let Some(stack) = &module.stack else {
        reader.problem(at, "a plain shaft has no place for weights", "Leave \"balance\" out, or give discs and rods.");
        return;
    };
    let holes = *stack.rods.bolts.count;
    if balance.at_speed() {
        if balance.reads.is_empty() || balance.floor <= 0.0 {
            reader.problem(
                at,
                "at speed an instrument is read, and the spec does not say in what unit and from what on",
                "Give \"reads: mm/s\" and \"floor: 0.1 mm/s\", or both in µm.",
            );
        }
        if balance.on.is_some() {
            reader.problem(at, "\"on\" belongs to the static method", "Leave it out.");
        }
    } else {
        static_method(balance, holes, reader);
    }
    let planes = if *balance.method == Method::TwoPlanes { 2 } else { 1 };
    let twice = balance.planes.windows(2).any(|p| p[0].value == p[1].value);
    if balance.planes.len() != planes || twice {
        let what = format!("\"{}\" wants {planes} of the ends of the stack", balance.method.written);
        reader.problem(at, what, "Write \"planes: [drive end]\", or \"planes: [far end, drive end]\" for two.");
    }
    if *balance.method == Method::NoPhase && holes < 3 {
        reader.problem(
            at,
            format!("without phase the trial weight stands at three holes, there are {holes}"),
            "Take a method with phase.",
        );
    }
    let after_the_run = match *stack.rods.bolts.secure {
        Securing::SecondNut => Some("second nuts go on after it, under them"),
        Securing::ThreadLocker => Some("the locker runs in after it, where they stand"),
        Securing::SpringWasher | Securing::None => None,
    };
    if let (false, true, Some(after)) = (balance.at_speed(), balance.washers.is_some(), after_the_run) {
        reader.problem(
            at,
            format!("at rest the washers go on before the first run, and {after}"),
            "Balance at speed, by drilling, or secure the rods by spring washers.",
        );
    }
    means(balance, stack.rods.bolts.thread.value.as_str(), reader);
}

fn static_method(balance: &Balance, holes: u32, reader: &mut Reader) {
    let at = balance.place();
    match balance.on.as_ref().map(|on| on.value) {
        None => reader.problem(
            at,
            "at rest the rotor lies on something, and the spec does not say on what",
            "Give \"on: edges\", \"on: rollers\" or \"on: bearings\".",
        ),
        Some(Rests::Bearings) if holes < 4 => reader.problem(
            at,
            format!("in the bearings a starting mass hangs on at least four holes, there are {holes}"),
            "Balance on edges or rollers.",
        ),
        Some(Rests::Edges | Rests::Rollers) if balance.arm.is_none() => reader.problem(
            at,
            "edges and rollers hide what their rolling resistance holds, and the spec does not say how much",
            "Give \"rolling arm: 0.01 mm\", tried with a small known weight.",
        ),
        _ => {}
    }
}

fn means(balance: &Balance, rods: &str, reader: &mut Reader) {
    let at = balance.place();
    let has = |m: Means| balance.correct_by.iter().any(|g| g.value == m);
    let given = (balance.washers.is_some(), balance.drilling.is_some());
    if balance.correct_by.is_empty() || (has(Means::Washers), has(Means::Drilling)) != given {
        let what = "\"correct by\" and what is given of washers and drilling do not go together";
        reader.problem(at, what, "Name each in \"correct by\", and give \"washers\" or \"drilling\" for it.");
    }
    if balance.correct_by.first().is_some_and(|m| m.value == Means::Drilling) && has(Means::Washers) {
        let what = "drilling comes last: what is drilled away does not come back";
        reader.problem(at, what, "Write \"correct by: [washers, drilling]\".");
    }
    if balance.at_speed() && balance.washers.is_none() {
        let what = "at speed a trial weight stands on a rod, and without washers the rods have no room for it";
        reader.problem(at, what, "Name washers in \"correct by\", before drilling, and give \"washers\".");
    }
    if *balance.method == Method::NoPhase && balance.correct_by.len() > 1 {
        let what =
            "amplitudes alone tell after the first correction how much is left, not where: a second means has no angle";
        reader.problem(at, what, "Write \"correct by: [washers]\", or take a method with phase.");
    }
    if let Some(w) = balance.washers.as_ref().filter(|w| w.size.value != rods) {
        reader.problem(
            w.size.place,
            format!("washers of {} on rods of {rods}", w.size.value),
            "Take the size of the rods.",
        );
    }
    if let Some(d) = balance.drilling.as_ref().filter(|d| !(60.0..180.0).contains(&d.point)) {
        reader.problem(
            d.diameter.place,
            format!("a drill's point of {}° cannot be", d.point),
            "Write \"point: 118°\".",
        );
    }
}

/// Mass of one nut: the hexagon of ISO 4032 at its largest height, less a hole of the thread's diameter; corners whole.
///
/// ```
/// use runtrue::module::nut_mass;
/// // M8: 7.85e-3·6.8·(√3/2·13² − π/4·8²); the table of a bolt dealer says 5.2 g (from memory).
/// let m8 = runtrue::standards::threads::thread("M8")?;
/// assert!((nut_mass(m8).g() - 5.129).abs() < 0.001);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn nut_mass(thread: &crate::standards::threads::Thread) -> Mass {
    let area = 3.0_f64.sqrt() / 2.0 * thread.s.powi(2) - std::f64::consts::PI / 4.0 * thread.d.powi(2);
    Mass::from_kg(7850.0 * area * thread.m * 1e-9)
}

/// Mass of one washer by the nominal sizes of its standard.
///
/// ```
/// use runtrue::module::washer_mass;
/// // ISO 7089, M8: 16 x 8.4 x 1.6 mm: 7.85e-3·π/4·(16² − 8.4²)·1.6.
/// let m8 = runtrue::standards::threads::thread("M8")?;
/// assert!((washer_mass(m8).g() - 1.829).abs() < 0.001);
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
#[must_use]
pub fn washer_mass(thread: &crate::standards::threads::Thread) -> Mass {
    let area = std::f64::consts::PI / 4.0 * (thread.washer_outer.powi(2) - thread.washer_hole.powi(2));
    Mass::from_kg(7850.0 * area * thread.washer * 1e-9)
}
