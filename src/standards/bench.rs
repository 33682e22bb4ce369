//! Bench values: slip friction, steels, reaming, laser edges, instruments, set screws. What belongs to bolts alone is in
//! [`super::bolting`].

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Density, Length, Mass, Stress, Torque};

pub use super::bolting::scatter;
use super::bolting::{EmbeddingRow, FrictionRow, Scatter};
use super::set_screws::SetScrewRow;
pub use super::set_screws::set_screw_holding;
use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
pub(super) struct Table {
    pub(super) scatter: Vec<Scatter>,
    pub(super) friction_class: Vec<FrictionRow>,
    pub(super) embedding: Vec<EmbeddingRow>,
    slip: Range,
    pressure: Range,
    steel: Vec<SteelRow>,
    ream_hand: Vec<StockRow>,
    ream_machine: Vec<StockRow>,
    drill_oversize_mm: Most,
    light_metal_stock: Value,
    skin: Skin,
    reamer: Reamer,
    instruments: Vec<Instrument>,
    torque_tool: Vec<ToolRow>,
    lift: Vec<LiftRow>,
    wrench: WrenchRow,
    pub(super) set_screw: Vec<SetScrewRow>,
    set_screw_shaft_hv: Most,
    soft_foot_mm: Most,
    expansion_per_k: Value,
}

/// A low and a high value of one source.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Range {
    /// Low.
    pub low: f64,
    /// High.
    pub high: f64,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct SteelRow {
    name: String,
    density: f64,
    elastic_gpa: f64,
    #[serde(rename = "yield")]
    yield_mpa: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
struct StockRow {
    over: f64,
    up_to: f64,
    stock: [f64; 2],
    source: String,
}

/// Hard skin of a thermally cut edge, mm.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Skin {
    /// Least depth.
    pub least: f64,
    /// Largest depth.
    pub most: f64,
    /// What a cutting edge needs beyond the skin.
    pub above: f64,
    /// Source.
    pub source: String,
}

/// Place of a reamer's tolerance inside the hole's, as shares of the hole's.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
pub struct Reamer {
    /// The reamer's upper limit lies this share below the hole's.
    pub below_top: f64,
    /// Width of the reamer's tolerance.
    pub width: f64,
    /// Source.
    pub source: String,
}

/// Usual expanded uncertainty of an instrument.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Instrument {
    /// Kind.
    pub kind: String,
    /// U, mm.
    pub u: f64,
    /// Source.
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct ToolRow {
    up_to: f64,
    share: f64,
    source: String,
}

#[derive(Debug, Deserialize)]
struct LiftRow {
    up_to: f64,
    words: String,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct WrenchRow {
    least_share: f64,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct Most {
    most: f64,
    source: String,
}

#[derive(Debug, Default, Deserialize)]
struct Value {
    value: f64,
    source: String,
}

pub(super) static TABLE: LazyLock<Table> = LazyLock::new(|| table(include_str!("data/bench.yaml")));

/// Friction of steel faces against slip.
#[must_use]
pub fn slip() -> &'static Range {
    &TABLE.slip
}

/// Factor of the torque that a clamped half shell carries: `k·mu·N·d`.
#[must_use]
pub fn pressure() -> &'static Range {
    &TABLE.pressure
}

/// A steel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steel {
    /// Density.
    pub density: Density,
    /// Modulus of elasticity.
    pub elastic: Stress,
    /// Yield strength, least.
    pub yield_strength: Stress,
    /// Source.
    pub source: &'static str,
}

/// The steel of that name.
///
/// # Errors
/// [`NotInTable`].
pub fn steel(name: &str) -> Result<Steel, NotInTable> {
    let row = TABLE.steel.iter().find(|r| r.name == name);
    row.map(|r| Steel {
        density: Density::from_kg_m3(r.density),
        elastic: Stress::from_gpa(r.elastic_gpa),
        yield_strength: Stress::from_mpa(r.yield_mpa),
        source: &r.source,
    })
    .ok_or_else(|| NotInTable::new(format!("steel \"{name}\""), "S235, S355, C45", "EN 10025-2, EN ISO 683-1"))
}

