//! Bench values: scatter of preload, slip friction, steels, reaming, laser edges, instruments, set screws.

use std::sync::LazyLock;

use serde::Deserialize;

use crate::quantity::{Density, Force, Length, Mass, Stress, Torque};

use super::{NotInTable, table};

#[derive(Debug, Default, Deserialize)]
struct Table {
    scatter: Vec<Scatter>,
    slip: Range,
    pressure: Range,
    steel: Vec<SteelRow>,
    ream_stock: Vec<StockRow>,
    skin: Skin,
    reamer: Reamer,
    instruments: Vec<Instrument>,
    torque_tool: Vec<ToolRow>,
    lift: Vec<LiftRow>,
    wrench: WrenchRow,
    set_screw: Vec<SetScrewRow>,
    set_screw_shaft_hv: Most,
    soft_foot_mm: Most,
    expansion_per_k: Value,
}

#[derive(Debug, Deserialize)]
struct Scatter {
    method: String,
    factor: f64,
    source: String,
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
    hand: [f64; 2],
    machine: [f64; 2],
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

#[derive(Debug, Deserialize)]
struct SetScrewRow {
    size: String,
    torque: f64,
    holding: Option<f64>,
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

static TABLE: LazyLock<Table> = LazyLock::new(|| table(include_str!("data/bench.yaml")));

/// Scatter of the preload by tightening method: largest over least, and its source.
///
/// # Errors
/// [`NotInTable`] for an unknown method.
pub fn scatter(method: &str) -> Result<(f64, &'static str), NotInTable> {
    let row = TABLE.scatter.iter().find(|r| r.method == method);
    row.map(|r| (r.factor, r.source.as_str())).ok_or_else(|| {
        NotInTable::new(
            format!("tightening method \"{method}\""),
            "click wrench, indicating wrench, impact",
            "VDI 2230-1",
        )
    })
}

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

/// Reaming stock on the diameter, least and most, and its source.
///
/// # Errors
/// [`NotInTable`] over 50 mm.
pub fn ream_stock(finished: Length, by_hand: bool) -> Result<(Length, Length, &'static str), NotInTable> {
    let row = TABLE.ream_stock.iter().find(|r| finished.mm() > r.over && finished.mm() <= r.up_to);
    row.map(|r| {
        let [least, most] = if by_hand { r.hand } else { r.machine };
        (Length::from_mm(least), Length::from_mm(most), r.source.as_str())
    })
    .ok_or_else(|| NotInTable::new(format!("reaming stock at {} mm", finished.mm()), "0 to 50 mm", "reaming tables"))
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

/// Axial holding force of one cup-point set screw on a soft shaft.
///
/// # Errors
/// [`NotInTable`] where no test figure is known.
pub fn set_screw_holding(size: &str) -> Result<(Force, &'static str), NotInTable> {
    let row = TABLE.set_screw.iter().find(|r| r.size == size);
    row.and_then(|r| Some((Force::from_n(r.holding?), r.source.as_str()))).ok_or_else(|| {
        NotInTable::new(format!("holding force of a set screw \"{size}\""), "M6, M8, M10", "SPS cup-point tests")
    })
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
    all.extend(t.scatter.iter().map(|r| (r.method.clone(), r.source.as_str())));
    all.extend(t.torque_tool.iter().map(|r| (format!("torque tool {}", r.up_to), r.source.as_str())));
    all.extend(t.lift.iter().map(|r| (r.words.clone(), r.source.as_str())));
    all.extend(t.steel.iter().map(|r| (r.name.clone(), r.source.as_str())));
    all.extend(t.ream_stock.iter().map(|r| (format!("stock over {}", r.over), r.source.as_str())));
    all.extend(t.instruments.iter().map(|r| (r.kind.clone(), r.source.as_str())));
    all.extend(t.set_screw.iter().map(|r| (format!("{} {}", r.size, r.torque), r.source.as_str())));
    all
}