/// Reaming stock on the diameter in steel, least and most, and its source.
///
/// # Errors
/// [`NotInTable`] over 50 mm.
///
/// ```
/// use runtrue::{quantity::Length, standards::bench::ream_stock};
/// let (least, most, _) = ream_stock(Length::from_mm(25.0), true)?; // by hand, 21 to 50 mm: 0.3 to 0.5 mm
/// assert_eq!((least.mm(), most.mm()), (0.3, 0.5));
/// # Ok::<(), runtrue::standards::NotInTable>(())
/// ```
pub fn ream_stock(finished: Length, by_hand: bool) -> Result<(Length, Length, &'static str), NotInTable> {
    let rows = if by_hand { &TABLE.ream_hand } else { &TABLE.ream_machine };
    let row = rows.iter().find(|r| finished.mm() > r.over && finished.mm() <= r.up_to);
    row.map(|r| (Length::from_mm(r.stock[0]), Length::from_mm(r.stock[1]), r.source.as_str())).ok_or_else(|| {
        NotInTable::new(format!("reaming stock at {} mm", finished.mm()), "above 0 up to 50 mm", "reaming tables")
    })
}

/// How much over its size a drill cuts, and the source.
#[must_use]
pub fn drill_oversize() -> (Length, &'static str) {
    (Length::from_mm(TABLE.drill_oversize_mm.most), &TABLE.drill_oversize_mm.source)
}

/// Reaming stock in light metal as a multiple of that in steel, and the source.
#[must_use]
pub fn light_metal_stock() -> (f64, &'static str) {
    (TABLE.light_metal_stock.value, &TABLE.light_metal_stock.source)
}

/// Hard skin of a thermally cut edge.
#[must_use]
pub fn skin() -> &'static Skin {
    &TABLE.skin
}

/// Rule of the reamer's tolerance.
#[must_use]
pub fn reamer() -> &'static Reamer {
    &TABLE.reamer
}

/// Usual instruments.
#[must_use]
pub fn instruments() -> &'static [Instrument] {
    &TABLE.instruments
}

/// Least share of a torque wrench's range that is used.
#[must_use]
pub fn wrench_share() -> (f64, &'static str) {
    (TABLE.wrench.least_share, &TABLE.wrench.source)
}

/// Permissible deviation of a setting torque wrench, as a share of the torque.
///
/// # Errors
/// [`NotInTable`] over 2000 N·m.
pub fn torque_tool(torque: Torque) -> Result<(f64, &'static str), NotInTable> {
    let row = TABLE.torque_tool.iter().find(|r| torque.nm() <= r.up_to);
    row.map(|r| (r.share, r.source.as_str()))
        .ok_or_else(|| NotInTable::new(format!("torque of {} N·m", torque.nm()), "up to 2000 N·m", "ISO 6789"))
}

/// How a mass is lifted, in words.
#[must_use]
pub fn lift(mass: Mass) -> &'static str {
    let row = TABLE.lift.iter().find(|r| mass.kg() <= r.up_to);
    row.map_or("Hoist", |r| r.words.as_str())
}

/// Hardest shaft, HV, that a cup-point set screw bites.
#[must_use]
pub fn set_screw_shaft_hv() -> (f64, &'static str) {
    (TABLE.set_screw_shaft_hv.most, &TABLE.set_screw_shaft_hv.source)
}

/// Largest gap under a foot, mm.
#[must_use]
pub fn soft_foot_mm() -> (f64, &'static str) {
    (TABLE.soft_foot_mm.most, &TABLE.soft_foot_mm.source)
}

/// Expansion of steel per kelvin.
#[must_use]
pub fn expansion_per_k() -> (f64, &'static str) {
    (TABLE.expansion_per_k.value, &TABLE.expansion_per_k.source)
}

/// Every row's name and source, for the test that none is without.
#[must_use]
pub fn sources() -> Vec<(String, &'static str)> {
    let t = &*TABLE;
    let mut all: Vec<(String, &str)> = vec![
        ("slip".into(), &t.slip.source),
        ("pressure".into(), &t.pressure.source),
        ("skin".into(), &t.skin.source),
        ("reamer".into(), &t.reamer.source),
        ("wrench".into(), &t.wrench.source),
        ("set screw on shaft".into(), &t.set_screw_shaft_hv.source),
        ("soft foot".into(), &t.soft_foot_mm.source),
        ("expansion".into(), &t.expansion_per_k.source),
    ];
    all.push(("drill oversize".into(), &t.drill_oversize_mm.source));
    all.push(("light metal".into(), &t.light_metal_stock.source));
    all.extend(super::bolting::sources());
    all.extend(super::set_screws::sources());
    all.extend(t.torque_tool.iter().map(|r| (format!("torque tool {}", r.up_to), r.source.as_str())));
    all.extend(t.lift.iter().map(|r| (r.words.clone(), r.source.as_str())));
    all.extend(t.steel.iter().map(|r| (r.name.clone(), r.source.as_str())));
    let stock = t.ream_hand.iter().chain(&t.ream_machine);
    all.extend(stock.map(|r| (format!("stock over {}", r.over), r.source.as_str())));
    all.extend(t.instruments.iter().map(|r| (r.kind.clone(), r.source.as_str())));
    all
}
